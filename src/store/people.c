/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file people.c  Who measures, with which gauges and cuffs, and the small facts of a booth. */
#include <stdio.h>
#include <string.h>

#include "store/internal.h"
#include "stillarm/text.h"

const char *const ROLE_WORDS[ROLE_COUNT] = {
    [ROLE_TRAINEE] = "trainee", [ROLE_TECHNICIAN] = "technician", [ROLE_PRECEPTOR] = "preceptor"};

static const char LISTING[] = "Reading the list";

static enum status check_id_and_name(const char *id, const char *name, struct err *e)
{
    if (!is_item(id))
        return err_set(e, ST_SYNTAX,
                       "An id is 1 to 32 letters of a to z, digits, '.' or '-', and begins with a letter or a digit.");
    if (!is_plain_text(name, 127))
        return err_set(e, ST_SYNTAX, "The name of %s must be 1 to 127 characters, none of them a control character.",
                       id);
    return ST_OK;
}

/** One statement as one transaction. changed may be NULL; else how many rows it touched. */
static enum status write_one(struct store *st, enum query q, const struct arg *args, size_t n, const char *what,
                             int *changed, struct err *e)
{
    enum status status = store_begin(st, what, e);
    if (status != ST_OK)
        return status;
    status = store_run(st, q, args, n, what, e);
    int rows = sqlite3_changes(st->db);
    if (changed)
        *changed = status == ST_OK ? rows : 0;
    return store_finish(st, status, what, e);
}

/** Insert a row whose id may be taken; a taken one is the user's to solve and no contradiction. */
static enum status add_one(struct store *st, enum query taken, enum query put, const struct arg *args, size_t n,
                           const char *id, const char *what, struct err *e)
{
    enum status status = store_begin(st, what, e);
    if (status != ST_OK)
        return status;
    sqlite3_stmt *s = store_query(st, taken, ARGS(TEXT(id)));
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    status = store_end(st, s, rc, what, e);
    if (status == ST_OK && rc == SQLITE_ROW)
        status = err_set(e, ST_EXISTS, "There is already a '%s', in use or retired. Choose another id.", id);
    if (status == ST_OK)
        status = store_run(st, put, args, n, what, e);
    return store_finish(st, status, what, e);
}

static enum status nobody(const char *what, const char *id, struct err *e)
{
    return err_set(e, ST_NOT_FOUND, "There is no %s '%s' here. The list shows the ids there are.", what, id);
}

static bool is_role(enum person_role role)
{
    return (int)role >= 0 && role < ROLE_COUNT;
}

static enum status no_role(const char *person, struct err *e)
{
    return err_set(e, ST_RANGE, "The role of %s is none of trainee, technician, preceptor.", person);
}

enum status store_person_add(struct store *st, const struct person *p, struct err *e)
{
    enum status status = check_id_and_name(p->id, p->name, e);
    if (status != ST_OK)
        return status;
    if (!is_role(p->role))
        return no_role(p->id, e);
    if (strcmp(p->id, COURSE_PERSON) == 0)
        return err_set(e, ST_EXISTS, "'%s' stands for the course's key and cannot be a person's id. Choose another.",
                       COURSE_PERSON);
    return add_one(st, Q_PERSON, Q_PERSON_PUT,
                   ARGS(TEXT(p->id), TEXT(p->name), TEXT(ROLE_WORDS[p->role]), INT(p->is_retired)), p->id,
                   "The new person", e);
}

static void take_person(sqlite3_stmt *s, struct person *out)
{
    char role[16];
    memset(out, 0, sizeof *out);
    store_column(s, 0, out->id, sizeof out->id);
    store_column(s, 1, out->name, sizeof out->name);
    store_column(s, 2, role, sizeof role);
    for (int r = 0; r < ROLE_COUNT; r++)
        if (strcmp(role, ROLE_WORDS[r]) == 0)
            out->role = (enum person_role)r;
    out->is_retired = sqlite3_column_int(s, 3) != 0;
}

enum status store_person_get(struct store *st, const char *id, struct person *out, struct err *e)
{
    sqlite3_stmt *s = store_query(st, Q_PERSON, ARGS(TEXT(id)));
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    if (rc == SQLITE_ROW)
        take_person(s, out);
    enum status status = store_end(st, s, rc, LISTING, e);
    return status == ST_OK && rc == SQLITE_DONE ? nobody("person", id, e) : status;
}

/** What a key says of its owner is signed and stays; another role beside it would contradict it. */
static enum status check_role_free(struct store *st, const char *id, struct err *e)
{
    struct person who;
    enum status status = store_person_get(st, id, &who, e);
    if (status != ST_OK)
        return status;
    if (who.is_retired)
        return err_set(e, ST_PERMISSION, "%s is retired and keeps the role of %s.", id, ROLE_WORDS[who.role]);
    sqlite3_stmt *s = store_query(st, Q_KEY_ANY, ARGS(TEXT(id)));
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    status = store_end(st, s, rc, LISTING, e);
    if (status == ST_OK && rc == SQLITE_ROW)
        return err_set(e, ST_PERMISSION,
                       "%s has had a PIN as %s, and what it signs says so for ever: the role stays. For another role add "
                       "the person once more, under another id.",
                       id, ROLE_WORDS[who.role]);
    return status;
}

enum status store_person_role(struct store *st, const char *id, enum person_role role, struct err *e)
{
    static const char WHAT[] = "The role";
    if (!is_role(role))
        return no_role(id, e);
    enum status status = store_begin(st, WHAT, e);
    if (status != ST_OK)
        return status;
    status = check_role_free(st, id, e);
    if (status == ST_OK)
        status = store_run(st, Q_PERSON_ROLE, ARGS(TEXT(id), TEXT(ROLE_WORDS[role])), WHAT, e);
    return store_finish(st, status, WHAT, e);
}

enum status store_people(struct store *st, bool with_retired, struct person *out, int cap, int *count, struct err *e)
{
    *count = 0;
    sqlite3_stmt *s = store_query(st, Q_PEOPLE, ARGS(INT(with_retired)));
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    for (; rc == SQLITE_ROW; rc = sqlite3_step(s), (*count)++)
        if (*count < cap)
            take_person(s, &out[*count]);
    return store_end(st, s, rc, LISTING, e);
}

enum status store_gauge_add(struct store *st, const struct gauge *g, struct err *e)
{
    enum status status = check_id_and_name(g->id, g->name, e);
    if (status != ST_OK)
        return status;
    if (g->top_mmhg < 200 || g->top_mmhg > 300 || g->top_mmhg % 2 != 0)
        return err_set(e, ST_RANGE, "The top of the scale of %s is %d mmHg; it must be even and from 200 to 300.", g->id,
                       g->top_mmhg);
    if (g->due != 0 && !date_exists(g->due))
        return err_set(e, ST_RANGE, "The calibration of %s is due on %d, which is no date.", g->id, g->due);
    return add_one(st, Q_KIT, Q_KIT_PUT,
                   ARGS(TEXT(g->id), TEXT("gauge"), TEXT(g->name), INT(g->top_mmhg), INT(g->due), NUL(), NUL(),
                        INT(g->is_retired), NUL(), NUL()),
                   g->id, "The new gauge", e);
}

/** The one number that a query gives of a piece of kit; said when there is no such piece. */
static enum status number_of(struct store *st, enum query q, const char *what, const char *id, int32_t *out,
                             struct err *e)
{
    sqlite3_stmt *s = store_query(st, q, ARGS(TEXT(id)));
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    if (rc == SQLITE_ROW)
        *out = sqlite3_column_int(s, 0);
    enum status status = store_end(st, s, rc, LISTING, e);
    return status == ST_OK && rc == SQLITE_DONE ? nobody(what, id, e) : status;
}

static const char CHECKING_GAUGE[] = "The check of the gauge";

static enum status check_result(int32_t value, int32_t date, struct err *e)
{
    if (value < 0 || value > 100)
        return err_set(e, ST_RANGE, "The result of the check is %d; it must be from 0 to 100.", value);
    if (!date_exists(date))
        return err_set(e, ST_RANGE, "The check was made on %d, which is no date.", date);
    return ST_OK;
}

enum status store_gauge_check(struct store *st, const char *gauge, const char *what, int32_t value, int32_t date,
                              struct err *e)
{
    int32_t top;
    if (strcmp(what, "leak") != 0 && strcmp(what, "zero") != 0 && strcmp(what, "comparison") != 0)
        return err_set(e, ST_SYNTAX, "'%s' is no check of a gauge: say leak, zero or comparison.", what);
    enum status status = check_result(value, date, e);
    if (status == ST_OK)
        status = number_of(st, Q_GAUGE_TOP, "gauge", gauge, &top, e);
    if (status != ST_OK)
        return status;
    return write_one(st, Q_CHECK_PUT, ARGS(TEXT(gauge), TEXT(what), INT(value), INT(date)), CHECKING_GAUGE, NULL, e);
}

static enum status check_points(const char *gauge, const struct check_point *points, int count, int32_t top,
                                int32_t *largest, struct err *e)
{
    *largest = 0;
    if (count < 2 || count > CHECK_POINTS_MAX)
        return err_set(e, ST_RANGE, "A comparison takes 2 to %d points; these are %d.", CHECK_POINTS_MAX, count);
    for (int i = 0; i < count; i++) {
        int32_t at = points[i].reference_mmhg, read = points[i].reading_mmhg;
        if (at < 0 || at > top || at % 2 != 0 || read < 0 || read > top)
            return err_set(e, ST_RANGE,
                           "The point %d=%d does not lie on the scale of %s: both are from 0 to %d mmHg, the reference "
                           "even.",
                           at, read, gauge, top);
        if (at - read > *largest || read - at > *largest)
            *largest = at > read ? at - read : read - at;
    }
    return ST_OK;
}

enum status store_gauge_compare(struct store *st, const char *gauge, const struct check_point *points, int count,
                                int32_t date, int32_t *largest, struct err *e)
{
    int32_t top = 0;
    enum status status = number_of(st, Q_GAUGE_TOP, "gauge", gauge, &top, e);
    if (status == ST_OK)
        status = check_points(gauge, points, count, top, largest, e);
    if (status == ST_OK)
        status = check_result(*largest, date, e);
    if (status == ST_OK)
        status = store_begin(st, CHECKING_GAUGE, e);
    if (status != ST_OK)
        return status;
    status = store_run(st, Q_CHECK_PUT, ARGS(TEXT(gauge), TEXT("comparison"), INT(*largest), INT(date)), CHECKING_GAUGE,
                       e);
    const int64_t id = sqlite3_last_insert_rowid(st->db);
    for (int i = 0; status == ST_OK && i < count; i++)
        status = store_run(st, Q_POINT_PUT,
                           ARGS(INT(id), INT(i + 1), INT(points[i].reference_mmhg), INT(points[i].reading_mmhg)),
                           CHECKING_GAUGE, e);
    return store_finish(st, status, CHECKING_GAUGE, e);
}

enum status store_gauge_due(struct store *st, const char *gauge, int32_t due, struct err *e)
{
    if (!date_exists(due))
        return err_set(e, ST_RANGE, "The calibration is due on %d, which is no date.", due);
    int n = 0;
    enum status status = write_one(st, Q_KIT_DUE, ARGS(TEXT(gauge), INT(due)), "The calibration date", &n, e);
    return status == ST_OK && n == 0 ? nobody("gauge", gauge, e) : status;
}

/** @param id  of the check, 0 where there is none; may be NULL */
static enum status latest_check(struct store *st, const char *gauge, const char *what, struct gauge_check *out,
                                int64_t *id, struct err *e)
{
    sqlite3_stmt *s = store_query(st, Q_CHECK_LATEST, ARGS(TEXT(gauge), TEXT(what)));
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    out->is_given = rc == SQLITE_ROW;
    if (out->is_given) {
        out->value = sqlite3_column_int(s, 0);
        out->date = sqlite3_column_int(s, 1);
    }
    if (id)
        *id = out->is_given ? sqlite3_column_int64(s, 2) : 0;
    return store_end(st, s, rc, LISTING, e);
}

static enum status points_of(struct store *st, int64_t check, struct gauge *g, struct err *e)
{
    sqlite3_stmt *s = store_query(st, Q_POINTS, ARGS(INT(check)));
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    for (; rc == SQLITE_ROW && g->point_count < CHECK_POINTS_MAX; rc = sqlite3_step(s))
        g->points[g->point_count++] = (struct check_point){sqlite3_column_int(s, 0), sqlite3_column_int(s, 1)};
    return store_end(st, s, rc, LISTING, e);
}

static enum status latest_checks(struct store *st, struct gauge *g, struct err *e)
{
    int64_t comparison = 0;
    enum status status = latest_check(st, g->id, "leak", &g->leak, NULL, e);
    if (status == ST_OK)
        status = latest_check(st, g->id, "zero", &g->zero, NULL, e);
    if (status == ST_OK)
        status = latest_check(st, g->id, "comparison", &g->comparison, &comparison, e);
    return status == ST_OK ? points_of(st, comparison, g, e) : status;
}

enum status store_gauges(struct store *st, bool with_retired, struct gauge *out, int cap, int *count, struct err *e)
{
    *count = 0;
    sqlite3_stmt *s = store_query(st, Q_GAUGES, ARGS(INT(with_retired)));
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    for (; rc == SQLITE_ROW; rc = sqlite3_step(s), (*count)++) {
        if (*count >= cap)
            continue;
        struct gauge *g = &out[*count];
        memset(g, 0, sizeof *g);
        store_column(s, 0, g->id, sizeof g->id);
        store_column(s, 1, g->name, sizeof g->name);
        g->top_mmhg = sqlite3_column_int(s, 2);
        g->due = sqlite3_column_int(s, 3);
        g->is_retired = sqlite3_column_int(s, 4) != 0;
    }
    enum status status = store_end(st, s, rc, LISTING, e);
    for (int i = 0; status == ST_OK && i < *count && i < cap; i++)
        status = latest_checks(st, &out[i], e);
    return status;
}

static enum status check_bladder(const char *cuff, int32_t width, int32_t length, int32_t high, struct err *e)
{
    if (width < 30 || length > 700 || width >= length)
        return err_set(e, ST_RANGE,
                       "The bladder of %s is %d by %d mm; it must lie within 30 to 700 and be less wide than long.", cuff,
                       width, length);
    if (length > high)
        return err_set(e, ST_RANGE,
                       "The bladder of %s is %d mm long, which is more than the largest arm it is marked for, %d mm.", cuff,
                       length, high);
    return ST_OK;
}

enum status store_cuff_bladder(struct store *st, const char *cuff, int32_t width_mm, int32_t length_mm, struct err *e)
{
    int32_t high = 0;
    enum status status = number_of(st, Q_CUFF_HIGH, "cuff", cuff, &high, e);
    if (status == ST_OK)
        status = check_bladder(cuff, width_mm, length_mm, high, e);
    if (status != ST_OK)
        return status;
    return write_one(st, Q_BLADDER, ARGS(TEXT(cuff), INT(width_mm), INT(length_mm)), "The bladder of the cuff", NULL, e);
}

enum status store_cuff_add(struct store *st, const struct stored_cuff *c, struct err *e)
{
    enum status status = check_id_and_name(c->id, c->name, e);
    if (status != ST_OK)
        return status;
    if (c->low_mm < 100 || c->high_mm > 700 || c->low_mm >= c->high_mm)
        return err_set(e, ST_RANGE,
                       "The marked range of %s is %d to %d mm; it must lie within 100 to 700 and begin below its end.",
                       c->id, c->low_mm, c->high_mm);
    const bool has_bladder = c->bladder_width_mm != 0 || c->bladder_length_mm != 0;
    if (has_bladder)
        status = check_bladder(c->id, c->bladder_width_mm, c->bladder_length_mm, c->high_mm, e);
    if (status != ST_OK)
        return status;
    return add_one(st, Q_KIT, Q_KIT_PUT,
                   ARGS(TEXT(c->id), TEXT("cuff"), TEXT(c->name), NUL(), NUL(), INT(c->low_mm), INT(c->high_mm),
                        INT(c->is_retired), INT_OR_NUL(has_bladder, c->bladder_width_mm),
                        INT_OR_NUL(has_bladder, c->bladder_length_mm)),
                   c->id, "The new cuff", e);
}

enum status store_cuffs(struct store *st, bool with_retired, struct stored_cuff *out, int cap, int *count,
                        struct err *e)
{
    *count = 0;
    sqlite3_stmt *s = store_query(st, Q_CUFFS, ARGS(INT(with_retired)));
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    for (; rc == SQLITE_ROW; rc = sqlite3_step(s), (*count)++) {
        if (*count >= cap)
            continue;
        struct stored_cuff *c = &out[*count];
        memset(c, 0, sizeof *c);
        store_column(s, 0, c->id, sizeof c->id);
        store_column(s, 1, c->name, sizeof c->name);
        c->low_mm = sqlite3_column_int(s, 2);
        c->high_mm = sqlite3_column_int(s, 3);
        c->is_retired = sqlite3_column_int(s, 4) != 0;
        c->bladder_width_mm = sqlite3_column_int(s, 5);
        c->bladder_length_mm = sqlite3_column_int(s, 6);
    }
    return store_end(st, s, rc, LISTING, e);
}

enum status store_interval_get(struct store *st, int32_t *months, struct err *e)
{
    char word[16];
    int64_t n = INTERVAL_MONTHS_USUAL;
    enum status status = store_setting_get(st, INTERVAL_SETTING, word, sizeof word, e);
    if (status == ST_OK && word[0] && parse_int(word, 1, 24, &n, NULL) != ST_OK)
        return err_set(e, ST_CORRUPT, "The interval between calibrations is kept as '%s'. Set it anew: stillarm kit "
                                      "interval %d.",
                       word, INTERVAL_MONTHS_USUAL);
    *months = (int32_t)n;
    return status;
}

enum status store_interval_set(struct store *st, int32_t months, struct err *e)
{
    char word[16];
    if (months < 1 || months > 24)
        return err_set(e, ST_RANGE, "The interval between calibrations is %d months; it must be from 1 to 24.", months);
    snprintf(word, sizeof word, "%d", (int)months);
    return store_setting_set(st, INTERVAL_SETTING, word, e);
}

enum status store_setting_get(struct store *st, const char *name, char *out, size_t cap, struct err *e)
{
    text_copy(out, cap, "");
    sqlite3_stmt *s = store_query(st, Q_SETTING, ARGS(TEXT(name)));
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    if (rc == SQLITE_ROW)
        store_column(s, 0, out, cap);
    return store_end(st, s, rc, "Reading the settings", e);
}

/** The usual protocol is set freely only while none is. */
static enum status check_protocol_free(struct store *st, const char *name, const char *value, struct err *e)
{
    char now[ITEM_CAP];
    if (strcmp(name, PROTOCOL_SETTING) != 0)
        return ST_OK;
    enum status status = store_setting_get(st, PROTOCOL_SETTING, now, sizeof now, e);
    if (status == ST_OK && now[0] && strcmp(now, value) != 0)
        return err_set(e, ST_PERMISSION,
                       "The usual protocol is %s, and another is signed by who is in charge here: with a PIN, on the "
                       "booth's page.",
                       now);
    return status;
}

enum status store_setting_set(struct store *st, const char *name, const char *value, struct err *e)
{
    if (!is_item(name))
        return err_set(e, ST_SYNTAX, "A setting's name is 1 to 32 letters, digits, '.' or '-'.");
    if (value[0] && !is_plain_text(value, 500))
        return err_set(e, ST_SYNTAX,
                       "The value of '%s' must be at most 500 characters, none of them a control character.", name);
    enum status status = store_begin(st, "The setting", e);
    if (status != ST_OK)
        return status;
    status = check_protocol_free(st, name, value, e);
    if (status == ST_OK)
        status = store_run(st, Q_SETTING_PUT, ARGS(TEXT(name), TEXT(value)), "The setting", e);
    return store_finish(st, status, "The setting", e);
}
