/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file proof_signed.c  Whose word a proved sitting is: who signed what, and with what standing. */
#include <string.h>

#include "command/proof_parts.h"
#include "stillarm/text.h"

static const char *const SIGNED_WORDS[SAYS_COUNT] = {
    [SAYS_SEAL] = "sealed by",      [SAYS_STOP] = "stopped by",    [SAYS_COUNTERSIGN] = "countersigned by",
    [SAYS_RETURN] = "sent back by", [SAYS_COMMENT] = "comment by", [SAYS_AMEND] = "added to by",
    [SAYS_RELEASE] = "result given by",
};

void key_whole(const char *id, char out[KEY_WHOLE_CAP])
{
    struct text t;
    text_init(&t, out, KEY_WHOLE_CAP);
    for (const char *c = id; strlen(c) >= 4; c += 4)
        text_addf(&t, "%s%.4s", c == id ? "" : " ", c);
}

/* Someone's word was relied on only where the proof found nothing wrong: then each key is in the ring. */
static void say_statement(struct signed_say *say, const struct statement *s)
{
    char line[300], key[12], standing[120] = "";
    struct text t;
    const struct ring_key *k = ring_find(say->ring, s->key);
    if (!SIGNED_WORDS[s->kind] || !k)
        return;
    trust_short(k->id, key);
    text_init(&t, line, sizeof line);
    text_addf(&t, "%s %s %s", SIGNED_WORDS[s->kind], s->person, key);
    if (s->kind == SAYS_COUNTERSIGN)
        text_add(&t, strcmp(s->word, "present") == 0 ? ": was present" : ": reviewed the record");
    if (k->role == SIGNS_PRECEPTOR) {
        standing_say(k->standing, k->voucher, standing);
        text_addf(&t, "; %s", standing);
        say->is_by_course = say->is_by_course || k->standing == TRUST_COURSE;
    }
    say->watch->signed_by(say->watch->user, line);
}

bool signed_take(void *user, const struct kept_statement *k)
{
    static struct statement s; /* large, and one at a time */
    if (statement_parse(k->text, k->len, &s, NULL) == ST_OK)
        say_statement(user, &s);
    return true;
}

bool signed_begin(struct signed_say *say, const struct findings *f, const struct ring *ring)
{
    *say = (struct signed_say){ .watch = f->watch, .ring = ring };
    return f->watch && f->watch->signed_by && f->proof->wrong == 0;
}

void signed_end(struct signed_say *say)
{
    const struct ring_key *course = ring_course(say->ring);
    char code[KEY_WHOLE_CAP], line[200];
    struct text t;
    if (!say->is_by_course || !course)
        return;
    key_whole(course->id, code);
    text_init(&t, line, sizeof line);
    text_addf(&t, "the course's key: %s; whose it is, only the code that the course gave out tells", code);
    say->watch->signed_by(say->watch->user, line);
}
