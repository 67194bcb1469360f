/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file protocols.c  The verb `protocols`: which there are, and one with the body behind each number. */
#include <stdio.h>
#include <string.h>

#include "command/command.h"
#include "command/topics.h"
#include "command/workplace.h"
#include "stillarm/text.h"

static void list_protocols(const struct protocols *ps)
{
    printf("%-20s %-30s %-40s %s\n", "protocol", "title", "asks for", "goes its own way in");
    for (int i = 0; i < ps->count; i++) {
        int count = protocol_deviations(ps->list[i]);
        char places[32], asks[80];
        snprintf(places, sizeof places, "%d place%s", count, count == 1 ? "" : "s");
        protocol_say_asks(ps->list[i], asks, sizeof asks);
        printf("%-20s %-30s %-40s %s\n", ps->list[i]->id, ps->list[i]->title, asks, count ? places : "-");
    }
}

static const char *body_of(const struct protocols *ps, const struct protocol *p, enum protocol_key key)
{
    const struct source *s = protocols_source(ps, p->origin[key].source);
    return s && s->body[0] ? s->body : "-";
}

/* Bodies that would have it otherwise than this protocol; its own source was named before. */
static void say_others(const struct protocols *ps, const struct protocol *p, enum protocol_key key)
{
    const struct position *position;
    for (int n = 0; (position = protocols_position_at(ps, key, n)) != NULL; n++) {
        char range[120];
        if ((p->value[key] >= position->low && p->value[key] <= position->high) ||
            strcmp(position->source, p->origin[key].source) == 0)
            continue;
        protocol_say_range(key, position->low, position->high, range, sizeof range);
        printf("    otherwise %-24s %s (%s%s)\n", position->body, range, position->source,
               topic_hearsay(ps, position->source));
    }
}

static void show_key(const struct protocols *ps, const struct protocol *p, enum protocol_key key)
{
    const struct origin *origin = &p->origin[key];
    char value[64], says[SOURCE_SAID_CAP];
    protocol_say_value(key, p->value[key], value, sizeof value);
    protocol_say_source(p, key, says, sizeof says);
    if (!protocol_rests_on_source(p, key) && (origin->source[0] || protocol_differs_from_base(p, key)))
        printf("%-26s %s, %s\n", PROTOCOL_KEYS[key].name, value, says);
    else
        printf("%-26s %-28s %-22s %-10s %s\n", PROTOCOL_KEYS[key].name, value, body_of(ps, p, key),
               origin->source[0] ? origin->source : "-", STANDING_WORDS[origin->standing]);
    if (protocol_rests_on_source(p, key) && protocol_differs_from_base(p, key)) {
        protocol_say_value(key, p->base_value[key], value, sizeof value);
        printf("    otherwise %-24s %s\n", p->copied_from, value);
    }
    say_others(ps, p, key);
}

static void show_keys(const struct protocols *ps, const struct protocol *p)
{
    printf("\n%-26s %-28s %-22s %-10s %s\n", "number or choice", "value", "body", "source", "status");
    for (int k = 0; k < KEY_COUNT; k++)
        show_key(ps, p, (enum protocol_key)k);
    printf("\njudgement: our own choice; no published source is known. A site may well choose otherwise:\n"
           "`stillarm why KEY` says why it stands so, and why another might be better.\n");
}

static void show_items(const struct protocol *p)
{
    printf("\n%-22s %s\n", "item", "what is confirmed, and who says so");
    for (int i = 0; i < p->item_count; i++) {
        char origin[SOURCE_SAID_CAP];
        origin_say(&p->items[i].origin, origin, sizeof origin);
        printf("%-22s %s (%s%s%s)\n", p->items[i].id, p->items[i].say, origin,
               p->items[i].is_waivable ? "; may be passed over" : "",
               p->items[i].is_critical ? "; critical before a witness" : "");
    }
}

/* For each body: where this protocol differs from it. */
static void show_bodies(const struct protocols *ps, const struct protocol *p)
{
    const char *body;
    for (int n = 0; (body = protocols_body_at(ps, n)) != NULL; n++) {
        int same = 0, other = 0;
        for (int k = 0; k < KEY_COUNT; k++) {
            const struct position *position;
            for (int m = 0; (position = protocols_position_at(ps, (enum protocol_key)k, m)) != NULL; m++) {
                bool is_within = p->value[k] >= position->low && p->value[k] <= position->high;
                if (strcmp(position->body, body) != 0)
                    continue;
                same += is_within;
                other += !is_within;
            }
        }
        if (n == 0)
            printf("\n%-30s %-10s %s\n", "body", "as it says", "otherwise");
        printf("%-30s %-10d %d\n", body, same, other);
    }
}

static void show_protocol(const struct protocols *ps, const struct protocol *p)
{
    char said[DEVIATION_CAP];
    printf("%s: %s\nregion: %s\nbased on: %s\n", p->id, p->title, p->region, p->based_on);
    if (p->copied_from[0])
        printf("copied from: %s\n", p->copied_from);
    for (int i = 0; i < p->scheme_count; i++)
        printf("categories: %s, %s\n", p->schemes[i].id, p->schemes[i].title);
    show_keys(ps, p);
    show_items(p);
    show_bodies(ps, p);
    printf("\nGoes its own way: %s\n", protocol_deviations(p) ? "" : "nowhere that is known");
    for (int n = 0; protocol_say_deviation(p, n, said, sizeof said); n++)
        printf("  %s\n", said);
}

int verb_protocols(const struct command_line *line)
{
    struct protocols ps = { 0 };
    struct err e = { 0 };
    enum status status = ST_OK;
    if (protocols_load(line->value[OPTION_PROTOCOL_DIR], &ps, &e) != ST_OK) {
        command_fail(&e);
        protocols_free(&ps);
        return EXIT_FILES;
    }
    workplace_say_faults(&ps);
    const struct protocol *p = line->word_count ? protocols_find(&ps, line->words[0]) : NULL;
    if (p)
        show_protocol(&ps, p);
    else if (line->word_count == 0)
        list_protocols(&ps);
    else
        status = err_set(&e, ST_USAGE, "`%.60s` is no protocol at hand. stillarm protocols lists them.", line->words[0]);
    protocols_free(&ps);
    return status == ST_OK ? EXIT_FINE : command_fail(&e);
}
