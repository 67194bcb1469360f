/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file review.c  The verb `review`, and the page on which a sitting is read. */
#include "command/review.h"

#include <stdio.h>
#include <string.h>

#include "command/review_desk.h"
#include "command/review_protocol.h"
#include "stillarm/text.h"
#include "terminal/clock.h"

#define SMALLEST_COLUMNS 60
#define LIVE_MS 1000 /* how often an open sitting is looked at again */

/* ---- reading it in ---- */

/* The row at which the cursor stops, at or before this one. */
static int stop_at(const struct timeline *t, int at)
{
    if (at >= t->row_count)
        at = t->row_count - 1;
    while (at > 0 && !t->rows[at].is_stop)
        at--;
    return at > 0 ? timeline_head(t, at) : 0;
}

static int row_of_act(const struct timeline *t, int32_t seq, int otherwise)
{
    for (int i = 0; seq > 0 && i < t->row_count; i++)
        if (t->rows[i].seq == seq && t->rows[i].is_stop)
            return i;
    return stop_at(t, otherwise);
}

/* The last one that was recorded; what is still owed stands behind it. */
static int last_act(const struct timeline *t)
{
    for (int i = t->row_count - 1; i > 0; i--)
        if (t->rows[i].seq > 0 && t->rows[i].is_stop)
            return timeline_head(t, i);
    return 0;
}

enum status sitting_reload(struct desk *d, struct err *e)
{
    struct timeline *t = &d->r->timeline;
    int32_t seq = t->rows[d->view.at].seq;
    bool is_following = d->r->kept.review == REVIEW_OPEN && d->view.at == last_act(t);
    enum status status = review_load(d->store, &d->ring, d->r->id, d->r, e);
    if (status == ST_OK)
        d->view.at = is_following ? last_act(t) : row_of_act(t, seq, d->view.at);
    return status;
}

/* Figures of a result that is not given yet are the witness's: her PIN shows them, or where she has left another preceptor's. */
static enum status check_witness(struct desk *d, struct err *e)
{
    const struct review_sitting *r = d->r;
    if (!review_is_withheld(r) || d->has_witness_agreed)
        return ST_OK;
    enum status status = act_ask_holder(d, e);
    d->has_witness_agreed = status == ST_OK;
    if (status == ST_USAGE)
        return err_set(e, ST_PERMISSION, "S-%03d is held by %s, who watched it, until its result is given.", (int)r->id,
                       r->kept.witness);
    return status;
}

/* An act within a run is seen where the run is unfolded. */
static void unfold_at_cursor(struct desk *d)
{
    const struct timeline_row *row = &d->r->timeline.rows[d->view.at];
    if (row->when == ROW_UNFOLDED)
        d->view.unfolded = row->run;
}

/* A page opens at the overview; one that was sent back at what was wanted of it, one that
 * comes back at what was added, an open one at what is done now. */
static int opening_row(const struct review_sitting *r)
{
    const struct timeline *t = &r->timeline;
    int first = 0;
    while (first + 1 < t->row_count && !t->rows[first].is_stop)
        first++;
    if (r->kept.review == REVIEW_OPEN)
        return last_act(t);
    if (r->added_row > 0)
        return stop_at(t, r->added_row);
    return r->kept.review == REVIEW_RETURNED ? row_of_act(t, r->returned_event, first) : first;
}

static enum status open_sitting(struct desk *d, int64_t id, struct err *e)
{
    enum status status = review_load(d->store, &d->ring, id, d->r, e);
    d->has_witness_agreed = false;
    d->holder[0] = '\0';
    if (status == ST_OK)
        status = check_witness(d, e);
    if (status != ST_OK)
        return status;
    d->view = (struct timeline_view){ .at = opening_row(d->r) };
    unfold_at_cursor(d);
    d->opened_boot_ms = clock_boot_ms();
    return ST_OK;
}

/* ---- showing it ---- */

/* As the queue says it, by enum review. */
static const char *const STATES[REVIEW_COUNT] = {
    [REVIEW_OPEN] = "open",       [REVIEW_BEFORE] = "before signing", [REVIEW_UNSIGNED] = "signature owed",
    [REVIEW_WAITING] = "waiting", [REVIEW_RETURNED] = "sent back",    [REVIEW_DONE] = "countersigned",
    [REVIEW_HELD] = "held",       [REVIEW_RELEASED] = "result given",
};

/* Milliseconds since the opening; in the same boot by the clock that cannot be set. */
static int64_t now_of(const struct sitting_head *h)
{
    char boot[40];
    clock_boot_id(boot);
    int64_t since_ms = boot[0] && strcmp(boot, h->boot) == 0 ? clock_boot_ms() - h->last_boot_ms
                                                              : clock_unix_ms() - h->last_unix_ms;
    return h->last_ms + (since_ms > 0 ? since_ms : 0);
}

static void add_span(struct text *t, const char *before, int64_t ms, const char *after)
{
    text_addf(t, "%s%lld:%02lld%s", before, (long long)(ms / 60000), (long long)(ms / 1000 % 60), after);
}

/* What runs just now, for whoever watches. */
static void say_running(const struct desk *d, struct text *t)
{
    const struct sitting *s = &d->r->timeline.sitting;
    const struct protocol *p = &d->r->protocol;
    int64_t now_ms = now_of(&d->r->kept.head), rest_ms = (int64_t)p->value[KEY_REST_S] * 1000;
    int64_t from_ms = s->reading_count > 0 ? sitting_inflate_from_ms(s, p, INFLATION_LISTEN) : 0;
    if (s->inflation != INFLATION_NONE)
        add_span(t, ", the cuff up for ", now_ms - s->inflate_ms, "");
    else if (s->rest == REST_RUNNING) {
        add_span(t, ", rest ", now_ms - s->rest_began_ms, " of ");
        add_span(t, "", rest_ms, "");
    } else if (from_ms > now_ms)
        add_span(t, ", next squeeze in ", from_ms - now_ms + 999, "");
    else
        add_span(t, ", last act ", now_ms - d->r->kept.head.last_ms, " ago");
}

/* Lines that are read out need no clock that ticks. */
static void say_state(const struct desk *d, char *out, size_t cap)
{
    struct text t;
    text_init(&t, out, cap);
    text_add(&t, STATES[d->r->kept.review]);
    if (d->r->kept.review == REVIEW_OPEN && d->ui->kind == TERMINAL_SCREEN)
        say_running(d, &t);
    if (d->row_count > 0)
        text_addf(&t, "   %d of %d%s", d->at + 1, d->row_count, d->has_older ? "+" : "");
}

/* Among the keys that the guide put there. */
static void insert_key(struct page *pg, int at, const char *name, const char *label)
{
    if (pg->key_count == PAGE_KEYS_MAX || at < 0)
        return;
    page_key(pg, name, label);
    const struct page_key added = pg->keys[pg->key_count - 1];
    for (int i = pg->key_count - 1; i > at; i--)
        pg->keys[i] = pg->keys[i - 1];
    pg->keys[at] = added;
}

/* How many rows the keys take on the smallest screen. */
static int key_rows(const struct page *pg)
{
    int rows = 1, used = 0;
    for (int i = 0; i < pg->key_count; i++) {
        int width = (int)(strlen(pg->keys[i].name) + 1 + strlen(pg->keys[i].label));
        if (used > 0 && used + width > SMALLEST_COLUMNS - 2) {
            rows++;
            used = 0;
        }
        used += width + 3;
    }
    return rows;
}

/* The way to both ends is named where that takes no row from what is read. */
static void add_ends(struct page *pg)
{
    struct page with = *pg;
    insert_key(&with, 1, "z t", "end, top");
    if (key_rows(&with) == key_rows(pg))
        *pg = with;
}

static void add_keys(const struct desk *d, struct page *pg)
{
    char label[40];
    int notable = 0;
    for (int row = -1; (row = review_next_notable(d->r, row)) >= 0;)
        notable++;
    snprintf(label, sizeof label, "what stands out: %d", notable);
    if (notable > 0)
        insert_key(pg, 1, "d", label); /* behind the one that steps */
    desk_say_reader(d, label);
    if (d->view.can_sign || d->view.can_comment)
        insert_key(pg, pg->key_count - 1, "p", label); /* before the one that leaves */
    if (d->r->timeline.row_count > 1)
        add_ends(pg);
}

/* Below those that stay in view. */
static void pin_line(struct page *pg, const char *words)
{
    if (pg->line_count == PAGE_LINES_MAX)
        return;
    for (int i = pg->line_count; i > pg->pinned; i--)
        pg->lines[i] = pg->lines[i - 1];
    pg->line_count++;
    pg->lines[pg->pinned] = (struct page_line){ .role = LINE_ROW };
    text_copy(pg->lines[pg->pinned++].text, sizeof pg->lines[0].text, words);
}

static void add_protocol(const struct desk *d, struct page *pg)
{
    char note[PROTOCOL_NOTE_CAP];
    protocol_note(d->ui->w->has_protocols ? &d->ui->w->protocols : NULL, &d->r->kept, note);
    if (note[0])
        pin_line(pg, note);
}

/* What it came to, in view wherever the cursor is. Not while it goes on: two listeners may not have compared yet. */
static void add_readings(const struct desk *d, struct page *pg)
{
    const struct sitting *s = &d->r->timeline.sitting;
    struct text t;
    char words[200];
    if (s->reading_count == 0 || d->view.is_live)
        return;
    text_init(&t, words, sizeof words);
    for (int i = 0; i < s->reading_count; i++) {
        const struct reading *r = &s->readings[i];
        bool is_other_arm = i == 0 || r->arm != s->readings[i - 1].arm;
        char values[16];
        reading_print(r, values, sizeof values);
        text_addf(&t, "%s%s%s%s%s", i ? ", " : "", is_other_arm ? ARM_WORDS[r->arm] : "", is_other_arm ? " " : "",
                  values[0] ? values : "no values", reading_is_counted(r) ? "" : " not counted");
    }
    pin_line(pg, words);
}

static void draw(struct desk *d, struct page *pg)
{
    const struct sitting_head *h = &d->r->kept.head;
    char left[80], right[80];
    struct timeline_view *v = &d->view;
    struct text t;
    text_init(&t, left, sizeof left);
    text_addf(&t, "S-%03d%s%s", (int)d->r->id, h->measurer[0] ? " by " : "", h->measurer);
    if (strlen(h->opened) > 15)
        text_addf(&t, ", %.10s %.5s", h->opened, h->opened + 11);
    say_state(d, right, sizeof right);
    v->left = left;
    v->right = right;
    v->is_live = d->r->kept.review == REVIEW_OPEN;
    v->has_next = d->at + 1 < d->row_count;
    act_offer(d, v);
    timeline_page(&d->r->timeline, v, pg);
    add_readings(d, pg);
    add_protocol(d, pg);
    add_keys(d, pg);
}

/* An open sitting is looked at, never steered: each second the page catches up with it. Should it have become one that is
 * watched for an assessment, the witness is asked before more is shown. */
static enum status catch_up(struct desk *d, struct err *e)
{
    bool changed = false;
    struct err trouble = { 0 };
    if (d->r->kept.review != REVIEW_OPEN)
        return ST_OK;
    if (review_has_changed(d->store, d->r, &changed, &trouble) != ST_OK || (changed && sitting_reload(d, &trouble) != ST_OK))
        text_copy(d->view.refusal, sizeof d->view.refusal, trouble.text);
    return check_witness(d, e);
}

/* From one act that stands out to the next, and round to the first. */
static void go_to_notable(struct desk *d)
{
    int next = review_next_notable(d->r, d->view.at);
    if (next < 0) {
        next = review_next_notable(d->r, -1);
        text_copy(d->view.refusal, sizeof d->view.refusal,
                  next == d->view.at ? "nothing else stands out" : "nothing further on stands out: this is the first that does");
    }
    if (next >= 0)
        d->view.at = next;
}

/* True when the key asked for the next sitting. */
static bool take_key(struct desk *d, const struct key *k)
{
    uint32_t c = key_as_letter(k);
    struct err e = { 0 };
    if (k->code == KEY_NONE || k->code == KEY_RESIZED)
        return false;
    d->view.refusal[0] = '\0';
    if (c == 'n' && d->at + 1 < d->row_count)
        return true;
    if (c == 'd' && d->r->notable_count > 0)
        go_to_notable(d);
    else if (c == 'p' && desk_next_reader(d, &e) != ST_OK)
        text_copy(d->view.refusal, sizeof d->view.refusal, e.text);
    else if (!act_take_key(d, k))
        timeline_key(&d->r->timeline, &d->view, k);
    return false;
}

void sitting_page_run(struct desk *d, int64_t id)
{
    struct err e = { 0 };
    struct page pg;
    enum status status = open_sitting(d, id, &e);
    while (status == ST_OK && !d->ui->is_hung_up) {
        draw(d, &pg);
        struct key k = ui_ask(d->ui, &pg, d->view.is_live ? clock_boot_ms() + LIVE_MS : INT64_MAX);
        bool is_next = !key_is_leaving(&k) && take_key(d, &k);
        if (is_next || key_is_leaving(&k))
            open_leave(d);
        if (key_is_leaving(&k))
            return;
        status = is_next ? open_sitting(d, d->ids[++d->at], &e) : catch_up(d, &e);
    }
    text_copy(d->refusal, sizeof d->refusal, e.text);
}

/* ---- the desk ---- */

static void say_and_leave(struct desk *d)
{
    struct page pg;
    page_init(&pg, PAGE_OPEN, "review-not-shown");
    text_copy(pg.left, sizeof pg.left, "stillarm");
    page_line(&pg, LINE_INSTRUCTION, "%s", d->refusal);
    page_key(&pg, "any key", "back");
    ui_show(d->ui, &pg);
}

void review_run(struct ui *ui, int64_t id)
{
    static struct desk d; /* large, and one at a time */
    static struct review_sitting r;
    struct err e = { 0 };
    d = (struct desk){ .ui = ui, .store = ui->w->store, .r = &r };
    enum status status = store_ring(d.store, &d.ring, &e);
    if (status == ST_OK)
        status = store_setting_get(d.store, "reviewer", d.reviewer, sizeof d.reviewer, &e);
    if (status == ST_OK)
        status = store_setting_get(d.store, "protocol", d.protocol, sizeof d.protocol, &e);
    if (status != ST_OK)
        text_copy(d.refusal, sizeof d.refusal, e.text);
    else if (id)
        sitting_page_run(&d, id);
    else
        queue_run(&d);
    if (d.refusal[0] && !ui->is_hung_up)
        say_and_leave(&d);
    ring_free(d.ring);
}

/* Only to be compared with: what was recorded can be read without them. */
static void load_protocols(struct workplace *w, const struct command_line *line)
{
    struct err ignored;
    w->has_protocols = protocols_load(line->value[OPTION_PROTOCOL_DIR], &w->protocols, &ignored) == ST_OK;
    if (!w->has_protocols)
        protocols_free(&w->protocols);
}

int verb_review(const struct command_line *line)
{
    struct workplace w;
    struct ui ui;
    struct err e = { 0 };
    struct sitting_head head;
    int64_t id = 0;
    if (line->word_count > 0 && parse_sitting(line->words[0], &id, &e) != ST_OK)
        return command_fail(&e);
    if (workplace_open_kept(&w, line, &e) != ST_OK)
        return command_fail(&e);
    if (id && store_sitting_get(w.store, id, &head, &e) != ST_OK) {
        workplace_close(&w);
        return command_fail(&e);
    }
    int status = EXIT_TERMINAL;
    load_protocols(&w, line);
    if (ui_open(&ui, &w, line, &e) == ST_OK) {
        review_run(&ui, id);
        ui_close(&ui);
        status = EXIT_FINE;
    } else {
        command_fail(&e);
    }
    workplace_close(&w);
    return status;
}
