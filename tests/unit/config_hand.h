/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file config_hand.h  A folder of our own for the tests of what is loaded: DIR/p holds the protocols, DIR the lists. */
#ifndef STILLARM_TEST_CONFIG_HAND_H
#define STILLARM_TEST_CONFIG_HAND_H

#include <check.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "config/protocols.h"
#include "stillarm/text.h"

#define US TEST_SOURCE_DIR "/assets/protocols/us-adult.protocol"
#define FILE_BYTES 40000

static char dir[64];      /* a folder of our own: DIR/p holds the protocols, DIR the sources */
static char whole[FILE_BYTES];

static inline void read_file(const char *path, char *out)
{
    FILE *f = fopen(path, "rb");
    ck_assert_ptr_nonnull(f);
    size_t n = fread(out, 1, FILE_BYTES - 1, f);
    ck_assert_uint_lt(n, FILE_BYTES - 1);
    out[n] = '\0';
    ck_assert_int_eq(fclose(f), 0);
}

static inline void path_of(const char *name, char out[128])
{
    snprintf(out, 128, "%s/%s", dir, name);
}

static inline void write_bytes(const char *name, const char *bytes, size_t n)
{
    char path[128];
    path_of(name, path);
    FILE *f = fopen(path, "wb");
    ck_assert_ptr_nonnull(f);
    ck_assert_uint_eq(fwrite(bytes, 1, n, f), n);
    ck_assert_int_eq(fclose(f), 0);
}

static inline void write_text(const char *name, const char *text)
{
    write_bytes(name, text, strlen(text));
}

static inline void setup(void)
{
    char path[128];
    strcpy(dir, "/tmp/stillarm-protocols-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(dir));
    path_of("p", path);
    ck_assert_int_eq(mkdir(path, 0700), 0);
    static char sources[FILE_BYTES];
    read_file(TEST_SOURCE_DIR "/assets/sources.ini", sources);
    write_text("sources.ini", sources);
    read_file(US, whole);
}

static inline void teardown(void)
{
    char command[160];
    snprintf(command, sizeof command, "chmod -R u+rwx %s; rm -r %s", dir, dir);
    ck_assert_int_eq(system(command), 0);
}

static inline enum status load(struct protocols *ps, struct err *e)
{
    char path[128];
    path_of("p", path);
    return protocols_load(path, ps, e);
}

/* The line, from 1, on which text first occurs. */
static inline int line_of(const char *in, const char *text)
{
    const char *at = strstr(in, text);
    int line = 1;
    ck_assert_msg(at != NULL, "'%s' is not there", text);
    for (const char *c = in; c < at; c++)
        line += *c == '\n';
    return line;
}

/* whole with its first `from` replaced. */
static inline void replaced(char *out, const char *from, const char *to)
{
    const char *at = strstr(whole, from);
    ck_assert_msg(at != NULL, "'%s' is not there", from);
    int n = snprintf(out, FILE_BYTES, "%.*s%s%s", (int)(at - whole), whole, to, at + strlen(from));
    ck_assert_int_lt(n, FILE_BYTES);
}

static inline bool has_fault(const struct protocols *ps, const char *begin, const char *reason)
{
    for (int i = 0; i < ps->fault_count; i++)
        if (strncmp(ps->faults[i], begin, strlen(begin)) == 0 && strstr(ps->faults[i], reason))
            return true;
    return false;
}

static inline const char *all_faults(const struct protocols *ps)
{
    static char said[8000];
    struct text t;
    text_init(&t, said, sizeof said);
    for (int i = 0; i < ps->fault_count; i++)
        text_addf(&t, "%s\n", ps->faults[i]);
    return said;
}

#endif
