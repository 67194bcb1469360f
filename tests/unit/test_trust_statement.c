/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The text that gets signed: one form for one statement, and nothing else is taken. */
#include <stdlib.h>

#include "unit/trust_hand.h"

static struct hand signer_for(enum statement_kind kind)
{
    return kind == SAYS_COURSE ? hand_make(COURSE_PERSON, SIGNS_COURSE, 3) : hand_make("eva", SIGNS_PRECEPTOR, 4);
}

static struct statement sample(enum statement_kind kind)
{
    const struct hand by = signer_for(kind);
    return says(&by, kind, 23);
}

/* ---- one form ---- */

START_TEST(every_kind_comes_back_byte_for_byte)
{
    const struct statement s = sample((enum statement_kind)_i);
    struct statement back;
    struct err e = {.code = ST_OK};
    char text[STATEMENT_CAP], again[STATEMENT_CAP];
    const size_t n = statement_print(&s, text);
    ck_assert_uint_gt(n, 0);
    ck_assert_uint_eq(n, strlen(text));
    ck_assert_msg(statement_parse(text, n, &back, &e) == ST_OK, "%s\n%s", e.text, text);
    ck_assert_mem_eq(&s, &back, sizeof s);
    ck_assert_uint_eq(statement_print(&back, again), n);
    ck_assert_mem_eq(text, again, n);
}
END_TEST

START_TEST(what_may_lack_is_a_hyphen_and_comes_back_empty)
{
    struct statement s = sample(SAYS_STOP), back;
    char text[STATEMENT_CAP];
    s.opened[0] = s.measurer[0] = s.boot[0] = s.witness[0] = '\0';
    memset(s.opened, 0, sizeof s.opened);
    memset(s.measurer, 0, sizeof s.measurer);
    memset(s.boot, 0, sizeof s.boot);
    const size_t n = statement_print(&s, text);
    ck_assert_uint_gt(n, 0);
    ck_assert_ptr_nonnull(strstr(text, "\nopened -\nmeasurer -\n"));
    ck_assert_ptr_nonnull(strstr(text, "\nboot -\nwitness -\n"));
    ck_assert_int_eq(statement_parse(text, n, &back, NULL), ST_OK);
    ck_assert_mem_eq(&s, &back, sizeof s);
}
END_TEST

START_TEST(what_may_be_nothing_is_zero_and_comes_back)
{
    struct statement s = sample(SAYS_RETURN), back;
    char text[STATEMENT_CAP];
    s.event = s.events = 0;
    s.open_ms = s.earlier = 0;
    size_t n = statement_print(&s, text);
    ck_assert_ptr_nonnull(strstr(text, "\nevents 0\n"));
    ck_assert_ptr_nonnull(strstr(text, "\nearlier 0\n"));
    ck_assert_ptr_nonnull(strstr(text, "\nevent 0\nopen 0\n"));
    ck_assert_int_eq(statement_parse(text, n, &back, NULL), ST_OK);
    ck_assert_mem_eq(&s, &back, sizeof s);
    s = sample(SAYS_SEAL);
    s.attempts = 0;
    n = statement_print(&s, text);
    ck_assert_ptr_nonnull(strstr(text, "\nattempts 0 b"));
    ck_assert_int_eq(statement_parse(text, n, &back, NULL), ST_OK);
    ck_assert_mem_eq(&s, &back, sizeof s);
}
END_TEST

START_TEST(the_largest_statement_fits)
{
    struct statement s = sample(SAYS_RETURN), back;
    char text[STATEMENT_CAP];
    for (size_t i = 0; i < EVENT_TEXT_MAX; i++) /* four bytes each */
        memcpy(s.said + 4 * i, "\xF0\x9F\x98\x80", 4);
    s.said[sizeof s.said - 1] = '\0';
    s.number = s.sitting = s.open_ms = INT64_MAX;
    s.earlier = INT64_MAX - 1;
    s.events = s.event = INT32_MAX;
    const size_t n = statement_print(&s, text);
    ck_assert_uint_gt(n, 2000);
    ck_assert_int_eq(statement_parse(text, n, &back, NULL), ST_OK);
    ck_assert_mem_eq(&s, &back, sizeof s);
    memset(s.said, 0, sizeof s.said);
    memset(s.said, '"', EVENT_TEXT_MAX); /* each becomes two */
    ck_assert_uint_gt(statement_print(&s, text), 0);
}
END_TEST

START_TEST(a_countersignature_reads_as_documented)
{
    static const char WANT[] = "stillarm statement 1\n"
                               "what countersign\n"
                               "store 00112233445566778899aabbccddeeff\n"
                               "number 23\n"
                               "previous 7777777777777777777777777777777777777777777777777777777777777777\n"
                               "person eva\n"
                               "role preceptor\n"
                               "key %s\n"
                               "at 2031-03-02T14:34:10+01:00\n"
                               "sitting 14\n"
                               "opened 2031-03-02T14:04:10+01:00\n"
                               "measurer ana\n"
                               "events 61\n"
                               "head aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa\n"
                               "earlier 11\n"
                               "word reviewed\n"
                               "open 184000\n";
    const struct statement s = sample(SAYS_COUNTERSIGN);
    char text[STATEMENT_CAP], want[STATEMENT_CAP];
    (void)snprintf(want, sizeof want, WANT, s.key);
    ck_assert_uint_gt(statement_print(&s, text), 0);
    ck_assert_str_eq(text, want);
}
END_TEST

START_TEST(a_seal_and_an_end_carry_the_lines_of_their_rows)
{
    struct statement s = sample(SAYS_SEAL);
    char text[STATEMENT_CAP];
    SET(s.witness, "ina");
    ck_assert_uint_gt(statement_print(&s, text), 0);
    ck_assert_ptr_nonnull(strstr(text, "\nattempts 3 bbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbb\n"
                                       "protocol-text cccccccccccccccccccccccccccccccccccccccccccccccccccccccccccccccc\n"
                                       "boot 5b1f0c9e-1c1b-4f57-9a55-0d7e5d7b8d10\nwitness ina\n"));
    s = sample(SAYS_END);
    ck_assert_uint_gt(statement_print(&s, text), 0);
    ck_assert_ptr_nonnull(strstr(text, "\nof eva\nof-key "));
    ck_assert_ptr_nonnull(strstr(text, "\nof-role preceptor\n"
                                       "said \"the cuff \\\"adult\\\" was one size too small \\\\ see 17, caf\xC3\xA9\"\n"));
}
END_TEST

/* ---- everything is in it ---- */

#define FIELD(member, in) {#member, in, offsetof(struct statement, member), sizeof((struct statement *)0)->member}
static const struct {
    const char *name;
    unsigned in;
    size_t at, size;
} MEMBERS[] = {
    FIELD(store, 0), FIELD(number, 0), FIELD(previous, 0), FIELD(person, 0), FIELD(role, 0), FIELD(key, 0), FIELD(at, 0),
    FIELD(sitting, HAS_SITTING), FIELD(opened, HAS_SITTING), FIELD(measurer, HAS_SITTING), FIELD(events, HAS_SITTING),
    FIELD(head, HAS_SITTING), FIELD(earlier, HAS_SITTING), FIELD(attempts, HAS_CLOSE), FIELD(attempts_hash, HAS_CLOSE),
    FIELD(protocol_text, HAS_CLOSE), FIELD(boot, HAS_CLOSE), FIELD(witness, HAS_CLOSE), FIELD(of, HAS_OF),
    FIELD(of_key, HAS_OF_KEY), FIELD(of_public, HAS_OF_KEY), FIELD(of_role, HAS_OF_KEY), FIELD(word, HAS_WORD),
    FIELD(event, HAS_EVENT), FIELD(open_ms, HAS_OPEN), FIELD(said, HAS_SAID), FIELD(hash, HAS_HASH),
};

/* One step in the first byte of a text, a number or a key. The sample stays whole but where two fields belong together. */
static void change(struct statement *s, size_t member)
{
    unsigned char *first = (unsigned char *)s + MEMBERS[member].at;
    if (*first >= 'a' && *first < 'f')
        (*first)++;
    else if (*first >= '0' && *first < '9')
        (*first)++;
    else if (MEMBERS[member].size > 32 && *first == 0)
        memcpy(first, "7a", 3); /* a text that was absent */
    else
        *first ^= 1;
}

START_TEST(every_field_of_a_kind_changes_what_is_signed_or_is_refused)
{
    const enum statement_kind kind = (enum statement_kind)_i;
    const struct statement s = sample(kind);
    char text[STATEMENT_CAP], other[STATEMENT_CAP];
    const size_t n = statement_print(&s, text);
    for (size_t i = 0; i < ARRAY_LEN(MEMBERS); i++) {
        struct statement t = s;
        if (MEMBERS[i].in != 0 && !(MEMBERS[i].in & STATEMENTS[kind].fields))
            continue;
        change(&t, i);
        const size_t m = statement_print(&t, other);
        ck_assert_msg(m == 0 || m != n || memcmp(text, other, n) != 0, "%s.%s is not in what is signed",
                      STATEMENTS[kind].word, MEMBERS[i].name);
    }
}
END_TEST

/* What a caller fills in vain would seem to be signed. */
START_TEST(a_field_that_the_kind_does_not_have_must_be_empty)
{
    const enum statement_kind kind = (enum statement_kind)_i;
    const struct statement s = sample(kind);
    char text[STATEMENT_CAP];
    for (size_t i = 0; i < ARRAY_LEN(MEMBERS); i++) {
        struct statement t = s;
        if (MEMBERS[i].in == 0 || (MEMBERS[i].in & STATEMENTS[kind].fields))
            continue;
        change(&t, i);
        ck_assert_msg(statement_print(&t, text) == 0, "%s takes %s along", STATEMENTS[kind].word, MEMBERS[i].name);
    }
}
END_TEST

START_TEST(no_byte_of_a_foreign_number_role_or_key_may_be_set)
{
    char text[STATEMENT_CAP];
    struct statement s = sample(SAYS_RETIRE);
    s.sitting = 256;
    ck_assert_uint_eq(statement_print(&s, text), 0);
    s = sample(SAYS_RETIRE);
    s.open_ms = INT64_C(1) << 40;
    ck_assert_uint_eq(statement_print(&s, text), 0);
    s = sample(SAYS_RETIRE);
    s.attempts = 256;
    ck_assert_uint_eq(statement_print(&s, text), 0);
    s = sample(SAYS_RETIRE);
    s.of_public[31] = 1;
    ck_assert_uint_eq(statement_print(&s, text), 0);
}
END_TEST

START_TEST(a_statement_that_is_not_whole_does_not_print)
{
    char text[STATEMENT_CAP];
    const struct statement s = sample(SAYS_RETURN);
#define REFUSED(assignment)                                                     \
    do {                                                                        \
        struct statement t = s;                                                 \
        assignment;                                                             \
        ck_assert_msg(statement_print(&t, text) == 0, "printed with %s", #assignment); \
    } while (0)
    REFUSED(t.kind = SAYS_COUNT);
    REFUSED(t.number = 0);
    REFUSED(t.number = -1);
    REFUSED(t.store[0] = 'g');
    REFUSED(t.store[0] = 'A');
    REFUSED(t.store[31] = '\0');
    REFUSED(t.previous[63] = '\0');
    REFUSED(memset(t.previous, 'a', sizeof t.previous));
    REFUSED(t.person[0] = '\0');
    REFUSED(SET(t.person, "e va"));
    REFUSED(SET(t.person, "eva\n"));
    REFUSED(memset(t.person, 'a', sizeof t.person));
    REFUSED(SET(t.person, COURSE_PERSON));
    REFUSED(t.role = SIGNS_COURSE);
    REFUSED(t.role = SIGNING_ROLE_COUNT);
    REFUSED(t.key[3] = ' ');
    REFUSED(SET(t.at, "2031-03-02"));
    REFUSED(SET(t.at, ""));
    REFUSED(t.sitting = 0);
    REFUSED(SET(t.opened, "yesterday"));
    REFUSED(SET(t.measurer, "."));
    REFUSED(t.events = -1);
    REFUSED(t.earlier = -1);
    REFUSED(t.earlier = t.number);
    REFUSED(t.event = -1);
    REFUSED(t.event = t.events + 1);
    REFUSED(t.open_ms = -1);
    REFUSED(SET(t.said, ""));
    REFUSED(SET(t.said, "  "));
    REFUSED(SET(t.said, "two\nlines"));
    REFUSED(SET(t.said, "\xFF"));
    REFUSED(memset(t.said, 'x', EVENT_TEXT_MAX + 1));
#undef REFUSED
}
END_TEST

START_TEST(a_key_and_its_code_must_belong_together)
{
    struct statement s = sample(SAYS_VOUCH);
    char text[STATEMENT_CAP];
    s.of_public[5] ^= 1;
    ck_assert_uint_eq(statement_print(&s, text), 0);
    s = sample(SAYS_VOUCH);
    s.of_role = SIGNS_COURSE;
    ck_assert_uint_eq(statement_print(&s, text), 0);
    s = sample(SAYS_COURSE);
    s.of_role = SIGNS_PRECEPTOR;
    ck_assert_uint_eq(statement_print(&s, text), 0);
    s = sample(SAYS_COUNTERSIGN);
    SET(s.word, "approved");
    ck_assert_uint_eq(statement_print(&s, text), 0);
    s = sample(SAYS_SEAL);
    SET(s.boot, "a b");
    ck_assert_uint_eq(statement_print(&s, text), 0);
    s = sample(SAYS_SEAL);
    s.attempts = -1;
    ck_assert_uint_eq(statement_print(&s, text), 0);
}
END_TEST

/* ---- nothing else is taken ---- */

/* Taken means: prints again as the same bytes. Anything else must be refused, in words, and leave out alone. */
static bool is_taken(const char *text, size_t n)
{
    struct statement back, before;
    struct err e = {.code = ST_OK};
    char again[STATEMENT_CAP];
    memset(&back, 0x5A, sizeof back);
    memcpy(&before, &back, sizeof before);
    const enum status status = statement_parse(text, n, &back, &e);
    if (status != ST_OK) {
        ck_assert(status == ST_SYNTAX || status == ST_NEWER);
        ck_assert_int_eq(e.code, status);
        ck_assert(is_plain_text(e.text, 599));
        ck_assert_mem_eq(&back, &before, sizeof back);
        return false;
    }
    ck_assert_uint_eq(statement_print(&back, again), n);
    ck_assert_mem_eq(again, text, n);
    return true;
}

START_TEST(any_changed_byte_is_refused_or_is_another_statement)
{
    static const char BYTES[] = {0, '\n', '\r', ' ', '-', '0', '9', 'a', 'A', 'g', '"', '\\', '.', '+', (char)0xC3, (char)0xFF};
    const struct statement s = sample((enum statement_kind)_i);
    char text[STATEMENT_CAP];
    const size_t n = statement_print(&s, text);
    for (size_t i = 0; i < n; i++) {
        const char kept = text[i];
        for (size_t j = 0; j < sizeof BYTES; j++) {
            text[i] = BYTES[j];
            (void)is_taken(text, n);
        }
        for (int bit = 0; bit < 8; bit++) {
            text[i] = (char)(kept ^ (1 << bit));
            (void)is_taken(text, n);
        }
        text[i] = kept;
    }
    ck_assert(is_taken(text, n));
}
END_TEST

START_TEST(a_cut_statement_is_refused_at_every_length)
{
    const struct statement s = sample((enum statement_kind)_i);
    char text[STATEMENT_CAP];
    const size_t n = statement_print(&s, text);
    for (size_t cut = 0; cut < n; cut++)
        ck_assert_msg(!is_taken(text, cut), "cut to %zu", cut);
}
END_TEST

/* Where line i begins; after the last: the end. */
static size_t line_at(const char *text, int i)
{
    const char *at = text;
    for (; i > 0; i--)
        at = strchr(at, '\n') + 1;
    return (size_t)(at - text);
}

START_TEST(a_line_lost_doubled_or_swapped_is_refused)
{
    const struct statement s = sample((enum statement_kind)_i);
    char text[STATEMENT_CAP], other[2 * STATEMENT_CAP];
    const size_t n = statement_print(&s, text);
    int lines = 0;
    for (size_t i = 0; i < n; i++)
        lines += text[i] == '\n';
    for (int i = 0; i < lines; i++) {
        const size_t from = line_at(text, i), to = line_at(text, i + 1);
        memcpy(other, text, from);
        memcpy(other + from, text + to, n - to);
        ck_assert_msg(!is_taken(other, n - (to - from)), "line %d lost", i + 1);
        memcpy(other, text, to);
        memcpy(other + to, text + from, n - from);
        ck_assert_msg(!is_taken(other, n + (to - from)), "line %d doubled", i + 1);
        if (i + 1 == lines)
            break;
        const size_t next = line_at(text, i + 2);
        memcpy(other, text, n);
        memcpy(other + from, text + to, next - to);
        memcpy(other + from + (next - to), text + from, to - from);
        ck_assert_msg(!is_taken(other, n), "lines %d and %d swapped", i + 1, i + 2);
    }
}
END_TEST

START_TEST(only_the_shortest_form_is_taken)
{
    static const struct {
        enum statement_kind kind;
        const char *from, *to;
    } ROWS[] = {
        {SAYS_RETURN, "number 23\n", "number 023\n"},
        {SAYS_RETURN, "number 23\n", "number +23\n"},
        {SAYS_RETURN, "number 23\n", "number 23 \n"},
        {SAYS_RETURN, "number 23\n", "number  23\n"},
        {SAYS_RETURN, "number 23\n", "number\t23\n"},
        {SAYS_RETURN, "number 23\n", "number 99999999999999999999\n"},
        {SAYS_RETURN, "number 23\n", "number 9223372036854775808\n"},
        {SAYS_RETURN, "number 23\n", "number -23\n"},
        {SAYS_RETURN, "number 23\n", "number 0\n"},
        {SAYS_RETURN, "open 184000\n", "open \n"},
        {SAYS_RETURN, "open 184000\n", "open 00\n"},
        {SAYS_RETURN, "open 184000\n", "open 9223372036854775808\n"},
        {SAYS_RETURN, "events 61\n", "events 2147483648\n"},
        {SAYS_RETURN, "earlier 11\n", "earlier 011\n"},
        {SAYS_RETURN, "earlier 11\n", "earlier -\n"},
        {SAYS_RETURN, "earlier 11\n", "earlier 23\n"},
        {SAYS_RETURN, "earlier 11\n", "earlier 99\n"},
        {SAYS_RETURN, "event 17\n", "event 62\n"},
        {SAYS_RETURN, "event 17\n", "event 17\r\n"},
        {SAYS_RETURN, "person eva\n", "person -\n"},
        {SAYS_RETURN, "person eva\n", "person \n"},
        {SAYS_RETURN, "person eva\n", "person\n"},
        {SAYS_RETURN, "measurer ana\n", "measurer \n"},
        {SAYS_RETURN, "store 00112233445566778899aabbccddeeff", "store 00112233445566778899AABBCCDDEEFF"},
        {SAYS_RETURN, "said \"the ", "said \"\\u0074he "},
        {SAYS_RETURN, "said \"the ", "said \"\\the "},
        {SAYS_RETURN, "said \"the ", "said the "},
        {SAYS_RETURN, "said \"the ", "said \"\"the "},
        {SAYS_RETURN, "said \"the ", "said  \"the "},
        {SAYS_RETURN, "caf\xC3\xA9\"\n", "caf\xC3\xA9\n"},
        {SAYS_RETURN, "caf\xC3\xA9\"\n", "caf\xC3\xA9\\\"\n"},
        {SAYS_RETURN, "caf\xC3\xA9\"\n", "caf\xC3\xA9\" \n"},
        {SAYS_RETURN, "what return\n", "what Return\n"},
        {SAYS_RETURN, "what return\n", "what comment\n"},
        {SAYS_RETURN, "what return\n", "what retur\n"},
        {SAYS_RETURN, "statement 1\n", "statement 01\n"},
        {SAYS_RETURN, "statement 1\n", "statement 0\n"},
        {SAYS_RETURN, "statement 1\n", "statement\n"},
        {SAYS_RETURN, "stillarm statement 1\n", "stillarm key 1\n"},
        {SAYS_RETURN, "stillarm statement 1\n", "\xEF\xBB\xBFstillarm statement 1\n"},
        {SAYS_SEAL, "attempts 3 b", "attempts 3  b"},
        {SAYS_SEAL, "attempts 3 b", "attempts 3b"},
        {SAYS_SEAL, "attempts 3 b", "attempts 03 b"},
        {SAYS_SEAL, "attempts 3 b", "attempts 2147483648 b"},
        {SAYS_SEAL, "witness -\n", "witness \n"},
        {SAYS_SEAL, "boot 5b", "boot -5b"},
        {SAYS_COUNTERSIGN, "word reviewed\n", "word -\n"},
        {SAYS_COUNTERSIGN, "word reviewed\n", "word person\n"},
    };
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        const struct statement s = sample(ROWS[i].kind);
        char text[STATEMENT_CAP], other[STATEMENT_CAP + 100];
        ck_assert_uint_gt(statement_print(&s, text), 0);
        const char *at = strstr(text, ROWS[i].from);
        ck_assert_msg(at != NULL, "row %zu: `%s` is not there", i, ROWS[i].from);
        (void)snprintf(other, sizeof other, "%.*s%s%s", (int)(at - text), text, ROWS[i].to, at + strlen(ROWS[i].from));
        ck_assert_msg(!is_taken(other, strlen(other)), "row %zu: `%s` is taken", i, ROWS[i].to);
    }
}
END_TEST

START_TEST(a_newer_form_is_named_as_newer)
{
    static const char *const NEWER[] = {"stillarm statement 2\n", "stillarm statement 17\nanything\n"};
    struct statement s;
    struct err e = {.code = ST_OK};
    for (size_t i = 0; i < ARRAY_LEN(NEWER); i++)
        ck_assert_int_eq(statement_parse(NEWER[i], strlen(NEWER[i]), &s, &e), ST_NEWER);
    ck_assert_ptr_nonnull(strstr(e.text, "17"));
}
END_TEST

START_TEST(a_refusal_names_the_line)
{
    const struct statement s = sample(SAYS_RETURN);
    struct statement back;
    struct err e = {.code = ST_OK};
    char text[STATEMENT_CAP];
    const size_t n = statement_print(&s, text);
    memcpy(strstr(text, "number 23"), "number x3", 9);
    ck_assert_int_eq(statement_parse(text, n, &back, &e), ST_SYNTAX);
    ck_assert_ptr_nonnull(strstr(e.text, "Line 4 "));
    ck_assert_int_eq(statement_parse(text, n, &back, NULL), ST_SYNTAX);
}
END_TEST

START_TEST(random_bytes_are_refused)
{
    char bytes[STATEMENT_CAP + 100];
    unsigned char seed[randombytes_SEEDBYTES] = {31};
    for (int round = 0; round < 3000; round++) {
        seed[1] = (unsigned char)round;
        seed[2] = (unsigned char)(round >> 8);
        randombytes_buf_deterministic(bytes, sizeof bytes, seed);
        const size_t n = (size_t)round % sizeof bytes;
        if (round % 2 && n > 40)
            memcpy(bytes, "stillarm statement 1\nwhat seal\nstore ", 37);
        ck_assert(!is_taken(bytes, n));
    }
}
END_TEST

/* ---- hashes ---- */

START_TEST(hashes_are_over_the_documented_bytes)
{
    const struct hand eva = hand_make("eva", SIGNS_PRECEPTOR, 4);
    const struct statement s = sample(SAYS_COMMENT);
    char text[STATEMENT_CAP], joined[STATEMENT_CAP + TRUST_SIGNATURE_BYTES], got[HASH_HEX_CAP], want[HASH_HEX_CAP];
    unsigned char signature[TRUST_SIGNATURE_BYTES], hash[TRUST_HASH_BYTES];
    const size_t n = print_and_sign(&eva, &s, text, signature);
    memcpy(joined, text, n);
    memcpy(joined + n, signature, sizeof signature);
    trust_hash(joined, n + sizeof signature, hash);
    trust_hex(hash, sizeof hash, want);
    statement_hash(text, n, signature, got);
    ck_assert_str_eq(got, want);
    const char founding[] = "stillarm store 1\n" STORE_A "\n1204\n";
    trust_hash(founding, strlen(founding), hash);
    trust_hex(hash, sizeof hash, want);
    statement_founding(STORE_A, 1204, got);
    ck_assert_str_eq(got, want);
    statement_founding(STORE_A, 0, got);
    ck_assert_str_ne(got, want);
}
END_TEST

START_TEST(every_row_has_its_word_and_no_two_share_one)
{
    for (int i = 0; i < SAYS_COUNT; i++) {
        ck_assert(is_item(STATEMENTS[i].word));
        ck_assert_int_eq((STATEMENTS[i].fields & HAS_WORD) != 0, STATEMENTS[i].words != NULL);
        for (int j = 0; j < i; j++)
            ck_assert_str_ne(STATEMENTS[i].word, STATEMENTS[j].word);
    }
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("statements");
    TCase *form = tcase_create("form"), *whole = tcase_create("whole"), *strict = tcase_create("strict"),
          *hashes = tcase_create("hashes");
    tcase_add_loop_test(form, every_kind_comes_back_byte_for_byte, 0, SAYS_COUNT);
    tcase_add_test(form, what_may_lack_is_a_hyphen_and_comes_back_empty);
    tcase_add_test(form, what_may_be_nothing_is_zero_and_comes_back);
    tcase_add_test(form, the_largest_statement_fits);
    tcase_add_test(form, a_countersignature_reads_as_documented);
    tcase_add_test(form, a_seal_and_an_end_carry_the_lines_of_their_rows);
    tcase_add_test(form, every_row_has_its_word_and_no_two_share_one);
    tcase_add_loop_test(whole, every_field_of_a_kind_changes_what_is_signed_or_is_refused, 0, SAYS_COUNT);
    tcase_add_loop_test(whole, a_field_that_the_kind_does_not_have_must_be_empty, 0, SAYS_COUNT);
    tcase_add_test(whole, no_byte_of_a_foreign_number_role_or_key_may_be_set);
    tcase_add_test(whole, a_statement_that_is_not_whole_does_not_print);
    tcase_add_test(whole, a_key_and_its_code_must_belong_together);
    tcase_set_timeout(strict, 60);
    tcase_add_loop_test(strict, any_changed_byte_is_refused_or_is_another_statement, 0, SAYS_COUNT);
    tcase_add_loop_test(strict, a_cut_statement_is_refused_at_every_length, 0, SAYS_COUNT);
    tcase_add_loop_test(strict, a_line_lost_doubled_or_swapped_is_refused, 0, SAYS_COUNT);
    tcase_add_test(strict, only_the_shortest_form_is_taken);
    tcase_add_test(strict, a_newer_form_is_named_as_newer);
    tcase_add_test(strict, a_refusal_names_the_line);
    tcase_add_test(strict, random_bytes_are_refused);
    tcase_add_test(hashes, hashes_are_over_the_documented_bytes);
    suite_add_tcase(suite, form);
    suite_add_tcase(suite, whole);
    suite_add_tcase(suite, strict);
    suite_add_tcase(suite, hashes);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    const int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
