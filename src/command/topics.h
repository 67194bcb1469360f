/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file topics.h  Every id that somebody may ask about, and the words that `why` and `protocols` share. */
#ifndef STILLARM_TOPIC_H
#define STILLARM_TOPIC_H

#include <stdio.h>

#include "config/protocols.h"
#include "stillarm/ground.h"

enum topic_kind {
    TOPIC_REFUSAL, TOPIC_VOID, TOPIC_READING_REMARK, TOPIC_SITTING_REMARK, /* as enum ground_kind */
    TOPIC_KEY, TOPIC_ITEM, TOPIC_SCHEME, TOPIC_BAND, TOPIC_SOURCE,
    TOPIC_KIND_COUNT
};
extern const char *const TOPIC_HEADINGS[TOPIC_KIND_COUNT];

struct topic {
    enum topic_kind kind;
    const char *id, *brief; /* what it is in a few words; both live as long as the protocols */
};

struct topics {
    struct topic *list;
    int count, cap;
};

/** All ids, by kind, in a fixed order; one that several protocols or schemes share comes once. Free list. */
enum status topics_collect(const struct protocols *ps, struct topics *out, struct err *e) MUST_USE;

/** Up to cap ids that somebody who typed this may have meant, nearest first. @return how many */
int topics_near(const struct topics *all, const char *typed, const char **out, int cap);

/** Is id the one typed? Sources are found in small letters too. */
bool topic_is(const struct topic *k, const char *typed);

/** The schemes of category files, then those that protocols carry themselves; NULL past the last. */
const struct category_scheme *topic_scheme(const struct protocols *ps, int nth);

/** How a source was seen, in words. */
const char *topic_seen_words(const char *seen);

/** A band's own range of one value, `below 120`, `120 to 129`, `140 or more`, `-`. */
void topic_say_band(const struct category_scheme *c, int band, bool is_systolic, char *out, size_t cap);
/** The same of a flag. */
void topic_say_flag(const struct category_flag *f, bool is_systolic, char *out, size_t cap);

/** `, from memory` behind a source that nobody has looked up, else "". */
const char *topic_hearsay(const struct protocols *ps, const char *source);

/** The protocols that share one value of a key and who says so, each by its id: `us-adult, uk-adult`.
 *  first: the one that speaks for them. @return how many; 0 where an earlier protocol speaks for `first` already */
int topic_sharers(const struct protocols *ps, enum protocol_key key, int first, char *out, size_t cap);

#endif
