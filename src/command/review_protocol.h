/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file review_protocol.h  Was a sitting judged by the protocol that is used here? */
#ifndef STILLARM_COMMAND_REVIEW_PROTOCOL_H
#define STILLARM_COMMAND_REVIEW_PROTOCOL_H

#include "config/protocols.h"
#include "store/signed.h"

#define PROTOCOL_NOTE_CAP 120
/** In words, or "" where the text kept with the sitting is the one of that name here. here: NULL where there are none. */
void protocol_note(const struct protocols *here, const struct kept_sitting *k, char out[PROTOCOL_NOTE_CAP]);

#endif
