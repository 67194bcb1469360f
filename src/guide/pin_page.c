/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The page that asks for a PIN. What is typed is never shown, nor how much of it there is. */
#include <stdio.h>
#include <string.h>

#include "guide/review.h"
#include "guide/views.h"

static void say_who(const struct pin_view *v, char *out, size_t cap)
{
    if (v->name != NULL && v->name[0] != '\0')
        snprintf(out, cap, "%s (%s)", v->name, v->person);
    else
        snprintf(out, cap, "%s", v->person);
}

static void wait_line(const struct pin_view *v, struct page *out)
{
    char clock[12];

    say_clock(clock, (int64_t)v->wait_s * 1000);
    page_line(out, LINE_NOTE, "After wrong PINs the next one has to wait: %s to go.", clock);
}

static void stage_lines(const struct pin_view *v, struct page *out)
{
    static const char *const TITLES[] = { [PIN_ASK] = "PIN", [PIN_CHOOSE] = "Choose a PIN", [PIN_REPEAT] = "The same PIN again" };
    char who[160];

    say_who(v, who, sizeof who);
    snprintf(out->title, sizeof out->title, "%s: %.60s", TITLES[v->stage], who);
    text_defuse(out->title);
    if (v->stage == PIN_ASK)
        page_line(out, LINE_INSTRUCTION, "Type your PIN %s.", v->why);
    else if (v->stage == PIN_CHOOSE)
        page_line(out, LINE_INSTRUCTION, "There is no PIN of yours yet. Choose one%s%s: it signs in your name from now on.",
                  v->why[0] != '\0' ? " " : "", v->why);
    else
        page_line(out, LINE_INSTRUCTION, "Type it once more, so that no slip of the hand is kept.");
    page_line(out, LINE_GAP, "%s", "");
}

void pin_page(const struct pin_view *v, struct page *out)
{
    struct page_line *line;

    page_init(out, PAGE_OPEN, v->stage == PIN_ASK ? "pin" : v->stage == PIN_CHOOSE ? "pin-choose" : "pin-repeat");
    text_copy(out->left, sizeof out->left, "stillarm");
    text_copy(out->right, sizeof out->right, v->person);
    stage_lines(v, out);
    line = page_line(out, LINE_FIELD, "PIN");
    text_copy(line->value, sizeof line->value, v->is_typed ? "typed, not shown" : "");
    line->is_current = line->is_editing = true;
    page_line(out, LINE_GAP, "%s", "");
    if (v->wait_s > 0)
        wait_line(v, out);
    if (v->stage == PIN_CHOOSE)
        page_line(out, LINE_NOTE, "At least 6 characters, letters too. Nobody can look it up; a preceptor can only begin a new one.");
    if (v->can_wait)
        page_line(out, LINE_NOTE, "Without it the record ends all the same: the signature is then owed.");
    text_copy(out->refusal, sizeof out->refusal, v->refusal);
    page_key(out, "enter", v->stage == PIN_CHOOSE ? "next" : "go on");
    if (v->is_typed) {
        page_key(out, "backspace", "erase");
        page_key(out, "ctrl-u", "erase all");
    }
    if (v->can_wait)
        page_key(out, "tab", "end it now, sign later");
    page_key(out, "esc", "back");
}
