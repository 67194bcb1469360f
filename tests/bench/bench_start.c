/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file bench_start.c  From start to the first whole screen, with 100 000 sittings in the store, against a
 * bare program that starts curses, shows a word and ends. */
#include "bench_kit.h"

#include <curses.h>
#include <stdio.h>
#include <string.h>

enum { RUNS = 60 };

static int bare(void)
{
    initscr();
    mvaddstr(0, 0, "ready");
    refresh();
    getch();
    endwin();
    return 0;
}

/* Start, wait for the text that is drawn last, end it; microseconds until the text. */
static double one_start(const char *const *argv, const char *text, const char *leave)
{
    struct kit k;
    double from = now_us(), took;

    stop_if(!kit_start(&k, &(struct kit_options){.argv = argv}), "a program does not start");
    while (!kit_has(&k, text))
        stop_if(!kit_pump(&k, 1000) || now_us() - from > 20e6, "a first screen did not come");
    took = now_us() - from;
    kit_type(&k, leave);
    kit_stop(&k, 5000);
    return took;
}

int main(int argc, char **argv)
{
    static const char STORE[] = "bench-100000.db";
    const char *const self[] = {"/proc/self/exe", "--bare", NULL};
    const char *const program[] = {TEST_PROGRAM, "--db", STORE, NULL};
    double ours[RUNS], bares[RUNS], our_median, bare_median;

    if (argc > 1 && strcmp(argv[1], "--bare") == 0)
        return bare();
    full_store(STORE, 100000);
    one_start(self, "ready", "q"); /* warm */
    one_start(program, "q quit", "q");
    for (int i = 0; i < RUNS; i++) {
        bares[i] = one_start(self, "ready", "q");
        ours[i] = one_start(program, "q quit", "q");
    }
    our_median = percentile(ours, RUNS, 0.5);
    bare_median = percentile(bares, RUNS, 0.5);
    printf("start to first screen, 100000 sittings, ratio %.2f (ours %.2f ms, bare %.2f ms; goal 3)\n",
           our_median / bare_median, our_median / 1e3, bare_median / 1e3);
    return 0;
}
