/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file schema.c  The tables, and how a file gets from one version to the next. Only forward. */
#include "store/internal.h"

/* Kinds and rules are checked by their form and not against a list: a list would have to be rebuilt, and with it every
 * row that is signed by then, each time the engine learns a word. */
#define IS_ITEM(c) "length(" c ") BETWEEN 1 AND 32 AND " c " GLOB '[A-Za-z0-9]*' AND " c " NOT GLOB '*[^A-Za-z0-9.-]*'"
#define IS_WORD(c) "length(" c ") BETWEEN 1 AND 32 AND " c " NOT GLOB '*[^a-z.-]*'"
#define IS_DATE(c) c " BETWEEN 19000101 AND 29991231"
#define IS_FLAG(c) c " IN (0, 1)"
#define IS_MMHG(c) c " BETWEEN 0 AND 300"
#define IS_TIME(c) c " BETWEEN 0 AND 999999999999"
/* The words of the numbers 1 to 24, and nothing that only looks like one. */
#define IS_INTERVAL(c) "(" c " = CAST(CAST(" c " AS INTEGER) AS TEXT) AND CAST(" c " AS INTEGER) BETWEEN 1 AND 24)"
/* What a sitting says it is for: the last word counts. */
#define PURPOSE_OF(id)                                                                                                \
    "(SELECT item FROM main.events WHERE sitting = " id " AND kind = 'purpose'"                                       \
    " AND item IN ('practice', 'service', 'assessment') ORDER BY seq DESC LIMIT 1)"
#define REFUSE_CHANGE(table)                                                                                          \
    "CREATE TRIGGER " table "_no_update BEFORE UPDATE ON " table                                                      \
    " BEGIN SELECT RAISE(ABORT, '" table ": what is recorded is never changed'); END;"                                \
    "CREATE TRIGGER " table "_no_delete BEFORE DELETE ON " table                                                      \
    " BEGIN SELECT RAISE(ABORT, '" table ": what is recorded is never deleted'); END;"

static const char PEOPLE_AND_KIT[] =
    "CREATE TABLE people ("
    " id TEXT PRIMARY KEY CHECK (" IS_ITEM("id") "),"
    " name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 127),"
    " role TEXT NOT NULL CHECK (role IN ('trainee', 'technician', 'preceptor')),"
    " is_retired INTEGER NOT NULL DEFAULT 0 CHECK (" IS_FLAG("is_retired") ")"
    ") STRICT, WITHOUT ROWID;"
    /* One table for gauges and cuffs: they share one space of ids, so that one word on the command line is enough. */
    "CREATE TABLE kit ("
    " id TEXT PRIMARY KEY CHECK (" IS_ITEM("id") "),"
    " what TEXT NOT NULL CHECK (what IN ('gauge', 'cuff')),"
    " name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 127),"
    " top_mmhg INTEGER CHECK (top_mmhg BETWEEN 200 AND 300 AND top_mmhg % 2 = 0),"
    " due INTEGER CHECK (due = 0 OR " IS_DATE("due") "),"
    " low_mm INTEGER CHECK (low_mm BETWEEN 100 AND 700),"
    " high_mm INTEGER CHECK (high_mm BETWEEN 100 AND 700),"
    " is_retired INTEGER NOT NULL DEFAULT 0 CHECK (" IS_FLAG("is_retired") "),"
    " CHECK (CASE what WHEN 'gauge'"
    "  THEN top_mmhg IS NOT NULL AND due IS NOT NULL AND low_mm IS NULL AND high_mm IS NULL"
    "  ELSE top_mmhg IS NULL AND due IS NULL AND low_mm IS NOT NULL AND high_mm IS NOT NULL AND low_mm < high_mm END)"
    ") STRICT, WITHOUT ROWID;"
    "CREATE TABLE gauge_checks ("
    " id INTEGER PRIMARY KEY,"
    " gauge TEXT NOT NULL REFERENCES kit (id),"
    " what TEXT NOT NULL CHECK (what IN ('leak', 'comparison')),"
    " value INTEGER NOT NULL CHECK (value BETWEEN 0 AND 100),"
    " date INTEGER NOT NULL CHECK (" IS_DATE("date") ")"
    ") STRICT;"
    "CREATE INDEX gauge_checks_latest ON gauge_checks (gauge, what, date);"
    "CREATE TABLE settings ("
    " name TEXT PRIMARY KEY CHECK (" IS_ITEM("name") "),"
    " value TEXT NOT NULL CHECK (length(value) <= 500)"
    ") STRICT, WITHOUT ROWID;"
    "CREATE TABLE counters ("
    " name TEXT PRIMARY KEY, value INTEGER NOT NULL CHECK (value >= 0)"
    ") STRICT, WITHOUT ROWID;"
    "INSERT INTO counters (name, value) VALUES ('code', 0);";

static const char SITTINGS[] =
    "CREATE TABLE protocol_texts ("
    " hash TEXT PRIMARY KEY CHECK (length(hash) = 64 AND hash NOT GLOB '*[^0-9a-f]*'),"
    " text TEXT NOT NULL"
    ") STRICT;"
    /* touch orders the open sittings by who was written to last; a wall clock that is set back cannot mislead it. */
    "CREATE TABLE sittings ("
    " id INTEGER PRIMARY KEY CHECK (id > 0),"
    " protocol_text TEXT NOT NULL REFERENCES protocol_texts (hash),"
    " phase TEXT NOT NULL CHECK (phase IN ('open', 'sealed', 'stopped')),"
    " protocol TEXT NOT NULL CHECK (" IS_ITEM("protocol") "),"
    " measurer TEXT CHECK (" IS_ITEM("measurer") "),"
    " subject TEXT CHECK (" IS_ITEM("subject") "),"
    " salt BLOB CHECK (length(salt) = 16),"
    " opened TEXT CHECK (length(opened) BETWEEN 1 AND 39),"
    " day INTEGER NOT NULL DEFAULT 0 CHECK (day = 0 OR " IS_DATE("day") "),"
    " event_count INTEGER NOT NULL CHECK (event_count >= 0),"
    " reading_count INTEGER NOT NULL DEFAULT 0 CHECK (reading_count >= 0),"
    " counted_count INTEGER NOT NULL DEFAULT 0 CHECK (counted_count BETWEEN 0 AND reading_count),"
    " attempt_count INTEGER NOT NULL DEFAULT 0 CHECK (attempt_count >= 0),"
    " last_ms INTEGER NOT NULL CHECK (" IS_TIME("last_ms") "),"
    " last_unix_ms INTEGER NOT NULL,"
    " last_boot_ms INTEGER NOT NULL,"
    " boot TEXT NOT NULL CHECK (length(boot) <= 39),"
    " touch INTEGER NOT NULL,"
    " CHECK (subject IS NULL OR salt IS NOT NULL)"
    ") STRICT;"
    "CREATE INDEX sittings_open ON sittings (touch) WHERE phase = 'open';"
    "CREATE INDEX sittings_day ON sittings (day, phase);"
    "CREATE INDEX sittings_subject ON sittings (subject) WHERE subject IS NOT NULL;"
    "CREATE TRIGGER sittings_no_delete BEFORE DELETE ON sittings"
    " BEGIN SELECT RAISE(ABORT, 'sittings: what is recorded is never deleted'); END;"
    "CREATE TRIGGER sittings_stay_closed BEFORE UPDATE OF phase ON sittings"
    " WHEN OLD.phase <> 'open' AND NEW.phase <> OLD.phase"
    " BEGIN SELECT RAISE(ABORT, 'sittings: a closed sitting is not opened again'); END;"
    "CREATE TRIGGER sittings_no_replace BEFORE INSERT ON sittings"
    " WHEN EXISTS (SELECT 1 FROM sittings WHERE id = NEW.id)"
    " BEGIN SELECT RAISE(ABORT, 'sittings: what is recorded is never replaced'); END;"
    "CREATE TRIGGER protocol_texts_no_replace BEFORE INSERT ON protocol_texts"
    " WHEN EXISTS (SELECT 1 FROM protocol_texts WHERE hash = NEW.hash)"
    " BEGIN SELECT RAISE(ABORT, 'protocol_texts: what is recorded is never replaced'); END;"
    /* A code can be forgotten, not exchanged for another: the hash in the events would no longer be its own. */
    "CREATE TRIGGER sittings_subject_only_forgotten BEFORE UPDATE OF subject ON sittings"
    " WHEN OLD.subject IS NOT NULL AND NEW.subject IS NOT NULL AND NEW.subject <> OLD.subject"
    " BEGIN SELECT RAISE(ABORT, 'sittings: a subject is not exchanged'); END;" REFUSE_CHANGE("protocol_texts");

static const char EVENTS[] =
    "CREATE TABLE events ("
    " sitting INTEGER NOT NULL REFERENCES sittings (id),"
    " seq INTEGER NOT NULL CHECK (seq > 0),"
    " t_ms INTEGER NOT NULL CHECK (" IS_TIME("t_ms") "),"
    " kind TEXT NOT NULL CHECK (" IS_WORD("kind") "),"
    " item TEXT CHECK (" IS_ITEM("item") "),"
    " value INTEGER CHECK (abs(value) <= 999999999999),"
    " value2 INTEGER CHECK (abs(value2) <= 999999999999),"
    " text TEXT CHECK (length(text) BETWEEN 1 AND 500),"
    " PRIMARY KEY (sitting, seq),"
    /* The code itself never gets into a row that will be signed. */
    " CHECK (kind <> 'subject' OR (length(item) = 32 AND item NOT GLOB '*[^0-9a-f]*'))"
    ") STRICT, WITHOUT ROWID;"
    /* Also keeps INSERT OR REPLACE from rewriting a row: that fires no delete trigger unless a connection asks for it. */
    "CREATE TRIGGER events_in_order BEFORE INSERT ON events"
    " WHEN NOT EXISTS (SELECT 1 FROM sittings WHERE id = NEW.sitting AND phase = 'open'"
    "  AND event_count + 1 = NEW.seq)"
    " BEGIN SELECT RAISE(ABORT, 'events: not the next event of an open sitting'); END;"
    "CREATE TABLE attempts ("
    " sitting INTEGER NOT NULL REFERENCES sittings (id),"
    " n INTEGER NOT NULL CHECK (n > 0),"
    " after_seq INTEGER NOT NULL CHECK (after_seq >= 0),"
    " t_ms INTEGER NOT NULL CHECK (" IS_TIME("t_ms") "),"
    " unix_ms INTEGER NOT NULL,"
    " line TEXT NOT NULL CHECK (length(line) BETWEEN 1 AND 2100),"
    " rule TEXT NOT NULL CHECK (" IS_WORD("rule") "),"
    " have TEXT NOT NULL CHECK (length(have) <= 79),"
    " need TEXT NOT NULL CHECK (length(need) <= 79),"
    " is_slip INTEGER NOT NULL CHECK (" IS_FLAG("is_slip") "),"
    " PRIMARY KEY (sitting, n)"
    ") STRICT, WITHOUT ROWID;"
    "CREATE TRIGGER attempts_in_order BEFORE INSERT ON attempts"
    " WHEN NOT EXISTS (SELECT 1 FROM sittings WHERE id = NEW.sitting AND attempt_count + 1 = NEW.n)"
    " BEGIN SELECT RAISE(ABORT, 'attempts: not the next attempt of its sitting'); END;"
    REFUSE_CHANGE("events") REFUSE_CHANGE("attempts")
    "CREATE TABLE readings ("
    " sitting INTEGER NOT NULL REFERENCES sittings (id),"
    " n INTEGER NOT NULL CHECK (n BETWEEN 1 AND 64),"
    " arm TEXT NOT NULL CHECK (arm IN ('left', 'right', '-')),"
    " target_mmhg INTEGER CHECK (" IS_MMHG("target_mmhg") "),"
    " first_mmhg INTEGER CHECK (" IS_MMHG("first_mmhg") "),"
    " muffling_mmhg INTEGER CHECK (" IS_MMHG("muffling_mmhg") "),"
    " last_mmhg INTEGER CHECK (" IS_MMHG("last_mmhg") "),"
    " inflate_ms INTEGER NOT NULL CHECK (" IS_TIME("inflate_ms") "),"
    " is_counted INTEGER NOT NULL CHECK (" IS_FLAG("is_counted") "),"
    " reasons TEXT NOT NULL CHECK (length(reasons) BETWEEN 1 AND 200),"
    " remarks TEXT NOT NULL CHECK (length(remarks) BETWEEN 1 AND 200),"
    " PRIMARY KEY (sitting, n),"
    " CHECK (is_counted = 0 OR reasons = '-')"
    ") STRICT, WITHOUT ROWID;";

/*
 * SQLite changes no CHECK in place, so the checks move into a table that also knows the zero check. Nothing refers to
 * them yet; from here on the points of a comparison do.
 */
static const char CHECKS_THAT_VOUCH[] =
    "ALTER TABLE gauge_checks RENAME TO gauge_checks_1;"
    "CREATE TABLE gauge_checks ("
    " id INTEGER PRIMARY KEY,"
    " gauge TEXT NOT NULL REFERENCES kit (id),"
    " what TEXT NOT NULL CHECK (what IN ('leak', 'zero', 'comparison')),"
    " value INTEGER NOT NULL CHECK (value BETWEEN 0 AND 100),"
    " date INTEGER NOT NULL CHECK (" IS_DATE("date") ")"
    ") STRICT;"
    "INSERT INTO gauge_checks SELECT id, gauge, what, value, date FROM gauge_checks_1;"
    "DROP TABLE gauge_checks_1;"
    "CREATE INDEX gauge_checks_latest ON gauge_checks (gauge, what, date);"
    "CREATE TABLE check_points ("
    " gauge_check INTEGER NOT NULL REFERENCES gauge_checks (id),"
    " n INTEGER NOT NULL CHECK (n BETWEEN 1 AND 12),"
    " reference_mmhg INTEGER NOT NULL CHECK (" IS_MMHG("reference_mmhg") " AND reference_mmhg % 2 = 0),"
    " reading_mmhg INTEGER NOT NULL CHECK (" IS_MMHG("reading_mmhg") "),"
    " PRIMARY KEY (gauge_check, n)"
    ") STRICT, WITHOUT ROWID;"
    "ALTER TABLE kit ADD COLUMN bladder_width_mm INTEGER CHECK (bladder_width_mm BETWEEN 30 AND 700);"
    "ALTER TABLE kit ADD COLUMN bladder_length_mm INTEGER CHECK (bladder_length_mm BETWEEN 30 AND 700"
    " AND CASE WHEN bladder_length_mm IS NULL THEN bladder_width_mm IS NULL"
    "  ELSE what = 'cuff' AND bladder_width_mm IS NOT NULL AND bladder_width_mm < bladder_length_mm"
    "   AND bladder_length_mm <= high_mm END);"
    /* The one setting that other dates are worked out from. */
    "CREATE TRIGGER settings_interval_put BEFORE INSERT ON settings"
    " WHEN NEW.name = '" INTERVAL_SETTING "' AND NOT " IS_INTERVAL("NEW.value")
    " BEGIN SELECT RAISE(ABORT, 'settings: no interval between calibrations'); END;"
    "CREATE TRIGGER settings_interval_change BEFORE UPDATE ON settings"
    " WHEN NEW.name = '" INTERVAL_SETTING "' AND NOT " IS_INTERVAL("NEW.value")
    " BEGIN SELECT RAISE(ABORT, 'settings: no interval between calibrations'); END;";

#define IS_HEX(c, n) "length(" c ") = " n " AND " c " NOT GLOB '*[^0-9a-f]*'"
#define REFUSE_REPLACE(table, key)                                                                                    \
    "CREATE TRIGGER " table "_no_replace BEFORE INSERT ON " table                                                     \
    " WHEN EXISTS (SELECT 1 FROM " table " WHERE " key " = NEW." key ")"                                              \
    " BEGIN SELECT RAISE(ABORT, '" table ": what is recorded is never replaced'); END;"
/* A statement's columns are only handles to its text: they may not say anything else. */
#define SAYS_LINE(name, column) "instr(text, char(10) || '" name " ' || " column " || char(10)) > 0"

static const char KEYS_AND_STATEMENTS[] =
    "CREATE TABLE facts ("
    " one INTEGER PRIMARY KEY CHECK (one = 1),"
    " id TEXT NOT NULL CHECK (" IS_HEX("id", "32") "),"
    " unsigned_until INTEGER NOT NULL CHECK (unsigned_until >= 0)"
    ") STRICT;"
    "INSERT INTO facts SELECT 1, lower(hex(randomblob(16))), coalesce(max(id), 0) FROM sittings;"
    REFUSE_CHANGE("facts") REFUSE_REPLACE("facts", "one")
    /* kind is worked out from the text, so that nobody can hide a statement by calling it another. */
    "CREATE TABLE statements ("
    " number INTEGER PRIMARY KEY CHECK (number > 0 AND " SAYS_LINE("number", "number") "),"
    " sitting INTEGER REFERENCES sittings (id) CHECK (CASE WHEN sitting IS NULL"
    "  THEN instr(text, char(10) || 'sitting ') = 0 ELSE " SAYS_LINE("sitting", "sitting") " END),"
    " key TEXT NOT NULL REFERENCES keys (id) CHECK (" SAYS_LINE("key", "key") "),"
    " text TEXT NOT NULL CHECK (length(text) BETWEEN 1 AND 4200),"
    " signature BLOB NOT NULL CHECK (length(signature) = 64),"
    " kind TEXT AS (substr(text, 27, instr(substr(text, 27, 32), char(10)) - 1)) VIRTUAL"
    ") STRICT;"
    "CREATE INDEX statements_sitting ON statements (sitting) WHERE sitting IS NOT NULL;"
    "CREATE INDEX statements_of_keys ON statements (kind) WHERE kind IN (" KINDS_OF_KEYS ");"
    "CREATE TRIGGER statements_in_order BEFORE INSERT ON statements"
    " WHEN NEW.number <> (SELECT coalesce(max(number), 0) + 1 FROM statements)"
    " BEGIN SELECT RAISE(ABORT, 'statements: not the next statement'); END;" REFUSE_CHANGE("statements")
    /* A key and the statement with which it begins are one act. */
    "CREATE TABLE keys ("
    " id TEXT PRIMARY KEY CHECK (" IS_HEX("id", "32") "),"
    " person TEXT NOT NULL CHECK (" IS_ITEM("person") "),"
    " role TEXT NOT NULL CHECK (role IN ('trainee', 'technician', 'preceptor', 'course')),"
    " public_key BLOB NOT NULL CHECK (length(public_key) = 32),"
    " begun INTEGER NOT NULL UNIQUE REFERENCES statements (number) DEFERRABLE INITIALLY DEFERRED"
    ") STRICT, WITHOUT ROWID;"
    "CREATE INDEX keys_person ON keys (person);" REFUSE_CHANGE("keys") REFUSE_REPLACE("keys", "id")
    "CREATE TABLE secrets ("
    " key TEXT PRIMARY KEY REFERENCES keys (id),"
    " salt BLOB NOT NULL CHECK (length(salt) = 16),"
    " nonce BLOB NOT NULL CHECK (length(nonce) = 24),"
    " box BLOB NOT NULL CHECK (length(box) = 80),"
    " ops INTEGER NOT NULL CHECK (ops > 0),"
    " memory_bytes INTEGER NOT NULL CHECK (memory_bytes > 0)"
    ") STRICT, WITHOUT ROWID;"
    "CREATE TABLE tries ("
    " person TEXT PRIMARY KEY CHECK (" IS_ITEM("person") "),"
    " wrong INTEGER NOT NULL CHECK (wrong > 0),"
    " unix_ms INTEGER NOT NULL,"
    " boot_ms INTEGER NOT NULL,"
    " boot TEXT NOT NULL CHECK (length(boot) <= 39)"
    ") STRICT, WITHOUT ROWID;";

static const char SITTINGS_UNDER_REVIEW[] =
    "ALTER TABLE events ADD COLUMN unix_ms INTEGER;"
    "ALTER TABLE events ADD COLUMN boot_ms INTEGER;"
    "ALTER TABLE events ADD COLUMN chain BLOB CHECK (length(chain) = 32);"
    "ALTER TABLE sittings ADD COLUMN review TEXT NOT NULL DEFAULT 'open' CHECK (review IN ('open', 'before',"
    " 'unsigned', 'waiting', 'returned', 'countersigned', 'held', 'released'));"
    "ALTER TABLE sittings ADD COLUMN purpose TEXT CHECK (purpose IN ('practice', 'service', 'assessment'));"
    "ALTER TABLE sittings ADD COLUMN witness TEXT CHECK (" IS_ITEM("witness") ");"
    "ALTER TABLE sittings ADD COLUMN chain BLOB CHECK (length(chain) = 32);"
    "ALTER TABLE sittings ADD COLUMN last_statement INTEGER REFERENCES statements (number);"
    "UPDATE sittings SET review = CASE phase WHEN 'open' THEN 'open' ELSE 'before' END, purpose = " PURPOSE_OF("id") ";"
    /* Each queue is one word of review, and a person's own are what she is asked for. None of these columns changes with
     * an event that is not the opening's or the last. */
    "CREATE INDEX sittings_review ON sittings (review);"
    "CREATE INDEX sittings_mine ON sittings (measurer, review);"
    "CREATE INDEX sittings_measurer ON sittings (measurer);"
    "CREATE INDEX sittings_purpose ON sittings (purpose);"
    "CREATE INDEX sittings_phase ON sittings (phase);"
    "DROP TRIGGER events_in_order;"
    "CREATE TRIGGER events_in_order BEFORE INSERT ON events"
    " WHEN NEW.unix_ms IS NULL OR NEW.boot_ms IS NULL OR NEW.chain IS NULL"
    "  OR NOT EXISTS (SELECT 1 FROM sittings WHERE id = NEW.sitting AND phase = 'open' AND event_count + 1 = NEW.seq)"
    " BEGIN SELECT RAISE(ABORT, 'events: not the next event of an open sitting'); END;"
    /* The last event signs how many attempts there were. */
    "DROP TRIGGER attempts_in_order;"
    "CREATE TRIGGER attempts_in_order BEFORE INSERT ON attempts"
    " WHEN NOT EXISTS (SELECT 1 FROM sittings WHERE id = NEW.sitting AND phase = 'open'"
    "  AND attempt_count + 1 = NEW.n)"
    " BEGIN SELECT RAISE(ABORT, 'attempts: not the next attempt of an open sitting'); END;";

/* MIGRATIONS[v] leads from version v to v + 1. A row that was released is never edited: files of that version exist. */
static const char *const MIGRATIONS[][4] = {
    {PEOPLE_AND_KIT, SITTINGS, EVENTS, NULL},
    {CHECKS_THAT_VOUCH, NULL},
    {KEYS_AND_STATEMENTS, SITTINGS_UNDER_REVIEW, NULL},
};
_Static_assert(ARRAY_LEN(MIGRATIONS) == STORE_VERSION, "one row per version");

/*
 * OLDER_AS_NEW[v] lets a connection that may only read look at a file of version v as if it were one of version v + 1:
 * temporary names that come before those of the file. No two steps may give the same name.
 */
static const char *const OLDER_AS_NEW[] = {
    NULL,
    "CREATE TEMP VIEW kit AS SELECT *, NULL AS bladder_width_mm, NULL AS bladder_length_mm FROM main.kit;"
    "CREATE TEMP VIEW check_points AS SELECT 0 AS gauge_check, 0 AS n, 0 AS reference_mmhg, 0 AS reading_mmhg WHERE 0;",
    "CREATE TEMP VIEW facts AS SELECT 1 AS one, '00000000000000000000000000000000' AS id,"
    " (SELECT coalesce(max(id), 0) FROM main.sittings) AS unsigned_until;"
    "CREATE TEMP VIEW statements AS SELECT 0 AS number, 0 AS sitting, '' AS key, '' AS text, x'' AS signature,"
    " '' AS kind WHERE 0;"
    "CREATE TEMP VIEW keys AS SELECT '' AS id, '' AS person, '' AS role, x'' AS public_key, 0 AS begun WHERE 0;"
    "CREATE TEMP VIEW secrets AS SELECT '' AS key, x'' AS salt, x'' AS nonce, x'' AS box, 0 AS ops,"
    " 0 AS memory_bytes WHERE 0;"
    "CREATE TEMP VIEW tries AS SELECT '' AS person, 0 AS wrong, 0 AS unix_ms, 0 AS boot_ms, '' AS boot WHERE 0;"
    "CREATE TEMP VIEW events AS SELECT *, NULL AS unix_ms, NULL AS boot_ms, NULL AS chain FROM main.events;"
    "CREATE TEMP VIEW sittings AS SELECT *, CASE phase WHEN 'open' THEN 'open' ELSE 'before' END AS review,"
    " " PURPOSE_OF("id") " AS purpose, NULL AS witness, NULL AS chain, NULL AS last_statement FROM main.sittings;",
};
_Static_assert(ARRAY_LEN(OLDER_AS_NEW) == STORE_VERSION, "one row per version that is not the newest");

enum status store_read_as_new(struct store *st, int version, struct err *e)
{
    int rc = sqlite3_exec(st->db, "PRAGMA temp_store = MEMORY", NULL, NULL, NULL);
    for (int v = version; rc == SQLITE_OK && v < STORE_VERSION; v++)
        rc = sqlite3_exec(st->db, OLDER_AS_NEW[v], NULL, NULL, NULL);
    if (rc != SQLITE_OK)
        return store_fail(st, "reading a store of an older version", e);
    return ST_OK;
}

enum status store_migrate(struct store *st, int from_version, struct err *e)
{
    for (int v = from_version; v < STORE_VERSION; v++) {
        for (int i = 0; MIGRATIONS[v][i]; i++)
            if (sqlite3_exec(st->db, MIGRATIONS[v][i], NULL, NULL, NULL) != SQLITE_OK)
                return store_fail(st, "bringing the store to this version", e);
        char *set = sqlite3_mprintf("PRAGMA user_version = %d; PRAGMA application_id = %d", v + 1,
                                    STORE_APPLICATION_ID);
        int rc = set ? sqlite3_exec(st->db, set, NULL, NULL, NULL) : SQLITE_NOMEM;
        sqlite3_free(set);
        if (rc != SQLITE_OK)
            return store_fail(st, "bringing the store to this version", e);
    }
    return ST_OK;
}
