/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the words on the pages of progress mean, page by page: those that stand there and no others. */
#include "guide/progress_chart.h"
#include "stillarm/text.h"

#define ON(leaf) (1u << (leaf))
#define LIST ON(LEAF_COUNT) /* the group */
#define VERDICT ON(LEAF_VERDICT)
#define DIFFERENCE (ON(LEAF_DIFFERENCE_SYSTOLIC) | ON(LEAF_DIFFERENCE_DIASTOLIC))
#define DIGITS ON(LEAF_DIGITS)
#define RELEASE ON(LEAF_RELEASE)
#define LEARNING ON(LEAF_LEARNING)
#define SLIPS ON(LEAF_SLIPS)
#define FIGURES ON(LEAF_FIGURES)
#define CHANGES ON(LEAF_CHANGES)

/* In the order of their pages: what the rest is made of first. */
static const struct word { const char *word, *means; unsigned leaves; } WORDS[] = {
    { "pair", "one fall of the cuff heard by two, each typing without seeing the other's values",
      LIST | VERDICT | DIFFERENCE | LEARNING | FIGURES | CHANGES },
    { "yardstick", "a file that says what is asked of a record; a site copies and changes it", LIST | VERDICT | CHANGES },
    { "answer", "ready, all that is asked is met; not yet, there are pairs enough and something is not met; too few, it cannot be told",
      LIST | VERDICT | CHANGES },
    { "published, judgement", "where a bound comes from: from the source beside it, or from whoever wrote the yardstick", VERDICT },
    { "sealed", "a sitting finished to its end and closed", LIST | VERDICT | CHANGES },
    { "clean", "sealed, and nothing in it refused, void, passed over or noted by a witness; slips of the hand apart",
      LIST | VERDICT | CHANGES },
    { "void", "does not count, for a reason that is kept with it", VERDICT | RELEASE | SLIPS },
    { "held", "before a witness who has not given the result yet: in no figure", VERDICT | CHANGES },
    { "bias", "how much higher (+) or lower (-) than the second listener, on average; 0 is none",
      LIST | VERDICT | DIFFERENCE | FIGURES | CHANGES },
    { "limit, limits of agreement", "about 95 of 100 differences are expected between the two; the closer, the better", DIFFERENCE | FIGURES },
    { "SD", "standard deviation: how far the differences scatter about their average; nearly all lie within two of it", FIGURES },
    { "limit, 1999", "the same limits; how far off they may be is worked out in the approximate way of 1999, as papers have it", FIGURES },
    { "dotted", "5 and 10 mmHg apart, what yardsticks ask about: on every graph, whatever the record is", DIFFERENCE },
    { "within 5", "share of the values at most 5 mmHg from the second listener's", LIST | VERDICT | FIGURES | CHANGES },
    { "(.. to ..), 95 % limits", "how far off the figure itself may be, with so many pairs; it narrows with more", FIGURES },
    { "as far as it is sure", "the lower end of what a share may be, with so many pairs", VERDICT },
    { "zeros", "share of the even values that end in 0; one in five is expected, more is a habit of rounding", LIST | VERDICT | CHANGES },
    { "expected", "a gauge has a mark every 2 mmHg, so each even digit should end one value in five", DIGITS },
    { "beyond chance", "so far from one in five that chance seldom does it: a habit; \"more to tell\" is how many values that takes",
      DIGITS },
    { "odd", "values for which a gauge has no mark, as a share of all whole ones", DIGITS },
    { "chance of so many", "how often somebody without the habit would come to as many or more; 1 in 100 or less is seldom chance",
      VERDICT | FIGURES },
    { "same values again", "a subject read again, the same value told; far more of it than the other heard may be memory. "
                           "The chance: how often that comes about where both hear alike", VERDICT | FIGURES },
    { "chi-square", "how far the even end digits, together, lie from one in five each; the chance below it says if that is much",
      FIGURES },
    { "release rate", "how fast the pressure fell while listening, a mark a release", RELEASE },
    { "at least, at most", "the band that the protocol asks for; a release may lie outside it and still count", RELEASE },
    { "right, wrong", "right: both values close enough to the second listener's, as the yardstick says; one too far off is wrong",
      LEARNING },
    { "height of the curve", "a tally without a unit: each right pair lifts it, each wrong one lowers it, never below 0", LEARNING },
    { "reached", "the skill is signalled; the curve begins anew at 0, and from here wrong pairs lift it, right ones lower it", LEARNING },
    { "lost", "so many wrong pairs since that the skill is taken for lost; the curve begins anew, as at first", LEARNING },
    { "!", "where the curve signalled, with what it signalled beside it", LEARNING },
    { "errs", "a curve signals some who do not hear well, and loses some who do: how many of a hundred is worked out, not guessed",
      VERDICT | LEARNING },
    { "tried before its time", "refused by the program, which said why; the act was not done", SLIPS },
    { "noted by a witness", "left as it was done, because a witness watched; told afterwards", SLIPS },
    { "slip", "a value typed that no gauge shows or that cannot be: typed again, and no fault of the hearing", SLIPS },
    { "passed over", "an item or a rule left out with a reason", SLIPS },
    { "(rest.short) and so on", "the name of a rule; stillarm why rest.short tells all of it", SLIPS },
    { "ICC", "how much of all difference lies between subjects, not listeners; 1 is perfect. Quote ICC(2,1): bias counts in it",
      FIGURES },
    { "the other ICC", "ICC(1,1) takes the listeners for unknown, ICC(3,1) forgives a bias; with k: of the mean of both listeners",
      FIGURES },
    { "concordance", "how close all values lie to being the same; 1 is the same throughout, bias and scatter lower it",
      FIGURES },
    { "kappa", "how often both come to the same category, beyond chance; 1 always, 0 as by chance. With weights a near one counts in part",
      FIGURES },
    { "more than once, apart", "a subject's repeats are not as good as new subjects: these figures allow for that", FIGURES },
    { "asked about devices", "rules made for testing devices; they say nothing of who may measure", FIGURES },
};

static void words_of(unsigned leaf, struct page *out)
{
    for (size_t i = 0; i < ARRAY_LEN(WORDS); i++)
        if (WORDS[i].leaves & leaf)
            page_line(out, LINE_ROW, "%s: %s", WORDS[i].word, WORDS[i].means);
}

void progress_help_page(enum progress_leaf leaf, struct page *out)
{
    page_init(out, PAGE_WIDE, "progress-words");
    text_copy(out->left, sizeof out->left, PROGRESS_CAUTION);
    text_copy(out->title, sizeof out->title, "What the words here mean");
    words_of(ON(leaf), out);
    page_line(out, LINE_NOTE, "A source, such as OBS-3: stillarm why OBS-3 tells what it is and what was taken from it.");
    page_key(out, "j k", "move");
    page_key(out, "any other", "back");
}
