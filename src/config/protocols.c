/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config/protocols.h"

#include <dirent.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "config/protocol_text.h"
#include "config/sources.h"
#include "stillarm/text.h"

#define PATH_CAP 512
#define FILES_MAX 128
#define SUFFIX ".protocol"

/* ---- one text ---- */

enum status protocol_parse(const char *name, const char *text, struct protocol *out, protocol_fault_fn add_fault,
                           void *user, struct err *e)
{
    struct faults f = {.name = name, .add = add_fault, .user = user};
    enum status st = protocol_text_parse(text, NULL, out, NULL, &f);
    return st == ST_OK ? ST_OK : err_set(e, st == ST_RANGE ? ST_RANGE : ST_SYNTAX, "%s", f.first);
}

/* ---- where they lie ---- */

static bool is_folder(const char *path)
{
    struct stat kind;
    return stat(path, &kind) == 0 && S_ISDIR(kind.st_mode);
}

static bool join(char out[PATH_CAP], const char *folder, const char *name)
{
    int n = snprintf(out, PATH_CAP, "%s/%s", folder, name);
    return n > 0 && n < PATH_CAP;
}

/* The folder that the running program lies in; false where the system does not tell. */
static bool program_folder(char out[PATH_CAP])
{
    ssize_t n = readlink("/proc/self/exe", out, PATH_CAP - 1);
    if (n <= 0 || n >= PATH_CAP - 1)
        return false;
    out[n] = '\0';
    char *slash = strrchr(out, '/');
    if (!slash)
        return false;
    *slash = '\0';
    return true;
}

static bool assets_folder(char out[PATH_CAP])
{
    static const char *const BUILT_IN[] = {STILLARM_ASSETS_SOURCE, STILLARM_ASSETS_INSTALLED};
    static const char *const BESIDE[] = {"../share/stillarm", "assets", "../assets"};
    char protocols[PATH_CAP], folder[PATH_CAP];
    for (size_t i = 0; i < ARRAY_LEN(BUILT_IN); i++)
        if (join(protocols, BUILT_IN[i], "protocols") && is_folder(protocols))
            return text_copy(out, PATH_CAP, BUILT_IN[i]);
    for (size_t i = 0; i < ARRAY_LEN(BESIDE) && program_folder(folder); i++)
        if (join(out, folder, BESIDE[i]) && join(protocols, out, "protocols") && is_folder(protocols))
            return true;
    return false;
}

static bool choose_folder(const char *dir, char out[PATH_CAP])
{
    char assets[PATH_CAP];
    const char *set = getenv("STILLARM_PROTOCOLS");
    if (!dir && set && *set)
        dir = set;
    if (dir)
        return text_copy(out, PATH_CAP, dir);
    return assets_folder(assets) && join(out, assets, "protocols");
}

/* ---- loading ---- */

static void keep_fault(void *user, const char *fault)
{
    struct protocols *ps = user;
    char(*more)[FAULT_CAP] = realloc(ps->faults, ((size_t)ps->fault_count + 1) * sizeof *more);
    if (!more)
        return; /* out of memory: the protocol is left out all the same */
    ps->faults = more;
    (void)text_copy(more[ps->fault_count++], FAULT_CAP, fault);
}

/* A file's name in messages: nothing in it may steer a terminal. */
static const char *shown_name(const char *name)
{
    return is_plain_text(name, 200) ? name : "(a file whose name cannot be shown)";
}

/* Beside the protocols, above them, or the list that came with the program: a site that only changes numbers needs none. */
static bool find_sources(const char *dir, char out[PATH_CAP])
{
    char assets[PATH_CAP];
    if (join(out, dir, "sources.ini") && access(out, F_OK) == 0)
        return true;
    if (join(out, dir, "../sources.ini") && access(out, F_OK) == 0)
        return true;
    return assets_folder(assets) && join(out, assets, "sources.ini") && access(out, F_OK) == 0;
}

static void load_sources(const char *dir, struct protocols *ps)
{
    char path[PATH_CAP], *text = NULL;
    struct faults f = {.name = "sources.ini", .add = keep_fault, .user = ps};
    struct err e;
    int line = 1;
    if (!find_sources(dir, path))
        fault_at(&f, 1, "the list of sources is missing: no source is checked.");
    else if (file_read(path, &text, &line, &e) != ST_OK)
        fault_at(&f, line, "%s", e.text);
    else
        sources_parse(text, &ps->sources, &ps->source_count, &f);
    free(text);
}

static void add_protocol(struct protocols *ps, const struct protocol *p, const char *path, char **text, int id_line,
                         struct faults *f)
{
    int twin = protocols_index(ps, p->id);
    if (twin >= 0) {
        const char *slash = strrchr(ps->path[twin], '/');
        fault_at(f, id_line, "the id %s is taken by %s.", p->id, shown_name(slash ? slash + 1 : ps->path[twin]));
        return;
    }
    if (ps->count == PROTOCOLS_MAX) {
        fault_at(f, id_line, "there are more than %d protocols: this one is left out.", PROTOCOLS_MAX);
        return;
    }
    struct protocol *kept = malloc(sizeof *kept);
    if (!kept) {
        fault_at(f, id_line, "there is no memory left to keep it.");
        return;
    }
    memcpy(kept, p, sizeof *kept);
    ps->list[ps->count] = kept;
    ps->text[ps->count] = *text;
    (void)text_copy(ps->path[ps->count], sizeof ps->path[0], path);
    ps->count++;
    *text = NULL;
}

static void load_file(const char *dir, const char *name, struct protocols *ps)
{
    struct faults f = {.name = shown_name(name), .add = keep_fault, .user = ps};
    char path[PATH_CAP], *text = NULL;
    struct protocol p;
    struct err e;
    int line = 1;
    if (!join(path, dir, name)) {
        fault_at(&f, 1, "its path is longer than %d bytes.", PATH_CAP - 1);
        return;
    }
    const struct known_sources known = {.list = ps->sources, .count = ps->source_count};
    if (file_read(path, &text, &line, &e) != ST_OK)
        fault_at(&f, line, "%s", e.text);
    else if (protocol_text_parse(text, &known, &p, &line, &f) == ST_OK)
        add_protocol(ps, &p, path, &text, line, &f);
    free(text);
}

struct names {
    char *list[FILES_MAX];
    int count;
};

static int by_name(const void *a, const void *b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

static bool is_protocol_name(const char *name)
{
    size_t n = strlen(name), suffix = strlen(SUFFIX);
    return name[0] != '.' && n > suffix && strcmp(name + n - suffix, SUFFIX) == 0;
}

/* In order of their names, so that which of two twins is kept does not depend on the file system. */
static enum status list_files(const char *dir, struct names *out, struct protocols *ps, struct err *e)
{
    DIR *d = opendir(dir);
    if (!d)
        return err_set(e, errno == ENOENT || errno == ENOTDIR ? ST_NOT_FOUND : errno == EACCES ? ST_PERMISSION : ST_IO,
                       "The folder of protocols %s cannot be opened: %s. Name another with --protocol-dir.", dir,
                       strerror(errno));
    const struct dirent *entry;
    struct faults f = {.name = shown_name(dir), .add = keep_fault, .user = ps};
    while ((entry = readdir(d)) != NULL) {
        if (!is_protocol_name(entry->d_name))
            continue;
        char *copy = out->count < FILES_MAX ? strdup(entry->d_name) : NULL;
        if (copy)
            out->list[out->count++] = copy;
        else
            fault_at(&f, 1, "there are more files than are read: %s is left out.", shown_name(entry->d_name));
    }
    (void)closedir(d);
    qsort(out->list, (size_t)out->count, sizeof out->list[0], by_name);
    return ST_OK;
}

enum status protocols_load(const char *dir, struct protocols *out, struct err *e)
{
    char folder[PATH_CAP];
    struct names names = {.count = 0};
    memset(out, 0, sizeof *out);
    if (!choose_folder(dir, folder))
        return err_set(e, ST_NOT_FOUND, "There is no folder of protocols. Name one with --protocol-dir.");
    enum status st = list_files(folder, &names, out, e);
    if (st != ST_OK)
        return st;
    load_sources(folder, out);
    for (int i = 0; i < names.count; i++) {
        load_file(folder, names.list[i], out);
        free(names.list[i]);
    }
    if (out->count > 0)
        return ST_OK;
    if (names.count == 0)
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
    free(ps->faults);
    memset(ps, 0, sizeof *ps);
}

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
