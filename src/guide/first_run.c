/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file first_run.c  The first run's questions in words. */
#include "guide/first_run.h"

#include <stdio.h>
#include <string.h>

#include "stillarm/err.h"
#include "stillarm/text.h"

/*
 * Ranges in whole centimetres after AHA 2005 (Hypertension 45:142), read in a secondary page. Where one range ends and
 * the next begins a centimetre later, the part between goes to the larger cuff: a small cuff reads high (judgement).
 */
const struct usual_cuff USUAL_CUFFS[USUAL_CUFF_COUNT] = {
    { "small-adult", "small adult", 220, 260 },
    { "adult", "adult", 261, 340 },
    { "large-adult", "large adult", 341, 440 },
    { "thigh", "adult thigh", 441, 520 },
};

void first_run_person_form(struct form *f)
{
    *f = (struct form){ .id = "first-person", .title = "Who measures here?",
                        .intro = "A few questions, once. What stands in a field can be typed over.", .field_count = 3 };
    f->fields[0] = (struct form_field){ .label = "short name",
                                        .hint = "It stands in every log: letters, digits, dots, dashes; such as ana" };
    f->fields[1] = (struct form_field){ .label = "name", .hint = "As it should be shown; may stay empty" };
    f->fields[2] = (struct form_field){ .label = "place", .hint = "Where readings are taken", .entry = "booth 1" };
}

void calibration_fields(struct form_field *on, struct form_field *next, int months)
{
    *on = (struct form_field){
        .label = "calibrated on, YYYY-MM-DD",
        .hint = "From its label, such as 2026-03-01; nothing is assumed here. Where the label says only when the next one is due, leave this "
                "empty. Never calibrated? Give days that are past: it is then passed over with a reason."
    };
    *next = (struct form_field){
        .label = "next due, months or YYYY-MM-DD",
        .hint = "After so many months, 1 to 24, or the day on the label, such as 2031-09-01. Published: every 6 months (HeartBEAT "
                "2.3; JACC 2019;73:317); one field study judged yearly enough (Yarows 2001)."
    };
    snprintf(next->entry, sizeof next->entry, "%d", months);
}

void first_run_gauge_form(struct form *f, int months)
{
    *f = (struct form){ .id = "first-gauge", .title = "The gauge", .intro = "The dial that readings are taken from.",
                        .field_count = 4 };
    f->fields[0] = (struct form_field){ .label = "short name", .hint = "What is written on it, or what you call it",
                                        .entry = "g1" };
    f->fields[1] = (struct form_field){ .label = "top of its scale, mmHg", .hint = "The highest number on the dial: even, 200 to 300",
                                        .entry = "300" };
    calibration_fields(&f->fields[2], &f->fields[3], months);
}

struct form_field bladder_field(void)
{
    return (struct form_field){
        .label = "bladder",
        .hint = "Width and length of the bladder inside, such as 16x30 or 6.3x11.8in. Width lies along the arm."
    };
}

void first_run_cuff_form(struct form *f)
{
    *f = (struct form){ .id = "cuff-new", .title = "A cuff", .intro = "The range that is marked on it, in cm or inches.",
                        .field_count = 4 };
    f->fields[0] = (struct form_field){ .label = "short name", .hint = "Such as adult", .entry = "adult" };
    f->fields[1] = (struct form_field){ .label = "from, cm or in", .hint = "Smallest arm: 27, or 10.5in" };
    f->fields[2] = (struct form_field){ .label = "to, cm or in", .hint = "Largest arm: 34, or 13.5in" };
    f->fields[3] = bladder_field();
    f->fields[3].label = "bladder, if known";
}

void first_run_cuffs_page(struct page *out)
{
    page_init(out, PAGE_OPEN, "first-cuffs");
    text_copy(out->left, sizeof out->left, "stillarm");
    text_copy(out->title, sizeof out->title, "The cuffs");
    page_line(out, LINE_INSTRUCTION, "Is this the set at hand?");
    page_line(out, LINE_GAP, "%s", "");
    for (size_t i = 0; i < ARRAY_LEN(USUAL_CUFFS); i++)
        page_line(out, LINE_ROW, "%-12s %d.%d to %d.%d cm", USUAL_CUFFS[i].name, USUAL_CUFFS[i].low_mm / 10,
                  USUAL_CUFFS[i].low_mm % 10, USUAL_CUFFS[i].high_mm / 10, USUAL_CUFFS[i].high_mm % 10);
    page_line(out, LINE_GAP, "%s", "");
    page_line(out, LINE_NOTE, "Ranges after AHA 2005, gaps between them given to the larger cuff. What is marked on "
                              "your cuffs comes first: o enters it.");
    page_key(out, "enter", "take these");
    page_key(out, "o", "my own instead");
    page_key(out, "q", "leave");
}

void first_run_protocol_list(struct list *l)
{
    memset(l, 0, sizeof *l);
    l->id = "first-protocol";
    l->title = "Which protocol is usual here?";
    l->empty = "No protocol could be read.";
    l->at = -1;
}

/* How long a span is, as clocks of the pages show it. */
static void span(int32_t seconds, char out[16])
{
    snprintf(out, 16, "%d:%02d", (int)seconds / 60, (int)seconds % 60);
}

void first_run_protocol_row(const struct protocol *p, char *out, size_t cap)
{
    struct text t;
    char asks[80];
    protocol_say_asks(p, asks, sizeof asks);
    text_init(&t, out, cap);
    text_addf(&t, "%-19s %s, %s", p->id, p->value[KEY_FIRST_ARMS] == FIRST_ARMS_BOTH ? "both arms" : "one arm", asks);
    if (p->value[KEY_STANDING_READINGS] > 0)
        text_addf(&t, ", then %d standing", (int)p->value[KEY_STANDING_READINGS]);
}

void first_run_protocol_note(const struct protocol *p, char *out, size_t cap)
{
    char rest[16], interval[16];
    if (!p) {
        text_copy(out, cap, "j goes to the first. The one taken is suggested at each opening; another can be chosen there.");
        return;
    }
    span(p->value[KEY_REST_S], rest);
    span(p->value[KEY_INTERVAL_MIN_S], interval);
    snprintf(out, cap, "%s: %s of rest before the first reading, at least %s between readings%s. Suggested at each opening; "
             "another can be chosen there.",
             p->title, rest, interval, p->value[KEY_FIRST_ARMS] == FIRST_ARMS_BOTH ? ", on a first visit both arms" : "");
}
