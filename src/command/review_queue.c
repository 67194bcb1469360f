/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file review_queue.c  The list of sittings that somebody has to look at, and what narrows it. */
#include <stdio.h>
#include <string.h>

#include "command/review_desk.h"
#include "stillarm/text.h"

#define ROWS_DRAWN 50 /* a window around the cursor: what a large screen shows; the terminal keeps the cursor in sight */
#define ROWS_SAID 12  /* where they are read out line by line */
#define COUNT_MOST 100
#define COLUMNS "no.   on     by      for      of  state"

/** One row per queue that a key leads to. */
static const struct {
    uint32_t key;
    const char *name, *word, *title, *empty;
} QUEUES[QUEUE_COUNT] = {
    [QUEUE_WAITING] = { 'w', "w", "waiting", "Waiting", "Nothing waits to be read." },
    [QUEUE_RETURNED] = { 'r', "r", "returned", "Sent back", "Nothing is sent back." },
    [QUEUE_OWED] = { 's', "s", "signatures owed", "Signatures owed", "No signature is owed." },
    [QUEUE_HELD] = { 'h', "h", "held", "Held by the witness", "No result is held." },
    [QUEUE_OPEN] = { 'o', "o", "open", "Open now", "No sitting is open." },
    [QUEUE_ALL] = { 'a', "a", "all", "All sittings", "No sittings yet." },
};

/* ---- reading it ---- */

static const char *or_null(const char *s)
{
    return s[0] ? s : NULL;
}

static struct queue_filter filter_of(const struct desk *d, enum queue_which which)
{
    const struct desk_filter *f = &d->filter;
    return (struct queue_filter){ .which = which, .measurer = or_null(f->measurer), .purpose = or_null(f->purpose),
                                  .phase = or_null(f->phase), .from_day = f->from_day, .to_day = f->to_day,
                                  .not_measurer = which == QUEUE_WAITING ? or_null(d->reviewer) : NULL };
}

static bool add_row(void *user, const struct queue_entry *q)
{
    struct desk *d = user;
    const struct sitting_head *h = &q->head;
    if (d->row_count == DESK_ROWS_MAX) {
        d->has_older = true;
        return false;
    }
    queue_row(&(struct queue_words){ .id = h->id, .subject = subject_word(d->store, h), .measurer = h->measurer,
                                     .protocol = strcmp(h->protocol, d->protocol) == 0 ? "" : h->protocol, .opened = h->opened, .purpose = q->purpose,
                                     .phase = PHASE_WORDS[h->phase], .review = REVIEW_WORDS[q->review], .witness = q->witness,
                                     .last_by = q->last_by, .counted = h->counted_count, .readings = h->reading_count,
                                     .attempts = h->attempt_count },
              d->rows[d->row_count]);
    d->ids[d->row_count++] = h->id;
    return true;
}

/* The cursor stays on its sitting, or where it was when that one has gone to another queue. */
static void put_cursor(struct desk *d, int64_t id, int at)
{
    d->at = at < d->row_count ? at : d->row_count - 1;
    for (int i = 0; i < d->row_count; i++)
        if (d->ids[i] == id)
            d->at = i;
    if (d->at < 0)
        d->at = 0;
}

static enum status gather(struct desk *d, struct err *e)
{
    int64_t id = d->row_count > 0 ? d->ids[d->at] : 0;
    struct queue_filter f = filter_of(d, d->which);
    int at = d->at;
    d->row_count = 0;
    d->has_older = false;
    enum status status = store_queue(d->store, &f, d->before, DESK_ROWS_MAX + 1, add_row, d, e);
    for (int i = 0; i < QUEUE_ALL && status == ST_OK; i++) {
        f = filter_of(d, (enum queue_which)i);
        status = store_queue_count(d->store, &f, COUNT_MOST, &d->counts[i], e);
    }
    put_cursor(d, id, at);
    return status;
}

/* ---- showing it ---- */

static void say_days(const struct desk_filter *f, char *out, size_t cap)
{
    char from[16] = "", to[16] = "";
    if (f->from_day)
        day_print(f->from_day, from);
    if (f->to_day)
        day_print(f->to_day, to);
    if (f->from_day && f->to_day)
        snprintf(out, cap, "%s to %s", from, to);
    else if (f->from_day)
        snprintf(out, cap, "from %s", from);
    else if (f->to_day)
        snprintf(out, cap, "until %s", to);
    else
        out[0] = '\0';
}

static void title(const struct desk *d, struct page *pg)
{
    char which[80], days[48];
    const struct desk_filter *f = &d->filter;
    if (d->which == QUEUE_WAITING && d->reviewer[0])
        snprintf(which, sizeof which, "Waiting for %s", d->reviewer);
    else
        text_copy(which, sizeof which, QUEUES[d->which].title);
    say_days(f, days, sizeof days);
    queue_title(which, f->measurer, f->purpose, days, f->phase, pg->title, sizeof pg->title);
}

static void rows(const struct desk *d, struct page *pg)
{
    int most = d->ui->kind == TERMINAL_PLAIN ? ROWS_SAID : ROWS_DRAWN, first = d->at - most / 2;
    if (first > d->row_count - most)
        first = d->row_count - most;
    if (first < 0)
        first = 0;
    if (d->row_count == 0)
        page_line(pg, LINE_INSTRUCTION, "%s", QUEUES[d->which].empty);
    else
        page_line(pg, LINE_NOTE, "%s", COLUMNS);
    pg->pinned = d->row_count > 0;
    for (int i = first; i < d->row_count && i < first + most; i++)
        page_line(pg, LINE_ROW, "%s", d->rows[i])->is_current = i == d->at;
}

static void keys(const struct desk *d, struct page *pg)
{
    char label[40];
    if (d->row_count > 0)
        page_key(pg, "enter", d->which == QUEUE_OPEN ? "watch" : "read");
    if (d->row_count > 1)
        page_key(pg, "j k", "move");
    for (int i = 0; i < QUEUE_COUNT; i++) {
        if (i == QUEUE_ALL)
            text_copy(label, sizeof label, QUEUES[i].word);
        else if (d->counts[i] >= COUNT_MOST)
            snprintf(label, sizeof label, "%s %d+", QUEUES[i].word, COUNT_MOST);
        else
            snprintf(label, sizeof label, "%s %d", QUEUES[i].word, d->counts[i]);
        if (i != (int)d->which)
            page_key(pg, QUEUES[i].name, label);
    }
    page_key(pg, "f", "filter");
    desk_say_reader(d, label);
    page_key(pg, "p", label);
    page_key(pg, "q", "back");
}

static void draw(const struct desk *d, struct page *pg)
{
    page_init(pg, PAGE_OPEN, "review-queue");
    text_copy(pg->left, sizeof pg->left, "stillarm   review");
    if (d->row_count > 0)
        snprintf(pg->right, sizeof pg->right, "%d of %d%s", d->at + 1, d->row_count, d->has_older || d->before ? "+" : "");
    title(d, pg);
    rows(d, pg);
    text_copy(pg->refusal, sizeof pg->refusal, d->refusal);
    keys(d, pg);
}

/* ---- what narrows it ---- */

enum { FIELD_PERSON, FIELD_FROM, FIELD_TO, FIELD_PURPOSE, FIELD_STATE, FIELD_COUNT };

/* Empty: no bound. */
static enum status parse_bound(const char *typed, int32_t *out, struct err *e)
{
    *out = 0;
    return typed[0] ? parse_day(typed, out, e) : ST_OK;
}

/* The store of the form that is open: whether somebody is known is not in its text. */
static struct store *known_by;

static enum status check_filter(const struct form *f, int field, struct err *e)
{
    static const char *const PHASES[] = { "open", "sealed", "stopped", NULL };
    const char *entry = f->fields[field].entry;
    struct person who;
    int32_t day = 0, from = 0;
    if (field == FIELD_PERSON && entry[0] && store_person_get(known_by, entry, &who, e) != ST_OK)
        return err_set(e, ST_NOT_FOUND, "not yet: nobody here has the short name %.40s; empty means everybody", entry);
    if ((field == FIELD_FROM || field == FIELD_TO) && parse_bound(entry, &day, e) != ST_OK)
        return err_set(e, ST_USAGE, "not yet: a day is written 2031-03-02, or today; empty means no bound");
    if (field == FIELD_TO && parse_bound(f->fields[FIELD_FROM].entry, &from, e) == ST_OK && entry[0] && from > day)
        return err_set(e, ST_USAGE, "not yet: the last day lies before the first");
    if (field == FIELD_PURPOSE && !is_empty_or_among(entry, event_form(EV_PURPOSE)->items))
        return err_set(e, ST_USAGE, "not yet: a purpose is practice, service or assessment; empty means any");
    if (field == FIELD_STATE && !is_empty_or_among(entry, PHASES))
        return err_set(e, ST_USAGE, "not yet: a state is open, sealed or stopped; empty means any");
    return ST_OK;
}

static struct desk *filtered; /* a form's save has no other way to the desk */

static enum status save_filter(struct ui *ui, const struct form *f, struct err *e)
{
    struct desk_filter *out = &filtered->filter;
    (void)ui;
    text_copy(out->measurer, sizeof out->measurer, f->fields[FIELD_PERSON].entry);
    text_copy(out->purpose, sizeof out->purpose, f->fields[FIELD_PURPOSE].entry);
    text_copy(out->phase, sizeof out->phase, f->fields[FIELD_STATE].entry);
    enum status status = parse_bound(f->fields[FIELD_FROM].entry, &out->from_day, e);
    return status == ST_OK ? parse_bound(f->fields[FIELD_TO].entry, &out->to_day, e) : status;
}

static void ask_for_filter(struct desk *d)
{
    struct form f = { .id = "review-filter", .title = "Which sittings", .field_count = FIELD_COUNT, .check = check_filter,
                      .intro = "Empty fields narrow nothing." };
    const struct desk_filter *now = &d->filter;
    f.fields[FIELD_PERSON] = (struct form_field){ .label = "measured by", .hint = "A short name, as people lists them" };
    f.fields[FIELD_FROM] = (struct form_field){ .label = "from", .hint = "First day, such as 2031-03-02, or today" };
    f.fields[FIELD_TO] = (struct form_field){ .label = "to", .hint = "Last day, such as 2031-03-02, or today" };
    f.fields[FIELD_PURPOSE] = (struct form_field){ .label = "purpose", .hint = "practice, service or assessment" };
    f.fields[FIELD_STATE] = (struct form_field){ .label = "state", .hint = "open, sealed or stopped" };
    text_copy(f.fields[FIELD_PERSON].entry, FORM_ENTRY_CAP, now->measurer);
    text_copy(f.fields[FIELD_PURPOSE].entry, FORM_ENTRY_CAP, now->purpose);
    text_copy(f.fields[FIELD_STATE].entry, FORM_ENTRY_CAP, now->phase);
    if (now->from_day)
        day_print(now->from_day, f.fields[FIELD_FROM].entry);
    if (now->to_day)
        day_print(now->to_day, f.fields[FIELD_TO].entry);
    known_by = d->store;
    filtered = d;
    if (ui_form(d->ui, &f, save_filter))
        d->before = 0;
}

/* ---- its keys ---- */

/* Beyond the last row lie older ones, above the first of those the newest. */
static void move(struct desk *d, int steps)
{
    if (d->at + steps >= 0 && d->at + steps < d->row_count) {
        d->at += steps;
    } else if (steps > 0 && d->has_older) {
        d->before = d->ids[d->row_count - 1];
        d->at = d->row_count = 0;
    } else if (steps < 0 && d->before) {
        d->before = 0;
        d->at = d->row_count = 0;
    }
}

static bool take_queue_key(struct desk *d, uint32_t c)
{
    for (int i = 0; i < QUEUE_COUNT; i++)
        if (c == QUEUES[i].key) {
            d->which = (enum queue_which)i;
            d->before = 0;
            d->at = d->row_count = 0;
            return true;
        }
    return false;
}

static void take_key(struct desk *d, const struct key *k)
{
    struct err e = { 0 };
    uint32_t c = key_as_letter(k);
    if (k->code != KEY_NONE && k->code != KEY_RESIZED)
        d->refusal[0] = '\0';
    if (k->code == KEY_ENTER && d->row_count > 0)
        sitting_page_run(d, d->ids[d->at]);
    else if (c == 'f')
        ask_for_filter(d);
    else if (c == 'p' && desk_next_reader(d, &e) != ST_OK)
        text_copy(d->refusal, sizeof d->refusal, e.text);
    else if (!take_queue_key(d, c))
        move(d, key_steps(k));
}

/* Only moving the cursor leaves the rows as they are. */
static bool is_read_again(const struct desk *d, const struct key *k)
{
    return d->row_count == 0 || (key_steps(k) == 0 && k->code != KEY_RESIZED);
}

void queue_run(struct desk *d)
{
    bool is_due = true;
    while (!d->ui->is_hung_up) {
        struct page pg;
        struct err e = { 0 };
        if (is_due && gather(d, &e) != ST_OK)
            text_copy(d->refusal, sizeof d->refusal, e.text);
        draw(d, &pg);
        struct key k = ui_ask(d->ui, &pg, ui_next_minute(d->ui));
        if (key_is_leaving(&k))
            break;
        take_key(d, &k);
        is_due = is_read_again(d, &k);
    }
    d->refusal[0] = '\0';
}
