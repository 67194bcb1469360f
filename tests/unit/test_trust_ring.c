/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Who may say what, asked of the keys alone. */
#include <stdlib.h>

#include "unit/trust_hand.h"

/* Those of a small place. rita is vouched for and retired, gwen's key has ended, nora waits for somebody's word. */
enum who { ANA, BEN, TOM, EVA, INA, NORA, COURSE, RITA, GWEN, NEW, WHO_COUNT };
static struct hand all[WHO_COUNT];
static struct ring *ring;
static int64_t number;
static struct err why;

static void hands(void)
{
    static const struct {
        const char *person;
        enum signing_role role;
    } ROWS[WHO_COUNT] = {
        [ANA] = {"ana", SIGNS_TRAINEE},      [BEN] = {"ben", SIGNS_TRAINEE},         [TOM] = {"tom", SIGNS_TECHNICIAN},
        [EVA] = {"eva", SIGNS_PRECEPTOR},    [INA] = {"ina", SIGNS_PRECEPTOR},       [NORA] = {"nora", SIGNS_PRECEPTOR},
        [COURSE] = {"course", SIGNS_COURSE}, [RITA] = {"rita", SIGNS_PRECEPTOR},     [GWEN] = {"gwen", SIGNS_PRECEPTOR},
        [NEW] = {"kim", SIGNS_TRAINEE},
    };
    for (int i = 0; i < WHO_COUNT; i++)
        all[i] = hand_make(ROWS[i].person, ROWS[i].role, (unsigned char)(i + 1));
}

static void fresh(void)
{
    hands();
    ring_free(ring);
    ring = NULL;
    number = 0;
    ck_assert_int_eq(ring_new(STORE_A, &ring, &why), ST_OK);
}

static struct statement next(enum who by, enum statement_kind kind)
{
    return says(&all[by], kind, number + 1);
}

static enum status take(enum who by, const struct statement *s)
{
    why.text[0] = '\0';
    const enum status status = tell(ring, &all[by], s, &why);
    if (status == ST_OK)
        number = s->number;
    return status;
}

/* About somebody else. */
static enum status take_of(enum who by, enum statement_kind kind, enum who of)
{
    struct statement s = next(by, kind);
    about(&s, &all[of]);
    return take(by, &s);
}

static void must(enum status status)
{
    ck_assert_msg(status == ST_OK, "%s", why.text);
}

static void begin(enum who of)
{
    must(take_of(of, of == COURSE ? SAYS_COURSE : SAYS_KEY, of));
}

static void retire(enum who by, enum who of)
{
    struct statement s = next(by, SAYS_RETIRE);
    SET(s.of, all[of].person);
    SET(s.word, "person");
    must(take(by, &s));
}

static void place(void)
{
    fresh();
    static const enum who ORDER[] = {ANA, BEN, TOM, EVA, INA, NORA, COURSE, RITA, GWEN};
    for (size_t i = 0; i < ARRAY_LEN(ORDER); i++)
        begin(ORDER[i]);
    must(take_of(EVA, SAYS_VOUCH, INA));
    must(take_of(COURSE, SAYS_VOUCH, RITA));
    must(take_of(EVA, SAYS_VOUCH, GWEN));
    retire(EVA, RITA);
    must(take_of(EVA, SAYS_END, GWEN));
}

static enum trust_standing standing(enum who of)
{
    return ring_find(ring, all[of].id)->standing;
}

/* ---- the matrix ---- */

enum of_what { ANAS, INAS, RITAS, INA_WATCHED, NOBODYS };

static void about_sitting(struct statement *s, enum of_what what)
{
    if (!(STATEMENTS[s->kind].fields & HAS_SITTING))
        return;
    memset(s->measurer, 0, sizeof s->measurer);
    SET(s->measurer, what == INAS ? "ina" : what == RITAS ? "rita" : what == NOBODYS ? "" : "ana");
    s->sitting = 100 + (int64_t)what;
    if (what == INA_WATCHED && (STATEMENTS[s->kind].fields & HAS_CLOSE))
        SET(s->witness, "ina");
}

static const struct {
    enum statement_kind kind;
    enum of_what what;
    const char *may; /* in the order of enum who: ana ben tom eva ina nora course rita gwen kim (who has no key) */
} MATRIX[] = {
    /*                               abteincrgk */
    {SAYS_SEAL, ANAS,               "y---------"},
    {SAYS_STOP, ANAS,               "y---------"},
    {SAYS_COUNTERSIGN, ANAS,        "---yy-----"},
    {SAYS_RETURN, ANAS,             "---yy-----"},
    {SAYS_COMMENT, ANAS,            "---yy-----"},
    {SAYS_AMEND, ANAS,              "y---------"},
    {SAYS_SEAL, INAS,               "----y-----"},
    {SAYS_STOP, INAS,               "----y-----"},
    {SAYS_COUNTERSIGN, INAS,        "---y------"},
    {SAYS_RETURN, INAS,             "---y------"},
    {SAYS_COMMENT, INAS,            "---yy-----"},
    {SAYS_AMEND, INAS,              "----y-----"},
    {SAYS_SEAL, RITAS,              "-------y--"},
    {SAYS_STOP, RITAS,              "-------y--"},
    {SAYS_COUNTERSIGN, RITAS,       "---yy-----"},
    {SAYS_COMMENT, RITAS,           "---yy-----"},
    {SAYS_AMEND, RITAS,             "-------y--"},
    {SAYS_SEAL, INA_WATCHED,        "----y-----"},
    {SAYS_STOP, INA_WATCHED,        "----y-----"},
    {SAYS_AMEND, INA_WATCHED,       "y---------"},
    {SAYS_STOP, NOBODYS,            "yyyyyy-y--"},
    {SAYS_AMEND, NOBODYS,           "----------"},
    {SAYS_COUNTERSIGN, NOBODYS,     "---yy-----"},
    {SAYS_PROTOCOL, ANAS,           "---yy-----"},
};

START_TEST(each_kind_is_left_to_those_whose_it_is)
{
    place();
    for (size_t i = 0; i < ARRAY_LEN(MATRIX); i++) {
        for (int by = 0; by < WHO_COUNT; by++) {
            struct statement s = next((enum who)by, MATRIX[i].kind);
            about_sitting(&s, MATRIX[i].what);
            const bool wanted = MATRIX[i].may[by] == 'y';
            const enum status may = ring_may(ring, &s, &why);
            ck_assert_msg(may == (wanted ? ST_OK : ST_PERMISSION), "row %zu: %s by %s is%s allowed: %s", i,
                          STATEMENTS[s.kind].word, all[by].person, wanted ? " not" : "", why.text);
            ck_assert_msg(take((enum who)by, &s) == (wanted ? ST_OK : ST_CORRUPT), "row %zu, told: %s by %s: %s", i,
                          STATEMENTS[s.kind].word, all[by].person, why.text);
        }
    }
}
END_TEST

/* Asked only: being told would change what the next one may. */
START_TEST(keys_and_things_are_left_to_those_whose_they_are)
{
    static const struct {
        enum statement_kind kind;
        enum who of;
        const char *word, *may;
    } ROWS[] = {
        /*                          abteincrgk */
        {SAYS_VOUCH, NORA, "",     "---yy-y---"},
        {SAYS_VOUCH, INA, "",      "---y--y---"},
        {SAYS_VOUCH, EVA, "",      "----y-y---"},
        {SAYS_VOUCH, BEN, "",      "----------"},
        {SAYS_VOUCH, TOM, "",      "----------"},
        {SAYS_VOUCH, RITA, "",     "----------"},
        {SAYS_VOUCH, GWEN, "",     "----------"},
        {SAYS_VOUCH, NEW, "",      "----------"},
        {SAYS_END, BEN, "",        "---yy-y---"},
        {SAYS_END, INA, "",        "---y--y---"},
        {SAYS_END, RITA, "",       "---yy-y---"},
        {SAYS_END, GWEN, "",       "----------"},
        {SAYS_END, NEW, "",        "----------"},
        {SAYS_RETIRE, BEN, "person", "---yy-----"},
        {SAYS_RETIRE, EVA, "person", "---yy-----"},
        {SAYS_RETIRE, RITA, "person", "----------"},
        {SAYS_RETIRE, NEW, "kit",  "---yy-----"},
    };
    place();
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        for (int by = 0; by < WHO_COUNT; by++) {
            struct statement s = next((enum who)by, ROWS[i].kind);
            about(&s, &all[ROWS[i].of]);
            if (s.kind == SAYS_RETIRE) {
                memset(s.word, 0, sizeof s.word);
                SET(s.word, ROWS[i].word);
            }
            const bool wanted = ROWS[i].may[by] == 'y';
            ck_assert_msg(ring_may(ring, &s, &why) == (wanted ? ST_OK : ST_PERMISSION), "row %zu: %s of %s by %s is%s allowed: %s",
                          i, STATEMENTS[s.kind].word, all[ROWS[i].of].person, all[by].person, wanted ? " not" : "", why.text);
        }
    }
}
END_TEST

START_TEST(nobody_vouches_for_or_ends_the_course_or_retires_it)
{
    place();
    struct statement s = next(EVA, SAYS_END);
    about(&s, &all[COURSE]);
    ck_assert_int_eq(ring_may(ring, &s, &why), ST_PERMISSION);
    s.kind = SAYS_VOUCH;
    ck_assert_int_eq(ring_may(ring, &s, &why), ST_PERMISSION);
    s = next(EVA, SAYS_RETIRE);
    SET(s.of, COURSE_PERSON);
    ck_assert_int_eq(take(EVA, &s), ST_CORRUPT);
}
END_TEST

/* ---- the result of a witnessed sitting ---- */

START_TEST(a_result_is_released_by_its_witness_alone)
{
    place();
    struct statement seal = next(INA, SAYS_SEAL);
    about_sitting(&seal, INA_WATCHED);
    must(take(INA, &seal));
    for (int by = 0; by < WHO_COUNT; by++) {
        struct statement s = next((enum who)by, SAYS_RELEASE);
        about_sitting(&s, INA_WATCHED);
        ck_assert_msg((take((enum who)by, &s) == ST_OK) == (by == INA), "released by %s: %s", all[by].person, why.text);
    }
}
END_TEST

static void only_released_by(enum who may, enum of_what what)
{
    for (int by = 0; by < WHO_COUNT; by++) {
        struct statement s = next((enum who)by, SAYS_RELEASE);
        about_sitting(&s, what);
        ck_assert_msg((ring_may(ring, &s, &why) == ST_OK) == ((int)may == by), "released by %s: %s", all[by].person, why.text);
    }
}

static void watched_by_ina(void)
{
    place();
    struct statement seal = next(INA, SAYS_SEAL);
    about_sitting(&seal, INA_WATCHED);
    must(take(INA, &seal));
    only_released_by(INA, INA_WATCHED);
}

START_TEST(of_a_witness_who_is_retired_another_preceptor_releases_the_result)
{
    watched_by_ina();
    ck_assert(!ring_has_left(ring, "ina") && !ring_has_left(ring, "nobody"));
    retire(EVA, INA);
    ck_assert(ring_has_left(ring, "ina"));
    only_released_by(EVA, INA_WATCHED);
    struct statement s = next(EVA, SAYS_RELEASE);
    about_sitting(&s, INA_WATCHED);
    must(take(EVA, &s));
}
END_TEST

START_TEST(of_a_witness_whose_key_has_ended_another_releases_until_she_has_a_new_one)
{
    watched_by_ina();
    must(take_of(EVA, SAYS_END, INA));
    ck_assert(ring_has_left(ring, "ina"));
    only_released_by(EVA, INA_WATCHED);
    all[INA] = hand_make("ina", SIGNS_PRECEPTOR, 99);
    begin(INA);
    ck_assert(!ring_has_left(ring, "ina"));
    only_released_by(WHO_COUNT, INA_WATCHED); /* nobody has vouched for her new key yet */
    must(take_of(EVA, SAYS_VOUCH, INA));
    only_released_by(INA, INA_WATCHED);
}
END_TEST

START_TEST(the_measurer_does_not_stand_in_for_her_witness)
{
    place();
    struct statement s = next(EVA, SAYS_SEAL);
    about_sitting(&s, INAS);
    SET(s.witness, "eva");
    must(take(EVA, &s));
    retire(INA, EVA);
    only_released_by(WHO_COUNT, INAS);
}
END_TEST

START_TEST(a_trainee_named_as_witness_releases_nothing)
{
    place();
    struct statement s = next(BEN, SAYS_SEAL);
    about_sitting(&s, ANAS);
    SET(s.witness, "ben");
    must(take(BEN, &s));
    s = next(BEN, SAYS_RELEASE);
    about_sitting(&s, ANAS);
    ck_assert_int_eq(take(BEN, &s), ST_CORRUPT);
}
END_TEST

START_TEST(the_measurer_cannot_be_her_own_witness)
{
    place();
    struct statement s = next(INA, SAYS_SEAL);
    about_sitting(&s, INAS);
    SET(s.witness, "ina");
    ck_assert_int_eq(take(INA, &s), ST_CORRUPT);
}
END_TEST

START_TEST(many_witnessed_sittings_are_told_apart)
{
    place();
    for (int i = 0; i < 300; i++) {
        const enum who by = i % 2 ? INA : EVA;
        struct statement s = next(by, SAYS_STOP);
        s.sitting = 1000 + (i * 7) % 300; /* in no order */
        SET(s.witness, all[by].person);
        must(take(by, &s));
    }
    for (int i = 0; i < 300; i++) {
        const enum who by = i % 2 ? INA : EVA, other = i % 2 ? EVA : INA;
        struct statement s = next(other, SAYS_RELEASE);
        s.sitting = 1000 + (i * 7) % 300;
        ck_assert_int_eq(take(other, &s), ST_CORRUPT);
        s = next(by, SAYS_RELEASE);
        s.sitting = 1000 + (i * 7) % 300;
        must(take(by, &s));
    }
}
END_TEST

/* ---- standing ---- */

START_TEST(the_first_preceptor_is_self_declared_and_any_later_one_is_nothing)
{
    fresh();
    begin(ANA);
    ck_assert(!ring_has_preceptor(ring));
    begin(EVA);
    begin(INA);
    ck_assert(ring_has_preceptor(ring));
    ck_assert_int_eq(standing(ANA), TRUST_NONE);
    ck_assert_int_eq(standing(EVA), TRUST_SELF);
    ck_assert_int_eq(standing(INA), TRUST_NONE);
    ck_assert_int_eq(take_of(INA, SAYS_VOUCH, EVA), ST_CORRUPT);
    struct statement s = next(INA, SAYS_COUNTERSIGN);
    ck_assert_int_eq(take(INA, &s), ST_CORRUPT);
    ck_assert_ptr_nonnull(strstr(why.text, "vouched"));
}
END_TEST

START_TEST(standing_follows_the_line_of_vouches)
{
    fresh();
    begin(EVA);
    begin(INA);
    begin(NORA);
    must(take_of(EVA, SAYS_VOUCH, INA));
    must(take_of(INA, SAYS_VOUCH, NORA));
    ck_assert_int_eq(standing(INA), TRUST_BY_SELF);
    ck_assert_str_eq(ring_find(ring, all[INA].id)->voucher, "eva");
    ck_assert_int_eq(standing(NORA), TRUST_BY_SELF);
    ck_assert_str_eq(ring_find(ring, all[NORA].id)->voucher, "ina");
    /* her own line cannot lift her */
    must(take_of(NORA, SAYS_VOUCH, EVA));
    ck_assert_int_eq(standing(EVA), TRUST_SELF);
    ck_assert_str_eq(ring_find(ring, all[EVA].id)->voucher, "");
    /* the course lifts all that hang on her, also where they vouched before */
    begin(COURSE);
    must(take_of(COURSE, SAYS_VOUCH, EVA));
    ck_assert_int_eq(standing(EVA), TRUST_COURSE);
    ck_assert_str_eq(ring_find(ring, all[EVA].id)->voucher, COURSE_PERSON);
    ck_assert_int_eq(standing(INA), TRUST_COURSE);
    ck_assert_int_eq(standing(NORA), TRUST_COURSE);
    ck_assert_str_eq(ring_find(ring, all[NORA].id)->voucher, "ina");
}
END_TEST

START_TEST(the_course_lifts_one_without_those_before_her)
{
    fresh();
    begin(EVA);
    begin(INA);
    begin(NORA);
    begin(COURSE);
    must(take_of(EVA, SAYS_VOUCH, INA));
    must(take_of(INA, SAYS_VOUCH, NORA));
    must(take_of(COURSE, SAYS_VOUCH, NORA));
    ck_assert_int_eq(standing(EVA), TRUST_SELF);
    ck_assert_int_eq(standing(INA), TRUST_BY_SELF);
    ck_assert_int_eq(standing(NORA), TRUST_COURSE);
    must(take_of(NORA, SAYS_VOUCH, INA));
    ck_assert_int_eq(standing(INA), TRUST_COURSE);
    ck_assert_str_eq(ring_find(ring, all[INA].id)->voucher, "nora");
}
END_TEST

START_TEST(standing_is_said_in_words)
{
    static const struct {
        enum trust_standing standing;
        const char *voucher, *words;
    } ROWS[] = {
        {TRUST_NONE, "", "not vouched for"},
        {TRUST_SELF, "", "self-declared"},
        {TRUST_BY_SELF, "eva", "vouched for by eva (self-declared line)"},
        {TRUST_BY_SELF, "", "vouched for by a preceptor (self-declared line)"},
        {TRUST_COURSE, "", "vouched for by the course"},
        {TRUST_COURSE, COURSE_PERSON, "vouched for by the course"},
        {TRUST_COURSE, "eva", "vouched for by eva (course)"},
    };
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        char words[120];
        standing_say(ROWS[i].standing, ROWS[i].voucher, words);
        ck_assert_str_eq(words, ROWS[i].words);
    }
}
END_TEST

/* ---- beginnings and ends ---- */

START_TEST(a_store_takes_one_course_key)
{
    fresh();
    begin(COURSE);
    ck_assert_str_eq(ring_course(ring)->id, all[COURSE].id);
    const struct hand other = hand_make(COURSE_PERSON, SIGNS_COURSE, 77);
    struct statement s = says(&other, SAYS_COURSE, number + 1);
    ck_assert_int_eq(tell(ring, &other, &s, &why), ST_CORRUPT);
    ck_assert_ptr_nonnull(strstr(why.text, "only one"));
}
END_TEST

/* Asked before there is a text, whose form would refuse these as well. */
START_TEST(the_courses_key_begins_as_the_course_alone)
{
    fresh();
    struct statement s = next(COURSE, SAYS_COURSE);
    ck_assert_int_eq(ring_may(ring, &s, &why), ST_OK);
    s.role = SIGNS_PRECEPTOR;
    ck_assert_int_eq(ring_may(ring, &s, &why), ST_PERMISSION);
    s = next(COURSE, SAYS_COURSE);
    s.of_role = SIGNS_PRECEPTOR;
    ck_assert_int_eq(ring_may(ring, &s, &why), ST_PERMISSION);
    s = next(COURSE, SAYS_COURSE);
    SET(s.person, "eva");
    ck_assert_int_eq(ring_may(ring, &s, &why), ST_PERMISSION);
}
END_TEST

START_TEST(a_vouch_names_the_key_its_person_and_its_role_as_they_are_known)
{
    place();
    struct statement s = next(EVA, SAYS_VOUCH);
    about(&s, &all[NORA]);
    ck_assert_int_eq(ring_may(ring, &s, &why), ST_OK);
    SET(s.of, "ina");
    ck_assert_int_eq(ring_may(ring, &s, &why), ST_PERMISSION);
    about(&s, &all[NORA]);
    s.of_role = SIGNS_TECHNICIAN;
    ck_assert_int_eq(ring_may(ring, &s, &why), ST_PERMISSION);
    about(&s, &all[NORA]);
    s.of_public[0] ^= 1;
    ck_assert_int_eq(ring_may(ring, &s, &why), ST_PERMISSION);
}
END_TEST

START_TEST(a_key_begins_for_its_own_person_alone)
{
    fresh();
    struct statement s = next(ANA, SAYS_KEY);
    memset(s.of, 0, sizeof s.of);
    SET(s.of, "ben");
    ck_assert_int_eq(take(ANA, &s), ST_CORRUPT);
    s = next(ANA, SAYS_KEY);
    s.of_role = SIGNS_PRECEPTOR;
    ck_assert_int_eq(take(ANA, &s), ST_CORRUPT);
    s = next(ANA, SAYS_KEY); /* signed by another than the one that it begins */
    about(&s, &all[BEN]);
    memset(s.of, 0, sizeof s.of);
    SET(s.of, "ana");
    ck_assert_int_eq(take(ANA, &s), ST_CORRUPT);
    ck_assert_ptr_null(ring_find(ring, all[ANA].id));
    begin(ANA);
    s = next(ANA, SAYS_KEY);
    ck_assert_int_eq(take(ANA, &s), ST_CORRUPT); /* the same once more */
    const struct hand second = hand_make("ana", SIGNS_TRAINEE, 55);
    s = says(&second, SAYS_KEY, number + 1);
    ck_assert_int_eq(tell(ring, &second, &s, &why), ST_CORRUPT); /* while the first is in use */
    ck_assert_ptr_null(ring_at(ring, 1));
}
END_TEST

START_TEST(an_ended_key_signs_no_more_and_its_successor_starts_anew)
{
    place();
    struct statement s = next(INA, SAYS_COMMENT);
    must(take(INA, &s));
    must(take_of(EVA, SAYS_END, INA));
    ck_assert_int_eq(ring_find(ring, all[INA].id)->ended, number);
    ck_assert_ptr_null(ring_of_person(ring, "ina"));
    s = next(INA, SAYS_COMMENT);
    ck_assert_int_eq(take(INA, &s), ST_CORRUPT);
    ck_assert_int_eq(take_of(EVA, SAYS_END, INA), ST_CORRUPT);
    const struct hand again = hand_make("ina", SIGNS_PRECEPTOR, 56);
    s = says(&again, SAYS_KEY, number + 1);
    must(tell(ring, &again, &s, &why));
    number++;
    ck_assert_str_eq(ring_of_person(ring, "ina")->id, again.id);
    ck_assert_int_eq(ring_of_person(ring, "ina")->standing, TRUST_NONE);
    s = says(&again, SAYS_COMMENT, number + 1);
    ck_assert_int_eq(tell(ring, &again, &s, &why), ST_CORRUPT);
    s = next(EVA, SAYS_VOUCH);
    about(&s, &again);
    must(take(EVA, &s));
    s = says(&again, SAYS_COMMENT, number + 1);
    must(tell(ring, &again, &s, &why));
}
END_TEST

START_TEST(the_founders_next_key_needs_a_vouch_like_any_other)
{
    fresh();
    begin(EVA);
    begin(INA);
    must(take_of(EVA, SAYS_VOUCH, INA));
    must(take_of(INA, SAYS_END, EVA));
    const struct hand again = hand_make("eva", SIGNS_PRECEPTOR, 57);
    struct statement s = says(&again, SAYS_KEY, number + 1);
    must(tell(ring, &again, &s, &why));
    ck_assert_int_eq(ring_of_person(ring, "eva")->standing, TRUST_NONE);
    ck_assert_int_eq(standing(INA), TRUST_BY_SELF); /* what was said before the end stays */
}
END_TEST

START_TEST(a_retired_person_begins_no_key)
{
    fresh();
    begin(EVA);
    retire(EVA, NEW);
    ck_assert_int_eq(take_of(NEW, SAYS_KEY, NEW), ST_CORRUPT);
}
END_TEST

START_TEST(a_technician_is_in_charge_until_a_preceptor_has_a_key)
{
    fresh();
    begin(ANA);
    begin(TOM);
    struct statement s = next(ANA, SAYS_PROTOCOL);
    ck_assert_int_eq(take(ANA, &s), ST_CORRUPT);
    s = next(TOM, SAYS_PROTOCOL);
    must(take(TOM, &s));
    begin(EVA);
    s = next(TOM, SAYS_PROTOCOL);
    ck_assert_int_eq(take(TOM, &s), ST_CORRUPT);
    s = next(EVA, SAYS_PROTOCOL);
    must(take(EVA, &s));
    retire(EVA, EVA); /* and again when the last one has gone */
    ck_assert(!ring_has_preceptor(ring));
    s = next(TOM, SAYS_PROTOCOL);
    must(take(TOM, &s));
}
END_TEST

START_TEST(no_person_is_called_course)
{
    fresh();
    const struct hand posing = hand_make(COURSE_PERSON, SIGNS_PRECEPTOR, 66);
    const struct statement s = says(&posing, SAYS_KEY, 1);
    char text[STATEMENT_CAP];
    ck_assert_int_eq(ring_may(ring, &s, &why), ST_PERMISSION);
    ck_assert_uint_eq(statement_print(&s, text), 0);
}
END_TEST

/* ---- forgeries ---- */

START_TEST(a_statement_of_another_store_is_refused)
{
    place();
    struct statement s = next(EVA, SAYS_COUNTERSIGN);
    SET(s.store, STORE_B);
    ck_assert_int_eq(take(EVA, &s), ST_CORRUPT);
    ck_assert_ptr_nonnull(strstr(why.text, "another store"));
}
END_TEST

START_TEST(numbers_only_go_up)
{
    place();
    struct statement s = next(EVA, SAYS_COUNTERSIGN);
    s.number = number;
    ck_assert_int_eq(take(EVA, &s), ST_CORRUPT);
    s.number = number + 100; /* gaps are fine */
    must(take(EVA, &s));
    s.number = number - 50;
    ck_assert_int_eq(take(EVA, &s), ST_CORRUPT);
}
END_TEST

START_TEST(another_persons_name_or_role_on_a_key_is_refused)
{
    place();
    struct statement s = next(EVA, SAYS_COUNTERSIGN);
    memset(s.person, 0, sizeof s.person);
    SET(s.person, "ina");
    ck_assert_int_eq(take(EVA, &s), ST_CORRUPT);
    s = next(EVA, SAYS_COUNTERSIGN);
    s.role = SIGNS_TECHNICIAN;
    ck_assert_int_eq(take(EVA, &s), ST_CORRUPT);
    s = next(ANA, SAYS_COUNTERSIGN); /* a trainee's key under a preceptor's name and key id */
    memcpy(s.person, all[EVA].person, sizeof s.person);
    memcpy(s.key, all[EVA].id, sizeof s.key);
    s.role = SIGNS_PRECEPTOR;
    ck_assert_int_eq(take(ANA, &s), ST_CORRUPT);
    ck_assert_ptr_nonnull(strstr(why.text, "signature"));
}
END_TEST

START_TEST(a_transplanted_signature_is_refused_for_every_kind)
{
    static const enum who SIGNER[SAYS_COUNT] = {
        [SAYS_KEY] = NEW,     [SAYS_COURSE] = COURSE, [SAYS_VOUCH] = EVA, [SAYS_END] = EVA,
        [SAYS_SEAL] = ANA,    [SAYS_STOP] = ANA,      [SAYS_COUNTERSIGN] = EVA, [SAYS_RETURN] = EVA,
        [SAYS_COMMENT] = EVA, [SAYS_AMEND] = ANA,     [SAYS_RELEASE] = EVA, [SAYS_RETIRE] = EVA,
        [SAYS_PROTOCOL] = EVA};
    for (int kind = 0; kind < SAYS_COUNT; kind++) {
        char text[STATEMENT_CAP], donor_text[STATEMENT_CAP];
        unsigned char signature[TRUST_SIGNATURE_BYTES], own[TRUST_SIGNATURE_BYTES];
        const enum who by = SIGNER[kind];
        if (kind == SAYS_COURSE)
            fresh();
        else
            place();
        struct statement s = next(by, (enum statement_kind)kind);
        if (kind == SAYS_VOUCH || kind == SAYS_END)
            about(&s, &all[NORA]);
        const size_t n = print_and_sign(&all[by], &s, text, own);
        struct statement donor = s; /* one second later, by the same key */
        SET(donor.at, "2031-03-02T14:34:11+01:00");
        (void)print_and_sign(&all[by], &donor, donor_text, signature);
        ck_assert_msg(ring_take(ring, &s, text, n, signature, &why) == ST_CORRUPT, "%s", STATEMENTS[kind].word);
        (void)print_and_sign(&all[BEN], &s, donor_text, signature); /* the same text by another key */
        ck_assert_msg(ring_take(ring, &s, text, n, signature, &why) == ST_CORRUPT, "%s", STATEMENTS[kind].word);
        memset(signature, 0, sizeof signature);
        ck_assert_msg(ring_take(ring, &s, text, n, signature, &why) == ST_CORRUPT, "%s", STATEMENTS[kind].word);
        ck_assert_msg(ring_take(ring, &s, text, n, own, &why) == ST_OK, "%s: %s", STATEMENTS[kind].word, why.text);
    }
}
END_TEST

START_TEST(a_refusal_leaves_the_ring_as_it_was)
{
    char text[STATEMENT_CAP];
    unsigned char signature[TRUST_SIGNATURE_BYTES];
    place();
    struct statement s = next(EVA, SAYS_VOUCH);
    about(&s, &all[NORA]);
    const size_t n = print_and_sign(&all[EVA], &s, text, signature);
    signature[9] ^= 4;
    ck_assert_int_eq(ring_take(ring, &s, text, n, signature, NULL), ST_CORRUPT);
    ck_assert_int_eq(standing(NORA), TRUST_NONE);
    signature[9] ^= 4;
    must(ring_take(ring, &s, text, n, signature, &why)); /* its number is still free */
    ck_assert_int_eq(standing(NORA), TRUST_BY_SELF);
}
END_TEST

START_TEST(a_thousand_keys_are_found_each)
{
    fresh();
    for (int i = 0; i < 1000; i++) {
        char person[ITEM_CAP];
        (void)snprintf(person, sizeof person, "p%d", i);
        struct hand h = hand_make(person, SIGNS_TRAINEE, 1);
        unsigned char seed[32] = {(unsigned char)i, (unsigned char)(i >> 8), 9};
        ck_assert_int_eq(crypto_sign_seed_keypair(h.public_key, h.secret, seed), 0);
        key_id_of(h.public_key, h.id);
        const struct statement s = says(&h, SAYS_KEY, i + 1);
        must(tell(ring, &h, &s, &why));
    }
    for (int i = 0; i < 1000; i++) {
        const struct ring_key *k = ring_at(ring, i);
        ck_assert_ptr_nonnull(k);
        ck_assert_ptr_eq(ring_find(ring, k->id), k);
        ck_assert_ptr_eq(ring_of_person(ring, k->person), k);
        ck_assert_int_eq(k->begun, i + 1);
    }
    ck_assert_ptr_null(ring_at(ring, 1000));
    ck_assert_ptr_null(ring_at(ring, -1));
    ck_assert_ptr_null(ring_find(ring, "00000000000000000000000000000000"));
    ck_assert_ptr_null(ring_find(ring, ""));
    ck_assert_ptr_null(ring_course(ring));
}
END_TEST

static void add(Suite *suite, const char *name, const TTest *const *tests, size_t n)
{
    TCase *tc = tcase_create(name);
    tcase_set_timeout(tc, 60);
    for (size_t i = 0; i < n; i++)
        tcase_add_test(tc, tests[i]);
    suite_add_tcase(suite, tc);
}
#define ADD(suite, name, ...) add(suite, name, (const TTest *const[]){__VA_ARGS__}, ARRAY_LEN(((const TTest *const[]){__VA_ARGS__})))

int main(void)
{
    Suite *suite = suite_create("ring");
    ADD(suite, "rights", each_kind_is_left_to_those_whose_it_is, keys_and_things_are_left_to_those_whose_they_are,
        nobody_vouches_for_or_ends_the_course_or_retires_it, a_result_is_released_by_its_witness_alone,
        of_a_witness_who_is_retired_another_preceptor_releases_the_result,
        of_a_witness_whose_key_has_ended_another_releases_until_she_has_a_new_one,
        the_measurer_does_not_stand_in_for_her_witness,
        a_trainee_named_as_witness_releases_nothing, the_measurer_cannot_be_her_own_witness,
        many_witnessed_sittings_are_told_apart);
    ADD(suite, "standing", the_first_preceptor_is_self_declared_and_any_later_one_is_nothing,
        standing_follows_the_line_of_vouches, the_course_lifts_one_without_those_before_her, standing_is_said_in_words);
    ADD(suite, "beginnings", a_store_takes_one_course_key, the_courses_key_begins_as_the_course_alone,
        a_vouch_names_the_key_its_person_and_its_role_as_they_are_known, a_key_begins_for_its_own_person_alone,
        an_ended_key_signs_no_more_and_its_successor_starts_anew, the_founders_next_key_needs_a_vouch_like_any_other,
        a_retired_person_begins_no_key, a_technician_is_in_charge_until_a_preceptor_has_a_key, no_person_is_called_course);
    ADD(suite, "forgeries", a_statement_of_another_store_is_refused, numbers_only_go_up,
        another_persons_name_or_role_on_a_key_is_refused, a_transplanted_signature_is_refused_for_every_kind,
        a_refusal_leaves_the_ring_as_it_was, a_thousand_keys_are_found_each);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    const int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
