/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file progress_page.c  The loops behind the home page's key for progress: read the records, page through them, write a graph. */
#include "command/progress_page.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "command/progress_load.h"
#include "command/yardstick_open.h"
#include "guide/progress_chart.h"
#include "output/chart_file.h"
#include "stillarm/text.h"
#include "terminal/clock.h"

#define QUIET_MS 300    /* reading that takes no longer is not worth a page */
#define MONTHS_BACK 1   /* what is compared with */
#define PATH_MOST 4096

/* Large, and one at a time. */
struct pages {
    struct ui *ui;
    struct yardstick_open yardstick;
    struct progress_ask ask;
    struct learning_rates rates;
    struct progress_rows rows;
    struct progress_group group;
    struct progress_view view;
    struct progress one;
    struct progress_row one_before;
    int64_t began_ms;
    bool is_broken_off;
    char notice[420];
};

/* ---- reading ---- */

/* A page on the way where it takes long, which a key breaks off. Where lines are typed ahead, as in a script, what comes next is
 * meant for the page after it. */
static bool watch(void *user, int64_t done, int64_t of)
{
    struct pages *ps = user;
    struct page pg;
    struct key k = { KEY_NONE, 0 };
    bool can_leave = ps->ui->kind == TERMINAL_SCREEN;
    if (clock_awake_ms() - ps->began_ms < QUIET_MS)
        return true;
    progress_reading_page(done, of, can_leave, &pg);
    if (can_leave)
        k = ui_ask(ps->ui, &pg, clock_boot_ms());
    else
        ui_draw(ps->ui, &pg);
    ps->began_ms = clock_awake_ms();
    ps->is_broken_off = key_is_leaving(&k);
    return !ps->is_broken_off;
}

static void begin_reading(struct pages *ps)
{
    ps->began_ms = clock_awake_ms();
    ps->is_broken_off = false;
}

/* Who broke it off knows. */
static void note_failure(struct pages *ps, const struct err *e)
{
    if (!ps->is_broken_off)
        text_copy(ps->notice, sizeof ps->notice, e->text);
}

/* ---- the yardstick ---- */

static void hold_against(struct pages *ps, const struct yardstick *one)
{
    yardstick_turn(&ps->yardstick, &ps->ui->w->protocols, one);
    ps->ask.yardstick = ps->yardstick.one;
    ps->ask.scheme = ps->yardstick.scheme;
    learning_rates(&one->plan, &ps->rates);
}

static enum status open_yardstick(struct pages *ps, struct err *e)
{
    const struct yardsticks *all = &ps->yardstick.all;
    enum status status = yardstick_open(ps->ui->w->protocol_dir, &ps->ui->w->protocols, NULL, &ps->yardstick, e);
    if (all->fault_count > 0)
        snprintf(ps->notice, sizeof ps->notice, "left out: %.390s%s", all->faults[0], all->fault_count > 1 ? " ..." : "");
    if (status != ST_OK)
        return status;
    hold_against(ps, ps->yardstick.one);
    ps->group.has_others = all->count > 1;
    ps->ask.until_day = clock_day(clock_unix_ms());
    ps->ask.since_day = day_after_months(ps->ask.until_day, -MONTHS_BACK);
    ps->ask.watch = watch;
    ps->ask.watcher = ps;
    return ST_OK;
}

/* ---- the rows ---- */

static void sort(struct pages *ps, const char *cursor_on)
{
    struct progress_group *g = &ps->group;
    progress_sort(ps->rows.now, ps->rows.before, g->count, g->order);
    for (int i = 0; i < g->count; i++)
        if (strcmp(ps->rows.now[i].person, cursor_on) == 0)
            g->at = i;
}

static void name_of_cursor(const struct pages *ps, char out[ITEM_CAP])
{
    text_copy(out, ITEM_CAP, ps->group.count > 0 ? ps->rows.now[ps->group.at].person : "");
}

/* What was there stays where it fails. */
static enum status read_group(struct pages *ps, struct err *e)
{
    struct progress_rows rows = { 0 };
    char person[ITEM_CAP];
    begin_reading(ps);
    enum status status = progress_load_rows(ps->ui->w->store, &ps->ask, &rows, e);
    if (status != ST_OK) {
        progress_rows_free(&rows);
        return status;
    }
    name_of_cursor(ps, person);
    progress_rows_free(&ps->rows);
    ps->rows = rows;
    ps->group.now = rows.now;
    ps->group.before = rows.before;
    ps->group.count = rows.count;
    ps->group.since_day = ps->view.since_day = ps->ask.since_day;
    ps->group.at = 0;
    sort(ps, person);
    return ST_OK;
}

static void turn_yardstick(struct pages *ps)
{
    const struct yardsticks *all = &ps->yardstick.all;
    const struct yardstick *was = ps->yardstick.one, *next = was + 1 < all->list + all->count ? was + 1 : all->list;
    struct err e = { 0 };
    hold_against(ps, next);
    if (read_group(ps, &e) == ST_OK)
        return;
    hold_against(ps, was);
    note_failure(ps, &e);
}

/* ---- how much room there is ---- */

static void measure(struct pages *ps)
{
    struct progress_view *v = &ps->view;
    terminal_size(ps->ui->terminal, &v->rows, &v->cols, &v->is_ascii);
    if (ps->ui->banner[0] && v->cols > 2)
        v->rows -= 1 + utf8_length(ps->ui->banner) / (v->cols - 2);
}

/* ---- a graph as a file ---- */

static struct pages *writing; /* a form's save has no other way to what is shown */

/* A leading `~/` is the home folder, as at a prompt; no shell is here to know it. */
static enum status whole_path(const char *entry, char *out, size_t cap, struct err *e)
{
    const char *home = getenv("HOME");
    bool is_home = strncmp(entry, "~/", 2) == 0;
    if (is_home && (!home || !home[0]))
        return err_set(e, ST_USAGE, "~/ is the home folder, and none is known here (HOME is not set). Type the whole path.");
    if (snprintf(out, cap, "%s%s", is_home ? home : "", is_home ? entry + 1 : entry) >= (int)cap)
        return err_set(e, ST_USAGE, "That path is too long: a shorter one, please.");
    return ST_OK;
}

/* With its folder, which nobody knows who started the program from somewhere. */
static void say_written(const char *path, char *out, size_t cap)
{
    char *whole = realpath(path, NULL);
    snprintf(out, cap, "written: %.380s", whole ? whole : path);
    free(whole);
}

/* What the banner says of the data, up to its first comma: a sheet that leaves a demo does not pass for a person's record. */
static void mark_sheet(const char *banner, struct chart_sheet *s)
{
    char heading[sizeof s->heading];
    struct text t;
    if (!banner[0])
        return;
    text_copy(heading, sizeof heading, s->heading);
    text_init(&t, s->heading, sizeof s->heading);
    text_addf(&t, "%.*s. %s", (int)strcspn(banner, ","), banner, heading);
}

static enum status save_graph(struct ui *ui, const struct form *f, struct err *e)
{
    char path[PATH_MOST];
    enum chart_form form = FORM_PDF;
    enum chart_kind kind = CHART_DIFFERENCE;
    enum status status = whole_path(f->fields[0].entry, path, sizeof path, e);
    if (status == ST_OK)
        status = chart_form_of(path, &form, e);
    struct chart_sheet *s = status == ST_OK ? calloc(1, sizeof *s) : NULL; /* large */
    if (status == ST_OK && !s)
        status = err_set(e, ST_NO_MEMORY, "There is not enough memory to draw a graph. Close other programs.");
    if (status == ST_OK) {
        progress_leaf_graph(writing->view.leaf, &kind);
        progress_sheet(&writing->one, writing->ask.yardstick, kind, writing->ask.until_day, s);
        mark_sheet(ui->banner, s);
        status = chart_write(s, form, path, e);
    }
    free(s);
    if (status == ST_OK)
        say_written(path, writing->notice, sizeof writing->notice);
    return status;
}

static enum status check_path(const struct form *f, int field, struct err *e)
{
    enum chart_form form;
    if (!f->fields[field].entry[0])
        return err_set(e, ST_USAGE, "not yet: a file has to have a name");
    return chart_form_of(f->fields[field].entry, &form, e);
}

static void ask_for_file(struct pages *ps, enum chart_kind kind)
{
    struct form f = { .id = "progress-file", .title = "Write this graph to a new file", .field_count = 1, .done = "write", .check = check_path };
    f.fields[0] = (struct form_field){ .label = "file", .hint = "Ends in .pdf or .svg to print, in .png to show; it must not exist yet" };
    snprintf(f.fields[0].entry, FORM_ENTRY_CAP, "%s-%s.pdf", ps->one.person, CHART_WORDS[kind]);
    writing = ps;
    ui_form(ps->ui, &f, save_graph);
}

/* ---- one person ---- */

static bool turn(struct pages *ps, const struct key *k)
{
    uint32_t c = key_as_letter(k);
    int leaf = (int)ps->view.leaf;
    if ((c == 'n' || k->code == KEY_RIGHT_ARROW) && leaf + 1 < LEAF_COUNT)
        leaf++;
    else if ((c == 'p' || k->code == KEY_LEFT_ARROW) && leaf > 0)
        leaf--;
    else if (k->code == KEY_TAB)
        leaf = (leaf + 1) % LEAF_COUNT;
    else
        return false;
    ps->view.leaf = (enum progress_leaf)leaf;
    ps->view.at = 0;
    return true;
}

static void show_words(struct pages *ps, enum progress_leaf leaf)
{
    struct page pg;
    progress_help_page(leaf, &pg);
    ui_show(ps->ui, &pg);
}

static void move(struct pages *ps, int steps)
{
    int last = progress_page_last(&ps->one, &ps->one_before, ps->ask.yardstick, &ps->rates, &ps->view);
    if (ps->view.at + steps >= 0 && ps->view.at + steps <= last)
        ps->view.at += steps;
}

/* A page holds the lines round the cursor: on to the first that it does not hold, or to the end. The current line is shown last:
 * on the way down a third of a screen more of what is new, which leaves nothing out. */
static bool move_page(struct pages *ps, const struct page *pg, const struct key *k)
{
    uint32_t c = key_as_letter(k);
    int at = 0;
    if (c != KEY_PAGE_DOWN && c != KEY_PAGE_UP)
        return false;
    while (at < pg->line_count && !pg->lines[at].is_current)
        at++;
    if (at == pg->line_count)
        return true;
    int last = progress_page_last(&ps->one, &ps->one_before, ps->ask.yardstick, &ps->rates, &ps->view);
    ps->view.at += c == KEY_PAGE_DOWN ? pg->line_count - 1 - at + ps->view.rows / 3 : -at;
    ps->view.at = ps->view.at > last ? last : ps->view.at < 0 ? 0 : ps->view.at;
    return true;
}

static void show_person(struct pages *ps)
{
    struct page pg;
    struct key k;
    do {
        enum chart_kind kind;
        measure(ps);
        progress_page(&ps->one, &ps->one_before, ps->ask.yardstick, &ps->rates, &ps->view, &pg);
        pg.is_part = true;
        text_copy(pg.refusal, sizeof pg.refusal, ps->notice);
        k = ui_ask(ps->ui, &pg, INT64_MAX);
        if (k.code != KEY_NONE && k.code != KEY_RESIZED)
            ps->notice[0] = '\0';
        if (key_as_letter(&k) == 'w' && progress_leaf_graph(ps->view.leaf, &kind))
            ask_for_file(ps, kind);
        else if (key_as_letter(&k) == '?')
            show_words(ps, ps->view.leaf);
        else if (!turn(ps, &k) && !move_page(ps, &pg, &k))
            move(ps, key_steps(&k));
    } while (!key_is_leaving(&k) && !ps->ui->is_hung_up);
}

static void open_person(struct pages *ps)
{
    struct err e = { 0 };
    begin_reading(ps);
    ps->view.leaf = LEAF_VERDICT;
    ps->view.at = 0;
    if (progress_load(ps->ui->w->store, &ps->ask, ps->rows.now[ps->group.at].person, &ps->one, &ps->one_before, &e) == ST_OK)
        show_person(ps);
    else
        note_failure(ps, &e);
}

/* ---- the group ---- */

static void take_group_key(struct pages *ps, const struct key *k)
{
    struct progress_group *g = &ps->group;
    int at = g->at + key_steps(k);
    char person[ITEM_CAP];
    if (k->code != KEY_NONE && k->code != KEY_RESIZED)
        ps->notice[0] = '\0';
    if (k->code == KEY_ENTER && g->count > 0) {
        open_person(ps);
    } else if (key_as_letter(k) == 'o') {
        g->order = (enum progress_order)((g->order + 1) % ORDER_COUNT);
        name_of_cursor(ps, person);
        sort(ps, person);
    } else if (key_as_letter(k) == '?') {
        show_words(ps, LEAF_COUNT);
    } else if (key_as_letter(k) == 'y' && g->has_others) {
        turn_yardstick(ps);
    } else if (at >= 0 && at < g->count) {
        g->at = at;
    }
}

static void show_group(struct pages *ps)
{
    struct page pg;
    struct key k;
    do {
        measure(ps);
        progress_group_page(&ps->group, ps->ask.yardstick, &ps->view, &pg);
        text_copy(pg.refusal, sizeof pg.refusal, ps->notice);
        k = ui_ask(ps->ui, &pg, INT64_MAX);
        if (!key_is_leaving(&k))
            take_group_key(ps, &k);
    } while (!key_is_leaving(&k) && !ps->ui->is_hung_up);
}

/* What went wrong is a page of its own: there is nothing else to show. */
static void show_failure(struct ui *ui, const struct err *e, const char *notice)
{
    struct page pg;
    page_init(&pg, PAGE_OPEN, "progress-failed");
    page_line(&pg, LINE_INSTRUCTION, "%s", e->text);
    text_copy(pg.refusal, sizeof pg.refusal, notice);
    page_key(&pg, "any key", "back");
    ui_show(ui, &pg);
}

void progress_page_run(struct ui *ui)
{
    struct err e = { 0 };
    struct pages *ps = calloc(1, sizeof *ps);
    if (!ps) {
        (void)err_set(&e, ST_NO_MEMORY, "There is not enough memory for the records. Close other programs.");
        show_failure(ui, &e, "");
        return;
    }
    ps->ui = ui;
    ps->group.order = ORDER_READY;
    enum status status = open_yardstick(ps, &e);
    if (status == ST_OK)
        status = read_group(ps, &e);
    if (status == ST_OK)
        show_group(ps);
    else if (!ps->is_broken_off)
        show_failure(ui, &e, ps->notice);
    yardsticks_free(&ps->yardstick.all);
    progress_rows_free(&ps->rows);
    free(ps);
}
