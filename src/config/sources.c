/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config/sources.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "config/folder.h"
#include "stillarm/text.h"

#define FILE_MAX_BYTES (1024 * 1024)

static enum status read_all(int fd, char **out, size_t *out_len, struct err *e)
{
    char *text = malloc(FILE_MAX_BYTES + 2);
    size_t len = 0;
    ssize_t n = 0;
    if (!text)
        return err_set(e, ST_NO_MEMORY, "there is no memory left to read it.");
    do {
        n = read(fd, text + len, FILE_MAX_BYTES + 1 - len);
        len += n > 0 ? (size_t)n : 0;
    } while ((n > 0 && len <= FILE_MAX_BYTES) || (n < 0 && errno == EINTR));
    if (n < 0 || len > FILE_MAX_BYTES) {
        int why = errno;
        free(text);
        return n < 0 ? err_set(e, ST_IO, "it cannot be read: %s.", strerror(why))
                     : err_set(e, ST_FULL, "it is larger than 1 MB, which no such file is.");
    }
    text[len] = '\0';
    char *fitted = realloc(text, len + 1); /* kept for as long as the program runs */
    *out = fitted ? fitted : text;
    *out_len = len;
    return ST_OK;
}

static int line_of(const char *text, const char *at)
{
    int line = 1;
    for (; text < at; text++)
        line += *text == '\n';
    return line;
}

enum status file_read(const char *path, char **out, int *line, struct err *e)
{
    struct stat kind;
    size_t len = 0;
    *line = 1;
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK); /* a pipe of that name must not hold us up */
    if (fd < 0)
        return err_set(e, errno == ENOENT ? ST_NOT_FOUND : errno == EACCES ? ST_PERMISSION : ST_IO,
                       "it cannot be opened: %s.", strerror(errno));
    enum status st = fstat(fd, &kind) != 0 || !S_ISREG(kind.st_mode)
                         ? err_set(e, ST_IO, "it is no ordinary file.")
                         : read_all(fd, out, &len, e);
    (void)close(fd);
    if (st != ST_OK)
        return st;
    const char *nul = memchr(*out, '\0', len);
    if (!nul)
        return ST_OK;
    *line = line_of(*out, nul);
    free(*out);
    *out = NULL;
    return err_set(e, ST_SYNTAX, "this line holds a NUL byte: the file is no text.");
}

char *file_told(const char *path, struct faults *f)
{
    char *text = NULL;
    struct err e;
    int line = 1;
    if (file_read(path, &text, &line, &e) != ST_OK)
        fault_at(f, line, "%s", e.text);
    return text;
}

char *file_read_told(const char *dir, const char *name, struct faults *f)
{
    char path[PATH_CAP];
    if (path_join(path, dir, name))
        return file_told(path, f);
    fault_at(f, 1, "its path is longer than %d bytes.", PATH_CAP - 1);
    return NULL;
}

/* ---- the list ---- */

static const char *const SEEN_WORDS[] = {"seen", "seen2", "memory", "calc"};

struct list {
    struct source *all;
    int count, line; /* line: of the latest section */
    bool is_open;    /* the latest section is a new source, the last of all */
    struct faults *faults;
};

const struct source *sources_find(const struct source *list, int count, const char *id)
{
    for (int i = 0; i < count; i++)
        if (strcmp(list[i].id, id) == 0)
            return &list[i];
    return NULL;
}

bool source_is_memory(const struct source *s)
{
    return strcmp(s->seen, "memory") == 0;
}

static void close_source(struct list *l)
{
    if (!l->is_open)
        return;
    const struct source *s = &l->all[l->count - 1];
    if (s->title[0] == '\0' || s->seen[0] == '\0') {
        fault_at(l->faults, l->line, "source %s has no %s.", s->id, s->title[0] == '\0' ? "title" : "seen");
        l->count--;
    }
    l->is_open = false;
}

static void on_section(void *user, int line, const char *name)
{
    struct list *l = user;
    close_source(l);
    l->line = line;
    if (!is_item(name)) {
        fault_at(l->faults, line, "a source's id is 1 to 32 letters, digits, points or hyphens.");
    } else if (sources_find(l->all, l->count, name)) {
        fault_at(l->faults, line, "source %s is there twice.", name);
    } else if (l->count == SOURCES_MAX) {
        fault_at(l->faults, line, "there are more than %d sources.", SOURCES_MAX);
    } else {
        struct source *s = &l->all[l->count++];
        memset(s, 0, sizeof *s);
        (void)text_copy(s->id, sizeof s->id, name);
        l->is_open = true;
    }
}

static void set_once(struct list *l, int line, char *buf, size_t cap, const char *name, const char *value)
{
    if (buf[0] != '\0')
        fault_at(l->faults, line, "%s is given twice.", name);
    else if (!text_copy(buf, cap, value) || !is_plain_text(value, (int)cap - 1))
        fault_at(l->faults, line, "%s must be a text of 1 to %zu bytes.", name, cap - 1);
}

static bool is_seen_word(const char *value)
{
    for (size_t i = 0; i < ARRAY_LEN(SEEN_WORDS); i++)
        if (strcmp(value, SEEN_WORDS[i]) == 0)
            return true;
    return false;
}

static void on_value(void *user, int line, const char *name, const char *value, bool is_more)
{
    struct list *l = user;
    if (!l->is_open)
        return; /* the section's own fault was told */
    struct source *s = &l->all[l->count - 1];
    if (is_more && strcmp(name, "title") == 0) {
        size_t len = strlen(s->title);
        struct text t = {.buf = s->title, .cap = sizeof s->title, .len = len};
        text_addf(&t, " %s", value);
        if (t.is_cut)
            fault_at(l->faults, line, "title must be a text of 1 to %zu bytes.", sizeof s->title - 1);
    } else if (strcmp(name, "title") == 0) {
        set_once(l, line, s->title, sizeof s->title, name, value);
    } else if (strcmp(name, "body") == 0 && !is_more) {
        set_once(l, line, s->body, sizeof s->body, name, value);
    } else if (strcmp(name, "seen") != 0) {
        fault_at(l->faults, line, "a source has title, seen and body, not %s.", name);
    } else if (is_more || !is_seen_word(value)) {
        fault_at(l->faults, line, "seen is one of: seen, seen2, memory, calc.");
    } else {
        set_once(l, line, s->seen, sizeof s->seen, name, value);
    }
}

static void on_end(void *user, int line)
{
    (void)line;
    close_source(user);
}

void sources_parse(const char *text, struct source **list, int *count, struct faults *f)
{
    struct list l = {.all = calloc(SOURCES_MAX, sizeof *l.all), .faults = f};
    *list = l.all;
    *count = 0;
    if (!l.all) {
        fault_at(f, 1, "there is no memory left to read it.");
        return;
    }
    const struct ini_reader reader = {.user = &l, .section = on_section, .value = on_value, .end = on_end};
    ini_read(text, &reader, f);
    *count = l.count;
}
