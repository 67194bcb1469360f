/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file graph_asked.c  By its word; the words that are offered are those of the graphs themselves. */
#include "command/graph_asked.h"

#include <string.h>

#include "stillarm/text.h"

static bool is_drawn(int kind, enum chart_kind lacks)
{
    return kind != (int)lacks;
}

static enum status refuse(const char *word, const char *verb, enum chart_kind lacks, struct err *e)
{
    char list[120];
    struct text t;
    int last = CHART_KIND_COUNT - 1;
    while (!is_drawn(last, lacks))
        last--;
    text_init(&t, list, sizeof list);
    for (int kind = 0; kind <= last; kind++)
        if (is_drawn(kind, lacks))
            text_addf(&t, "%s%s", t.len == 0 ? "" : kind == last ? " or " : ", ", CHART_WORDS[kind]);
    return err_set(e, ST_USAGE, "`%.40s` is no graph of %s. It draws %s.", word, verb, list);
}

enum status graph_asked_of(const struct command_line *line, const char *verb, enum chart_kind lacks, struct graph_asked *out,
                           struct err *e)
{
    const char *word = line->value[OPTION_GRAPH];
    *out = (struct graph_asked){ .kind = CHART_DIFFERENCE, .file = line->value[OPTION_PLOT] };
    if (word && !out->file)
        return err_set(e, ST_USAGE, "--graph says which graph --plot draws, and --plot is not there. Give both: "
                                    "--plot FILE.pdf --graph %.40s.", word);
    int kind = 0;
    while (word && kind < CHART_KIND_COUNT && !(is_drawn(kind, lacks) && strcmp(word, CHART_WORDS[kind]) == 0))
        kind++;
    if (kind == CHART_KIND_COUNT)
        return refuse(word, verb, lacks, e);
    out->kind = (enum chart_kind)kind;
    return out->file ? chart_form_of(out->file, &out->form, e) : ST_OK;
}

void graph_asked_say(const struct graph_asked *g, FILE *out)
{
    char name[300];
    (void)text_copy(name, sizeof name, g->file);
    text_defuse(name);
    fprintf(out, "The graph `%s` is in %s.\n", CHART_WORDS[g->kind], name);
}
