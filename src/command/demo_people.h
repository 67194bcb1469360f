/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file demo_people.h  The demo's invented people with their keys, vouched for by an invented course. */
#ifndef STILLARM_DEMO_PEOPLE_H
#define STILLARM_DEMO_PEOPLE_H

#include "store/signed.h"

#define DEMO_PEOPLE_MAX 6
#define DEMO_PRECEPTOR "dora"
/* Those in a course, by how they come out (assets/yardsticks/trainee.yardstick). */
#define DEMO_READY "mira"
#define DEMO_NOT_YET "joss"
#define DEMO_TOO_FEW "tilo"

/** Their unlocked keys, while the demo's data are made. */
struct demo_people {
    const char *id[DEMO_PEOPLE_MAX];
    struct signer *signer[DEMO_PEOPLE_MAX];
    int count;
};

enum status demo_people_add(struct store *store, bool with_course, struct demo_people *out, struct err *e) MUST_USE;
void demo_people_done(struct demo_people *p);
/** NULL for nobody of them. */
const struct signer *demo_signer(const struct demo_people *p, const char *person);

#endif
