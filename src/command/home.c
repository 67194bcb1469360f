/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file home.c  No verb: the home page. */
#include "command/home.h"

#include <stdio.h>
#include <string.h>

#include "command/first_run.h"
#include "command/home_desk.h"
#include "command/kit.h"
#include "command/pin.h"
#include "command/progress_page.h"
#include "command/review.h"
#include "command/session.h"
#include "command/sit.h"
#include "guide/home.h"
#include "stillarm/text.h"
#include "terminal/clock.h"

/* The check that bars a gauge under the usual protocol; "" when none does. */
static const char *failed_check(const struct guide_booth *b, const struct protocol *p, int i)
{
    return kit_failed_check(p, &b->gauges[i].leak, &b->gauges[i].zero, &b->gauges[i].comparison);
}

/* What is wrong with the kit, the worst first; "" when nothing is. */
static void kit_words(const struct guide_booth *b, const struct protocol *p, char *out, size_t cap)
{
    int worst = -1;
    out[0] = '\0';
    for (int i = 0; i < b->gauge_count; i++)
        if (failed_check(b, p, i)[0]) {
            snprintf(out, cap, "gauge %s failed its %s", b->gauges[i].id, failed_check(b, p, i));
            return;
        }
    for (int i = 0; i < b->gauge_count; i++)
        if (worst < 0 || b->gauges[i].due < b->gauges[worst].due)
            worst = i;
    if (worst < 0)
        text_copy(out, cap, "no gauge yet");
    else if (b->cuff_count == 0)
        text_copy(out, cap, "no cuff yet");
    else if (days_between(b->today, b->gauges[worst].due) <= KIT_DUE_SOON_DAYS) {
        int left = days_between(b->today, b->gauges[worst].due);
        if (left < 0)
            snprintf(out, cap, "the calibration of gauge %s has ended", b->gauges[worst].id);
        else
            snprintf(out, cap, "gauge %s is due for calibration in %d day%s", b->gauges[worst].id, left, left == 1 ? "" : "s");
    }
}

/* The step where an open sitting was left. Its log is replayed only when another sitting or event is meant. */
static void open_step_words(struct ui *ui, const struct sitting_head *head, char *out, size_t cap)
{
    static struct { int64_t id; int32_t events; char word[16]; } known;
    if (known.id != head->id || known.events != head->event_count) {
        static struct session x; /* large, and one at a time */
        struct err e = { 0 };
        struct missing first;
        known.id = head->id;
        known.events = head->event_count;
        text_copy(known.word, sizeof known.word, "?");
        if (session_load(&x, ui->w->store, &ui->w->protocols, head->id, &e) == ST_OK) {
            int n = sitting_missing(&x.sitting, &x.protocol, x.sitting.now_ms, &first, 1);
            text_copy(known.word, sizeof known.word, step_word(n > 0 ? first.step : STEP_CLOSING));
        }
    }
    text_copy(out, cap, known.word);
}

/* What the booth is set to, whether or not it is offered now. */
static enum status usual_protocol(struct ui *ui, const struct guide_booth *b, struct home_view *v, struct err *e)
{
    enum status status = store_setting_get(ui->w->store, "protocol", v->protocol, sizeof v->protocol, e);
    v->is_protocol_gone = b->is_protocol_gone;
    if (status == ST_OK && !v->protocol[0])
        text_copy(v->protocol, sizeof v->protocol, b->default_protocol);
    return status;
}

static enum status gather(struct ui *ui, struct home_view *v, struct err *e)
{
    struct guide_booth b;
    struct day_counts counts = { 0 };
    struct sitting_head head;
    enum status status = workplace_booth(ui->w, &b, e);
    if (status == ST_OK)
        status = store_day_counts(ui->w->store, b.today, &counts, e);
    if (status != ST_OK)
        return status;
    text_copy(v->measurer, sizeof v->measurer, b.measurer);
    text_copy(v->place, sizeof v->place, b.place);
    text_copy(v->wall, sizeof v->wall, b.wall);
    status = usual_protocol(ui, &b, v, e);
    if (status == ST_OK)
        status = home_desk(ui->w->store, b.today, v, e);
    if (status != ST_OK)
        return status;
    text_copy(v->store_path, sizeof v->store_path, ui->w->path);
    kit_words(&b, protocols_find(&ui->w->protocols, b.default_protocol), v->kit, sizeof v->kit);
    v->fault_count = ui->w->protocols.fault_count + (ui->w->procedures.fault[0] != '\0');
    v->finished = counts.sealed;
    v->stopped = counts.stopped;
    v->open_count = counts.open;
    status = store_sitting_open_latest(ui->w->store, &head, e);
    v->open_id = 0;
    if (status == ST_OK) {
        v->open_id = head.id;
        v->open_ago_s = (clock_unix_ms() - head.last_unix_ms) / 1000;
        open_step_words(ui, &head, v->open_step, sizeof v->open_step);
    }
    return status == ST_NOT_FOUND ? ST_OK : status;
}

static void end_words(enum sit_end end, const struct err *e, char *out, size_t cap)
{
    out[0] = '\0';
    if (end == SIT_FAILED)
        text_copy(out, cap, e->text);
}

/* The booth's form while it is open: which protocols there are is not in its text. */
static const struct protocols *offered;

static enum status check_booth(const struct form *f, int field, struct err *e)
{
    const char *entry = f->fields[field].entry;
    if (field == 0 && !is_plain_text(entry, 60))
        return err_set(e, ST_USAGE, "not yet: the place has to be 1 to 60 characters of plain text");
    if (field == 1 && entry[0] && !protocols_find(offered, entry))
        return err_set(e, ST_USAGE, "not yet: there is no protocol %.40s here; the line above names those there are", entry);
    if (field == 2 && !is_empty_or_among(entry, event_form(EV_PURPOSE)->items))
        return err_set(e, ST_USAGE, "not yet: a purpose is practice, service or assessment");
    if (field == 3 && !is_empty_or_among(entry, event_form(EV_HELP)->items))
        return err_set(e, ST_USAGE, "not yet: help is full, steps or none");
    return ST_OK;
}

/* Setting the first usual protocol is part of setting up; another in its place is signed by who is in charge. */
static enum status save_protocol(struct ui *ui, const char *id, struct err *e)
{
    char now[ITEM_CAP], why[100];
    enum status status = store_setting_get(ui->w->store, "protocol", now, sizeof now, e);
    if (status != ST_OK || strcmp(now, id) == 0)
        return status;
    if (!now[0])
        return store_setting_set(ui->w->store, "protocol", id, e);
    int at = protocols_index(&ui->w->protocols, id);
    if (at < 0)
        return err_set(e, ST_USAGE, "not yet: another protocol can take the place of %s, none cannot", now);
    snprintf(why, sizeof why, "to make %.40s the usual protocol", id);
    const struct act a = { .kind = SAYS_PROTOCOL, .of = id, .protocol_text = ui->w->protocols.text[at] };
    return charge_act(ui, &a, why, e);
}

/* The protocol last: the others are kept also where nobody in charge is there. */
static enum status save_booth(struct ui *ui, const struct form *f, struct err *e)
{
    static const struct { const char *setting; int field; } SETTINGS[] = { { "place", 0 }, { "purpose", 2 }, { "help", 3 } };
    enum status status = ST_OK;
    for (size_t i = 0; i < ARRAY_LEN(SETTINGS) && status == ST_OK; i++)
        status = store_setting_set(ui->w->store, SETTINGS[i].setting, f->fields[SETTINGS[i].field].entry, e);
    return status == ST_OK ? save_protocol(ui, f->fields[1].entry, e) : status;
}

static void ask_for_booth(struct ui *ui, struct home_view *v)
{
    struct form f = { .id = "booth", .title = "This booth", .field_count = 4, .check = check_booth };
    struct err e = { 0 };
    char names[200];
    struct text t;
    offered = &ui->w->protocols;
    text_init(&t, names, sizeof names);
    for (int i = 0; i < offered->count; i++)
        text_addf(&t, "%s%s", i ? ", " : "", offered->list[i]->id);
    f.fields[0] = (struct form_field){ .label = "place", .hint = "Where readings are taken" };
    f.fields[1] = (struct form_field){ .label = "usual protocol", .hint = names };
    f.fields[2] = (struct form_field){ .label = "usual purpose", .hint = "practice, service or assessment: what an opening "
                                                                         "suggests. Empty: practice" };
    f.fields[3] = (struct form_field){ .label = "help in practice", .hint = "full, steps (their names alone) or none (clock and "
                                                                           "refusals): what an opening suggests. Empty: full" };
    text_copy(f.fields[0].entry, sizeof f.fields[0].entry, v->place);
    text_copy(f.fields[1].entry, sizeof f.fields[1].entry, v->protocol);
    if (store_setting_get(ui->w->store, "purpose", f.fields[2].entry, sizeof f.fields[2].entry, &e) != ST_OK ||
        store_setting_get(ui->w->store, "help", f.fields[3].entry, sizeof f.fields[3].entry, &e) != ST_OK)
        text_copy(v->notice, sizeof v->notice, e.text);
    else
        ui_form(ui, &f, save_booth);
}

static void show_faults(struct ui *ui)
{
    static struct list l; /* large, and one at a time */
    const struct protocols *ps = &ui->w->protocols;
    struct page pg;
    struct key k;
    home_faults_list(&l);
    bool fits = !ui->w->procedures.fault[0] || home_fault_rows(&l, ui->w->procedures.fault);
    for (int i = 0; fits && i < ps->fault_count; i++)
        fits = home_fault_rows(&l, ps->faults[i]);
    do {
        list_page(&l, &pg);
        page_key(&pg, "q", "back");
        k = ui_ask(ui, &pg, INT64_MAX);
        list_key(&l, &k);
    } while (!key_is_leaving(&k));
}

static void show_help(struct ui *ui, const struct home_view *v)
{
    struct page pg;
    home_help_page(v, &pg);
    ui_show(ui, &pg);
}

/* @return true when home is left */
static bool take_key(struct ui *ui, struct home_view *v, const struct key *k)
{
    struct err e = { 0 };
    uint32_t c = key_as_letter(k);
    if (k->code != KEY_NONE && k->code != KEY_RESIZED)
        v->notice[0] = '\0';
    if (k->code == KEY_ENTER || c == 's') {
        enum status status = first_run(ui, &e); /* the last gauge may have been retired meanwhile */
        if (status == ST_OK)
            end_words(sit_new(ui, &e), &e, v->notice, sizeof v->notice);
        else if (status != ST_USAGE)
            text_copy(v->notice, sizeof v->notice, e.text);
    } else if (c == 'g' && v->open_id) {
        end_words(sit_resume(ui, v->open_id, &e), &e, v->notice, sizeof v->notice);
    } else if (c == 'k') {
        kit_page_run(ui);
    } else if (c == 'p') {
        people_page_run(ui);
    } else if (c == 'r') {
        review_run(ui, 0);
    } else if (c == 't') {
        progress_page_run(ui);
    } else if (c == 'l') {
        sittings_page_run(ui);
    } else if (c == 'b') {
        ask_for_booth(ui, v);
    } else if (c == 'f' && v->fault_count > 0) {
        show_faults(ui);
    } else if (c == '?') {
        show_help(ui, v);
    }
    return k->code == KEY_HANGUP || c == 'q';
}

/* The first fault at once, where refusals stand; all of them are behind a key that stays. */
static void fault_words(const struct workplace *w, char *out, size_t cap)
{
    const struct protocols *ps = &w->protocols;
    if (ps->fault_count == 0)
        text_copy(out, cap, w->procedures.fault);
    else if (ps->fault_count == 1)
        snprintf(out, cap, "left out: %.380s", ps->faults[0]);
    else
        snprintf(out, cap, "left out: %.340s (and %d more like it)", ps->faults[0], ps->fault_count - 1);
}

int home_run(struct ui *ui)
{
    struct home_view v = { 0 };
    struct err e = { 0 };
    fault_words(ui->w, v.notice, sizeof v.notice);
    enum status status = first_run(ui, &e);
    if (status == ST_USAGE)
        return EXIT_FINE;
    while (status == ST_OK && !ui->is_hung_up) {
        struct page pg;
        status = gather(ui, &v, &e);
        if (status != ST_OK)
            break;
        home_page(&v, &pg);
        struct key k = ui_ask(ui, &pg, ui_next_minute(ui));
        if (take_key(ui, &v, &k))
            break;
    }
    if (status == ST_OK)
        return v.open_id ? EXIT_UNFINISHED : EXIT_FINE;
    ui_close(ui); /* before words go to standard error */
    return command_fail(&e);
}

int verb_home(const struct command_line *line)
{
    struct workplace w;
    struct ui ui;
    struct err e = { 0 };
    if (workplace_open(&w, line, STORE_WRITE, WORKPLACE_STORE_AND_PROTOCOLS, &e) != ST_OK)
        return command_fail(&e);
    int status = EXIT_TERMINAL;
    if (ui_open(&ui, &w, line, &e) == ST_OK)
        status = home_run(&ui);
    else
        command_fail(&e);
    ui_close(&ui);
    workplace_close(&w);
    return status;
}
