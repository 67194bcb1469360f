/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file views.h  What the files of guide/ share: one row per view, and the helpers that pages and keys are made of. */
#ifndef STILLARM_VIEWS_H
#define STILLARM_VIEWS_H

#include "guide/guide.h"
#include "stillarm/text.h"

/* The first group follows from the sitting alone, so that a restart lands where it was; overlays are put over it by a key. */
enum view {
    VIEW_AUTO,
    VIEW_OPENING, VIEW_ITEMS, VIEW_ARM, VIEW_CIRCUMFERENCE, VIEW_WRAP, VIEW_REST, VIEW_KIT, VIEW_PULSE,
    VIEW_ESTIMATE, VIEW_PALPATING, VIEW_PALPATING_STEPS, VIEW_ESTIMATE_ENTRY,
    VIEW_LISTEN_BEFORE, VIEW_LISTENING, VIEW_MARKS, VIEW_ENTRY, VIEW_READBACK,
    VIEW_HANDOVER, VIEW_PAIR_ENTRY, VIEW_PAIR_READBACK, VIEW_PAIR_SHOWN,
    VIEW_GAP, VIEW_SEVERE, VIEW_NO_ARM, VIEW_STAND, VIEW_CLOSING, VIEW_WITNESS, VIEW_DEBRIEF, VIEW_STOPPED,
    VIEW_ITEM_NO, VIEW_TEXT, VIEW_STOP_SURE, VIEW_CORRECT, VIEW_CORRECT_VALUE, VIEW_MENU, VIEW_REOPEN, VIEW_USUAL,
    VIEW_WHY, VIEW_WORTH, VIEW_BARRED, VIEW_RECENT, VIEW_FAINT, VIEW_WITNESS_PULSE, VIEW_WITNESS_PASS, VIEW_WITNESS_NOTED,
    VIEW_LISTENER,
    VIEW_COUNT
};

/* struct guide's scratch, slot by slot. */
enum scratch {
    SC_SHOWN,       /* view and step the typed text belongs to; another view starts empty */
    SC_OUT,         /* Esc left the field: letters are keys until Enter or a digit */
    SC_PICKED,      /* the arrows picked one item of a group */
    SC_LOOKED,      /* opening: 1 asked for, 2 answered */
    SC_FRESH,       /* what stands in the field is a default or was refused: typing replaces it */
    SC_AUTO,        /* a number went in by its last digit: an Enter typed by habit right after it is not a new act */
    SC_EDIT,        /* entry: 1 + the field being given again */
    SC_GAP_FIELDS,  /* entry: 1 + the reading of which a silence is asked for */
    SC_GAP_SKIPPED, /* entry: 1 + the reading whose silence was left without figures */
    SC_THEN_EDIT,   /* entry: what SC_EDIT becomes once the event of this key is in */
    SC_REARM,       /* marks: 1 + the mark that the next press gives again */
    SC_RAISED,      /* palpation with a second person: steps above the one offered */
    SC_MORE,        /* 1 + readings there when one more was asked for */
    SC_MORE_HERE,   /* the same, where it is to be on the arm in use although the result is of the other */
    SC_SEVERE,      /* the very high or low reading whose page was passed, and when, or was opened again: see alarm.c */
    SC_LOST,        /* very high: a figure was typed there, which is not taken */
    SC_NO_REPEAT,   /* readings there when a very high one was left without another */
    SC_BARRED_ARM,  /* the arm that the page of reasons is about */
    SC_BARRED_WHY,  /* the key of a reason that waits for its arm; 0: none */
    SC_FAINT,       /* who stands feels faint: its page comes before all others */
    SC_WAIVE_RULE,  /* the waivable rule that just refused */
    SC_POINT,       /* correct: the point; text: see there */
    SC_TEXT_FOR,    /* what the text being typed is for: enum event_kind */
    SC_NO_ITEM,     /* item page for what is not as it should be: 1 + item */
    SC_REFUSED,     /* the rule that just refused: a wait that is over takes its sentence with it */
    SC_REFUSED_KEY, /* 1 + the key of the protocol that objected, where the rule has several */
    SC_WHY_RULE,    /* the rule whose refusal stood on the page when the latest key came: `?` tells its ground */
    SC_WHY_KEY,     /* and its key, as in SC_REFUSED_KEY */
    SC_WITNESS_AT,     /* witnessed: 1 + the item that the cursor was put on, or that an act was about */
    SC_WITNESS_PICKED, /* and it was put there, so that it stays */
    SC_WITNESS_PUT_BY, /* the inflation whose marks or values were put by for other acts: see witness.c */
    SC_WITNESS_AGAIN,  /* the reading that the next squeeze gives up, as was said: its values are not written */
    SC_WITNESS_FINISH, /* what was noted is looked at once more before the sitting is finished */
    SC_HANDED,      /* the reading at which the screen was handed over to the second listener */
    SC_PAIR_EDIT,   /* the listener's entry: 1 + the field being given again */
    SC_PAIR_SEEN,   /* the reading whose two values were looked at */
    SC_BLIND,       /* two listeners have not both typed: no refusal may name what is typed */
    SC_COUNT
};
_Static_assert(SC_COUNT <= GUIDE_SCRATCH, "struct guide has a slot for each");

#define MISSING_CAP 80
#define ORIGIN_CAP (SOURCE_CAP + 24) /* a source's id and how well it is founded */

/** All that a page or a key can depend on. */
struct scene {
    const struct guide *g;
    const struct guide_booth *b;
    const struct sitting *s;
    const struct protocol *p; /* NULL before there is one */
    int64_t now_ms;
    enum view view;
    enum view derived;        /* what lies below an overlay; else the same */
    enum step step;
    bool is_overlay;          /* put over the derived view by a key */
    bool is_field;            /* a text or number is typed here: letters are text */
    bool is_covered;          /* figures are not to be shown: by the key, or as two listeners have not both typed */
    const char *entry;        /* what is typed in this view */
    struct missing missing[MISSING_CAP];
    int missing_count;
};

enum field_when { FIELD_NEVER, FIELD_ALWAYS, FIELD_TYPED /* once something is typed */, FIELD_OPENING };

struct view_row {
    const char *id;
    enum step step;        /* STEP_NONE: depends on the sitting */
    enum field_when field;
    bool is_bare;          /* no common keys beyond those it names */
    void (*page)(const struct scene *sc, struct page *pg);
    bool (*key)(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out);
};

/* guide.c */
const struct view_row *view_row(enum view view);
void scene_make(struct scene *sc, const struct guide *g, const struct guide_booth *b, const struct sitting *s,
                const struct protocol *p, int64_t now_ms);
void guide_open_view(struct guide *g, enum view view);

/* derive.c */
bool scene_lacks(const struct scene *sc, enum step step);
bool scene_more(const struct scene *sc); /* readings still wanted: by the rules, or one more by the key */
bool more_is_asked(const struct scene *sc); /* one more by the key alone */
enum arm more_arm(const struct scene *sc);  /* the arm that the one more belongs to, where it is settled; else ARM_NONE */
enum arm arm_wanted(const struct scene *sc); /* the arm that is read next; ARM_NONE: no reason for either */
bool rest_is_over(const struct scene *sc);
enum view view_derived(const struct scene *sc, enum step *step); /* step: filled where the view's row names none */

/* keys.c */
int key_letter(const struct key *k); /* ASCII, lower case; '\n' for Enter; 0 for others */
bool key_closes(struct guide *g, const struct key *k); /* Esc takes the overlay away */
struct event *act(struct guide_action *out, enum event_kind kind);
void act_item(struct guide_action *out, enum event_kind kind, const char *item);
void act_text(struct guide_action *out, enum event_kind kind, const char *text);
void say_no(struct guide *g, const char *format, ...) __attribute__((format(printf, 2, 3)));
/** Type into buf. Refuses with a sentence what may not be in a text; never more than max characters. */
void type_key(struct guide *g, char *buf, size_t cap, int max, const struct key *k);
/** Type a digit of a figure into the entry; one that was just refused is replaced. */
void type_figure(struct guide *g, int max, const struct key *k);
/** A whole number typed into g->entry: true once it is in (by Enter, or no further digit could follow below top). */
bool number_key(struct guide *g, const struct key *k, int64_t top, int64_t *out);
/** What is typed as a whole number; blanks before and after it mean nothing. */
bool parse_figure(const char *entry, int64_t *out);
/** Ask for a text that completes `pending[0..count)` (they all get it), then apply them. */
void ask_text(struct guide *g, enum event_kind kind, const char *item);

/* words.c */
void say_clock(char out[12], int64_t ms);      /* 4:43, whole seconds */
void say_countdown(char out[12], int64_t ms);  /* the same, seconds begun count */
void say_mm(char out[24], int32_t mm);         /* 31.5 cm */
void say_mmhg(const struct scene *sc, char out[16], int32_t mmhg); /* or covered */
void say_reading(const struct scene *sc, const struct reading *r, char out[24]);
void show_typed(const struct scene *sc, struct page_line *line); /* what is typed, or covered */
void say_origin(const struct origin *origin, char *out, size_t cap); /* REST-1, published */
const char *arm_words(int32_t arm);            /* left arm */
const char *point_words(enum point point);
const char *void_words(int bit), *void_remedy(int bit);
/** A remark of one reading; of its release, which part of the fall it is about. */
const char *note_words_of(const struct sitting *s, const struct protocol *p, const struct reading *r, int bit);
const char *average_words(const struct protocol *p);
const char *rule_words(const char *id);        /* what an id of the engine means, in plain words; the id where nothing is known */
struct rule_cost { enum rule rule; const char *cost, *source, *practise; };
const struct rule_cost *rule_cost(enum rule rule); /* NULL: no published size */
const struct rule_cost *rule_cost_row(int n);      /* NULL past the last */
void add_cost(struct page *pg, enum rule rule);
void add_key_source(const struct scene *sc, struct page *pg, enum protocol_key key);

/* opening.c */
const struct protocol *opening_protocol(const struct scene *sc); /* what the picked one is known to hold; NULL: nothing */

/* why.c: pages that are read from top to bottom, on a small screen by the part round the cursor */
void read_on_page(const struct scene *sc, struct page *pg);
bool read_on_key(const struct scene *sc, struct guide *g, const struct key *k); /* false: the key is for something else */

/* items.c */
void items_lines(const struct scene *sc, struct page *pg, enum step step);
void items_keys(const struct scene *sc, struct page *pg, enum step step);
bool items_key(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out, enum step step);
void irregular_line(const struct scene *sc, struct page *pg); /* how many readings that means */
void pulse_line(const struct scene *sc, struct page *pg);
bool pulse_key(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out);
void gauge_lines(const struct scene *sc, struct page *pg);
bool gauge_key(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out);

/* estimate.c */
void act_inflate(const struct scene *sc, struct guide_action *out, const char *what);

/* cuff.c */
void bladder_line(const struct scene *sc, struct page *pg, const struct cuff *c);

/* entry.c */
bool entry_is_complete(const struct scene *sc, bool is_listeners);
/** The measurer says that there was a silence: its fields are asked for. */
void entry_ask_silence(const struct scene *sc, struct guide *g);
/** What SC_EDIT holds while this point is given again. */
int32_t entry_edit_slot(const struct scene *sc, enum point point);

/* items.c */
enum arm suggested_arm(const struct scene *sc); /* ARM_NONE: no reason for either */

/* alarm.c */
bool alarm_is_due(const struct scene *sc);
bool alarm_is_open(const struct scene *sc); /* something about a very high or low value still waits for its answer */
void alarm_open_line(const struct scene *sc, struct page *pg);
void alarm_open_key(const struct scene *sc, struct page *pg);
void alarm_open_again(const struct scene *sc, struct guide *g);
bool repeat_is_due(const struct scene *sc); /* good practice asks for it, the rules do not: a key passes it */

/* barred.c */
bool is_no_arm_left(const struct scene *sc);
void barred_open(const struct scene *sc, struct guide *g);

/* witness.c */
enum view view_witnessed(const struct scene *sc, enum step *step);
void witness_rail(const struct scene *sc, enum step step, char out[8]);
/** From marks and values to the page of all acts: by a key, and the name of it. */
bool witness_leaves(const struct scene *sc, struct guide *g, const struct key *k);
void witness_leaves_key(const struct scene *sc, struct page *pg);
void witness_kept_lines(const struct scene *sc, struct page *pg);

/* pair.c */
bool pair_is_blind(const struct sitting *s);          /* a second listener is named, and nothing is final */
bool pair_is_unshown(const struct reading *r);        /* it has a second listener, and never came to be final */
enum view pair_view(const struct scene *sc);          /* once the measurer's values are in */
bool pair_is_to_be_shown(const struct scene *sc);      /* both are final, and nobody has looked yet */
bool pair_may_join(const struct scene *sc);
bool pair_ask(const struct scene *sc, struct guide *g);
void pair_act(const struct scene *sc, struct guide_action *out); /* behind the squeeze */
void pair_applied(struct guide *g, const struct sitting *s);
void pair_named_line(const struct scene *sc, struct page *pg);
void pair_lines(const struct scene *sc, struct page *pg, int index);

/* gap.c */
bool gap_is_due(const struct scene *sc);

/* standing.c */
bool lies_first(const struct protocol *p); /* the subject lies, and stands up after */
bool standing_is_owed(const struct scene *sc);
/** Who stands feels faint: the page for it comes before all others, with the cuff up all air out first. */
bool faint_key(const struct scene *sc, struct guide *g, struct guide_action *out);
int64_t listen_from_ms(const struct scene *sc); /* when the next listening inflation may begin, lying or standing */

/* one pair per view */
#define VIEW_PAIR(name)                                                                                                \
    void page_##name(const struct scene *sc, struct page *pg);                                                         \
    bool key_##name(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
VIEW_PAIR(opening);
VIEW_PAIR(items);
VIEW_PAIR(item_no);
VIEW_PAIR(arm);
VIEW_PAIR(circumference);
VIEW_PAIR(wrap);
VIEW_PAIR(rest);
VIEW_PAIR(kit);
VIEW_PAIR(pulse);
VIEW_PAIR(estimate);
void page_palpating(const struct scene *sc, struct page *pg);
VIEW_PAIR(palpating_steps);
VIEW_PAIR(estimate_entry);
VIEW_PAIR(usual);
VIEW_PAIR(listen_before);
void page_listening(const struct scene *sc, struct page *pg);
/** While the cuff is up and one person does all, palpating or listening: one key says that it is empty. */
bool key_cuff_up(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out);
VIEW_PAIR(marks);
VIEW_PAIR(entry);
VIEW_PAIR(readback);
VIEW_PAIR(handover);
VIEW_PAIR(pair_entry);
VIEW_PAIR(pair_readback);
VIEW_PAIR(pair_shown);
VIEW_PAIR(listener);
VIEW_PAIR(correct);
VIEW_PAIR(correct_value);
VIEW_PAIR(severe);
VIEW_PAIR(closing);
VIEW_PAIR(debrief);
VIEW_PAIR(stopped);
VIEW_PAIR(text);
VIEW_PAIR(stop_sure);
VIEW_PAIR(menu);
VIEW_PAIR(reopen);
VIEW_PAIR(why);
VIEW_PAIR(worth);
VIEW_PAIR(gap);
VIEW_PAIR(no_arm);
VIEW_PAIR(stand);
VIEW_PAIR(barred);
VIEW_PAIR(recent);
VIEW_PAIR(faint);
VIEW_PAIR(witness);
VIEW_PAIR(witness_pulse);
VIEW_PAIR(witness_pass);
VIEW_PAIR(witness_noted);
#undef VIEW_PAIR

void opening_begin(struct guide *g, const struct guide_booth *b);
void opening_answered(struct guide *g, const struct guide_booth *b);
bool opening_field_is_text(const struct scene *sc);
void verdict_lines(const struct scene *sc, struct page *pg, bool with_figures);

#endif
