/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file graph_asked.h  Which graph --plot and --graph ask for, read and answered one way by every verb that draws. */
#ifndef STILLARM_GRAPH_ASKED_H
#define STILLARM_GRAPH_ASKED_H

#include <stdio.h>

#include "command/command.h"
#include "output/chart_file.h"

struct graph_asked {
    enum chart_kind kind;
    enum chart_form form;
    const char *file; /* lives as long as the command line; NULL: none is asked for */
};

/**
 * Read both options; without --graph it is that of the differences.
 * @param verb   for messages
 * @param lacks  a kind that the verb cannot draw; CHART_KIND_COUNT: it draws all
 * @return ST_USAGE with what there is
 */
enum status graph_asked_of(const struct command_line *line, const char *verb, enum chart_kind lacks, struct graph_asked *out,
                           struct err *e) MUST_USE;
/** Say where it is now. */
void graph_asked_say(const struct graph_asked *g, FILE *out);

#endif
