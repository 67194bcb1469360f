/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file demo.c  The verb `demo`: a throw-away store, and a sitting that plays itself. */
#include <dirent.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "command/demo_data.h"
#include "command/demo_script.h"
#include "command/home.h"
#include "command/sit.h"
#include "stillarm/text.h"
#include "terminal/clock.h"

#define PLAY_SPEED 30

static enum status make_folder(char *folder, size_t cap, struct err *e)
{
    const char *tmp = getenv("TMPDIR");
    int n = snprintf(folder, cap, "%s/stillarm-demo-XXXXXX", tmp && tmp[0] ? tmp : "/tmp");
    if (n < 0 || (size_t)n >= cap)
        return err_set(e, ST_IO, "The name of the temporary folder, from TMPDIR, is too long.");
    if (!mkdtemp(folder))
        return err_set(e, ST_IO, "%s cannot be made: %s. Set TMPDIR to a folder that can be written.", folder,
                       strerror(errno));
    return ST_OK;
}

/* The folder is ours alone and holds the store and what SQLite puts beside it. */
static void remove_folder(const char *folder)
{
    DIR *dir = opendir(folder);
    struct dirent *entry;
    while (dir && (entry = readdir(dir))) {
        char path[1400];
        snprintf(path, sizeof path, "%s/%s", folder, entry->d_name);
        if (strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0)
            unlink(path);
    }
    if (dir)
        closedir(dir);
    rmdir(folder);
}

static int play(struct ui *ui, struct err *e)
{
    struct demo_script script;
    snprintf(ui->banner, sizeof ui->banner, "DEMO: invented data, the clock runs %d times too fast", PLAY_SPEED);
    demo_script_begin(&script, ui);
    clock_set_speed(PLAY_SPEED);
    enum sit_end end = sit_new(ui, e);
    clock_set_speed(1);
    if (end == SIT_FAILED)
        return EXIT_FILES;
    return end == SIT_FINISHED ? EXIT_FINE : EXIT_UNFINISHED;
}

static int run_in(const struct command_line *line, const char *folder, struct err *e)
{
    struct command_line there = *line;
    struct workplace w;
    struct ui ui;
    char path[1200];
    snprintf(path, sizeof path, "%s/store.db", folder);
    there.value[OPTION_DB] = path;
    if (workplace_open(&w, &there, STORE_THROW_AWAY, WORKPLACE_STORE_AND_PROTOCOLS, e) != ST_OK)
        return EXIT_FILES;
    int status = EXIT_TERMINAL;
    /* Opened before there is anything to show: from here on a signal waits, and the folder is removed. */
    if (ui_open(&ui, &w, line, e) == ST_OK) {
        status = EXIT_FILES;
        text_copy(ui.banner, sizeof ui.banner, "DEMO: invented data, gone when you leave. PINs: " DEMO_PINS);
        if (demo_fill_course(&w, e) == ST_OK)
            status = line->value[OPTION_PLAY] ? play(&ui, e) : home_run(&ui);
        ui_close(&ui);
    }
    workplace_close(&w);
    return status;
}

int verb_demo(const struct command_line *line)
{
    struct err e = { 0 };
    char folder[1100];
    if (line->value[OPTION_DB]) {
        err_set(&e, ST_USAGE, "demo makes its own store and takes no --db: invented data never go into a real one.");
        return command_fail(&e);
    }
    if (make_folder(folder, sizeof folder, &e) != ST_OK)
        return command_fail(&e);
    int status = run_in(line, folder, &e);
    remove_folder(folder);
    if (status >= EXIT_USAGE)
        command_fail(&e);
    /* what is left open here is thrown away: that is no unfinished business */
    return status == EXIT_UNFINISHED ? EXIT_FINE : status;
}
