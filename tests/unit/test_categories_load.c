/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Category files: each way to be wrong with file, line and reason, and the bounds of those that come with the program. */
#include "config_hand.h"

#define SOUND \
    "[categories]\nid = own\ntitle = Our own\nsource = CAT-1\nstatus = published\n" \
    "[band low]\nsay = lower\nsystolic = below 120\ndiastolic = below 80\n" \
    "[band middle]\nsay = middle\nsystolic = 120 to 139\ndiastolic = -\n" \
    "[band high]\nsay = higher\nsystolic = 140 or more\ndiastolic = 80 or more\n" \
    "[flag faint]\nsay = faint\nsystolic = below 90\ndiastolic = -\nwhen = both\nreplaces = low\n"

static char changed[4000];

static void change(const char *from, const char *to)
{
    const char *at = strstr(SOUND, from);
    ck_assert_msg(at != NULL, "'%s' is not there", from);
    int n = snprintf(changed, sizeof changed, "%.*s%s%s", (int)(at - SOUND), SOUND, to, at + strlen(from));
    ck_assert_int_lt(n, (int)sizeof changed);
}

static void load_own(struct protocols *ps, const char *text)
{
    write_text("p/own.category", text);
    write_text("p/a.protocol", whole);
    ck_assert_int_eq(load(ps, NULL), ST_OK);
    ck_assert_int_eq(ps->count, 1); /* whatever the category file holds, the protocol works */
    ck_assert_int_eq(ps->list[0]->scheme_count, 2);
}

START_TEST(a_category_file_beside_the_protocols_is_read)
{
    struct protocols ps;
    load_own(&ps, SOUND);
    ck_assert_msg(ps.fault_count == 0, "%s", all_faults(&ps));
    const struct category_scheme *c = protocols_scheme(&ps, "own");
    ck_assert_ptr_nonnull(c);
    ck_assert_str_eq(c->title, "Our own");
    ck_assert_int_eq(c->band_count, 3);
    ck_assert_int_eq(c->bands[1].systolic_from_mmhg, 120);
    ck_assert_int_eq(c->bands[1].diastolic_from_mmhg, CATEGORY_NO_BOUND);
    ck_assert_int_eq(c->bands[2].diastolic_from_mmhg, 80);
    ck_assert_str_eq(c->bands[2].origin.source, "CAT-1");
    ck_assert_int_eq(c->flags[0].systolic_below_mmhg, 90);
    ck_assert_int_eq(c->flags[0].replaces, 0);
    protocols_free(&ps);
}
END_TEST

static const struct {
    const char *from, *to, *at, *reason, *why;
} FAULTS[] = {
    {"120 to 139", "121 to 139", "121 to 139", "middle leaves a gap behind low: a systolic of 120", "gap of one"},
    {"120 to 139", "119 to 139", "119 to 139", "middle overlaps low: a systolic of 119", "overlap of one"},
    {"140 or more", "142 or more", "142 or more", "high leaves a gap behind middle: a systolic of 140", "gap before the last"},
    {"140 or more", "139 or more", "139 or more", "high overlaps middle: a systolic of 139", "overlap with the last"},
    {"80 or more", "81 or more", "81 or more", "high leaves a gap behind low: a diastolic of 80", "gap over an unused band"},
    {"80 or more", "79 or more", "79 or more", "high overlaps low: a diastolic of 79", "overlap over an unused band"},
    {"140 or more", "110 or more", "110 or more", "high begins at a systolic of 110, below middle", "bounds out of order"},
    {"120 to 139", "139 to 120", "139 to 120", "runs from 139 down to 120", "range upside down"},
    {"120 to 139", "below 139", "below 139", "middle overlaps low", "below in the middle"},
    {"120 to 139", "120 or more", "140 or more", "high overlaps middle: a systolic of 140", "no end in the middle"},
    {"below 120", "60 to 119", "60 to 119", "low is the first band", "first not from below"},
    {"below 120", "-", "systolic = -", "low is the first band", "first without the value"},
    {"140 or more", "140 to 300", "140 to 300", "high is the last band with a systolic", "last not without end"},
    {"140 or more", "-", "120 to 139", "middle is the last band with a systolic", "last without the value"},
    {"120 to 139", "120-139", "120-139", "is written as", "hyphen for to"},
    {"120 to 139", "120 to 139 to 140", "120 to 139", "is written as", "three numbers"},
    {"120 to 139", "> 120", "> 120", "is written as", "sign"},
    {"120 to 139", "120.5 to 139", "120.5", "is written as", "decimals"},
    {"below 120", "below", "systolic = below\n", "is written as", "below nothing"},
    {"below 120", "below 0", "below 0", "is written as", "below zero"},
    {"140 or more", "140 or", "140 or\n", "is written as", "or what"},
    {"140 or more", "99999999999999999999 or more", "9999", "is written as", "10^20"},
    {"120 to 139", "", "systolic = \ndiastolic", "is written as", "empty"},
    {"[categories]", "[category]", "[category]", "no such section", "unknown section"},
    {"[categories]\nid = own\ntitle = Our own\nsource = CAT-1\nstatus = published\n", "", "[band low]",
     "below its [categories]", "no head"},
    {"[band low]", "[categories]\n[band low]", "[categories]\n[band", "there already, on line 1", "head twice"},
    {"[band low]", "[band]", "[band]", "no such section", "band without id"},
    {"[band low]", "[band low/er]", "[band low/er]", "a band's id is", "band with an odd id"},
    {"[band middle]", "[band low]", "[band low]\nsay = middle", "low is there already, on line 6", "band twice"},
    {"[flag faint]", "[flag low]", "[flag low]", "low is there already", "flag with a band's id"},
    {"id = own", "id = o w n", "id = o w n", "id must be", "id with blanks"},
    {"id = own\n", "", "[categories]", "id is missing", "no id"},
    {"title = Our own", "title =", "title =\n", "title must be", "no title"},
    {"say = lower", "say =", "say =\n", "say must be", "band that says nothing"},
    {"say = lower\n", "", "[band low]", "say is missing", "band without say"},
    {"diastolic = -\n", "", "[band middle]", "diastolic is missing", "band without diastolic"},
    {"source = CAT-1", "source = CAT-99", "source = CAT-99", "no source CAT-99", "unknown source"},
    {"source = CAT-1", "source = ARM-4", "status = published", "from memory only", "published from memory"},
    {"source = CAT-1", "source =", "source =\n", "published needs a source", "published by nobody"},
    {"status = published", "status = certain", "status = certain", "status is one of", "unknown status"},
    {"say = lower", "say = lower\nsource = CAT-99\nstatus = published", "source = CAT-99", "no source CAT-99",
     "unknown source of a band"},
    {"say = lower", "say = lower\nsource = CAT-1", "[band low]", "status is one of", "band with half an origin"},
    {"when = both", "when = ever", "when = ever", "both or either", "unknown when"},
    {"when = both\n", "", "[flag faint]", "when is missing", "no when"},
    {"replaces = low", "replaces = lowest", "replaces = lowest", "no band of this scheme", "replaces nothing there is"},
    {"say = lower", "say = lower\ncolour = red", "colour = red", "has no colour", "unknown name"},
    {"say = lower", "say = lower\nsay = lowest", "say = lowest", "given already", "name twice"},
    {"title = Our own", "title = Our \x1B[2Jown", "title = Our", "control character", "escape sequence"},
};

START_TEST(a_category_file_is_refused_by_file_line_and_reason)
{
    struct protocols ps;
    char begin[64];
    change(FAULTS[_i].from, FAULTS[_i].to);
    load_own(&ps, changed);
    snprintf(begin, sizeof begin, "own.category:%d: ", line_of(changed, FAULTS[_i].at));
    ck_assert_msg(has_fault(&ps, begin, FAULTS[_i].reason), "%s: wanted %s%s, got\n%s", FAULTS[_i].why, begin,
                  FAULTS[_i].reason, all_faults(&ps));
    ck_assert_ptr_null(protocols_scheme(&ps, "own"));
    protocols_free(&ps);
}
END_TEST

START_TEST(more_bands_or_flags_than_fit_are_refused)
{
    struct text t;
    struct protocols ps;
    text_init(&t, changed, sizeof changed);
    text_add(&t, "[categories]\nid = own\ntitle = Our own\nsource =\nstatus = judgement\n");
    for (int i = 0; i <= CATEGORY_BANDS_MAX; i++)
        text_addf(&t, "[band b%d]\nsay = b\nsystolic = %d to %d\ndiastolic = -\n", i, 100 + i, 100 + i);
    load_own(&ps, changed);
    ck_assert_msg(has_fault(&ps, "own.category:46: ", "more than 10 bands"), "%s", all_faults(&ps));
    protocols_free(&ps);
    text_init(&t, changed, sizeof changed);
    text_add(&t, SOUND);
    for (int i = 0; i < CATEGORY_FLAGS_MAX; i++)
        text_addf(&t, "[flag f%d]\nsay = f\nsystolic = below 90\ndiastolic = -\nwhen = both\n", i);
    load_own(&ps, changed);
    ck_assert_msg(has_fault(&ps, "own.category:", "more than 4 flags"), "%s", all_faults(&ps));
    protocols_free(&ps);
}
END_TEST

START_TEST(of_two_files_with_one_id_the_first_is_kept)
{
    struct protocols ps;
    change("title = Our own", "title = Another");
    write_text("p/zwei.category", changed);
    load_own(&ps, SOUND);
    ck_assert_msg(has_fault(&ps, "zwei.category:2: ", "the id own is taken"), "%s", all_faults(&ps));
    ck_assert_str_eq(protocols_scheme(&ps, "own")->title, "Our own");
    protocols_free(&ps);
}
END_TEST

START_TEST(a_sites_scheme_goes_before_one_that_came_with_the_program)
{
    struct protocols ps;
    change("id = own", "id = us-2017");
    load_own(&ps, changed);
    ck_assert_msg(ps.fault_count == 0, "%s", all_faults(&ps));
    ck_assert_str_eq(ps.list[0]->schemes[0].title, "Our own");
    protocols_free(&ps);
}
END_TEST

START_TEST(a_protocol_that_names_an_unsound_scheme_is_left_out_and_the_others_work)
{
    static char text[FILE_BYTES];
    struct protocols ps;
    char begin[40];
    replaced(text, "us-2017, esh-2023", "own");
    write_text("p/b.protocol", text);
    change("120 to 139", "121 to 139");
    load_own(&ps, changed);
    snprintf(begin, sizeof begin, "b.protocol:%d: ", line_of(text, "categories ="));
    ck_assert_msg(has_fault(&ps, begin, "no sound category scheme own"), "%s", all_faults(&ps));
    protocols_free(&ps);
}
END_TEST

START_TEST(files_that_are_no_text_are_told)
{
    struct protocols ps;
    char path[128];
    path_of("p/folder.category", path);
    ck_assert_int_eq(mkdir(path, 0700), 0);
    write_text("p/empty.category", "");
    write_bytes("p/nul.category", "[categories]\nid = a\0b\n", 22);
    load_own(&ps, SOUND);
    ck_assert(has_fault(&ps, "folder.category:1: ", "no ordinary file"));
    ck_assert(has_fault(&ps, "empty.category:1: ", "[categories] is missing"));
    ck_assert(has_fault(&ps, "nul.category:2: ", "NUL byte"));
    protocols_free(&ps);
}
END_TEST

/* ---- the schemes that come with the program ---- */

/* The bands in order, as the sources give them: systolic and diastolic lower bounds; -1 where it brings none. */
static const struct {
    const char *scheme;
    struct { const char *band; int32_t systolic, diastolic; } bands[7];
} LADDERS[] = {
    {"us-2017", {{"normal", 0, 0}, {"elevated", 120, -1}, {"stage-1", 130, 80}, {"stage-2", 140, 90}}},
    {"esc-2024", {{"non-elevated", 0, 0}, {"elevated", 120, 70}, {"hypertension", 140, 90}}},
    {"esh-2023", {{"optimal", 0, 0}, {"normal", 120, 80}, {"high-normal", 130, 85}, {"grade-1", 140, 90},
                  {"grade-2", 160, 100}, {"grade-3", 180, 110}}},
    {"ish-2020", {{"normal", 0, 0}, {"high-normal", 130, 85}, {"grade-1", 140, 90}, {"grade-2", 160, 100}}},
    {"nice", {{"below-140-90", 0, 0}, {"stage-1", 140, 90}, {"stage-2", 160, 100}, {"severe", 180, 120}}},
    {"uk-pharmacy", {{"normal", 0, 0}, {"high", 140, 90}, {"very-high", 180, 120}}},
};

static const struct category_scheme *shipped(struct protocols *ps, const char *id)
{
    ck_assert_int_eq(protocols_load(TEST_SOURCE_DIR "/assets/protocols", ps, NULL), ST_OK);
    const struct category_scheme *c = protocols_scheme(ps, id);
    ck_assert_ptr_nonnull(c);
    return c;
}

/* A pair that lies in the lowest band of every scheme. */
enum { SYSTOLIC_LOW = 100, DIASTOLIC_LOW = 65 };

START_TEST(each_bound_holds_at_one_below_at_and_one_above)
{
    struct protocols ps;
    const struct category_scheme *c = shipped(&ps, LADDERS[_i].scheme);
    int bands = 0;
    for (; bands < (int)ARRAY_LEN(LADDERS[0].bands) && LADDERS[_i].bands[bands].band; bands++) {
        const int32_t s = LADDERS[_i].bands[bands].systolic, d = LADDERS[_i].bands[bands].diastolic;
        ck_assert_str_eq(c->bands[bands].id, LADDERS[_i].bands[bands].band);
        for (int32_t at = -1; at <= 1 && bands > 0; at++) {
            int by_systolic = category_of(c, s + at, DIASTOLIC_LOW, 1).band;
            ck_assert_msg((by_systolic == bands) == (at >= 0), "%s %d/%d is %s", c->id, (int)(s + at), DIASTOLIC_LOW,
                          c->bands[by_systolic].id);
            if (d < 0)
                continue;
            int by_diastolic = category_of(c, SYSTOLIC_LOW, d + at, 1).band;
            ck_assert_msg((by_diastolic == bands) == (at >= 0), "%s %d/%d is %s", c->id, SYSTOLIC_LOW, (int)(d + at),
                          c->bands[by_diastolic].id);
        }
    }
    ck_assert_int_eq(c->band_count, bands);
    protocols_free(&ps);
}
END_TEST

static void is_said(const struct category_scheme *c, int32_t systolic, int32_t diastolic, const char *want)
{
    char said[200];
    category_say(c, category_of(c, systolic, diastolic, 1), said, sizeof said);
    ck_assert_msg(strcmp(said, want) == 0, "%s: %d/%d is '%s', not '%s'", c->id, (int)systolic, (int)diastolic, said, want);
}

START_TEST(isolated_systolic_is_said_from_140_with_a_diastolic_below_90)
{
    struct protocols ps;
    const struct category_scheme *c = shipped(&ps, "esh-2023");
    is_said(c, 139, 89, "high-normal");
    is_said(c, 140, 89, "grade 1, isolated systolic");
    is_said(c, 140, 90, "grade 1");
    is_said(c, 182, 60, "grade 3, isolated systolic");
    protocols_free(&ps);
}
END_TEST

START_TEST(low_stands_in_for_normal_where_either_value_is_below_90_and_60)
{
    struct protocols ps;
    const struct category_scheme *c = shipped(&ps, "uk-pharmacy");
    is_said(c, 90, 60, "normal");
    is_said(c, 89, 60, "low");
    is_said(c, 90, 59, "low");
    is_said(c, 150, 59, "high");
    protocols_free(&ps);
}
END_TEST

/* A range on one visit is no stage, and no name of an illness stands without 'range'. */
START_TEST(nothing_is_said_that_diagnoses)
{
    static const char *const NEVER[] = {"crisis", "emergency", "disease", "patient", "urgent"};
    struct protocols ps;
    (void)shipped(&ps, "nice");
    for (int i = 0; i < ps.scheme_count; i++)
        for (int k = 0; k < ps.schemes[i].band_count; k++) {
            const char *say = ps.schemes[i].bands[k].say;
            for (size_t n = 0; n < ARRAY_LEN(NEVER); n++)
                ck_assert_ptr_null(strstr(say, NEVER[n]));
            if (strstr(say, "hypertension") || strcmp(ps.schemes[i].id, "nice") == 0)
                ck_assert(strstr(say, "range") || k == 0);
        }
    protocols_free(&ps);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("categories_load");
    TCase *c = tcase_create("categories_load");
    suite_add_tcase(s, c);
    tcase_set_timeout(c, 60);
    tcase_add_checked_fixture(c, setup, teardown);
    tcase_add_test(c, a_category_file_beside_the_protocols_is_read);
    tcase_add_loop_test(c, a_category_file_is_refused_by_file_line_and_reason, 0, (int)ARRAY_LEN(FAULTS));
    tcase_add_test(c, more_bands_or_flags_than_fit_are_refused);
    tcase_add_test(c, of_two_files_with_one_id_the_first_is_kept);
    tcase_add_test(c, a_sites_scheme_goes_before_one_that_came_with_the_program);
    tcase_add_test(c, a_protocol_that_names_an_unsound_scheme_is_left_out_and_the_others_work);
    tcase_add_test(c, files_that_are_no_text_are_told);
    tcase_add_loop_test(c, each_bound_holds_at_one_below_at_and_one_above, 0, (int)ARRAY_LEN(LADDERS));
    tcase_add_test(c, isolated_systolic_is_said_from_140_with_a_diastolic_below_90);
    tcase_add_test(c, low_stands_in_for_normal_where_either_value_is_below_90_and_60);
    tcase_add_test(c, nothing_is_said_that_diagnoses);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
