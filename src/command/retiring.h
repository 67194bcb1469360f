/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file retiring.h  Pages with a list of things that can be taken out of use, and what such lists share. */
#ifndef STILLARM_RETIRING_H
#define STILLARM_RETIRING_H

#include "command/ui.h"

/** rows is the page's own. */
struct retiring_page {
    struct list *list;
    void *rows;
    enum status (*gather)(struct ui *ui, void *rows, struct err *e);
    const char *(*id)(const void *rows, int row);
    const char *word;                                /* what retires: kit, person */
    void (*keys)(const void *rows, struct page *pg); /* the page's own */
    bool (*take)(struct ui *ui, void *rows, const struct key *k); /* false: not one of them */
};

/** Stay on the page until it is left. x asks for the PIN of who is in charge: that is also what keeps a slip of the finger from
 *  taking a gauge away. */
void retiring_page_run(struct ui *ui, struct retiring_page *rp);

/** A row in the list's own storage, cut on a whole character where it is too long. */
void list_set_row(struct list *l, int row, const char *format, ...) __attribute__((format(printf, 3, 4)));
/** Leaves the cursor where it was, as far as there are rows. */
void list_keep_cursor(struct list *l);

#endif
