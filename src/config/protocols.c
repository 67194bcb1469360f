/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config/protocols.h"

#include <stdlib.h>
#include <string.h>

#include "config/base.h"
#include "config/bundle.h"
#include "config/category_text.h"
#include "config/folder.h"
#include "config/positions.h"
#include "config/protocol_text.h"
#include "config/sources.h"
#include "stillarm/text.h"

#define SUFFIX ".protocol"
#define CATEGORY_SUFFIX ".category"

/* ---- one text ---- */

enum status protocol_parse(const char *name, const char *text, struct protocol *out, protocol_fault_fn add_fault,
                           void *user, struct err *e)
{
    struct faults f = {.name = name, .add = add_fault, .user = user};
    enum status st = protocol_text_parse(text, NULL, out, NULL, &f);
    return st == ST_OK ? ST_OK : err_set(e, st == ST_RANGE ? ST_RANGE : ST_SYNTAX, "%s", f.first);
}

/* ---- what goes before the protocols ---- */

static void keep_fault(void *user, const char *fault)
{
    struct protocols *ps = user;
    char(*more)[FAULT_CAP] = realloc(ps->faults, ((size_t)ps->fault_count + 1) * sizeof *more);
    if (!more)
        return; /* out of memory: the protocol is left out all the same */
    ps->faults = more;
    (void)text_copy(more[ps->fault_count++], FAULT_CAP, fault);
}

static struct known known_of(const struct protocols *ps)
{
    return (struct known){.sources = ps->sources, .source_count = ps->source_count, .schemes = ps->schemes,
                          .scheme_count = ps->scheme_count, .positions = ps->positions,
                          .position_count = ps->position_count};
}

/* Both lists of sources and positions: the site's, and then what came with the program for all that the site's lacks. */
static void load_lists(const char *dir, const char *name, void (*add)(struct protocols *, const char *, struct faults *),
                       const char *missing, struct protocols *ps)
{
    char path[2][PATH_CAP];
    struct faults f = {.name = name, .add = keep_fault, .user = ps};
    bool has_own = find_beside(dir, name, path[0]), has_shipped = find_shipped(name, path[1]);
    if (!has_own && !has_shipped)
        fault_at(&f, 1, "%s", missing);
    for (int i = 0; i < 2; i++) {
        bool is_there = i == 0 ? has_own : has_shipped && !(has_own && is_same_file(path[0], path[1]));
        char *text = is_there ? file_told(path[i], &f) : NULL;
        if (text)
            add(ps, text, &f);
        free(text);
    }
}

static void add_sources(struct protocols *ps, const char *text, struct faults *f)
{
    struct source *list = NULL;
    int count = 0;
    sources_parse(text, &list, &count, f);
    struct source *all = realloc(ps->sources, (size_t)(ps->source_count + count + 1) * sizeof *all);
    if (!all)
        fault_at(f, 1, "there is no memory left to read it.");
    ps->sources = all ? all : ps->sources;
    for (int i = 0; all && i < count; i++)
        if (!protocols_source(ps, list[i].id))
            ps->sources[ps->source_count++] = list[i];
    free(list);
}

static void add_positions(struct protocols *ps, const char *text, struct faults *f)
{
    struct position *list = NULL;
    int count = 0;
    const struct known known = known_of(ps);
    positions_parse(text, &known, &list, &count, f);
    struct position *all = realloc(ps->positions, (size_t)(ps->position_count + count + 1) * sizeof *all);
    if (!all)
        fault_at(f, 1, "there is no memory left to read it.");
    ps->positions = all ? all : ps->positions;
    for (int i = 0; all && i < count; i++)
        if (!protocols_position(ps, (enum protocol_key)list[i].key, list[i].source))
            ps->positions[ps->position_count++] = list[i];
    free(list);
}

static void load_category(const char *dir, const char *name, int first, struct protocols *ps)
{
    struct faults f = {.name = shown_name(name), .add = keep_fault, .user = ps};
    struct category_scheme c;
    int line = 1;
    const struct known known = known_of(ps);
    char *text = file_read_told(dir, name, &f);
    if (text && category_text_parse(text, &known, &c, &line, &f) == ST_OK) {
        const struct category_scheme *twin = schemes_find(ps->schemes, ps->scheme_count, c.id);
        if (twin && twin - ps->schemes >= first)
            fault_at(&f, line, "the id %s is taken by another file of this folder.", c.id);
        else if (!twin && ps->scheme_count == SCHEMES_MAX)
            fault_at(&f, line, "there are more than %d category schemes: this one is left out.", SCHEMES_MAX);
        else if (!twin)
            memcpy(&ps->schemes[ps->scheme_count++], &c, sizeof c);
    }
    free(text);
}

static void load_categories_of(const char *dir, struct protocols *ps)
{
    struct names names = {.count = 0};
    struct faults f = {.name = shown_name(dir), .add = keep_fault, .user = ps};
    int first = ps->scheme_count; /* a site's own goes before one of that name that came with the program */
    if (list_files(dir, CATEGORY_SUFFIX, &names, &f, NULL) != ST_OK)
        return; /* there need be none */
    for (int i = 0; i < names.count; i++)
        load_category(dir, names.list[i], first, ps);
    names_free(&names);
}

static void load_categories(const char *dir, struct protocols *ps)
{
    char above[PATH_CAP], shipped[PATH_CAP];
    ps->schemes = calloc(SCHEMES_MAX, sizeof *ps->schemes);
    if (!ps->schemes)
        return; /* then the protocols that name one are left out */
    load_categories_of(dir, ps);
    bool has_above = path_join(above, dir, "../categories");
    if (has_above)
        load_categories_of(above, ps);
    if (find_shipped("categories", shipped) && !(has_above && is_same_file(above, shipped)))
        load_categories_of(shipped, ps);
}

/* ---- protocols ---- */

/* While the folder is read: where each protocol's text says what. */
struct loading {
    struct protocols *ps;
    struct protocol_notes notes[PROTOCOLS_MAX];
};

static const char *file_name(const char *path)
{
    const char *slash = strrchr(path, '/');
    return shown_name(slash ? slash + 1 : path);
}

static void add_protocol(struct loading *l, const struct protocol *p, const char *path, char **text,
                         const struct protocol_notes *notes, struct faults *f)
{
    struct protocols *ps = l->ps;
    int twin = protocols_index(ps, p->id);
    if (twin >= 0) {
        fault_at(f, notes->id_line, "the id %s is taken by %s.", p->id, file_name(ps->path[twin]));
        return;
    }
    if (ps->count == PROTOCOLS_MAX) {
        fault_at(f, notes->id_line, "there are more than %d protocols: this one is left out.", PROTOCOLS_MAX);
        return;
    }
    struct protocol *kept = malloc(sizeof *kept);
    if (!kept) {
        fault_at(f, notes->id_line, "there is no memory left to keep it.");
        return;
    }
    memcpy(kept, p, sizeof *kept);
    ps->list[ps->count] = kept;
    ps->text[ps->count] = *text;
    (void)text_copy(ps->path[ps->count], sizeof ps->path[0], path);
    l->notes[ps->count] = *notes;
    ps->count++;
    *text = NULL;
}

static void load_file(const char *dir, const char *name, struct loading *l)
{
    struct faults f = {.name = shown_name(name), .add = keep_fault, .user = l->ps};
    char path[PATH_CAP], *text = NULL;
    struct protocol p;
    struct protocol_notes notes;
    struct err e;
    int line = 1;
    if (!path_join(path, dir, name)) {
        fault_at(&f, 1, "its path is longer than %d bytes.", PATH_CAP - 1);
        return;
    }
    const struct known known = known_of(l->ps);
    if (file_read(path, &text, &line, &e) != ST_OK)
        fault_at(&f, line, "%s", e.text);
    else if (protocol_text_parse(text, &known, &p, &notes, &f) == ST_OK)
        add_protocol(l, &p, path, &text, &notes, &f);
    free(text);
}

/* Read what came with the program; a copy may lie in a folder that does not hold what it was copied from. */
static bool read_shipped(const struct protocols *ps, const char *id, struct protocol *out)
{
    char path[PATH_CAP], name[ITEM_CAP + sizeof "protocols/" SUFFIX], *text = NULL;
    struct text t;
    int line = 1;
    struct faults f = {.name = name};
    /* Its categories are asked for; its sources are its own matter. */
    const struct known known = {.schemes = ps->schemes, .scheme_count = ps->scheme_count};
    text_init(&t, name, sizeof name);
    text_addf(&t, "protocols/%s" SUFFIX, id);
    bool is_read = find_shipped(name, path) && file_read(path, &text, &line, NULL) == ST_OK &&
                   protocol_text_parse(text, &known, out, NULL, &f) == ST_OK;
    free(text);
    return is_read;
}

static bool find_base(struct loading *l, int i)
{
    struct protocol *p = l->ps->list[i];
    const struct protocol *base = protocols_find(l->ps, p->copied_from);
    struct protocol shipped;
    if (p->copied_from[0] == '\0' || p->has_base)
        return true;
    if (!base && read_shipped(l->ps, p->copied_from, &shipped))
        base = &shipped;
    if (base) {
        protocol_set_base(p, base);
        return true;
    }
    struct faults f = {.name = file_name(l->ps->path[i]), .add = keep_fault, .user = l->ps};
    fault_at(&f, l->notes[i].copied_from_line, "there is no sound protocol %s that this one could be copied from.",
             p->copied_from);
    return false;
}

static bool keep_whole_text(struct loading *l, int i)
{
    struct protocols *ps = l->ps;
    char *whole = bundle_text(ps->text[i], ps->list[i], &l->notes[i]);
    struct faults f = {.name = file_name(ps->path[i]), .add = keep_fault, .user = ps};
    if (!whole) {
        fault_at(&f, l->notes[i].id_line, "there is no memory left to keep it.");
        return false;
    }
    free(ps->text[i]);
    ps->text[i] = whole;
    return true;
}

/* All of them are looked at before one is dropped: who names whom does not depend on the order. */
static void settle(struct loading *l)
{
    struct protocols *ps = l->ps;
    bool is_kept[PROTOCOLS_MAX];
    int kept = 0;
    for (int i = 0; i < ps->count; i++)
        is_kept[i] = find_base(l, i) && keep_whole_text(l, i);
    for (int i = 0; i < ps->count; i++) {
        if (!is_kept[i]) {
            free(ps->list[i]);
            free(ps->text[i]);
            continue;
        }
        ps->list[kept] = ps->list[i];
        ps->text[kept] = ps->text[i];
        memmove(ps->path[kept], ps->path[i], sizeof ps->path[0]);
        kept++;
    }
    ps->count = kept;
}

enum status protocols_load(const char *dir, struct protocols *out, struct err *e)
{
    char folder[PATH_CAP];
    struct names names = {.count = 0};
    struct loading l = {.ps = out};
    memset(out, 0, sizeof *out);
    if (!protocols_folder(dir, folder))
        return err_set(e, ST_NOT_FOUND, "There is no folder of protocols. Name one with --protocol-dir.");
    struct faults f = {.name = shown_name(folder), .add = keep_fault, .user = out};
    enum status st = list_files(folder, SUFFIX, &names, &f, e);
    if (st != ST_OK)
        return st;
    load_lists(folder, "sources.ini", add_sources, "the list of sources is missing: no source is checked.", out);
    load_lists(folder, "positions.ini", add_positions, "the list of what sources publish is missing.", out);
    load_categories(folder, out);
    for (int i = 0; i < names.count; i++)
        load_file(folder, names.list[i], &l);
    int files = names.count;
    names_free(&names);
    settle(&l);
    if (out->count > 0)
        return ST_OK;
    if (files == 0)
        return err_set(e, ST_NOT_FOUND, "The folder %s holds no file whose name ends in " SUFFIX
                       ". Name another folder with --protocol-dir.", folder);
    return err_set(e, ST_SYNTAX, "No protocol in %s is sound; the first fault is %s", folder,
                   out->fault_count > 0 ? out->faults[0] : "not known.");
}

void protocols_free(struct protocols *ps)
{
    for (int i = 0; i < ps->count; i++) {
        free(ps->list[i]);
        free(ps->text[i]);
    }
    free(ps->sources);
    free(ps->schemes);
    free(ps->positions);
    free(ps->faults);
    memset(ps, 0, sizeof *ps);
}

/* ---- looking up ---- */

int protocols_index(const struct protocols *ps, const char *id)
{
    for (int i = 0; i < ps->count; i++)
        if (strcmp(ps->list[i]->id, id) == 0)
            return i;
    return -1;
}

const struct protocol *protocols_find(const struct protocols *ps, const char *id)
{
    int i = protocols_index(ps, id);
    return i < 0 ? NULL : ps->list[i];
}

const struct source *protocols_source(const struct protocols *ps, const char *id)
{
    return sources_find(ps->sources, ps->source_count, id);
}

const struct category_scheme *protocols_scheme(const struct protocols *ps, const char *id)
{
    return schemes_find(ps->schemes, ps->scheme_count, id);
}

const struct position *protocols_position(const struct protocols *ps, enum protocol_key key, const char *source)
{
    return positions_find(ps->positions, ps->position_count, (int)key, source);
}

const struct position *protocols_position_at(const struct protocols *ps, enum protocol_key key, int n)
{
    for (int i = 0; i < ps->position_count; i++)
        if (ps->positions[i].key == (int32_t)key && n-- == 0)
            return &ps->positions[i];
    return NULL;
}

static bool is_first_of_body(const struct protocols *ps, int at)
{
    for (int i = 0; i < at; i++)
        if (strcmp(ps->positions[i].body, ps->positions[at].body) == 0)
            return false;
    return ps->positions[at].body[0] != '\0';
}

const char *protocols_body_at(const struct protocols *ps, int n)
{
    for (int i = 0; i < ps->position_count; i++)
        if (is_first_of_body(ps, i) && n-- == 0)
            return ps->positions[i].body;
    return NULL;
}
