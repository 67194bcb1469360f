/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which view follows from a sitting, the frame that all pages share, and the way of a key to its view. */
#include "guide/guide.h"

#include <stdio.h>
#include <string.h>

#include "guide/views.h"

static const struct view_row VIEWS[VIEW_COUNT] = {
    [VIEW_AUTO] = { "auto", STEP_NONE, FIELD_NEVER, false, page_stopped, key_stopped },
    [VIEW_OPENING] = { "opening", STEP_OPENING, FIELD_OPENING, false, page_opening, key_opening },
    [VIEW_ITEMS] = { "items", STEP_NONE, FIELD_NEVER, false, page_items, key_items },
    [VIEW_ARM] = { "arm-choice", STEP_ARM, FIELD_NEVER, false, page_arm, key_arm },
    [VIEW_CIRCUMFERENCE] = { "arm-measure", STEP_CUFF, FIELD_ALWAYS, false, page_circumference, key_circumference },
    [VIEW_WRAP] = { "cuff-choice", STEP_CUFF, FIELD_NEVER, false, page_wrap, key_wrap },
    [VIEW_REST] = { "rest", STEP_REST, FIELD_TYPED, false, page_rest, key_rest },
    [VIEW_KIT] = { "kit", STEP_KIT, FIELD_NEVER, false, page_kit, key_kit },
    [VIEW_PULSE] = { "pulse", STEP_REST, FIELD_TYPED, false, page_pulse, key_pulse },
    [VIEW_ESTIMATE] = { "estimate-before", STEP_ESTIMATE, FIELD_NEVER, false, page_estimate, key_estimate },
    [VIEW_PALPATING] = { "palpating", STEP_ESTIMATE, FIELD_NEVER, true, page_palpating, key_cuff_up },
    [VIEW_PALPATING_STEPS] = { "palpating-steps", STEP_ESTIMATE, FIELD_NEVER, true, page_palpating_steps, key_palpating_steps },
    [VIEW_ESTIMATE_ENTRY] = { "estimate-entry", STEP_ESTIMATE, FIELD_ALWAYS, false, page_estimate_entry, key_estimate_entry },
    [VIEW_LISTEN_BEFORE] = { "listening-before", STEP_LISTENING, FIELD_NEVER, false, page_listen_before, key_listen_before },
    [VIEW_LISTENING] = { "listening", STEP_LISTENING, FIELD_NEVER, true, page_listening, key_cuff_up },
    [VIEW_MARKS] = { "marks", STEP_LISTENING, FIELD_NEVER, true, page_marks, key_marks },
    [VIEW_ENTRY] = { "entry", STEP_LISTENING, FIELD_ALWAYS, false, page_entry, key_entry },
    [VIEW_READBACK] = { "read-back", STEP_LISTENING, FIELD_NEVER, false, page_readback, key_readback },
    [VIEW_HANDOVER] = { "hand-over", STEP_LISTENING, FIELD_NEVER, false, page_handover, key_handover },
    [VIEW_PAIR_ENTRY] = { "pair-entry", STEP_LISTENING, FIELD_ALWAYS, false, page_pair_entry, key_pair_entry },
    [VIEW_PAIR_READBACK] = { "pair-read-back", STEP_LISTENING, FIELD_NEVER, false, page_pair_readback, key_pair_readback },
    [VIEW_PAIR_SHOWN] = { "pair-shown", STEP_LISTENING, FIELD_NEVER, false, page_pair_shown, key_pair_shown },
    [VIEW_GAP] = { "gap", STEP_LISTENING, FIELD_NEVER, false, page_gap, key_gap },
    [VIEW_SEVERE] = { "very-high", STEP_LISTENING, FIELD_NEVER, false, page_severe, key_severe },
    [VIEW_NO_ARM] = { "no-arm", STEP_ARM, FIELD_NEVER, false, page_no_arm, key_no_arm },
    [VIEW_STAND] = { "stand", STEP_LISTENING, FIELD_NEVER, false, page_stand, key_stand },
    [VIEW_CLOSING] = { "result", STEP_CLOSING, FIELD_NEVER, false, page_closing, key_closing },
    [VIEW_DEBRIEF] = { "finished", STEP_COUNT, FIELD_NEVER, true, page_debrief, key_debrief },
    [VIEW_STOPPED] = { "stopped", STEP_COUNT, FIELD_NEVER, true, page_stopped, key_stopped },
    [VIEW_WITNESS] = { "witness", STEP_NONE, FIELD_NEVER, true, page_witness, key_witness },
    [VIEW_WITNESS_PULSE] = { "witness-pulse", STEP_ESTIMATE, FIELD_ALWAYS, true, page_witness_pulse, key_witness_pulse },
    [VIEW_WITNESS_PASS] = { "witness-pass", STEP_NONE, FIELD_NEVER, true, page_witness_pass, key_witness_pass },
    [VIEW_WITNESS_NOTED] = { "witness-noted", STEP_NONE, FIELD_NEVER, true, page_witness_noted, key_witness_noted },
    [VIEW_ITEM_NO] = { "item-not-so", STEP_NONE, FIELD_NEVER, false, page_item_no, key_item_no },
    [VIEW_TEXT] = { "reason", STEP_NONE, FIELD_ALWAYS, true, page_text, key_text },
    [VIEW_STOP_SURE] = { "stop-sure", STEP_NONE, FIELD_NEVER, true, page_stop_sure, key_stop_sure },
    [VIEW_CORRECT] = { "correct", STEP_LISTENING, FIELD_NEVER, false, page_correct, key_correct },
    [VIEW_CORRECT_VALUE] = { "correct-value", STEP_LISTENING, FIELD_ALWAYS, true, page_correct_value, key_correct_value },
    [VIEW_MENU] = { "happened", STEP_NONE, FIELD_NEVER, true, page_menu, key_menu },
    [VIEW_REOPEN] = { "reopen", STEP_NONE, FIELD_NEVER, true, page_reopen, key_reopen },
    [VIEW_USUAL] = { "usual", STEP_ESTIMATE, FIELD_ALWAYS, true, page_usual, key_usual },
    [VIEW_WHY] = { "why", STEP_NONE, FIELD_NEVER, true, page_why, key_why },
    [VIEW_WORTH] = { "worth", STEP_CLOSING, FIELD_NEVER, true, page_worth, key_worth },
    [VIEW_BARRED] = { "arm-barred", STEP_ARM, FIELD_NEVER, true, page_barred, key_barred },
    [VIEW_RECENT] = { "recent", STEP_NONE, FIELD_NEVER, true, page_recent, key_recent },
    [VIEW_FAINT] = { "faint", STEP_LISTENING, FIELD_NEVER, true, page_faint, key_faint },
    [VIEW_LISTENER] = { "listener", STEP_LISTENING, FIELD_ALWAYS, true, page_listener, key_listener },
};

const struct view_row *view_row(enum view view)
{
    return &VIEWS[view > VIEW_AUTO && view < VIEW_COUNT ? view : VIEW_STOPPED];
}

/* Derived views that can be asked for again, out of their turn. */
static bool is_repeatable(int32_t view)
{
    return view == VIEW_PULSE || view == VIEW_ESTIMATE_ENTRY || view == VIEW_KIT || view == VIEW_WRAP || view == VIEW_CIRCUMFERENCE ||
           view == VIEW_ARM;
}

static bool overlay_is_open(const struct scene *sc)
{
    int32_t view = sc->g->view;

    if (sc->view == VIEW_OPENING && view == VIEW_WHY) /* there is no protocol yet: all the more reason to ask what it holds */
        return true;
    return sc->p != NULL && sc->s->phase == PHASE_OPEN && view < VIEW_COUNT && (view > VIEW_STOPPED || is_repeatable(view));
}

static int32_t shown_id(const struct scene *sc)
{
    return (int32_t)sc->view * 16 + (int32_t)sc->step;
}

static bool field_is_open(const struct scene *sc)
{
    if (sc->g->scratch[SC_OUT])
        return false;
    switch (view_row(sc->view)->field) {
    case FIELD_NEVER:
        return false;
    case FIELD_ALWAYS:
        return true;
    case FIELD_TYPED:
        return sc->entry[0] != '\0';
    case FIELD_OPENING:
        return opening_field_is_text(sc);
    }
    return false;
}

void scene_make(struct scene *sc, const struct guide *g, const struct guide_booth *b, const struct sitting *s,
                const struct protocol *p, int64_t now_ms)
{
    enum step step = STEP_NONE;

    /* Time never runs backwards on a page, whatever the caller's clock does. */
    *sc = (struct scene){ .g = g, .b = b, .s = s, .p = p, .now_ms = now_ms > s->now_ms ? now_ms : s->now_ms, .entry = "" };
    if (p != NULL && s->phase == PHASE_OPEN) {
        sc->missing_count = sitting_missing(s, p, sc->now_ms, sc->missing, MISSING_CAP);
        if (sc->missing_count > MISSING_CAP)
            sc->missing_count = MISSING_CAP;
    }
    sc->is_covered = g->is_hidden || pair_is_blind(s);
    sc->view = view_derived(sc, &step);
    sc->step = view_row(sc->view)->step != STEP_NONE ? view_row(sc->view)->step : step;
    sc->derived = sc->view;
    sc->is_overlay = overlay_is_open(sc);
    if (sc->is_overlay)
        sc->view = (enum view)g->view;
    if (g->scratch[SC_SHOWN] == shown_id(sc))
        sc->entry = g->entry;
    sc->is_field = field_is_open(sc);
}

void guide_open_view(struct guide *g, enum view view)
{
    g->view = (int32_t)view;
    g->entry[0] = '\0';
    g->cursor = 0;
    g->scratch[SC_OUT] = 0;
    g->scratch[SC_PICKED] = 0;
    if (view == VIEW_AUTO) {
        g->pending_count = 0;
        g->scratch[SC_TEXT_FOR] = 0;
    }
}

void guide_begin(struct guide *g, const struct guide_booth *b)
{
    memset(g, 0, sizeof *g);
    opening_begin(g, b);
}

/* ---- the frame ---- */

_Static_assert(STEP_COUNT <= PAGE_RAIL_MAX, "all steps and the seal have their place");

static void frame_rail(const struct scene *sc, struct page *pg)
{
    for (int step = STEP_OPENING; step < STEP_COUNT; step++) {
        struct page_rail *rail = &pg->rail[pg->rail_count++];
        bool is_done = sc->p != NULL && sitting_step_state(sc->s, sc->p, (enum step)step, sc->now_ms) == STEP_DONE;

        text_copy(rail->name, sizeof rail->name, step_word((enum step)step));
        rail->is_now = step == (int)sc->step;
        text_copy(rail->state, sizeof rail->state, rail->is_now ? "now" : is_done ? "done" : "");
        if (sc->view == VIEW_WITNESS)
            witness_rail(sc, (enum step)step, rail->state);
        /* Over, but its end goes into the log only with the next squeeze. */
        if (step == STEP_REST && !rail->is_now && sc->p != NULL && sc->s->rest == REST_RUNNING && rest_is_over(sc))
            text_copy(rail->state, sizeof rail->state, "over");
    }
    text_copy(pg->rail[pg->rail_count].name, sizeof pg->rail[0].name, "seal");
    text_copy(pg->rail[pg->rail_count++].state, sizeof pg->rail[0].state, sc->s->phase == PHASE_SEALED ? "done" : "");
}

static void frame_top(const struct scene *sc, struct page *pg)
{
    struct text t;
    bool is_reading = sc->step == STEP_LISTENING;
    int n = sc->s->reading_count;

    text_init(&t, pg->left, sizeof pg->left);
    if (sc->b->sitting_id > 0)
        text_addf(&t, "S-%03lld", (long long)sc->b->sitting_id);
    else
        text_add(&t, "new sitting");
    if (sc->s->arm != ARM_NONE)
        text_addf(&t, "   %s", arm_words(sc->s->arm));
    if (sc->s->is_standing)
        text_add(&t, "   standing");
    if (is_reading && (sc->view == VIEW_LISTEN_BEFORE || n > 0))
        text_addf(&t, "   reading %d", sc->view == VIEW_LISTEN_BEFORE ? n + 1 : n);
    else if (sc->p != NULL)
        text_addf(&t, "   %s", sc->p->id);
    if (sc->g->is_hidden)
        text_add(&t, "   figures covered: h");
    if (sc->g->has_second)
        text_add(&t, "   two here: 2");
    text_init(&t, pg->right, sizeof pg->right);
    if (view_row(sc->view)->is_bare && pg->form == PAGE_BARE) {
        text_add(&t, sc->b->wall);
    } else {
        text_addf(&t, "%s   %.40s   %s", sc->s->measurer[0] != '\0' ? sc->s->measurer : sc->b->measurer, sc->b->place, sc->b->wall);
    }
    text_copy(pg->banner, sizeof pg->banner, sc->b->banner);
}

static enum page_form form_of(enum view view)
{
    if (view == VIEW_PALPATING || view == VIEW_LISTENING)
        return PAGE_BARE;
    return view == VIEW_MARKS || view == VIEW_WHY || view == VIEW_WORTH ? PAGE_OPEN : PAGE_STEPS;
}

static bool page_has_key(const struct page *pg, const char *name)
{
    for (int i = 0; i < pg->key_count; i++)
        if (strcmp(pg->keys[i].name, name) == 0)
            return true;
    return false;
}

/* Pages on which a digit chooses or types something: there it cannot call the second person. */
static bool digits_are_taken(const struct scene *sc)
{
    return sc->view == VIEW_WRAP || sc->view == VIEW_KIT || sc->view == VIEW_CORRECT || sc->view == VIEW_PULSE ||
           (sc->view == VIEW_REST && sc->s->rest == REST_RUNNING) || view_row(sc->view)->field != FIELD_NEVER;
}

static bool is_cuff_up(const struct scene *sc)
{
    return sc->s->inflation != INFLATION_NONE;
}

/* Named where they are of most use; `?` names them all. */
static void common_keys(const struct scene *sc, struct page *pg)
{
    bool is_pumping = sc->view == VIEW_ESTIMATE || sc->view == VIEW_LISTEN_BEFORE;

    if (view_row(sc->view)->is_bare)
        return;
    if (sc->is_overlay && is_repeatable((int32_t)sc->view))
        page_key(pg, "esc", "back");
    if (sc->g->scratch[SC_WAIVE_RULE] != RULE_NONE && !sc->is_field && !page_has_key(pg, "w"))
        page_key(pg, "w", "pass over, because");
    if (sc->is_field) {
        if (!page_has_key(pg, "esc"))
            page_key(pg, "esc", "other keys");
        return;
    }
    if (sc->p != NULL) {
        page_key(pg, "?", "why");
        if (sc->s->arm != ARM_NONE && sc->view != VIEW_REST)
            page_key(pg, "d", "something happened");
        if (sc->view == VIEW_CLOSING || sc->view == VIEW_READBACK)
            page_key(pg, "h", sc->g->is_hidden ? "show figures" : "cover figures");
        if (is_pumping)
            page_key(pg, "2", sc->g->has_second ? "alone" : "second person");
        page_key(pg, "s", "stop here");
    }
    page_key(pg, "q", "leave");
}

/* What keeps somebody from harm, what cannot be undone, and what was asked for by its key is no help that could be left
 * out; a witness's own pages face the witness. */
static bool is_always_whole(enum view view)
{
    static const enum view LIST[] = { VIEW_SEVERE, VIEW_NO_ARM, VIEW_FAINT, VIEW_STOP_SURE, VIEW_WHY, VIEW_WORTH,
                                      VIEW_WITNESS, VIEW_WITNESS_PULSE, VIEW_WITNESS_PASS, VIEW_WITNESS_NOTED,
                                      VIEW_LISTENER, VIEW_HANDOVER, VIEW_PAIR_READBACK };

    for (size_t i = 0; i < ARRAY_LEN(LIST); i++)
        if (LIST[i] == view)
            return true;
    return false;
}

/* An assessment or an advanced practice shows less: the words go, the figures, fields and refusals stay. */
static void less_help(const struct scene *sc, struct page *pg)
{
    int kept = 0;

    if (sc->s->help == HELP_FULL || sc->s->phase != PHASE_OPEN || is_always_whole(sc->view))
        return;
    for (int i = 0; i < pg->line_count; i++) {
        enum line_role role = pg->lines[i].role;
        bool is_help = role == LINE_COST || role == LINE_NOTE || role == LINE_INSTRUCTION;

        if (!is_help)
            pg->lines[kept++] = pg->lines[i];
    }
    pg->line_count = kept;
    if (sc->s->help == HELP_NONE)
        pg->rail_count = 0;
}

/* Pages on which there is time for something that was put off, and whose letters are keys. */
static bool has_time(const struct scene *sc)
{
    static const enum view LIST[] = { VIEW_ITEMS, VIEW_ARM, VIEW_WRAP, VIEW_REST, VIEW_KIT, VIEW_ESTIMATE, VIEW_LISTEN_BEFORE,
                                      VIEW_STAND, VIEW_CLOSING, VIEW_CIRCUMFERENCE, VIEW_PULSE };

    if (sc->p == NULL || sc->is_overlay || sc->is_field)
        return false;
    for (size_t i = 0; i < ARRAY_LEN(LIST); i++)
        if (LIST[i] == sc->view)
            return true;
    return false;
}

/* One more was asked for, and nothing of it is on the arm yet. */
static bool is_way_back(const struct scene *sc)
{
    return has_time(sc) && sc->view != VIEW_CLOSING && more_is_asked(sc) && sitting_readings_lack(sc->s, sc->p) == RULE_NONE;
}

static void put_off_lines(const struct scene *sc, struct page *pg)
{
    if (!has_time(sc))
        return;
    if (alarm_is_open(sc))
        alarm_open_line(sc, pg);
    if (is_way_back(sc) && sc->view != VIEW_ARM)
        page_line(pg, LINE_NOTE, "One more reading, on the %s. t: back to the result.", arm_words(sc->s->arm));
}

static void put_off_keys(const struct scene *sc, struct page *pg)
{
    if (has_time(sc) && alarm_is_open(sc))
        alarm_open_key(sc, pg);
    if (is_way_back(sc))
        page_key(pg, "t", "back to the result");
}

static bool put_off_key(const struct scene *sc, struct guide *g, const struct key *k)
{
    if (key_letter(k) == 'a' && has_time(sc) && alarm_is_open(sc) && !(sc->view == VIEW_CLOSING && sc->s->symptoms != SYMPTOMS_NOT_ASKED)) {
        alarm_open_again(sc, g);
        return true;
    }
    if (key_letter(k) != 't' || !is_way_back(sc))
        return false;
    g->scratch[SC_MORE] = g->scratch[SC_MORE_HERE] = 0;
    if (scene_lacks(sc, STEP_ARM) || scene_lacks(sc, STEP_CUFF))
        text_copy(g->note, sizeof g->note, "The arm was changed: what belongs to it is looked at once more, then the result is there.");
    return true;
}

/* An item page is named by its step. */
static void page_name(const struct scene *sc, char out[32])
{
    if (sc->view == VIEW_ITEMS)
        snprintf(out, 32, "%s-items", step_word(sc->step));
    else if (sc->view == VIEW_REST && sc->s->rest != REST_RUNNING)
        snprintf(out, 32, "rest-before");
    else if (sc->view == VIEW_SEVERE && sitting_alarm(sc->s, sc->p) == ALARM_LOW)
        snprintf(out, 32, "low");
    else if (sc->view == VIEW_LISTEN_BEFORE && listen_from_ms(sc) > sc->now_ms)
        snprintf(out, 32, "listening-wait");
    else
        snprintf(out, 32, "%s", view_row(sc->view)->id);
}

/* "Wait a little longer" is no longer true once the wait is over, though no key was pressed. */
static bool refusal_is_over(const struct scene *sc)
{
    enum inflation_phase next = sc->view == VIEW_ESTIMATE ? INFLATION_PALPATE : INFLATION_LISTEN;

    switch (sc->g->scratch[SC_REFUSED]) {
    case RULE_REST_SHORT:
        return sc->s->rest != REST_RUNNING || rest_is_over(sc);
    case RULE_SETTLE_SHORT:
    case RULE_INTERVAL_SHORT:
        return sitting_inflate_from_ms(sc->s, sc->p, next) <= sc->now_ms;
    case RULE_STANDING_EARLY:
        return listen_from_ms(sc) <= sc->now_ms;
    default:
        return false;
    }
}

void guide_page(const struct guide *g, const struct guide_booth *b, const struct sitting *s, const struct protocol *p,
                int64_t now_ms, struct page *out)
{
    struct scene sc;
    char name[32];

    scene_make(&sc, g, b, s, p, now_ms);
    page_name(&sc, name);
    page_init(out, form_of(sc.view), name);
    frame_top(&sc, out);
    if (out->form == PAGE_STEPS)
        frame_rail(&sc, out);
    if (g->note[0] != '\0' && out->form != PAGE_BARE)
        page_line(out, LINE_CAUTION, "%s", g->note);
    put_off_lines(&sc, out);
    view_row(sc.view)->page(&sc, out);
    put_off_keys(&sc, out);
    common_keys(&sc, out);
    witness_leaves_key(&sc, out);
    less_help(&sc, out);
    out->is_blind = pair_is_blind(s) && sitting_current(s)->is_empty && !sc.is_overlay;
    if (!refusal_is_over(&sc))
        text_copy(out->refusal, sizeof out->refusal, g->refusal);
}

/* ---- keys ---- */

/* With the cuff up only what is safe without looking: eyes are on the needle. */
static bool key_while_up(const struct scene *sc, struct guide *g, int letter)
{
    if (letter == 'q')
        say_no(g, "Let all air out first, then q leaves.");
    return letter == 'q' || (letter != 's' && letter != 'h' && letter != 'i' && letter != 'm' && letter != '2' && letter != 'b') ||
           sc->p == NULL;
}

static bool key_of_an_open_sitting(const struct scene *sc, struct guide *g, int letter, struct guide_action *out)
{
    switch (letter) {
    case 's':
        ask_text(g, EV_STOP, "");
        return true;
    case '?':
        guide_open_view(g, VIEW_WHY);
        return true;
    case 'h':
        g->is_hidden = !g->is_hidden;
        return true;
    case '2':
        if (digits_are_taken(sc))
            return false;
        if (sitting_is_witnessed(sc->s)) /* the one at the keys is the second person already: this names a third */
            return pair_ask(sc, g);
        g->has_second = !g->has_second;
        return true;
    case 'b':
        if (sc->s->purpose != PURPOSE_PRACTICE)
            return false;
        g->is_pacing = !g->is_pacing;
        return true;
    case 'd':
        guide_open_view(g, VIEW_MENU);
        return true;
    case 'i':
    case 'm':
        /* A rest that has run its time was whole before anybody spoke. */
        if (rest_is_over(sc))
            act_item(out, EV_REST, "end");
        act_text(out, letter == 'i' ? EV_INTERRUPT : EV_MOVED, letter == 'i' ? "somebody spoke" : "somebody moved");
        return true;
    case 'w':
        if (g->scratch[SC_WAIVE_RULE] == RULE_NONE)
            return false;
        ask_text(g, EV_WAIVE, rule_id((enum rule)g->scratch[SC_WAIVE_RULE]));
        return true;
    default:
        return false;
    }
}

static bool common_key(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    int letter = key_letter(k);

    if (is_cuff_up(sc) && key_while_up(sc, g, letter))
        return letter == 'q';
    if (letter == 'q') {
        out->wish = GUIDE_LEAVE;
        return true;
    }
    return sc->p != NULL && sc->s->phase == PHASE_OPEN && key_of_an_open_sitting(sc, g, letter, out);
}

static bool is_digit(const struct key *k)
{
    return k->code == KEY_CHARACTER && k->character >= '0' && k->character <= '9';
}

/* Esc leaves a field, Enter or a digit goes back into it. True: nothing more to do with this key. */
static bool field_door(struct scene *sc, struct guide *g, const struct key *k)
{
    enum field_when when = view_row(sc->view)->field;

    if (when == FIELD_NEVER || sc->is_overlay)
        return false;
    if (sc->is_field && k->code == KEY_ESCAPE) {
        if (when == FIELD_TYPED)
            g->entry[0] = '\0';
        else
            g->scratch[SC_OUT] = 1;
        return true;
    }
    if (!sc->is_field && g->scratch[SC_OUT] && (k->code == KEY_ENTER || is_digit(k))) {
        g->scratch[SC_OUT] = 0;
        sc->is_field = true;
        return k->code == KEY_ENTER;
    }
    return false;
}

static void give_key(struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    if (field_door(sc, g, k) || witness_leaves(sc, g, k))
        return;
    if (sc->is_overlay && is_repeatable((int32_t)sc->view) && k->code == KEY_ESCAPE) {
        guide_open_view(g, VIEW_AUTO);
        return;
    }
    /* The rule that just refused can be passed over at once, where the protocol lets it be. */
    if (key_letter(k) == 'w' && !sc->is_field && g->scratch[SC_WAIVE_RULE] != RULE_NONE && !sc->is_overlay && sc->view != VIEW_WITNESS) {
        common_key(sc, g, k, out);
        return;
    }
    if (put_off_key(sc, g, k) || view_row(sc->view)->key(sc, g, k, out))
        return;
    if (!sc->is_field && common_key(sc, g, k, out))
        return;
    if (k->code == KEY_CHARACTER || k->code == KEY_ENTER)
        say_no(g, "That key does nothing here. The keys that work now are named below.");
}

/* A number went in by its last digit; the Enter that a hand adds by habit must not act on the page that came after. */
static bool swallows_habit(const struct scene *sc, struct guide *g, const struct key *k)
{
    bool was_auto = g->scratch[SC_AUTO] != 0;

    g->scratch[SC_AUTO] = 0;
    if (!was_auto || k->code != KEY_ENTER)
        return false;
    if (sc->view == VIEW_READBACK && g->refusal[0] == '\0')
        say_no(g, "Look at it once more: y or enter makes it final, u changes it.");
    else if (sc->view == VIEW_HANDOVER)
        say_no(g, "The values are in. space hands over, u gives them again.");
    else if (sc->view == VIEW_PAIR_READBACK && g->refusal[0] == '\0')
        say_no(g, "The values are in. y makes them final, and shows both.");
    else if (sc->view == VIEW_SEVERE)
        say_no(g, "The number is in. Ask quietly first: n none, p present.");
    return true;
}

void guide_key(struct guide *g, struct guide_booth *b, const struct sitting *s, const struct protocol *p, int64_t now_ms,
               const struct key *k, struct guide_action *out)
{
    struct scene sc;

    out->wish = GUIDE_NOTHING;
    out->count = 0;
    out->subject[0] = '\0';
    if (k->code == KEY_RESIZED)
        return;
    if (k->code == KEY_HANGUP) {
        out->wish = GUIDE_LEAVE;
        return;
    }
    if (k->code == KEY_NONE) {
        opening_answered(g, b);
        return;
    }
    scene_make(&sc, g, b, s, p, now_ms);
    g->scratch[SC_BLIND] = pair_is_blind(s);
    if (swallows_habit(&sc, g, k))
        return;
    if (sc.view != VIEW_WHY) {
        g->scratch[SC_WHY_RULE] = g->scratch[SC_REFUSED];
        g->scratch[SC_WHY_KEY] = g->scratch[SC_REFUSED_KEY];
    }
    g->refusal[0] = '\0';
    g->scratch[SC_REFUSED] = RULE_NONE;
    g->scratch[SC_REFUSED_KEY] = 0;
    g->note[0] = '\0';
    if (g->scratch[SC_SHOWN] != shown_id(&sc)) {
        g->scratch[SC_SHOWN] = shown_id(&sc);
        g->entry[0] = '\0';
        g->scratch[SC_OUT] = 0;
        g->scratch[SC_PICKED] = 0;
        scene_make(&sc, g, b, s, p, now_ms);
    }
    give_key(&sc, g, k, out);
}

/* ---- time ---- */

bool guide_next_wake(const struct guide *g, const struct sitting *s, const struct protocol *p, int64_t now_ms, int64_t *wake_ms)
{
    static const struct guide_booth NO_BOOTH;
    struct page pg;
    int64_t tick, due;
    bool has_due;

    if (p == NULL || s->phase != PHASE_OPEN)
        return false;
    guide_page(g, &NO_BOOTH, s, p, now_ms, &pg);
    has_due = sitting_next_wake(s, p, now_ms, &due);
    if (pg.pace >= 0) {
        int32_t rate = (p->value[KEY_RELEASE_LOW_X10] + p->value[KEY_RELEASE_HIGH_X10]) / 2;

        tick = s->inflate_ms + (((int64_t)pg.pace + 1) * 20000 + rate - 1) / rate;
    } else if (pg.is_ticking) {
        /* A countdown changes when its remainder passes a whole second; a count up when the elapsed time does. */
        bool is_up = s->inflation != INFLATION_NONE || sitting_is_witnessed(s);

        tick = is_up ? now_ms + 1000 - pg.big_ms % 1000 : pg.big_ms > 0 ? now_ms + 1 + (pg.big_ms - 1) % 1000 : INT64_MAX;
    } else {
        tick = INT64_MAX;
    }
    if (has_due && due < tick)
        tick = due;
    if (tick == INT64_MAX)
        return false;
    *wake_ms = tick > now_ms ? tick : now_ms + 1;
    return true;
}
