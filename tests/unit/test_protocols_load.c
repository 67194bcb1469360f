/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Each way in which a protocol file can be wrong: file, line and reason, and the sound ones go on. */
#include "config_hand.h"

/* from in the sound file becomes to; the fault stands on the line where `at` is in the changed file. */
static const struct {
    const char *from, *to, *at, *reason, *why;
} FAULTS[] = {
    {"[key rest_s]", "[keys rest_s]", "[keys rest_s]", "no such section", "unknown section"},
    {"[key rest_s]", "[key rest]", "[key rest]", "no key of this name", "unknown key"},
    {"[key rest_s]\nvalue = 300\nsource = REST-1\nstatus = published\n", "", NULL, "the key rest_s is missing",
     "missing key, on the last line"},
    {"[protocol]", "[protocols]", "[protocols]", "no such section", "no head"},
    {"id = us-adult\n", "", "[protocol]", "id is missing", "missing id"},
    {"id = us-adult", "id = us adult", "id = us adult", "id must be", "id with a blank"},
    {"title = Adult, United States\n", "title =\n", "title =\n", "title must be a text", "empty title"},
    {"value = 300\n", "", "[key rest_s]", "value is missing", "missing value"},
    {"status = published\n", "", "[key rest_s]", "status is missing", "missing status"},
    {"source = REST-1\n", "", "[key rest_s]", "source is missing", "missing source"},
    {"value = 300", "value = 3601", "value = 3601", "rest_s is 3601; it may be 0 to 3600", "one above its bound"},
    {"value = 300", "value = -1", "value = -1", "it may be 0 to 3600", "one below its bound"},
    {"value = 300", "value = 1000000000000000000000000000000", "value = 1000", "it may be 0 to 3600", "10^30"},
    {"value = 300", "value = five minutes", "value = five", "whole number", "a number in words"},
    {"value = 300", "value = 5 min", "value = 5 min",
     "rest_s is `5 min`; it must be a whole number alone, without needless zeros. Its unit, s, is not written.", "a unit"},
    {"value = 300", "value = 120   # our number", "value = 120",
     "Its unit, s, is not written. Nothing stands behind it: a comment has a line of its own.", "comment behind a number"},
    {"value = all", "value = all # ours", "value = all #", "a comment has a line of its own", "comment behind a word"},
    {"status = published", "status = published # so", "status = published #", "a comment has a line of its own",
     "comment behind a status"},
    {"source = REST-1", "source = REST-1 # so", "source = REST-1 #", "a comment has a line of its own",
     "comment behind a source"},
    {"waivable = yes", "waivable = yes # so", "waivable = yes #", "a comment has a line of its own", "comment behind a yes"},
    {"group = 1\n", "group = 1 # so\n", "group = 1 #", "a comment has a line of its own", "comment behind a group"},
    {"value = 300", "value = 300.0", "value = 300.0", "whole number", "decimals"},
    {"value = 300", "value = 0300", "value = 0300", "whole number", "leading zero"},
    {"value = 300", "value =", "value =\n", "whole number", "empty value"},
    {"value = all", "value = some", "value = some", "all, last-two, without-first, lower-of-last-two", "unknown word"},
    {"value = 300", "value = 300\nvalue = 300", "value = 300\nsource", "given already, on line", "field twice"},
    {"value = 300", "value = 300\nvalues = 300", "values = 300", "this section has no values", "unknown field"},
    {"[key rest_valid_s]", "[key rest_s]\nvalue = 300\nsource = REST-1\nstatus = published\n[key rest_valid_s]",
     "[key rest_s]\nvalue = 300\nsource = REST-1\nstatus = published\n[key", "there already, on line", "key twice"},
    {"[key rest_s]", "[protocol]\n[key rest_s]", "[protocol]\n[key", "there already, on line", "head twice"},
    {"[item kit.clean]", "[item kit.zero]", "[item kit.zero]\nsay = Cuff", "there already, on line", "item twice"},
    {"[item kit.clean]", "[item box.clean]", "[item box.clean]", "begins with no step", "item of no step"},
    {"[item kit.clean]", "[item kit.clean!]", "[item kit.clean!]", "an item's id is", "item with an odd id"},
    {"[item kit.clean]", "[item ]", "[item ]", "an item's id is", "item without id"},
    {"status = published", "status = proven", "status = proven", "published, common practice", "bad status word"},
    {"source = REST-1", "source = REST-99", "source = REST-99", "no source REST-99", "unknown source"},
    {"source = REST-1", "source =", "source =\n", "published needs a source", "published by nobody"},
    {"source = REST-1", "source = REST-3", "status = published", "from memory only", "published, known from memory"},
    {"cost_source = ERR-3\n", "cost_source = ERR-99\n", "cost_source = ERR-99", "no source ERR-99",
     "unknown source of a cost"},
    {"cost_source = ERR-3\n", "", "[item ready.caffeine]", "source's id", "cost without its source"},
    {"cost = Caffeine shortly before reads 3 to 14 mmHg high.\n", "", "cost_source = ERR-3", "no cost for this",
     "source of no cost"},
    {"group = 1\n", "group = 0\n", "group = 0", "group must be", "group zero"},
    {"group = 1\n", "", "[item ready.caffeine]", "group is missing", "no group"},
    {"waivable = yes", "waivable = maybe", "waivable = maybe", "yes or no", "neither yes nor no"},
    {"quiet = yes", "quiet = YES", "quiet = YES", "yes or no", "capitals"},
    {"arms.few", "rest.short", "waivable = cuff", "no rule that may be passed over", "a rule that may not"},
    {"arms.few", "no.rule", "waivable = cuff", "no rule that may be passed over", "a rule that is none"},
    {"arms.few", "cuff.too-small", "waivable = cuff", "twice", "a rule twice"},
    {"critical = rest.missing", "critical = value.odd", "critical = value.odd", "no rule whose lapse a witness can see",
     "a critical rule that is never a lapse"},
    {"critical = rest.missing", "critical = no.rule", "critical = no.rule", "no rule whose lapse a witness can see",
     "a critical rule that is none"},
    {"critical = rest.missing", "critical = rest.short", "critical = rest.short", "twice", "a critical rule twice"},
    {"critical = yes", "critical = very", "critical = very", "yes or no", "an item more than critical"},
    {"title = Adult", "title = \xFF" "Adult", "title = \xFF", "not valid UTF-8", "invalid UTF-8"},
    {"# Adults", "# \xC3(", "# \xC3(", "not valid UTF-8", "invalid UTF-8 in a comment"},
    {"title = Adult", "title = A\x1B[2Jdult", "title = A\x1B", "control character", "escape sequence"},
    {"title = Adult", "title = A\rdult", "title = A\r", "control character", "carriage return inside"},
    {"title = Adult", "title = A\xE2\x80\xAE" "dult", "title = A\xE2", "control character", "change of direction"},
    {"title = Adult, United States", "title = Adult, United States, and a good deal more than eighty bytes of it, as a title never is",
     "title = Adult", "1 to 79 bytes", "title too long for its place"},
    {"[key rest_s]", "[key rest_s", "[key rest_s\n", "a section is a line such as", "section not closed"},
    {"[key rest_s]", "[key rest_s] # five minutes", "[key rest_s] #", "nothing behind it", "text behind a section"},
    {"[key rest_s]", "[key rest_s and a name of more than forty-nine bytes]", "[key rest_s and", "too long",
     "section name that would be cut"},
    {"value = 300", "value 300", "value 300", "NAME = VALUE", "no equals sign"},
    {"value = 300", "value: 300", "value: 300", "NAME = VALUE", "colon"},
    {"value = 300", "= 300", "= 300", "before = is missing", "no name"},
    {"value = 300", "a_name_that_is_longer_than_forty_nine_bytes_altogether = 300", "a_name", "too long",
     "name that would be cut"},
    {"value = 300", "value = 300 ; seconds", "value = 300 ;", "comment its own line", "comment behind a value"},
    {"value = 300", "value = 300\n  more", "value = 300", "whole number", "number over two lines"},
    {"# Adults", "id = us-adult\n# Adults", "id = us-adult\n#", "before the first section", "before any section"},
    {"[key margin_mmhg]\nvalue = 30", "[key margin_mmhg]\nvalue = 31", "[key margin_mmhg]", "margin_mmhg is 31 and must be even",
     "odd margin"},
    {"[key interval_min_s]\nvalue = 60", "[key interval_min_s]\nvalue = 180", "[key interval_min_s]",
     "must lie at or below interval_max_s", "interval upside down"},
    {"value = circumference", "value = index", "[key cuff_by]", "cuff.index is missing", "index without its item"},
    {"[item kit.zero]", "[item kit.null]", NULL, "kit.zero is missing", "no look at the needle"},
};

START_TEST(protocols_load_names_file_line_and_reason)
{
    static char changed[FILE_BYTES];
    char begin[64];
    struct protocols ps;
    struct err e = {.text = ""};
    replaced(changed, FAULTS[_i].from, FAULTS[_i].to);
    write_text("p/a-changed.protocol", changed);
    write_text("p/sound.protocol", whole);
    int lines = 0;
    for (const char *c = changed; *c; c++)
        lines += *c == '\n';
    snprintf(begin, sizeof begin, "a-changed.protocol:%d: ", FAULTS[_i].at ? line_of(changed, FAULTS[_i].at) : lines);
    ck_assert_int_eq(load(&ps, &e), ST_OK);
    ck_assert_msg(has_fault(&ps, begin, FAULTS[_i].reason), "%s: wanted %s ... %s, got\n%s", FAULTS[_i].why, begin,
                  FAULTS[_i].reason, all_faults(&ps));
    ck_assert_int_eq(ps.count, 1);
    ck_assert_ptr_nonnull(strstr(ps.path[0], "/sound.protocol"));
    ck_assert_int_eq(strncmp(ps.text[0], whole, strlen(whole)), 0);
    protocols_free(&ps);
}
END_TEST

START_TEST(protocols_load_refuses_lines_that_would_be_cut)
{
    static char changed[FILE_BYTES];
    for (int n = 185; n < 230; n++) {
        char to[300], at[32];
        struct protocols ps;
        snprintf(to, sizeof to, "based_on = %.*s", n,
                 "a line that goes on and on and on and on and on and on and on and on and on and on and on and on and on "
                 "and on and on and on and on and on and on and on and on and on and on and on and on and on and on and on");
        replaced(changed, "based_on = ", "");
        replaced(changed, "based_on = ACC/AHA 2017 for the readings; AHA 2005 for the release and the extra reading", to);
        write_text("p/a.protocol", changed);
        snprintf(at, sizeof at, "a.protocol:%d: ", line_of(changed, "based_on"));
        ck_assert_int_ne(load(&ps, NULL), ST_OK);
        ck_assert_msg(has_fault(&ps, at, strlen(to) > 198 ? "longer than 198 bytes" : "1 to 159 bytes"), "%d\n%s", n,
                      all_faults(&ps));
        protocols_free(&ps);
    }
}
END_TEST

START_TEST(protocols_load_joins_an_indented_line_to_the_text_above)
{
    static char changed[FILE_BYTES];
    struct protocols ps;
    replaced(changed, "title = Adult, United States", "title = Adult,\n   United\n\tStates");
    write_text("p/a.protocol", changed);
    ck_assert_int_eq(load(&ps, NULL), ST_OK);
    ck_assert_int_eq(ps.fault_count, 0);
    ck_assert_str_eq(ps.list[0]->title, "Adult, United States");
    protocols_free(&ps);
}
END_TEST

/* What editors do to a file and what must not matter. */
START_TEST(protocols_load_reads_crlf_and_a_byte_order_mark)
{
    static char changed[2 * FILE_BYTES];
    struct protocols plain, edited;
    char *to = changed;
    to += sprintf(to, "\xEF\xBB\xBF");
    for (const char *c = whole; *c; c++) {
        if (*c == '\n')
            *to++ = '\r';
        *to++ = *c;
    }
    to[-2] = '\0'; /* the last line has no end at all */
    write_text("p/a.protocol", whole);
    ck_assert_int_eq(load(&plain, NULL), ST_OK);
    write_text("p/a.protocol", changed);
    ck_assert_int_eq(load(&edited, NULL), ST_OK);
    ck_assert_int_eq(edited.fault_count, 0);
    ck_assert_int_eq(memcmp(plain.list[0], edited.list[0], sizeof *plain.list[0]), 0);
    protocols_free(&plain);
    protocols_free(&edited);
}
END_TEST

START_TEST(protocols_load_refuses_a_nul_byte)
{
    struct protocols ps;
    char *at = strstr(whole, "[key settle_s]");
    char begin[40];
    snprintf(begin, sizeof begin, "a.protocol:%d: ", line_of(whole, "[key settle_s]"));
    size_t n = strlen(whole);
    *at = '\0';
    write_bytes("p/a.protocol", whole, n);
    ck_assert_int_ne(load(&ps, NULL), ST_OK);
    ck_assert_msg(has_fault(&ps, begin, "NUL byte"), "%s", all_faults(&ps));
    protocols_free(&ps);
}
END_TEST

START_TEST(protocols_load_keeps_the_first_of_two_with_one_id)
{
    static char other[FILE_BYTES];
    struct protocols ps;
    char begin[40];
    write_text("p/a.protocol", whole);
    replaced(other, "title = Adult", "title = Another");
    write_text("p/b.protocol", other);
    snprintf(begin, sizeof begin, "b.protocol:%d: ", line_of(other, "id = us-adult"));
    ck_assert_int_eq(load(&ps, NULL), ST_OK);
    ck_assert_int_eq(ps.count, 1);
    ck_assert_str_eq(ps.list[0]->title, "Adult, United States");
    ck_assert_msg(has_fault(&ps, begin, "the id us-adult is taken by a.protocol"), "%s", all_faults(&ps));
    protocols_free(&ps);
}
END_TEST

START_TEST(protocols_load_leaves_out_what_is_more_than_it_holds)
{
    static char other[FILE_BYTES];
    struct protocols ps;
    for (int i = 0; i <= PROTOCOLS_MAX; i++) {
        char id[32], name[32];
        snprintf(id, sizeof id, "id = site-%02d", i);
        snprintf(name, sizeof name, "p/%02d.protocol", i);
        replaced(other, "id = us-adult", id);
        write_text(name, other);
    }
    ck_assert_int_eq(load(&ps, NULL), ST_OK);
    ck_assert_int_eq(ps.count, PROTOCOLS_MAX);
    ck_assert_int_eq(ps.fault_count, 1);
    ck_assert(has_fault(&ps, "16.protocol:", "more than 16 protocols"));
    protocols_free(&ps);
}
END_TEST

START_TEST(protocols_load_tells_every_fault_of_a_file)
{
    struct protocols ps;
    int needed = 3; /* title, region and based_on, and each key that has to be there */
    for (int i = 0; i < KEY_COUNT; i++)
        needed += !PROTOCOL_KEYS[i].is_optional;
    write_text("p/a.protocol", "[protocol]\nid = a\n");
    ck_assert_int_eq(load(&ps, NULL), ST_SYNTAX);
    ck_assert_int_eq(ps.fault_count, needed);
    protocols_free(&ps);
}
END_TEST

START_TEST(protocols_load_survives_files_that_are_none)
{
    struct protocols ps;
    struct err e = {.text = ""};
    char path[128];
    write_text("p/empty.protocol", "");
    path_of("p/folder.protocol", path);
    ck_assert_int_eq(mkdir(path, 0700), 0);
    path_of("p/pipe.protocol", path);
    ck_assert_int_eq(mkfifo(path, 0600), 0);
    path_of("p/gone.protocol", path);
    ck_assert_int_eq(symlink("/nonexistent", path), 0);
    write_text("p/notes.txt", "not read");
    write_text("p/.hidden.protocol", "not read");
    write_text("p/sound.protocol", whole);
    ck_assert_int_eq(load(&ps, &e), ST_OK);
    ck_assert_int_eq(ps.count, 1);
    ck_assert(has_fault(&ps, "empty.protocol:1: ", "missing"));
    ck_assert(has_fault(&ps, "folder.protocol:1: ", "no ordinary file"));
    ck_assert(has_fault(&ps, "pipe.protocol:1: ", "no ordinary file"));
    ck_assert(has_fault(&ps, "gone.protocol:1: ", "cannot be opened"));
    protocols_free(&ps);
}
END_TEST

START_TEST(protocols_load_refuses_a_file_without_end)
{
    static char big[1100000];
    struct protocols ps;
    memset(big, '#', sizeof big);
    write_bytes("p/big.protocol", big, sizeof big);
    ck_assert_int_eq(load(&ps, NULL), ST_SYNTAX);
    ck_assert(has_fault(&ps, "big.protocol:1: ", "larger than 1 MB"));
    protocols_free(&ps);
}
END_TEST

START_TEST(protocols_load_says_when_there_is_nothing)
{
    struct protocols ps;
    struct err e = {.text = ""};
    ck_assert_int_eq(load(&ps, &e), ST_NOT_FOUND);
    ck_assert_ptr_nonnull(strstr(e.text, "--protocol-dir"));
    protocols_free(&ps);
    ck_assert_int_eq(protocols_load("/nonexistent/folder", &ps, &e), ST_NOT_FOUND);
    ck_assert_ptr_nonnull(strstr(e.text, "/nonexistent/folder"));
    protocols_free(&ps);
    write_text("p/a.protocol", "nonsense");
    ck_assert_int_eq(load(&ps, &e), ST_SYNTAX);
    ck_assert_ptr_nonnull(strstr(e.text, "a.protocol:1: "));
    protocols_free(&ps);
}
END_TEST

START_TEST(protocols_load_falls_back_on_the_sources_it_came_with)
{
    struct protocols ps;
    char path[128];
    path_of("sources.ini", path);
    ck_assert_int_eq(unlink(path), 0);
    write_text("p/a.protocol", whole);
    ck_assert_int_eq(load(&ps, NULL), ST_OK);
    ck_assert_int_eq(ps.fault_count, 0);
    ck_assert_ptr_nonnull(protocols_source(&ps, "REST-1"));
    ck_assert_str_eq(protocols_source(&ps, "REST-1")->seen, "seen");
    ck_assert_ptr_null(protocols_source(&ps, "REST-99"));
    protocols_free(&ps);
}
END_TEST

START_TEST(protocols_load_tells_faults_of_the_sources)
{
    static const struct { const char *text, *begin, *reason; } ROWS[] = {
        {"[A-1]\ntitle = x\n", "sources.ini:1: ", "no seen"},
        {"[A-1]\nseen = seen\n", "sources.ini:1: ", "no title"},
        {"[A-1]\ntitle = x\nseen = perhaps\n", "sources.ini:3: ", "seen is one of"},
        {"[A-1]\ntitle = x\nseen = seen\n[A-1]\n", "sources.ini:4: ", "twice"},
        {"[A-1]\ntitle = x\ntitle = y\nseen = seen\n", "sources.ini:3: ", "title is given twice"},
        {"[A-1]\ntitle = x\nseen = seen\nyear = 2017\n", "sources.ini:4: ", "not year"},
        {"[A-1]\ntitle = x\nseen = seen\nbody = x\nbody = y\n", "sources.ini:5: ", "body is given twice"},
        {"[A 1]\ntitle = x\nseen = seen\n", "sources.ini:1: ", "id is 1 to 32"},
        {"[A-1]\ntitle = \xFF\nseen = seen\n", "sources.ini:2: ", "UTF-8"},
    };
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        struct protocols ps;
        write_text("sources.ini", ROWS[i].text);
        write_text("p/a.protocol", whole);
        ck_assert_int_eq(load(&ps, NULL), ST_OK); /* what this list lacks is in the one that came with the program */
        ck_assert_msg(has_fault(&ps, ROWS[i].begin, ROWS[i].reason), "row %zu:\n%s", i, all_faults(&ps));
        protocols_free(&ps);
    }
}
END_TEST

START_TEST(protocols_load_puts_no_odd_file_name_on_a_screen)
{
    struct protocols ps;
    write_text("p/\x1B[2J.protocol", "nonsense");
    write_text("p/a.protocol", whole);
    ck_assert_int_eq(load(&ps, NULL), ST_OK);
    ck_assert_int_gt(ps.fault_count, 0);
    for (int i = 0; i < ps.fault_count; i++)
        ck_assert(is_plain_text(ps.faults[i], 399));
    protocols_free(&ps);
}
END_TEST

static void count_fault(void *user, const char *fault)
{
    ck_assert(is_plain_text(fault, 399));
    ++*(int *)user;
}

START_TEST(protocol_parse_reads_a_snapshot)
{
    struct protocol p, q;
    struct err e = {.text = ""};
    int n = 0;
    memset(&p, 0, sizeof p);
    ck_assert_int_eq(protocol_parse("snapshot", whole, &p, count_fault, &n, &e), ST_OK);
    ck_assert_int_eq(n, 0);
    ck_assert_str_eq(p.id, "us-adult");
    q = p;
    ck_assert_int_eq(protocol_parse("snapshot", "[key", &q, count_fault, &n, &e), ST_SYNTAX);
    ck_assert_int_gt(n, 30); /* each key that has to be there */
    ck_assert_int_eq(memcmp(&p, &q, sizeof p), 0);
    ck_assert_int_eq(strncmp(e.text, "snapshot:1: ", 12), 0);
    ck_assert_int_eq(protocol_parse("snapshot", "", &q, NULL, NULL, NULL), ST_SYNTAX);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("protocols_load");
    TCase *c = tcase_create("protocols_load");
    suite_add_tcase(s, c);
    tcase_set_timeout(c, 60);
    tcase_add_checked_fixture(c, setup, teardown);
    tcase_add_loop_test(c, protocols_load_names_file_line_and_reason, 0, (int)ARRAY_LEN(FAULTS));
    tcase_add_test(c, protocols_load_refuses_lines_that_would_be_cut);
    tcase_add_test(c, protocols_load_joins_an_indented_line_to_the_text_above);
    tcase_add_test(c, protocols_load_reads_crlf_and_a_byte_order_mark);
    tcase_add_test(c, protocols_load_refuses_a_nul_byte);
    tcase_add_test(c, protocols_load_keeps_the_first_of_two_with_one_id);
    tcase_add_test(c, protocols_load_leaves_out_what_is_more_than_it_holds);
    tcase_add_test(c, protocols_load_tells_every_fault_of_a_file);
    tcase_add_test(c, protocols_load_survives_files_that_are_none);
    tcase_add_test(c, protocols_load_refuses_a_file_without_end);
    tcase_add_test(c, protocols_load_says_when_there_is_nothing);
    tcase_add_test(c, protocols_load_falls_back_on_the_sources_it_came_with);
    tcase_add_test(c, protocols_load_tells_faults_of_the_sources);
    tcase_add_test(c, protocols_load_puts_no_odd_file_name_on_a_screen);
    tcase_add_test(c, protocol_parse_reads_a_snapshot);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
