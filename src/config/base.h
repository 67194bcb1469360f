/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file base.h  What a protocol knows of the one it was copied from. */
#ifndef STILLARM_CONFIG_BASE_H
#define STILLARM_CONFIG_BASE_H

#include "stillarm/protocol.h"

/** Lists of [base ID], which may go on over many lines. */
enum base_list { BASE_LEFT_OUT, BASE_CATEGORIES, BASE_FIRM_RULES, BASE_FIRM_ITEMS, BASE_QUIET_ITEMS,
                 BASE_CRITICAL_RULES, BASE_CRITICAL_ITEMS, BASE_LISTS };

extern const char *const BASE_LIST_NAMES[BASE_LISTS];

/** One word of a list. left_out and categories count on beyond what they hold: the caller refuses that. */
void base_take(struct protocol *p, enum base_list list, const char *id);

/** Take base as the protocol that p was copied from. */
void protocol_set_base(struct protocol *p, const struct protocol *base);

#endif
