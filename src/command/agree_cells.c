/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file agree_cells.c  What a cell can be, and in words why it is not. */
#include "command/agree_cells.h"

#include <string.h>

#include "stillarm/text.h"

#define SAID_MAX 40 /* bytes of a cell that a message quotes */

const struct row_fault_words ROW_FAULTS[] = {
    [ROW_CELLS] = { "cells", "with another number of cells than the header" },
    [ROW_QUOTE] = { "quote", "with a quote inside of a cell" },
    [ROW_NUL] = { "nul", "with a NUL byte" },
    [ROW_LONG] = { "long", "with a cell of more than 200 bytes" },
    [ROW_EMPTY] = { "empty", "with an empty cell" },
    [ROW_NAME] = { "name", "with a name that is none" },
    [ROW_NUMBER] = { "number", "with something else than a number" },
    [ROW_RANGE] = { "range", "with a number outside 0 to 999.999" },
    [ROW_DECIMALS] = { "decimals", "with more than three decimals" },
};
_Static_assert(ARRAY_LEN(ROW_FAULTS) == ROW_FAULT_COUNT, "one row per reason");

const char *const AGREE_COLUMN_NAMES[] = {
    [COLUMN_MEASURER] = "measurer",
    [COLUMN_SUBJECT] = "subject",
    [COLUMN_VALUES + SIDE_SYSTOLIC * EAR_COUNT + EAR_MEASURER] = "measurer_systolic",
    [COLUMN_VALUES + SIDE_SYSTOLIC * EAR_COUNT + EAR_LISTENER] = "listener_systolic",
    [COLUMN_VALUES + SIDE_DIASTOLIC * EAR_COUNT + EAR_MEASURER] = "measurer_diastolic",
    [COLUMN_VALUES + SIDE_DIASTOLIC * EAR_COUNT + EAR_LISTENER] = "listener_diastolic",
};
_Static_assert(ARRAY_LEN(AGREE_COLUMN_NAMES) == AGREE_COLUMNS && AGREE_COLUMNS <= CSV_WANTED_MAX, "one name per column");

bool agree_value(const char *text, size_t len, int64_t *out)
{
    int64_t value = 0, unit = AGREE_UNIT;
    size_t i = 0;
    for (; i < len && i < 3 && text[i] >= '0' && text[i] <= '9'; i++)
        value = 10 * value + (text[i] - '0');
    if (i == 0)
        return false;
    if (i < len) {
        if (text[i] != '.' || i + 1 == len || len - i - 1 > 3)
            return false;
        for (i++; i < len; i++) {
            if (text[i] < '0' || text[i] > '9')
                return false;
            value = 10 * value + (text[i] - '0');
            unit /= 10;
        }
    }
    *out = value * unit;
    return true;
}

/* Why it is no value: what looks like a number is out of range or too fine. */
static enum row_fault fault_of_value(const struct csv_cell *c)
{
    size_t i = c->len > 0 && (c->text[0] == '-' || c->text[0] == '+'), whole = 0, decimals = 0;
    for (; i < c->len && c->text[i] >= '0' && c->text[i] <= '9'; i++)
        whole++;
    if (i < c->len && c->text[i] == '.')
        for (i++; i < c->len && c->text[i] >= '0' && c->text[i] <= '9'; i++)
            decimals++;
    if (i < c->len || whole == 0 || (c->text[i - 1] == '.'))
        return ROW_NUMBER;
    if (c->text[0] == '-' || whole > 3)
        return ROW_RANGE;
    return decimals > 3 ? ROW_DECIMALS : ROW_NUMBER;
}

bool agree_is_name(const char *name, size_t len)
{
    char text[AGREE_NAME_MAX + 1];
    size_t plain = 0;
    while (plain < len && name[plain] > ' ' && name[plain] <= '~')
        plain++;
    if (plain == len && len >= 1 && len <= AGREE_NAME_MAX) /* as nearly all are */
        return true;
    if (len > AGREE_NAME_MAX || memchr(name, '\0', len))
        return false;
    memcpy(text, name, len);
    text[len] = '\0';
    return is_plain_text(text, AGREE_NAME_MAX);
}

/* What the first cell that is not as it must be wants. */
static const char *const NEEDS[ROW_FAULT_COUNT] = {
    [ROW_NAME] = "A name has 1 to 64 bytes of UTF-8, without control characters, and is not blank",
    [ROW_NUMBER] = "It must be a number from 0 to 999.999 in mmHg, such as 120 or 120.5, and nothing beside it",
    [ROW_RANGE] = "It must lie from 0 to 999.999 mmHg",
    [ROW_DECIMALS] = "It can have three decimals at most",
};

void agree_say_cell(const char *file, int64_t line, enum agree_column column, enum row_fault fault, const struct csv_cell *c,
                    struct err *why)
{
    char said[SAID_MAX + 1];
    size_t len = c->len < SAID_MAX ? c->len : SAID_MAX;
    memcpy(said, c->text, len);
    said[len] = '\0';
    if (fault == ROW_EMPTY)
        err_set(why, ST_SYNTAX, "%s:%lld:%lld: %s is empty.", file, (long long)line, (long long)c->column, AGREE_COLUMN_NAMES[column]);
    else
        err_set(why, ST_SYNTAX, "%s:%lld:%lld: %s is `%s%s`. %s.", file, (long long)line, (long long)c->column,
                AGREE_COLUMN_NAMES[column], said, c->len > len ? "..." : "", NEEDS[fault]);
}

int agree_worst_cell(const struct csv_cell *cells, enum row_fault *fault)
{
    int64_t value;
    int worst = -1;
    for (int i = 0; i < AGREE_COLUMNS; i++) {
        const struct csv_cell *c = &cells[i];
        bool is_fine = i < COLUMN_VALUES ? agree_is_name(c->text, c->len) : agree_value(c->text, c->len, &value);
        if (is_fine || (worst >= 0 && cells[worst].column < c->column))
            continue;
        worst = i;
        *fault = c->len == 0 ? ROW_EMPTY : i < COLUMN_VALUES ? ROW_NAME : fault_of_value(c);
    }
    return worst;
}
