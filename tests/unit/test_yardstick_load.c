/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Yardstick files: each way to be wrong with file, line and reason, where they are looked for, and the one that came along. */
#include <math.h>

#include "config/yardstick_text.h"
#include "config_hand.h"

#define HEAD "[yardstick]\nid = own\ntitle = Our own\ncategories = us-2017\npairs = preceptors\n"
#define LEARNING \
    "[learning adequate]\nvalue = 0.1\nsource = OBS-5\nstatus = published\n" \
    "[learning inadequate]\nvalue = 0.25\nsource =\nstatus = judgement\n" \
    "[learning reach]\nvalue = 1.25\nsource = LEARN-1\nstatus = from memory\n" \
    "[learning lose]\nvalue = 2\nsource =\nstatus = judgement\n" \
    "[learning horizon]\nvalue = 50\nsource =\nstatus = judgement\n" \
    "[learning right-within]\nvalue = 4\nsource = OBS-7\nstatus = from memory\n"
#define CRITERIA \
    "[criterion enough]\nsay = pairs heard together\nof = pairs\nat-least = 30\nsource =\nstatus = judgement\n" \
    "[criterion bias]\nsay = too high or too low\nof = bias\nby = size\nat-most = 2.5\nsource =\nstatus = judgement\n" \
    "[criterion right]\nsay = right\nof = right\nby = low\nat-least = 0.75\nsource = OBS-5\nstatus = judgement\n" \
    "[criterion learnt]\nsay = learnt\nof = reached\nsource = LEARN-1\nstatus = published\n"
#define SOUND HEAD LEARNING CRITERIA

static char changed[8000], told[4000];
static struct yardsticks ys;
static struct protocols ps;

static void change(const char *from, const char *to)
{
    const char *at = strstr(SOUND, from);
    ck_assert_msg(at != NULL, "'%s' is not there", from);
    int n = snprintf(changed, sizeof changed, "%.*s%s%s", (int)(at - SOUND), SOUND, to, at + strlen(from));
    ck_assert_int_lt(n, (int)sizeof changed);
}

static void made(void)
{
    char site[128];
    setup();
    write_text("p/a.protocol", whole);
    write_text("criteria.ini", "[asks adequate OBS-5]\nvalue = 0.1\n");
    path_of("site", site);
    ck_assert_int_eq(setenv("STILLARM_SITE", site, 1), 0); /* not what whoever runs this has written */
    memset(&ps, 0, sizeof ps);
    memset(&ys, 0, sizeof ys);
    ck_assert_int_eq(load(&ps, NULL), ST_OK);
    ck_assert_msg(ps.fault_count == 0, "%s", all_faults(&ps));
}

static void freed(void)
{
    yardsticks_free(&ys);
    protocols_free(&ps);
    teardown();
}

static void folder(const char *name)
{
    char path[128];
    path_of(name, path);
    ck_assert_int_eq(mkdir(path, 0700), 0);
}

static enum status load_yardsticks(struct err *e)
{
    char path[128];
    path_of("p", path);
    yardsticks_free(&ys);
    return yardsticks_load(path, &ps, &ys, e);
}

static const char *faults(void)
{
    struct text t;
    text_init(&t, told, sizeof told);
    for (int i = 0; i < ys.fault_count; i++)
        text_addf(&t, "%s\n", ys.faults[i]);
    return told;
}

static bool is_told(const char *begin, const char *reason)
{
    for (int i = 0; i < ys.fault_count; i++)
        if (strncmp(ys.faults[i], begin, strlen(begin)) == 0 && strstr(ys.faults[i], reason))
            return true;
    return false;
}

static void near(double got, double want)
{
    ck_assert_msg(fabs(got - want) < 1e-12, "%.15g, not %.15g", got, want);
}

/* ---- what is read ---- */

START_TEST(a_yardstick_in_the_protocols_folder_is_read_whole)
{
    write_text("p/own.yardstick", SOUND);
    ck_assert_int_eq(load_yardsticks(NULL), ST_OK);
    ck_assert_msg(ys.fault_count == 0, "%s", faults());
    const struct yardstick *y = yardsticks_find(&ys, "own");
    ck_assert_ptr_nonnull(y);
    ck_assert_str_eq(y->title, "Our own");
    ck_assert_str_eq(y->categories, "us-2017");
    ck_assert(y->is_preceptor_only);
    near(y->plan.adequate, 0.1);
    near(y->plan.inadequate, 0.25);
    near(y->plan.reach, 1.25);
    near(y->plan.lose, 2);
    ck_assert_int_eq(y->plan.horizon, 50);
    ck_assert_int_eq(y->plan.right_within_mmhg, 4);
    near(y->false_reach_most, 0);
    near(y->false_loss_most, 0);
    ck_assert_str_eq(y->plan_origin[0].source, "OBS-5");
    ck_assert_int_eq(y->plan_origin[2].standing, STANDING_MEMORY);
    ck_assert_str_eq(y->plan_origin[5].source, "OBS-7");
    ck_assert_int_eq(y->criterion_count, 4);
    const struct criterion *c = y->criteria;
    ck_assert(c[0].about == ABOUT_RECORD && c[0].which == RECORD_PAIRS && c[0].by == BY_VALUE && !c[0].is_at_most);
    near(c[0].bound, 30);
    ck_assert(c[1].about == ABOUT_SIDE && c[1].which == FIGURE_BIAS && c[1].by == BY_SIZE && c[1].is_at_most);
    near(c[1].bound, 2.5);
    ck_assert(c[2].about == ABOUT_JOINT && c[2].which == FIGURE_RIGHT && c[2].by == BY_LOW && !c[2].is_at_most);
    ck_assert_str_eq(c[2].say, "right");
    ck_assert_str_eq(c[2].origin.source, "OBS-5");
    ck_assert(c[3].about == ABOUT_REACHED);
    ck_assert_int_eq(c[3].line, line_of(SOUND, "[criterion learnt]"));
}
END_TEST

START_TEST(heights_follow_from_how_often_the_curves_may_err)
{
    struct learning_rates rates;
    change("[learning reach]\nvalue = 1.25", "[learning false-reach-most]\nvalue = 0.05");
    char *lose = strstr(changed, "[learning lose]\nvalue = 2\n");
    ck_assert_ptr_nonnull(lose);
    char rest[4000];
    ck_assert(text_copy(rest, sizeof rest, lose + strlen("[learning lose]\nvalue = 2\n")));
    snprintf(lose, sizeof changed - (size_t)(lose - changed), "[learning false-loss-most]\nvalue = 0.02\n%s", rest);
    write_text("p/own.yardstick", changed);
    ck_assert_int_eq(load_yardsticks(NULL), ST_OK);
    const struct yardstick *y = yardsticks_find(&ys, "own");
    ck_assert_msg(y != NULL, "%s", faults());
    near(y->false_reach_most, 0.05);
    near(y->false_loss_most, 0.02);
    learning_rates(&y->plan, &rates);
    ck_assert(rates.false_reach <= 0.05 && rates.false_loss <= 0.02);
    struct learning_plan lower = y->plan;
    lower.reach -= 2e-6;
    lower.lose -= 2e-6;
    learning_rates(&lower, &rates);
    ck_assert(rates.false_reach > 0.05 && rates.false_loss > 0.02);
}
END_TEST

/* ---- faults ---- */

static const struct {
    const char *from, *to, *at, *reason, *why;
} FAULTS[] = {
    {"[yardstick]", "[yardsticks]", "[yardsticks]", "no such section", "unknown section"},
    {"[learning adequate]", "[yardstick]\n[learning adequate]", "[yardstick]\n[learning", "already, on line 1", "head twice"},
    {"id = own\n", "", "[yardstick]", "id is missing", "no id"},
    {"id = own", "id = o w n", "id = o w n", "id must be", "id with blanks"},
    {"title = Our own\n", "", "[yardstick]", "title is missing", "no title"},
    {"title = Our own", "title =", "title =\n", "title must be", "empty title"},
    {"title = Our own", "title = Our \x1B[2Jown", "title = Our", "control character", "escape sequence"},
    {"categories = us-2017", "categories = nowhere", "categories = nowhere", "no sound category scheme nowhere", "unknown scheme"},
    {"categories = us-2017", "categories = a, b", "categories = a, b", "one category scheme", "two schemes"},
    {"pairs = preceptors\n", "", "[yardstick]", "pairs is missing", "whose pairs"},
    {"pairs = preceptors", "pairs = friends", "pairs = friends", "preceptors or anybody", "unknown pairs"},
    {"pairs = preceptors", "pairs = preceptors\ncolour = red", "colour = red", "has no colour", "unknown name"},
    {"title = Our own", "title = Our own\ntitle = Theirs", "title = Theirs", "given already", "name twice"},
    {"[learning horizon]", "[learning speed]", "[learning speed]", "no such number", "unknown number"},
    {"[learning horizon]", "[learning]", "[learning]", "no such section", "number without a name"},
    {"[learning horizon]", "[learning lose]", "[learning lose]\nvalue = 50", "lose is there already", "number twice"},
    {"[learning horizon]\n", "[learning false-loss-most]\n", "[learning false-loss-most]", "lose is given already",
     "height and chance"},
    {"[learning lose]\nvalue = 2\nsource =\nstatus = judgement\n", "", "[yardstick]", "[learning lose] is missing", "no height"},
    {"[learning adequate]\nvalue = 0.1\nsource = OBS-5\nstatus = published\n", "", "[yardstick]",
     "[learning adequate] is missing", "no adequate"},
    {"value = 0.1\n", "value = 0\n", "value = 0\n", "0.001 to 0.999", "adequate of nought"},
    {"value = 0.1\n", "value = 1\n", "value = 1\n", "0.001 to 0.999", "adequate of one"},
    {"value = 0.25\n", "value = 0.1\n", "[learning inadequate]", "more than adequate", "no difference"},
    {"value = 0.1\n", "value = 10 %\n", "value = 10 %", "a number such as", "per cent"},
    {"value = 0.1\n", "value = 0,1\n", "value = 0,1", "a number such as", "comma"},
    {"value = 0.1\n", "value = .1\n", "value = .1", "a number such as", "nothing before the point"},
    {"value = 0.1\n", "value = 0.\n", "value = 0.", "a number such as", "nothing behind it"},
    {"value = 0.1\n", "value = 1e-1\n", "value = 1e-1", "a number such as", "exponent"},
    {"value = 0.1\n", "value = nan\n", "value = nan", "a number such as", "no number"},
    {"value = 0.1\n", "value = 0.1000001\n", "value = 0.1000001", "at most 6 decimals", "seven decimals"},
    {"value = 0.1\n", "value = 12345678\n", "value = 12345678", "a number such as", "eight digits"},
    {"value = 0.1\n", "value = 0.1 # share\n", "value = 0.1 #", "a comment has a line of its own", "comment behind"},
    {"value = 0.1\n", "", "[learning adequate]", "value is missing", "no value"},
    {"value = 1.25", "value = 0.001", "value = 0.001", "0.01 to 1000", "no height at all"},
    {"value = 50", "value = 401", "value = 401", "a whole number, 1 to 400", "horizon too far"},
    {"value = 50", "value = 0", "value = 0\n", "a whole number, 1 to 400", "no horizon"},
    {"value = 50", "value = 50.5", "value = 50.5", "a whole number", "half an answer"},
    {"value = 4\n", "value = -1\n", "value = -1", "0 to 40", "right within less than nought"},
    {"source = OBS-5", "source = OBS-99", "source = OBS-99", "no source OBS-99", "unknown source"},
    {"source = OBS-5", "source =", "source =\nstatus = published", "published needs a source", "published by nobody"},
    {"source = OBS-5", "source = OBS-7", "status = published", "from memory only", "published from memory"},
    {"status = published", "status = certain", "status = certain", "status is one of", "unknown status"},
    {"status = published\n", "", "[learning adequate]", "status is missing", "no status"},
    {CRITERIA, "", "[yardstick]", "no section [criterion ID]", "no criterion"},
    {"[criterion bias]", "[criterion enough]", "[criterion enough]\nsay = too", "enough is there already", "criterion twice"},
    {"[criterion bias]", "[criterion bi/as]", "[criterion bi/as]", "a criterion's id is", "odd id"},
    {"[criterion bias]", "[criterion]", "[criterion]", "no such section", "criterion without id"},
    {"say = right\n", "", "[criterion right]", "say is missing", "criterion that says nothing"},
    {"of = pairs", "of = charm", "of = charm", "nothing that can be judged", "unknown figure"},
    {"of = pairs\n", "", "[criterion enough]", "of is missing", "of what"},
    {"by = size", "by = sight", "by = sight", "by is one of", "unknown by"},
    {"of = pairs", "of = pairs\nby = low", "by = low", "pairs has no limits", "limit of a count"},
    {"of = right", "of = zero-p", "by = low", "zero-p has no limits", "limit of a chance"},
    {"of = right", "of = digit-chi", "by = low", "digit-chi has no limits", "limit of chi-square"},
    {"at-least = 30\n", "", "[criterion enough]", "one of the two", "no bound"},
    {"at-least = 30\n", "at-least = 30\nat-most = 40\n", "at-most = 40", "one of the two", "two bounds"},
    {"at-least = 30", "at-least = 30.5", "at-least = 30.5", "a whole number", "half a pair"},
    {"at-least = 30", "at-least = -1", "at-least = -1", "0 to 1000000", "fewer than none"},
    {"at-least = 0.75", "at-least = 75", "at-least = 75", "0 to 1 here", "share in per cent"},
    {"at-most = 2.5", "at-most = 301", "at-most = 301", "-300 to 300", "bias beyond any cuff"},
    {"of = reached", "of = reached\nat-least = 1", "at-least = 1\n", "has no at-least", "bound of a signal"},
    {"of = reached", "of = reached\nby = low", "by = low\nsource = LEARN-1", "has no by", "limit of a signal"},
};

START_TEST(a_yardstick_is_refused_by_file_line_and_reason)
{
    char begin[64];
    change(FAULTS[_i].from, FAULTS[_i].to);
    write_text("p/own.yardstick", changed);
    write_text("p/sound.yardstick", SOUND);
    ck_assert_int_eq(load_yardsticks(NULL), ST_OK);
    snprintf(begin, sizeof begin, "own.yardstick:%d: ", line_of(changed, FAULTS[_i].at));
    ck_assert_msg(is_told(begin, FAULTS[_i].reason), "%s: wanted %s%s, got\n%s", FAULTS[_i].why, begin, FAULTS[_i].reason,
                  faults());
    const struct yardstick *own = yardsticks_find(&ys, "own"); /* the others go on */
    ck_assert_ptr_nonnull(own);
    ck_assert_str_eq(own->title, "Our own");
    ck_assert_ptr_nonnull(yardsticks_find(&ys, YARDSTICK_USUAL));
    ck_assert_int_eq(ys.count, 2);
}
END_TEST

/* ---- published is what the source publishes ---- */

#define NEAR "[criterion near]\nsay = near\nof = near-5\n"
#define BEHIND SOUND NEAR

static const struct {
    const char *text, *at, *reason, *why;
} REFUSED[] = {
    {BEHIND "at-least = 0.50\nsource = OBS-5\nstatus = published\n", "at-least = 0.50",
     "OBS-5 publishes at least 0.9 for near-5, by value. Write that, or status = judgement.", "lower bound"},
    {BEHIND "at-least = 0.95\nsource = OBS-5\nstatus = published\n", "at-least = 0.95", "at least 0.9 for", "higher bound"},
    {BEHIND "at-most = 0.9\nsource = OBS-5\nstatus = published\n", "at-most = 0.9", "at least 0.9 for", "bound the other way"},
    {BEHIND "by = low\nat-least = 0.9\nsource = OBS-5\nstatus = published\n", "at-least = 0.9", "by value", "its limit"},
    {BEHIND "at-least = 0.9\nsource = OBS-1\nstatus = published\n", "at-least = 0.9",
     "criteria.ini has nothing that OBS-1 publishes for near-5", "source that says nothing of it"},
    {SOUND "[criterion been]\nsay = been\nof = reached\nsource = OBS-5\nstatus = published\n", "of = reached\nsource = OBS-5",
     "nothing that OBS-5 publishes for reached", "method of somebody else"},
};

START_TEST(another_bound_than_the_source_publishes_is_not_published)
{
    char begin[64];
    write_text("p/own.yardstick", REFUSED[_i].text);
    ck_assert_int_eq(load_yardsticks(NULL), ST_OK);
    snprintf(begin, sizeof begin, "own.yardstick:%d: ", line_of(REFUSED[_i].text, REFUSED[_i].at));
    ck_assert_msg(is_told(begin, REFUSED[_i].reason), "%s: wanted %s%s, got\n%s", REFUSED[_i].why, begin, REFUSED[_i].reason,
                  faults());
    ck_assert_ptr_null(yardsticks_find(&ys, "own"));
}
END_TEST

START_TEST(another_number_of_the_curve_than_the_source_publishes_is_not_published)
{
    char begin[64];
    change("value = 0.1\n", "value = 0.12\n");
    write_text("p/own.yardstick", changed);
    ck_assert_int_eq(load_yardsticks(NULL), ST_OK);
    snprintf(begin, sizeof begin, "own.yardstick:%d: ", line_of(changed, "value = 0.12"));
    ck_assert_msg(is_told(begin, "OBS-5 publishes 0.1 for adequate. Write that"), "%s", faults());
}
END_TEST

static const struct criterion *near_of(const char *rest)
{
    snprintf(changed, sizeof changed, BEHIND "%s", rest);
    write_text("p/own.yardstick", changed);
    ck_assert_int_eq(load_yardsticks(NULL), ST_OK);
    ck_assert_msg(ys.fault_count == 0, "%s", faults());
    return &yardsticks_find(&ys, "own")->criteria[4];
}

START_TEST(a_bound_of_judgement_carries_what_its_source_publishes)
{
    const struct criterion *c = near_of("at-least = 0.50\nsource = OBS-5\nstatus = judgement\n");
    ck_assert(c->has_published);
    near(c->published_bound, 0.9);
}
END_TEST

START_TEST(a_bound_that_is_the_published_one_carries_none)
{
    ck_assert(!near_of("at-least = 0.9\nsource = OBS-5\nstatus = published\n")->has_published);
    ck_assert(!near_of("at-least = 0.9\nsource = OBS-5\nstatus = judgement\n")->has_published);
    ck_assert(!near_of("at-least = 0.5\nsource =\nstatus = judgement\n")->has_published);
}
END_TEST

static const struct {
    const char *text;
    int line;
    const char *reason;
} LISTS[] = {
    {"[says near-5 OBS-5]\n", 1, "[asks SUBJECT SOURCE]"},
    {"[asks charm OBS-5]\nat-least = 1\n", 1, "nothing of this name"},
    {"[asks near-5]\nat-least = 1\n", 1, "[asks SUBJECT SOURCE]"},
    {"[asks near-5 OBS-99]\nat-least = 1\n", 1, "no source OBS-99"},
    {"[asks near-15 OBS-5]\n", 1, "a criterion at-least or at-most"},
    {"[asks near-15 OBS-5]\nvalue = 1\n", 1, "a criterion at-least or at-most"},
    {"[asks near-15 OBS-5]\nat-least = 1\nat-most = 1\n", 1, "a criterion at-least or at-most"},
    {"[asks horizon OBS-5]\nat-least = 1\n", 1, "learning curve has a value"},
    {"[asks reached LEARN-2]\nat-least = 1\n", 1, "reached none"},
    {"[asks near-15 OBS-5]\nat-least = 95\n", 2, "0 to 1 here"},
    {"[asks near-15 OBS-5]\nwho = we\n", 2, "has no who"},
    {"[asks sd OBS-5]\nat-most = 5\n[asks sd OBS-5]\nat-most = 5\n", 3, "known already"},
    {"[asks near-5 OBS-5]\nat-least = 0.5\n", 1, "what OBS-5 publishes for near-5 is known already"},
};

START_TEST(a_list_of_what_sources_publish_is_refused_by_line_and_reason)
{
    char begin[40];
    write_text("criteria.ini", LISTS[_i].text);
    ck_assert_int_eq(load_yardsticks(NULL), ST_OK);
    snprintf(begin, sizeof begin, "criteria.ini:%d: ", LISTS[_i].line);
    ck_assert_msg(is_told(begin, LISTS[_i].reason), "wanted %s, got\n%s", LISTS[_i].reason, faults());
    ck_assert_ptr_nonnull(yardsticks_find(&ys, YARDSTICK_USUAL)); /* the program's own list holds */
}
END_TEST

START_TEST(a_site_adds_what_another_source_publishes)
{
    write_text("criteria.ini", "[asks adequate OBS-5]\nvalue = 0.1\n[asks near-5 OBS-1]\nat-least = 0.92\n");
    ck_assert(!near_of("at-least = 0.92\nsource = OBS-1\nstatus = published\n")->has_published);
}
END_TEST

START_TEST(a_missing_head_is_told_at_the_end)
{
    write_text("p/own.yardstick", LEARNING CRITERIA);
    ck_assert_int_eq(load_yardsticks(NULL), ST_OK);
    ck_assert_msg(is_told("own.yardstick:", "[yardstick] is missing"), "%s", faults());
}
END_TEST

START_TEST(more_criteria_than_fit_are_refused)
{
    struct text t;
    char begin[40];
    text_init(&t, changed, sizeof changed);
    text_add(&t, HEAD LEARNING);
    for (int i = 0; i <= CRITERIA_MAX; i++)
        text_addf(&t, "[criterion c%d]\nsay = c\nof = pairs\nat-least = 1\nsource =\nstatus = judgement\n", i);
    ck_assert(!t.is_cut);
    write_text("p/own.yardstick", changed);
    ck_assert_int_eq(load_yardsticks(NULL), ST_OK);
    snprintf(begin, sizeof begin, "own.yardstick:%d: ", line_of(changed, "[criterion c24]"));
    ck_assert_msg(is_told(begin, "more than 24 criteria"), "%s", faults());
}
END_TEST

START_TEST(files_that_are_no_text_are_told)
{
    folder("p/folder.yardstick");
    write_text("p/empty.yardstick", "");
    write_bytes("p/nul.yardstick", "[yardstick]\nid = a\0b\n", 21);
    ck_assert_int_eq(load_yardsticks(NULL), ST_OK);
    ck_assert_msg(is_told("folder.yardstick:1: ", "no ordinary file"), "%s", faults());
    ck_assert_msg(is_told("empty.yardstick:1: ", "[yardstick] is missing"), "%s", faults());
    ck_assert_msg(is_told("nul.yardstick:2: ", "NUL byte"), "%s", faults());
}
END_TEST

/* ---- where they are looked for ---- */

START_TEST(a_sites_yardstick_goes_before_the_one_that_came_with_the_program)
{
    folder("yardsticks");
    change("id = own", "id = " YARDSTICK_USUAL);
    write_text("yardsticks/ours.yardstick", changed);
    ck_assert_int_eq(load_yardsticks(NULL), ST_OK);
    ck_assert_msg(ys.fault_count == 0, "%s", faults());
    ck_assert_int_eq(ys.count, 1);
    ck_assert_str_eq(yardsticks_find(&ys, YARDSTICK_USUAL)->title, "Our own");
}
END_TEST

START_TEST(what_lies_in_the_protocols_folder_goes_before_what_lies_beside_it)
{
    folder("yardsticks");
    change("title = Our own", "title = Beside");
    write_text("yardsticks/own.yardstick", changed);
    write_text("p/own.yardstick", SOUND);
    ck_assert_int_eq(load_yardsticks(NULL), ST_OK);
    ck_assert_str_eq(yardsticks_find(&ys, "own")->title, "Our own");
    ck_assert_int_eq(ys.fault_count, 0);
}
END_TEST

START_TEST(what_lies_in_the_sites_folder_goes_before_all)
{
    folder("site");
    folder("site/yardsticks");
    change("title = Our own", "title = The site's");
    write_text("site/yardsticks/own.yardstick", changed);
    write_text("p/own.yardstick", SOUND);
    ck_assert_int_eq(load_yardsticks(NULL), ST_OK);
    ck_assert_str_eq(yardsticks_find(&ys, "own")->title, "The site's");
    ck_assert_int_eq(ys.fault_count, 0);
}
END_TEST

START_TEST(a_folder_that_is_found_twice_tells_its_faults_once)
{
    folder("yardsticks");
    change("pairs = preceptors", "pairs = nobody");
    write_text("yardsticks/own.yardstick", changed);
    ck_assert_int_eq(setenv("STILLARM_SITE", dir, 1), 0); /* its yardsticks are those beside the protocols */
    ck_assert_int_eq(load_yardsticks(NULL), ST_OK);
    ck_assert_msg(ys.fault_count == 1, "%s", faults());
}
END_TEST

START_TEST(of_two_in_one_folder_with_one_id_the_first_is_kept)
{
    change("title = Our own", "title = Another");
    write_text("p/zwei.yardstick", changed);
    write_text("p/own.yardstick", SOUND);
    ck_assert_int_eq(load_yardsticks(NULL), ST_OK);
    ck_assert_msg(is_told("zwei.yardstick:2: ", "the id own is taken"), "%s", faults());
    ck_assert_str_eq(yardsticks_find(&ys, "own")->title, "Our own");
}
END_TEST

START_TEST(more_yardsticks_than_fit_are_told)
{
    char id[20], name[40];
    for (int i = 0; i <= YARDSTICKS_MAX; i++) {
        snprintf(id, sizeof id, "id = own%02d", i);
        snprintf(name, sizeof name, "p/own%02d.yardstick", i);
        change("id = own", id);
        write_text(name, changed);
    }
    ck_assert_int_eq(load_yardsticks(NULL), ST_OK);
    ck_assert_int_eq(ys.count, YARDSTICKS_MAX);
    ck_assert_msg(is_told("own16.yardstick:2: ", "more than 16 yardsticks"), "%s", faults());
}
END_TEST

START_TEST(a_text_is_parsed_alone_and_names_its_first_fault)
{
    struct yardstick y, before;
    struct err e = {.code = ST_OK};
    memset(&y, 0x5A, sizeof y);
    memcpy(&before, &y, sizeof y);
    change("value = 50", "value = 401");
    ck_assert_int_eq(yardstick_parse("kept", changed, NULL, 0, &y, NULL, NULL, &e), ST_RANGE);
    ck_assert_msg(strncmp(e.text, "kept:", 5) == 0 && strstr(e.text, "1 to 400"), "%s", e.text);
    ck_assert_int_eq(memcmp(&y, &before, sizeof y), 0);
    change("source = OBS-5", "source = OBS-99"); /* not looked up */
    ck_assert_int_eq(yardstick_parse("kept", changed, NULL, 0, &y, NULL, NULL, &e), ST_OK);
}
END_TEST

/* Pairs of which everything can be said. */
static void made_agreement(struct agreement *out)
{
    static struct agree_tally t;
    struct agree_subject subject[10];
    struct agree_frame frame = {.scheme = protocols_scheme(&ps, "us-2017"),
                                .plan = {.adequate = 0.1, .inadequate = 0.25, .reach = 1, .lose = 1, .horizon = 50}};
    memset(subject, 0, sizeof subject);
    agree_begin(&t, &frame);
    for (int i = 0; i < 60; i++) {
        const int64_t sys = 110 + 6 * (i % 10) + 2 * (i % 3), dia = 70 + 3 * (i % 10) + 2 * (i % 2);
        const int64_t off = 2 * (i % 4) - 2;
        const struct agree_pair pair = {.value = {{sys * 1000, (sys + off) * 1000}, {dia * 1000, (dia - off) * 1000}}};
        agree_add(&t, &subject[i % 10], &frame, &pair);
    }
    for (int i = 0; i < 10; i++)
        agree_close_subject(&t, &subject[i]);
    agreement_of(&t, out);
}

START_TEST(a_limit_can_be_judged_just_where_the_figure_has_one)
{
    static struct agreement a;
    static struct yardstick y;
    made_agreement(&a);
    for (int i = 0; i < SIDE_FIGURE_COUNT + JOINT_FIGURE_COUNT; i++) {
        const bool is_side = i < SIDE_FIGURE_COUNT;
        const struct figure_row *row = is_side ? &SIDE_FIGURES[i] : &JOINT_FIGURES[i - SIDE_FIGURE_COUNT];
        const struct figure *f =
            is_side ? &a.side[SIDE_SYSTOLIC].figure[i] : &a.joint[i - SIDE_FIGURE_COUNT];
        struct err e = {.code = ST_OK};
        ck_assert_msg(f->lack == LACK_NONE, "%s: %s", row->id, LACK_WORDS[f->lack]);
        snprintf(changed, sizeof changed, "%s%s[criterion c]\nsay = c\nof = %s\nby = low\nat-least = 1\nsource =\n"
                 "status = judgement\n", HEAD, LEARNING, row->id);
        const bool is_taken = yardstick_parse("name", changed, NULL, 0, &y, NULL, NULL, &e) == ST_OK;
        ck_assert_msg(is_taken == (f->limits_lack != LACK_LIMITS), "%s: %s; %s", row->id, LACK_WORDS[f->limits_lack],
                      e.text);
    }
}
END_TEST

/* ---- the one that came along ---- */

START_TEST(the_usual_yardstick_is_sound_and_asks_for_what_can_be_judged)
{
    ck_assert_int_eq(load_yardsticks(NULL), ST_OK);
    ck_assert_msg(ys.fault_count == 0, "%s", faults());
    const struct yardstick *y = yardsticks_find(&ys, YARDSTICK_USUAL);
    ck_assert_ptr_nonnull(y);
    ck_assert_ptr_nonnull(protocols_scheme(&ps, y->categories));
    ck_assert_int_gt(y->criterion_count, 5);
    for (int i = 0; i < y->criterion_count; i++) {
        const struct origin *o = &y->criteria[i].origin;
        ck_assert_msg(o->source[0] == '\0' || protocols_source(&ps, o->source), "%s", y->criteria[i].id);
    }
}
END_TEST

/* The lines that docs/yardstick-files.md shows as a whole file, indented by four. */
START_TEST(the_example_that_is_documented_is_sound)
{
    static char docs[FILE_BYTES];
    struct text t;
    struct err e = {.code = ST_OK};
    struct yardstick y;
    read_file(TEST_SOURCE_DIR "/docs/yardstick-files.md", docs);
    const char *at = strstr(docs, "    # A site's own."), *end = at ? strstr(at, "\n### ") : NULL;
    ck_assert(end != NULL);
    text_init(&t, changed, sizeof changed);
    for (; at < end; at += strcspn(at, "\n") + 1)
        if (strncmp(at, "    ", 4) == 0)
            text_add_bytes(&t, at + 4, strcspn(at + 4, "\n") + 1);
    ck_assert(!t.is_cut);
    ck_assert_msg(yardstick_parse("docs", changed, ps.sources, ps.source_count, &y, NULL, NULL, &e) == ST_OK, "%s", e.text);
    ck_assert_int_eq(y.criterion_count, 2);
}
END_TEST

START_TEST(names_of_what_can_be_judged_are_told_apart)
{
    const char *names[RECORD_COUNT + SIDE_FIGURE_COUNT + JOINT_FIGURE_COUNT + 1];
    int n = 0;
    for (int i = 0; i < RECORD_COUNT; i++)
        names[n++] = RECORD_WORDS[i];
    for (int i = 0; i < SIDE_FIGURE_COUNT; i++)
        names[n++] = SIDE_FIGURES[i].id;
    for (int i = 0; i < JOINT_FIGURE_COUNT; i++)
        names[n++] = JOINT_FIGURES[i].id;
    names[n++] = "reached";
    for (int i = 0; i < n; i++)
        for (int k = 0; k < i; k++)
            ck_assert_msg(strcmp(names[i], names[k]) != 0, "%s is there twice", names[i]);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("yardstick_load");
    TCase *core = tcase_create("core");
    tcase_add_checked_fixture(core, made, freed);
    tcase_set_timeout(core, 60);
    tcase_add_test(core, a_yardstick_in_the_protocols_folder_is_read_whole);
    tcase_add_test(core, heights_follow_from_how_often_the_curves_may_err);
    tcase_add_loop_test(core, a_yardstick_is_refused_by_file_line_and_reason, 0, (int)ARRAY_LEN(FAULTS));
    tcase_add_loop_test(core, another_bound_than_the_source_publishes_is_not_published, 0, (int)ARRAY_LEN(REFUSED));
    tcase_add_test(core, another_number_of_the_curve_than_the_source_publishes_is_not_published);
    tcase_add_test(core, a_bound_of_judgement_carries_what_its_source_publishes);
    tcase_add_test(core, a_bound_that_is_the_published_one_carries_none);
    tcase_add_loop_test(core, a_list_of_what_sources_publish_is_refused_by_line_and_reason, 0, (int)ARRAY_LEN(LISTS));
    tcase_add_test(core, a_site_adds_what_another_source_publishes);
    tcase_add_test(core, a_missing_head_is_told_at_the_end);
    tcase_add_test(core, more_criteria_than_fit_are_refused);
    tcase_add_test(core, files_that_are_no_text_are_told);
    tcase_add_test(core, a_sites_yardstick_goes_before_the_one_that_came_with_the_program);
    tcase_add_test(core, what_lies_in_the_protocols_folder_goes_before_what_lies_beside_it);
    tcase_add_test(core, what_lies_in_the_sites_folder_goes_before_all);
    tcase_add_test(core, a_folder_that_is_found_twice_tells_its_faults_once);
    tcase_add_test(core, of_two_in_one_folder_with_one_id_the_first_is_kept);
    tcase_add_test(core, more_yardsticks_than_fit_are_told);
    tcase_add_test(core, a_text_is_parsed_alone_and_names_its_first_fault);
    tcase_add_test(core, a_limit_can_be_judged_just_where_the_figure_has_one);
    tcase_add_test(core, the_usual_yardstick_is_sound_and_asks_for_what_can_be_judged);
    tcase_add_test(core, the_example_that_is_documented_is_sound);
    tcase_add_test(core, names_of_what_can_be_judged_are_told_apart);
    suite_add_tcase(suite, core);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
