/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file home.c  The home page in words. */
#include "guide/home.h"

#include <stdio.h>

#include "stillarm/text.h"

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
    page_line(out, LINE_ROW, "k       kit: %s", v->kit[0] ? v->kit : "nothing due");
    page_line(out, LINE_ROW, "p       people: %s measures now", v->measurer[0] ? v->measurer : "nobody");
    page_line(out, LINE_ROW, "b       this booth: %s, %s", v->place, v->protocol[0] ? v->protocol : "no usual protocol");
    page_line(out, LINE_GAP, "%s", "");
    page_line(out, LINE_GAP, "%s", "");
    page_line(out, LINE_NOTE, "%s", CAUTION);
    text_copy(out->refusal, sizeof out->refusal, v->notice);
    page_key(out, "enter", "start");
    if (v->open_id)
        page_key(out, "g", "go on");
    page_key(out, "l k p b", "as above");
    page_key(out, "?", "help");
    page_key(out, "q", "quit");
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
    page_line(out, LINE_NOTE, "Everything lies in %s", v->store_path);
    page_line(out, LINE_NOTE, "stillarm --help names the verbs: print, replay, verify, backup ...");
    page_line(out, LINE_NOTE, "%s", CAUTION);
    page_key(out, "any key", "back");
}
