/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tallies of several measurers come together as if all had been added to one, in whatever order. */
#include "unit/agree_hand.h"

#define MEASURERS 5
#define SUBJECTS 12 /* of each measurer */
#define PAIRS 400   /* of each measurer */

struct row {
    int measurer, subject;
    struct agree_pair pair;
};
static struct row rows[MEASURERS * PAIRS];
static struct agree_hand one, part[MEASURERS], other;

/* Values far from zero, fractions, cells of unequal sizes: whatever rounds would show. */
static void make_rows(uint64_t seed)
{
    for (int i = 0; i < MEASURERS * PAIRS; i++) {
        struct row *r = &rows[i];
        r->measurer = (int)agree_hand_random(&seed, MEASURERS);
        r->subject = (int)agree_hand_random(&seed, 1 + agree_hand_random(&seed, SUBJECTS));
        const int64_t mean = 100000 + 5000 * r->subject;
        for (int side = 0; side < SIDE_COUNT; side++) {
            for (int ear = 0; ear < EAR_COUNT; ear++)
                r->pair.value[side][ear] = mean - 40000 * side + agree_hand_random(&seed, 4) * 2000 +
                                           agree_hand_random(&seed, 3) * 333;
        }
    }
}

/* Any order; is_kept: with the rows of one measurer and subject still following each other as they did. */
static void shuffle(uint64_t seed, bool is_kept)
{
    for (int i = MEASURERS * PAIRS - 1; i > 0; i--) {
        const int j = is_kept ? i - 1 : (int)agree_hand_random(&seed, i + 1);
        const bool is_same = rows[i].measurer == rows[j].measurer && rows[i].subject == rows[j].subject;
        if (is_kept && (is_same || agree_hand_random(&seed, 2)))
            continue;
        const struct row swapped = rows[i];
        rows[i] = rows[j];
        rows[j] = swapped;
    }
}

static void add_rows_to_one(struct agree_hand *h)
{
    agree_hand_begin(h, &AGREE_HAND_SCHEME);
    for (int i = 0; i < MEASURERS * PAIRS; i++)
        agree_add(&h->tally, &h->subject[rows[i].measurer * SUBJECTS + rows[i].subject], &h->frame,
                  &rows[i].pair);
    agree_hand_close(h);
}

static void add_rows_to_parts(void)
{
    for (int i = 0; i < MEASURERS; i++)
        agree_hand_begin(&part[i], &AGREE_HAND_SCHEME);
    for (int i = 0; i < MEASURERS * PAIRS; i++) {
        struct agree_hand *h = &part[rows[i].measurer];
        agree_add(&h->tally, &h->subject[rows[i].subject], &h->frame, &rows[i].pair);
    }
    for (int i = 0; i < MEASURERS; i++)
        agree_hand_close(&part[i]);
}

static bool is_same_bits(double a, double b)
{
    return memcmp(&a, &b, sizeof a) == 0;
}

static void check_same_figure(const struct figure *a, const struct figure *b, const char *id)
{
    ck_assert_msg(a->lack == b->lack && a->limits_lack == b->limits_lack && a->need == b->need, "%s: lacks",
                  id);
    ck_assert_msg(is_same_bits(a->value, b->value) && is_same_bits(a->low, b->low) &&
                      is_same_bits(a->high, b->high),
                  "%s: %.17g (%.17g to %.17g), %.17g (%.17g to %.17g)", id, a->value, a->low, a->high,
                  b->value, b->low, b->high);
}

/* is_ordered: what follows what was the same as well. */
static void check_same(const struct agreement *a, const struct agreement *b, bool is_ordered)
{
    ck_assert_int_eq(a->n, b->n);
    ck_assert_int_eq(a->subjects, b->subjects);
    for (int side = 0; side < SIDE_COUNT; side++) {
        const struct agreement_side *s = &a->side[side], *t = &b->side[side];
        for (int i = 0; i < SIDE_FIGURE_COUNT; i++) {
            if (is_ordered || i < FIGURE_IDENTICAL || i > FIGURE_IDENTICAL_P)
                check_same_figure(&s->figure[i], &t->figure[i], SIDE_FIGURES[i].id);
        }
        ck_assert_int_eq(s->grade, t->grade);
        ck_assert_int_eq(s->criterion_1, t->criterion_1);
        ck_assert_int_eq(s->criterion_2, t->criterion_2);
        ck_assert(is_same_bits(s->criterion_2_sd, t->criterion_2_sd));
        ck_assert(is_same_bits(s->criterion_2_limit, t->criterion_2_limit));
    }
    for (int i = 0; i < JOINT_FIGURE_COUNT; i++)
        check_same_figure(&a->joint[i], &b->joint[i], JOINT_FIGURES[i].id);
}

static void merge_parts(struct agree_hand *into, int first, int step)
{
    agree_hand_begin(into, &AGREE_HAND_SCHEME);
    for (int i = 0; i < MEASURERS; i++)
        agree_merge(&into->tally, &part[(first + i * step) % MEASURERS].tally);
    agreement_of(&into->tally, &into->said);
}

START_TEST(merging_says_what_adding_to_one_says)
{
    make_rows((uint64_t)_i + 1);
    add_rows_to_one(&one);
    add_rows_to_parts();
    merge_parts(&other, 0, 1);
    check_same(&one.said, &other.said, true);
    ck_assert_int_eq(other.said.n, MEASURERS * PAIRS);
    ck_assert(one.said.has_learning && !other.said.has_learning);
}
END_TEST

START_TEST(the_order_of_merging_changes_no_bit)
{
    make_rows(77);
    add_rows_to_parts();
    merge_parts(&one, 0, 1);
    for (int first = 0; first < MEASURERS; first++) {
        for (int step = 1; step < MEASURERS; step++) {
            merge_parts(&other, first, step);
            check_same(&one.said, &other.said, true);
        }
    }
}
END_TEST

START_TEST(merging_two_and_two_changes_no_bit)
{
    static struct agree_hand left, right;
    make_rows(78);
    add_rows_to_parts();
    merge_parts(&one, 0, 1);
    agree_hand_begin(&left, &AGREE_HAND_SCHEME);
    agree_hand_begin(&right, &AGREE_HAND_SCHEME);
    for (int i = 0; i < MEASURERS; i++)
        agree_merge(i < 2 ? &left.tally : &right.tally, &part[i].tally);
    agree_merge(&right.tally, &left.tally);
    agreement_of(&right.tally, &right.said);
    check_same(&one.said, &right.said, true);
}
END_TEST

START_TEST(the_order_of_adding_changes_no_bit_but_what_is_told_of_order)
{
    make_rows(79);
    add_rows_to_one(&one);
    shuffle((uint64_t)_i + 3, false);
    add_rows_to_one(&other);
    check_same(&one.said, &other.said, false);
}
END_TEST

START_TEST(rows_of_others_in_between_change_no_bit_at_all)
{
    make_rows(80);
    add_rows_to_one(&one);
    shuffle((uint64_t)_i + 3, true);
    add_rows_to_one(&other);
    check_same(&one.said, &other.said, true);
}
END_TEST

START_TEST(an_empty_tally_adds_nothing)
{
    static struct agree_hand empty;
    make_rows(81);
    add_rows_to_parts();
    agree_hand_begin(&empty, NULL);
    merge_parts(&one, 0, 1);
    merge_parts(&other, 0, 1);
    agree_merge(&other.tally, &empty.tally);
    agreement_of(&other.tally, &other.said);
    check_same(&one.said, &other.said, true);
}
END_TEST

START_TEST(the_order_of_subjects_changes_no_bit)
{
    make_rows(82);
    add_rows_to_one(&one);
    agree_hand_begin(&other, &AGREE_HAND_SCHEME);
    for (int i = 0; i < MEASURERS * PAIRS; i++)
        agree_add(&other.tally,
                  &other.subject[HAND_SUBJECTS - 1 - rows[i].measurer * SUBJECTS - rows[i].subject],
                  &other.frame, &rows[i].pair);
    agree_hand_close(&other);
    check_same(&one.said, &other.said, true);
}
END_TEST

START_TEST(a_huge_offset_changes_no_bit_of_a_spread)
{
    static const enum side_figure SPREADS[] = {
        FIGURE_SD,      FIGURE_SD_LINKED, FIGURE_REPEAT_MEASURER, FIGURE_REPEAT_LISTENER,
        FIGURE_ICC_1_1, FIGURE_ICC_3_1};
    make_rows(83);
    add_rows_to_one(&one);
    for (int i = 0; i < MEASURERS * PAIRS; i++) {
        for (int side = 0; side < SIDE_COUNT; side++) {
            for (int ear = 0; ear < EAR_COUNT; ear++)
                rows[i].pair.value[side][ear] += AGREE_VALUE_MAX / 2;
        }
    }
    add_rows_to_one(&other);
    for (size_t i = 0; i < sizeof SPREADS / sizeof SPREADS[0]; i++)
        check_same_figure(&one.said.side[0].figure[SPREADS[i]], &other.said.side[0].figure[SPREADS[i]],
                          SIDE_FIGURES[SPREADS[i]].id);
    check_same_figure(&one.said.side[1].figure[FIGURE_SD_APART], &other.said.side[1].figure[FIGURE_SD_APART],
                      "sd-apart");
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("agreement merge");
    TCase *t = tcase_create("agreement merge");
    tcase_set_timeout(t, 60);
    tcase_add_loop_test(t, merging_says_what_adding_to_one_says, 0, 5);
    tcase_add_test(t, the_order_of_merging_changes_no_bit);
    tcase_add_test(t, merging_two_and_two_changes_no_bit);
    tcase_add_loop_test(t, the_order_of_adding_changes_no_bit_but_what_is_told_of_order, 0, 5);
    tcase_add_loop_test(t, rows_of_others_in_between_change_no_bit_at_all, 0, 5);
    tcase_add_test(t, an_empty_tally_adds_nothing);
    tcase_add_test(t, the_order_of_subjects_changes_no_bit);
    tcase_add_test(t, a_huge_offset_changes_no_bit_of_a_spread);
    suite_add_tcase(suite, t);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
