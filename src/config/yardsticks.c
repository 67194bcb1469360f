/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The folders that yardsticks are looked for in. */
#include <stdlib.h>
#include <string.h>

#include "config/folder.h"
#include "config/sources.h"
#include "config/yardstick_file.h"
#include "config/yardstick_text.h"
#include "stillarm/text.h"

#define SUFFIX ".yardstick"

static void keep_fault(void *user, const char *fault)
{
    struct yardsticks *ys = user;
    char(*more)[FAULT_CAP] = realloc(ys->faults, ((size_t)ys->fault_count + 1) * sizeof *more);
    if (!more)
        return; /* out of memory: the yardstick is left out all the same */
    ys->faults = more;
    (void)text_copy(more[ys->fault_count++], FAULT_CAP, fault);
}

/* first: what was read before this folder; of that, a twin goes before this one without a word. */
static void add(struct yardsticks *ys, const struct yardstick *y, int id_line, int first, struct faults *f)
{
    const struct yardstick *twin = yardsticks_find(ys, y->id);
    if (twin && twin - ys->list >= first)
        fault_at(f, id_line, "the id %s is taken by another file of this folder.", y->id);
    else if (!twin && ys->count == YARDSTICKS_MAX)
        fault_at(f, id_line, "there are more than %d yardsticks: this one is left out.", YARDSTICKS_MAX);
    else if (!twin)
        memcpy(&ys->list[ys->count++], y, sizeof *y);
}

static void load_from(const char *dir, const struct known *known, struct yardsticks *ys)
{
    struct names names = {.count = 0};
    struct faults folder = {.name = shown_name(dir), .add = keep_fault, .user = ys};
    const int first = ys->count;
    if (list_files(dir, SUFFIX, &names, &folder, NULL) != ST_OK)
        return; /* there need be none */
    for (int i = 0; i < names.count; i++) {
        struct faults f = {.name = shown_name(names.list[i]), .add = keep_fault, .user = ys};
        struct yardstick y;
        int id_line = 1;
        char *text = file_read_told(dir, names.list[i], &f);
        if (text && yardstick_text_parse(text, known, &y, &id_line, &f) == ST_OK)
            add(ys, &y, id_line, first, &f);
        free(text);
    }
    names_free(&names);
}

enum status yardsticks_load(const char *protocol_dir, const struct protocols *ps, struct yardsticks *out, struct err *e)
{
    char folder[PATH_CAP], beside_it[PATH_CAP], shipped[PATH_CAP];
    const struct known known = {.sources = ps->sources, .source_count = ps->source_count, .schemes = ps->schemes,
                                .scheme_count = ps->scheme_count};
    memset(out, 0, sizeof *out);
    const bool has_folder = protocols_folder(protocol_dir, folder);
    const bool has_beside = has_folder && path_join(beside_it, folder, "../yardsticks");
    if (has_folder)
        load_from(folder, &known, out);
    if (has_beside)
        load_from(beside_it, &known, out);
    if (find_shipped("yardsticks", shipped) && !(has_beside && is_same_file(beside_it, shipped)))
        load_from(shipped, &known, out);
    if (out->count > 0)
        return ST_OK;
    return err_set(e, ST_NOT_FOUND, "No yardstick is there that is sound%s%s. One is a file whose name ends in " SUFFIX
                   ", beside the protocols; docs/yardstick-files.md tells its form.",
                   out->fault_count > 0 ? "; the first fault is " : "", out->fault_count > 0 ? out->faults[0] : "");
}

void yardsticks_free(struct yardsticks *ys)
{
    free(ys->faults);
    memset(ys, 0, sizeof *ys);
}

const struct yardstick *yardsticks_find(const struct yardsticks *ys, const char *id)
{
    for (int i = 0; i < ys->count; i++)
        if (strcmp(ys->list[i].id, id) == 0)
            return &ys->list[i];
    return NULL;
}
