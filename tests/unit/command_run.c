/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "command_run.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "command/demo_data.h"

char run_folder[64];

int run(const char *line, char *out, size_t cap)
{
    char command[1600];
    size_t len = 0, n;
    int needed = snprintf(command, sizeof command,
                          "cd %s && export STILLARM_PROTOCOLS=%s/assets/protocols XDG_DATA_HOME=%s/data S='%s' TERM=dumb; "
                          "{ %s; } 2>&1 </dev/null",
                          run_folder, TEST_SOURCE_DIR, run_folder, TEST_PROGRAM, line);
    ck_assert_int_lt(needed, (int)sizeof command);
    FILE *p = popen(command, "r");
    ck_assert_ptr_nonnull(p);
    while ((n = fread(out + len, 1, cap - 1 - len, p)) > 0)
        len += n;
    out[len] = '\0';
    int status = pclose(p);
    ck_assert_msg(WIFEXITED(status), "%s: ended by a signal; %s", line, out);
    return WEXITSTATUS(status);
}

void must(const char *line)
{
    static char out[60000];
    ck_assert_msg(run(line, out, sizeof out) == 0, "%s: %s", line, out);
}

void must_print(const char *line, const char *const *holds)
{
    static char out[200000];
    ck_assert_msg(run(line, out, sizeof out) == 0, "%s: %s", line, out);
    for (; *holds; holds++)
        ck_assert_msg(strstr(out, *holds), "%s prints no `%s`: %s", line, *holds, out);
}

void run_check(const struct run_row *row)
{
    static char out[60000];
    int status = run(row->line, out, sizeof out);
    ck_assert_msg(status == row->status, "%s: status %d; %s", row->line, status, out);
    ck_assert_msg(strstr(out, row->holds), "%s: %s", row->line, out);
}

static void setup(void)
{
    snprintf(run_folder, sizeof run_folder, "/tmp/stillarm-test-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(run_folder));
    ck_assert_int_eq(setenv("STILLARM_SITE", run_folder, 1), 0); /* not what whoever runs this has written */
}

static void teardown(void)
{
    char command[100];
    snprintf(command, sizeof command, "rm -r '%s'", run_folder);
    ck_assert_int_eq(system(command), 0);
}

static void fill(const char *protocol_dir, enum status (*with)(struct workplace *, struct err *))
{
    char db[128], dir[512];
    struct workplace w;
    struct err e = { 0 };
    struct command_line line = { .value = { [OPTION_DB] = db, [OPTION_PROTOCOL_DIR] = dir } };
    snprintf(db, sizeof db, "%s/s.db", run_folder);
    snprintf(dir, sizeof dir, "%s/%s", protocol_dir ? run_folder : TEST_SOURCE_DIR "/assets",
             protocol_dir ? protocol_dir : "protocols");
    ck_assert_msg(workplace_open(&w, &line, STORE_THROW_AWAY, WORKPLACE_STORE_AND_PROTOCOLS, &e) == ST_OK, "%s", e.text);
    ck_assert_msg(with(&w, &e) == ST_OK, "%s", e.text);
    workplace_close(&w);
}

void run_fill_store(const char *protocol_dir)
{
    fill(protocol_dir, demo_fill);
}

void run_fill_course(void)
{
    fill(NULL, demo_fill_course);
}

TCase *run_case_new(const char *name, int timeout_s)
{
    TCase *t = tcase_create(name);
    tcase_set_timeout(t, timeout_s);
    tcase_add_checked_fixture(t, setup, teardown);
    return t;
}

int run_case(TCase *t)
{
    Suite *s = suite_create("command line");
    suite_add_tcase(s, t);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
