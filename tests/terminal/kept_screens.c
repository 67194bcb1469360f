/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "kept_screens.h"

#include <check.h>
#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

static void kept_path(const char *page, char out[512])
{
    snprintf(out, 512, "%s/docs/screens/%s.txt", TEST_SOURCE_DIR, page);
}

bool kept_read(const char *page, char out[KEPT_CAP])
{
    char path[512];
    kept_path(page, path);
    FILE *f = fopen(path, "r");
    if (f == NULL)
        return false;
    size_t n = fread(out, 1, KEPT_CAP - 1, f);
    out[n] = '\0';
    return fclose(f) == 0;
}

void kept_write(const char *page, const char *screen)
{
    static char before[KEPT_CAP];
    char path[512], aside[600];
    if (kept_read(page, before) && strcmp(before, screen) == 0)
        return;
    kept_path(page, path);
    snprintf(aside, sizeof aside, "%s.%d.tmp", path, (int)getpid());
    FILE *f = fopen(aside, "w");
    ck_assert_msg(f != NULL, "%s cannot be written: %s", aside, strerror(errno));
    ck_assert_int_ge(fputs(screen, f), 0);
    ck_assert_int_eq(fclose(f), 0);
    ck_assert_int_eq(rename(aside, path), 0);
}
