/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file demo_data.c  Invented data: nobody in it exists. Sittings are made by giving events to the engine. */
#include "command/demo_data.h"

#include "command/demo_course.h"
#include "command/demo_make.h"
#include "command/kit.h"
#include "guide/first_run.h"
#include "stillarm/text.h"
#include "terminal/clock.h"

#define HEARD(first_mmhg, last_mmhg) { .first = (first_mmhg), .last = (last_mmhg) }
static const struct demo_sitting STORIES[] = {
    { 6, 9 * 60 + 12, "ana", "m4-118", "left", 305, 72, 120, 130, { HEARD(124, 78), HEARD(122, 76) },
      .reviews = { { SAYS_COUNTERSIGN, "reviewed", NULL } } },
    { 6, 10 * 60 + 5, "ben", "m4-119", "right", 288, 66, 110, 120, { HEARD(116, 72), HEARD(114, 74) }, .tries_to_skip = true,
      .reviews = { { SAYS_COUNTERSIGN, "present", NULL } } },
    { 3, 14 * 60 + 41, "ben", "m4-118", "left", 305, 80, 130, 140, { HEARD(138, 86), HEARD(130, 84), HEARD(132, 84) },
      .tries_to_skip = true,
      .reviews = { { SAYS_COMMENT, NULL, "Good that the whole rest was kept in the end." },
                   { SAYS_RETURN, NULL, "You wanted to end the rest after a third of it. What had happened? Please add a line." } } },
    { 1, 11 * 60 + 30, "ana", "m4-122", "right", 352, 76, 140, 150, { HEARD(146, 92) }, .stop = "called away by the pharmacy",
      .is_owed = true },
    { 0, 8 * 60 + 20, "ana", "m4-123", "left", 318, 70, 110, 120, { HEARD(118, 76), HEARD(116, 76) }, .stop = NULL },
    { 0, 9 * 60 + 5, "ben", "m4-124", "right", 296, 74, 120, 130, { HEARD(122, 78), HEARD(120, 78) }, .witness = "dora",
      .reviews = { { SAYS_RELEASE, NULL, NULL } } },
};

static enum status fill_kit(struct store *store, int32_t today, int32_t *due, struct err *e)
{
    struct gauge near = { .id = "g1", .name = "desk gauge", .top_mmhg = 300 };
    struct gauge later = { .id = "g2", .name = "wall gauge", .top_mmhg = 300, .due = day_after_months(today, 5) };
    /* soon enough that home warns of it, and not on a day that does not exist */
    near.due = today % 100 <= 19 ? today + 9 : day_after_months(today - today % 100 + 1, 1) + 5;
    *due = near.due;
    enum status status = store_gauge_add(store, &near, e);
    if (status == ST_OK)
        status = store_gauge_add(store, &later, e);
    if (status == ST_OK)
        status = store_gauge_check(store, "g1", "leak", 2, today, e);
    for (int i = 0; status == ST_OK && i < USUAL_CUFF_COUNT; i++) {
        struct stored_cuff c = { .low_mm = USUAL_CUFFS[i].low_mm, .high_mm = USUAL_CUFFS[i].high_mm };
        text_copy(c.id, sizeof c.id, USUAL_CUFFS[i].id);
        text_copy(c.name, sizeof c.name, USUAL_CUFFS[i].name);
        status = store_cuff_add(store, &c, e);
    }
    return status;
}

static enum status fill(struct workplace *w, bool with_course, struct err *e)
{
    static const struct { const char *name, *value; } SETTINGS[] = {
        { "measurer", "ana" }, { "place", "booth 2" }, { "protocol", "us-adult" }, { "gauge", "g2" }
    };
    struct demo_people people = { .count = 0 };
    int32_t due = 0;
    enum status status = fill_kit(w->store, clock_day(clock_unix_ms()), &due, e);
    if (status == ST_OK)
        status = demo_people_add(w->store, with_course, &people, e);
    for (size_t i = 0; status == ST_OK && i < ARRAY_LEN(SETTINGS); i++)
        status = store_setting_set(w->store, SETTINGS[i].name, SETTINGS[i].value, e);
    if (status == ST_OK && with_course)
        status = demo_course_add(w, &people, due, e); /* first: it began months ago */
    for (size_t i = 0; status == ST_OK && i < ARRAY_LEN(STORIES); i++)
        status = demo_make(w, &STORIES[i], &people, due, e);
    demo_people_done(&people);
    return status;
}

enum status demo_fill(struct workplace *w, struct err *e)
{
    return fill(w, false, e);
}

enum status demo_fill_course(struct workplace *w, struct err *e)
{
    return fill(w, true, e);
}
