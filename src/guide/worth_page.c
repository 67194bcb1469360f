/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a number is worth, in words and as a table. Nothing here changes a reading or an average. */
#include "guide/worth_page.h"

#include <stdio.h>
#include <string.h>

#include "guide/views.h"

#define FEW_PULLS 2          /* named in full on the summary; the rest stand on the page of parts */
#define NO_END 1e9           /* degrees of freedom beyond this are as good as infinite */

/* ---- small sayings ---- */

/* A chance as a frequency, no finer than it is known, and no nearer to never or always than it is. */
static void say_chance(double chance, char *out, size_t cap)
{
    static const struct { double below; const char *rare, *sure; } ENDS[] = {
        { 0.01, "fewer than 1 in 100", "more than 99 in 100" },
        { 0.015, "about 1 in 100", "about 99 in 100" },
        { 0.035, "about 1 in 50", "about 49 in 50" },
        { 0.075, "about 1 in 20", "about 19 in 20" },
    };

    for (size_t i = 0; i < ARRAY_LEN(ENDS); i++)
        if (chance < ENDS[i].below || 1.0 - chance < ENDS[i].below) {
            text_copy(out, cap, chance < 0.5 ? ENDS[i].rare : ENDS[i].sure);
            return;
        }
    snprintf(out, cap, "about %.0f in 10", chance * 10.0);
}

/* To the next whole number on the lower or the upper side; pressures are far from what a long cannot hold. */
static double whole_below(double v)
{
    double cut = (double)(long)v;

    return cut > v ? cut - 1.0 : cut;
}

void guide_say_interval(const struct worth_budget *b, int decimals, char *out, size_t cap)
{
    double steps = decimals > 0 ? 10.0 : 1.0;

    snprintf(out, cap, "%.*f to %.*f", decimals, whole_below(b->low * steps) / steps, decimals, -whole_below(-b->high * steps) / steps);
}

/* A band by its short name: what its words add after a comma or in brackets is told where the category is. */
static void say_band(const struct category_band *band, char *out, size_t cap)
{
    size_t len = strcspn(band->say, ",(");
    bool needs_article = strncmp(band->say, "range of ", 9) == 0;

    while (len > 0 && band->say[len - 1] == ' ')
        len--;
    snprintf(out, cap, "%s%.*s", needs_article ? "the " : "", (int)len, band->say);
}

/* Where the band begins: `130 or 80`, `140 systolic`. */
static void say_bounds(const struct worth_edge *edge, char *out, size_t cap)
{
    if (edge->diastolic_from_mmhg == CATEGORY_NO_BOUND)
        snprintf(out, cap, "%d systolic", (int)edge->systolic_from_mmhg);
    else if (edge->systolic_from_mmhg == CATEGORY_NO_BOUND)
        snprintf(out, cap, "%d diastolic", (int)edge->diastolic_from_mmhg);
    else
        snprintf(out, cap, "%d or %d", (int)edge->systolic_from_mmhg, (int)edge->diastolic_from_mmhg);
}

static void edge_line(const struct worth *w, const struct protocol *p, bool with_bounds, struct page *out)
{
    char chance[32], bounds[32], band[96];

    if (!w->edge.is_known || p->scheme_count == 0 || w->edge.band < 0 || w->edge.band >= p->schemes[0].band_count)
        return;
    say_chance(w->edge.chance_either, chance, sizeof chance);
    say_bounds(&w->edge, bounds, sizeof bounds);
    say_band(&p->schemes[0].bands[w->edge.band], band, sizeof band);
    page_line(out, LINE_ROW, "%s that this sitting's true mean reaches %s%s%s%s", chance, band, with_bounds ? " (" : "",
              with_bounds ? bounds : "", with_bounds ? ")" : "");
}

/* By how much the wider interval's half would shrink, as a fraction that can be pictured. */
static const char *gain_words(const struct worth *w)
{
    static const struct { double up_to; const char *words; } GAINS[] = {
        { -0.02, "not narrow it" }, /* the readings then speak for their own spread, and the published one drops out */
        { 0.06, "hardly narrow it" },
        { 0.13, "narrow it by about a tenth" },
        { 0.18, "narrow it by about a sixth" },
        { 0.225, "narrow it by a fifth" },
        { 0.29, "narrow it by a quarter" },
        { 0.41, "narrow it by a third" },
        { 0.55, "narrow it by half" },
    };
    double gain = 1.0;

    for (int side = 0; side < SIDE_COUNT; side++) {
        double now = w->side[side].expanded, g = now > 0.0 ? 1.0 - w->expanded_after[side] / now : 0.0;

        gain = g < gain ? g : gain;
    }
    for (size_t i = 0; i < ARRAY_LEN(GAINS); i++)
        if (gain < GAINS[i].up_to)
            return GAINS[i].words;
    return "narrow it by more than half";
}

/* Where the protocol averages a fixed number, a further reading only takes another's place. */
static bool takes_as_many(const struct worth *w, const struct protocol *p)
{
    return p->value[KEY_AVERAGE] == AVERAGE_LOWER_OF_LAST_TWO || (p->value[KEY_AVERAGE] == AVERAGE_LAST_TWO && w->n >= 2);
}

static void gain_line(const struct worth *w, const struct protocol *p, struct page *out)
{
    if (takes_as_many(w, p))
        page_line(out, LINE_ROW, "One more reading would not narrow it: still %s.", w->n == 1 ? "one is taken" : "two are taken");
    else
        page_line(out, LINE_ROW, "One more reading would %s.", gain_words(w));
}

/* In whom a spread from visit to visit was seen: it need not hold in others. */
static const struct { const char *source, *whose, *in_short; } VISITS[] = {
    { "VAR-1", "treated people of 65 and over, ", ", treated, 65 and over" },
};

static void visit_line(const struct worth *w, bool is_short, struct page *out)
{
    const char *whose = "", *in_short = "";
    char origin[ORIGIN_CAP];

    if (w->visit_sd <= 0.0)
        return;
    for (size_t i = 0; i < ARRAY_LEN(VISITS); i++)
        if (strcmp(w->visit_origin.source, VISITS[i].source) == 0) {
            whose = VISITS[i].whose;
            in_short = VISITS[i].in_short;
        }
    say_origin(&w->visit_origin, origin, sizeof origin);
    if (is_short)
        page_line(out, LINE_ROW, "From visit to visit about %.1f (SD%s).", w->visit_sd, in_short);
    else
        page_line(out, LINE_ROW, "From visit to visit the systolic moves by about %.1f (SD; %s%s).", w->visit_sd, whose, origin);
}

static const char *pull_direction(const struct worth_pull *pull)
{
    static const char *const WORDS[3][3] = {
        { "reads low", "systolic reads low", "systolic reads low, diastolic high" },
        { "diastolic reads low", "direction not known", "diastolic reads high" },
        { "systolic reads high, diastolic low", "systolic reads high", "reads high" },
    };
    int systolic = pull->systolic, diastolic = pull->diastolic;

    return WORDS[systolic < 0 ? 0 : systolic > 0 ? 2 : 1][diastolic < 0 ? 0 : diastolic > 0 ? 2 : 1];
}

/* That nothing corrects it comes before what may be long: a line holds only so much. */
static void pull_line(const struct worth_pull *pull, struct page *out)
{
    const char *way = pull_direction(pull);
    char origin[ORIGIN_CAP], size[sizeof pull->size + ORIGIN_CAP + 8];

    say_origin(&pull->origin, origin, sizeof origin);
    snprintf(size, sizeof size, "%s%s(%s)", pull->size, pull->size[0] != '\0' ? " " : "", origin);
    if (strlen(pull->what) + strlen(way) + strlen(size) + 24 < sizeof out->lines[0].text) {
        page_line(out, LINE_ROW, "%s: %s, not corrected for; %s", pull->what, way, size);
        return;
    }
    page_line(out, LINE_ROW, "%s: %s, not corrected for;", pull->what, way);
    page_line(out, LINE_ROW, "   %s", size);
}

static void pull_lines(const struct worth *w, int most, struct page *out)
{
    for (int i = 0; i < w->pull_count && i < most; i++)
        pull_line(&w->pulls[i], out);
    if (w->pull_count > most)
        page_line(out, LINE_NOTE, "%d more that pull one way: the parts name them.", (int)w->pull_count - most);
}

/* ---- the summary's few words ---- */

static void category_line(const struct average *a, const struct protocol *p, const char *before, struct page *out)
{
    char said[sizeof out->lines[0].text], one[160];
    struct text t;

    if (p->scheme_count == 0) {
        page_line(out, LINE_ROW, "No category: this protocol names no bands; the usual ones may not fit.");
        return;
    }
    text_init(&t, said, sizeof said);
    text_add(&t, before);
    for (int i = 0; i < p->scheme_count; i++) {
        const struct category_scheme *c = &p->schemes[i];

        category_say(c, category_of(c, a->systolic_sum_mmhg, a->diastolic_sum_mmhg, a->n), one, sizeof one);
        text_addf(&t, "%s%s (%s)", i > 0 ? "; " : "", one, c->title);
    }
    page_line(out, LINE_ROW, "%s", said);
}

static const char *exact_note(const struct worth *w)
{
    bool is_pooled = w->side[SIDE_SYSTOLIC].is_pooled || w->side[SIDE_DIASTOLIC].is_pooled;
    bool is_thin = w->side[SIDE_SYSTOLIC].is_thin || w->side[SIDE_DIASTOLIC].is_thin;

    if (is_thin)
        return is_pooled ? ", with a published spread that weighs little, so a wide margin" : "; readings far apart, so a wide margin";
    return is_pooled ? ", with a published spread" : "";
}

static void exact_line(const struct worth *w, struct page *out)
{
    char sys[40], dia[40];

    guide_say_interval(&w->side[SIDE_SYSTOLIC], 0, sys, sizeof sys);
    guide_say_interval(&w->side[SIDE_DIASTOLIC], 0, dia, sizeof dia);
    page_line(out, LINE_ROW, "how exact: %s / %s in 95 of 100 such sittings%s", sys, dia, exact_note(w));
}

/* ---- very high and low readings ---- */

/* How symptoms were answered to each reading that raised an alarm: a later one keeps what stood before it. */
static void symptoms_by_reading(const struct sitting *s, int32_t answers[READINGS_CAP])
{
    int32_t at = s->alarm_reading, answer = s->symptoms;

    for (int i = 0; i < READINGS_CAP; i++)
        answers[i] = SYMPTOMS_NOT_ASKED;
    while (at > 0 && at <= s->reading_count) {
        const struct reading *r = &s->readings[at - 1];

        answers[at - 1] = answer;
        answer = r->symptoms_before;
        at = r->alarm_before < at ? r->alarm_before : 0;
    }
    for (int i = 0; i < s->reading_count; i++)
        if (s->readings[i].had_symptoms)
            answers[i] = SYMPTOMS_PRESENT;
}

void guide_alarm_lines(const struct sitting *s, const struct protocol *p, struct page *out)
{
    static const char *const ALARM[] = { "", "low", "very high" };
    static const char *const ANSWER[] = { "symptoms not asked", "asked for symptoms: none", "asked for symptoms: present" };
    int32_t answers[READINGS_CAP];

    symptoms_by_reading(s, answers);
    for (int i = 0; i < s->reading_count; i++) {
        enum alarm alarm = reading_alarm(&s->readings[i], p);
        bool is_blind = pair_is_blind(s) && i == s->reading_count - 1;

        if (alarm != ALARM_NONE)
            page_line(out, LINE_ROW, "reading %d: %s; %s", i + 1, is_blind ? "a value to answer" : ALARM[alarm], ANSWER[answers[i]]);
    }
    /* The words are in the log alone, and one may answer several readings: how often is all that can be said here. */
    if (s->given[EV_ACTED] == 1)
        page_line(out, LINE_ROW, "What was done is written on the record once.");
    else if (s->given[EV_ACTED] > 1)
        page_line(out, LINE_ROW, "What was done is written on the record %d times.", (int)s->given[EV_ACTED]);
}

void guide_category_lines(const struct sitting *s, const struct protocol *p, enum arm arm, const char *before, struct page *out)
{
    struct average a;

    if (!sitting_average(s, p, arm, &a) || a.n <= 0)
        return;
    category_line(&a, p, before, out);
    page_line(out, LINE_ROW, "One visit is no diagnosis.");
}

static void exact_lines(const struct sitting *s, const struct protocol *p, enum arm arm, struct page *out)
{
    struct worth w;

    if (worth_of_average(s, p, arm, &w))
        exact_line(&w, out);
}

void guide_result_head_lines(const struct sitting *s, const struct protocol *p, enum arm arm, struct page *out)
{
    guide_category_lines(s, p, arm, "", out);
    exact_lines(s, p, arm, out);
}

void guide_result_edge_line(const struct sitting *s, const struct protocol *p, enum arm arm, struct page *out)
{
    struct worth w;

    if (worth_of_average(s, p, arm, &w))
        edge_line(&w, p, false, out);
}

void guide_result_rest_lines(const struct sitting *s, const struct protocol *p, enum arm arm, struct page *out)
{
    struct worth w;

    if (!worth_of_average(s, p, arm, &w))
        return;
    gain_line(&w, p, out);
    visit_line(&w, true, out);
    pull_lines(&w, FEW_PULLS, out);
}

void guide_result_lines(const struct sitting *s, const struct protocol *p, enum arm arm, struct page *out)
{
    guide_category_lines(s, p, arm, "category: ", out);
    exact_lines(s, p, arm, out);
    guide_result_edge_line(s, p, arm, out);
    guide_result_rest_lines(s, p, arm, out);
}

enum arm guide_result_arm(const struct sitting *s, const struct protocol *p)
{
    enum arm first = ARM_NONE;
    struct average a;

    for (int arm = ARM_LEFT; arm < ARM_COUNT; arm++) {
        if (!sitting_average(s, p, (enum arm)arm, &a) || a.n <= 0)
            continue;
        if (first == ARM_NONE || arm == s->arm)
            first = (enum arm)arm;
    }
    return first;
}

void guide_deviation_lines(const struct protocol *p, struct page *out)
{
    char said[DEVIATION_CAP];
    int count = protocol_deviations(p);

    if (count == 0)
        return;
    if (count == 1)
        page_line(out, LINE_ROW, "The protocol departs from its sources in one place:");
    else
        page_line(out, LINE_ROW, "The protocol departs from its sources in %d places:", count);
    for (int n = 0; protocol_say_deviation(p, n, said, sizeof said); n++) {
        /* A page holds so many lines; what it cannot hold is counted, not dropped without a word. */
        if (out->line_count >= PAGE_LINES_MAX - 2 && n + 1 < count) {
            page_line(out, LINE_ROW, "   and %d more: stillarm protocols %s", count - n, p->id);
            return;
        }
        page_line(out, LINE_ROW, "   %s", said);
    }
}

/* ---- the whole budget ---- */

static const char *const PART_WORDS[WORTH_PART_COUNT] = { "gauge", "graduation", "beat", "arm height", "spread" };

#define COLUMNS "%-11s%-12s%14s%6s%6s%7s%5s  %s"

static void say_df(double df, char *out, size_t cap)
{
    if (df > NO_END)
        snprintf(out, cap, "inf");
    else
        snprintf(out, cap, "%.*f", df < 100.0 ? 1 : 0, df);
}

static void part_line(enum worth_part part, const struct worth_row *row, struct page *out)
{
    char limits[32], standard[16], sensitivity[16], contribution[16], df[16];

    if (row->shape == SHAPE_RECTANGULAR)
        snprintf(limits, sizeof limits, "%.1f to %.1f", row->low, row->high);
    else
        snprintf(limits, sizeof limits, "SD %.2f", row->standard);
    snprintf(standard, sizeof standard, "%.2f", row->standard);
    snprintf(sensitivity, sizeof sensitivity, "%.3g", row->sensitivity);
    snprintf(contribution, sizeof contribution, "%.2f%s", row->contribution, row->is_known ? "" : "*");
    say_df(row->df, df, sizeof df);
    page_line(out, LINE_ROW, COLUMNS, PART_WORDS[part], SHAPE_WORDS[row->shape], limits, standard, sensitivity, contribution,
              df, row->origin.source[0] != '\0' ? row->origin.source : STANDING_WORDS[row->origin.standing]);
}

static void side_lines(const struct worth *w, enum side side, struct page *out)
{
    const struct worth_budget *b = &w->side[side];
    char df[16], interval[40];

    page_line(out, LINE_INSTRUCTION, "%s %.1f mmHg, from %d reading%s", SIDE_WORDS[side], b->value, (int)w->n, w->n == 1 ? "" : "s");
    page_line(out, LINE_ROW, COLUMNS, "part", "shape", "limits or SD", "u", "c", "mmHg", "df", "source");
    for (int part = 0; part < WORTH_PART_COUNT; part++)
        part_line((enum worth_part)part, &b->row[part], out);
    say_df(b->df, df, sizeof df);
    page_line(out, LINE_ROW, "combined %.2f mmHg, effective df %s, k %.2f, expanded %.1f mmHg", b->combined, df, b->k, b->expanded);
    guide_say_interval(b, 1, interval, sizeof interval);
    if (b->shift > 0.005 || b->shift < -0.005)
        page_line(out, LINE_ROW, "interval %s, 95 of 100; its middle lies %+.1f off, for the fall between beats", interval, b->shift);
    else
        page_line(out, LINE_ROW, "interval %s, 95 of 100", interval);
}

static void shared_line(const struct worth *w, struct page *out)
{
    char said[120];
    struct text t;

    text_init(&t, said, sizeof said);
    for (int part = 0; part < WORTH_PART_COUNT; part++)
        if (w->side[SIDE_SYSTOLIC].row[part].is_shared)
            text_addf(&t, "%s%s", t.len > 0 ? ", " : "", PART_WORDS[part]);
    if (t.len > 0)
        page_line(out, LINE_NOTE, "%s: the same in every reading, so averaging does not lessen it", said);
}

/* What each row was computed from: once where both sides say the same. */
static void assumption_lines(const struct worth *w, struct page *out)
{
    char origin[ORIGIN_CAP];

    page_line(out, LINE_INSTRUCTION, "What went in");
    for (int part = 0; part < WORTH_PART_COUNT; part++) {
        const struct worth_row *sys = &w->side[SIDE_SYSTOLIC].row[part], *dia = &w->side[SIDE_DIASTOLIC].row[part];
        bool is_same = strcmp(sys->note, dia->note) == 0 && strcmp(sys->origin.source, dia->origin.source) == 0 &&
                       sys->origin.standing == dia->origin.standing;

        say_origin(&sys->origin, origin, sizeof origin);
        page_line(out, LINE_NOTE, "%s%s%s: %s (%s)", sys->is_known ? "" : "* ", PART_WORDS[part], is_same ? "" : ", systolic",
                  sys->note[0] != '\0' ? sys->note : "as the protocol says", origin);
        if (is_same)
            continue;
        say_origin(&dia->origin, origin, sizeof origin);
        page_line(out, LINE_NOTE, "%s%s, diastolic: %s (%s)", dia->is_known ? "" : "* ", PART_WORDS[part],
                  dia->note[0] != '\0' ? dia->note : "as the protocol says", origin);
    }
    shared_line(w, out);
    page_line(out, LINE_NOTE, "u: standard uncertainty, c: mmHg per unit, df: degrees of freedom, *: not observed.");
}

static void caution_lines(const struct worth *w, struct page *out)
{
    const struct worth_budget *sys = &w->side[SIDE_SYSTOLIC], *dia = &w->side[SIDE_DIASTOLIC];

    if (sys->is_pooled || dia->is_pooled)
        page_line(out, LINE_ROW, "So few readings tell little of their own spread: a published one is pooled in.");
    if (sys->is_thin || dia->is_thin)
        page_line(out, LINE_ROW, "Fewer than ten effective degrees of freedom: the interval is wide, and is meant to be.");
}

static void chance_lines(const struct worth *w, const struct protocol *p, struct page *out)
{
    const struct worth_edge *edge = &w->edge;
    char sys[32], dia[32];

    edge_line(w, p, true, out);
    if (!edge->is_known || edge->systolic_from_mmhg == CATEGORY_NO_BOUND || edge->diastolic_from_mmhg == CATEGORY_NO_BOUND)
        return;
    say_chance(edge->chance[SIDE_SYSTOLIC], sys, sizeof sys);
    say_chance(edge->chance[SIDE_DIASTOLIC], dia, sizeof dia);
    page_line(out, LINE_NOTE, "   each alone: systolic %s, diastolic %s", sys, dia);
}

void guide_worth_lines(const struct worth *w, const struct sitting *s, const struct protocol *p, struct page *out)
{
    for (int side = 0; side < SIDE_COUNT; side++)
        side_lines(w, (enum side)side, out);
    page_line(out, LINE_INSTRUCTION, "What follows");
    caution_lines(w, out);
    chance_lines(w, p, out);
    if (w->expanded_after[SIDE_SYSTOLIC] > 0.0) {
        if (takes_as_many(w, p))
            gain_line(w, p, out);
        else
            page_line(out, LINE_ROW, "One more reading: +-%.1f/%.1f instead of +-%.1f/%.1f.", w->expanded_after[SIDE_SYSTOLIC],
                      w->expanded_after[SIDE_DIASTOLIC], w->side[SIDE_SYSTOLIC].expanded, w->side[SIDE_DIASTOLIC].expanded);
        visit_line(w, false, out);
    }
    if (w->pull_count > 0)
        page_line(out, LINE_INSTRUCTION, "What pulls one way, and is not corrected for");
    pull_lines(w, WORTH_PULLS_MAX, out);
    assumption_lines(w, out);
    if (s->pulse_bpm > 0)
        page_line(out, LINE_NOTE, "pulse: %d a minute%s", (int)s->pulse_bpm, s->is_irregular ? ", irregular" : "");
}

/* ---- the page of parts ---- */

void page_worth(const struct scene *sc, struct page *pg)
{
    enum arm arm = guide_result_arm(sc->s, sc->p);
    struct worth w;

    text_copy(pg->title, sizeof pg->title, "How exact, part by part");
    if (arm != ARM_NONE)
        snprintf(pg->title, sizeof pg->title, "How exact, part by part: %s", arm_words((int32_t)arm));
    if (sc->g->is_hidden)
        page_line(pg, LINE_NOTE, "Figures are covered: h shows them.");
    else if (arm != ARM_NONE && worth_of_average(sc->s, sc->p, arm, &w))
        guide_worth_lines(&w, sc->s, sc->p, pg);
    else
        page_line(pg, LINE_NOTE, "No average yet, so nothing to take apart.");
    guide_deviation_lines(sc->p, pg);
    read_on_page(sc, pg);
    page_key(pg, "h", sc->g->is_hidden ? "show figures" : "cover figures");
    page_key(pg, "esc", "back");
}

bool key_worth(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    (void)out;
    if (read_on_key(sc, g, k))
        return true;
    if (key_letter(k) == 'h')
        g->is_hidden = !g->is_hidden;
    else
        guide_open_view(g, VIEW_AUTO); /* any other key goes back */
    return true;
}
