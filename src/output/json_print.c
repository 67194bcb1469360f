/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One place that writes JSON: 17 digits give every double back. */
#include <errno.h>
#include <string.h>

#include "output/figures_json.h"

enum status json_print(json_t *steals, FILE *to, struct err *e)
{
    if (!steals)
        return err_set(e, ST_NO_MEMORY, "There is not enough memory to write the figures as JSON.");
    int failed = json_dumpf(steals, to, JSON_INDENT(2) | JSON_REAL_PRECISION(17) | JSON_PRESERVE_ORDER) != 0;
    json_decref(steals);
    if (failed || fputc('\n', to) == EOF || fflush(to) != 0)
        return err_set(e, ST_IO, "The figures could not be written: %s.", strerror(errno));
    return ST_OK;
}
