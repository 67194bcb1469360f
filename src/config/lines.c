/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config/lines.h"

#include <ini.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

#include "stillarm/text.h"

/* inih cuts names at 50 bytes and lines at its buffer without a word; we refuse before it can. */
#define INI_NAME_BYTES 49

void fault_at(struct faults *f, int line, const char *format, ...)
{
    char reason[FAULT_CAP], fault[FAULT_CAP];
    struct text t;
    va_list args;
    va_start(args, format);
    (void)vsnprintf(reason, sizeof reason, format, args);
    va_end(args);
    text_defuse(reason); /* a file's own words may stand in it, and a value may hold a tab */
    text_init(&t, fault, sizeof fault);
    text_addf(&t, "%s:%d: %s", f->name, line, reason);
    if (f->count++ == 0)
        (void)text_copy(f->first, sizeof f->first, fault);
    if (f->add)
        f->add(f->user, fault);
}

struct stream {
    const char *at;
    int line;
    bool is_indented; /* the line in hand begins with a blank */
    bool has_name;    /* a name stands above it in its section: inih takes an indented line for more of its value */
    bool has_section, is_section_bad;
    char section[INI_NAME_BYTES + 1];
    const struct ini_reader *reader;
    struct faults *faults;
};

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

/* A name of the file in a message: what cannot be shown does not get there. */
static const char *shown(const char *s)
{
    return is_plain_text(s, 60) ? s : "this";
}

static void begin_section(struct stream *st, const char *line, size_t len)
{
    while (len > 1 && is_blank(line[len - 1]))
        len--;
    st->has_name = false;
    st->has_section = st->is_section_bad = true;
    if (len < 3 || line[len - 1] != ']' || memchr(line, ']', len) != line + len - 1) {
        fault_at(st->faults, st->line, "a section is a line such as [key rest_s], with nothing behind it.");
    } else if (len - 2 > INI_NAME_BYTES) {
        fault_at(st->faults, st->line, "the name of this section is too long.");
    } else {
        memcpy(st->section, line + 1, len - 2);
        st->section[len - 2] = '\0';
        st->is_section_bad = false;
        st->reader->section(st->reader->user, st->line, st->section);
    }
}

static bool is_value_line_sound(const struct stream *st, const char *line, size_t len)
{
    for (size_t i = 1; i < len; i++) {
        if (line[i] == ';' && is_blank(line[i - 1])) { /* inih would drop the rest of the line */
            fault_at(st->faults, st->line, "a semicolon behind a blank begins a comment: give a comment its own line.");
            return false;
        }
    }
    if (!st->has_section || st->is_section_bad) {
        if (!st->has_section)
            fault_at(st->faults, st->line, "this stands before the first section.");
        return false;
    }
    if (st->is_indented && st->has_name)
        return true;
    const char *equals = memchr(line, '=', len);
    if (!equals || memchr(line, ':', (size_t)(equals - line))) {
        fault_at(st->faults, st->line, "this is neither a section, nor NAME = VALUE, nor a comment.");
        return false;
    }
    size_t name = (size_t)(equals - line);
    while (name > 0 && is_blank(line[name - 1]))
        name--;
    if (name == 0 || name > INI_NAME_BYTES) {
        fault_at(st->faults, st->line, name == 0 ? "the name before = is missing." : "the name before = is too long.");
        return false;
    }
    return true;
}

static bool is_text_sound(const struct stream *st, const char *line, size_t len, size_t room)
{
    if (len > room) {
        fault_at(st->faults, st->line, "this line is longer than %zu bytes: begin a new one with a blank and go on there.",
                 room);
        return false;
    }
    for (size_t i = 0; i < len;) {
        uint32_t c;
        size_t n = utf8_decode(line + i, len - i, &c);
        if (n == 0 || (is_control(c) && c != '\t')) {
            fault_at(st->faults, st->line, n == 0 ? "this line is not valid UTF-8." : "this line holds a control character.");
            return false;
        }
        i += n;
    }
    return true;
}

/* Is the line in hand for inih? Sections are reported here: inih says nothing of empty ones. */
static bool examine(struct stream *st, const char *line, size_t len, size_t room)
{
    size_t skip = 0;
    while (skip < len && is_blank(line[skip]))
        skip++;
    st->is_indented = skip > 0;
    if (!is_text_sound(st, line, len, room))
        return false;
    line += skip;
    len -= skip;
    if (len == 0 || *line == '#' || *line == ';')
        return false;
    if (*line == '[' && !(st->is_indented && st->has_name)) {
        begin_section(st, line, len);
        return !st->is_section_bad;
    }
    return is_value_line_sound(st, line, len);
}

/* Called by inih for each line. What it must not see becomes an empty line, so that numbers stay right. */
static char *next_line(char *buf, int size, void *user)
{
    struct stream *st = user;
    if (*st->at == '\0')
        return NULL;
    size_t whole = strcspn(st->at, "\n"), len = whole;
    const char *line = st->at;
    st->at += whole + (st->at[whole] == '\n');
    st->line++;
    if (len > 0 && line[len - 1] == '\r')
        len--;
    if (st->line == 1 && len >= 3 && memcmp(line, "\xEF\xBB\xBF", 3) == 0) {
        line += 3;
        len -= 3;
    }
    if (!examine(st, line, len, (size_t)size - 2))
        len = 0;
    memcpy(buf, line, len);
    buf[len] = '\n';
    buf[len + 1] = '\0';
    return buf;
}

static int on_value(void *user, const char *section, const char *name, const char *value)
{
    struct stream *st = user;
    bool is_more = st->is_indented && st->has_name;
    (void)section;
    st->has_name = true;
    st->reader->value(st->reader->user, st->line, shown(name), value, is_more);
    return 1;
}

void ini_read(const char *text, const struct ini_reader *reader, struct faults *f)
{
    struct stream st = {.at = text, .reader = reader, .faults = f};
    int bad = ini_parse_stream(next_line, &st, on_value, &st);
    if (bad != 0 && f->count == 0) /* what examine() let through and inih did not like */
        fault_at(f, bad > 0 ? bad : st.line, "this line is not understood.");
    reader->end(reader->user, st.line ? st.line : 1);
}
