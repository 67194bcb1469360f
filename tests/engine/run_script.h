/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file run_script.h  Runs a script of events with the answer that each must get. */
// clang-format off
/*
 * One line each:
 *
 *     12.000 rest begin              an event in its text form; `+5.000` counts from the line before
 *     12.000 rest begin -> no RULE   it must be refused so (default: `-> ok`; `-> syntax`: it must not parse)
 *     12.000 rest begin -> no RULE (HAVE; NEED)     and what there is and what is needed said so
 *     +0.100 confirm kit.*           every item of that prefix; `*1` the first, `*w` the first waivable, `*b` the first
 *                                    that is not
 *     include rest.part              from the folder common/
 *     protocol-key rest_s 0          another value for a key of the protocol; before any event that it judges
 *     allow cuff.too-small           the protocol marks that rule waivable
 *     = reading 2 left 126 - 78 void target.low,release.fast -
 *     = average left 130.00 80.00 2      = no average left
 *     = remark WORD    = no remark WORD  = state open|sealable|sealed|stopped
 *     = step rest done                   = missing kit kit.zero      = not missing kit kit.zero
 *     = floor 160      = readings 2      = counted left 1            = needed left 3
 *     = arm-to-read left|right|-         = wake 330.000 | = wake none
 *     = inflate-from listen 330.000      = rest good|lost
 *     = alarm none|low|high              = owed yes|no (an answer to a severe value or to symptoms)
 *     = wants-repeat yes|no              = lack readings.few|arms.few|-
 *     = in-use left|right|-              = standing yes|no
 *     = standing-counted 1               = standing-from 330.000|0.000
 *     = drop 20.00 -1.50 | = drop none   = cuff-notes narrow,short,gap|-
 *
 * A reading taken standing has `standing` first among its remarks, as on paper.
 */
// clang-format on
#ifndef STILLARM_TEST_RUN_SCRIPT_H
#define STILLARM_TEST_RUN_SCRIPT_H

#include "stillarm/sitting.h"

struct coverage {
    int rules[RULE_COUNT];
    unsigned voids, notes, remarks;
    int events, refusals;
};

/** @return true when everything went as the script says; else why holds FILE:LINE: what. cov may be NULL. */
bool run_script(const char *path, struct coverage *cov, char *why, size_t cap);

#endif
