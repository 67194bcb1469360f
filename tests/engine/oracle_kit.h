/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file oracle_kit.h  Gauges and cuffs, as the oracle sees them. */
#ifndef STILLARM_TEST_ORACLE_KIT_H
#define STILLARM_TEST_ORACLE_KIT_H

#include "oracle.h"

void oracle_take_gauge(struct oracle *o, const struct event *ev);
void oracle_take_check(struct oracle *o, const struct event *ev);
void oracle_take_cuff(struct oracle *o, const struct event *ev);
void oracle_take_wrap(struct oracle *o, const struct protocol *p, const struct event *ev);

/** Is the last check of the gauge in use beyond its limit? */
bool oracle_gauge_failed(const struct oracle *o, const struct protocol *p);

#endif
