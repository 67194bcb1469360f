/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file why.c  The verb `why`: what an id means, what its number is, and who says so. */
#include "command/why.h"

#include <stdlib.h>
#include <string.h>

#include "command/command.h"
#include "command/workplace.h"
#include "command/yardstick_open.h"
#include "stillarm/text.h"

#define CITED_MAX 48
#define NEAR_MAX 3

/* One answer while it is printed: what it cites is told at its end, each source once. */
struct telling {
    const struct protocols *ps;
    const struct yardsticks *ys;
    const struct protocol *only; /* NULL: all */
    FILE *out;
    char cited[CITED_MAX][SOURCE_CAP];
    int cited_count;
};

static bool is_told(const struct telling *t, const struct protocol *p)
{
    return !t->only || t->only == p;
}

static void cite(struct telling *t, const char *source)
{
    for (int i = 0; i < t->cited_count; i++) {
        if (strcmp(t->cited[i], source) == 0)
            return;
    }
    if (source[0] && t->cited_count < CITED_MAX)
        text_copy(t->cited[t->cited_count++], SOURCE_CAP, source);
}

/* The next source named in brackets inside a sentence, as in `... too high (REST-4).`; NULL past the last. */
static const char *next_bracket(const char *sentence, char id[SOURCE_CAP])
{
    const char *at = strchr(sentence, '(');
    if (at)
        snprintf(id, SOURCE_CAP, "%.*s", (int)strcspn(at + 1, ",); "), at + 1);
    return at ? at + 1 : NULL;
}

static void cite_brackets(struct telling *t, const char *sentence)
{
    char id[SOURCE_CAP];
    while ((sentence = next_bracket(sentence, id)) != NULL) {
        if (protocols_source(t->ps, id))
            cite(t, id);
    }
}

static bool names_source(const struct ground *g, const char *source)
{
    char id[SOURCE_CAP];
    bool is_named = strcmp(g->source, source) == 0;
    for (const char *at = g->because; !is_named && (at = next_bracket(at, id)) != NULL;)
        is_named = strcmp(id, source) == 0;
    return is_named;
}

static void tell_origin(struct telling *t, const struct origin *origin)
{
    char words[SOURCE_SAID_CAP];
    origin_say(origin, words, sizeof words);
    fprintf(t->out, "%s\n", words);
    cite(t, origin->source);
}

static void tell_cited(struct telling *t)
{
    if (t->cited_count)
        fprintf(t->out, "\nSources:\n");
    for (int i = 0; i < t->cited_count; i++) {
        const struct source *s = protocols_source(t->ps, t->cited[i]);
        if (s)
            fprintf(t->out, "  %-9s %s (%s)\n", s->id, s->title, topic_seen_words(s->seen));
        else
            fprintf(t->out, "  %-9s not in the list of sources\n", t->cited[i]);
    }
}

/* ---- one kind each ---- */

/* One value with who says so, and under which protocols. */
static void tell_value(struct telling *t, enum protocol_key key, const struct protocol *p, const char *who)
{
    char value[64], says[SOURCE_SAID_CAP];
    protocol_say_value(key, p->value[key], value, sizeof value);
    protocol_say_source(p, key, says, sizeof says);
    fprintf(t->out, "  %s, %s\n      %s\n", value, says, who);
    cite(t, p->origin[key].source);
}

static void tell_values(struct telling *t, enum protocol_key key)
{
    char who[PROTOCOLS_MAX * (ITEM_CAP + 2)];
    bool is_ours = false;
    for (int i = 0; i < t->ps->count; i++) {
        const struct protocol *p = t->ps->list[i];
        if (!is_told(t, p) || (!t->only && topic_sharers(t->ps, key, i, who, sizeof who) == 0))
            continue;
        tell_value(t, key, p, t->only ? p->id : who);
        is_ours = is_ours || p->origin[key].standing == STANDING_JUDGEMENT;
    }
    if (is_ours && protocol_why_ours(key)) {
        fprintf(t->out, "  %s\n", protocol_why_ours(key));
        cite_brackets(t, protocol_why_ours(key));
    }
}

static void tell_positions(struct telling *t, enum protocol_key key)
{
    const struct position *position;
    if (protocols_position_at(t->ps, key, 0))
        fprintf(t->out, "\nWhat is said of %s:\n", PROTOCOL_KEYS[key].name);
    for (int n = 0; (position = protocols_position_at(t->ps, key, n)) != NULL; n++) {
        char range[120];
        protocol_say_range(key, position->low, position->high, range, sizeof range);
        fprintf(t->out, "  %-32s %-22s %s%s\n", position->body, range, position->source,
                topic_hearsay(t->ps, position->source));
        cite(t, position->source);
    }
}

static bool may_pass_over(const struct protocol *p, enum rule rule)
{
    return p->is_waivable[rule];
}

static bool is_critical(const struct protocol *p, enum rule rule)
{
    return p->is_critical[rule];
}

/* The protocols that say so of a rule, behind what they say. */
static void tell_sayers(const struct telling *t, enum rule rule, const char *what,
                        bool (*says)(const struct protocol *, enum rule))
{
    struct text who;
    char buf[PROTOCOLS_MAX * (ITEM_CAP + 2)];
    text_init(&who, buf, sizeof buf);
    for (int i = 0; i < t->ps->count; i++) {
        if (is_told(t, t->ps->list[i]) && says(t->ps->list[i], rule))
            text_addf(&who, "%s%s", who.len ? ", " : "", t->ps->list[i]->id);
    }
    if (who.len)
        fprintf(t->out, "\n%s under: %s\n", what, buf);
}

static void tell_ground(struct telling *t, const struct topic *topic)
{
    const struct ground *g = ground_find(topic->id);
    enum protocol_key key;
    if (!g)
        return;
    fprintf(t->out, "%s: %s\n  %s\n  %s\n\n", g->id, GROUND_KIND_WORDS[g->kind], g->says, g->because);
    for (int nth = 0; ground_key_of(g, nth, &key); nth++) {
        fprintf(t->out, "%s%s: %s\n", nth ? "\n" : "", PROTOCOL_KEYS[key].name, PROTOCOL_KEYS[key].meaning);
        tell_values(t, key);
        tell_positions(t, key);
    }
    if (!g->key) {
        struct origin origin = ground_origin(g, NULL);
        fprintf(t->out, "It rests on: ");
        tell_origin(t, &origin);
    }
    if (g->kind == GROUND_REFUSAL) {
        tell_sayers(t, (enum rule)g->index, "May be passed over with a reason", may_pass_over);
        tell_sayers(t, (enum rule)g->index, "Critical before a witness", is_critical);
    }
    cite_brackets(t, g->because);
}

static void tell_key(struct telling *t, const struct topic *topic)
{
    const struct ground *g;
    int key = 0;
    bool is_first = true;
    while (key < KEY_COUNT - 1 && strcmp(PROTOCOL_KEYS[key].name, topic->id) != 0)
        key++;
    const struct protocol_key_row *row = &PROTOCOL_KEYS[key];
    fprintf(t->out, "%s: %s of a protocol\n  %s\n  it may be ", row->name, row->words ? "choice" : "number", row->meaning);
    if (row->words) {
        for (int32_t i = row->low; i <= row->high; i++)
            fprintf(t->out, "%s%s", i == row->low ? "" : i == row->high ? " or " : ", ", row->words[i]);
        fprintf(t->out, "\n\n");
    } else {
        char low[48], high[48];
        protocol_say_value((enum protocol_key)key, row->low, low, sizeof low);
        protocol_say_value((enum protocol_key)key, row->high, high, sizeof high);
        fprintf(t->out, "%s to %s\n\n", low, high);
    }
    tell_values(t, (enum protocol_key)key);
    tell_positions(t, (enum protocol_key)key);
    for (int n = 0; (g = ground_at(n)) != NULL; n++) {
        enum protocol_key one;
        for (int nth = 0; ground_key_of(g, nth, &one); nth++) {
            if (one != (enum protocol_key)key)
                continue;
            fprintf(t->out, "%s%s", is_first ? "\nAnswers that rest on it: " : ", ", g->id);
            is_first = false;
        }
    }
    if (!is_first)
        fprintf(t->out, "\n");
}

static void tell_item(struct telling *t, const struct topic *topic)
{
    fprintf(t->out, "%s: item that is looked at or asked\n", topic->id);
    for (int i = 0; i < t->ps->count; i++) {
        const struct protocol *p = t->ps->list[i];
        int at = protocol_find_item(p, topic->id);
        if (at < 0 || !is_told(t, p))
            continue;
        const struct protocol_item *it = &p->items[at];
        fprintf(t->out, "  %s: %s\n    ", p->id, it->say);
        tell_origin(t, &it->origin);
        if (it->cost[0])
            fprintf(t->out, "    %s (%s)\n", it->cost, it->cost_source);
        cite(t, it->cost_source);
        fprintf(t->out, "    %s%s\n", it->is_waivable ? "may be passed over with a reason" : "may not be passed over",
                it->is_critical ? "; critical before a witness" : "");
    }
}

static void tell_band_row(struct telling *t, const char *id, const char *say, const char *systolic, const char *diastolic,
                          const struct origin *origin)
{
    fprintf(t->out, "  %-20s %-30s systolic %s, diastolic %s; ", id, say, systolic, diastolic);
    tell_origin(t, origin);
}

/* Those of a scheme whose id is the one asked for; all with NULL. */
static bool tell_bands(struct telling *t, const struct category_scheme *c, const char *only, bool with_head)
{
    char systolic[40], diastolic[40];
    bool is_first = true;
    for (int i = 0; i < c->band_count + c->flag_count; i++) {
        const struct category_flag *flag = i < c->band_count ? NULL : &c->flags[i - c->band_count];
        const char *id = flag ? flag->id : c->bands[i].id;
        if (only && strcmp(only, id) != 0)
            continue;
        if (is_first && with_head)
            fprintf(t->out, "%s: %s\n", c->id, c->title);
        is_first = false;
        if (flag) {
            topic_say_flag(flag, true, systolic, sizeof systolic);
            topic_say_flag(flag, false, diastolic, sizeof diastolic);
        } else {
            topic_say_band(c, i, true, systolic, sizeof systolic);
            topic_say_band(c, i, false, diastolic, sizeof diastolic);
        }
        tell_band_row(t, id, flag ? flag->say : c->bands[i].say, systolic, diastolic,
                      flag ? &flag->origin : &c->bands[i].origin);
    }
    return !is_first;
}

static void tell_scheme(struct telling *t, const struct topic *topic)
{
    const struct category_scheme *c;
    bool is_first = true;
    for (int n = 0; (c = topic_scheme(t->ps, n)) != NULL; n++) {
        if (strcmp(c->id, topic->id) != 0)
            continue;
        fprintf(t->out, "%s: category scheme\n  %s\n", c->id, c->title);
        tell_bands(t, c, NULL, false);
        break;
    }
    for (int i = 0; i < t->ps->count; i++) {
        for (int k = 0; k < t->ps->list[i]->scheme_count; k++) {
            if (strcmp(t->ps->list[i]->schemes[k].id, topic->id) != 0)
                continue;
            fprintf(t->out, "%s%s", is_first ? "Said by the protocols: " : ", ", t->ps->list[i]->id);
            is_first = false;
        }
    }
    if (!is_first)
        fprintf(t->out, "\n");
}

static void tell_band(struct telling *t, const struct topic *topic)
{
    const struct category_scheme *c;
    fprintf(t->out, "%s: category; the mean is compared as it is, not rounded\n", topic->id);
    for (int n = 0; (c = topic_scheme(t->ps, n)) != NULL; n++)
        tell_bands(t, c, topic->id, true);
}

static void tell_users(struct telling *t, const char *source)
{
    const struct ground *g;
    bool is_first = true;
    for (int n = 0; (g = ground_at(n)) != NULL; n++) {
        if (!names_source(g, source))
            continue;
        fprintf(t->out, "%s%s", is_first ? "  answers: " : ", ", g->id);
        is_first = false;
    }
    fprintf(t->out, "%s", is_first ? "" : "\n");
    for (int i = 0; i < t->ps->count; i++) {
        const struct protocol *p = t->ps->list[i];
        is_first = true;
        for (int k = 0; is_told(t, p) && k < KEY_COUNT + p->item_count; k++) {
            const struct protocol_item *it = k < KEY_COUNT ? NULL : &p->items[k - KEY_COUNT];
            const char *of = it ? it->origin.source : p->origin[k].source;
            if (strcmp(of, source) != 0 && !(it && strcmp(it->cost_source, source) == 0))
                continue;
            if (is_first)
                fprintf(t->out, "  %s: ", p->id);
            fprintf(t->out, "%s%s%s", is_first ? "" : ", ", it ? it->id : PROTOCOL_KEYS[k].name,
                    it || protocol_rests_on_source(p, (enum protocol_key)k) ? "" : " (its own)");
            is_first = false;
        }
        fprintf(t->out, "%s", is_first ? "" : "\n");
    }
}

/* No protocol holds a yardstick: it is told whichever is asked about. */
static void tell_yardsticks(const struct telling *t, const char *source)
{
    struct why_criterion c;
    for (int i = 0; i < t->ys->count; i++) {
        bool is_first = true;
        for (int n = 0; why_criterion_of(&t->ys->list[i], n, &c); n++) {
            if (strcmp(c.origin->source, source) != 0)
                continue;
            if (is_first)
                fprintf(t->out, "  yardstick %s: ", t->ys->list[i].id);
            fprintf(t->out, "%s%s", is_first ? "" : ", ", c.id);
            is_first = false;
        }
        fprintf(t->out, "%s", is_first ? "" : "\n");
    }
}

static void tell_source(struct telling *t, const struct topic *topic)
{
    const struct source *s = protocols_source(t->ps, topic->id);
    if (!s)
        return;
    fprintf(t->out, "%s: source\n  %s\n", s->id, s->title);
    if (s->body[0])
        fprintf(t->out, "  body: %s\n", s->body);
    fprintf(t->out, "  %s\n", topic_seen_words(s->seen));
    for (int k = 0; k < KEY_COUNT; k++) {
        const struct position *position = protocols_position(t->ps, (enum protocol_key)k, s->id);
        char range[120];
        if (!position)
            continue;
        protocol_say_range((enum protocol_key)k, position->low, position->high, range, sizeof range);
        fprintf(t->out, "  says of %s: %s\n", PROTOCOL_KEYS[k].name, range);
    }
    tell_users(t, s->id);
    tell_yardsticks(t, s->id);
}

static void (*const TELL[TOPIC_KIND_COUNT])(struct telling *, const struct topic *) = {
    [TOPIC_REFUSAL] = tell_ground,        [TOPIC_VOID] = tell_ground, [TOPIC_READING_REMARK] = tell_ground,
    [TOPIC_SITTING_REMARK] = tell_ground, [TOPIC_KEY] = tell_key,     [TOPIC_ITEM] = tell_item,
    [TOPIC_SCHEME] = tell_scheme,         [TOPIC_BAND] = tell_band,   [TOPIC_SOURCE] = tell_source,
};

int why_tell(const struct why_files *w, const char *id, const struct protocol *only, FILE *out)
{
    int count = 0;
    for (int i = 0; i < w->all->count; i++) {
        const struct topic *topic = &w->all->list[i];
        struct telling t = { .ps = w->ps, .ys = w->ys, .only = only, .out = out };
        if (!topic_is(topic, id))
            continue;
        if (count++)
            fprintf(out, "\n");
        TELL[topic->kind](&t, topic);
        tell_cited(&t);
    }
    return count;
}

/* ---- the verb ---- */

static void list_topics(const struct topics *all)
{
    for (int i = 0; i < all->count; i++) {
        bool is_new = i == 0 || all->list[i].kind != all->list[i - 1].kind;
        if (is_new)
            printf("%s%s:\n", i ? "\n" : "", TOPIC_HEADINGS[all->list[i].kind]);
        printf("  %-28s %s\n", all->list[i].id, all->list[i].brief);
    }
}

static enum status refuse_unknown(const struct topics *all, const char *typed, struct err *e)
{
    const char *near[NEAR_MAX];
    char list[3 * (SOURCE_CAP + 8)];
    struct text t;
    int count = topics_near(all, typed, near, NEAR_MAX);
    text_init(&t, list, sizeof list);
    for (int i = 0; i < count; i++)
        text_addf(&t, "%s`%s`", i == 0 ? " Near it: " : ", ", near[i]);
    if (count)
        text_add(&t, ".");
    return err_set(e, ST_USAGE, "`%.60s` is no id that is known here.%s stillarm why lists all.", typed, list);
}

static enum status answer(const struct command_line *line, const struct why_files *w, struct err *e)
{
    const char *named = line->value[OPTION_PROTOCOL];
    const struct protocol *only = named ? protocols_find(w->ps, named) : NULL;
    if (named && !only)
        return err_set(e, ST_USAGE, "`%.60s` is no protocol at hand. stillarm protocols lists them.", named);
    if (line->value[OPTION_MARKDOWN] && (named || line->word_count))
        return err_set(e, ST_USAGE, "--markdown writes everything; it takes no id and no --protocol.");
    if (line->value[OPTION_MARKDOWN])
        why_markdown(w, stdout);
    else if (line->word_count == 0)
        list_topics(w->all);
    else if (why_tell(w, line->words[0], only, stdout) == 0)
        return refuse_unknown(w->all, line->words[0], e);
    return ST_OK;
}

/* Answers are given without a yardstick, too. */
static void load_yardsticks(const char *dir, const struct protocols *ps, struct yardsticks *out)
{
    struct err e = { 0 };
    enum status st = yardsticks_load(dir, ps, out, &e);
    yardsticks_say_faults(out);
    if (st != ST_OK && out->fault_count == 0)
        fprintf(stderr, "stillarm: %s\n", e.text);
}

int verb_why(const struct command_line *line)
{
    const char *dir = line->value[OPTION_PROTOCOL_DIR];
    struct protocols ps = { 0 };
    struct topics all = { 0 };
    struct yardsticks ys;
    struct err e = { 0 };
    if (protocols_load(dir, &ps, &e) != ST_OK) {
        command_fail(&e);
        protocols_free(&ps);
        return EXIT_FILES; /* whatever was wrong, it was the protocols and not the id */
    }
    workplace_say_faults(&ps);
    load_yardsticks(dir, &ps, &ys);
    const struct why_files w = { .ps = &ps, .all = &all, .ys = &ys };
    enum status status = topics_collect(&ps, &all, &e);
    if (status == ST_OK)
        status = answer(line, &w, &e);
    free(all.list);
    yardsticks_free(&ys);
    protocols_free(&ps);
    return status == ST_OK ? EXIT_FINE : command_fail(&e);
}
