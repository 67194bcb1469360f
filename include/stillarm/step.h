/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file step.h  The steps of a sitting, in the order in which they are offered. */
#ifndef STILLARM_STEP_H
#define STILLARM_STEP_H

enum step {
    STEP_NONE, /* belongs to no step: may come at any time */
    STEP_OPENING, STEP_READINESS, STEP_ARM, STEP_CUFF, STEP_POSTURE, STEP_REST, STEP_KIT,
    STEP_ESTIMATE, STEP_LISTENING, STEP_CLOSING,
    STEP_COUNT
};

/** opening, readiness, ...; "" for STEP_NONE. */
const char *step_word(enum step step);

#endif
