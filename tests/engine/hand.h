/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file hand.h  The protocols that engine tests run on. */
#ifndef STILLARM_TEST_HAND_H
#define STILLARM_TEST_HAND_H

#include "stillarm/protocol.h"

/** us-adult or europe-adult filled by hand from the specification, or NULL. Static storage. */
const struct protocol *hand_protocol(const char *id);

/** The protocol of that name from assets/protocols, read once; NULL when there is none (why on stderr). */
const struct protocol *asset_protocol(const char *id);

#endif
