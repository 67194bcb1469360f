/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file page.h  A page is data: what to show, in which role, and which keys work now. Renderers only draw it. */
#ifndef STILLARM_PAGE_H
#define STILLARM_PAGE_H

#include <stdbool.h>
#include <stdint.h>

#define PAGE_LINES_MAX 64
#define PAGE_RAIL_MAX 12
#define PAGE_KEYS_MAX 36
#define PAGE_DRAWN_MAX 40  /* rows of a drawing */
#define PAGE_DRAWN_CAP 481 /* bytes of one: 160 columns of characters that take three */

enum key_code { KEY_NONE, KEY_CHARACTER, KEY_ENTER, KEY_ESCAPE, KEY_BACKSPACE, KEY_UP_ARROW, KEY_DOWN_ARROW, KEY_LEFT_ARROW,
                KEY_RIGHT_ARROW, KEY_TAB,
                KEY_RESIZED /* redraw */, KEY_HANGUP /* the terminal or the input is gone */ };

#define KEY_ERASE_ALL 0x15u /* the character that control U arrives as: empties a field */
/** The characters that the page keys arrive as, beyond the lines of a page that is_part; nothing typed is as high. */
#define KEY_PAGE_DOWN 0x110000u
#define KEY_PAGE_UP 0x110001u

struct key {
    enum key_code code;
    uint32_t character; /* with KEY_CHARACTER: a Unicode character, space included */
};

enum line_role {
    LINE_INSTRUCTION, /* what to do, the page's main sentence */
    LINE_ITEM,        /* something looked at: text left, state (yes, passed over, ...) right */
    LINE_FIELD,       /* an entry: text is its label, value what is typed so far */
    LINE_COST,        /* what it costs to skip, with its published size */
    LINE_CAUTION,     /* must not be missed */
    LINE_NOTE,        /* beside the point, dimmed where a terminal can */
    LINE_ROW,         /* a row of a list; may carry the cursor */
    LINE_GAP,         /* an empty line */
    LINE_DRAWN        /* a row of a drawing: as it is, never wrapped; what lies beyond the edge is not shown */
};

struct page_line {
    enum line_role role;
    bool is_current;   /* the cursor is here; drawn with '>' as well as any colour */
    char text[240];    /* UTF-8; renderers wrap by words */
    char value[80];    /* field: what is typed; item: its state in words; "" none */
    bool is_editing;   /* field: show the text cursor after value */
    int32_t drawn;     /* with LINE_DRAWN: which row of the page's drawing; page_line_text gives it */
};

struct page_rail { char name[16], state[8]; bool is_now; };
struct page_key { char name[12], label[40]; }; /* "space", "squeezing now" */

enum page_form {
    PAGE_STEPS, /* rail of steps on the left, one thing to do on the right */
    PAGE_OPEN,  /* no rail: home, lists, the keys for a second person */
    PAGE_WIDE,  /* no rail and no margin: tables and graphs have all columns but two */
    PAGE_BARE   /* while the cuff is up: the figure, one line, nothing else */
};

struct page {
    enum page_form form;
    char id[32];             /* names the page for tests and screen captures: "rest", "listening-before" ... */
    char left[80], right[80];/* the top line: who, which arm, which reading | where, when */
    char banner[80];         /* "" or a standing notice, such as the demo's sped-up clock; shown on every page */
    struct page_rail rail[PAGE_RAIL_MAX];
    int rail_count;
    char title[80];
    char big[12];            /* digits, ':', '/', '-', '+' and blanks in large; "" none */
    char big_note[80];       /* beside or under the figure */
    bool is_ticking;         /* the figure only counts: plain output does not repeat the page for it */
    int64_t big_ms;          /* with is_ticking: the figure's value, for plain output's sparse announcements */
    int pace;                /* -1 none; else the step of the numberless band, grows by one per graduation */
    struct page_line lines[PAGE_LINES_MAX];
    int line_count;
    char drawn[PAGE_DRAWN_MAX][PAGE_DRAWN_CAP];
    int drawn_count;
    int pinned;              /* so many of the first lines stay in view: no figure and no current line pushes them off */
    char refusal[420];       /* "not yet: ..."; its line is reserved and moves nothing */
    struct page_key keys[PAGE_KEYS_MAX];
    int key_count;
    bool is_part;            /* there may be more than its lines: page keys beyond them come back as keys */
    bool is_blind;           /* what is typed here is shown nowhere and wiped: plain output turns the terminal's echo off */
};

void page_init(struct page *pg, enum page_form form, const char *id);
/** Append a line; the returned line is for further fields. A full page drops it and returns a scratch line. */
struct page_line *page_line(struct page *pg, enum line_role role, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
/** Append a row of a drawing; a full page drops it. */
void page_drawn(struct page *pg, const char *utf8);
const char *page_line_text(const struct page *pg, const struct page_line *line);
void page_key(struct page *pg, const char *name, const char *label);
/** The same, in place of what the key was called before. */
void page_key_named(struct page *pg, const char *name, const char *label);

#endif
