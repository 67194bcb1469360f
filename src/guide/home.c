/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file home.c  The home page in words. */
#include "guide/home.h"

#include <stdio.h>
#include <string.h>

#include "stillarm/text.h"

#define FAULT_WIDTH 52 /* with the margin and indent of a row it fits 60 columns */

#define CAUTION "An aid to training and documentation. It makes no diagnosis; your site's procedure and licensed " \
                "practice come first."

void ago_words(int64_t seconds, char *out, unsigned cap)
{
    static const struct { int64_t s; const char *unit; } UNITS[] = { { 86400, "day" }, { 3600, "hour" }, { 60, "minute" } };
    for (unsigned i = 0; i < sizeof UNITS / sizeof UNITS[0]; i++)
        if (seconds >= UNITS[i].s) {
            int64_t n = seconds / UNITS[i].s;
            snprintf(out, cap, "%lld %s%s ago", (long long)n, UNITS[i].unit, n == 1 ? "" : "s");
            return;
        }
    snprintf(out, cap, "%s", "just now");
}

static void top_line(const struct home_view *v, struct page *out)
{
    text_copy(out->left, sizeof out->left, "stillarm");
    snprintf(out->right, sizeof out->right, "%.30s%s%.30s%s%s", v->measurer, v->measurer[0] ? "   " : "", v->place,
             v->place[0] ? "   " : "", v->wall);
}

static void today_line(const struct home_view *v, struct page *out)
{
    if (v->finished + v->stopped + v->open_count == 0)
        page_line(out, LINE_ROW, "l       sittings: none yet today");
    else
        page_line(out, LINE_ROW, "l       today: %d finished, %d stopped, %d open", v->finished, v->stopped,
                  v->open_count);
}

/* Counts beyond this are not told apart: whoever sees so many opens the desk. */
static void count_of(int n, char out[8])
{
    snprintf(out, 8, n > HOME_COUNT_MOST ? "%d+" : "%d", n > HOME_COUNT_MOST ? HOME_COUNT_MOST : n);
}

static void desk_line(const struct home_view *v, struct page *out)
{
    char n[8], words[220] = "";
    struct text t;
    text_init(&t, words, sizeof words);
    if (v->waiting > 0) {
        count_of(v->waiting, n);
        text_addf(&t, "%s wait%s for a preceptor", n, v->waiting == 1 ? "s" : "");
    }
    if (v->returned > 0) {
        count_of(v->returned, n);
        text_addf(&t, "%s%s sent back%s%s", words[0] ? ", " : "", n, v->returned_to[0] ? " to " : "", v->returned_to);
    }
    if (v->owed > 0) {
        count_of(v->owed, n);
        text_addf(&t, "%s%s signature%s owed%s%s", words[0] ? ", " : "", n, v->owed == 1 ? "" : "s", v->owed_by[0] ? " by " : "",
                  v->owed_by);
    }
    page_line(out, LINE_ROW, "r       review: %s", words[0] ? words : "nothing waits");
}

/* Whoever was watched learns here that there is something to read. */
static void given_line(const struct home_view *v, struct page *out)
{
    char more[32] = "";
    if (!v->given_id)
        return;
    if (v->given_more > 0)
        snprintf(more, sizeof more, ", and %d more", v->given_more);
    page_line(out, LINE_ROW, "        S-%03lld: its result was given by %s%s; l shows it", (long long)v->given_id, v->given_by, more);
}

static void booth_line(const struct home_view *v, struct page *out)
{
    const char *place = v->place[0] ? v->place : "no place named yet";
    if (!v->is_protocol_gone) {
        page_line(out, LINE_ROW, "b       this booth: %s, %s", place, v->protocol[0] ? v->protocol : "no usual protocol");
        return;
    }
    page_line(out, LINE_ROW, "b       this booth: %s, no usual protocol now", place);
    page_line(out, LINE_CAUTION, "The usual protocol of this booth, %s, is not offered any more: its file is missing or has "
                                 "a fault. b names another; until then each opening asks.",
              v->protocol);
}

void home_page(const struct home_view *v, struct page *out)
{
    page_init(out, PAGE_OPEN, "home");
    top_line(v, out);
    page_line(out, LINE_GAP, "%s", "");
    page_line(out, LINE_ROW, "enter   start a sitting");
    if (v->open_id) {
        char ago[40];
        ago_words(v->open_ago_s, ago, sizeof ago);
        page_line(out, LINE_ROW, "g       go on with S-%03lld: left in the step %s%s%s", (long long)v->open_id, v->open_step,
                  v->open_ago_s >= 0 ? ", " : "", v->open_ago_s >= 0 ? ago : "");
    }
    today_line(v, out);
    given_line(v, out);
    desk_line(v, out);
    page_line(out, LINE_ROW, "t       progress: how those who measure are doing");
    page_line(out, LINE_ROW, "k       kit: %s", v->kit[0] ? v->kit : "nothing due");
    page_line(out, LINE_ROW, "p       people: %s measures now", v->measurer[0] ? v->measurer : "nobody");
    booth_line(v, out);
    if (v->fault_count > 0)
        page_line(out, LINE_ROW, "f       %d fault%s in files: what they hold is left out", v->fault_count,
                  v->fault_count == 1 ? "" : "s");
    page_line(out, LINE_GAP, "%s", "");
    page_line(out, LINE_GAP, "%s", "");
    page_line(out, LINE_NOTE, "%s", CAUTION);
    text_copy(out->refusal, sizeof out->refusal, v->notice);
    page_key(out, "enter", "start");
    if (v->open_id)
        page_key(out, "g", "go on");
    page_key(out, v->fault_count > 0 ? "l r t k p b f" : "l r t k p b", "as above");
    page_key(out, "?", "help");
    page_key(out, "q", "quit");
}

void home_faults_list(struct list *l)
{
    memset(l, 0, sizeof *l);
    l->id = "faults";
    l->title = "What is wrong in files, by file and line";
    l->empty = "Nothing.";
    l->note = "Mend the file and start the program again. What is not named here works as ever.";
}

/* How much of a text fits a row: up to a blank, or where there is none up to a whole character. */
static size_t piece_of(const char *text)
{
    size_t len = strlen(text), cut = 0;
    if (len <= FAULT_WIDTH)
        return len;
    for (size_t i = 1; i <= FAULT_WIDTH; i++)
        cut = text[i] == ' ' ? i : cut;
    for (size_t i = FAULT_WIDTH; cut == 0 && i > 0; i--)
        cut = ((unsigned char)text[i] & 0xC0) != 0x80 ? i : 0;
    return cut > 0 ? cut : FAULT_WIDTH;
}

bool home_fault_rows(struct list *l, const char *fault)
{
    for (const char *at = fault; *at;) {
        size_t n = piece_of(at);
        if (l->row_count >= LIST_ROWS_MAX - 1) {
            text_copy(l->rows[LIST_ROWS_MAX - 1], LIST_ROW_CAP, "... and more; standard error names them all");
            l->row_count = LIST_ROWS_MAX;
            return false;
        }
        snprintf(l->rows[l->row_count++], LIST_ROW_CAP, "%s%.*s", at == fault ? "" : "  ", (int)n, at);
        at += n + strspn(at + n, " ");
    }
    return true;
}

void home_help_page(const struct home_view *v, struct page *out)
{
    page_init(out, PAGE_OPEN, "home-help");
    top_line(v, out);
    text_copy(out->title, sizeof out->title, "How this works");
    page_line(out, LINE_INSTRUCTION, "A sitting is one person, one place, one time: from opening to seal. The program "
                                     "names one thing to do at a time and waits; it keeps the minutes, refuses what is "
                                     "incomplete and says why, and writes down every act at once.");
    page_line(out, LINE_GAP, "%s", "");
    page_line(out, LINE_INSTRUCTION, "Leave at any time with q: the sitting stays open and is offered here. In a sitting "
                                     "? tells why a step is there, and who says so.");
    page_line(out, LINE_GAP, "%s", "");
    page_line(out, LINE_INSTRUCTION, "t here shows how far two listeners agree, and who is near a yardstick; ? there tells "
                                     "what its words mean.");
    page_line(out, LINE_GAP, "%s", "");
    page_line(out, LINE_INSTRUCTION, "PageUp and PageDown show what does not fit a page, j and k or the arrows move. In a "
                                     "field backspace erases and control U erases all.");
    page_line(out, LINE_GAP, "%s", "");
    page_line(out, LINE_NOTE, "Everything lies in %s", v->store_path);
    page_line(out, LINE_NOTE, "stillarm --help names the verbs: print, replay, verify, backup ...");
    page_line(out, LINE_NOTE, "%s", CAUTION);
    page_key(out, "any key", "back");
}
