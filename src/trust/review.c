/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file review.c  Where the review of a sitting stands, and what may follow. */
#include "trust/trust.h"

const char *const REVIEW_WORDS[REVIEW_COUNT] = {
    [REVIEW_OPEN] = "open",       [REVIEW_BEFORE] = "before",     [REVIEW_UNSIGNED] = "unsigned",
    [REVIEW_WAITING] = "waiting", [REVIEW_RETURNED] = "returned", [REVIEW_DONE] = "countersigned",
    [REVIEW_HELD] = "held",       [REVIEW_RELEASED] = "released",
};

struct move {
    enum review from;
    enum statement_kind kind;
    enum review to;
};

/* All that can happen; what has no row cannot. A row to WAITING by seal or stop goes to HELD where somebody
 * witnessed. */
static const struct move MOVES[] = {
    {REVIEW_OPEN, SAYS_SEAL, REVIEW_WAITING},
    {REVIEW_OPEN, SAYS_STOP, REVIEW_WAITING},
    {REVIEW_UNSIGNED, SAYS_SEAL, REVIEW_WAITING},
    {REVIEW_UNSIGNED, SAYS_STOP, REVIEW_WAITING},
    {REVIEW_WAITING, SAYS_COUNTERSIGN, REVIEW_DONE},
    {REVIEW_WAITING, SAYS_RETURN, REVIEW_RETURNED},
    {REVIEW_WAITING, SAYS_COMMENT, REVIEW_WAITING},
    {REVIEW_WAITING, SAYS_AMEND, REVIEW_WAITING},
    {REVIEW_RETURNED, SAYS_COUNTERSIGN, REVIEW_DONE},
    {REVIEW_RETURNED, SAYS_COMMENT, REVIEW_RETURNED},
    {REVIEW_RETURNED, SAYS_AMEND, REVIEW_WAITING},
    {REVIEW_DONE, SAYS_COUNTERSIGN, REVIEW_DONE}, /* another preceptor's */
    {REVIEW_DONE, SAYS_COMMENT, REVIEW_DONE},
    {REVIEW_DONE, SAYS_AMEND, REVIEW_WAITING},
    {REVIEW_HELD, SAYS_COMMENT, REVIEW_HELD},
    {REVIEW_HELD, SAYS_RELEASE, REVIEW_RELEASED},
    {REVIEW_RELEASED, SAYS_COMMENT, REVIEW_RELEASED},
    {REVIEW_RELEASED, SAYS_AMEND, REVIEW_RELEASED},
};

bool review_after(enum review now, enum statement_kind kind, bool is_witnessed, enum review *out)
{
    for (size_t i = 0; i < ARRAY_LEN(MOVES); i++) {
        if (MOVES[i].from != now || MOVES[i].kind != kind)
            continue;
        const bool is_end = kind == SAYS_SEAL || kind == SAYS_STOP;
        *out = is_end && is_witnessed ? REVIEW_HELD : MOVES[i].to;
        return true;
    }
    return false;
}
