/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The folders that yardsticks are looked for in. */
#include <stdlib.h>
#include <string.h>

#include "config/folder.h"
#include "config/sources.h"
#include "config/yardstick_asks.h"
#include "config/yardstick_file.h"
#include "config/yardstick_text.h"
#include "stillarm/text.h"

#define SUFFIX ".yardstick"
#define FOLDER "yardsticks"
#define ASKS_NAME "criteria.ini"

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

/* The program's own list first: a site adds what other sources publish, and changes no row. */
static void load_asks(const char *protocols, struct known *known, struct ask list[ASKS_MAX], struct yardsticks *ys)
{
    char path[2][PATH_CAP];
    struct faults f = {.name = ASKS_NAME, .add = keep_fault, .user = ys};
    const bool has_shipped = find_shipped(ASKS_NAME, path[0]);
    const bool has_own = protocols && find_beside(protocols, ASKS_NAME, path[1]) &&
                         !(has_shipped && is_same_file(path[0], path[1]));
    if (!has_shipped && !has_own)
        fault_at(&f, 1, "the list of what sources publish for criteria is missing.");
    for (int i = 0; i < 2; i++) {
        char *text = (i == 0 ? has_shipped : has_own) ? file_told(path[i], &f) : NULL;
        if (text)
            asks_parse(text, known, list, &known->ask_count, &f);
        free(text);
    }
    known->asks = list;
}

/* Where they are looked for, in this order; a folder that is there twice once. */
struct places {
    char list[4][PATH_CAP];
    int count;
};

static void add_place(struct places *p, bool is_there, const char *path)
{
    for (int i = 0; i < p->count && is_there; i++)
        is_there = !is_same_file(p->list[i], path);
    if (is_there)
        (void)text_copy(p->list[p->count++], PATH_CAP, path);
}

static void find_places(const char *protocols, struct places *p)
{
    char site[PATH_CAP], path[PATH_CAP];
    p->count = 0;
    add_place(p, site_folder(site) && path_join(path, site, FOLDER), path);
    add_place(p, protocols != NULL, protocols);
    add_place(p, protocols && path_join(path, protocols, "../" FOLDER), path);
    add_place(p, find_shipped(FOLDER, path), path);
}

enum status yardsticks_load(const char *protocol_dir, const struct protocols *ps, struct yardsticks *out, struct err *e)
{
    char folder[PATH_CAP];
    struct ask asks[ASKS_MAX];
    struct places places;
    struct known known = {.sources = ps->sources, .source_count = ps->source_count, .schemes = ps->schemes,
                          .scheme_count = ps->scheme_count};
    memset(out, 0, sizeof *out);
    const char *protocols = protocols_folder(protocol_dir, folder) ? folder : NULL;
    load_asks(protocols, &known, asks, out);
    find_places(protocols, &places);
    for (int i = 0; i < places.count; i++)
        load_from(places.list[i], &known, out);
    if (out->count > 0)
        return ST_OK;
    return err_set(e, ST_NOT_FOUND, "No yardstick is there that is sound. One is a file whose name ends in " SUFFIX
                   ", in the folder " FOLDER " of your site's folder; docs/yardstick-files.md tells its form.");
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
