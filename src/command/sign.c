/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file sign.c  The verb `sign`: the signature that is owed for a sitting that ended without one. */
#include <stdio.h>

#include "command/held.h"
#include "command/pin.h"
#include "command/workplace.h"
#include "stillarm/text.h"

static enum status check_owed(const struct kept_sitting *k, struct err *e)
{
    const int id = (int)k->head.id;
    if (k->review == REVIEW_OPEN)
        return err_set(e, ST_CONFLICT, "S-%03d is not at its end: whoever finishes or stops it signs then.", id);
    if (k->review == REVIEW_BEFORE)
        return err_set(e, ST_CONFLICT, "S-%03d ended before this store could sign, so no signature is owed for it.", id);
    if (k->review != REVIEW_UNSIGNED)
        return err_set(e, ST_CONFLICT, "S-%03d is signed already (%s).", id, REVIEW_WORDS[k->review]);
    if (!held_keeper(k)[0])
        return err_set(e, ST_CONFLICT, "S-%03d was stopped before a measurer was named, so there is nobody to sign it.", id);
    return ST_OK;
}

static enum status sign_it(struct store *store, int64_t id, struct err *e)
{
    struct kept_sitting kept;
    struct signer *signer = NULL;
    char at[40], keeper[ITEM_CAP] = "";
    enum status status = store_kept_sitting(store, id, &kept, e);
    if (status == ST_OK)
        status = check_owed(&kept, e);
    if (status == ST_OK)
        text_copy(keeper, sizeof keeper, held_keeper(&kept));
    if (status == ST_OK)
        status = pin_read_for(store, keeper, &signer, e);
    if (status == ST_OK) {
        stamp_now(at);
        status = store_sign_closed(store, id, signer, at, e);
    }
    signer_free(signer);
    if (status == ST_OK)
        printf("S-%03d is signed by %s.\n", (int)id, keeper);
    return status;
}

int verb_sign(const struct command_line *line)
{
    struct workplace w;
    struct err e = { 0 };
    int64_t id;
    if (parse_sitting(line->words[0], &id, &e) != ST_OK)
        return command_fail(&e);
    if (workplace_open_kept(&w, line, &e) != ST_OK)
        return command_fail(&e);
    enum status status = sign_it(w.store, id, &e);
    workplace_close(&w);
    return status == ST_OK ? EXIT_FINE : command_fail(&e);
}
