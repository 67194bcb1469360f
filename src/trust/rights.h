/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file rights.h  What the rules on who may say what ask of the ring. */
#ifndef STILLARM_TRUST_RIGHTS_H
#define STILLARM_TRUST_RIGHTS_H

#include "trust/trust.h"

bool ring_is_retired(const struct ring *r, const char *person);
/** Who witnessed a sitting, as its seal or stop says; "" where the ring was told of none. */
const char *ring_witness(const struct ring *r, int64_t sitting);

#endif
