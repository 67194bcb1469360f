/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How exact the result is, part by part. */
#include "guide/views.h"

void page_worth(const struct scene *sc, struct page *pg)
{
    (void)sc;
    text_copy(pg->title, sizeof pg->title, "How exact");
    page_key(pg, "esc", "back");
}

bool key_worth(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    (void)sc;
    (void)out;
    if (k->code != KEY_ESCAPE)
        return false;
    guide_open_view(g, VIEW_AUTO);
    return true;
}
