/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file pair_hand.h  The way to an entry with a second listener, and a watch that looks for figures on every page. */
#ifndef TESTS_PAIR_HAND_H
#define TESTS_PAIR_HAND_H

#include "guide_acts.h"

/* ---- what may not be seen: the figures typed, as words of their own on a page ---- */

static const char *const *secrets;
static int pages_seen;

static inline bool holds_figure(const char *text, const char *figure)
{
    size_t len = strlen(figure);

    for (const char *at = text; (at = strstr(at, figure)) != NULL; at++) {
        bool is_begun = at > text && at[-1] >= '0' && at[-1] <= '9';

        if (!is_begun && !(at[len] >= '0' && at[len] <= '9'))
            return true;
    }
    return false;
}

static inline bool page_holds(const struct page *pg, const char *figure)
{
    const char *const parts[] = { pg->left, pg->right, pg->banner, pg->title, pg->big, pg->big_note, pg->refusal };

    for (size_t i = 0; i < ARRAY_LEN(parts); i++)
        if (holds_figure(parts[i], figure))
            return true;
    for (int i = 0; i < pg->line_count; i++)
        if (holds_figure(pg->lines[i].text, figure) || holds_figure(pg->lines[i].value, figure))
            return true;
    for (int i = 0; i < pg->key_count; i++)
        if (holds_figure(pg->keys[i].label, figure))
            return true;
    return false;
}

static inline void watch(const struct hand *hand)
{
    for (const char *const *figure = secrets; figure != NULL && *figure != NULL; figure++)
        ck_assert_msg(!page_holds(&hand->page, *figure), "page %s shows %s (%s)", hand->page.id, *figure, hand->page.refusal);
    pages_seen += secrets != NULL;
}

static inline void keep_secret(const char *const *figures)
{
    secrets = figures;
    hand_watch = figures != NULL ? watch : NULL;
}

/* What is typed below, and its beginnings: none of it stands on these pages for another reason. */
static const char *const TYPED[] = { "164", "16", "126", "127", "12", "78", "77", "7", "132", "13", "84", "8", NULL };

/* ---- the way ---- */

static inline void squeeze_with(const char *listener)
{
    prepare_at(true, "\n", "130");
    ck_page(&h, "listening-before");
    press(&h, "l");
    ck_page(&h, "listener");
    press(&h, listener);
    press(&h, "\n");
    ck_page(&h, "listening-before");
    press(&h, " ");
    ck_page(&h, "listening");
    pass(&h, 50);
    press(&h, " ");
    ck_page(&h, "entry");
}

static inline const struct reading *current(void)
{
    return &h.sitting.readings[h.sitting.reading_count - 1];
}

static inline void give_both(void)
{
    press(&h, "16412678");
    ck_page(&h, "hand-over");
    press(&h, " ");
    ck_page(&h, "pair-entry");
    press(&h, "13284");
    ck_page(&h, "pair-read-back");
}

static inline void begin_unwatched(void)
{
    keep_secret(NULL);
    begin();
    text_copy(h.booth.people[0].id, ITEM_CAP, "ana");
    text_copy(h.booth.people[1].id, ITEM_CAP, "ben");
    text_copy(h.booth.people[1].name, sizeof h.booth.people[1].name, "Ben Tal");
    text_copy(h.booth.people[2].id, ITEM_CAP, "eva");
    h.booth.person_count = 3;
}

#endif
