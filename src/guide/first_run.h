/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file first_run.h  What a new store asks before its first sitting, with suggestions that one key accepts. Pure. */
#ifndef STILLARM_FIRST_RUN_H
#define STILLARM_FIRST_RUN_H

#include "guide/form.h"
#include "stillarm/protocol.h"

/** Fields: short name, name, place. */
void first_run_person_form(struct form *f);
/** Fields: short name, top, calibrated on, next due. months: the site's interval, which is offered. */
void first_run_gauge_form(struct form *f, int months);
/** The two fields of a calibration, for the forms that ask for one. No day is suggested: it is read from a label. */
void calibration_fields(struct form_field *on, struct form_field *next, int months);
/** The field of a cuff's bladder. */
struct form_field bladder_field(void);
/** Fields: short name, low, high, bladder. */
void first_run_cuff_form(struct form *f);

struct usual_cuff { const char *id, *name; int low_mm, high_mm; };
#define USUAL_CUFF_COUNT 4
/** The usual set of adult cuffs that is suggested. */
extern const struct usual_cuff USUAL_CUFFS[USUAL_CUFF_COUNT];
/** The set, one key to take it. */
void first_run_cuffs_page(struct page *out);

/** Which protocol is the usual one here; the caller fills the rows. The cursor is on none: a region is nobody's default. */
void first_run_protocol_list(struct list *l);
/** A row of it: its id and what it asks, in a few words. */
void first_run_protocol_row(const struct protocol *p, char *out, size_t cap);
/** What is said of the row with the cursor; p is NULL where it is on none. */
void first_run_protocol_note(const struct protocol *p, char *out, size_t cap);

#endif
