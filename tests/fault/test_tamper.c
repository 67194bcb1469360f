/* SPDX-License-Identifier: GPL-3.0-or-later */
/**
 * @file test_tamper.c  Changes a store by somebody who has the file and SQL, one at a time, every byte of everything that is
 * signed; verify has to find each. Prints what was tried and found, and what is not signed on purpose.
 * A change in one sitting's rows is first shown to the verify of that sitting, and where that says nothing, of the store.
 * STILLARM_TAMPER=all changes each byte in up to three ways, and shows each to the verify of the whole store.
 */
#include "fault/store_hand.h"
#include "store/internal.h"
#include "unit/proof_hand.h"

#define ROWS_MAX 600
#define CELL_CAP 16000

/* ---- the store, and what verify says ---- */

static struct store *reader; /* as another process would have it */
static sqlite3 *file;        /* somebody with the file and SQL */
static bool is_thorough;

static struct tally { const char *name; long tried, found, refused; } tallies[64];
static int tally_count;

static void reopen(void)
{
    store_close(reader);
    reader = hand_open(STORE_READ);
}

static bool is_found(int64_t sitting)
{
    struct proof p;
    struct err e = {.text = ""};
    enum status status = ST_OK;
    p.wrong = 0;
    if (sitting && !is_thorough)
        status = proof_sitting(reader, sitting, NULL, &p, &e);
    if (status == ST_OK && p.wrong == 0)
        status = proof_store(reader, NULL, &p, &e);
    return status != ST_OK || p.wrong > 0;
}

static void must_be_right(const char *after)
{
    struct proof p;
    struct err e = {.text = ""};
    const enum status status = proof_store(reader, NULL, &p, &e);
    ck_assert_msg(status == ST_OK && p.wrong == 0, "after %s: %s%s", after, e.text, status == ST_OK ? p.first : "");
}

static struct tally *tally_new(const char *name)
{
    ck_assert_int_lt(tally_count, (int)ARRAY_LEN(tallies));
    tallies[tally_count] = (struct tally){.name = name};
    return &tallies[tally_count++];
}

/* sitting: whose rows were changed; 0: of several, or of none */
static void count(struct tally *t, int64_t sitting, const char *what)
{
    const bool was_found = is_found(sitting);
    t->tried++;
    t->found += was_found;
    if (!was_found)
        fprintf(stderr, "missed: %s\n", what);
}

/* ---- one value of one row ---- */

struct cell { int type; int64_t number; int len; char *bytes; };
struct row { struct cell key[2], value; };
static struct row rows[ROWS_MAX];
static char pool[4000000];
static size_t pool_used;

static struct cell read_cell(sqlite3_stmt *s, int column)
{
    struct cell c = {.type = sqlite3_column_type(s, column), .number = sqlite3_column_int64(s, column)};
    if (c.type != SQLITE_TEXT && c.type != SQLITE_BLOB)
        return c;
    const void *bytes = c.type == SQLITE_TEXT ? (const void *)sqlite3_column_text(s, column) : sqlite3_column_blob(s, column);
    c.len = sqlite3_column_bytes(s, column);
    ck_assert_uint_lt(pool_used + (size_t)c.len, sizeof pool);
    c.bytes = pool + pool_used;
    memcpy(c.bytes, bytes, (size_t)c.len);
    pool_used += (size_t)c.len;
    return c;
}

static void bind(sqlite3_stmt *s, int at, const struct cell *c)
{
    if (c->type == SQLITE_INTEGER)
        sqlite3_bind_int64(s, at, c->number);
    else if (c->type == SQLITE_TEXT)
        sqlite3_bind_text(s, at, c->bytes, c->len, SQLITE_STATIC);
    else if (c->type == SQLITE_BLOB)
        sqlite3_bind_blob(s, at, c->bytes, c->len, SQLITE_STATIC);
    else
        sqlite3_bind_null(s, at);
}

struct target {
    const char *name, *table, *keys[2], *column;
    bool may_be_null; /* NULL here is a thing of its own, such as a code that was forgotten */
    bool is_read_once; /* kept by a connection: a new one is needed to see it */
    int64_t sitting;   /* that has to do with it; 0: the row's first key; -1: none */
};

static bool put(sqlite3_stmt *update, const struct cell *value, const struct row *r)
{
    sqlite3_reset(update);
    bind(update, 1, value);
    bind(update, 2, &r->key[0]);
    bind(update, 3, &r->key[1]);
    const int rc = sqlite3_step(update);
    sqlite3_reset(update);
    return rc == SQLITE_DONE && sqlite3_changes(file) == 1;
}

static void try_value(struct tally *t, const struct target *g, sqlite3_stmt *update, const struct row *r, const struct cell *other)
{
    struct row moved = *r;
    char what[200];
    if (!put(update, other, r)) {
        t->refused++; /* the table's own form does not take it, whatever is switched off */
        return;
    }
    for (int i = 0; i < 2; i++)
        if (strcmp(g->keys[i], g->column) == 0)
            moved.key[i] = *other;
    if (g->is_read_once)
        reopen();
    snprintf(what, sizeof what, "%s.%s of %lld %lld (%d bytes, now %lld)", g->table, g->column, (long long)r->key[0].number,
             (long long)r->key[1].number, r->value.len, (long long)other->number);
    count(t, g->sitting < 0 ? 0 : g->sitting ? g->sitting : r->key[0].number, what);
    ck_assert(put(update, &r->value, &moved));
    if (g->is_read_once)
        reopen();
}

static void try_bytes(struct tally *t, const struct target *g, sqlite3_stmt *update, const struct row *r)
{
    static char changed[CELL_CAP];
    struct cell other = r->value;
    ck_assert_int_lt(r->value.len, CELL_CAP);
    memcpy(changed, r->value.bytes, (size_t)r->value.len);
    other.bytes = changed;
    for (int i = 0; i < r->value.len; i++) {
        const char was = changed[i];
        const bool is_digit = r->value.type == SQLITE_TEXT && was >= '0' && was <= '9';
        const int flips = is_thorough ? 2 : is_digit ? 0 : 1;
        for (int k = 0; k < flips; k++) {
            changed[i] = (char)(was ^ (1 << ((i + 3 * k) % 8)));
            try_value(t, g, update, r, &other);
        }
        if (is_digit) {
            changed[i] = was == '9' ? '0' : (char)(was + 1);
            try_value(t, g, update, r, &other);
        }
        changed[i] = was;
    }
    if (r->value.len > 0) { /* cut by a byte */
        other.len--;
        try_value(t, g, update, r, &other);
    }
}

static void try_number(struct tally *t, const struct target *g, sqlite3_stmt *update, const struct row *r)
{
    const int64_t was = r->value.number;
    const int64_t steps[] = {was + 1, was - 1, was ^ (1 << 9), was ^ (INT64_C(1) << 17), was ^ (INT64_C(1) << 25),
                             was ^ (INT64_C(1) << 33), was ^ (INT64_C(1) << 41), was ^ (INT64_C(1) << 49),
                             (int64_t)((uint64_t)was ^ (UINT64_C(1) << 63))};
    struct cell other = {.type = SQLITE_INTEGER};
    for (size_t i = 0; i < ARRAY_LEN(steps); i++) {
        other.number = steps[i];
        if (other.number != was)
            try_value(t, g, update, r, &other);
    }
}

static void try_null(struct tally *t, const struct target *g, sqlite3_stmt *update, const struct row *r)
{
    static char letter[] = "x";
    const struct cell null = {.type = SQLITE_NULL}, one = {.type = SQLITE_INTEGER, .number = 1},
                      word = {.type = SQLITE_TEXT, .bytes = letter, .len = 1};
    if (r->value.type != SQLITE_NULL) {
        if (!g->may_be_null)
            try_value(t, g, update, r, &null);
        return;
    }
    try_value(t, g, update, r, &one);
    try_value(t, g, update, r, &word);
}

static int read_rows(const struct target *g)
{
    char sql[300];
    sqlite3_stmt *s = NULL;
    int n = 0;
    pool_used = 0;
    snprintf(sql, sizeof sql, "SELECT %s, %s, %s FROM %s ORDER BY 1, 2", g->keys[0], g->keys[1], g->column, g->table);
    ck_assert_int_eq(sqlite3_prepare_v2(file, sql, -1, &s, NULL), SQLITE_OK);
    while (sqlite3_step(s) == SQLITE_ROW) {
        ck_assert_int_lt(n, ROWS_MAX);
        rows[n++] = (struct row){{read_cell(s, 0), read_cell(s, 1)}, read_cell(s, 2)};
    }
    sqlite3_finalize(s);
    return n;
}

static void change_every_value(const struct target *g)
{
    char sql[300];
    sqlite3_stmt *update = NULL;
    struct tally *t = tally_new(g->name);
    const int n = read_rows(g);
    ck_assert_int_gt(n, 0);
    snprintf(sql, sizeof sql, "UPDATE %s SET %s = ?1 WHERE %s IS ?2 AND %s IS ?3", g->table, g->column, g->keys[0], g->keys[1]);
    ck_assert_int_eq(sqlite3_prepare_v2(file, sql, -1, &update, NULL), SQLITE_OK);
    for (int i = 0; i < n; i++) {
        if (rows[i].value.type == SQLITE_INTEGER)
            try_number(t, g, update, &rows[i]);
        else if (rows[i].value.type != SQLITE_NULL)
            try_bytes(t, g, update, &rows[i]);
        try_null(t, g, update, &rows[i]);
    }
    sqlite3_finalize(update);
    must_be_right(g->name);
}

#define EVENT(c) {"events." c, "events", {"sitting", "seq"}, c, false, false, 0}
#define ATTEMPT(c) {"attempts." c, "attempts", {"sitting", "n"}, c, false, false, 0}
/* The verify of any sitting follows the links of all statements; the last one is about the fourth. */
#define STATEMENT(c) {"statements." c, "statements", {"number", "number"}, c, false, false, 4}
#define SITTING(c) {"sittings." c, "sittings", {"id", "id"}, c, false, false, 0}
#define READING(c) {"readings." c, "readings", {"sitting", "n"}, c, false, false, 0}
#define KEY(c) {"keys." c, "keys", {"id", "id"}, c, false, false, -1}
static const struct target EVENTS[] = {EVENT("sitting"), EVENT("seq"), EVENT("t_ms"), EVENT("kind"), EVENT("item"), EVENT("value"),
                                       EVENT("value2"), EVENT("text"), EVENT("unix_ms"), EVENT("boot_ms"), EVENT("chain")};
static const struct target OTHERS[] = {
    ATTEMPT("sitting"), ATTEMPT("n"), ATTEMPT("after_seq"), ATTEMPT("t_ms"), ATTEMPT("unix_ms"), ATTEMPT("line"), ATTEMPT("rule"),
    ATTEMPT("have"), ATTEMPT("need"), ATTEMPT("is_slip"),
    STATEMENT("number"), STATEMENT("sitting"), STATEMENT("key"), STATEMENT("text"), STATEMENT("signature"),
    {"protocol_texts.hash", "protocol_texts", {"hash", "hash"}, "hash", false, false, 2},
    {"protocol_texts.text", "protocol_texts", {"hash", "hash"}, "text", false, false, 2},
    SITTING("id"), SITTING("protocol_text"), SITTING("phase"), SITTING("protocol"), SITTING("measurer"),
    {"sittings.subject", "sittings", {"id", "id"}, "subject", true, false, 0}, SITTING("salt"), SITTING("opened"), SITTING("day"),
    SITTING("event_count"), SITTING("reading_count"), SITTING("counted_count"), SITTING("attempt_count"), SITTING("last_ms"),
    SITTING("last_unix_ms"), SITTING("last_boot_ms"), SITTING("boot"), SITTING("review"), SITTING("purpose"), SITTING("witness"),
    SITTING("chain"), SITTING("last_statement"),
    READING("sitting"), READING("n"), READING("arm"), READING("first_mmhg"), READING("muffling_mmhg"), READING("last_mmhg"),
    READING("is_counted"), READING("reasons"), READING("remarks"), READING("target_mmhg"), READING("inflate_ms"),
    KEY("id"), KEY("person"), KEY("role"), KEY("public_key"), KEY("begun"),
    {"facts.id", "facts", {"one", "one"}, "id", false, true, -1},
    {"facts.unsigned_until", "facts", {"one", "one"}, "unsigned_until", false, true, -1},
};

/* ---- whole rows ---- */

/* Inside a transaction of the connection that verifies, undone after. */
static void try_sql(struct tally *t, struct store *st, const char *sql)
{
    char *why = NULL;
    struct store *was = reader;
    ck_assert_int_eq(sqlite3_exec(st->db, "BEGIN", NULL, NULL, NULL), SQLITE_OK);
    if (sqlite3_exec(st->db, sql, NULL, NULL, &why) == SQLITE_OK) {
        reader = st;
        count(t, 0, sql);
        reader = was;
    } else {
        t->refused++;
    }
    sqlite3_free(why);
    ck_assert_int_eq(sqlite3_exec(st->db, "ROLLBACK", NULL, NULL, NULL), SQLITE_OK);
}

/* %1$lld and %2$lld are the two columns that `which` selects. */
static void try_for_each(const char *name, struct store *st, const char *which, const char *sql)
{
    static int64_t pairs[4000][2];
    char one[2000];
    sqlite3_stmt *s = NULL;
    int n = 0;
    struct tally *t = tally_new(name);
    ck_assert_int_eq(sqlite3_prepare_v2(st->db, which, -1, &s, NULL), SQLITE_OK);
    while (sqlite3_step(s) == SQLITE_ROW) {
        ck_assert_int_lt(n, (int)ARRAY_LEN(pairs));
        pairs[n][0] = sqlite3_column_int64(s, 0);
        pairs[n++][1] = sqlite3_column_int64(s, 1);
    }
    sqlite3_finalize(s);
    ck_assert_int_gt(n, 0);
    for (int i = 0; i < n; i++) {
        /* two numbers, wherever they stand */
        size_t len = 0;
        for (const char *c = sql; *c; c++)
            if (*c == '$' || *c == '#')
                len += (size_t)snprintf(one + len, sizeof one - len, "%lld", (long long)pairs[i][*c == '#']);
            else
                one[len++] = *c;
        one[len] = '\0';
        try_sql(t, st, one);
    }
    must_be_right(name);
}

#define EVERY_EVENT "SELECT sitting, seq FROM events"
#define EVERY_PAIR "SELECT a.number, b.number FROM statements a, statements b WHERE a.number < b.number"
static const struct whole { const char *name, *which, *sql; } WHOLE[] = {
    {"event deleted", EVERY_EVENT, "DELETE FROM events WHERE sitting = $ AND seq = #"},
    {"event deleted, those after it moved up", EVERY_EVENT,
     "DELETE FROM events WHERE sitting = $ AND seq = #; UPDATE events SET seq = -seq WHERE sitting = $ AND seq > #;"
     "UPDATE events SET seq = -seq - 1 WHERE sitting = $ AND seq < 0; UPDATE sittings SET event_count = event_count - 1 WHERE id = $"},
    {"event added once more behind itself", EVERY_EVENT,
     "UPDATE events SET seq = -seq WHERE sitting = $ AND seq > #; UPDATE events SET seq = -seq + 1 WHERE sitting = $ AND seq < 0;"
     "INSERT INTO events SELECT sitting, seq + 1, t_ms, kind, item, value, value2, text, unix_ms, boot_ms, chain FROM events"
     " WHERE sitting = $ AND seq = #; UPDATE sittings SET event_count = event_count + 1 WHERE id = $"},
    {"event swapped with the next", "SELECT a.sitting, a.seq FROM events a JOIN events b ON b.sitting = a.sitting AND b.seq = a.seq + 1",
     "UPDATE events SET seq = 100000 WHERE sitting = $ AND seq = #; UPDATE events SET seq = # WHERE sitting = $ AND seq = # + 1;"
     "UPDATE events SET seq = # + 1 WHERE sitting = $ AND seq = 100000"},
    {"event moved to the end of another sitting", "SELECT sitting, seq FROM events WHERE sitting <> 4",
     "UPDATE events SET sitting = 4, seq = (SELECT event_count + 1 FROM sittings WHERE id = 4) WHERE sitting = $ AND seq = #;"
     "UPDATE sittings SET event_count = event_count + 1 WHERE id = 4; UPDATE sittings SET event_count = event_count - 1 WHERE id = $"},
    {"clocks of one sitting moved", "SELECT id, 3600000 FROM sittings",
     "UPDATE events SET unix_ms = unix_ms + # WHERE sitting = $; UPDATE sittings SET last_unix_ms = last_unix_ms + # WHERE id = $"},
    {"boot clocks of one sitting moved", "SELECT id, 1000 FROM sittings",
     "UPDATE events SET boot_ms = boot_ms + # WHERE sitting = $; UPDATE sittings SET last_boot_ms = last_boot_ms + # WHERE id = $"},
    {"events of two sittings exchanged", "SELECT a.id, b.id FROM sittings a, sittings b WHERE a.id < b.id",
     "UPDATE events SET sitting = -1 WHERE sitting = $; UPDATE events SET sitting = $ WHERE sitting = #;"
     "UPDATE events SET sitting = # WHERE sitting = -1"},
    {"refused attempt deleted", "SELECT sitting, n FROM attempts", "DELETE FROM attempts WHERE sitting = $ AND n = #"},
    {"refused attempt deleted and not counted", "SELECT sitting, n FROM attempts",
     "DELETE FROM attempts WHERE sitting = $ AND n = #; UPDATE sittings SET attempt_count = attempt_count - 1 WHERE id = $"},
    {"refused attempt added", "SELECT sitting, n FROM attempts",
     "INSERT INTO attempts SELECT sitting, n + 1, after_seq, t_ms, unix_ms, line, rule, have, need, is_slip FROM attempts"
     " WHERE sitting = $ AND n = #; UPDATE sittings SET attempt_count = attempt_count + 1 WHERE id = $"},
    {"refused attempt moved to another sitting", "SELECT sitting, n FROM attempts",
     "UPDATE attempts SET sitting = 3 WHERE sitting = $ AND n = #; UPDATE sittings SET attempt_count = 1 WHERE id = 3;"
     "UPDATE sittings SET attempt_count = attempt_count - 1 WHERE id = $"},
    {"statement deleted", "SELECT number, 0 FROM statements", "DELETE FROM statements WHERE number = $"},
    {"statement deleted, those after it moved up", "SELECT number, 0 FROM statements WHERE number < 16",
     "DELETE FROM statements WHERE number = $; UPDATE statements SET number = -number WHERE number > $;"
     "UPDATE statements SET number = -number - 1 WHERE number < 0"},
    {"signatures of two statements exchanged", EVERY_PAIR,
     "UPDATE statements SET signature = CASE number WHEN $ THEN (SELECT signature FROM statements WHERE number = #)"
     " ELSE (SELECT signature FROM statements WHERE number = $) END WHERE number IN ($, #)"},
    {"signature taken from a later statement", EVERY_PAIR,
     "UPDATE statements SET signature = (SELECT signature FROM statements WHERE number = #) WHERE number = $"},
    {"signature taken from an earlier statement", EVERY_PAIR,
     "UPDATE statements SET signature = (SELECT signature FROM statements WHERE number = $) WHERE number = #"},
    {"statement and signature taken from a later one", EVERY_PAIR,
     "UPDATE statements SET (text, signature) = (SELECT text, signature FROM statements WHERE number = #) WHERE number = $"},
    {"two statements exchanged", EVERY_PAIR,
     "UPDATE statements SET number = -1 WHERE number = $; UPDATE statements SET number = $ WHERE number = #;"
     "UPDATE statements SET number = # WHERE number = -1"},
    {"statement added once more at the end", "SELECT number, (SELECT max(number) + 1 FROM statements) FROM statements",
     "INSERT INTO statements (number, sitting, key, text, signature) SELECT #, sitting, key, text, signature FROM statements"
     " WHERE number = $"},
    {"statement filed with another sitting", "SELECT s.number, t.id FROM statements s, sittings t WHERE s.sitting <> t.id",
     "UPDATE statements SET sitting = # WHERE number = $"},
    {"reading deleted", "SELECT sitting, n FROM readings", "DELETE FROM readings WHERE sitting = $ AND n = #"},
    {"reading deleted and not counted", "SELECT sitting, n FROM readings",
     "DELETE FROM readings WHERE sitting = $ AND n = #; UPDATE sittings SET reading_count = reading_count - 1,"
     " counted_count = (SELECT count(*) FROM readings WHERE sitting = $ AND is_counted) WHERE id = $"},
    {"reading moved to another sitting", "SELECT sitting, n FROM readings",
     "UPDATE readings SET sitting = 2 WHERE sitting = $ AND n = #"},
    {"public keys of two people exchanged", "SELECT a.begun, b.begun FROM keys a, keys b WHERE a.begun < b.begun",
     "UPDATE keys SET public_key = CASE begun WHEN $ THEN (SELECT public_key FROM keys WHERE begun = #)"
     " ELSE (SELECT public_key FROM keys WHERE begun = $) END WHERE begun IN ($, #)"},
    {"sitting judged by another protocol", "SELECT id, 0 FROM sittings",
     "INSERT INTO protocol_texts SELECT printf('%064d', 7), replace(text, 'value = 300', 'value = 240') FROM protocol_texts;"
     "UPDATE sittings SET protocol_text = printf('%064d', 7) WHERE id = $"},
    {"sitting taken out, not the newest", "SELECT id, 0 FROM sittings WHERE id < 4",
     "DELETE FROM statements WHERE sitting = $; DELETE FROM events WHERE sitting = $; DELETE FROM attempts WHERE sitting = $;"
     "DELETE FROM readings WHERE sitting = $; DELETE FROM sittings WHERE id = $"},
    {"review stored as another", "SELECT id, n FROM sittings, (SELECT 0 AS n UNION SELECT 1 UNION SELECT 2 UNION SELECT 3"
                                 " UNION SELECT 4 UNION SELECT 5 UNION SELECT 6 UNION SELECT 7)",
     "UPDATE sittings SET review = CASE # WHEN 0 THEN 'open' WHEN 1 THEN 'before' WHEN 2 THEN 'unsigned' WHEN 3 THEN 'waiting'"
     " WHEN 4 THEN CASE review WHEN 'countersigned' THEN 'returned' ELSE 'countersigned' END WHEN 5 THEN 'returned' WHEN 6 THEN"
     " CASE review WHEN 'released' THEN 'held' ELSE 'released' END ELSE 'held' END WHERE id = $ AND review <> CASE # WHEN 3 THEN"
     " 'waiting' WHEN 5 THEN 'returned' ELSE '-' END; SELECT CASE changes() WHEN 0 THEN abs(-9223372036854775808) END"},
};

/* ---- by somebody who knows how it is made ---- */

static struct chain anew;
static sqlite3_stmt *anew_put;
static bool link_anew(void *user, const struct kept_event *k)
{
    char line[EVENT_LINE_CAP];
    (void)user;
    chain_event(&anew, line, event_print(&k->event, line), k->unix_ms, k->boot_ms);
    sqlite3_reset(anew_put);
    sqlite3_bind_blob(anew_put, 1, anew.hash, sizeof anew.hash, SQLITE_STATIC);
    sqlite3_bind_int64(anew_put, 2, k->sitting);
    sqlite3_bind_int(anew_put, 3, k->seq);
    ck_assert_int_eq(sqlite3_step(anew_put), SQLITE_DONE);
    sqlite3_reset(anew_put);
    return true;
}

/* A change of one event, and every link from there on and the sitting's end made to fit it. */
static void change_and_link(struct tally *t, struct store *st, int64_t sitting, int seq, const char *set)
{
    char sql[300], id[STORE_ID_CAP];
    struct store *was = reader;
    struct err e = {.text = ""};
    snprintf(sql, sizeof sql, "BEGIN; UPDATE events SET %s WHERE sitting = %lld AND seq = %d", set, (long long)sitting, seq);
    ck_assert_int_eq(sqlite3_exec(st->db, sql, NULL, NULL, NULL), SQLITE_OK);
    ck_assert_int_eq(sqlite3_prepare_v2(st->db, "UPDATE events SET chain = ?1 WHERE sitting = ?2 AND seq = ?3", -1, &anew_put, NULL),
                     SQLITE_OK);
    OK(store_id(st, id, &e));
    chain_begin(&anew, id, sitting);
    OK(store_kept_events(st, sitting, link_anew, NULL, &e));
    sqlite3_finalize(anew_put);
    snprintf(sql, sizeof sql, "UPDATE sittings SET chain = (SELECT chain FROM events WHERE sitting = id AND seq = event_count),"
                              " last_unix_ms = (SELECT unix_ms FROM events WHERE sitting = id AND seq = event_count) WHERE id = %lld",
             (long long)sitting);
    ck_assert_int_eq(sqlite3_exec(st->db, sql, NULL, NULL, NULL), SQLITE_OK);
    reader = st;
    count(t, sitting, "an event, its chain made anew");
    reader = was;
    ck_assert_int_eq(sqlite3_exec(st->db, "ROLLBACK", NULL, NULL, NULL), SQLITE_OK);
}

static void change_and_link_all(struct store *st)
{
    struct tally *t = tally_new("event's clock changed, its chain made anew");
    sqlite3_stmt *s = NULL;
    int64_t sittings[ROWS_MAX];
    int seqs[ROWS_MAX], n = 0;
    ck_assert_int_eq(sqlite3_prepare_v2(st->db, EVERY_EVENT, -1, &s, NULL), SQLITE_OK);
    for (; sqlite3_step(s) == SQLITE_ROW; n++) {
        ck_assert_int_lt(n, ROWS_MAX);
        sittings[n] = sqlite3_column_int64(s, 0);
        seqs[n] = sqlite3_column_int(s, 1);
    }
    sqlite3_finalize(s);
    for (int i = 0; i < n; i++)
        change_and_link(t, st, sittings[i], seqs[i], "unix_ms = unix_ms + 1");
    must_be_right("chains made anew");
}

/* Statements and sittings of a store that grew in the same way, with the same people's names. */
static void paste_from_another(struct store *st)
{
    static struct desk other;
    char path[400], sql[800];
    snprintf(path, sizeof path, "%s/other.db", hand_folder);
    desk_open(&other, path);
    desk_week(&other);
    desk_close(&other);
    snprintf(sql, sizeof sql, "ATTACH '%s' AS other", path);
    ck_assert_int_eq(sqlite3_exec(st->db, sql, NULL, NULL, NULL), SQLITE_OK);
    try_for_each("statement of another store in its place", st, "SELECT number, 0 FROM statements",
                 "UPDATE statements SET (text, signature) = (SELECT text, signature FROM other.statements AS o WHERE o.number = $)"
                 " WHERE number = $");
    try_for_each("sitting's events of another store in their place", st, "SELECT id, 0 FROM sittings",
                 "DELETE FROM events WHERE sitting = $; INSERT INTO events SELECT * FROM other.events AS o WHERE o.sitting = $;"
                 "UPDATE sittings SET (chain, salt) = (SELECT chain, salt FROM other.sittings AS o WHERE o.id = $) WHERE id = $");
    try_for_each("every statement and key of another store", st, "SELECT 1, 0",
                 "DELETE FROM statements; DELETE FROM secrets; DELETE FROM keys; INSERT INTO keys SELECT * FROM other.keys;"
                 "INSERT INTO statements (number, sitting, key, text, signature)"
                 " SELECT number, sitting, key, text, signature FROM other.statements");
    ck_assert_int_eq(sqlite3_exec(st->db, "DETACH other", NULL, NULL, NULL), SQLITE_OK);
}

/* What verify cannot know by itself it knows from a copy. */
static void take_out_the_newest(struct store *st)
{
    struct proof p;
    struct err e = {.text = ""};
    char *text = NULL;
    size_t len = 0;
    OK(export_sitting(st, 4, &text, &len, &e));
    ck_assert_int_eq(sqlite3_exec(st->db,
                                  "BEGIN; DELETE FROM statements WHERE sitting = 4; DELETE FROM events WHERE sitting = 4;"
                                  "DELETE FROM attempts WHERE sitting = 4; DELETE FROM readings WHERE sitting = 4;"
                                  "DELETE FROM sittings WHERE id = 4", NULL, NULL, NULL), SQLITE_OK);
    OK(proof_store(st, NULL, &p, &e));
    printf("the newest sitting taken out with all its statements: verify alone says %s", p.wrong ? "wrong" : "right");
    OK(proof_export_here(st, text, len, NULL, &p, &e));
    printf(", against an exported copy %s\n", p.wrong ? "wrong" : "right");
    ck_assert_int_gt(p.wrong, 0);
    free(text);
    ck_assert_int_eq(sqlite3_exec(st->db, "ROLLBACK", NULL, NULL, NULL), SQLITE_OK);
}

/* ---- all of it ---- */

static int print_tallies(const char *what)
{
    long tried = 0, found = 0, refused = 0;
    for (int i = 0; i < tally_count; i++) {
        const struct tally *t = &tallies[i];
        printf("  %-55s tried %6ld, found %6ld, missed %ld\n", t->name, t->tried, t->found, t->tried - t->found);
        tried += t->tried;
        found += t->found;
        refused += t->refused;
    }
    printf("tampered (%s): tried %ld, found %ld, missed %ld; %ld more were refused by the form of the file\n", what, tried, found,
           tried - found, refused);
    fflush(stdout);
    return (int)(tried - found);
}

static void open_tampered(void)
{
    static struct desk d;
    const char *how = getenv("STILLARM_TAMPER");
    is_thorough = how && strcmp(how, "all") == 0;
    desk_open(&d, hand_path);
    desk_week(&d);
    desk_close(&d);
    reader = hand_open(STORE_READ);
    ck_assert_int_eq(sqlite3_open_v2(hand_path, &file, SQLITE_OPEN_READWRITE, NULL), SQLITE_OK);
    ck_assert_int_eq(sqlite3_db_config(file, SQLITE_DBCONFIG_ENABLE_TRIGGER, 0, NULL), SQLITE_OK);
    ck_assert_int_eq(sqlite3_exec(file, "PRAGMA ignore_check_constraints = ON; PRAGMA foreign_keys = OFF; PRAGMA synchronous = OFF",
                                  NULL, NULL, NULL), SQLITE_OK);
    must_be_right("a week at the desk");
}

static void close_tampered(void)
{
    store_close(reader);
    sqlite3_close(file);
}

START_TEST(every_value_of_every_event_is_held)
{
    open_tampered();
    for (size_t i = 0; i < ARRAY_LEN(EVENTS); i++)
        change_every_value(&EVENTS[i]);
    ck_assert_int_eq(print_tallies("events, value by value"), 0);
    close_tampered();
}
END_TEST

START_TEST(every_other_value_that_is_signed_or_follows_from_it_is_held)
{
    open_tampered();
    for (size_t i = 0; i < ARRAY_LEN(OTHERS); i++)
        change_every_value(&OTHERS[i]);
    ck_assert_int_eq(print_tallies("all other rows, value by value"), 0);
    printf("not held on purpose: sittings.touch (which open one was used last), sittings.subject forgotten (NULL),"
           " people, kit and settings but for what statements say of them\n");
    close_tampered();
}
END_TEST

START_TEST(rows_deleted_added_moved_and_exchanged_are_found)
{
    open_tampered();
    struct store *st = hand_open(STORE_WRITE);
    ck_assert_int_eq(sqlite3_db_config(st->db, SQLITE_DBCONFIG_ENABLE_TRIGGER, 0, NULL), SQLITE_OK);
    ck_assert_int_eq(sqlite3_exec(st->db, "PRAGMA foreign_keys = OFF; PRAGMA ignore_check_constraints = ON", NULL, NULL, NULL), SQLITE_OK);
    for (size_t i = 0; i < ARRAY_LEN(WHOLE); i++)
        try_for_each(WHOLE[i].name, st, WHOLE[i].which, WHOLE[i].sql);
    change_and_link_all(st);
    paste_from_another(st);
    take_out_the_newest(st);
    ck_assert_int_eq(print_tallies("whole rows"), 0);
    store_close(st);
    close_tampered();
}
END_TEST

int main(void)
{
    Suite *s = suite_create("tamper");
    TCase *t = tcase_create("tamper");
    tcase_set_timeout(t, 3000);
    tcase_add_checked_fixture(t, hand_setup, hand_teardown);
    tcase_add_test(t, every_value_of_every_event_is_held);
    tcase_add_test(t, every_other_value_that_is_signed_or_follows_from_it_is_held);
    tcase_add_test(t, rows_deleted_added_moved_and_exchanged_are_found);
    suite_add_tcase(s, t);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
