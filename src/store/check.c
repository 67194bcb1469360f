/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file check.c  Does the store contradict itself? Names the first thing that is wrong. */
#include <stdio.h>
#include <string.h>

#include "store/internal.h"
#include "stillarm/text.h"

static const char CHECKING[] = "Checking the store";

/** Each finds what must not be: the number of a sitting or the name of something else, and what is wrong with it. */
struct contradiction {
    const char *sql, *sentence; /* goes on after `S-014 ` or `g1 ` */
};

/* CROSS JOIN keeps the order in which the tables are named: the other one looks up a sitting for each of its events. */

/* These show as well to whoever replays every event in its place. */
static const struct contradiction OF_EVENTS[] = {
    {"SELECT s.id FROM sittings AS s WHERE s.event_count <> (SELECT count(*) FROM events WHERE sitting = s.id)"
     " OR s.event_count < 1 LIMIT 1",
     "does not hold as many events as it says"},
    {"SELECT sitting FROM events GROUP BY sitting HAVING min(seq) <> 1 OR max(seq) <> count(*) LIMIT 1",
     "has a gap in the numbers of its events"},
    {"SELECT sitting FROM events WHERE (kind = 'protocol') <> (seq = 1) LIMIT 1",
     "does not begin with its protocol, or names it again"},
    {"SELECT id FROM sittings WHERE phase <> CASE"
     " (SELECT kind FROM events WHERE sitting = id ORDER BY seq DESC LIMIT 1)"
     " WHEN 'seal' THEN 'sealed' WHEN 'stop' THEN 'stopped' ELSE 'open' END LIMIT 1",
     "is not in the state that its last event left it in"},
    {"SELECT e.sitting FROM events AS e JOIN sittings AS s ON s.id = e.sitting"
     " WHERE e.kind IN ('seal', 'stop') AND e.seq < s.event_count LIMIT 1",
     "goes on after its end"},
    {"SELECT b.sitting FROM events AS a CROSS JOIN events AS b ON b.sitting = a.sitting AND b.seq = a.seq + 1"
     " WHERE b.t_ms < a.t_ms AND b.kind <> 'resume' LIMIT 1",
     "has an event that is earlier than the one before it"},
    {"SELECT s.id FROM sittings AS s CROSS JOIN events AS e ON e.sitting = s.id AND e.seq = s.event_count"
     " WHERE e.chain IS NOT s.chain LIMIT 1",
     "does not hold the hash of its last event"},
    {"SELECT sitting FROM events WHERE chain IS NULL AND sitting > (SELECT unsigned_until FROM facts) LIMIT 1",
     "has an event without a hash"},
};

static const struct contradiction CONTRADICTIONS[] = {
    /* A text is read up to a NUL, but found by all of it: what stands behind one would hide a row from who looks for it. */
    {"SELECT id FROM sittings WHERE instr(coalesce(measurer, '') || coalesce(subject, '') || coalesce(opened, '') || protocol"
     " || boot || coalesce(witness, ''), char(0)) > 0 LIMIT 1",
     "holds a byte that no text has"},
    {"SELECT sitting FROM readings WHERE instr(reasons || remarks, char(0)) > 0 LIMIT 1", "holds a byte that no text has"},
    {"SELECT id FROM people WHERE instr(id || name, char(0)) > 0 LIMIT 1", "holds a byte that no text has"},
    {"SELECT id FROM kit WHERE instr(id || name, char(0)) > 0 LIMIT 1", "holds a byte that no text has"},
    {"SELECT name FROM settings WHERE instr(name || value, char(0)) > 0 LIMIT 1", "holds a byte that no text has"},
    {"SELECT s.id FROM sittings AS s WHERE s.attempt_count <> (SELECT count(*) FROM attempts WHERE sitting = s.id)"
     " OR s.attempt_count <> (SELECT coalesce(max(n), 0) FROM attempts WHERE sitting = s.id) LIMIT 1",
     "does not hold as many refused attempts as it says"},
    {"SELECT s.id FROM sittings AS s WHERE s.reading_count <> (SELECT count(*) FROM readings WHERE sitting = s.id)"
     " OR s.counted_count <> (SELECT count(*) FROM readings WHERE sitting = s.id AND is_counted = 1) LIMIT 1",
     "does not hold as many readings as it says"},
    {"SELECT id FROM sittings WHERE subject IS NOT NULL"
     " AND NOT EXISTS (SELECT 1 FROM events WHERE sitting = id AND kind = 'subject') LIMIT 1",
     "names a subject that its events do not"},
    {"SELECT c.gauge FROM gauge_checks AS c JOIN kit AS k ON k.id = c.gauge WHERE k.what <> 'gauge' LIMIT 1",
     "is no gauge and was checked like one"},
    {"SELECT c.gauge FROM gauge_checks AS c JOIN check_points AS p ON p.gauge_check = c.id GROUP BY c.id"
     " HAVING c.what <> 'comparison' OR min(p.n) <> 1 OR max(p.n) <> count(*) OR count(*) < 2"
     " OR c.value <> max(abs(p.reference_mmhg - p.reading_mmhg)) LIMIT 1",
     "has a comparison whose points do not give its result"},
    {"SELECT c.gauge FROM gauge_checks AS c JOIN check_points AS p ON p.gauge_check = c.id"
     " JOIN kit AS k ON k.id = c.gauge WHERE max(p.reference_mmhg, p.reading_mmhg) > k.top_mmhg LIMIT 1",
     "has a comparison with a point beyond its scale"},
    {"SELECT id FROM kit WHERE bladder_width_mm >= bladder_length_mm OR bladder_length_mm > high_mm"
     " OR (bladder_width_mm IS NULL) <> (bladder_length_mm IS NULL) LIMIT 1",
     "has a bladder that does not go with it"},
    {"SELECT id FROM sittings WHERE (phase = 'open') <> (review = 'open')"
     " OR (review IN ('open', 'before', 'unsigned')) <> (last_statement IS NULL)"
     " OR (review = 'before' AND id > (SELECT unsigned_until FROM facts)) LIMIT 1",
     "is not where its review says"},
    {"SELECT s.id FROM sittings AS s WHERE s.last_statement IS NOT"
     " (SELECT max(number) FROM statements WHERE sitting = s.id) LIMIT 1",
     "does not name the last statement about it"},
    {"SELECT 'statement ' || max(number) FROM statements HAVING max(number) <> count(*)",
     "is not the last of as many as its number says"},
    {"SELECT 'statement ' || number FROM statements WHERE instr(text, char(10) || 'number ' || number || char(10)) = 0"
     " OR instr(text, char(10) || 'key ' || key || char(10)) = 0 OR CASE WHEN sitting IS NULL"
     "  THEN instr(text, char(10) || 'sitting ') > 0"
     "  ELSE instr(text, char(10) || 'sitting ' || sitting || char(10)) = 0 END LIMIT 1",
     "does not say what its row says"},
    {"SELECT k.id FROM keys AS k LEFT JOIN statements AS n ON n.number = k.begun WHERE n.number IS NULL OR n.key <> k.id"
     " OR n.kind NOT IN ('key', 'course') OR instr(n.text, char(10) || 'person ' || k.person || char(10)) = 0"
     " OR instr(n.text, char(10) || 'role ' || k.role || char(10)) = 0"
     " OR instr(n.text, char(10) || 'of-public ' || lower(hex(k.public_key)) || char(10)) = 0 LIMIT 1",
     "is a key that no statement begins"},
    {"SELECT 'statement ' || n.number FROM statements AS n LEFT JOIN keys AS k ON k.begun = n.number"
     " WHERE n.kind IN ('key', 'course') AND k.id IS NULL LIMIT 1",
     "begins a key that is not there"},
    {"SELECT k.person FROM secrets AS s JOIN keys AS k ON k.id = s.key GROUP BY k.person HAVING count(*) > 1 LIMIT 1",
     "has two keys in use"},
    {"SELECT k.person FROM secrets AS s JOIN keys AS k ON k.id = s.key WHERE EXISTS (SELECT 1 FROM statements"
     " WHERE kind = 'end' AND instr(text, char(10) || 'of-key ' || s.key || char(10)) > 0) LIMIT 1",
     "has a key in use that was ended"},
    {"SELECT k.person FROM keys AS k WHERE k.role <> 'course'"
     " AND NOT EXISTS (SELECT 1 FROM people WHERE id = k.person AND role = k.role) LIMIT 1",
     "has a key in a role that the list of people does not give"},
};

static enum status say_corrupt(struct store *st, const char *found, struct err *e)
{
    return err_set(e, ST_CORRUPT,
                   "The store %s contradicts itself: %s. Put it aside with the files beside it and compare it with the "
                   "latest backup.",
                   st->shown, found);
}

/** The database's own checks: its pages and its references. */
static enum status check_pages(struct store *st, struct err *e)
{
    char found[200] = "";
    sqlite3_stmt *s = store_fresh(st, "PRAGMA integrity_check(1)", NO_ARGS);
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    if (rc == SQLITE_ROW)
        store_column(s, 0, found, sizeof found);
    enum status status = store_end(st, s, rc, CHECKING, e);
    sqlite3_finalize(s);
    if (status != ST_OK)
        return status;
    if (strcmp(found, "ok") != 0)
        return say_corrupt(st, found, e);
    s = store_fresh(st, "PRAGMA foreign_key_check", NO_ARGS);
    rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    if (rc == SQLITE_ROW) {
        char child[64], parent[64];
        store_column(s, 0, child, sizeof child);
        store_column(s, 2, parent, sizeof parent);
        snprintf(found, sizeof found, "a row of '%s' belongs to none of '%s'", child, parent);
    }
    status = store_end(st, s, rc, CHECKING, e);
    sqlite3_finalize(s);
    return status == ST_OK && rc == SQLITE_ROW ? say_corrupt(st, found, e) : status;
}

static enum status check_one(struct store *st, const struct contradiction *c, struct err *e)
{
    char found[200] = "";
    sqlite3_stmt *s = store_fresh(st, c->sql, NO_ARGS);
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    if (rc == SQLITE_ROW && sqlite3_column_type(s, 0) == SQLITE_INTEGER) {
        snprintf(found, sizeof found, "S-%03lld %s", (long long)sqlite3_column_int64(s, 0), c->sentence);
    } else if (rc == SQLITE_ROW) {
        char id[ITEM_CAP];
        store_column(s, 0, id, sizeof id);
        snprintf(found, sizeof found, "%s %s", id, c->sentence);
    }
    enum status status = store_end(st, s, rc, CHECKING, e);
    sqlite3_finalize(s);
    return status == ST_OK && rc == SQLITE_ROW ? say_corrupt(st, found, e) : status;
}

/** What is kept as words has to be what it says. */
static enum status check_interval(struct store *st, struct err *e)
{
    int32_t months;
    enum status status = store_interval_get(st, &months, e);
    return status == ST_CORRUPT ? say_corrupt(st, "the interval between calibrations is none", e) : status;
}

/** The codes that are still known must be those that the events were hashed from. */
static enum status check_subjects(struct store *st, struct err *e)
{
    char found[200] = "";
    sqlite3_stmt *s = store_fresh(st,
                                  "SELECT s.id, s.salt, s.subject, e.item FROM sittings AS s"
                                  " JOIN events AS e ON e.sitting = s.id AND e.kind = 'subject'"
                                  " WHERE s.subject IS NOT NULL",
                                  NO_ARGS);
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    for (; rc == SQLITE_ROW && !found[0]; rc = found[0] ? rc : sqlite3_step(s)) {
        char code[ITEM_CAP], item[ITEM_CAP], hash[SUBJECT_HASH_CAP] = "";
        store_column(s, 2, code, sizeof code);
        store_column(s, 3, item, sizeof item);
        const void *salt = sqlite3_column_blob(s, 1);
        if (!salt || store_hash_subject(salt, code, hash, e) != ST_OK || strcmp(hash, item) != 0)
            snprintf(found, sizeof found, "S-%03lld names another subject than its events",
                     (long long)sqlite3_column_int64(s, 0));
    }
    enum status status = store_end(st, s, rc, CHECKING, e);
    sqlite3_finalize(s);
    return status == ST_OK && found[0] ? say_corrupt(st, found, e) : status;
}

static enum status check_protocols(struct store *st, struct err *e)
{
    bool is_wrong = false;
    sqlite3_stmt *s = store_fresh(st, "SELECT hash, text FROM protocol_texts", NO_ARGS);
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    for (; rc == SQLITE_ROW && !is_wrong; rc = is_wrong ? rc : sqlite3_step(s)) {
        char named[65], hash[65] = "";
        store_column(s, 0, named, sizeof named);
        const unsigned char *text = sqlite3_column_text(s, 1);
        is_wrong = !text || store_hash_text((const char *)text, hash, e) != ST_OK || strcmp(named, hash) != 0;
    }
    enum status status = store_end(st, s, rc, CHECKING, e);
    sqlite3_finalize(s);
    return status == ST_OK && is_wrong ? say_corrupt(st, "the text of a protocol was changed", e) : status;
}

static enum status check_each(struct store *st, const struct contradiction *list, size_t count, struct err *e)
{
    enum status status = ST_OK;
    for (size_t i = 0; status == ST_OK && i < count; i++)
        status = check_one(st, &list[i], e);
    return status;
}

static enum status check(struct store *st, bool with_events, struct err *e)
{
    enum status status = check_pages(st, e);
    if (status == ST_OK)
        status = store_facts(st, e);
    if (status == ST_OK && with_events)
        status = check_each(st, OF_EVENTS, ARRAY_LEN(OF_EVENTS), e);
    if (status == ST_OK)
        status = check_each(st, CONTRADICTIONS, ARRAY_LEN(CONTRADICTIONS), e);
    if (status == ST_OK)
        status = check_interval(st, e);
    if (status == ST_OK)
        status = check_subjects(st, e);
    return status == ST_OK ? check_protocols(st, e) : status;
}

enum status store_check(struct store *st, struct err *e)
{
    return check(st, true, e);
}

enum status store_check_beside(struct store *st, struct err *e)
{
    return check(st, false, e);
}
