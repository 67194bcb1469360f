/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file bench_echo.c  From a key to the redrawn screen, against a bare curses program that puts the key on
 * its screen. Both run in the same emulated terminal, in turns. Nothing is stored meanwhile: letters go into
 * a field. */
#include "bench_kit.h"

#include <curses.h>
#include <locale.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

enum { ROUNDS = 60, LETTERS = 10 };

/* The bare program: one letter at the cursor, backspace takes it back. */
static int bare(void)
{
    int c, n = 0;

    initscr();
    cbreak();
    noecho();
    keypad(stdscr, TRUE);
    mvaddstr(0, 0, "ready");
    move(10, 20);
    while ((c = getch()) != 'Q') {
        if (c == KEY_BACKSPACE || c == 127) {
            n--;
            mvaddch(10, 20 + n, ' ');
            move(10, 20 + n);
        } else {
            mvaddch(10, 20 + n, (chtype)c);
            n++;
        }
        refresh();
    }
    endwin();
    return 0;
}

static VTermPos cursor(struct kit *k)
{
    VTermPos at;

    vterm_state_get_cursorpos(vterm_obtain_state(k->vt), &at);
    return at;
}

/* Type a letter where the cursor is; the time until it stands there. */
static double one_key(struct kit *k, char letter)
{
    VTermPos at = cursor(k);
    VTermScreenCell cell = {.chars = {0}};
    char text[2] = {letter, '\0'};
    double from = now_us(), took;

    kit_type(k, text);
    do {
        stop_if(!kit_pump(k, 1000) || now_us() - from > 5e6, "a key is not on the screen after five seconds");
        kit_cell(k, at.row, at.col, &cell);
    } while (cell.chars[0] != (uint32_t)letter);
    took = now_us() - from;
    kit_settle(k, 2);
    return took;
}

static void round_of(struct kit *k, double *out)
{
    for (int i = 0; i < LETTERS; i++)
        out[i] = one_key(k, (char)('a' + i));
    for (int i = 0; i < LETTERS; i++)
        kit_press(k, KIT_BACKSPACE);
    kit_settle(k, 20);
}

int main(int argc, char **argv)
{
    static double ours[ROUNDS * LETTERS], bares[ROUNDS * LETTERS];
    const char *const self[] = {"/proc/self/exe", "--bare", NULL};
    struct kit program, child;
    double our_median, bare_median, our_p99, bare_p99;
    char store[200];

    if (argc > 1 && strcmp(argv[1], "--bare") == 0)
        return bare();
    setlocale(LC_ALL, "");
    snprintf(store, sizeof store, "bench-100000.db");
    full_store(store, 100000);
    stop_if(!kit_start(&child, &(struct kit_options){.argv = self}), "the bare program does not start");
    stop_if(!kit_wait(&child, "ready", KIT_WAIT_MS), "the bare program shows nothing");
    start_program(&program, store, "sit");
    stop_if(!kit_wait(&program, "Who is here?", KIT_WAIT_MS), "the program shows no first page");
    kit_type(&program, "x"); /* with the first letter the page says other things */
    kit_settle(&program, 50);
    round_of(&child, bares);
    round_of(&program, ours);
    for (int i = 0; i < ROUNDS; i++) { /* in turns: what else the machine does hits both */
        round_of(&child, bares + i * LETTERS);
        round_of(&program, ours + i * LETTERS);
    }
    our_median = percentile(ours, ROUNDS * LETTERS, 0.5);
    bare_median = percentile(bares, ROUNDS * LETTERS, 0.5);
    our_p99 = percentile(ours, ROUNDS * LETTERS, 0.99);
    bare_p99 = percentile(bares, ROUNDS * LETTERS, 0.99);
    printf("key to screen, median ratio %.2f (ours %.0f us, bare %.0f us; goal 3)\n",
           our_median / bare_median, our_median, bare_median);
    printf("key to screen, p99 ratio %.2f (ours %.0f us, bare %.0f us; goal 3, and ours under 1000 us)\n",
           our_p99 / bare_p99, our_p99, bare_p99);
    kit_type(&child, "Q");
    kit_stop(&child, 1000);
    kit_signal(&program, 15);
    kit_stop(&program, 1000);
    return 0;
}
