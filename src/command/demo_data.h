/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file demo_data.h  The demo's invented people, kit and sittings. */
#ifndef STILLARM_DEMO_DATA_H
#define STILLARM_DEMO_DATA_H

#include "command/workplace.h"

/** The PIN of each of its people is the short name and this. Shown on the demo's pages: it keeps nobody from anything. */
#define DEMO_PIN_END "-demo"
#define DEMO_PINS "ana-demo, dora-demo and so on"

/** Fill an empty store. Every sitting goes through the engine; one that it refuses is an error. */
enum status demo_fill(struct workplace *w, struct err *e) MUST_USE;
/** The same, and before it three months of a course that can be followed (demo_course.h). */
enum status demo_fill_course(struct workplace *w, struct err *e) MUST_USE;

#endif
