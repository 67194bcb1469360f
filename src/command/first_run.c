/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file first_run.c  The first run: asks, checks, stores. */
#include "command/first_run.h"

#include <stdio.h>
#include <string.h>

#include "command/kit.h"
#include "command/person.h"
#include "guide/first_run.h"
#include "stillarm/text.h"

static enum status check_person(const struct form *f, int field, struct err *e)
{
    const char *entry = f->fields[field].entry;
    if (field == 0 && !is_item(entry))
        return err_set(e, ST_USAGE, "not yet: a short name is 1 to 32 letters, digits, dots or dashes, and starts with a "
                                    "letter or a digit");
    if (field == 1 && entry[0] && !is_plain_text(entry, 60))
        return err_set(e, ST_USAGE, "not yet: the name has to be 1 to 60 characters of plain text");
    if (field == 2 && !is_plain_text(entry, 60))
        return err_set(e, ST_USAGE, "not yet: the place has to be 1 to 60 characters of plain text");
    return ST_OK;
}

/* Whoever was added last measures now. */
static enum status keep_person(struct ui *ui, const struct form *f, enum person_role role, struct err *e)
{
    struct person who = { .role = role };
    const char *id = f->fields[0].entry;
    text_copy(who.id, sizeof who.id, id);
    text_copy(who.name, sizeof who.name, f->fields[1].entry[0] ? f->fields[1].entry : id);
    enum status status = store_person_add(ui->w->store, &who, e);
    return status == ST_OK ? store_setting_set(ui->w->store, "measurer", who.id, e) : status;
}

static enum status save_first_person(struct ui *ui, const struct form *f, struct err *e)
{
    enum status status = keep_person(ui, f, ROLE_TECHNICIAN, e);
    return status == ST_OK ? store_setting_set(ui->w->store, "place", f->fields[2].entry, e) : status;
}

static enum status check_new_person(const struct form *f, int field, struct err *e)
{
    enum person_role role;
    return field == 2 ? kit_not_yet(person_parse_role(f->fields[2].entry, &role, e), e) : check_person(f, field, e);
}

static enum status save_person(struct ui *ui, const struct form *f, struct err *e)
{
    enum person_role role = ROLE_TECHNICIAN;
    enum status status = person_parse_role(f->fields[2].entry, &role, e);
    return status == ST_OK ? keep_person(ui, f, role, e) : status;
}

enum status check_calibration(const struct form *f, int on, int field, struct err *e)
{
    const char *day = f->fields[on].entry;
    int32_t due;
    if (field == on && day[0])
        return kit_not_yet(kit_parse_past(day, &due, e), e);
    return field == on + 1 ? kit_not_yet(kit_parse_due(day, f->fields[field].entry, &due, e), e) : ST_OK;
}

static enum status check_gauge(const struct form *f, int field, struct err *e)
{
    int32_t top;
    if (field >= 2)
        return check_calibration(f, 2, field, e);
    return kit_not_yet(field == 0 ? kit_check_id(f->fields[0].entry, e) : kit_parse_top(f->fields[1].entry, &top, e), e);
}

static enum status save_gauge(struct ui *ui, const struct form *f, struct err *e)
{
    struct gauge g;
    int32_t due;
    char day[16];
    enum status status = kit_parse_due(f->fields[2].entry, f->fields[3].entry, &due, e);
    if (status != ST_OK)
        return kit_not_yet(status, e);
    day_print(due, day);
    status = kit_check_gauge(&g, f->fields[0].entry, "", f->fields[1].entry, day, e);
    if (status == ST_OK)
        status = store_gauge_add(ui->w->store, &g, e);
    return kit_not_yet(status, e);
}

/* The months given for the first gauge are taken for the site's interval. */
static enum status save_first_gauge(struct ui *ui, const struct form *f, struct err *e)
{
    int32_t months;
    enum status status = save_gauge(ui, f, e);
    if (status == ST_OK && kit_parse_months(f->fields[3].entry, &months, NULL) == ST_OK)
        status = store_interval_set(ui->w->store, months, e);
    return status;
}

static enum status check_cuff(const struct form *f, int field, struct err *e)
{
    struct stored_cuff c;
    if (field == 0)
        return kit_not_yet(kit_check_id(f->fields[0].entry, e), e);
    if (field == 1)
        return kit_not_yet(parse_arm_mm(f->fields[1].entry, &c.low_mm, e), e);
    return kit_not_yet(kit_check_cuff(&c, f->fields[0].entry, "", f->fields[1].entry, f->fields[2].entry,
                                      field == 3 ? f->fields[3].entry : "", e),
                       e);
}

static enum status save_cuff(struct ui *ui, const struct form *f, struct err *e)
{
    struct stored_cuff c;
    enum status status = kit_check_cuff(&c, f->fields[0].entry, "", f->fields[1].entry, f->fields[2].entry,
                                        f->fields[3].entry, e);
    if (status == ST_OK)
        status = store_cuff_add(ui->w->store, &c, e);
    return kit_not_yet(status, e);
}

bool ask_for_person(struct ui *ui)
{
    struct form f;
    first_run_person_form(&f);
    f.id = "person-new";
    f.intro = NULL;
    f.fields[2] = (struct form_field){ .label = "role", .entry = "technician",
                                       .hint = "trainee, technician or preceptor: what the signature counts for" };
    f.check = check_new_person;
    return ui_form(ui, &f, save_person);
}

static bool ask_for_a_gauge(struct ui *ui, ui_save_fn save)
{
    struct form f;
    struct err e;
    int32_t months;
    if (store_interval_get(ui->w->store, &months, &e) != ST_OK)
        months = INTERVAL_MONTHS_USUAL; /* only offered; what is typed is kept */
    first_run_gauge_form(&f, (int)months);
    f.check = check_gauge;
    return ui_form(ui, &f, save);
}

bool ask_for_gauge(struct ui *ui)
{
    return ask_for_a_gauge(ui, save_gauge);
}

bool ask_for_cuff(struct ui *ui)
{
    struct form f;
    first_run_cuff_form(&f);
    f.check = check_cuff;
    return ui_form(ui, &f, save_cuff);
}

static enum status add_usual_cuffs(struct store *store, struct err *e)
{
    for (int i = 0; i < USUAL_CUFF_COUNT; i++) {
        struct stored_cuff c = { .low_mm = USUAL_CUFFS[i].low_mm, .high_mm = USUAL_CUFFS[i].high_mm };
        text_copy(c.id, sizeof c.id, USUAL_CUFFS[i].id);
        text_copy(c.name, sizeof c.name, USUAL_CUFFS[i].name);
        enum status status = store_cuff_add(store, &c, e);
        if (status != ST_OK && status != ST_EXISTS)
            return status;
    }
    return ST_OK;
}

static enum status ask_for_cuffs(struct ui *ui, struct err *e)
{
    char refusal[420] = "";
    for (;;) {
        struct page pg;
        first_run_cuffs_page(&pg);
        text_copy(pg.refusal, sizeof pg.refusal, refusal);
        struct key k = ui_ask(ui, &pg, INT64_MAX);
        if (key_is_leaving(&k))
            return ST_USAGE;
        if (key_as_letter(&k) == 'o' && ask_for_cuff(ui))
            return ST_OK;
        if (k.code == KEY_ENTER) {
            if (add_usual_cuffs(ui->w->store, e) == ST_OK)
                return ST_OK;
            text_copy(refusal, sizeof refusal, e->text);
        }
    }
}

static enum status ask_for_protocol(struct ui *ui, struct err *e)
{
    const struct protocols *ps = &ui->w->protocols;
    static struct list l; /* large, and one at a time */
    first_run_protocol_list(&l);
    l.row_count = ps->count;
    for (int i = 0; i < ps->count; i++)
        first_run_protocol_row(ps->list[i], l.rows[i], LIST_ROW_CAP);
    for (;;) {
        struct page pg;
        char note[240];
        first_run_protocol_note(l.at >= 0 ? ps->list[l.at] : NULL, note, sizeof note);
        l.note = note;
        list_page(&l, &pg);
        page_key(&pg, "enter", "take this one");
        page_key(&pg, "q", "leave");
        struct key k = ui_ask(ui, &pg, INT64_MAX);
        if (key_is_leaving(&k))
            return ST_USAGE;
        if (k.code == KEY_ENTER && l.at < 0) {
            text_copy(l.refusal, sizeof l.refusal, "not yet: none is chosen. j and k move, or the arrows.");
        } else if (k.code == KEY_ENTER) {
            if (store_setting_set(ui->w->store, "protocol", ps->list[l.at]->id, e) == ST_OK)
                return ST_OK;
            text_copy(l.refusal, sizeof l.refusal, e->text);
        } else {
            list_key(&l, &k);
        }
    }
}

static enum status ask_for_who_and_where(struct ui *ui)
{
    struct form f;
    first_run_person_form(&f);
    f.check = check_person;
    return ui_form(ui, &f, save_first_person) ? ST_OK : ST_USAGE;
}

enum status first_run(struct ui *ui, struct err *e)
{
    struct store *store = ui->w->store;
    struct person person;
    struct gauge gauge;
    struct stored_cuff cuff;
    char protocol[ITEM_CAP];
    int people = 0, gauges = 0, cuffs = 0;
    enum status status = store_people(store, false, &person, 1, &people, e);
    if (status == ST_OK && people == 0)
        status = ask_for_who_and_where(ui);
    if (status == ST_OK)
        status = store_setting_get(store, "protocol", protocol, sizeof protocol, e);
    if (status == ST_OK && !protocol[0] && ui->w->protocols.count > 1)
        status = ask_for_protocol(ui, e);
    if (status == ST_OK)
        status = store_gauges(store, false, &gauge, 1, &gauges, e);
    if (status == ST_OK && gauges == 0 && !ask_for_a_gauge(ui, save_first_gauge))
        status = ST_USAGE;
    if (status == ST_OK)
        status = store_cuffs(store, false, &cuff, 1, &cuffs, e);
    if (status == ST_OK && cuffs == 0)
        status = ask_for_cuffs(ui, e);
    return status;
}
