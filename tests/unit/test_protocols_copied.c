/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a protocol leans on of other files: category schemes, what its sources publish, the protocol it was copied from. */
#include "config_hand.h"

#define HEAD "id = us-adult"
#define COPY "id = our-clinic\ncopied_from = us-adult"

/* text with its first `from` after `behind` replaced. */
static void change(char *text, const char *after, const char *from, const char *to)
{
    static char rest[FILE_BYTES];
    char *at = strstr(text, after);
    ck_assert_msg(at != NULL, "'%s' is not there", after);
    at = strstr(at, from);
    ck_assert_msg(at != NULL, "'%s' is not there", from);
    ck_assert_uint_lt(strlen(text) + strlen(to), FILE_BYTES);
    strcpy(rest, at + strlen(from));
    strcpy(at, to);
    strcat(at, rest);
}

static void load_one(struct protocols *ps, const char *text)
{
    struct err e = {.text = ""};
    write_text("p/a.protocol", text);
    ck_assert_msg(load(ps, &e) == ST_OK, "%s", e.text);
    ck_assert_msg(ps->fault_count == 0, "%s", all_faults(ps));
}

static void load_shipped(struct protocols *ps)
{
    struct err e = {.text = ""};
    ck_assert_msg(protocols_load(TEST_SOURCE_DIR "/assets/protocols", ps, &e) == ST_OK, "%s", e.text);
}

START_TEST(the_files_that_come_with_the_program_load_without_fault)
{
    static const char *const PROTOCOLS[] = {"europe-adult", "international-adult", "irregular-adult", "pregnancy",
                                            "standing-adult", "uk-adult", "us-adult"};
    static const char *const SCHEMES[] = {"esc-2024", "esh-2023", "ish-2020", "nice", "uk-pharmacy", "us-2017"};
    struct protocols ps;
    load_shipped(&ps);
    ck_assert_msg(ps.fault_count == 0, "%s", all_faults(&ps));
    ck_assert_int_eq(ps.count, (int)ARRAY_LEN(PROTOCOLS));
    for (int i = 0; i < ps.count; i++)
        ck_assert_str_eq(ps.list[i]->id, PROTOCOLS[i]);
    ck_assert_int_eq(ps.scheme_count, (int)ARRAY_LEN(SCHEMES));
    for (int i = 0; i < ps.scheme_count; i++)
        ck_assert_str_eq(ps.schemes[i].id, SCHEMES[i]);
    protocols_free(&ps);
}
END_TEST

START_TEST(the_files_that_come_with_the_program_give_every_key)
{
    static char text[FILE_BYTES];
    struct protocols ps;
    load_shipped(&ps);
    for (int i = 0; i < ps.count; i++) {
        read_file(ps.path[i], text);
        for (int k = 0; k < KEY_COUNT; k++) {
            char head[64];
            snprintf(head, sizeof head, "\n[key %s]\n", PROTOCOL_KEYS[k].name);
            ck_assert_msg(strstr(text, head) != NULL, "%s has no %s", ps.list[i]->id, PROTOCOL_KEYS[k].name);
        }
    }
    protocols_free(&ps);
}
END_TEST

/* Nobody's number is shown under somebody else's name. */
START_TEST(the_files_that_come_with_the_program_depart_from_none_of_their_sources)
{
    struct protocols ps;
    load_shipped(&ps);
    for (int i = 0; i < ps.count; i++)
        for (int k = 0; k < KEY_COUNT; k++)
            ck_assert_msg(!protocol_deviates(ps.list[i], (enum protocol_key)k), "%s: %s", ps.list[i]->id,
                          PROTOCOL_KEYS[k].name);
    protocols_free(&ps);
}
END_TEST

/* Two choices of our own that nobody publishes so; they are said. */
START_TEST(the_files_that_come_with_the_program_say_their_own_choices_beside_what_is_published)
{
    static const struct {
        const char *id, *said;
    } OWN[] = {
        {"international-adult", "how many more are taken then (extra_readings) is 0, our own choice; published: 1 or more"},
        {"standing-adult", "arms read on a first visit (first_arms) is one, our own choice; published: both"},
    };
    struct protocols ps;
    load_shipped(&ps);
    for (int i = 0; i < ps.count; i++) {
        const char *want = NULL;
        char said[DEVIATION_CAP] = "";
        for (size_t k = 0; k < ARRAY_LEN(OWN); k++)
            want = strcmp(OWN[k].id, ps.list[i]->id) == 0 ? OWN[k].said : want;
        (void)protocol_say_deviation(ps.list[i], 0, said, sizeof said);
        ck_assert_str_eq(said, want ? want : "");
        ck_assert_int_eq(protocol_deviations(ps.list[i]), want != NULL);
    }
    protocols_free(&ps);
}
END_TEST

/* A published number with nothing to compare it with could be changed and still pass for the source's. */
START_TEST(what_is_published_has_its_position)
{
    struct protocols ps;
    load_shipped(&ps);
    for (int i = 0; i < ps.count; i++)
        for (int k = 0; k < KEY_COUNT; k++)
            if (ps.list[i]->origin[k].standing == STANDING_PUBLISHED)
                ck_assert_msg(ps.list[i]->says[k].is_known, "%s %s", ps.list[i]->id, PROTOCOL_KEYS[k].name);
    protocols_free(&ps);
}
END_TEST

START_TEST(every_source_names_its_body)
{
    struct protocols ps;
    load_shipped(&ps);
    for (int i = 0; i < ps.source_count; i++)
        ck_assert_msg(ps.sources[i].body[0] != '\0', "%s", ps.sources[i].id);
    for (int i = 0; i < ps.position_count; i++)
        ck_assert_msg(ps.positions[i].body[0] != '\0', "%s", ps.positions[i].source);
    protocols_free(&ps);
}
END_TEST

START_TEST(the_text_kept_with_a_sitting_means_the_same_alone)
{
    struct protocols ps;
    load_shipped(&ps);
    for (int i = 0; i < ps.count; i++) {
        struct protocol again;
        struct err e = {.text = ""};
        ck_assert_msg(protocol_parse("kept", ps.text[i], &again, NULL, NULL, &e) == ST_OK, "%s", e.text);
        ck_assert_int_eq(memcmp(&again, ps.list[i], sizeof again), 0);
    }
    protocols_free(&ps);
}
END_TEST

/* Kept texts of before this loads had none of it. */
START_TEST(a_text_without_what_it_leans_on_loads_without_it)
{
    struct protocol p;
    struct err e = {.text = ""};
    change(whole, "[protocol]", HEAD, COPY);
    ck_assert_msg(protocol_parse("kept", whole, &p, NULL, NULL, &e) == ST_OK, "%s", e.text);
    ck_assert_int_eq(p.scheme_count, 0);
    ck_assert_int_eq(p.has_base, 0);
    ck_assert_int_eq(protocol_deviations(&p), 0);
}
END_TEST

static void make_copy(char *text)
{
    strcpy(text, whole);
    change(text, "[protocol]", HEAD, COPY);
    change(text, "[key rest_s]", "300", "240");
    change(text, "[key margin_mmhg]", "30", "40");
    change(text, "[key average]", "all", "last-two");
}

START_TEST(a_copy_with_three_changed_values_shows_exactly_three_deviations)
{
    static char text[FILE_BYTES];
    static const enum protocol_key CHANGED[] = {KEY_REST_S, KEY_MARGIN_MMHG, KEY_AVERAGE};
    struct protocols ps;
    char said[300];
    make_copy(text);
    load_one(&ps, text);
    const struct protocol *p = protocols_find(&ps, "our-clinic");
    ck_assert_ptr_nonnull(p);
    ck_assert_int_eq(protocol_deviations(p), 3);
    for (size_t i = 0; i < ARRAY_LEN(CHANGED); i++) {
        ck_assert(protocol_deviates(p, CHANGED[i]));
        ck_assert(protocol_differs_from_base(p, CHANGED[i]));
        ck_assert(protocol_say_deviation(p, (int)i, said, sizeof said));
        ck_assert_msg(strstr(said, PROTOCOL_KEYS[CHANGED[i]].name) != NULL, "%s", said);
    }
    ck_assert(!protocol_say_deviation(p, 3, said, sizeof said));
    protocols_free(&ps);
}
END_TEST

START_TEST(a_copy_keeps_its_base_and_left_out_items_in_its_text)
{
    static char text[FILE_BYTES];
    struct protocols ps;
    struct protocol again;
    make_copy(text);
    change(text, "[item posture.feet]", "[item posture.feet]", "[item posture.shoes]");
    load_one(&ps, text);
    ck_assert_int_eq(ps.list[0]->left_out_count, 1);
    ck_assert_str_eq(ps.list[0]->left_out[0], "posture.feet");
    ck_assert_int_eq(protocol_deviations(ps.list[0]), 4);
    ck_assert_int_eq(protocol_parse("kept", ps.text[0], &again, NULL, NULL, NULL), ST_OK);
    ck_assert_int_eq(memcmp(&again, ps.list[0], sizeof again), 0);
    protocols_free(&ps);
}
END_TEST

/* However many are left out, each is one departure, and the kept text knows them all. */
START_TEST(a_copy_that_renames_its_items_leaves_out_each_of_them)
{
    static const char *const NEEDED[] = {"arm.usable", "ready.agrees", "kit.zero"};
    static char text[FILE_BYTES];
    char section[ITEM_CAP + 8], renamed[ITEM_CAP + 8];
    struct protocols shipped, ps;
    struct protocol again;
    int left_out = 0;
    load_shipped(&shipped);
    make_copy(text);
    const struct protocol *base = protocols_find(&shipped, "us-adult");
    for (int i = 0; i < base->item_count; i++) {
        const char *id = base->items[i].id;
        if (strcmp(id, NEEDED[0]) == 0 || strcmp(id, NEEDED[1]) == 0 || strcmp(id, NEEDED[2]) == 0)
            continue;
        snprintf(section, sizeof section, "[item %s]", id);
        snprintf(renamed, sizeof renamed, "[item %.28s.own]", id);
        change(text, section, section, renamed);
        left_out++;
    }
    load_one(&ps, text);
    ck_assert_int_gt(left_out, 16);
    ck_assert_int_eq(ps.list[0]->left_out_count, left_out);
    ck_assert_int_eq(protocol_deviations(ps.list[0]), 3 + left_out);
    ck_assert_int_eq(protocol_parse("kept", ps.text[0], &again, NULL, NULL, NULL), ST_OK);
    ck_assert_int_eq(memcmp(&again, ps.list[0], sizeof again), 0);
    protocols_free(&ps);
    protocols_free(&shipped);
}
END_TEST

/* One change to a plain copy, and what is told of it; NULL: nothing. */
static const struct {
    const char *after, *from, *to, *told;
} CHANGES[] = {
    {"[protocol]", "title", "title", NULL},
    {"[protocol]", "us-2017, esh-2023", "us-2017,   esh-2023", NULL},
    {"[protocol]", "us-2017, esh-2023", "us-2017", "categories are us-2017; us-adult has us-2017, esh-2023"},
    {"[protocol]", "us-2017, esh-2023", "esh-2023, us-2017", "categories are esh-2023, us-2017; us-adult has us-2017, esh-2023"},
    {"[protocol]", "categories = us-2017, esh-2023\n", "", "no categories; us-adult has us-2017, esh-2023"},
    {"[protocol]", "arms.few", "arms.few, standing.few", "standing.few may be passed over; not in us-adult"},
    {"[protocol]", ", arms.few", "", NULL},
    {"[item posture.quiet]", "group", "waivable = yes\ngroup", "item posture.quiet may be passed over; not in us-adult"},
    {"[item posture.legs]", "waivable = yes\n", "", NULL},
    {"[item ready.adult]", "quiet = yes\n", "", "item ready.adult is not asked quietly; in us-adult it is"},
    {"[protocol]", "critical = rest.missing, ", "critical = ", "rest.missing is not critical before a witness; in us-adult it is"},
    {"[protocol]", "critical = ", "critical = told.missing, ", "told.missing is critical before a witness; not in us-adult"},
    {"[item kit.zero]", "critical = yes\n", "", "item kit.zero is not critical before a witness; in us-adult it is"},
    {"[item kit.clean]", "group", "critical = yes\ngroup", "item kit.clean is critical before a witness; not in us-adult"},
    {"[item ready.adult]", "Adult", "A grown person", NULL}, /* a judgement, and said to be one */
    {"[item posture.quiet]", "Nobody speaks from here on", "Quiet talk is fine",
     "item posture.quiet says \"Quiet talk is fine\"; us-adult says \"Nobody speaks from here on\""},
    {"[item posture.quiet]", "source = PREP-4", "source = PREP-6", NULL},
    {"[item posture.quiet]", "[item posture.quiet]", "[item posture.own]\nsay = Own\ngroup = 2\nwaivable = yes\nsource =\n"
     "status = judgement\n[item posture.quiet]", NULL},
};

static void check_change(const char *text, const char *told)
{
    struct protocols ps;
    struct protocol again;
    char said[DEVIATION_CAP] = "";
    load_one(&ps, text);
    (void)protocol_say_deviation(ps.list[0], 0, said, sizeof said);
    ck_assert_str_eq(said, told ? told : "");
    ck_assert_int_eq(protocol_deviations(ps.list[0]), told != NULL);
    ck_assert_int_eq(protocol_parse("kept", ps.text[0], &again, NULL, NULL, NULL), ST_OK);
    ck_assert_int_eq(memcmp(&again, ps.list[0], sizeof again), 0);
    protocols_free(&ps);
}

START_TEST(a_copy_tells_each_change_that_asks_less_or_says_otherwise)
{
    static char text[FILE_BYTES];
    strcpy(text, whole);
    change(text, CHANGES[_i].after, CHANGES[_i].from, CHANGES[_i].to);
    change(text, "[protocol]", HEAD, COPY);
    check_change(text, CHANGES[_i].told);
}
END_TEST

/* Words of one's own, under nobody else's name. */
START_TEST(a_copy_with_words_of_its_own_under_its_own_source_is_as_it_says)
{
    static char text[FILE_BYTES];
    strcpy(text, whole);
    change(text, "[protocol]", HEAD, COPY);
    change(text, "[item posture.quiet]", "Nobody speaks from here on", "Quiet talk is fine");
    change(text, "[item posture.quiet]", "source = PREP-4\nstatus = published", "source =\nstatus = judgement");
    check_change(text, NULL);
}
END_TEST

/* REST-3 would allow 180 to 300 s, but is known from memory only. */
START_TEST(a_number_without_a_source_is_held_against_what_is_published)
{
    static const struct {
        const char *rest;
        bool is_told;
    } ROWS[] = {{"60", true}, {"299", true}, {"300", false}, {"301", true}};
    static char text[FILE_BYTES];
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        char told[DEVIATION_CAP];
        snprintf(told, sizeof told, "rest before the first reading (rest_s) is %s s, our own choice; published: 300 s",
                 ROWS[i].rest);
        strcpy(text, whole);
        change(text, "[key rest_s]", "300", ROWS[i].rest);
        change(text, "[key rest_s]", "source = REST-1\nstatus = published", "source =\nstatus = judgement");
        check_change(text, ROWS[i].is_told ? told : NULL);
    }
}
END_TEST

/* Take out of text all from the line that begins so up to one that begins with the other. */
static void cut_lines(char *text, const char *begin, const char *end)
{
    char *from = strstr(text, begin);
    ck_assert_msg(from != NULL, "'%s' is not there", begin);
    char *to = strstr(from + 1, end);
    ck_assert_msg(to != NULL, "'%s' is not there", end);
    memmove(from, to, strlen(to) + 1);
}

START_TEST(an_older_kept_text_says_nothing_of_what_it_does_not_hold)
{
    static char text[FILE_BYTES];
    struct protocols ps;
    struct protocol old;
    make_copy(text);
    change(text, "[protocol]", "us-2017, esh-2023", "us-2017");
    change(text, "[protocol]", "arms.few", "arms.few, standing.few");
    change(text, "[item posture.quiet]", "group", "waivable = yes\ngroup");
    change(text, "[item posture.quiet]", "Nobody speaks", "Nobody talks");
    change(text, "[key interval_min_s]", "60\nsource = NUM-1\nstatus = published", "90\nsource =\nstatus = judgement");
    load_one(&ps, text);
    ck_assert_int_eq(protocol_deviations(ps.list[0]), 8);
    strcpy(text, ps.text[0]);
    strcat(text, "\n[");
    cut_lines(text, "\n[published ", "\n[base ");
    cut_lines(text, "\ncategories = us-2017\n  esh-2023", "\n[base-item ");
    cut_lines(text, "\n[base-item ", "\n[");
    text[strlen(text) - 1] = '\0';
    ck_assert_int_eq(protocol_parse("kept", text, &old, NULL, NULL, NULL), ST_OK);
    ck_assert_int_eq(protocol_deviations(&old), 4); /* the three of the copy, and the interval beside its base's */
    protocols_free(&ps);
}
END_TEST

/* A kept text taken out of the store and put into a folder is a protocol file like any other. */
START_TEST(a_kept_text_loads_as_a_file_and_stays_as_it_is)
{
    static char text[FILE_BYTES];
    struct protocols first, second;
    make_copy(text);
    load_one(&first, text);
    load_one(&second, first.text[0]);
    ck_assert_str_eq(first.text[0], second.text[0]);
    ck_assert_int_eq(memcmp(first.list[0], second.list[0], sizeof *first.list[0]), 0);
    protocols_free(&first);
    protocols_free(&second);
}
END_TEST

START_TEST(a_copy_finds_its_base_whatever_comes_first)
{
    static char text[FILE_BYTES];
    struct protocols ps;
    change(whole, "[key rest_s]", "300", "360");
    write_text("p/z.protocol", whole); /* our own us-adult goes before the one that came with the program */
    strcpy(text, whole);
    change(text, "[protocol]", HEAD, COPY);
    load_one(&ps, text);
    ck_assert_int_eq(protocols_find(&ps, "our-clinic")->base_value[KEY_REST_S], 360);
    ck_assert_int_eq(ps.count, 2);
    protocols_free(&ps);
}
END_TEST

#define OWN_SCHEME \
    "\n[categories]\nid = own\ntitle = Our own\nsource =\nstatus = judgement\n" \
    "[band low]\nsay = lower\nsystolic = below 140\ndiastolic = -\n" \
    "[band high]\nsay = higher\nsystolic = 140 or more\ndiastolic = -\n"

START_TEST(a_protocol_may_hold_its_categories_itself)
{
    static char text[FILE_BYTES];
    struct protocols ps;
    strcpy(text, whole);
    change(text, "[protocol]", "us-2017, esh-2023", "own, us-2017");
    strcat(text, OWN_SCHEME);
    load_one(&ps, text);
    ck_assert_int_eq(ps.list[0]->scheme_count, 2);
    ck_assert_str_eq(ps.list[0]->schemes[0].title, "Our own");
    ck_assert_int_eq(ps.list[0]->schemes[0].bands[0].diastolic_from_mmhg, 0);
    ck_assert_int_eq(ps.list[0]->schemes[0].bands[1].diastolic_from_mmhg, CATEGORY_NO_BOUND);
    struct protocol again;
    ck_assert_int_eq(protocol_parse("kept", ps.text[0], &again, NULL, NULL, NULL), ST_OK);
    ck_assert_int_eq(memcmp(&again, ps.list[0], sizeof again), 0);
    protocols_free(&ps);
}
END_TEST

START_TEST(a_source_of_ones_own_needs_no_copy_of_the_whole_list)
{
    static char text[FILE_BYTES];
    struct protocols ps;
    write_text("sources.ini", "[OUR-1]\ntitle = Our procedure\nseen = seen\nbody = Our clinic\n");
    write_text("positions.ini", "[says rest_s OUR-1]\nlow = 300\n");
    strcpy(text, whole);
    change(text, "[key rest_s]", "REST-1", "OUR-1");
    change(text, "[key rest_s]", "300", "240");
    load_one(&ps, text);
    ck_assert(protocol_deviates(ps.list[0], KEY_REST_S));
    ck_assert_str_eq(protocols_position(&ps, KEY_REST_S, "OUR-1")->body, "Our clinic");
    ck_assert_int_eq(protocols_position(&ps, KEY_REST_S, "OUR-1")->high, PROTOCOL_KEYS[KEY_REST_S].high);
    ck_assert_ptr_nonnull(protocols_position(&ps, KEY_REST_S, "REST-1"));
    protocols_free(&ps);
}
END_TEST

static const struct {
    const char *after, *from, *to, *at, *reason;
} FAULTS[] = {
    {"[protocol]", "us-2017", "us-1917", "categories =", "no sound category scheme us-1917"},
    {"[protocol]", "us-2017, esh-2023", "us-2017, us-2017", "categories =", "us-2017 is there twice"},
    {"[protocol]", "us-2017, esh-2023", "us-2017, esh-2023, nice, esc-2024", "categories =", "more than 3 category schemes"},
    {"[protocol]", "us-2017, esh-2023", "us/2017", "categories =", "a scheme's id is"},
    {"[protocol]", HEAD, HEAD "\ncopied_from = nobody", "copied_from", "no sound protocol nobody"},
    {"[protocol]", HEAD, HEAD "\ncopied_from = us-adult", "copied_from", "the id of another protocol"},
    {"[protocol]", HEAD, HEAD "\ncopied_from = ../us-adult", "copied_from", "the id of another protocol"},
    {"[protocol]", "# rules", "[base us-adult]\nrest_s = 300\n# rules", "[base us-adult]", "is missing in this section"},
    {"[protocol]", "# rules", "[base us-adult]\nrest_s = 300\nrest_s = 300\n# rules", "rest_s = 300\n#", "given already"},
    {"[protocol]", "# rules", "[base us-adult]\nrest_s = soon\n# rules", "rest_s = soon", "whole number"},
    {"[protocol]", "# rules", "[base us-adult]\nunrest_s = 1\n# rules", "unrest_s", "has no unrest_s"},
    {"[protocol]", "# rules", "[base ]\n# rules", "[base ]", "[base ID]"},
    {"[item kit.clean]", "[item kit.clean]", "[base-item kit.clean]\nsay = a\n[item kit.clean]", "[base-item", "no item of this"},
    {"[item kit.zero]", "[item kit.clean]", "[base-item kit.zero]\nsay = a\n[item kit.clean]", "[base-item",
     "no section [base ID]"},
    {"[key settle_s]", "[key settle_s]", "[published unrest_s]\nranges = 1\n[key settle_s]", "[published", "no key of this name"},
    {"[key settle_s]", "[key settle_s]", "[published rest_s]\nranges = 300\n[key settle_s]", "[published",
     "the key names a source"},
    {"[key settle_s]", "[key settle_s]", "[published rest_valid_s]\nranges = 90 to 80\n[key settle_s]", "ranges",
     "above its high"},
    {"[key settle_s]", "[key settle_s]", "[published rest_valid_s]\nranges = 60 to soon\n[key settle_s]", "ranges",
     "whole number"},
    {"[key arms_repeat]", "[key arms_repeat]", "[published arms_repeat]\nranges = no\n[key arms_repeat]", "[published arms",
     "something else published"},
    {"[key rest_valid_s]", "[key rest_valid_s]", "[says rest_s REST-2]\nvalue = 300\n[key rest_valid_s]",
     "[says rest_s REST-2]", "not the source that the key names"},
    {"[key rest_valid_s]", "[key rest_valid_s]", "[says rest_s REST-1]\nvalue = 240\n[key rest_valid_s]",
     "[says rest_s REST-1]", "positions.ini has REST-1 say something else"},
    {"[key rest_valid_s]", "[key rest_valid_s]", "[says rest_s REST-99]\nvalue = 240\n[key rest_valid_s]",
     "[says rest_s REST-99]", "no source REST-99"},
    {"[key rest_valid_s]", "[key rest_valid_s]", "[says rest_s]\nvalue = 240\n[key rest_valid_s]", "[says rest_s]",
     "[says KEY SOURCE]"},
    {"[key rest_valid_s]", "[key rest_valid_s]", "[says unrest_s REST-1]\nvalue = 240\n[key rest_valid_s]",
     "[says unrest_s", "no key of this name"},
    {"[item kit.clean]", "[item kit.clean]", "[band a]\nsay = a\nsystolic = -\ndiastolic = -\n[item kit.clean]", "[band a]",
     "below its [categories]"},
    {"[item kit.clean]", "[item kit.clean]", OWN_SCHEME "[item kit.clean]", "[categories]",
     "own is not among the categories"},
};

START_TEST(what_a_protocol_leans_on_is_refused_by_file_line_and_reason)
{
    static char text[FILE_BYTES];
    char begin[64];
    struct protocols ps;
    strcpy(text, whole);
    change(text, FAULTS[_i].after, FAULTS[_i].from, FAULTS[_i].to);
    write_text("p/a.protocol", text);
    change(whole, "[protocol]", HEAD, "id = sound");
    write_text("p/sound.protocol", whole);
    ck_assert_int_eq(load(&ps, NULL), ST_OK);
    snprintf(begin, sizeof begin, "a.protocol:%d: ", line_of(text, FAULTS[_i].at));
    ck_assert_msg(has_fault(&ps, begin, FAULTS[_i].reason), "wanted %s%s, got\n%s", begin, FAULTS[_i].reason,
                  all_faults(&ps));
    ck_assert_int_eq(ps.count, 1);
    ck_assert_str_eq(ps.list[0]->id, "sound");
    protocols_free(&ps);
}
END_TEST

static const struct {
    const char *text, *begin, *reason;
} POSITIONS[] = {
    {"[rest_s REST-1]\nvalue = 300\n", "positions.ini:1: ", "[says KEY SOURCE]"},
    {"[says rest REST-1]\nvalue = 300\n", "positions.ini:1: ", "no key of this name"},
    {"[says rest_s REST-99]\nvalue = 300\n", "positions.ini:1: ", "no source REST-99"},
    {"[says rest_s REST-1]\n", "positions.ini:1: ", "either a value, or low and high"},
    {"[says rest_s REST-1]\nvalue = 300\nlow = 300\n", "positions.ini:1: ", "either a value, or low and high"},
    {"[says rest_s REST-1]\nlow = 300\nhigh = 180\n", "positions.ini:2: ", "low is above high"},
    {"[says rest_s REST-1]\nvalue = 3601\n", "positions.ini:2: ", "rest_s is 3601"},
    {"[says average NUM-1]\nvalue = some\n", "positions.ini:2: ", "average is one of"},
    {"[says rest_s REST-1]\nvalue = 300\n[says rest_s REST-1]\nvalue = 240\n", "positions.ini:3: ", "there already"},
    {"[says rest_s REST-1]\nvalue = 300\nwho = we\n", "positions.ini:3: ", "has no who"},
};

START_TEST(positions_are_refused_by_file_line_and_reason_and_the_protocols_go_on)
{
    struct protocols ps;
    write_text("positions.ini", POSITIONS[_i].text);
    write_text("p/a.protocol", whole);
    ck_assert_int_eq(load(&ps, NULL), ST_OK);
    ck_assert_int_eq(ps.count, 1);
    ck_assert_msg(has_fault(&ps, POSITIONS[_i].begin, POSITIONS[_i].reason), "%s", all_faults(&ps));
    protocols_free(&ps);
}
END_TEST

START_TEST(positions_are_listed_by_key_and_bodies_once)
{
    struct protocols ps;
    int on_rest = 0, bodies = 0;
    load_shipped(&ps);
    for (const struct position *at; (at = protocols_position_at(&ps, KEY_REST_S, on_rest)) != NULL; on_rest++)
        ck_assert_int_eq(at->key, KEY_REST_S);
    ck_assert_int_eq(on_rest, 4);
    for (const char *body; (body = protocols_body_at(&ps, bodies)) != NULL; bodies++)
        for (int i = 0; i < bodies; i++)
            ck_assert_str_ne(body, protocols_body_at(&ps, i));
    ck_assert_int_gt(bodies, 10);
    protocols_free(&ps);
}
END_TEST

/* A row of the document as the program has it. */
static void say_row(int key, char *out, size_t cap)
{
    const struct protocol_key_row *row = &PROTOCOL_KEYS[key];
    struct text t;
    text_init(&t, out, cap);
    text_addf(&t, "\n| %s | ", row->name);
    for (int i = 0; row->words && i <= row->high; i++)
        text_addf(&t, "%s%s", i ? ", " : "", row->words[i]);
    if (!row->words)
        text_addf(&t, "%d to %d", (int)row->low, (int)row->high);
    text_addf(&t, " | %s | %s | ", row->unit, row->meaning);
    if (!row->is_optional)
        text_add(&t, "needed |\n");
    else if (row->words)
        text_addf(&t, "%s |\n", row->words[row->absent]);
    else
        text_addf(&t, "%d |\n", (int)row->absent);
}

START_TEST(the_document_lists_every_key_as_the_program_has_it)
{
    static char document[FILE_BYTES];
    read_file(TEST_SOURCE_DIR "/docs/protocol-files.md", document);
    for (int k = 0; k < KEY_COUNT; k++) {
        char row[400];
        say_row(k, row, sizeof row);
        ck_assert_msg(strstr(document, row) != NULL, "docs/protocol-files.md lacks%s", row);
    }
}
END_TEST

/* The indented lines of the document, from the comment on. */
START_TEST(the_documents_example_of_a_category_file_loads)
{
    static char document[FILE_BYTES], example[FILE_BYTES];
    struct protocols ps;
    struct text t;
    read_file(TEST_SOURCE_DIR "/docs/category-files.md", document);
    text_init(&t, example, sizeof example);
    for (char *line = strstr(document, "    # A site's own"); line[0] == '\n' || strncmp(line, "    ", 4) == 0;
         line += strcspn(line, "\n") + 1)
        text_addf(&t, "%.*s\n", (int)strcspn(line, "\n"), line);
    for (char *at = example; (at = strstr(at, "\n    ")) != NULL;)
        memmove(at + 1, at + 5, strlen(at + 5) + 1);
    write_text("p/our-own.category", example + 4);
    change(whole, "[protocol]", "us-2017, esh-2023", "our-own");
    load_one(&ps, whole);
    ck_assert_int_eq(ps.list[0]->schemes[0].band_count, 3);
    protocols_free(&ps);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("protocols_copied");
    TCase *c = tcase_create("protocols_copied");
    suite_add_tcase(s, c);
    tcase_set_timeout(c, 60);
    tcase_add_checked_fixture(c, setup, teardown);
    tcase_add_test(c, the_files_that_come_with_the_program_load_without_fault);
    tcase_add_test(c, the_files_that_come_with_the_program_give_every_key);
    tcase_add_test(c, the_files_that_come_with_the_program_depart_from_none_of_their_sources);
    tcase_add_test(c, the_files_that_come_with_the_program_say_their_own_choices_beside_what_is_published);
    tcase_add_test(c, what_is_published_has_its_position);
    tcase_add_test(c, every_source_names_its_body);
    tcase_add_test(c, the_text_kept_with_a_sitting_means_the_same_alone);
    tcase_add_test(c, a_text_without_what_it_leans_on_loads_without_it);
    tcase_add_test(c, a_copy_with_three_changed_values_shows_exactly_three_deviations);
    tcase_add_test(c, a_copy_keeps_its_base_and_left_out_items_in_its_text);
    tcase_add_test(c, a_copy_that_renames_its_items_leaves_out_each_of_them);
    tcase_add_loop_test(c, a_copy_tells_each_change_that_asks_less_or_says_otherwise, 0, (int)ARRAY_LEN(CHANGES));
    tcase_add_test(c, a_copy_with_words_of_its_own_under_its_own_source_is_as_it_says);
    tcase_add_test(c, a_number_without_a_source_is_held_against_what_is_published);
    tcase_add_test(c, an_older_kept_text_says_nothing_of_what_it_does_not_hold);
    tcase_add_test(c, a_kept_text_loads_as_a_file_and_stays_as_it_is);
    tcase_add_test(c, a_copy_finds_its_base_whatever_comes_first);
    tcase_add_test(c, a_protocol_may_hold_its_categories_itself);
    tcase_add_test(c, a_source_of_ones_own_needs_no_copy_of_the_whole_list);
    tcase_add_loop_test(c, what_a_protocol_leans_on_is_refused_by_file_line_and_reason, 0, (int)ARRAY_LEN(FAULTS));
    tcase_add_loop_test(c, positions_are_refused_by_file_line_and_reason_and_the_protocols_go_on, 0,
                        (int)ARRAY_LEN(POSITIONS));
    tcase_add_test(c, positions_are_listed_by_key_and_bodies_once);
    tcase_add_test(c, the_document_lists_every_key_as_the_program_has_it);
    tcase_add_test(c, the_documents_example_of_a_category_file_loads);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
