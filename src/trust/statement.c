/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file statement.c  Statements: their table, and their one text form, which is what gets signed. */
#include "trust/internal.h"

#include <sodium.h>
#include <stdio.h>
#include <string.h>

#include "stillarm/text.h"

#define WORDS(...) ((const char *const[]){__VA_ARGS__, NULL})

const struct statement_row STATEMENTS[SAYS_COUNT] = {
    [SAYS_KEY] = {"key", HAS_OF | HAS_OF_KEY, BY_KEY_ITSELF, NULL},
    [SAYS_COURSE] = {"course", HAS_OF_KEY, BY_KEY_ITSELF, NULL},
    [SAYS_VOUCH] = {"vouch", HAS_OF | HAS_OF_KEY, BY_COURSE_OR_PRECEPTOR, NULL},
    [SAYS_END] = {"end", HAS_OF | HAS_OF_KEY | HAS_SAID, BY_COURSE_OR_PRECEPTOR, NULL},
    [SAYS_SEAL] = {"seal", HAS_SITTING | HAS_CLOSE, BY_KEEPER, NULL},
    [SAYS_STOP] = {"stop", HAS_SITTING | HAS_CLOSE, BY_KEEPER, NULL},
    [SAYS_COUNTERSIGN] = {"countersign", HAS_SITTING | HAS_WORD | HAS_OPEN, BY_OTHER_PRECEPTOR,
                          WORDS("reviewed", "present")},
    [SAYS_RETURN] = {"return", HAS_SITTING | HAS_EVENT | HAS_OPEN | HAS_SAID, BY_OTHER_PRECEPTOR, NULL},
    [SAYS_COMMENT] = {"comment", HAS_SITTING | HAS_EVENT | HAS_SAID, BY_PRECEPTOR, NULL},
    [SAYS_AMEND] = {"amend", HAS_SITTING | HAS_SAID, BY_MEASURER, NULL},
    [SAYS_RELEASE] = {"release", HAS_SITTING | HAS_OPEN, BY_WITNESS, NULL},
    [SAYS_RETIRE] = {"retire", HAS_OF | HAS_WORD, BY_IN_CHARGE, WORDS("person", "kit")},
    [SAYS_PROTOCOL] = {"protocol", HAS_OF | HAS_HASH, BY_IN_CHARGE, NULL},
};

const char *const SIGNING_ROLE_WORDS[SIGNING_ROLE_COUNT] = {
    [SIGNS_TRAINEE] = "trainee",
    [SIGNS_TECHNICIAN] = "technician",
    [SIGNS_PRECEPTOR] = "preceptor",
    [SIGNS_COURSE] = "course",
};

/* ---- the fields behind `what`, in their order ---- */

enum form { HEX, COUNT64, COUNT32, ATTEMPTS, ITEM, STAMP, BOOT, ROLE, PUBLIC, WORD, SAID };

struct field {
    const char *name;
    unsigned in; /* HAS_... ; 0: of every statement */
    enum form form;
    size_t at, cap;
    bool may_lack; /* `-` stands for "" */
    int least;
};

#define AT(member) offsetof(struct statement, member), sizeof((struct statement *)0)->member
static const struct field FIELDS[] = {
    {"store", 0, HEX, AT(store), false, 0},
    {"number", 0, COUNT64, AT(number), false, 1},
    {"previous", 0, HEX, AT(previous), false, 0},
    {"person", 0, ITEM, AT(person), false, 0},
    {"role", 0, ROLE, AT(role), false, 0},
    {"key", 0, HEX, AT(key), false, 0},
    {"at", 0, STAMP, AT(at), false, 0},
    {"sitting", HAS_SITTING, COUNT64, AT(sitting), false, 1},
    {"opened", HAS_SITTING, STAMP, AT(opened), true, 0},
    {"measurer", HAS_SITTING, ITEM, AT(measurer), true, 0},
    {"events", HAS_SITTING, COUNT32, AT(events), false, 0},
    {"head", HAS_SITTING, HEX, AT(head), false, 0},
    {"earlier", HAS_SITTING, COUNT64, AT(earlier), false, 0},
    {"attempts", HAS_CLOSE, ATTEMPTS, AT(attempts_hash), false, 0},
    {"protocol-text", HAS_CLOSE, HEX, AT(protocol_text), false, 0},
    {"boot", HAS_CLOSE, BOOT, AT(boot), true, 0},
    {"witness", HAS_CLOSE, ITEM, AT(witness), true, 0},
    {"of", HAS_OF, ITEM, AT(of), false, 0},
    {"of-key", HAS_OF_KEY, HEX, AT(of_key), false, 0},
    {"of-public", HAS_OF_KEY, PUBLIC, AT(of_public), false, 0},
    {"of-role", HAS_OF_KEY, ROLE, AT(of_role), false, 0},
    {"word", HAS_WORD, WORD, AT(word), false, 0},
    {"event", HAS_EVENT, COUNT32, AT(event), false, 0},
    {"open", HAS_OPEN, COUNT64, AT(open_ms), false, 0},
    {"said", HAS_SAID, SAID, AT(said), false, 0},
    {"hash", HAS_HASH, HEX, AT(hash), false, 0},
};

static bool is_in(const struct field *f, unsigned fields)
{
    return f->in == 0 || (f->in & fields) != 0;
}

static const char *text_at(const struct statement *s, const struct field *f)
{
    return (const char *)s + f->at;
}

/* ---- form ---- */

static bool is_boot(const char *s)
{
    const size_t n = strspn(s, "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz-.");
    return n > 0 && s[n] == '\0' && s[0] != '-' && s[0] != '.';
}

static bool is_listed(const char *word, const char *const *words)
{
    for (; words && *words; words++)
        if (strcmp(*words, word) == 0)
            return true;
    return false;
}

static int64_t count_at(const struct statement *s, const struct field *f)
{
    int32_t n32;
    int64_t n64;
    if (f->form == COUNT32) {
        memcpy(&n32, (const char *)s + f->at, sizeof n32);
        return n32;
    }
    memcpy(&n64, (const char *)s + f->at, sizeof n64);
    return n64;
}

static enum signing_role role_at(const struct statement *s, const struct field *f)
{
    enum signing_role role;
    memcpy(&role, (const char *)s + f->at, sizeof role);
    return role;
}

static bool is_string_formed(const struct statement *s, const struct field *f, const char *text)
{
    switch (f->form) {
    case HEX:
    case ATTEMPTS:
        return is_hex(text, f->cap - 1) && (f->form == HEX || s->attempts >= 0);
    case ITEM:
        return is_item(text);
    case STAMP:
        return parse_timestamp(text, NULL, NULL) == ST_OK;
    case BOOT:
        return is_boot(text);
    case WORD:
        return is_listed(text, STATEMENTS[s->kind].words);
    case SAID:
        return is_plain_text(text, EVENT_TEXT_MAX);
    case COUNT64:
    case COUNT32:
    case ROLE:
    case PUBLIC:
        break;
    }
    return false;
}

static bool is_formed(const struct statement *s, const struct field *f)
{
    const char *text = text_at(s, f);
    if (f->form == COUNT64 || f->form == COUNT32)
        return count_at(s, f) >= f->least;
    if (f->form == ROLE)
        return (unsigned)role_at(s, f) < SIGNING_ROLE_COUNT;
    if (f->form == PUBLIC)
        return true;
    if (!memchr(text, '\0', f->cap))
        return false;
    return (f->may_lack && text[0] == '\0') || is_string_formed(s, f, text);
}

/* A field that the kind does not have: whoever filled it would believe it signed. */
static bool is_empty(const struct statement *s, const struct field *f)
{
    if (f->form == COUNT64 || f->form == COUNT32)
        return count_at(s, f) == 0;
    if (f->form == ROLE)
        return role_at(s, f) == 0;
    if (f->form == PUBLIC)
        return sodium_is_zero((const unsigned char *)text_at(s, f), f->cap);
    return text_at(s, f)[0] == '\0' && (f->form != ATTEMPTS || s->attempts == 0);
}

/* What fields must have to do with each other. */
static bool is_consistent(const struct statement *s, unsigned fields)
{
    char id[KEY_ID_CAP];
    if ((s->role == SIGNS_COURSE) != (strcmp(s->person, COURSE_PERSON) == 0) || s->event > s->events ||
        s->earlier >= s->number)
        return false;
    if (!(fields & HAS_OF_KEY))
        return true;
    key_id_of(s->of_public, id);
    return strcmp(id, s->of_key) == 0 && (s->of_role == SIGNS_COURSE) == (s->kind == SAYS_COURSE);
}

static bool is_well_formed(const struct statement *s)
{
    if ((unsigned)s->kind >= SAYS_COUNT)
        return false;
    const unsigned fields = STATEMENTS[s->kind].fields;
    for (size_t i = 0; i < ARRAY_LEN(FIELDS); i++)
        if (!(is_in(&FIELDS[i], fields) ? is_formed(s, &FIELDS[i]) : is_empty(s, &FIELDS[i])))
            return false;
    return is_consistent(s, fields);
}

/* ---- printing ---- */

static void print_said(struct text *t, const char *s)
{
    text_add(t, "\"");
    while (*s) {
        const size_t plain = strcspn(s, "\"\\");
        text_addf(t, "%.*s", (int)plain, s);
        s += plain;
        if (*s)
            text_addf(t, "\\%c", *s++);
    }
    text_add(t, "\"");
}

static void print_value(struct text *t, const struct statement *s, const struct field *f)
{
    char hex[PUBLIC_HEX_CAP];
    switch (f->form) {
    case COUNT64:
    case COUNT32:
        text_addf(t, "%lld", (long long)count_at(s, f));
        break;
    case ATTEMPTS:
        text_addf(t, "%d %s", (int)s->attempts, s->attempts_hash);
        break;
    case ROLE:
        text_add(t, SIGNING_ROLE_WORDS[role_at(s, f)]);
        break;
    case PUBLIC:
        trust_hex((const unsigned char *)text_at(s, f), f->cap, hex);
        text_add(t, hex);
        break;
    case SAID:
        print_said(t, s->said);
        break;
    case HEX:
    case ITEM:
    case STAMP:
    case BOOT:
    case WORD:
        text_add(t, text_at(s, f)[0] ? text_at(s, f) : "-");
        break;
    }
}

size_t statement_print(const struct statement *s, char out[STATEMENT_CAP])
{
    struct text t;
    text_init(&t, out, STATEMENT_CAP);
    if (!is_well_formed(s))
        return 0;
    text_addf(&t, "stillarm statement 1\nwhat %s\n", STATEMENTS[s->kind].word);
    for (size_t i = 0; i < ARRAY_LEN(FIELDS); i++) {
        if (!is_in(&FIELDS[i], STATEMENTS[s->kind].fields))
            continue;
        text_addf(&t, "%s ", FIELDS[i].name);
        print_value(&t, s, &FIELDS[i]);
        text_add(&t, "\n");
    }
    return t.is_cut ? 0 : t.len;
}

/* ---- parsing ---- */

static bool take_number(struct part p, const struct field *f, char *to)
{
    int64_t n64;
    if (!part_number(p, &n64) || (f->form == COUNT32 && n64 > INT32_MAX))
        return false;
    const int32_t n32 = (int32_t)n64;
    if (f->form == COUNT32)
        memcpy(to, &n32, sizeof n32);
    else
        memcpy(to, &n64, sizeof n64);
    return true;
}

static bool take_role(struct part p, char *to)
{
    for (int i = 0; i < SIGNING_ROLE_COUNT; i++) {
        const enum signing_role role = (enum signing_role)i;
        if (strlen(SIGNING_ROLE_WORDS[i]) == p.len && memcmp(SIGNING_ROLE_WORDS[i], p.at, p.len) == 0) {
            memcpy(to, &role, sizeof role);
            return true;
        }
    }
    return false;
}

static bool take_attempts(struct part p, struct statement *s)
{
    int64_t n;
    const char *blank = memchr(p.at, ' ', p.len);
    if (!blank || !part_number((struct part){p.at, (size_t)(blank - p.at)}, &n) || n > INT32_MAX)
        return false;
    s->attempts = (int32_t)n;
    const struct part hash = {blank + 1, (size_t)(p.at + p.len - blank - 1)};
    return part_copy(hash, s->attempts_hash, sizeof s->attempts_hash);
}

static bool take_said(struct part p, char out[EVENT_TEXT_CAP])
{
    size_t n = 0;
    if (p.len < 2 || p.at[0] != '"' || p.at[p.len - 1] != '"')
        return false;
    for (const char *c = p.at + 1, *end = p.at + p.len - 1; c < end; c++) {
        if (*c == '"' || *c == '\0' || n == EVENT_TEXT_CAP - 1)
            return false;
        if (*c == '\\') {
            c++;
            if (c == end || (*c != '"' && *c != '\\'))
                return false;
        }
        out[n++] = *c;
    }
    out[n] = '\0';
    return true;
}

static bool take_value(struct part p, const struct field *f, struct statement *s)
{
    char *to = (char *)s + f->at;
    switch (f->form) {
    case COUNT64:
    case COUNT32:
        return take_number(p, f, to);
    case ATTEMPTS:
        return take_attempts(p, s);
    case ROLE:
        return take_role(p, to);
    case PUBLIC:
        return part_unhex(p, (unsigned char *)to, f->cap);
    case SAID:
        return take_said(p, to);
    case HEX:
    case ITEM:
    case STAMP:
    case BOOT:
    case WORD:
        break;
    }
    if (f->may_lack && p.len == 1 && p.at[0] == '-')
        return true;
    return p.len > 0 && part_copy(p, to, f->cap);
}

static enum status take_what(struct lines *l, struct statement *s, struct err *e)
{
    struct part p;
    enum status status = lines_next(l, "what", &p, e);
    if (status != ST_OK)
        return status;
    for (int i = 0; i < SAYS_COUNT; i++) {
        s->kind = (enum statement_kind)i;
        if (strlen(STATEMENTS[i].word) == p.len && memcmp(STATEMENTS[i].word, p.at, p.len) == 0)
            return ST_OK;
    }
    return lines_wrong(l, "what", "what a statement can be", e);
}

static const char *should_be(enum form form)
{
    static const char *const SHOULD[] = {
        [HEX] = "digits 0 to 9 and a to f, as many as it needs",
        [COUNT64] = "a whole number that it can have",
        [COUNT32] = "a whole number that it can have",
        [ATTEMPTS] = "a whole number, a blank and 64 digits 0 to 9 and a to f",
        [ITEM] = "1 to 32 letters, digits, points and hyphens",
        [STAMP] = "a date and time with its offset",
        [BOOT] = "letters, digits, points and hyphens",
        [ROLE] = "trainee, technician, preceptor or course",
        [PUBLIC] = "64 digits 0 to 9 and a to f",
        [WORD] = "one of the words of this kind of statement",
        [SAID] = "a text of 1 to 500 characters in double quotes",
    };
    return SHOULD[form];
}

static enum status take_fields(struct lines *l, struct statement *s, struct err *e)
{
    for (size_t i = 0; i < ARRAY_LEN(FIELDS); i++) {
        struct part p;
        const struct field *f = &FIELDS[i];
        if (!is_in(f, STATEMENTS[s->kind].fields))
            continue;
        const enum status status = lines_next(l, f->name, &p, e);
        if (status != ST_OK)
            return status;
        if (!take_value(p, f, s) || !is_formed(s, f))
            return lines_wrong(l, f->name, should_be(f->form), e);
    }
    return ST_OK;
}

enum status statement_parse(const char *text, size_t len, struct statement *out, struct err *e)
{
    struct lines l;
    struct statement s;
    memset(&s, 0, sizeof s); /* all of it: two equal statements are equal byte for byte */
    if (len >= STATEMENT_CAP)
        return err_set(e, ST_SYNTAX, "The statement is longer than any can be (%d bytes): it is none.",
                       STATEMENT_CAP - 1);
    enum status status = lines_begin(&l, "statement", text, len, e);
    if (status == ST_OK)
        status = take_what(&l, &s, e);
    if (status == ST_OK)
        status = take_fields(&l, &s, e);
    if (status == ST_OK)
        status = lines_end(&l, e);
    if (status == ST_OK && !is_consistent(&s, STATEMENTS[s.kind].fields))
        status = err_set(e, ST_SYNTAX,
                         "Line %d of the statement, its last: its person and role, its event, its number and the one "
                         "before it, or its key and that key's code contradict each other.",
                         l.line);
    if (status == ST_OK)
        memcpy(out, &s, sizeof s);
    return status;
}

/* ---- hashes ---- */

void statement_hash(const char *text, size_t len, const unsigned char signature[TRUST_SIGNATURE_BYTES],
                    char out[HASH_HEX_CAP])
{
    unsigned char hash[TRUST_HASH_BYTES];
    crypto_generichash_state h;
    (void)crypto_generichash_init(&h, NULL, 0, sizeof hash);
    (void)crypto_generichash_update(&h, (const unsigned char *)text, len);
    (void)crypto_generichash_update(&h, signature, TRUST_SIGNATURE_BYTES);
    (void)crypto_generichash_final(&h, hash, sizeof hash);
    trust_hex(hash, sizeof hash, out);
}

void statement_founding(const char *store, int64_t unsigned_until, char out[HASH_HEX_CAP])
{
    char text[120];
    const int n =
        snprintf(text, sizeof text, "stillarm store 1\n%s\n%lld\n", store, (long long)unsigned_until);
    trust_hash_hex(text, n < 0 ? 0 : (size_t)n, out);
}
