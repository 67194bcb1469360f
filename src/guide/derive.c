/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The view that follows from a sitting alone, so that a restart lands where it was. */
#include "guide/views.h"
#include "guide/worth_page.h"

bool scene_lacks(const struct scene *sc, enum step step)
{
    for (int i = 0; i < sc->missing_count; i++)
        if (sc->missing[i].step == step)
            return true;
    return false;
}

bool more_is_asked(const struct scene *sc)
{
    return sc->g->scratch[SC_MORE] == 1 + sc->s->reading_count;
}

bool scene_more(const struct scene *sc)
{
    return sitting_readings_lack(sc->s, sc->p) != RULE_NONE || more_is_asked(sc) || repeat_is_due(sc);
}

/* It is to make the result surer that is shown, so it goes on with that arm; who picks the arm in use has it so. */
enum arm more_arm(const struct scene *sc)
{
    enum arm arm = sc->s->is_standing ? ARM_NONE : guide_result_arm(sc->s, sc->p);

    if (!more_is_asked(sc) || sc->g->scratch[SC_MORE_HERE] == sc->g->scratch[SC_MORE])
        return ARM_NONE;
    return arm != ARM_NONE && !sc->s->is_barred[arm] ? arm : ARM_NONE;
}

enum arm arm_wanted(const struct scene *sc)
{
    return more_is_asked(sc) ? more_arm(sc) : sitting_arm_to_read(sc->s, sc->p);
}

bool rest_is_over(const struct scene *sc)
{
    return sc->s->rest == REST_RUNNING && sc->now_ms - sc->s->rest_began_ms >= protocol_ms(sc->p, KEY_REST_S);
}

/* The cuff is empty after a palpation whose number nobody has typed yet. */
static bool is_number_owed(const struct scene *sc)
{
    const struct sitting *s = sc->s;

    return s->last_inflation == INFLATION_PALPATE && s->estimate == ESTIMATE_OPEN && !s->is_pulse_absent &&
           !s->waived_rules[RULE_ESTIMATE_MISSING] && s->has_settle[s->arm] && s->palpate_empty_ms[s->arm] == s->last_empty_ms;
}

static enum view view_of_up(const struct scene *sc)
{
    if (sc->s->inflation == INFLATION_PALPATE)
        return sc->g->has_second ? VIEW_PALPATING_STEPS : VIEW_PALPATING;
    return sc->g->has_second && sitting_current(sc->s) != NULL ? VIEW_MARKS : VIEW_LISTENING;
}

/* The steps before the rest, in the order in which they are offered. */
static enum view view_of_preparation(const struct scene *sc, enum step *step)
{
    static const enum step ORDER[] = { STEP_READINESS, STEP_ARM, STEP_CUFF, STEP_POSTURE };

    for (size_t i = 0; i < ARRAY_LEN(ORDER); i++) {
        *step = ORDER[i];
        if (ORDER[i] == STEP_ARM && scene_more(sc) && sc->s->arm != ARM_NONE) {
            enum arm want = arm_wanted(sc);

            if (want != ARM_NONE && (int32_t)want != sc->s->arm)
                return VIEW_ARM;
        }
        if (!scene_lacks(sc, ORDER[i]))
            continue;
        if (ORDER[i] == STEP_ARM && sc->s->arm == ARM_NONE)
            return is_no_arm_left(sc) ? VIEW_NO_ARM : VIEW_ARM;
        if (ORDER[i] == STEP_CUFF && sc->p->value[KEY_CUFF_BY] == CUFF_BY_CIRCUMFERENCE && sc->s->arm_mm == 0)
            return VIEW_CIRCUMFERENCE;
        if (ORDER[i] == STEP_CUFF && sc->s->wrapped < 0)
            return sc->g->scratch[SC_EDIT] ? VIEW_CIRCUMFERENCE : VIEW_WRAP;
        return VIEW_ITEMS;
    }
    return VIEW_AUTO;
}

static enum view view_of_readings(const struct scene *sc)
{
    bool is_rested = rest_is_over(sc) || sitting_rest_is_good(sc->s, sc->p, sc->now_ms);

    /* While the kit waits, a rest that is over stays on its page: it says so, and offers the kit. */
    if (!is_rested || (sc->s->rest == REST_RUNNING && (scene_lacks(sc, STEP_KIT) || sc->s->pulse_bpm == 0)))
        return VIEW_REST;
    if (scene_lacks(sc, STEP_KIT))
        return VIEW_KIT;
    if (sc->s->pulse_bpm == 0)
        return VIEW_PULSE;
    return sitting_floor_mmhg(sc->s, sc->p, NULL) > 0 ? VIEW_LISTEN_BEFORE : VIEW_ESTIMATE;
}

/* A figure that is being given again goes before what it would lead to. */
static enum view view_of_entry(const struct scene *sc)
{
    if (sc->g->scratch[SC_EDIT] == 0 && alarm_is_due(sc))
        return VIEW_SEVERE;
    if (!entry_is_complete(sc, false))
        return VIEW_ENTRY;
    return gap_is_due(sc) ? VIEW_GAP : pair_view(sc);
}

enum view view_derived(const struct scene *sc, enum step *step)
{
    const struct reading *current;
    enum view view;
    bool is_reading;

    if (sc->s->phase == PHASE_SEALED)
        return VIEW_DEBRIEF;
    if (sc->s->phase == PHASE_STOPPED)
        return VIEW_STOPPED;
    if (sc->p == NULL || sitting_step_state(sc->s, sc->p, STEP_OPENING, sc->now_ms) != STEP_DONE)
        return VIEW_OPENING;
    if (sitting_is_witnessed(sc->s))
        return view_witnessed(sc, step);
    if (sc->s->inflation != INFLATION_NONE)
        return view_of_up(sc);
    if (sc->g->scratch[SC_FAINT] && sc->s->is_standing)
        return VIEW_FAINT;
    current = sitting_current(sc->s);
    if (current != NULL && current->is_empty)
        return view_of_entry(sc);
    if (alarm_is_due(sc))
        return VIEW_SEVERE;
    if (pair_is_to_be_shown(sc))
        return VIEW_PAIR_SHOWN;
    view = view_of_preparation(sc, step);
    if (view != VIEW_AUTO)
        return view;
    is_reading = scene_more(sc) || standing_is_owed(sc);
    if (is_reading && is_number_owed(sc))
        return VIEW_ESTIMATE_ENTRY;
    if (is_reading) {
        view = view_of_readings(sc);
        return view == VIEW_LISTEN_BEFORE && !scene_more(sc) && !sc->s->is_standing ? VIEW_STAND : view;
    }
    if (scene_lacks(sc, STEP_KIT))
        return VIEW_KIT;
    return sc->s->pulse_bpm == 0 ? VIEW_PULSE : VIEW_CLOSING;
}
