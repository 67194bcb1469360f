/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file demo_course.h  Three months of an invented course: who is ready, who is not yet, and of whom too little is known. */
#ifndef STILLARM_DEMO_COURSE_H
#define STILLARM_DEMO_COURSE_H

#include "command/demo_people.h"
#include "command/workplace.h"

/** Make its sittings, the oldest first. Always the same values; the days are counted back from today. */
enum status demo_course_add(struct workplace *w, const struct demo_people *people, int32_t due, struct err *e) MUST_USE;

#endif
