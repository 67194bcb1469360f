/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Very high and low values: a page of their own, as soon as a value shows one. Symptoms are asked first. */
#include <stdio.h>
#include <string.h>

#include "guide/views.h"

static const struct reading *alarm_reading(const struct scene *sc)
{
    int n = sc->s->alarm_reading;

    return n > 0 && n <= sc->s->reading_count ? &sc->s->readings[n - 1] : NULL;
}

/* Passed: put off, or by Enter once symptoms are answered. Where there are symptoms that holds for the rest of the entry alone: then the page comes back. */
static int32_t passed_mark(const struct scene *sc)
{
    const struct reading *r = alarm_reading(sc);
    bool is_again = r != NULL && r->is_done && sc->s->symptoms == SYMPTOMS_PRESENT;

    return 2 * sc->s->alarm_reading + (is_again ? 1 : 0);
}

/* What SC_SEVERE holds while the page was opened again by its key. */
static int32_t opened_mark(const struct scene *sc)
{
    return -sc->s->alarm_reading;
}

static bool is_symptoms_open(const struct scene *sc)
{
    return sc->s->symptoms == SYMPTOMS_NOT_ASKED && sitting_alarm(sc->s, sc->p) != ALARM_NONE;
}

/* By itself only the latest one has a page: an earlier one was answered, or was put off and is opened by a key. */
bool alarm_is_due(const struct scene *sc)
{
    bool is_opened = sc->g->scratch[SC_SEVERE] == opened_mark(sc);

    if (alarm_reading(sc) == NULL || sitting_alarm(sc->s, sc->p) == ALARM_NONE)
        return false;
    if (!is_opened && (sc->s->alarm_reading != sc->s->reading_count || sc->g->scratch[SC_SEVERE] == passed_mark(sc)))
        return false;
    return sc->s->symptoms == SYMPTOMS_NOT_ASKED || sc->s->is_severe_open || sitting_alarm(sc->s, sc->p) == ALARM_LOW;
}

bool alarm_is_open(const struct scene *sc)
{
    return alarm_reading(sc) != NULL && (is_symptoms_open(sc) || sc->s->is_severe_open);
}

/* 1 + the latest reading before this one at which there were symptoms, and what was done is owed; else 0. */
static int earlier_symptoms(const struct scene *sc)
{
    const struct reading *latest = alarm_reading(sc);

    if (latest == NULL || !latest->owed_before || !sc->s->is_severe_open)
        return 0;
    for (int i = sc->s->alarm_reading - 1; i > 0; i--)
        if (sc->s->readings[i - 1].had_symptoms)
            return i;
    return 0;
}

static void earlier_line(const struct scene *sc, struct page *pg)
{
    if (earlier_symptoms(sc) > 0)
        page_line(pg, LINE_CAUTION, "Reading %d: there were symptoms; what was done is not written yet.", earlier_symptoms(sc));
}

/* At the result the page itself says what is owed, and `a` writes it. */
void alarm_open_line(const struct scene *sc, struct page *pg)
{
    int n = (int)sc->s->alarm_reading;

    earlier_line(sc, pg);
    if (is_symptoms_open(sc))
        page_line(pg, LINE_CAUTION, "Reading %d: how the subject feels is still to be asked: a", n);
    else if (sc->view == VIEW_CLOSING || (sc->s->symptoms == SYMPTOMS_NONE && repeat_is_due(sc)))
        return; /* first it is taken again, and the page says so */
    else if (sc->s->symptoms == SYMPTOMS_PRESENT)
        page_line(pg, LINE_CAUTION, "Reading %d: there were symptoms; what was done is not written yet: a", n);
    else
        page_line(pg, LINE_NOTE, "Reading %d: what was done is not written yet: a", n);
}

void alarm_open_key(const struct scene *sc, struct page *pg)
{
    page_key_named(pg, "a", is_symptoms_open(sc) ? "the open question" : "what was done");
}

void alarm_open_again(const struct scene *sc, struct guide *g)
{
    g->scratch[SC_LOST] = 0;
    /* With the question answered, `a` means the words, here as on the alarm's own page: letters typed next are text. */
    if (!is_symptoms_open(sc))
        ask_text(g, EV_ACTED, "");
    else
        g->scratch[SC_SEVERE] = opened_mark(sc);
}

bool repeat_is_due(const struct scene *sc)
{
    const int32_t *is_barred = sc->s->is_barred;

    if (!sitting_wants_repeat(sc->s, sc->p) || sc->g->scratch[SC_NO_REPEAT] == sc->s->reading_count)
        return false;
    /* On an arm that may not be used any more nothing is taken again; the remark stays. */
    return (!is_barred[ARM_LEFT] && sitting_is_high_alone(sc->s, sc->p, ARM_LEFT)) ||
           (!is_barred[ARM_RIGHT] && sitting_is_high_alone(sc->s, sc->p, ARM_RIGHT));
}

/* The same was found on this arm before: taking it again has been done. */
static bool was_repeated(const struct scene *sc, const struct reading *r, enum alarm alarm)
{
    for (int i = 0; i < sc->s->alarm_reading - 1; i++) {
        const struct reading *before = &sc->s->readings[i];

        if (before->arm == r->arm && reading_is_counted(before) && reading_alarm(before, sc->p) == alarm)
            return true;
    }
    return false;
}

static void value_line(const struct scene *sc, struct page *pg, const struct reading *r)
{
    bool is_first_alone = !pair_is_unshown(r) && !r->has_value[POINT_LAST] && r->has_value[POINT_FIRST];
    char said[24];

    say_reading(sc, r, said);
    if (is_first_alone)
        say_mmhg(sc, said, r->value_mmhg[POINT_FIRST]);
    page_line(pg, LINE_ROW, "Reading %d, %s%s: %s%s", (int)sc->s->alarm_reading, arm_words(r->arm), r->is_standing ? ", standing" : "",
              is_first_alone ? "first sound " : "", said);
}

/* One line of a page takes less than a line of a file may hold: split between words. */
static void long_line(struct page *pg, const char *from, size_t len)
{
    enum { MOST = 200 };

    while (len > MOST) {
        size_t cut = MOST;

        while (cut > 0 && from[cut] != ' ')
            cut--;
        if (cut == 0) /* no blank: between characters at least */
            for (cut = MOST; cut > 1 && ((unsigned char)from[cut] & 0xC0) == 0x80;)
                cut--;
        page_line(pg, LINE_ROW, "%.*s", (int)cut, from);
        from += cut;
        len -= cut;
        for (; len > 0 && *from == ' '; len--)
            from++;
    }
    page_line(pg, len > 0 ? LINE_ROW : LINE_GAP, "%.*s", (int)len, from);
}

/* The path names the file of the very high ones; that of the low ones lies beside it. */
static void path_line(const struct scene *sc, struct page *pg, enum alarm alarm)
{
    const char *path = sc->b->procedure_path, *name = strrchr(path, '/');
    int folder = name != NULL ? (int)(name - path) + 1 : 0;

    if (alarm == ALARM_LOW)
        page_line(pg, LINE_NOTE, "Your site's own words go into %.*slow.txt.", folder, path);
    else
        page_line(pg, LINE_NOTE, "Your site's own words go into %s.", path);
}

static bool is_procedure_own(const struct scene *sc, enum alarm alarm)
{
    return alarm == ALARM_HIGH ? sc->b->is_high_own : sc->b->is_low_own;
}

static void procedure_lines(const struct scene *sc, struct page *pg, enum alarm alarm)
{
    const char *at = alarm == ALARM_HIGH ? sc->b->procedure_high : sc->b->procedure_low;
    bool is_own = is_procedure_own(sc, alarm);

    while (*at != '\0') {
        size_t len = strcspn(at, "\n");

        long_line(pg, at, len);
        at += len + (at[len] == '\n');
    }
    if (!is_own && sc->b->procedure_fault[0] != '\0') /* there is one, but it could not be taken */
        long_line(pg, sc->b->procedure_fault, strlen(sc->b->procedure_fault));
    else if (!is_own && sc->b->procedure_path[0] != '\0')
        path_line(sc, pg, alarm);
}

static void ask_lines(struct page *pg, enum alarm alarm)
{
    page_line(pg, LINE_INSTRUCTION, "Ask quietly, before anything else: %s",
              alarm == ALARM_HIGH ? "chest pain, short of breath, pain in the back, numb or weak, seeing or speaking differently?"
                                  : "unwell, or faint?");
    page_key(pg, "n", "none of these");
    page_key(pg, "p", "present");
}

static void after_lines(const struct scene *sc, struct page *pg, const struct reading *r, enum alarm alarm)
{
    if (sc->s->symptoms == SYMPTOMS_PRESENT)
        page_line(pg, LINE_INSTRUCTION, "There are symptoms: go by your site's procedure now. Nothing more is asked for here.");
    else if (r->is_standing)
        page_line(pg, LINE_INSTRUCTION, "No symptoms. Stay beside the subject, and go by your site's procedure.");
    else if (was_repeated(sc, r, alarm))
        page_line(pg, LINE_INSTRUCTION, "No symptoms, and it was taken again already: go by your site's procedure.");
    else if (is_procedure_own(sc, alarm)) /* how long to wait before it is taken again may be part of it */
        page_line(pg, LINE_INSTRUCTION, "No symptoms. Check cuff and arm, the %s; then your site's procedure:", arm_words(r->arm));
    else
        page_line(pg, LINE_INSTRUCTION, "No symptoms. Check cuff and arm, wait at least a minute, take it again on the same arm, the %s. "
                  "Then go by your site's procedure.", arm_words(r->arm));
    procedure_lines(sc, pg, alarm);
    page_key(pg, "a", "what was done");
    if (sc->s->symptoms == SYMPTOMS_PRESENT)
        page_key(pg, "n", "none after all");
    else
        page_key(pg, "p", "present after all");
}

void page_severe(const struct scene *sc, struct page *pg)
{
    const struct reading *r = alarm_reading(sc);
    enum alarm alarm = sitting_alarm(sc->s, sc->p);
    bool is_asked = sc->s->symptoms != SYMPTOMS_NOT_ASKED;

    if (r == NULL)
        return;
    /* Covered, the screen does not tell whoever looks at it what the figure was. */
    text_copy(pg->title, sizeof pg->title, sc->is_covered ? "A value to answer" : alarm == ALARM_LOW ? "Low" : "Very high");
    value_line(sc, pg, r);
    if (pair_is_blind(sc->s))
        page_line(pg, LINE_ROW, "This is for %s to answer, before the screen changes hands.", sc->s->measurer);
    earlier_line(sc, pg);
    if (sc->s->is_standing && alarm == ALARM_LOW)
        page_line(pg, LINE_INSTRUCTION, "First let the subject sit or lie down: f.");
    if (is_asked)
        after_lines(sc, pg, r, alarm);
    else
        ask_lines(pg, alarm);
    page_line(pg, LINE_NOTE, "One reading is no diagnosis. Your site's procedure and licensed practice come first.");
    if (sc->s->alarm_reading == sc->s->reading_count)
        page_key(pg, "u", "a slip: change it");
    if (sc->s->is_standing)
        page_key(pg, "f", "sits or lies down");
    page_key(pg, is_asked ? "enter" : "l", is_asked ? "go on" : "ask later");
}

/* A hand that types on does not see this page: Enter and figures neither pass it nor are lost without a word. */
static bool type_on(const struct scene *sc, struct guide *g, const struct key *k)
{
    bool is_figure = k->code == KEY_CHARACTER && k->character >= '0' && k->character <= '9';
    const char *lost;

    if (!is_figure && k->code != KEY_ENTER)
        return false;
    if (is_figure)
        g->scratch[SC_LOST] = 1;
    lost = g->scratch[SC_LOST] ? " The figure typed here was not taken: it is asked for after this page." : "";
    if (sc->s->symptoms == SYMPTOMS_NOT_ASKED)
        say_no(g, "not yet: ask quietly first; n none, p present, l ask later.%s", lost);
    else
        say_no(g, "not yet: enter leads on from this page.%s", lost);
    return true;
}

/* During the entry back to the field that shows it; afterwards it is a correction, with its reason. */
static void change(const struct scene *sc, struct guide *g, const struct reading *r)
{
    struct reading only_first = *r;

    if (r->is_done) {
        guide_open_view(g, VIEW_CORRECT);
        return;
    }
    only_first.has_value[POINT_LAST] = only_first.has_value[POINT_MUFFLING] = 0;
    if (reading_alarm(&only_first, sc->p) != ALARM_NONE)
        g->scratch[SC_EDIT] = entry_edit_slot(sc, POINT_FIRST);
    else
        g->scratch[SC_EDIT] = entry_edit_slot(sc, r->has_value[POINT_MUFFLING] ? POINT_MUFFLING : POINT_LAST);
}

bool key_severe(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    const struct reading *r = alarm_reading(sc);

    if (r == NULL)
        return false;
    switch (key_letter(k)) {
    case 'n':
    case 'p':
        g->scratch[SC_LOST] = 0;
        act_item(out, EV_SYMPTOMS, key_letter(k) == 'n' ? "none" : "present");
        return true;
    case 'a':
        if (sc->s->symptoms == SYMPTOMS_NOT_ASKED)
            return false;
        ask_text(g, EV_ACTED, "");
        return true;
    case 'u':
        if (sc->s->alarm_reading != sc->s->reading_count)
            return false;
        change(sc, g, r);
        return true;
    case 'f':
        return faint_key(sc, g, out);
    case 'l':
    case '\n':
        /* Each has its own state: what goes on by habit must not put off. */
        if ((key_letter(k) == 'l') != (sc->s->symptoms == SYMPTOMS_NOT_ASKED))
            return type_on(sc, g, k);
        g->scratch[SC_LOST] = 0;
        g->scratch[SC_SEVERE] = passed_mark(sc);
        return true;
    default:
        return type_on(sc, g, k);
    }
}
