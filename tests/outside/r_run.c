/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "outside/r_run.h"

#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>

#define LINE_CAP 160
#define NOT_FOUND 127 /* as the shell says it */

static struct said {
    char key[R_KEY_CAP];
    bool is_number;
    double value;
} * said;
static size_t said_count, said_cap;

static int by_key(const void *a, const void *b)
{
    const struct said *left = a, *right = b;
    return strcmp(left->key, right->key);
}

static void keep_line(char *line)
{
    char *tab = strchr(line, '\t'), *end;
    ck_assert_msg(tab != NULL && tab - line < R_KEY_CAP, "R printed `%s`, which is no key and value", line);
    if (said_count == said_cap) {
        said_cap = said_cap * 2 + 1024;
        said = realloc(said, said_cap * sizeof *said);
        ck_assert_ptr_nonnull(said);
    }
    struct said *s = &said[said_count++];
    memset(s, 0, sizeof *s);
    memcpy(s->key, line, (size_t)(tab - line));
    s->is_number = strcmp(tab + 1, "NA\n") != 0;
    s->value = strtod(tab + 1, &end);
    ck_assert_msg(!s->is_number || (end != tab + 1 && *end == '\n'), "R printed no number for %s: %s", s->key,
                  tab + 1);
}

void r_run(const char *script, const char *path)
{
    char command[400], line[LINE_CAP];
    snprintf(command, sizeof command, "TZ=UTC LC_ALL=C Rscript --vanilla '%s/tests/outside/%s' '%s'",
             TEST_SOURCE_DIR, script, path);
    FILE *f = popen(command, "r");
    ck_assert_msg(f != NULL, "no shell could be started for R");
    while (fgets(line, sizeof line, f) != NULL)
        keep_line(line);
    int status = pclose(f);
    ck_assert_msg(
        !WIFEXITED(status) || WEXITSTATUS(status) != NOT_FOUND,
        "Rscript is not there: these figures are checked against R. Install r-base-core and r-cran-psych");
    ck_assert_msg(status == 0,
                  "%s ended with an error, which R has said above; it takes r-base-core and r-cran-psych",
                  script);
    ck_assert_msg(said_count > 0, "%s printed nothing", script);
    qsort(said, said_count, sizeof *said, by_key);
}

enum r_answer r_value(const char *key, double *out)
{
    struct said wanted;
    snprintf(wanted.key, sizeof wanted.key, "%s", key);
    const struct said *found = bsearch(&wanted, said, said_count, sizeof *said, by_key);
    if (found == NULL)
        return R_NOTHING;
    *out = found->value;
    return found->is_number ? R_VALUE : R_LACKS;
}

void r_free(void)
{
    free(said);
    said = NULL;
    said_count = said_cap = 0;
}
