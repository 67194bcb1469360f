/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file figures_json.h  Statistics as JSON (jansson), numbers with 17 digits; what is lacking is null beside its words. */
#ifndef STILLARM_FIGURES_JSON_H
#define STILLARM_FIGURES_JSON_H

#include <jansson.h>
#include <stdio.h>

#include "guide/progress.h"
#include "stillarm/err.h"

/** New references; NULL when memory is short. Documented in docs/agreement.md. */
json_t *json_of_agreement(const struct agreement *a);
json_t *json_of_readiness(const struct yardstick *y, const struct readiness_result *r, const struct record *rec);
json_t *json_of_rates(const struct learning_plan *p, const struct learning_rates *r);
json_t *json_of_progress(const struct progress *p, const struct progress_row *before, const struct yardstick *y);

/** Print and give back; ST_IO, or ST_NO_MEMORY for NULL. */
enum status json_print(json_t *steals, FILE *to, struct err *e) MUST_USE;

#endif
