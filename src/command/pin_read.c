/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file pin_read.c  Reads a PIN for a verb: from the terminal with its echo off, or a line of standard input. */
#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <termios.h>
#include <unistd.h>

#include "command/pin.h"
#include "stillarm/text.h"

/* While the echo is off, whatever would end the program first gives the terminal back. */
static const int ENDING[] = { SIGINT, SIGTERM, SIGHUP, SIGQUIT };
static volatile sig_atomic_t ended_by;

static void on_ending(int number)
{
    ended_by = number;
}

struct quiet {
    struct termios modes;
    struct sigaction before[ARRAY_LEN(ENDING)], before_stop;
    bool is_on;
};

static bool is_silent(void)
{
    struct termios now;
    return tcgetattr(STDIN_FILENO, &now) == 0 && !(now.c_lflag & ECHO);
}

/* False: a terminal that would show what is typed. */
static bool quiet_begin(struct quiet *q)
{
    struct termios silent;
    struct sigaction ending = { .sa_handler = on_ending }, stop = { .sa_handler = SIG_IGN };
    const bool is_terminal = isatty(STDIN_FILENO) == 1;
    q->is_on = is_terminal && tcgetattr(STDIN_FILENO, &q->modes) == 0;
    ended_by = 0;
    if (!q->is_on)
        return !is_terminal;
    sigemptyset(&ending.sa_mask);
    sigemptyset(&stop.sa_mask);
    for (size_t i = 0; i < ARRAY_LEN(ENDING); i++)
        sigaction(ENDING[i], &ending, &q->before[i]);
    sigaction(SIGTSTP, &stop, &q->before_stop);
    silent = q->modes;
    silent.c_lflag &= ~(tcflag_t)(ECHO | ECHOE | ECHOK);
    silent.c_lflag |= ECHONL;
    tcsetattr(STDIN_FILENO, TCSAFLUSH, &silent); /* what was typed before the prompt was seen by everybody */
    return is_silent();
}

static void quiet_end(struct quiet *q)
{
    if (!q->is_on)
        return;
    tcsetattr(STDIN_FILENO, TCSANOW, &q->modes);
    for (size_t i = 0; i < ARRAY_LEN(ENDING); i++)
        sigaction(ENDING[i], &q->before[i], NULL);
    sigaction(SIGTSTP, &q->before_stop, NULL);
    if (ended_by)
        raise(ended_by);
}

/* How many bytes a character has by its first one; 0: none begins so. */
static size_t length_of(unsigned char first)
{
    if (first < 0x80)
        return 1;
    return first >= 0xC2 && first <= 0xDF ? 2 : first >= 0xE0 && first <= 0xEF ? 3 : first >= 0xF0 && first <= 0xF4 ? 4 : 0;
}

/* Byte by byte into guarded memory: no buffer holds a second one, and what follows the line stays to be read. */
static enum status read_line(struct pin *out, struct err *e)
{
    char bytes[4] = { 0 }, byte = 0;
    size_t have = 0;
    bool is_any = false, is_right = true;
    ssize_t n;
    while (!ended_by) {
        uint32_t c = 0;
        n = read(STDIN_FILENO, &byte, 1);
        if (n < 0 && errno == EINTR)
            continue;
        is_any = is_any || n > 0;
        if (n <= 0 || byte == '\n')
            break;
        if (byte == '\r' && have == 0)
            continue;
        bytes[have++] = byte;
        size_t length = length_of((unsigned char)bytes[0]);
        if (length > have)
            continue;
        is_right = is_right && length > 0 && utf8_decode(bytes, have, &c) == have && pin_add(out, c);
        c = 0;
        have = 0;
    }
    explicit_bzero(bytes, sizeof bytes);
    explicit_bzero(&byte, sizeof byte);
    if (ended_by || !is_any)
        return err_set(e, ST_USAGE, "No PIN came: it is typed at the prompt, or is a line of standard input.");
    if (!is_right || have > 0)
        return err_set(e, ST_RANGE, "That cannot be a PIN: it has at most %d bytes of plain text.", PIN_MAX);
    return ST_OK;
}

enum status pin_read(const char *prompt, struct pin *out, struct err *e)
{
    struct quiet q = { .is_on = false };
    pin_clear(out);
    fflush(stdout);
    enum status status = ST_OK;
    if (!quiet_begin(&q))
        status = err_set(e, ST_IO, "The terminal would show a PIN that is typed here. Use another one.");
    if (status == ST_OK)
        fprintf(stderr, "%s", prompt);
    if (status == ST_OK)
        status = read_line(out, e);
    if (!q.is_on)
        fputc('\n', stderr);
    quiet_end(&q);
    if (status != ST_OK)
        pin_clear(out);
    return status;
}

enum status pin_read_new(const char *whose, struct pin *out, struct err *e)
{
    struct pin *again = NULL;
    char prompt[160];
    snprintf(prompt, sizeof prompt, "Choose %.60s PIN, at least %d characters (typed blind): ", whose, PIN_MIN);
    enum status status = pin_read(prompt, out, e);
    if (status == ST_OK)
        status = pin_check(out, e);
    if (status == ST_OK)
        status = pin_new(&again, e);
    if (status == ST_OK)
        status = pin_read("The same once more: ", again, e);
    if (status == ST_OK && !pin_equal(out, again))
        status = err_set(e, ST_USAGE, "The two were not the same, so nothing was changed.");
    pin_free(again);
    return status;
}

static enum status unlock(struct store *store, const char *person, const struct pin *pin, struct signer **out,
                          struct err *e)
{
    struct moment now;
    int32_t wait_s = 0;
    moment_now(&now);
    return store_unlock(store, person, pin, &now, out, &wait_s, e);
}

static enum status begin(struct store *store, const char *person, const struct pin *pin, struct signer **out, struct err *e)
{
    char at[40];
    stamp_now(at);
    return store_key_begin(store, person, pin, at, out, e);
}

enum status pin_read_for(struct store *store, const char *person, struct signer **out, struct err *e)
{
    struct pin *pin = NULL;
    struct person who;
    bool has_key = false;
    char words[80];
    *out = NULL;
    enum status status = store_person_get(store, person, &who, e); /* before a PIN is asked for in vain */
    if (status == ST_NOT_FOUND)
        return err_set(e, status, "%.40s is not among the people of this store, so has no key to sign with. Add the name first: "
                                  "stillarm people add %.40s \"NAME\".", person, person);
    if (status == ST_OK)
        status = trust_init(e);
    if (status == ST_OK)
        status = store_key_has(store, person, &has_key, e);
    if (status == ST_OK)
        status = pin_new(&pin, e);
    snprintf(words, sizeof words, has_key ? "PIN of %s (typed blind): " : "%s's", person);
    if (status == ST_OK)
        status = has_key ? pin_read(words, pin, e) : pin_read_new(words, pin, e);
    if (status == ST_OK)
        status = has_key ? unlock(store, person, pin, out, e) : begin(store, person, pin, out, e);
    pin_free(pin);
    return status;
}
