/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file procedure.c  Finds and reads the site's procedure texts. */
#include "command/procedure.h"

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "config/folder.h"
#include "config/sources.h"
#include "stillarm/text.h"

/* Where not even the shipped text is left: an installation that was taken apart. */
#define LAST_RESORT "No procedure text is at hand here. Follow your site's procedure; if you know none, ask the person in " \
                    "charge before you go on."

const char *procedure_take(const char *text, char out[PROCEDURE_BYTES_MAX + 1])
{
    size_t len = 0, lines = 1;
    bool has_ink = false;
    out[0] = '\0';
    if (strncmp(text, "\xEF\xBB\xBF", 3) == 0)
        text += 3; /* the mark that some editors put in front */
    for (size_t left = strlen(text), step; left > 0; text += step, left -= step) {
        uint32_t c;
        step = utf8_decode(text, left, &c);
        if (step == 0)
            return "it is not valid UTF-8";
        if (c == '\r' && text[1] == '\n')
            continue;
        if (c == '\t')
            c = ' ';
        if (c != '\n' && is_control(c))
            return "it holds a control character";
        if (len + step > PROCEDURE_BYTES_MAX)
            return "it is longer than 1500 bytes";
        lines += c == '\n' && left > 1; /* the last line's end begins none */
        has_ink = has_ink || (c != ' ' && c != '\n');
        len += utf8_encode(c, out + len);
        out[len] = '\0';
    }
    if (lines > PROCEDURE_LINES_MAX)
        return "it has more than 12 lines";
    return has_ink ? "" : "it is empty";
}

static void say_fault(struct procedures *ps, const char *path, const char *why)
{
    char shown[160];
    size_t len = strlen(path);
    text_copy(shown, sizeof shown, len < sizeof shown ? path : path + len - sizeof shown + 1);
    text_defuse(shown);
    if (!ps->fault[0])
        snprintf(ps->fault, sizeof ps->fault, "%s is not used: %.140s. The text that came with the program stands in.", shown,
                 why);
}

/* @return ST_NOT_FOUND where there is no such file */
static enum status read_one(const char *folder, const char *name, char out[PROCEDURE_BYTES_MAX + 1],
                            struct procedures *faults)
{
    char path[PATH_CAP], *text = NULL;
    struct stat link;
    struct err e = { 0 };
    int line;
    if (!folder[0] || !path_join(path, folder, name))
        return ST_NOT_FOUND;
    enum status status = file_read(path, &text, &line, &e);
    if (status == ST_NOT_FOUND && lstat(path, &link) != 0)
        return status; /* else a link that leads nowhere: somebody meant a text to be there */
    const char *why = status == ST_OK ? procedure_take(text, out) : e.text;
    free(text);
    if (!why[0])
        return ST_OK;
    size_t len = strlen(e.text);
    if (len > 0 && e.text[len - 1] == '.')
        e.text[len - 1] = '\0'; /* the sentence goes on */
    say_fault(faults, path, why);
    return ST_SYNTAX;
}

static void read_shipped(const char *name, char out[PROCEDURE_BYTES_MAX + 1])
{
    static const char *const FOLDERS[] = { STILLARM_ASSETS_SOURCE "/procedures", STILLARM_ASSETS_INSTALLED "/procedures" };
    struct procedures ignored = { 0 };
    for (size_t i = 0; i < ARRAY_LEN(FOLDERS); i++)
        if (read_one(FOLDERS[i], name, out, &ignored) == ST_OK)
            return;
    text_copy(out, PROCEDURE_BYTES_MAX + 1, LAST_RESORT);
}

void procedures_load(struct procedures *out)
{
    char folder[PATH_CAP];
    struct stat kind;
    const struct { const char *name; char *text; bool *is_own; } TEXTS[] = { { "very-high.txt", out->high, &out->is_high_own },
                                                                             { "low.txt", out->low, &out->is_low_own } };
    out->fault[0] = '\0';
    if (!site_folder(folder))
        folder[0] = '\0';
    if (!path_join(out->path, folder, TEXTS[0].name))
        out->path[0] = '\0';
    const char *site = getenv("STILLARM_SITE");
    if (site && site[0] && (stat(site, &kind) != 0 || !S_ISDIR(kind.st_mode)))
        say_fault(out, site, "STILLARM_SITE names no folder");
    for (size_t i = 0; i < ARRAY_LEN(TEXTS); i++) {
        *TEXTS[i].is_own = read_one(folder, TEXTS[i].name, TEXTS[i].text, out) == ST_OK;
        if (!*TEXTS[i].is_own)
            read_shipped(TEXTS[i].name, TEXTS[i].text);
    }
}
