/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file why_markdown.c  docs/sources.md, from the data that the program runs on. */
#include <string.h>

#include "command/why.h"
#include "stillarm/text.h"

/* What markdown would read as the border of a column. */
static void cell(FILE *out, const char *text)
{
    for (; *text; text++)
        fprintf(out, *text == '|' ? "\\|" : "%c", *text);
}

static void heading(FILE *out, const char *title, const char *columns, int count)
{
    fprintf(out, "\n## %s\n\n%s\n|", title, columns);
    for (int i = 0; i < count; i++)
        fprintf(out, " --- |");
    fprintf(out, "\n");
}

/* ---- counts ---- */

struct tally {
    int of[STANDING_COUNT];
};

static void tally_row(FILE *out, const char *what, const struct tally *t)
{
    int sum = 0;
    fprintf(out, "| %s |", what);
    for (int i = 0; i < STANDING_COUNT; i++) {
        fprintf(out, " %d |", t->of[i]);
        sum += t->of[i];
    }
    fprintf(out, " %d |\n", sum);
}

static void write_counts(const struct protocols *ps, const struct yardsticks *ys, FILE *out)
{
    const struct category_scheme *c;
    const struct ground *g;
    fprintf(out, "\n## How many of each status\n\n| what |");
    for (int i = 0; i < STANDING_COUNT; i++)
        fprintf(out, " %s |", STANDING_WORDS[i]);
    fprintf(out, " all |\n| --- | --- | --- | --- | --- | --- |\n");
    for (int i = 0; i < ps->count; i++) {
        const struct protocol *p = ps->list[i];
        struct tally answers = { { 0 } }, keys = { { 0 } }, items = { { 0 } };
        char what[ITEM_CAP + 24];
        for (int n = 0; (g = ground_at(n)) != NULL; n++)
            answers.of[ground_origin(g, p).standing]++;
        for (int k = 0; k < KEY_COUNT; k++)
            keys.of[protocol_origin(p, (enum protocol_key)k).standing]++;
        for (int k = 0; k < p->item_count; k++)
            items.of[p->items[k].origin.standing]++;
        snprintf(what, sizeof what, "%s: answers", p->id);
        tally_row(out, what, &answers);
        snprintf(what, sizeof what, "%s: numbers", p->id);
        tally_row(out, what, &keys);
        snprintf(what, sizeof what, "%s: items", p->id);
        tally_row(out, what, &items);
    }
    struct tally bands = { { 0 } };
    for (int n = 0; (c = topic_scheme(ps, n)) != NULL; n++) {
        for (int i = 0; i < c->band_count; i++)
            bands.of[c->bands[i].origin.standing]++;
        for (int i = 0; i < c->flag_count; i++)
            bands.of[c->flags[i].origin.standing]++;
    }
    tally_row(out, "category bands", &bands);
    for (int i = 0; i < ys->count; i++) {
        struct tally criteria = { { 0 } };
        struct why_criterion row;
        char what[ITEM_CAP + 24];
        for (int n = 0; why_criterion_of(&ys->list[i], n, &row); n++)
            criteria.of[row.origin->standing]++;
        snprintf(what, sizeof what, "%s: yardstick", ys->list[i].id);
        tally_row(out, what, &criteria);
    }
}

/* ---- answers ---- */

/* The values of a key and who says so, protocols that agree taken together. */
static void write_values(const struct protocols *ps, enum protocol_key key, const char *before, const char *between,
                         FILE *out)
{
    bool is_first = true;
    for (int i = 0; i < ps->count; i++) {
        char who[PROTOCOLS_MAX * (ITEM_CAP + 2)], value[64], says[SOURCE_SAID_CAP];
        int count = topic_sharers(ps, key, i, who, sizeof who);
        if (count == 0)
            continue;
        protocol_say_value(key, ps->list[i]->value[key], value, sizeof value);
        protocol_say_source(ps->list[i], key, says, sizeof says);
        fprintf(out, "%s%s (%s): %s", is_first ? before : between, value, says,
                count > 1 && count == ps->count ? "all" : who);
        is_first = false;
    }
}

static void write_answers(const struct protocols *ps, enum ground_kind kind, FILE *out)
{
    const struct ground *g;
    enum protocol_key key;
    heading(out, TOPIC_HEADINGS[kind], "| id | what it means, and why | number, and who says so |", 3);
    for (int n = 0; (g = ground_at(n)) != NULL; n++) {
        if (g->kind != kind)
            continue;
        fprintf(out, "| `%s` | ", g->id);
        cell(out, g->says);
        fprintf(out, " ");
        cell(out, g->because);
        fprintf(out, " | ");
        for (int nth = 0; ground_key_of(g, nth, &key); nth++) {
            fprintf(out, "%s`%s`: ", nth ? "<br>" : "", PROTOCOL_KEYS[key].name);
            write_values(ps, key, "", "; ", out);
        }
        if (!g->key) {
            char words[SOURCE_SAID_CAP];
            struct origin origin = ground_origin(g, NULL);
            origin_say(&origin, words, sizeof words);
            fprintf(out, "%s", words);
        }
        fprintf(out, " |\n");
    }
}

/* ---- numbers and items ---- */

static void write_key(const struct protocols *ps, enum protocol_key key, FILE *out)
{
    const struct position *position;
    fprintf(out, "\n`%s`: %s\n\n- ", PROTOCOL_KEYS[key].name, PROTOCOL_KEYS[key].meaning);
    write_values(ps, key, "", "\n- ", out);
    for (int n = 0; (position = protocols_position_at(ps, key, n)) != NULL; n++) {
        char range[120];
        protocol_say_range(key, position->low, position->high, range, sizeof range);
        fprintf(out, "%s%s: %s (%s%s)", n == 0 ? "\n- the bodies say: " : "; ", position->body, range,
                position->source, topic_hearsay(ps, position->source));
    }
    for (int i = 0; i < ps->count; i++) {
        if (ps->list[i]->origin[key].standing != STANDING_JUDGEMENT || !protocol_why_ours(key))
            continue;
        fprintf(out, "\n- %s", protocol_why_ours(key));
        break;
    }
    fprintf(out, "\n");
}

static void write_item(const struct protocols *ps, const char *id, FILE *out)
{
    const struct protocol_item *before = NULL;
    fprintf(out, "| `%s` | ", id);
    for (int i = 0; i < ps->count; i++) {
        int at = protocol_find_item(ps->list[i], id);
        if (at < 0)
            continue;
        const struct protocol_item *it = &ps->list[i]->items[at];
        bool is_same = before && strcmp(before->say, it->say) == 0 && strcmp(before->cost, it->cost) == 0 &&
                       strcmp(before->origin.source, it->origin.source) == 0 &&
                       before->origin.standing == it->origin.standing;
        if (is_same) {
            fprintf(out, ", %s", ps->list[i]->id);
            continue;
        }
        char origin[SOURCE_SAID_CAP];
        origin_say(&it->origin, origin, sizeof origin);
        fprintf(out, "%s", before ? "; " : "");
        cell(out, it->say);
        if (it->cost[0]) {
            fprintf(out, ". ");
            cell(out, it->cost);
            fprintf(out, " (%s)", it->cost_source);
        }
        fprintf(out, " - %s: %s", origin, ps->list[i]->id);
        before = it;
    }
    fprintf(out, " |\n");
}

/* ---- categories and sources ---- */

static void write_scheme(const struct category_scheme *c, FILE *out)
{
    char title[160], systolic[40], diastolic[40], origin[SOURCE_SAID_CAP];
    snprintf(title, sizeof title, "Categories: %s (`%s`)", c->title, c->id);
    heading(out, title, "| id | said as | systolic | diastolic | who says so |", 5);
    for (int i = 0; i < c->band_count; i++) {
        const struct category_band *b = &c->bands[i];
        topic_say_band(c, i, true, systolic, sizeof systolic);
        topic_say_band(c, i, false, diastolic, sizeof diastolic);
        origin_say(&b->origin, origin, sizeof origin);
        fprintf(out, "| `%s` | %s | %s | %s | %s |\n", b->id, b->say, systolic, diastolic, origin);
    }
    for (int i = 0; i < c->flag_count; i++) {
        const struct category_flag *f = &c->flags[i];
        topic_say_flag(f, true, systolic, sizeof systolic);
        topic_say_flag(f, false, diastolic, sizeof diastolic);
        origin_say(&f->origin, origin, sizeof origin);
        fprintf(out, "| `%s` | %s, ", f->id, f->say);
        if (f->replaces >= 0 && f->replaces < c->band_count)
            fprintf(out, "in place of `%s`", c->bands[f->replaces].id);
        else
            fprintf(out, "beside any");
        fprintf(out, " | %s | %s%s | %s |\n", systolic, f->is_either ? "or " : "", diastolic, origin);
    }
}

static void write_yardstick(const struct yardstick *y, FILE *out)
{
    struct why_criterion c;
    char title[160], origin[SOURCE_SAID_CAP];
    snprintf(title, sizeof title, "Yardstick: %s (`%s`)", y->title, y->id);
    heading(out, title, "| id | what is looked at | what is asked | who says so |", 4);
    for (int n = 0; why_criterion_of(y, n, &c); n++) {
        origin_say(c.origin, origin, sizeof origin);
        fprintf(out, "| `%s` | ", c.id);
        cell(out, c.say);
        fprintf(out, " | %s | %s |\n", c.asked, origin);
    }
}

static void write_sources(const struct protocols *ps, FILE *out)
{
    heading(out, TOPIC_HEADINGS[TOPIC_SOURCE], "| id | title | body | how it was seen |", 4);
    for (int i = 0; i < ps->source_count; i++) {
        const struct source *s = &ps->sources[i];
        fprintf(out, "| `%s` | ", s->id);
        cell(out, s->title);
        fprintf(out, " | %s | %s |\n", s->body, topic_seen_words(s->seen));
    }
}

void why_markdown(const struct why_files *w, FILE *out)
{
    const struct protocols *ps = w->ps;
    const struct topics *all = w->all;
    const struct category_scheme *c;
    fprintf(out,
            "# Who says so\n\n"
            "Written by `stillarm why --markdown` from the files that the program runs on; a test holds the two\n"
            "together. `stillarm why ID` says the same of one id, `stillarm protocols ID` of one protocol.\n\n"
            "- published: a source of the list below says so, and somebody has read it there, or a page that reports it.\n"
            "- common practice: taught and done widely, without one source that can be named for it.\n"
            "- judgement: our own choice; no published source is known. A site may well choose otherwise.\n"
            "- this protocol's own: a value that its source does not say; that source answers for no such value.\n"
            "- from memory: a source is believed to say so; nobody has looked it up yet. It founds no published number.\n");
    write_counts(ps, w->ys, out);
    for (int kind = 0; kind < GROUND_KIND_COUNT; kind++)
        write_answers(ps, (enum ground_kind)kind, out);
    fprintf(out, "\n## %s\n", TOPIC_HEADINGS[TOPIC_KEY]);
    for (int k = 0; k < KEY_COUNT; k++)
        write_key(ps, (enum protocol_key)k, out);
    heading(out, TOPIC_HEADINGS[TOPIC_ITEM], "| id | what is confirmed, what it costs to skip, and who says so |", 2);
    for (int i = 0; i < all->count; i++) {
        if (all->list[i].kind == TOPIC_ITEM)
            write_item(ps, all->list[i].id, out);
    }
    for (int n = 0; (c = topic_scheme(ps, n)) != NULL; n++)
        write_scheme(c, out);
    for (int i = 0; i < w->ys->count; i++)
        write_yardstick(&w->ys->list[i], out);
    write_sources(ps, out);
}
