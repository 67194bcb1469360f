/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Guide's key codes and curses's macros share some names: note guide's values before curses hides them. */
#include "guide/page.h"

enum { CODE_ENTER = KEY_ENTER, CODE_BACKSPACE = KEY_BACKSPACE };

#include <curses.h>
#include <langinfo.h>
#include <poll.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <term.h>
#include <termios.h>
#include <unistd.h>
#include <wchar.h>

#include "terminal/clock.h"
#include "terminal/layout.h"
#include "terminal/renderer.h"

#define ESCAPE_DELAY_MS 25

struct screen {
    SCREEN *curses;
    struct page page; /* the last one asked for */
    bool is_due;      /* it is not on the screen yet */
    bool is_ascii, is_cursor_shown;
    bool is_resized; /* since the last picture */
    struct layout_scroll scroll;
    mbstate_t partial;     /* the bytes of a character that have come so far */
    int failures;          /* reads that gave nothing although something was there */
    struct grid *grids[2]; /* laid out now, and what is on the screen */
    attr_t attributes[STYLE_COUNT];
    short pairs[STYLE_COUNT];
};

/* Weight alone tells the roles apart where there is no colour; words tell them apart always. -1: the
 * terminal's own colour. */
static const struct {
    attr_t mono, colour;
    short fg8, fg256;
} STYLES[STYLE_COUNT] = {
    [STYLE_TEXT] = {A_NORMAL, A_NORMAL, -1, -1},
    [STYLE_TITLE] = {A_BOLD, A_BOLD, -1, -1},
    [STYLE_BIG] = {A_BOLD, A_BOLD, -1, -1},
    [STYLE_TOP] = {A_NORMAL, A_NORMAL, -1, -1},
    [STYLE_BANNER] = {A_REVERSE, A_REVERSE | A_BOLD, -1, -1},
    [STYLE_RAIL] = {A_NORMAL, A_NORMAL, -1, 245},
    [STYLE_RAIL_NOW] = {A_BOLD, A_BOLD, COLOR_CYAN, 37},
    [STYLE_CURRENT] = {A_BOLD, A_BOLD, COLOR_CYAN, 37},
    [STYLE_STATE] = {A_NORMAL, A_NORMAL, COLOR_GREEN, 71},
    [STYLE_FIELD] = {A_UNDERLINE, A_UNDERLINE | A_BOLD, -1, -1},
    [STYLE_COST] = {A_NORMAL, A_NORMAL, COLOR_MAGENTA, 134},
    [STYLE_CAUTION] = {A_BOLD, A_BOLD, COLOR_RED, 166},
    [STYLE_DIM] = {A_DIM, A_NORMAL, -1, 245},
    [STYLE_REFUSAL] = {A_STANDOUT, A_BOLD, COLOR_RED, 166},
    [STYLE_KEY] = {A_BOLD, A_BOLD, COLOR_CYAN, 37},
    [STYLE_KEY_LABEL] = {A_NORMAL, A_NORMAL, -1, -1},
};

/* What must be sent to give a terminal back, kept ready: after a crash nothing may be asked of curses. */
static struct {
    char text[128];
    size_t len;
    struct termios modes;
    bool is_armed;
} restore;
static const int FATAL[] = {SIGSEGV, SIGBUS, SIGFPE, SIGILL, SIGABRT, SIGQUIT};
static struct sigaction fatal_before[ARRAY_LEN(FATAL)];

static void on_fatal(int number)
{
    if (restore.is_armed) {
        ssize_t n = write(STDOUT_FILENO, restore.text, restore.len);
        (void)n;
        tcsetattr(STDIN_FILENO, TCSANOW, &restore.modes);
        restore.is_armed = false;
    }
    for (size_t i = 0; i < ARRAY_LEN(FATAL); i++)
        if (FATAL[i] == number)
            sigaction(number, &fatal_before[i], NULL);
    raise(number); /* held back until this handler returns; then the former owner of the signal has it */
}

/* Add a terminfo string without its padding marks. */
static void keep(const char *capability)
{
    if (capability == NULL)
        return;
    for (const char *s = capability; *s != '\0' && restore.len < sizeof restore.text - 1; s++) {
        if (s[0] == '$' && s[1] == '<' && strchr(s, '>') != NULL)
            s = strchr(s, '>');
        else
            restore.text[restore.len++] = *s;
    }
}

static void arm_restore(void)
{
    struct sigaction action = {.sa_handler = on_fatal};

    restore.len = 0;
    keep(exit_attribute_mode);
    keep(cursor_normal);
    keep(keypad_local);
    keep(exit_ca_mode);
    restore.is_armed = true;
    sigemptyset(&action.sa_mask);
    for (size_t i = 0; i < ARRAY_LEN(FATAL); i++)
        sigaction(FATAL[i], &action, &fatal_before[i]);
}

/* A program that ends without closing (exit from a corner) still gives the terminal back. */
static void at_exit(void)
{
    if (restore.is_armed) {
        restore.is_armed = false;
        endwin();
    }
}

/* Can the terminal place a cursor at all? Asked before curses touches the screen; newterm alone would not
 * say. */
static enum status check_terminal(struct err *e)
{
    const char *name = getenv("TERM");
    int found = 0;
    bool can_place;

    if (!isatty(STDIN_FILENO) || !isatty(STDOUT_FILENO))
        return err_set(e, ST_IO,
                       "Standard input or output is no terminal, so there is no screen to draw on. "
                       "Start with --plain to work line by line.");
    if (name == NULL || name[0] == '\0')
        return err_set(e, ST_IO,
                       "TERM is not set, so the kind of terminal is not known. Set it (for instance "
                       "TERM=xterm), or start with --plain to work line by line.");
    if (setupterm(NULL, STDOUT_FILENO, &found) != OK || found != 1)
        return err_set(e, ST_IO,
                       "This system does not know the terminal \"%.40s\" (TERM). Set TERM to what it is "
                       "(for instance xterm), or start with --plain to work line by line.",
                       name);
    can_place = cursor_address != NULL;
    del_curterm(cur_term);
    if (!can_place)
        return err_set(e, ST_IO,
                       "The terminal \"%.40s\" (TERM) cannot place text on a screen. "
                       "Start with --plain to work line by line.",
                       name);
    return ST_OK;
}

/* The real size wins over LINES and COLUMNS, which a shell may have left behind; they count where there is no
 * other. */
static void choose_size_source(void)
{
    struct winsize size = {0};

    if (ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_row > 0 && size.ws_col > 0) {
        unsetenv("LINES");
        unsetenv("COLUMNS");
    }
}

static void choose_styles(struct screen *s)
{
    const char *no_color = getenv("NO_COLOR");
    bool has_colour = (no_color == NULL || no_color[0] == '\0') && has_colors() && start_color() == OK;
    bool is_default = has_colour && use_default_colors() == OK;

    for (short i = 0; i < STYLE_COUNT; i++) {
        short fg = COLORS >= 256 ? STYLES[i].fg256 : STYLES[i].fg8;

        s->attributes[i] = has_colour ? STYLES[i].colour : STYLES[i].mono;
        if (!has_colour || fg < 0)
            continue;
        if (init_pair((short)(i + 1), fg, is_default ? -1 : COLOR_BLACK) == OK)
            s->pairs[i] = (short)(i + 1);
    }
}

enum status screen_open(struct screen **out, struct err *e)
{
    static bool is_registered;
    struct screen *s;
    enum status status = check_terminal(e);

    if (status != ST_OK)
        return status;
    s = calloc(1, sizeof *s);
    for (int i = 0; s != NULL && i < 2; i++)
        s->grids[i] = calloc(1, sizeof *s->grids[i]);
    if (s == NULL || s->grids[0] == NULL || s->grids[1] == NULL) {
        screen_close(s);
        return err_set(e, ST_NO_MEMORY,
                       "There is no memory left for the screen. Close other programs and start again.");
    }
    s->is_ascii = strcmp(nl_langinfo(CODESET), "UTF-8") != 0;
    tcgetattr(STDIN_FILENO, &restore.modes);
    choose_size_source();
    set_escdelay(ESCAPE_DELAY_MS);
    s->curses = newterm(NULL, stdout, stdin);
    if (s->curses == NULL) {
        screen_close(s);
        return err_set(e, ST_IO, "The screen could not be started. Start with --plain to work line by line.");
    }
    arm_restore();
    if (!is_registered)
        is_registered = atexit(at_exit) == 0;
    cbreak();
    noecho();
    nonl();
    keypad(stdscr, TRUE);
    nodelay(stdscr, TRUE);
    typeahead(-1);
    curs_set(0);
    choose_styles(s);
    *out = s;
    return ST_OK;
}

void screen_close(struct screen *s)
{
    if (s == NULL)
        return;
    if (s->curses != NULL) {
        if (s->is_due)
            screen_draw(s, &s->page);
        endwin();
        restore.is_armed = false;
        for (size_t i = 0; i < ARRAY_LEN(FATAL); i++)
            sigaction(FATAL[i], &fatal_before[i], NULL);
        delscreen(s->curses);
    }
    free(s->grids[0]);
    free(s->grids[1]);
    free(s);
}

/* What the C library takes to be of another width than the layout would shift the rest of the row. */
static int to_wide(const struct cell *cell, wchar_t *out)
{
    int width = char_width(cell->c), n = 0;

    if (cell->c < 0x7F || wcwidth((wchar_t)cell->c) == width) {
        out[n++] = (wchar_t)cell->c;
        if (cell->above != 0 && wcwidth((wchar_t)cell->above) == 0)
            out[n++] = (wchar_t)cell->above;
        return n;
    }
    while (n < width)
        out[n++] = L'?';
    return n;
}

static void draw_row(const struct screen *s, const struct grid *g, int row)
{
    const struct cell *cells = &g->cells[row * g->cols];
    wchar_t run[2 * GRID_COLS_MAX];

    for (int col = 0; col < g->cols;) {
        uint32_t style = cells[col].style;
        int start = col, n = 0;

        for (; col < g->cols && cells[col].style == style; col++)
            if (cells[col].c != 0)
                n += to_wide(&cells[col], run + n);
        attr_set(s->attributes[style], s->pairs[style], NULL);
        mvaddnwstr(row, start, run, n);
    }
}

static void show_cursor(struct screen *s, const struct grid *g)
{
    bool is_wanted = g->cursor_row >= 0;

    if (is_wanted != s->is_cursor_shown)
        curs_set(is_wanted ? 1 : 0);
    s->is_cursor_shown = is_wanted;
    if (is_wanted)
        move(g->cursor_row, g->cursor_col);
}

/* Lay out, hand curses the rows that differ, and let it send the cells that differ. */
static void show(struct screen *s)
{
    struct grid *now = s->grids[0], *before = s->grids[1];
    bool is_new_size;

    layout_page(&s->page, LINES, COLS, s->is_ascii, &s->scroll, now);
    is_new_size = now->rows != before->rows || now->cols != before->cols;
    if (is_new_size || s->is_resized)
        clear(); /* what the terminal made of the old picture when it changed its size is anybody's guess */
    is_new_size = is_new_size || s->is_resized;
    s->is_resized = false;
    for (int row = 0; row < now->rows; row++) {
        size_t at = (size_t)(row * now->cols);
        if (is_new_size ||
            memcmp(&now->cells[at], &before->cells[at], (size_t)now->cols * sizeof now->cells[0]) != 0)
            draw_row(s, now, row);
    }
    show_cursor(s, now);
    refresh();
    s->grids[0] = before;
    s->grids[1] = now;
    s->is_due = false;
}

static bool is_input_there(void)
{
    struct pollfd in = {.fd = STDIN_FILENO, .events = POLLIN};

    return poll(&in, 1, 0) > 0;
}

void screen_size(const struct screen *s, int *rows, int *cols, bool *is_ascii)
{
    *rows = LINES;
    *cols = COLS;
    *is_ascii = s->is_ascii;
}

void screen_draw(struct screen *s, const struct page *pg)
{
    if (strcmp(s->page.id, pg->id) != 0 || strcmp(s->page.title, pg->title) != 0)
        s->scroll = (struct layout_scroll){0};
    if (&s->page != pg)
        s->page = *pg;
    s->is_due = true;
    /* With kilobytes pasted, only the page after the last key is worth drawing. */
    if (!is_input_there())
        show(s);
}

static bool scroll_to(struct screen *s, int from)
{
    if (s->scroll.most == 0)
        return false;
    s->scroll.from = from < 0 ? 0 : from > s->scroll.most ? s->scroll.most : from;
    show(s);
    return true;
}

/* Page by page also past a current line, which the arrows move; any other key leads back to it. */
static bool scroll_page(struct screen *s, int direction)
{
    bool is_at_end = direction > 0 ? s->scroll.first >= s->scroll.most : s->scroll.first <= 0;

    if (s->page.is_part && is_at_end)
        return false;
    s->scroll.is_paged = s->scroll.is_led;
    return scroll_to(s, s->scroll.first + direction * s->scroll.page);
}

static bool scroll_row(struct screen *s, int rows)
{
    return rows != 0 && !s->scroll.is_led && scroll_to(s, s->scroll.from + rows);
}

static void scroll_back(struct screen *s)
{
    if (!s->scroll.is_paged)
        return;
    s->scroll.is_paged = false;
    s->scroll.from = 0;
    s->is_due = true;
}

static struct key character(struct screen *s, int byte)
{
    char c = (char)byte;
    wchar_t wide = 0;
    size_t n;

    if (byte == '\r' || byte == '\n')
        return (struct key){.code = (enum key_code)CODE_ENTER};
    if (byte == 27)
        return (struct key){.code = KEY_ESCAPE};
    if (byte == 127 || byte == 8)
        return (struct key){.code = (enum key_code)CODE_BACKSPACE};
    if (byte == '\t')
        return (struct key){.code = KEY_TAB};
    n = mbrtowc(&wide, &c, 1, &s->partial);
    if (n == (size_t)-2)
        return (struct key){.code = KEY_NONE};
    if (n == (size_t)-1) {
        memset(&s->partial, 0, sizeof s->partial);
        wide = 0xFFFD; /* no character: whoever takes text refuses it by name */
    }
    if (wide == 12) { /* control L: draw it all again */
        clearok(curscr, TRUE);
        show(s);
        return (struct key){.code = KEY_NONE};
    }
    return wide == 0 ? (struct key){.code = KEY_NONE}
                     : (struct key){.code = KEY_CHARACTER, .character = (uint32_t)wide};
}

/* One code of curses as one of ours; KEY_NONE for what has no meaning or was used up here. */
static struct key translate(struct screen *s, int code)
{
    static const struct {
        int curses;
        enum key_code ours;
        int rows;
    } CODES[] = {
        {KEY_RESIZE, KEY_RESIZED, 0},
        {KEY_ENTER, (enum key_code)CODE_ENTER, 0},
        {KEY_BACKSPACE, (enum key_code)CODE_BACKSPACE, 0},
        {KEY_DC, (enum key_code)CODE_BACKSPACE, 0},
        {KEY_UP, KEY_UP_ARROW, -1},
        {KEY_DOWN, KEY_DOWN_ARROW, 1},
        {KEY_LEFT, KEY_LEFT_ARROW, 0},
        {KEY_RIGHT, KEY_RIGHT_ARROW, 0},
        {KEY_BTAB, KEY_UP_ARROW, 0},
    };

    if (code == KEY_NPAGE || code == KEY_PPAGE) {
        bool is_down = code == KEY_NPAGE;
        if (scroll_page(s, is_down ? 1 : -1))
            return (struct key){.code = KEY_NONE};
        scroll_back(s);
        memset(&s->partial, 0, sizeof s->partial);
        return (struct key){.code = s->page.is_part ? KEY_CHARACTER : KEY_NONE,
                            .character = is_down ? KEY_PAGE_DOWN : KEY_PAGE_UP};
    }
    scroll_back(s);
    if (code < 256)
        return character(s, code);
    memset(&s->partial, 0, sizeof s->partial);
    s->is_resized = s->is_resized || code == KEY_RESIZE;
    for (size_t i = 0; i < ARRAY_LEN(CODES); i++)
        if (CODES[i].curses == code) {
            return (struct key){.code = scroll_row(s, CODES[i].rows) ? KEY_NONE : CODES[i].ours};
        }
    return (struct key){.code = KEY_NONE};
}

struct key screen_key(struct screen *s, int64_t until_boot_ms)
{
    for (;;) {
        int code;

        if (signals_hung_up())
            return (struct key){.code = KEY_HANGUP};
        code = getch();
        if (code != ERR) {
            struct key k = translate(s, code);
            s->failures = 0;
            if (k.code != KEY_NONE)
                return k;
            continue;
        }
        if (is_input_there()) { /* readable, yet nothing comes: the terminal is gone. Thrice, as a key may
                                   come in between */
            if (++s->failures >= 3)
                return (struct key){.code = KEY_HANGUP};
            continue;
        }
        if (s->is_due)
            show(s);
        if (!clock_wait(STDIN_FILENO, until_boot_ms) && clock_boot_ms() >= until_boot_ms &&
            !signals_hung_up())
            return (struct key){.code = KEY_NONE};
    }
}
