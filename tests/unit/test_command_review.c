/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_command_review.c  The review desk, in process: pages asked for keys by a script, what is signed read back. */
#include <check.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "command/held.h"
#include "command/home_desk.h"
#include "command/review.h"
#include "command/review_load.h"
#include "command/session.h"
#include "stillarm/text.h"
#include "terminal/clock.h"

#define ESC "\x1b"
#define PIN "stone 7 walks"
#define AT "2031-03-02T14:00:00+00:00"
#define BEGUN_UNIX_MS INT64_C(1930226400000)

/* ---- the clock, moved by scripts ---- */

static int64_t now_ms;

int64_t clock_boot_ms(void) { return 1000000 + now_ms; }
int64_t clock_awake_ms(void) { return 1000000 + now_ms; }
int64_t clock_unix_ms(void) { return BEGUN_UNIX_MS + now_ms; }
void clock_boot_id(char out[40]) { text_copy(out, 40, "moved-by-a-test"); }
void clock_set_speed(int factor) { (void)factor; }
int32_t clock_day(int64_t unix_ms) { return unix_ms < 0 ? 0 : 20310302; }

void clock_stamp(int64_t unix_ms, char *out, size_t cap)
{
    int64_t s = (unix_ms - BEGUN_UNIX_MS) / 1000;
    snprintf(out, cap, "2031-03-02T%02d:%02d:%02d+00:00", (int)(14 + s / 3600), (int)(s / 60 % 60), (int)(s % 60));
}

void clock_hhmm(int64_t unix_ms, char out[8])
{
    (void)unix_ms;
    text_copy(out, 8, "14:00");
}

bool clock_wait(int fd, int64_t until_ms)
{
    (void)fd;
    (void)until_ms;
    return false;
}

/* ---- the store ---- */

static struct protocols loaded;
static char folder[64], path[96];
static struct workplace w;
static struct ui ui;
static int kept_stdout;

static void must(enum status status, const struct err *e)
{
    ck_assert_msg(status == ST_OK, "%s", e->text);
}

static struct pin *pin_of(const char *typed)
{
    struct pin *p = NULL;
    struct err e = { 0 };
    must(pin_new(&p, &e), &e);
    for (; *typed; typed++)
        ck_assert(pin_add(p, (unsigned char)*typed));
    return p;
}

static void add_person(const char *id, enum person_role role)
{
    struct person who = { .role = role };
    struct err e = { 0 };
    text_copy(who.id, sizeof who.id, id);
    text_copy(who.name, sizeof who.name, id);
    must(store_person_add(w.store, &who, &e), &e);
}

static struct signer *begin_key(const char *id)
{
    struct signer *s = NULL;
    struct pin *p = pin_of(PIN);
    struct err e = { 0 };
    must(store_key_begin(w.store, id, p, AT, &s, &e), &e);
    pin_free(p);
    return s;
}

static struct signer *unlock(const char *id)
{
    struct signer *s = NULL;
    struct pin *p = pin_of(PIN);
    struct moment m = { .unix_ms = clock_unix_ms(), .boot_ms = clock_boot_ms(), .boot = "moved-by-a-test" };
    struct err e = { 0 };
    int32_t wait_s = 0;
    must(store_unlock(w.store, id, p, &m, &s, &wait_s, &e), &e);
    pin_free(p);
    return s;
}

static void act_as(const char *person, const struct act *a)
{
    struct signer *s = unlock(person);
    struct err e = { 0 };
    must(store_act(w.store, a, s, &e), &e);
    signer_free(s);
}

static void add_preceptor(const char *id, const char *voucher)
{
    struct signer *own, *hers;
    struct err e = { 0 };
    add_person(id, ROLE_PRECEPTOR);
    own = begin_key(id);
    if (voucher) {
        hers = unlock(voucher);
        must(store_act(w.store, &(struct act){ .kind = SAYS_VOUCH, .of = id, .at = AT }, hers, &e), &e);
        signer_free(hers);
    }
    signer_free(own);
}

static void try_line(struct session *x, const char *line)
{
    struct event ev;
    struct refusal why = { 0 };
    struct err e = { 0 };
    ck_assert_int_eq(event_parse(line, strlen(line), &ev, NULL), PARSED_EVENT);
    ck_assert_msg(session_try(x, &ev, &why, &e) == SESSION_ACCEPTED, "%s: %s %s", line, why.sentence, e.text);
}

/* An open sitting of a measurer; with a witness it is an assessment. */
static int64_t begin_sitting(const char *measurer, const char *witness, struct session *x)
{
    char line[80];
    session_begin(x, w.store, &loaded);
    try_line(x, "0.000 protocol us-adult");
    try_line(x, "0.000 date \"2031-03-02T14:00:00+00:00\"");
    snprintf(line, sizeof line, "0.000 measurer %s", measurer);
    try_line(x, line);
    try_line(x, "0.000 subject k7-031");
    try_line(x, "0.000 visit first");
    try_line(x, "0.000 place \"booth 2\"");
    if (witness) {
        snprintf(line, sizeof line, "0.000 witness %s", witness);
        try_line(x, line);
    }
    try_line(x, witness ? "0.000 purpose assessment" : "0.000 purpose practice");
    return x->id;
}

static void stop_sitting(struct session *x, const char *keeper)
{
    struct event ev;
    struct refusal why = { 0 };
    struct err e = { 0 };
    struct sitting after = x->sitting;
    struct signer *s = keeper ? unlock(keeper) : NULL;
    const struct moment m = { .unix_ms = clock_unix_ms(), .boot_ms = clock_boot_ms(), .boot = "moved-by-a-test" };
    static const char LINE[] = "9.000 stop \"called away\"";
    ck_assert_int_eq(event_parse(LINE, sizeof LINE - 1, &ev, NULL), PARSED_EVENT);
    ck_assert(sitting_apply(&after, &x->protocol, &ev, &why));
    must(store_append_end(w.store, x->id, x->seq + 1, &ev, &after, &m, s, AT, &e), &e);
    signer_free(s);
}

static int64_t ended_sitting(const char *measurer, const char *keeper)
{
    static struct session x;
    int64_t id = begin_sitting(measurer, NULL, &x);
    stop_sitting(&x, keeper);
    return id;
}

static enum review review_of(int64_t id)
{
    struct kept_sitting k;
    struct err e = { 0 };
    must(store_kept_sitting(w.store, id, &k, &e), &e);
    return k.review;
}

static bool take_last(void *user, const struct kept_statement *k)
{
    struct err e = { 0 };
    must(statement_parse(k->text, k->len, user, &e), &e);
    return true;
}

/* The last statement about a sitting. */
static struct statement last_said(int64_t id)
{
    static struct statement s;
    struct err e = { 0 };
    memset(&s, 0, sizeof s);
    must(store_statements(w.store, id, take_last, &s, &e), &e);
    return s;
}

/* ---- the script ---- */

/** Let time pass, do something elsewhere, see words on the page, press keys. */
struct move {
    int64_t wait_ms;
    void (*meanwhile)(void);
    const char *see, *keys, *not_there;
};

static const struct move *moves;
static size_t move_count, at_move, at_key;
static int keys_pressed, hang_up_after; /* keys; -1: never before the moves end */
static int64_t asked_until;

static const char *page_text(const struct page *pg)
{
    static char out[32768];
    struct text t;
    text_init(&t, out, sizeof out);
    text_addf(&t, "[%s] %s | %s\n%s\n", pg->id, pg->left, pg->right, pg->title);
    for (int i = 0; i < pg->line_count; i++)
        text_addf(&t, "%s%s  %s\n", pg->lines[i].is_current ? "> " : "", pg->lines[i].text, pg->lines[i].value);
    text_addf(&t, "%s\n", pg->refusal);
    for (int i = 0; i < pg->key_count; i++)
        text_addf(&t, "[%s] %s  ", pg->keys[i].name, pg->keys[i].label);
    return out;
}

static struct key key_of(char c)
{
    if (c == '\r')
        return (struct key){ .code = KEY_ENTER };
    if (c == ESC[0])
        return (struct key){ .code = KEY_ESCAPE };
    return (struct key){ .code = KEY_CHARACTER, .character = (unsigned char)c };
}

static struct key scripted(struct ui *u, const struct page *pg, int64_t until)
{
    (void)u;
    asked_until = until;
    if (at_move == move_count || (hang_up_after >= 0 && keys_pressed == hang_up_after))
        return (struct key){ .code = KEY_HANGUP };
    const struct move *m = &moves[at_move];
    if (at_key == 0) {
        ck_assert_msg(strstr(page_text(pg), m->see) != NULL, "move %zu: '%s' is not on\n%s", at_move, m->see, page_text(pg));
        ck_assert_msg(!m->not_there || !strstr(page_text(pg), m->not_there), "move %zu: '%s' is on\n%s", at_move, m->not_there,
                      page_text(pg));
        now_ms += m->wait_ms;
        if (m->meanwhile)
            m->meanwhile();
    }
    if (!m->keys[at_key]) { /* time alone goes by */
        at_move++;
        return (struct key){ .code = KEY_NONE };
    }
    struct key k = key_of(m->keys[at_key++]);
    keys_pressed++;
    if (!m->keys[at_key]) {
        at_move++;
        at_key = 0;
    }
    return k;
}

static void walk(int64_t id, const struct move *m, size_t count)
{
    moves = m;
    move_count = count;
    at_move = at_key = 0;
    keys_pressed = 0;
    ui.is_hung_up = false;
    review_run(&ui, id);
    ck_assert_msg(hang_up_after >= 0 || at_move == count, "ended before move %zu: '%s'", at_move, moves[at_move].see);
}

#define WALK(id, ...)                                       \
    do {                                                    \
        static const struct move MOVES[] = { __VA_ARGS__ }; \
        walk(id, MOVES, ARRAY_LEN(MOVES));                  \
    } while (0)
#define KEYS(see_, keys_) { .see = see_, .keys = keys_ }

static void setup(void)
{
    struct err e = { 0 };
    snprintf(folder, sizeof folder, "/tmp/stillarm-test-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/store.db", folder);
    w = (struct workplace){ 0 };
    must(trust_init(&e), &e);
    must(store_open(path, STORE_WRITE, &w.store, &e), &e);
    text_copy(w.path, sizeof w.path, path);
    now_ms = 0;
    hang_up_after = -1;
    ui = (struct ui){ .w = &w, .kind = TERMINAL_PLAIN, .next_key = scripted };
    fflush(stdout); /* what plain pages print is not looked at here */
    kept_stdout = dup(STDOUT_FILENO);
    int nowhere = open("/dev/null", O_WRONLY);
    ck_assert_int_ge(dup2(nowhere, STDOUT_FILENO), 0);
    close(nowhere);
    must(terminal_open(TERMINAL_PLAIN, &ui.terminal, &e), &e);
    add_person("ana", ROLE_TRAINEE);
    signer_free(begin_key("ana"));
    add_preceptor("eva", NULL);
}

static void teardown(void)
{
    char command[96];
    terminal_close(ui.terminal);
    fflush(stdout);
    dup2(kept_stdout, STDOUT_FILENO);
    close(kept_stdout);
    store_close(w.store);
    snprintf(command, sizeof command, "rm -rf %s", folder);
    ck_assert_int_eq(system(command), 0);
}

/* ---- signing ---- */

START_TEST(a_waiting_sitting_is_countersigned_with_few_keys)
{
    int64_t id = ended_sitting("ana", "ana");
    ck_assert_int_eq(review_of(id), REVIEW_WAITING);
    WALK(0, KEYS("S-001", "\r"), KEYS("S-001 by ana", "1"), KEYS("to countersign S-001 as reviewed", PIN "\r"),
         KEYS("countersigned", "q"), KEYS("Nothing waits", "q"));
    ck_assert_int_eq(review_of(id), REVIEW_DONE);
    struct statement s = last_said(id);
    ck_assert_int_eq(s.kind, SAYS_COUNTERSIGN);
    ck_assert_str_eq(s.word, "reviewed");
    ck_assert_str_eq(s.person, "eva");
    /* home's r comes before; q twice comes after */
    ck_assert_int_le(1 + keys_pressed - (int)strlen(PIN) - 2, 6);
}
END_TEST

START_TEST(being_present_is_the_other_word)
{
    int64_t id = ended_sitting("ana", "ana");
    WALK(id, KEYS("S-001 by ana", "2"), KEYS("having been present", PIN "\r"), KEYS("countersigned", "q"));
    ck_assert_str_eq(last_said(id).word, "present");
}
END_TEST

START_TEST(how_long_it_lay_open_is_signed_without_the_typing_of_the_pin)
{
    int64_t id = ended_sitting("ana", "ana");
    WALK(0, KEYS("S-001", "\r"), { 90000, NULL, "S-001 by ana", "1", NULL }, { 20000, NULL, "to countersign", PIN "\r", NULL },
         KEYS("countersigned", "q"), KEYS("", "q"));
    ck_assert_int_eq(last_said(id).open_ms, 90000);
}
END_TEST

START_TEST(who_signed_is_the_reader_from_then_on)
{
    char reader[ITEM_CAP];
    struct err e = { 0 };
    ended_sitting("ana", "ana");
    ended_sitting("eva", "eva");
    WALK(0, KEYS("S-002", "j"), KEYS("> S-001", "\r"), KEYS("S-001 by ana", "1"), KEYS("PIN", PIN "\r"), KEYS("countersigned", "q"),
         KEYS("Waiting for eva", "a"), KEYS("S-002", "q"));
    must(store_setting_get(w.store, "reviewer", reader, sizeof reader, &e), &e);
    ck_assert_str_eq(reader, "eva");
    WALK(0, { 0, NULL, "Nothing waits", "q", "S-002" });
}
END_TEST

START_TEST(a_preceptor_alone_is_told_that_she_measured_it_herself)
{
    int64_t id = ended_sitting("eva", "eva");
    WALK(id, KEYS("S-001 by eva", "1"), KEYS("eva measured here, and nobody countersigns", "r"),
         KEYS("eva measured here", "q"));
    ck_assert_int_eq(review_of(id), REVIEW_WAITING);
    ck_assert_int_eq(last_said(id).kind, SAYS_STOP);
}
END_TEST

START_TEST(a_store_without_a_preceptor_says_who_could_sign)
{
    int64_t id = ended_sitting("ana", "ana");
    struct err e = { 0 };
    add_preceptor("ina", "eva");
    act_as("ina", &(struct act){ .kind = SAYS_RETIRE, .of = "eva", .word = "person", .at = AT });
    act_as("ina", &(struct act){ .kind = SAYS_RETIRE, .of = "ina", .word = "person", .at = AT });
    (void)e;
    WALK(id, KEYS("S-001 by ana", "1"), KEYS("only a preceptor with standing signs this", "q"));
    ck_assert_int_eq(review_of(id), REVIEW_WAITING);
}
END_TEST

START_TEST(a_wrong_pin_signs_nothing_and_leaving_its_page_neither)
{
    int64_t id = ended_sitting("ana", "ana");
    WALK(id, KEYS("S-001 by ana", "1"), KEYS("to countersign", "quite another\r"), KEYS("to countersign", ESC),
         KEYS("No PIN was given", "q"));
    ck_assert_int_eq(review_of(id), REVIEW_WAITING);
}
END_TEST

/* ---- sending back, comments, amendments ---- */

START_TEST(a_return_names_the_act_under_the_cursor_and_why)
{
    int64_t id = ended_sitting("ana", "ana");
    WALK(id, KEYS("S-001 by ana", "j"), KEYS("S-001", "r"), KEYS("Send back", "who agreed?\r"), KEYS("to send back S-001", PIN "\r"),
         KEYS("who agreed?", "q"));
    struct statement s = last_said(id);
    ck_assert_int_eq(s.kind, SAYS_RETURN);
    ck_assert_int_gt(s.event, 0);
    ck_assert_str_eq(s.said, "who agreed?");
    ck_assert_int_eq(review_of(id), REVIEW_RETURNED);
    WALK(0, KEYS("Nothing waits", "r"), KEYS("S-001", "q"));
}
END_TEST

START_TEST(a_return_without_words_is_not_taken)
{
    int64_t id = ended_sitting("ana", "ana");
    WALK(id, KEYS("S-001 by ana", "r"), KEYS("Send back", " \r"), KEYS("a few words are needed", ESC), KEYS("S-001", "q"));
    ck_assert_int_eq(review_of(id), REVIEW_WAITING);
}
END_TEST

START_TEST(words_typed_are_kept_when_the_pin_is_put_off)
{
    int64_t id = ended_sitting("ana", "ana");
    WALK(id, KEYS("S-001 by ana", "r"), KEYS("Send back", "who agreed?\r"), KEYS("PIN", ESC), KEYS("who agreed?", "\r"),
         KEYS("PIN", PIN "\r"), KEYS("who agreed?", "q"));
    ck_assert_str_eq(last_said(id).said, "who agreed?");
}
END_TEST

START_TEST(a_comment_changes_no_state)
{
    int64_t id = ended_sitting("ana", "ana");
    WALK(id, KEYS("S-001 by ana", "j\r"), KEYS("Comment: opened", "well placed\r"), KEYS("to comment on S-001", PIN "\r"),
         KEYS("well placed", "q"));
    ck_assert_int_gt(last_said(id).event, 0);
    ck_assert_int_eq(last_said(id).kind, SAYS_COMMENT);
    ck_assert_int_eq(review_of(id), REVIEW_WAITING);
}
END_TEST

START_TEST(from_the_overview_the_whole_is_commented_on)
{
    int64_t id = ended_sitting("ana", "ana");
    WALK(id, KEYS("> result", "\r"), KEYS("Comment S-001", "well done\r"), KEYS("to comment on S-001", PIN "\r"),
         KEYS("said of it  comment by eva: well done", "q"));
    ck_assert_int_eq(last_said(id).event, 0);
}
END_TEST

START_TEST(one_of_several_looks_is_commented_on)
{
    static struct session x;
    begin_sitting("ana", NULL, &x);
    try_line(&x, "2.000 confirm ready.caffeine");
    try_line(&x, "4.000 confirm ready.tobacco");
    stop_sitting(&x, "ana");
    WALK(x.id, { 0, NULL, "> result", "jj", "1.5 s after" }, KEYS("> 14:00:02", "fj"), KEYS("> 14:00:04    tobacco", "\r"),
         KEYS("Comment: tobacco 14:00:04", "how did you ask?\r"), KEYS("to comment on", PIN "\r"), KEYS("> 14:00:04    tobacco", "f"),
         { 0, NULL, "eva on tobacco: how did you ask?", "q", ">           " });
    ck_assert_int_eq(last_said(x.id).event, x.seq);
}
END_TEST

START_TEST(the_measurer_amends_what_came_back)
{
    int64_t id = ended_sitting("ana", "ana");
    act_as("eva", &(struct act){ .kind = SAYS_RETURN, .sitting = id, .event = 2, .said = "who agreed?", .at = AT });
    WALK(id, KEYS("who agreed?", "m"), KEYS("Add to S-001", "she nodded\r"), KEYS("to amend S-001", PIN "\r"), KEYS("she nodded", "q"));
    struct statement s = last_said(id);
    ck_assert_int_eq(s.kind, SAYS_AMEND);
    ck_assert_str_eq(s.person, "ana");
    ck_assert_int_eq(review_of(id), REVIEW_WAITING);
}
END_TEST

START_TEST(what_came_back_opens_at_the_act_that_was_meant)
{
    int64_t id = ended_sitting("ana", "ana");
    act_as("eva", &(struct act){ .kind = SAYS_RETURN, .sitting = id, .event = 8, .said = "called where?", .at = AT });
    WALK(id, KEYS("> 14:00:09", "q"));
}
END_TEST

START_TEST(the_signature_that_is_owed_is_given)
{
    int64_t id = ended_sitting("ana", NULL);
    ck_assert_int_eq(review_of(id), REVIEW_UNSIGNED);
    WALK(0, KEYS("signatures owed 1", "s"), KEYS("S-001", "\r"), KEYS("S-001 by ana", "g"),
         KEYS("to give the signature owed for S-001", PIN "\r"), KEYS("waiting", "q"), KEYS("No signature is owed", "q"));
    ck_assert_int_eq(review_of(id), REVIEW_WAITING);
    ck_assert_int_eq(last_said(id).kind, SAYS_STOP);
}
END_TEST

START_TEST(keys_that_do_not_fit_the_state_do_nothing)
{
    int64_t id = ended_sitting("ana", NULL);
    WALK(id, KEYS("S-001 by ana", "12rem"), { 0, NULL, "S-001 by ana", "q", "PIN" });
    ck_assert_int_eq(review_of(id), REVIEW_UNSIGNED);
}
END_TEST

/* ---- two at once ---- */

static void ina_countersigns(void)
{
    act_as("ina", &(struct act){ .kind = SAYS_COUNTERSIGN, .sitting = 1, .word = "present", .at = AT });
}

static void ana_amends(void)
{
    act_as("ana", &(struct act){ .kind = SAYS_AMEND, .sitting = 1, .said = "one more thing", .at = AT });
}

START_TEST(who_was_quicker_is_named_before_a_pin_is_asked_for)
{
    int64_t id = ended_sitting("ana", "ana");
    add_preceptor("ina", "eva");
    WALK(id, { 0, ina_countersigns, "S-001 by ana", "1", NULL }, KEYS("ina countersigned S-001 at 14:00", "q"));
    struct statement s = last_said(id);
    ck_assert_str_eq(s.person, "ina");
    ck_assert_str_eq(s.word, "present");
}
END_TEST

START_TEST(who_was_quicker_than_the_pin_is_named_and_nothing_signed)
{
    int64_t id = ended_sitting("ana", "ana");
    WALK(id, KEYS("S-001 by ana", "1"), { 0, ana_amends, "to countersign", PIN "\r", NULL },
         KEYS("ana amended S-001 at 14:00", "q"));
    ck_assert_int_eq(last_said(id).kind, SAYS_AMEND);
    ck_assert_int_eq(review_of(id), REVIEW_WAITING);
}
END_TEST

START_TEST(a_second_preceptor_signs_beside_the_first)
{
    int64_t id = ended_sitting("ana", "ana");
    add_preceptor("ina", "eva");
    ina_countersigns();
    WALK(id, KEYS("S-001 by ana", "1"), KEYS("eva", ESC), KEYS("S-001", "q"));
    act_as("eva", &(struct act){ .kind = SAYS_COUNTERSIGN, .sitting = id, .word = "reviewed", .at = AT });
    ck_assert_int_eq(review_of(id), REVIEW_DONE);
}
END_TEST

/* ---- what comes back ---- */

START_TEST(what_comes_back_opens_at_what_was_added)
{
    int64_t id = ended_sitting("ana", "ana");
    act_as("eva", &(struct act){ .kind = SAYS_RETURN, .sitting = id, .event = 2, .said = "who agreed?", .at = AT });
    ana_amends();
    WALK(0, KEYS("S-001", "\r"), KEYS("one more thing", "t"), { 0, NULL, "> added       by ana: one more thing", "q", "> result" },
         KEYS("S-001", "q"));
    WALK(0, KEYS("S-001", "\r"), { 0, NULL, "added by ana", "q", "> added " }, KEYS("S-001", "q"));
}
END_TEST

START_TEST(openings_of_one_reader_add_up_until_something_is_signed)
{
    int64_t id = ended_sitting("ana", "ana");
    WALK(0, KEYS("S-001", "\r"), { 90000, NULL, "S-001 by ana", "q", NULL }, { 50000, NULL, "S-001", "\r", NULL },
         KEYS("S-001 by ana", "q"), KEYS("S-001", "q"));
    WALK(0, KEYS("S-001", "\r"), { 1000, NULL, "S-001 by ana", "1", NULL }, KEYS("to countersign", PIN "\r"),
         KEYS("countersigned", "q"), KEYS("", "q"));
    ck_assert_int_eq(last_said(id).open_ms, 91000);
}
END_TEST

START_TEST(what_was_signed_meanwhile_begins_the_time_anew)
{
    int64_t id = ended_sitting("ana", "ana");
    WALK(0, KEYS("S-001", "\r"), { 90000, NULL, "S-001 by ana", "q", NULL }, { 0, ana_amends, "S-001", "\r", NULL },
         { 2000, NULL, "one more thing", "1", NULL }, KEYS("to countersign", PIN "\r"), KEYS("countersigned", "q"), KEYS("", "q"));
    ck_assert_int_eq(last_said(id).open_ms, 2000);
}
END_TEST

START_TEST(what_another_one_read_is_not_the_readers)
{
    int64_t id = ended_sitting("ana", "ana");
    add_preceptor("ina", "eva");
    WALK(0, KEYS("reader", "p"), KEYS("reader: eva", "\r"), { 90000, NULL, "S-001 by ana", "q", NULL }, KEYS("reader: eva", "p"),
         KEYS("reader: ina", "\r"), { 3000, NULL, "S-001 by ana", "1", NULL }, KEYS("to countersign", PIN "\r"),
         KEYS("countersigned", "q"), KEYS("", "q"));
    ck_assert_str_eq(last_said(id).person, "ina");
    ck_assert_int_eq(last_said(id).open_ms, 3000);
}
END_TEST

START_TEST(who_has_countersigned_it_as_it_stands_is_told_so)
{
    int64_t id = ended_sitting("ana", "ana");
    WALK(id, KEYS("[1] reviewed", "1"), KEYS("to countersign", PIN "\r"), { 0, NULL, "countersigned by eva", "1", "[1] reviewed" },
         KEYS("eva has countersigned S-001 as it stands", "2"), { 0, NULL, "eva has countersigned", "q", "PIN" });
    ana_amends();
    WALK(id, KEYS("[1] reviewed", "1"), KEYS("to countersign", PIN "\r"), KEYS("countersigned by eva", "q"));
    ck_assert_int_eq(review_of(id), REVIEW_DONE);
}
END_TEST

/* ---- what home says of it ---- */

static const char *home_says(const char *measurer, int32_t today)
{
    static struct home_view v;
    static struct page pg;
    struct err e = { 0 };
    v = (struct home_view){ .protocol = "us-adult" };
    text_copy(v.measurer, sizeof v.measurer, measurer);
    must(home_desk(w.store, today, &v, &e), &e);
    home_page(&v, &pg);
    return page_text(&pg);
}

#define ck_home(measurer, today, words)                                  \
    do {                                                                 \
        const char *page = home_says(measurer, today);                   \
        ck_assert_msg(strstr(page, words) != NULL, "%s on\n%s", words, page); \
    } while (0)

START_TEST(home_says_whose_signature_is_owed_and_to_whom_one_is_sent_back)
{
    static struct session x;
    add_person("ben", ROLE_TRAINEE);
    int64_t id = ended_sitting("ana", "ana");
    ended_sitting("ben", NULL);
    act_as("eva", &(struct act){ .kind = SAYS_RETURN, .sitting = id, .event = 2, .said = "who agreed?", .at = AT });
    ck_home("eva", 20310302, "review: 1 sent back to ana, 1 signature owed by ben");
    begin_sitting("ana", "eva", &x);
    stop_sitting(&x, NULL);
    ck_home("ben", 20310302, "2 signatures owed by eva, ben");
}
END_TEST

START_TEST(home_names_once_what_nobody_measured)
{
    static struct session x;
    for (int i = 0; i < 2; i++) {
        session_begin(&x, w.store, &loaded);
        try_line(&x, "0.000 protocol us-adult");
        stop_sitting(&x, NULL);
    }
    ck_home("eva", 20310302, "2 signatures owed by nobody named");
    ck_assert_ptr_null(strstr(home_says("eva", 20310302), "nobody named, "));
}
END_TEST

START_TEST(home_tells_who_was_watched_that_the_result_was_given)
{
    static struct session x;
    int64_t id = begin_sitting("ana", "eva", &x);
    stop_sitting(&x, "eva");
    ck_assert_ptr_null(strstr(home_says("ana", 20310302), "its result"));
    act_as("eva", &(struct act){ .kind = SAYS_RELEASE, .sitting = id, .at = AT });
    ck_home("ana", 20310302, "S-001: its result was given by eva");
    ck_home("ana", 20310316, "S-001: its result was given by eva");
    ck_assert_ptr_null(strstr(home_says("ana", 20310317), "its result"));
    ck_assert_ptr_null(strstr(home_says("eva", 20310302), "its result"));
}
END_TEST

/* ---- an open sitting ---- */

static struct session live;

static void a_note_is_made(void)
{
    try_line(&live, "5.000 note \"the door opened\"");
}

static void it_is_stopped(void)
{
    stop_sitting(&live, "ana");
}

START_TEST(an_open_sitting_is_watched_as_it_goes_on)
{
    int64_t id = begin_sitting("ana", NULL, &live);
    WALK(id, { 1000, a_note_is_made, "open", "", "the door opened" },
         { 0, NULL, "the door opened", "12rem", "reviewed" }, { 1000, it_is_stopped, "the door opened", "", "Send back" },
         KEYS("called away", "q"));
    ck_assert_int_eq(review_of(id), REVIEW_WAITING);
    ck_assert_int_eq(last_said(id).kind, SAYS_STOP);
}
END_TEST

START_TEST(an_open_sitting_is_looked_at_every_second_another_never)
{
    int64_t id = begin_sitting("ana", NULL, &live);
    WALK(id, KEYS("open", ""), KEYS("open", "q"));
    ck_assert_int_eq(asked_until, clock_boot_ms() + 1000);
    it_is_stopped();
    WALK(id, KEYS("waiting", "q"));
    ck_assert_int_eq(asked_until, INT64_MAX);
}
END_TEST

/* ---- a witnessed one ---- */

START_TEST(what_is_held_is_shown_to_its_witness_alone_until_she_releases_it)
{
    int64_t id = begin_sitting("ana", "eva", &live);
    stop_sitting(&live, "eva");
    ck_assert_int_eq(review_of(id), REVIEW_HELD);
    WALK(id, { 0, NULL, "to read S-001", ESC, "called away" }, { 0, NULL, "held by eva", "q", "called away" });
    WALK(0, KEYS("held 1", "h"), KEYS("S-001", "\r"), KEYS("to read S-001", PIN "\r"), { 4000, NULL, "called away", "e", NULL },
         KEYS("to give the result of S-001", PIN "\r"), KEYS("result given", "q"), KEYS("", "q"));
    ck_assert_int_eq(review_of(id), REVIEW_RELEASED);
    ck_assert_int_eq(last_said(id).open_ms, 4000);
    WALK(id, KEYS("called away", "q"));
}
END_TEST

/* Held by eva, who then leaves by what uma signs. */
static int64_t held_by_one_who_left(const char *measurer, const struct act *leaving)
{
    add_preceptor("uma", "eva");
    int64_t id = begin_sitting(measurer, "eva", &live);
    stop_sitting(&live, "eva");
    act_as("uma", leaving);
    return id;
}

START_TEST(what_one_holds_who_has_left_is_opened_and_released_by_another_preceptor)
{
    static const struct act LEAVING[] = { { .kind = SAYS_RETIRE, .of = "eva", .word = "person", .at = AT },
                                          { .kind = SAYS_END, .of = "eva", .said = "forgotten", .at = AT } };
    struct err e = { 0 };
    int64_t id = held_by_one_who_left("ana", &LEAVING[_i]);
    ck_assert_int_eq(held_check(w.store, id, &e), ST_PERMISSION);
    ck_assert_msg(strstr(e.text, "another preceptor"), "%s", e.text);
    WALK(id, { 0, NULL, "uma", ESC, "called away" }, { 0, NULL, "held by eva", "q", "called away" });
    WALK(id, { 0, NULL, "uma", PIN "\r", "called away" }, { 3000, NULL, "called away", "e", NULL },
         { 0, NULL, "to give the result of S-001", PIN "\r", NULL }, KEYS("result given", "q"));
    ck_assert_int_eq(review_of(id), REVIEW_RELEASED);
    ck_assert_str_eq(last_said(id).person, "uma");
}
END_TEST

START_TEST(what_one_holds_who_has_left_is_not_opened_by_its_measurer)
{
    int64_t id = held_by_one_who_left("uma", &(struct act){ .kind = SAYS_RETIRE, .of = "eva", .word = "person", .at = AT });
    WALK(id, { 0, NULL, "uma measured here", "q", "called away" });
    ck_assert_int_eq(review_of(id), REVIEW_HELD);
}
END_TEST

START_TEST(a_witnessed_sitting_that_is_open_asks_for_the_witness_too)
{
    int64_t id = begin_sitting("ana", "eva", &live);
    WALK(id, { 0, NULL, "to read S-001", ESC, "k7-031" }, KEYS("held by eva", "q"));
}
END_TEST

static void it_becomes_an_assessment(void)
{
    try_line(&live, "0.000 witness eva");
    try_line(&live, "0.000 purpose assessment");
}

START_TEST(one_that_becomes_witnessed_while_it_is_watched_asks_before_more_is_shown)
{
    session_begin(&live, w.store, &loaded);
    try_line(&live, "0.000 protocol us-adult");
    try_line(&live, "0.000 measurer ana");
    WALK(live.id, { 1000, it_becomes_an_assessment, "S-001 by ana", "", NULL }, KEYS("to read S-001", PIN "\r"),
         { 1000, NULL, "S-001 by ana", "", NULL }, KEYS("S-001 by ana", "q"));
}
END_TEST

/* ---- the queue ---- */

START_TEST(next_goes_on_to_the_next_one_of_the_queue)
{
    for (int i = 0; i < 3; i++)
        ended_sitting("ana", "ana");
    WALK(0, KEYS("S-003", "\r"), KEYS("1 of 3", "1"), KEYS("PIN", PIN "\r"), KEYS("S-003 by ana", "n"), KEYS("2 of 3", "n"),
         KEYS("S-001 by ana", "n"), KEYS("3 of 3", "q"), { 0, NULL, "> S-001", "q", "S-003" });
}
END_TEST

START_TEST(whoever_reads_is_asked_for_her_pin_at_once_where_she_may_sign)
{
    add_preceptor("ina", "eva");
    ended_sitting("ana", "ana");
    ended_sitting("eva", "eva");
    WALK(2, KEYS("S-002 by eva", "1"), KEYS("Who signs", "j\r"), KEYS("PIN", PIN "\r"), KEYS("countersigned", "q"));
    WALK(1, { 0, NULL, "reader: ina", "1", NULL }, { 0, NULL, "ina", ESC, "Who signs" }, KEYS("reader: ina", "pp"),
         KEYS("reader: eva", "q"));
    WALK(2, KEYS("reader: eva", "1"), KEYS("Who signs", ESC), KEYS("S-002", "q"));
}
END_TEST

START_TEST(one_key_leads_from_one_act_that_stands_out_to_the_next)
{
    static struct session x;
    struct event too_soon;
    struct refusal why = { 0 };
    struct err e = { 0 };
    begin_sitting("ana", NULL, &x);
    try_line(&x, "4.000 confirm ready.tobacco");
    try_line(&x, "5.000 waive ready.caffeine \"tea at noon\"");
    ck_assert_int_eq(event_parse("6.000 rest begin", 16, &too_soon, NULL), PARSED_EVENT);
    ck_assert_int_eq(session_try(&x, &too_soon, &why, &e), SESSION_REFUSED);
    try_line(&x, "8.000 confirm ready.exercise");
    stop_sitting(&x, "ana");
    WALK(x.id, KEYS("what stands out: 2", "d"), KEYS("> 14:00:05", "d"), KEYS("> 14:00:09", "d"),
         KEYS("nothing further on stands out", "q"));
}
END_TEST

START_TEST(the_filter_narrows_every_queue_and_refuses_in_words)
{
    add_person("ben", ROLE_TECHNICIAN);
    signer_free(begin_key("ben"));
    ended_sitting("ana", "ana");
    ended_sitting("ben", "ben");
    WALK(0, KEYS("S-002", "f"), KEYS("measured by", "nobody\r"), KEYS("nobody here has the short name", "ben\r"),
         KEYS("First day", "yesterday\r"), KEYS("a day is written", "2031-03-01\r"), KEYS("Last day", "2031-02-28\r"),
         KEYS("lies before the first", "today\r"), KEYS("practice, service", "sport\r"), KEYS("a purpose is", "practice\r"),
         KEYS("open, sealed", "gone\r"), KEYS("a state is", "stopped\r"), { 0, NULL, "S-002", "a", "S-001" },
         { 0, NULL, "S-002", "q", "S-001" });
}
END_TEST

START_TEST(who_reads_can_be_changed)
{
    add_preceptor("ina", "eva");
    ended_sitting("eva", "eva");
    WALK(0, KEYS("S-001", "p"), { 0, NULL, "Waiting for eva", "p", "S-001" }, KEYS("Waiting for ina", "p"), KEYS("S-001", "q"));
}
END_TEST

START_TEST(every_queue_has_its_words_when_it_is_empty)
{
    WALK(0, KEYS("Nothing waits to be read", "r"), KEYS("Nothing is sent back", "s"), KEYS("No signature is owed", "h"),
         KEYS("No result is held", "o"), KEYS("No sitting is open", "a"), KEYS("No sittings yet", "\r"), KEYS("No sittings", "q"));
}
END_TEST

/* ---- what goes wrong ---- */

START_TEST(a_terminal_that_goes_ends_every_page)
{
    ended_sitting("ana", "ana");
    hang_up_after = _i;
    WALK(0, KEYS("S-001", "f"), KEYS("measured by", ESC), KEYS("S-001", "\r"), KEYS("S-001 by ana", "r"), KEYS("Send back", "x"),
         KEYS("x", "\r"), KEYS("PIN", "a" ESC), KEYS("x", ESC), KEYS("S-001", "q"), KEYS("S-001", "q"));
    ck_assert_int_eq(review_of(1), REVIEW_WAITING);
}
END_TEST

/* The same keys on every run. Wrong PINs among them make her wait, so that the clock has to go on. */
static struct key at_random(struct ui *u, const struct page *pg, int64_t until)
{
    static const char KEYS_TYPED[] = "jjkkdnpfwrshoa12rmeg\r\r\r" ESC ESC "x7";
    static unsigned state = 1;
    (void)u;
    (void)until;
    ck_assert_int_le(pg->line_count, PAGE_LINES_MAX);
    now_ms += 700;
    state = state * 1103515245u + 12345u;
    return keys_pressed++ < 3000 ? key_of(KEYS_TYPED[(state >> 16) % (sizeof KEYS_TYPED - 1)])
                                 : (struct key){ .code = KEY_HANGUP };
}

START_TEST(keys_at_random_sign_nothing_and_break_nothing)
{
    struct err e = { 0 };
    static struct session empty;
    ended_sitting("ana", "ana");
    ended_sitting("ana", NULL);
    begin_sitting("ana", "eva", &live);
    stop_sitting(&live, "eva");
    begin_sitting("ana", NULL, &live);
    session_begin(&empty, w.store, &loaded);
    try_line(&empty, "0.000 protocol us-adult");
    ui.next_key = at_random;
    keys_pressed = 0;
    while (!ui.is_hung_up) /* it may be left by them, too */
        review_run(&ui, 0);
    ck_assert_int_eq(review_of(1), REVIEW_WAITING);
    ck_assert_int_eq(review_of(2), REVIEW_UNSIGNED);
    ck_assert_int_eq(review_of(3), REVIEW_HELD);
    ck_assert_int_eq(review_of(4), REVIEW_OPEN);
    must(store_check(w.store, &e), &e);
}
END_TEST

START_TEST(a_sitting_that_has_hardly_begun_is_shown)
{
    static struct session x;
    session_begin(&x, w.store, &loaded);
    try_line(&x, "0.000 protocol us-adult");
    WALK(0, KEYS("open 1", "o"), KEYS("S-001", "\r"), KEYS("S-001 |", "jd"), KEYS("S-001 |", "q"), KEYS("Open now", "q"));
}
END_TEST

START_TEST(a_sitting_whose_measurer_is_retired_is_read_and_signed)
{
    int64_t id = ended_sitting("ana", "ana");
    act_as("eva", &(struct act){ .kind = SAYS_RETIRE, .of = "ana", .word = "person", .at = AT });
    WALK(id, KEYS("S-001 by ana", "m"), KEYS("Add to S-", "late, but right\r"), KEYS("PIN", PIN "\r"), KEYS("late, but right", "1"),
         KEYS("PIN", PIN "\r"), KEYS("countersigned", "q"));
    ck_assert_int_eq(review_of(id), REVIEW_DONE);
}
END_TEST

int main(void)
{
    struct err e = { 0 };
    if (protocols_load(TEST_SOURCE_DIR "/assets/protocols", &loaded, &e) != ST_OK) {
        fprintf(stderr, "%s\n", e.text);
        return EXIT_FAILURE;
    }
    Suite *s = suite_create("review");
    TCase *t = tcase_create("review");
    tcase_set_timeout(t, 120);
    tcase_add_checked_fixture(t, setup, teardown);
    tcase_add_test(t, a_waiting_sitting_is_countersigned_with_few_keys);
    tcase_add_test(t, being_present_is_the_other_word);
    tcase_add_test(t, how_long_it_lay_open_is_signed_without_the_typing_of_the_pin);
    tcase_add_test(t, who_signed_is_the_reader_from_then_on);
    tcase_add_test(t, a_preceptor_alone_is_told_that_she_measured_it_herself);
    tcase_add_test(t, a_store_without_a_preceptor_says_who_could_sign);
    tcase_add_test(t, a_wrong_pin_signs_nothing_and_leaving_its_page_neither);
    tcase_add_test(t, a_return_names_the_act_under_the_cursor_and_why);
    tcase_add_test(t, a_return_without_words_is_not_taken);
    tcase_add_test(t, words_typed_are_kept_when_the_pin_is_put_off);
    tcase_add_test(t, a_comment_changes_no_state);
    tcase_add_test(t, from_the_overview_the_whole_is_commented_on);
    tcase_add_test(t, one_of_several_looks_is_commented_on);
    tcase_add_test(t, the_measurer_amends_what_came_back);
    tcase_add_test(t, what_comes_back_opens_at_what_was_added);
    tcase_add_test(t, openings_of_one_reader_add_up_until_something_is_signed);
    tcase_add_test(t, what_was_signed_meanwhile_begins_the_time_anew);
    tcase_add_test(t, what_another_one_read_is_not_the_readers);
    tcase_add_test(t, who_has_countersigned_it_as_it_stands_is_told_so);
    tcase_add_test(t, what_came_back_opens_at_the_act_that_was_meant);
    tcase_add_test(t, the_signature_that_is_owed_is_given);
    tcase_add_test(t, keys_that_do_not_fit_the_state_do_nothing);
    tcase_add_test(t, who_was_quicker_is_named_before_a_pin_is_asked_for);
    tcase_add_test(t, who_was_quicker_than_the_pin_is_named_and_nothing_signed);
    tcase_add_test(t, a_second_preceptor_signs_beside_the_first);
    tcase_add_test(t, an_open_sitting_is_watched_as_it_goes_on);
    tcase_add_test(t, an_open_sitting_is_looked_at_every_second_another_never);
    tcase_add_test(t, what_is_held_is_shown_to_its_witness_alone_until_she_releases_it);
    tcase_add_loop_test(t, what_one_holds_who_has_left_is_opened_and_released_by_another_preceptor, 0, 2);
    tcase_add_test(t, what_one_holds_who_has_left_is_not_opened_by_its_measurer);
    tcase_add_test(t, a_witnessed_sitting_that_is_open_asks_for_the_witness_too);
    tcase_add_test(t, one_that_becomes_witnessed_while_it_is_watched_asks_before_more_is_shown);
    tcase_add_test(t, home_says_whose_signature_is_owed_and_to_whom_one_is_sent_back);
    tcase_add_test(t, home_names_once_what_nobody_measured);
    tcase_add_test(t, home_tells_who_was_watched_that_the_result_was_given);
    tcase_add_test(t, next_goes_on_to_the_next_one_of_the_queue);
    tcase_add_test(t, whoever_reads_is_asked_for_her_pin_at_once_where_she_may_sign);
    tcase_add_test(t, one_key_leads_from_one_act_that_stands_out_to_the_next);
    tcase_add_test(t, the_filter_narrows_every_queue_and_refuses_in_words);
    tcase_add_test(t, who_reads_can_be_changed);
    tcase_add_test(t, every_queue_has_its_words_when_it_is_empty);
    tcase_add_loop_test(t, a_terminal_that_goes_ends_every_page, 0, 14);
    tcase_add_test(t, keys_at_random_sign_nothing_and_break_nothing);
    tcase_add_test(t, a_sitting_that_has_hardly_begun_is_shown);
    tcase_add_test(t, a_sitting_whose_measurer_is_retired_is_read_and_signed);
    suite_add_tcase(s, t);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    protocols_free(&loaded);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
