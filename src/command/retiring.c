/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file retiring.c  The loop of a page whose rows can be taken out of use. */
#include "command/retiring.h"

#include <stdarg.h>
#include <stdio.h>

#include "command/pin.h"
#include "stillarm/text.h"

void list_set_row(struct list *l, int row, const char *format, ...)
{
    char words[LIST_ROW_CAP];
    va_list args;
    va_start(args, format);
    vsnprintf(words, sizeof words, format, args);
    va_end(args);
    text_copy(l->rows[row], LIST_ROW_CAP, words);
}

void list_keep_cursor(struct list *l)
{
    if (l->at >= l->row_count)
        l->at = l->row_count > 0 ? l->row_count - 1 : 0;
}

static void take_retire(struct ui *ui, struct retiring_page *rp)
{
    struct list *l = rp->list;
    struct err e = { 0 };
    char id[ITEM_CAP], why[100];
    text_copy(id, sizeof id, rp->id(rp->rows, l->at));
    snprintf(why, sizeof why, "to take %s out of use", id);
    const struct act a = { .kind = SAYS_RETIRE, .of = id, .word = rp->word };
    enum status status = charge_act(ui, &a, why, &e);
    if (status == ST_OK)
        snprintf(l->refusal, sizeof l->refusal, "%s is out of use; past sittings keep it", id);
    else
        text_copy(l->refusal, sizeof l->refusal, e.text);
}

static void take_retiring_key(struct ui *ui, struct retiring_page *rp, const struct key *k)
{
    if (k->code != KEY_NONE && k->code != KEY_RESIZED)
        rp->list->refusal[0] = '\0';
    if (key_as_letter(k) == 'x' && rp->list->row_count > 0)
        take_retire(ui, rp);
    else if (!rp->take(ui, rp->rows, k))
        list_key(rp->list, k);
}

void retiring_page_run(struct ui *ui, struct retiring_page *rp)
{
    for (;;) {
        struct page pg;
        struct err e = { 0 };
        if (rp->gather(ui, rp->rows, &e) != ST_OK)
            text_copy(rp->list->refusal, sizeof rp->list->refusal, e.text);
        list_page(rp->list, &pg);
        rp->keys(rp->rows, &pg);
        if (rp->list->row_count > 0)
            page_key(&pg, "x", "out of use");
        page_key(&pg, "q", "back");
        struct key k = ui_ask(ui, &pg, INT64_MAX);
        if (key_is_leaving(&k))
            return;
        take_retiring_key(ui, rp, &k);
    }
}
