/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Line by line on standard streams: for screen readers, serial lines and scripts. Says what is new, once. */
#include <errno.h>
#include <langinfo.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <termios.h>
#include <unistd.h>

#include "stillarm/text.h"
#include "terminal/clock.h"
#include "terminal/grid.h"
#include "terminal/renderer.h"

#define LINE_CAP 4096 /* bytes of one line of input; what is beyond is longer than any field anyway */
#define LAST_STRETCH_MS 10000
#define NO_KEY 0xFFFDu /* a character that no page has a use for: it answers that it does nothing */

struct plain {
    struct page page, said; /* the last one asked for, and the last one printed */
    bool has_said, is_due, is_ascii, has_key_come, is_gone;
    int64_t said_minute;
    bool has_said_last_stretch;
    char in[LINE_CAP];
    size_t in_len;
    bool is_skipping; /* the rest of a line that was too long */
    bool is_end;      /* nothing more will come */
    struct key queue[LINE_CAP + 1];
    int queue_at, queue_count;
    char queue_page[32]; /* the page the queued keys were meant for */
    bool is_blind;          /* the terminal's echo is off */
    bool is_open;           /* the page is blind and the terminal shows what is typed all the same: no line is taken */
    bool has_said_open;
    struct termios echoing; /* how it was before */
    struct sigaction stopping; /* and what a suspend did */
};

static bool is_silent(void)
{
    struct termios now;

    return tcgetattr(STDIN_FILENO, &now) == 0 && (now.c_lflag & ECHO) == 0;
}

/* While a page is blind, a terminal does not show what is typed; it still shows where the line ends. Nor can the program be
 * suspended: a shell turns the echo on again, and leaves it on when it goes on. */
static void set_blind(struct plain *p, bool is_blind)
{
    const struct sigaction ignore = {.sa_handler = SIG_IGN};
    struct termios silent;

    if (is_blind == p->is_blind || (is_blind && tcgetattr(STDIN_FILENO, &p->echoing) != 0))
        return;
    silent = p->echoing;
    silent.c_lflag &= ~(tcflag_t)(ECHO | ECHOE | ECHOK);
    silent.c_lflag |= ECHONL;
    if (tcsetattr(STDIN_FILENO, TCSANOW, is_blind ? &silent : &p->echoing) != 0 || (is_blind && !is_silent()))
        return;
    sigaction(SIGTSTP, is_blind ? &ignore : &p->stopping, is_blind ? &p->stopping : NULL);
    p->is_blind = is_blind;
}

/* What was typed may have been a PIN: nothing of a line stays behind once it is used. */
static void drop_queue(struct plain *p)
{
    explicit_bzero(p->queue, sizeof p->queue[0] * (size_t)p->queue_count);
    p->queue_at = p->queue_count = 0;
}

enum status plain_open(struct plain **out, struct err *e)
{
    struct plain *p = calloc(1, sizeof *p);

    if (p == NULL)
        return err_set(e, ST_NO_MEMORY,
                       "There is no memory left to start. Close other programs and start again.");
    p->is_ascii = strcmp(nl_langinfo(CODESET), "UTF-8") != 0;
    *out = p;
    return ST_OK;
}

static void put(struct plain *p, const char *s)
{
    struct shown shown;
    char utf8[4];

    shown_set(&shown, s, p->is_ascii);
    for (int i = 0; i < shown.count; i++)
        fwrite(utf8, 1, utf8_encode(shown.c[i] == GLUED_BLANK ? ' ' : shown.c[i], utf8), stdout);
}

static void put_line(struct plain *p, const char *first, const char *between, const char *second)
{
    put(p, first);
    if (first[0] != '\0' && second[0] != '\0')
        put(p, between);
    put(p, second);
    putchar('\n');
}

static void say_rail(struct plain *p, bool is_whole)
{
    bool has_said = false;

    for (int i = 0; i < p->page.rail_count; i++) {
        const struct page_rail *now = &p->page.rail[i], *before = &p->said.rail[i];
        bool is_same = i < p->said.rail_count && strcmp(now->name, before->name) == 0 &&
                       strcmp(now->state, before->state) == 0 && now->is_now == before->is_now;

        if ((!is_whole && is_same) || (now->state[0] == '\0' && !now->is_now))
            continue;
        put(p, has_said ? ", " : "");
        put(p, now->is_now ? "> " : "");
        put(p, now->name);
        put(p, now->state[0] != '\0' ? " " : "");
        put(p, now->state);
        has_said = true;
    }
    if (has_said)
        putchar('\n');
}

static bool is_line_new(const struct page *before, const struct page *now, const struct page_line *line)
{
    for (int i = 0; i < before->line_count; i++) {
        const struct page_line *old = &before->lines[i];
        bool is_typing = old->is_editing && line->is_editing; /* who types has seen the value */

        if (old->role == line->role && strcmp(page_line_text(before, old), page_line_text(now, line)) == 0 &&
            old->is_current >= line->is_current && (is_typing || strcmp(old->value, line->value) == 0))
            return false;
    }
    return true;
}

static void say_lines(struct plain *p, bool is_whole)
{
    for (int i = 0; i < p->page.line_count; i++) {
        const struct page_line *line = &p->page.lines[i];

        if (line->role == LINE_GAP || (!is_whole && !is_line_new(&p->said, &p->page, line)))
            continue;
        put(p, line->is_current ? "> " : line->role == LINE_CAUTION ? "! " : "");
        put_line(p, page_line_text(&p->page, line), ": ", line->value);
    }
}

static void say_keys(struct plain *p)
{
    for (int i = 0; i < p->page.key_count; i++) {
        put(p, i > 0 ? "  [" : "[");
        put(p, p->page.keys[i].name);
        put(p, "] ");
        put(p, p->page.keys[i].label);
    }
    if (p->page.key_count > 0)
        putchar('\n');
}

static bool are_keys_new(const struct plain *p)
{
    if (p->page.key_count != p->said.key_count)
        return true;
    for (int i = 0; i < p->page.key_count; i++)
        if (strcmp(p->page.keys[i].name, p->said.keys[i].name) != 0 ||
            strcmp(p->page.keys[i].label, p->said.keys[i].label) != 0)
            return true;
    return false;
}

/* Is a figure that only counts worth saying? Each full minute, and once when little is left. */
static bool is_tick_due(struct plain *p)
{
    bool is_down = p->page.big_ms < p->said.big_ms, is_last = is_down && p->page.big_ms <= LAST_STRETCH_MS;
    int64_t minute = (p->page.big_ms + (is_down ? 59999 : 0)) / 60000;
    bool is_due = p->said_minute >= 0 && minute != p->said_minute && !is_last;

    if (p->page.big_ms == p->said.big_ms)
        return false;
    if (!is_last)
        p->has_said_last_stretch = false;
    else if (!p->has_said_last_stretch)
        is_due = p->has_said_last_stretch = true;
    p->said_minute = minute;
    return is_due;
}

static void say_figure(struct plain *p, bool is_whole)
{
    bool is_new = strcmp(p->page.big, p->said.big) != 0 || strcmp(p->page.big_note, p->said.big_note) != 0;

    if (p->page.big[0] == '\0' && p->page.big_note[0] == '\0')
        return;
    if (is_whole) {
        p->said_minute = -1; /* whether it counts up or down shows with the first tick */
        p->has_said_last_stretch = p->page.big_ms <= LAST_STRETCH_MS;
    } else if (p->page.is_ticking && p->said.is_ticking) {
        is_new = is_tick_due(p);
    }
    if (is_whole || is_new)
        put_line(p, p->page.big, " ", p->page.big_note);
}

static void say_open(struct plain *p, bool is_whole)
{
    if (p->is_open && (is_whole || p->has_key_come || !p->has_said_open))
        put_line(p, "! This terminal would show what is typed here, so nothing is taken but the keys below. Use another one.",
                 "", "");
    p->has_said_open = p->is_open;
}

/* Print what differs from the page that was said last; all of it where the page is another. */
static void say(struct plain *p)
{
    bool is_whole =
        !p->has_said || strcmp(p->page.id, p->said.id) != 0 || strcmp(p->page.title, p->said.title) != 0;
    bool is_left_new = strcmp(p->page.left, p->said.left) != 0;
    bool is_refusal_new = strcmp(p->page.refusal, p->said.refusal) != 0 || p->has_key_come;

    if (p->has_said && is_whole)
        putchar('\n');
    if (p->page.banner[0] != '\0' && (is_whole || strcmp(p->page.banner, p->said.banner) != 0))
        put_line(p, p->page.banner, "", "");
    if (is_whole || is_left_new)
        put_line(p, p->page.left, "   ", p->page.right);
    say_rail(p, !p->has_said);
    if (is_whole && p->page.title[0] != '\0')
        put_line(p, p->page.title, "", "");
    say_figure(p, is_whole);
    say_lines(p, is_whole);
    if (p->page.refusal[0] != '\0' && (is_whole || is_refusal_new))
        put_line(p, p->page.refusal, "", "");
    say_open(p, is_whole);
    if (is_whole || are_keys_new(p))
        say_keys(p);
    if (fflush(stdout) != 0 || ferror(stdout))
        p->is_gone = true; /* nobody hears us any more */
    p->said = p->page;
    p->has_said = true;
    p->is_due = p->has_key_come = false;
}

bool plain_is_ascii(const struct plain *p)
{
    return p->is_ascii;
}

void plain_draw(struct plain *p, const struct page *pg)
{
    p->page = *pg;
    p->is_due = true;
    set_blind(p, pg->is_blind);
    p->is_open = pg->is_blind && !p->is_blind && isatty(STDIN_FILENO) == 1;
    if (p->queue_at >= p->queue_count) /* else the pages between the letters of one line would be said */
        say(p);
}

void plain_close(struct plain *p)
{
    if (p == NULL)
        return;
    set_blind(p, false);
    if (p->is_due)
        say(p);
    explicit_bzero(p, sizeof *p);
    free(p);
}

static void enqueue(struct plain *p, enum key_code code, uint32_t c)
{
    if (p->queue_count < (int)ARRAY_LEN(p->queue))
        p->queue[p->queue_count++] = (struct key){.code = code, .character = c};
}

static enum key_code control_code(uint32_t c)
{
    return c == 27 ? KEY_ESCAPE : c == '\t' ? KEY_TAB : c == 127 || c == 8 ? KEY_BACKSPACE : KEY_CHARACTER;
}

/* One entry may offer several keys: `n right`. Where something is typed a letter of them is rather the text. */
static bool is_name_of(const struct page_key *key, const char *line, bool has_field)
{
    size_t len = strlen(line);

    if (has_field)
        return strcmp(key->name, line) == 0;
    for (const char *at = key->name; len > 0 && (at = strstr(at, line)) != NULL; at += len)
        if ((at == key->name || at[-1] == ' ') && (at[len] == ' ' || at[len] == '\0'))
            return true;
    return false;
}

/* A line that is just the name of a key the page offers (`space`, `esc`, `y`) is that key: there is no other
 * way to press it. Of one that it does not offer no letter is taken: `esc` is not `e`. */
static bool enqueue_named(struct plain *p, const char *line, bool has_field)
{
    static const struct {
        const char *name;
        enum key_code code;
        uint32_t c;
    } NAMES[] = {
        {"space", KEY_CHARACTER, ' '},   {"enter", KEY_ENTER, 0},
        {"esc", KEY_ESCAPE, 0},          {"tab", KEY_TAB, 0},
        {"up", KEY_UP_ARROW, 0},         {"down", KEY_DOWN_ARROW, 0},
        {"left", KEY_LEFT_ARROW, 0},     {"right", KEY_RIGHT_ARROW, 0},
        {"backspace", KEY_BACKSPACE, 0}, {"ctrl-u", KEY_CHARACTER, KEY_ERASE_ALL},
    };
    uint32_t c = 0;
    bool is_offered = false;

    for (int i = 0; i < p->page.key_count; i++)
        is_offered = is_offered || is_name_of(&p->page.keys[i], line, has_field);
    for (size_t i = 0; i < ARRAY_LEN(NAMES); i++)
        if (strcmp(NAMES[i].name, line) == 0 && (is_offered || !has_field)) {
            if (is_offered)
                enqueue(p, NAMES[i].code, NAMES[i].c);
            else
                enqueue(p, KEY_CHARACTER, NO_KEY);
            return true;
        }
    if (!is_offered || utf8_decode(line, strlen(line), &c) != strlen(line))
        return false;
    enqueue(p, KEY_CHARACTER, c);
    return true;
}

static void enqueue_line(struct plain *p, const char *line, size_t len)
{
    bool has_field = false;
    size_t at = 0;

    for (int i = 0; i < p->page.line_count; i++)
        has_field = has_field || p->page.lines[i].role == LINE_FIELD;
    drop_queue(p);
    text_copy(p->queue_page, sizeof p->queue_page, p->page.id);
    p->has_key_come = true;
    if (strlen(line) == len && enqueue_named(p, line, has_field))
        return;
    if (p->is_open) {
        p->is_due = true; /* says why once more */
        return;
    }
    while (at < len && (has_field || at == 0)) {
        uint32_t c;
        size_t n = utf8_decode(line + at, len - at, &c);

        if (n == 0)
            c = 0xFFFD;
        at += n > 0 ? n : 1;
        if (c != 0)
            enqueue(p, control_code(c), control_code(c) == KEY_CHARACTER ? c : 0);
    }
    if (has_field || len == 0)
        enqueue(p, KEY_ENTER, 0);
}

/* Take one line from what has been read; false when there is no whole one yet. */
static bool take_line(struct plain *p)
{
    const char *end = memchr(p->in, '\n', p->in_len);
    size_t len = end != NULL ? (size_t)(end - p->in) : p->in_len, used = len + (end != NULL ? 1 : 0);
    char line[LINE_CAP + 1];

    if (end == NULL && p->in_len < sizeof p->in && !(p->is_end && p->in_len > 0))
        return false;
    memcpy(line, p->in, len);
    memmove(p->in, p->in + used, p->in_len - used);
    explicit_bzero(p->in + p->in_len - used, used);
    p->in_len -= used;
    bool is_rest = p->is_skipping;
    p->is_skipping = end == NULL;
    if (len > 0 && line[len - 1] == '\r')
        len--;
    line[len] = '\0';
    if (!is_rest)
        enqueue_line(p, line, len);
    explicit_bzero(line, sizeof line);
    return true;
}

static void read_more(struct plain *p)
{
    ssize_t n = read(STDIN_FILENO, p->in + p->in_len, sizeof p->in - p->in_len);

    if (n > 0)
        p->in_len += (size_t)n;
    else if (n == 0 || (errno != EINTR && errno != EAGAIN))
        p->is_end = true;
}

static bool take_key(struct plain *p, struct key *out)
{
    /* The rest of a line was not meant for another page. */
    if (p->queue_at < p->queue_count && strcmp(p->queue_page, p->page.id) != 0)
        drop_queue(p);
    if (p->queue_at >= p->queue_count)
        return false;
    *out = p->queue[p->queue_at];
    explicit_bzero(&p->queue[p->queue_at++], sizeof *out);
    return true;
}

struct key plain_key(struct plain *p, int64_t until_boot_ms)
{
    struct key k;

    for (;;) {
        if (signals_hung_up() || p->is_gone)
            return (struct key){.code = KEY_HANGUP};
        if (take_key(p, &k))
            return k;
        if (p->is_due)
            say(p);
        if (take_line(p))
            continue;
        if (p->is_end)
            return (struct key){.code = KEY_HANGUP};
        if (clock_wait(STDIN_FILENO, until_boot_ms))
            read_more(p);
        else if (clock_boot_ms() >= until_boot_ms && !signals_hung_up())
            return (struct key){.code = KEY_NONE};
    }
}
