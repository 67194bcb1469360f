/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "booth_kit.h"

#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "sitting_tour.h"

#define FILE_CAP 32768

char booth_folder[64], booth_db[96];

void booth_open(void)
{
    char clock_file[96];
    setenv("TZ", "UTC", 1);
    snprintf(booth_folder, sizeof booth_folder, "/tmp/stillarm-booth-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(booth_folder));
    snprintf(booth_db, sizeof booth_db, "%s/store.db", booth_folder);
    snprintf(clock_file, sizeof clock_file, "%s/clock", booth_folder);
    ck_assert(clock_create(clock_file));
    tour_furnish(booth_db);
}

void booth_close(void)
{
    char command[128];
    snprintf(command, sizeof command, "rm -rf %s", booth_folder);
    ck_assert_int_eq(system(command), 0);
}

void booth_start(struct kit *k, const char *program, const char *verb)
{
    const char *argv[] = {program, "--db", booth_db, verb, NULL};
    ck_assert(kit_start(k, &(struct kit_options){.argv = argv}));
}

int booth_run(const char *program, const char *words, char *out, size_t cap)
{
    char command[512];
    snprintf(command, sizeof command, "%s --db %s %s 2>&1", program, booth_db, words);
    FILE *f = popen(command, "r");
    ck_assert_ptr_nonnull(f);
    size_t n = fread(out, 1, cap - 1, f);
    out[n] = '\0';
    return WEXITSTATUS(pclose(f));
}

void booth_must_hold(const char *text, const char *const *expected)
{
    for (; *expected; expected++)
        ck_assert_msg(strstr(text, *expected) != NULL, "'%s' is missing from\n%.*s", *expected, BOOTH_TOLD_MAX, text);
}

void booth_check_record(const char *program, const char *sitting, const char *const *expected)
{
    static char log[65536], replayed[131072];
    char words[160], name[96];
    snprintf(words, sizeof words, "print %s", sitting);
    ck_assert_int_eq(booth_run(program, words, log, sizeof log), 0);
    snprintf(name, sizeof name, "%s/%s.log", booth_folder, sitting);
    FILE *f = fopen(name, "w");
    ck_assert_ptr_nonnull(f);
    ck_assert_uint_eq(fwrite(log, 1, strlen(log), f), strlen(log));
    ck_assert_int_eq(fclose(f), 0);
    snprintf(words, sizeof words, "replay %s", name);
    ck_assert_msg(booth_run(program, words, replayed, sizeof replayed) == 0, "%.*s", BOOTH_TOLD_MAX, replayed);
    ck_assert_msg(strstr(replayed, "\nno\t") == NULL, "%.*s", BOOTH_TOLD_MAX, replayed);
    booth_must_hold(replayed, expected);
    ck_assert_msg(booth_run(program, "verify", replayed, sizeof replayed) == 0, "%.*s", BOOTH_TOLD_MAX, replayed);
}

void booth_write(const char *path, const char *text)
{
    FILE *f = fopen(path, "w");
    ck_assert_msg(f != NULL, "%s cannot be written", path);
    ck_assert_int_ge(fputs(text, f), 0);
    ck_assert_int_eq(fclose(f), 0);
}

static void change(char *text, size_t cap, const struct booth_change *c)
{
    static char rest[FILE_CAP];
    char *at = strstr(text, c->after);
    at = at != NULL ? strstr(at, c->from) : NULL;
    ck_assert_msg(at != NULL, "no '%s' after '%s'", c->from, c->after);
    snprintf(rest, sizeof rest, "%s", at + strlen(c->from));
    snprintf(at, cap - (size_t)(at - text), "%s%s", c->to, rest);
}

void booth_copy(const char *asset, const char *path, const struct booth_change *changes)
{
    static char text[FILE_CAP];
    char from[512];
    snprintf(from, sizeof from, "%s/assets/%s", TEST_SOURCE_DIR, asset);
    FILE *f = fopen(from, "r");
    ck_assert_msg(f != NULL, "%s cannot be read", from);
    text[fread(text, 1, sizeof text - 1, f)] = '\0';
    ck_assert_int_eq(fclose(f), 0);
    for (; changes->after != NULL; changes++)
        change(text, sizeof text, changes);
    booth_write(path, text);
}

void booth_copy_protocol(const char *folder)
{
    static const struct booth_change CHANGES[] = {
        {"[protocol]", "id = us-adult", "id = our-clinic\ncopied_from = us-adult"},
        {"[protocol]", "title = Adult, United States", "title = Adult, our clinic"},
        {"[key rest_s]", "value = 300", "value = 180"},
        {"[key settle_s]", "value = 30", "value = 10"},
        {"[key margin_mmhg]", "value = 30", "value = 40"},
        {NULL, NULL, NULL},
    };
    char path[160];
    ck_assert_int_eq(mkdir(folder, 0700), 0);
    snprintf(path, sizeof path, "%s/our-clinic.protocol", folder);
    booth_copy("protocols/us-adult.protocol", path, CHANGES);
}
