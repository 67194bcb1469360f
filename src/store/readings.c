/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file readings.c  The derived table: what the events made of the readings. Can be rebuilt from them at any time. */
#include <stdio.h>

#include "store/internal.h"
#include "stillarm/text.h"

/** What a reading's line and its row hold. */
struct line {
    int32_t n;
    const char *arm;
    bool has[3];
    int mmhg[3]; /* first, muffling, last */
    bool is_counted;
    const char *reasons, *remarks;
};

static const enum point LINE_POINTS[3] = {POINT_FIRST, POINT_MUFFLING, POINT_LAST};

/* first: a word that stands before those of the bits, or "" */
static void print_words(const char *first, uint32_t bits, const char *const *words, int count, char *out, size_t cap)
{
    struct text t;
    text_init(&t, out, cap);
    text_add(&t, first);
    for (int i = 0; i < count; i++)
        if (bits & (UINT32_C(1) << i)) {
            text_add(&t, t.len ? "," : "");
            text_add(&t, words[i]);
        }
    if (t.len == 0)
        text_add(&t, "-");
}

static void print_line(const struct line *l, char *out, size_t cap)
{
    struct text t;
    text_init(&t, out, cap);
    text_addf(&t, "%d\t%s", l->n, l->arm);
    for (int i = 0; i < 3; i++)
        if (l->has[i])
            text_addf(&t, "\t%d", l->mmhg[i]);
        else
            text_add(&t, "\t-");
    text_addf(&t, "\t%s\t%s\t%s", l->is_counted ? "counted" : "void", l->reasons, l->remarks);
}

#define WORDS_CAP 201

static struct line line_of(const struct reading *r, int index, char reasons[WORDS_CAP], char remarks[WORDS_CAP])
{
    print_words("", r->voids, VOID_REASON_WORDS, VOID_REASON_COUNT, reasons, WORDS_CAP);
    print_words(r->is_standing ? "standing" : "", r->notes, READING_REMARK_WORDS, READING_REMARK_COUNT, remarks, WORDS_CAP);
    struct line l = {.n = index + 1,
                     .arm = ARM_WORDS[r->arm],
                     .is_counted = reading_is_counted(r),
                     .reasons = reasons,
                     .remarks = remarks};
    for (int i = 0; i < 3; i++) {
        l.has[i] = r->has_value[LINE_POINTS[i]] != 0;
        l.mmhg[i] = r->value_mmhg[LINE_POINTS[i]];
    }
    return l;
}

void store_reading_line(const struct sitting *s, int index, char *out, size_t cap)
{
    char reasons[WORDS_CAP], remarks[WORDS_CAP];
    struct line l = line_of(&s->readings[index], index, reasons, remarks);
    print_line(&l, out, cap);
}

enum status store_readings_put(struct store *st, int64_t id, const struct sitting *s, int32_t *done, int32_t *counted,
                               struct err *e)
{
    static const char WHAT[] = "This reading";
    *done = 0;
    *counted = 0;
    for (int i = 0; i < s->reading_count; i++) {
        const struct reading *r = &s->readings[i];
        if (!r->is_done)
            continue;
        char reasons[WORDS_CAP], remarks[WORDS_CAP];
        struct line l = line_of(r, i, reasons, remarks);
        /* Writes nothing where the row is already so: most events change no reading. */
        enum status status = store_run(
            st, Q_READING_PUT,
            ARGS(INT(id), INT(l.n), TEXT(l.arm), INT_OR_NUL(r->has_value[POINT_TARGET], r->value_mmhg[POINT_TARGET]),
                 INT_OR_NUL(l.has[0], l.mmhg[0]), INT_OR_NUL(l.has[1], l.mmhg[1]), INT_OR_NUL(l.has[2], l.mmhg[2]),
                 INT(r->inflate_ms), INT(l.is_counted), TEXT(reasons), TEXT(remarks)),
            WHAT, e);
        if (status != ST_OK)
            return status;
        (*done)++;
        *counted += l.is_counted;
    }
    return store_run(st, Q_READINGS_TRIM, ARGS(INT(id), INT(s->reading_count)), WHAT, e);
}

enum status store_readings(struct store *st, int64_t id, store_reading_fn fn, void *user, struct err *e)
{
    static const char WHAT[] = "Reading the stored readings";
    sqlite3_stmt *s = store_loop(st, Q_READINGS, ARGS(INT(id)));
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    for (; rc == SQLITE_ROW; rc = sqlite3_step(s)) {
        char arm[8], reasons[WORDS_CAP], remarks[WORDS_CAP];
        store_column(s, 1, arm, sizeof arm);
        store_column(s, 6, reasons, sizeof reasons);
        store_column(s, 7, remarks, sizeof remarks);
        struct line l = {.n = store_column_int32(s, 0),
                         .arm = arm,
                         .is_counted = sqlite3_column_int(s, 5) != 0,
                         .reasons = reasons,
                         .remarks = remarks};
        if ((uint64_t)sqlite3_column_int64(s, 5) > 1)
            l.n = INT32_MIN; /* neither counted nor void: no reading */
        for (int i = 0; i < 3; i++) {
            l.has[i] = sqlite3_column_type(s, 2 + i) != SQLITE_NULL;
            l.mmhg[i] = store_column_int32(s, 2 + i);
        }
        struct stored_reading row = {.n = l.n,
                                     .has_target = sqlite3_column_type(s, 8) != SQLITE_NULL,
                                     .target_mmhg = store_column_int32(s, 8),
                                     .inflate_ms = sqlite3_column_int64(s, 9)};
        print_line(&l, row.line, sizeof row.line);
        if (!fn(user, &row))
            break;
    }
    enum status status = store_end(st, s, rc, WHAT, e);
    store_loop_end(st, Q_READINGS, s);
    return status;
}
