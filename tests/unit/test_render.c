/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How pages are laid out: nothing lost at any size, nothing moved by a refusal, the same words in UTF-8 and
 * ASCII. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <wchar.h>
#include <locale.h>

#include "stillarm/err.h"
#include "stillarm/text.h"
#include "terminal/grid.h"
#include "terminal/terminal.h"

static struct page pg;
static char out[400000], other[400000];

static const int SIZES[][2] = {{24, 80}, {20, 60}, {50, 200}, {24, 132}, {43, 80}, {20, 100}};

static void say(char *field, size_t cap, const char *text)
{
    ck_assert(text_copy(field, cap, text));
}
#define SAY(field, text) say(field, sizeof(field), text)

static void begin(enum page_form form)
{
    static const char *const STEPS[] = {"opening", "readiness", "arm",      "cuff",      "posture",
                                        "rest",    "kit",       "estimate", "listening", "closing"};
    page_init(&pg, form, "test");
    SAY(pg.left, "S-014   left arm   reading 2");
    SAY(pg.right, "ana   booth 2   14:16");
    if (form != PAGE_STEPS)
        return;
    for (int i = 0; i < 10; i++) {
        struct page_rail *r = &pg.rail[pg.rail_count++];
        SAY(r->name, STEPS[i]);
        r->is_now = i == 5;
        SAY(r->state, i < 5 ? "done" : i == 5 ? "now" : "");
    }
}

static const char *render(int size, bool ascii)
{
    terminal_render_text(&pg, SIZES[size][0], SIZES[size][1], ascii, out, sizeof out);
    return out;
}

/* Row of the first line that holds the text, or -1; copies the row. */
static int row_of(const char *screen, const char *text, char *copy, size_t cap)
{
    int row = 0;

    for (const char *s = screen; *s != '\0'; row++) {
        size_t n = strcspn(s, "\n");
        const char *at = memmem(s, n, text, strlen(text));
        if (at != NULL) {
            if (copy != NULL)
                snprintf(copy, cap, "%.*s", (int)n, s);
            return row;
        }
        s += n + (s[n] == '\n');
    }
    return -1;
}

static void assert_shape(const char *screen, int rows, int cols)
{
    int count = 0;

    for (const char *s = screen; *s != '\0'; count++) {
        size_t n = strcspn(s, "\n"), at = 0;
        int width = 0;
        while (at < n) {
            uint32_t c;
            size_t used = utf8_decode(s + at, n - at, &c);
            /* Not ck_assert: each reports to Check's parent, which is slow for each of ten thousand cells. */
            if (used == 0 || is_control(c))
                ck_abort_msg("row %d holds what must not be shown", count);
            width += char_width(c);
            at += used;
        }
        if (width > cols)
            ck_abort_msg("row %d is %d wide", count, width);
        s += n + (s[n] == '\n');
    }
    ck_assert_int_eq(count, rows);
}

/* Every word of a text stands on the screen, in its order. */
static void assert_words(const char *screen, const char *text)
{
    char words[1000];
    const char *from = screen;

    snprintf(words, sizeof words, "%s", text);
    for (char *save = NULL, *w = strtok_r(words, " ", &save); w != NULL; w = strtok_r(NULL, " ", &save)) {
        const char *at = strstr(from, w);
        ck_assert_msg(at != NULL, "'%s' of '%s' is missing in\n%s", w, text, screen);
        from = at + strlen(w);
    }
}

/* A page as full as a real one gets. */
static void fill_usual(void)
{
    begin(PAGE_STEPS);
    SAY(pg.title, "Before sitting down");
    SAY(page_line(&pg, LINE_ITEM, "In the last 30 minutes no caffeine, tobacco, exercise")->value, "yes");
    SAY(page_line(&pg, LINE_ITEM, "Been to the toilet; warm and calm")->value,
        "passed over, because the lift was out");
    page_line(&pg, LINE_ITEM, "Adult; not pregnant, no birth in the last 6 weeks")->is_current = true;
    page_line(&pg, LINE_COST, "Caffeine within half an hour reads 3 to 14 mmHg high.");
    page_line(&pg, LINE_CAUTION, "Ask the third one quietly.");
    page_key(&pg, "y", "as it should be");
    page_key(&pg, "n", "it is not");
    page_key(&pg, "w", "pass over, because");
    page_key(&pg, "?", "why");
    page_key(&pg, "q", "leave");
}

START_TEST(render_shows_all_of_a_usual_page_at_every_size)
{
    const char *screen;

    fill_usual();
    screen = render(_i, false);
    assert_shape(screen, SIZES[_i][0], SIZES[_i][1]);
    for (int i = 0; i < pg.line_count; i++) {
        char word[300];
        snprintf(word, sizeof word, "%s", pg.lines[i].text);
        ck_assert_int_ge(row_of(screen, strtok(word, " "), NULL, 0), 0);
    }
    assert_words(screen, "Caffeine within half an hour reads 3 to 14 mmHg high.");
    assert_words(screen, "passed over, because the lift was out");
    for (int i = 0; i < pg.key_count; i++) {
        char key[64];
        snprintf(key, sizeof key, "%s %s", pg.keys[i].name, pg.keys[i].label);
        ck_assert_msg(row_of(screen, key, NULL, 0) >= SIZES[_i][0] - 2,
                      "'%s' is not in the last two rows:\n%s", key, screen);
    }
    for (int i = 0; i < pg.rail_count; i++)
        ck_assert_int_ge(row_of(screen, pg.rail[i].name, NULL, 0), 0);
}
END_TEST

START_TEST(render_marks_what_is_current_in_text)
{
    char row[2048];

    fill_usual();
    ck_assert_int_ge(row_of(render(_i, true), "> Adult", row, sizeof row), 0);
    ck_assert_int_ge(row_of(out, "> rest", NULL, 0), 0);
    ck_assert_int_ge(row_of(out, "! Ask the third one quietly.", NULL, 0), 0);
    ck_assert_int_eq(row_of(out, "> In the last", NULL, 0), -1);
}
END_TEST

/* The lines of two screens that differ, first and last; both -1 when none does. */
static void differ(const char *a, const char *b, int *first, int *last)
{
    *first = *last = -1;
    for (int row = 0; *a != '\0' && *b != '\0'; row++) {
        size_t n = strcspn(a, "\n"), m = strcspn(b, "\n");
        if (n != m || memcmp(a, b, n) != 0) {
            *first = *first < 0 ? row : *first;
            *last = row;
        }
        a += n + (a[n] == '\n');
        b += m + (b[m] == '\n');
    }
}

static const char *const REFUSALS[] = {
    "not yet: short.",
    "not yet: 77 is between two lines of the dial. Read to the nearest line.",
    "not yet: the rest has lasted 4:59 of 5:00. Wait until the time is over; nobody speaks meanwhile.",
};

START_TEST(render_moves_nothing_when_a_refusal_comes)
{
    int size = _i % (int)ARRAY_LEN(SIZES), first, last;

    fill_usual();
    snprintf(other, sizeof other, "%s", render(size, false));
    SAY(pg.refusal, REFUSALS[_i / (int)ARRAY_LEN(SIZES)]);
    render(size, false);
    differ(out, other, &first, &last);
    assert_words(out, pg.refusal);
    ck_assert_int_ge(first, SIZES[size][0] - 4);
    ck_assert_int_le(last, SIZES[size][0] - 3);
}
END_TEST

START_TEST(render_shows_all_of_the_longest_refusal)
{
    char refusal[420] = "not yet:";

    for (int i = 0; strlen(refusal) + 12 < sizeof refusal; i++)
        snprintf(refusal + strlen(refusal), sizeof refusal - strlen(refusal), " word%d", i);
    fill_usual();
    SAY(pg.refusal, refusal);
    assert_words(render(_i, false), refusal);
    assert_shape(out, SIZES[_i][0], SIZES[_i][1]);
    ck_assert_int_ge(row_of(out, "> Adult", NULL, 0), 0);
    ck_assert_int_ge(row_of(out, "> rest", NULL, 0), 0);
}
END_TEST

START_TEST(render_lets_a_long_refusal_cover_only_blank_rows)
{
    int first, last;

    begin(PAGE_STEPS);
    SAY(pg.big, "4:37");
    page_line(&pg, LINE_INSTRUCTION, "Nobody speaks.");
    SAY(pg.refusal, "not yet: short.");
    snprintf(other, sizeof other, "%s", render(_i, false));
    memset(pg.refusal, 'x', 170);
    pg.refusal[170] = '\0';
    render(_i, false);
    differ(out, other, &first, &last);
    ck_assert_int_gt(first, row_of(out, "Nobody speaks.", NULL, 0));
    ck_assert_int_lt(last, SIZES[_i][0] - 2);
}
END_TEST

START_TEST(render_sets_kinds_of_lines_apart)
{
    begin(PAGE_OPEN);
    page_line(&pg, LINE_INSTRUCTION, "Do this.");
    page_line(&pg, LINE_ITEM, "First.");
    page_line(&pg, LINE_ITEM, "Second.");
    page_line(&pg, LINE_COST, "It costs.");
    render(0, false);
    ck_assert_int_eq(row_of(out, "First.", NULL, 0), row_of(out, "Do this.", NULL, 0) + 2);
    ck_assert_int_eq(row_of(out, "Second.", NULL, 0), row_of(out, "First.", NULL, 0) + 1);
    ck_assert_int_eq(row_of(out, "It costs.", NULL, 0), row_of(out, "Second.", NULL, 0) + 2);
}
END_TEST

START_TEST(render_never_cuts_a_key)
{
    begin(PAGE_STEPS);
    for (int i = 0; i < PAGE_KEYS_MAX; i++) {
        char name[24], label[60];
        snprintf(name, sizeof name, "key%d", i);
        snprintf(label, sizeof label, "act %d", i);
        page_key(&pg, name, label);
    }
    page_key(&pg, "one more", "is dropped");
    ck_assert_int_eq(pg.key_count, PAGE_KEYS_MAX);
    render(_i, false);
    assert_shape(out, SIZES[_i][0], SIZES[_i][1]);
    for (int i = 0; i < PAGE_KEYS_MAX; i++) {
        char key[80];
        snprintf(key, sizeof key, "key%d act %d", i, i);
        ck_assert_msg(row_of(out, key, NULL, 0) >= 0, "'%s' is cut:\n%s", key, out);
    }
}
END_TEST

static void assert_current_is_seen(int size, int current)
{
    char row[2048], wanted[32];

    begin(PAGE_STEPS);
    SAY(pg.big, "126/78");
    for (int i = 0; i < 60; i++)
        page_line(&pg, LINE_ROW, "row %d.", i)->is_current = i == current;
    snprintf(wanted, sizeof wanted, "> row %d.", current);
    ck_assert_msg(row_of(render(size, false), wanted, row, sizeof row) >= 0, "%s is not seen:\n%s", wanted,
                  out);
    assert_shape(out, SIZES[size][0], SIZES[size][1]);
    ck_assert_int_eq(row_of(out, " row 0.", NULL, 0) < 0, row_of(out, "(more above)", NULL, 0) >= 0);
    ck_assert_int_eq(row_of(out, " row 59.", NULL, 0) < 0, row_of(out, "(more below)", NULL, 0) >= 0);
}

START_TEST(render_scrolls_to_the_current_line)
{
    for (int current = 0; current < 60; current++)
        assert_current_is_seen(_i, current);
}
END_TEST

/* Wherever the current line is, the pinned ones stand above it. */
START_TEST(render_keeps_pinned_lines_in_view)
{
    char wanted[32];

    for (int current = 4; current < 60; current++) {
        begin(PAGE_STEPS);
        SAY(pg.big, "126/78");
        for (int i = 0; i < 60; i++)
            page_line(&pg, LINE_ROW, "row %d.", i)->is_current = i == current;
        pg.pinned = 4;
        render(_i, false);
        for (int i = 0; i < 4; i++) {
            snprintf(wanted, sizeof wanted, " row %d.", i);
            ck_assert_msg(row_of(out, wanted, NULL, 0) >= 0, "%s is not seen:\n%s", wanted, out);
        }
        snprintf(wanted, sizeof wanted, "> row %d.", current);
        ck_assert_msg(row_of(out, wanted, NULL, 0) >= 0, "%s is not seen:\n%s", wanted, out);
        assert_shape(out, SIZES[_i][0], SIZES[_i][1]);
    }
}
END_TEST

/* No room to pin so many: the page begins with them, and the current line may be below. */
START_TEST(render_begins_with_pinned_lines_that_fill_the_screen)
{
    begin(PAGE_STEPS);
    for (int i = 0; i < 100; i++)
        page_line(&pg, LINE_ROW, "row %d.", i)->is_current = i == 50;
    pg.pinned = 49;
    render(0, false);
    ck_assert_int_ge(row_of(out, " row 0.", NULL, 0), 0);
    ck_assert_int_ge(row_of(out, "(more below)", NULL, 0), 0);
}
END_TEST

START_TEST(render_ends_no_line_at_a_no_break_blank)
{
    for (int cols = 60; cols < 90; cols++) {
        begin(PAGE_OPEN);
        page_line(&pg, LINE_ROW, "1:\xc2\xa0" "128/78,  2:\xc2\xa0" "130/76,  3:\xc2\xa0" "131/77,  4:\xc2\xa0" "132/78,  5:\xc2\xa0"
                                 "133/79,  6:\xc2\xa0" "134/80,  7:\xc2\xa0" "135/81");
        terminal_render_text(&pg, 24, cols, cols % 2 == 0, out, sizeof out);
        ck_assert_msg(row_of(out, "5: 133/79", NULL, 0) >= 0 && row_of(out, "6: 134/80", NULL, 0) >= 0, "broken on %d columns:\n%s",
                      cols, out);
    }
}
END_TEST

START_TEST(render_hangs_a_row_under_what_its_label_says)
{
    char label[200], more[200];

    begin(PAGE_OPEN);
    page_line(&pg, LINE_ROW, "r       review: 1 waits for a preceptor, 1 sent back to ben, 1 signature owed by ana");
    page_line(&pg, LINE_ROW, "left arm, 31 cm, adult, rest 1:15, gone at 130  and words that go on behind two blanks");
    render(1, false);
    ck_assert_int_ge(row_of(out, "review:", label, sizeof label), 0);
    ck_assert_int_ge(row_of(out, "owed by ana", more, sizeof more), 0);
    ck_assert_uint_eq(strspn(more, " "), (size_t)(strstr(label, "review:") - label));
    ck_assert_int_ge(row_of(out, "left arm, 31", label, sizeof label), 0);
    ck_assert_int_ge(row_of(out, "two blanks", more, sizeof more), 0);
    ck_assert_uint_eq(strspn(more, " "), strspn(label, " "));
}
END_TEST

START_TEST(render_says_that_there_is_more_without_a_current_line)
{
    begin(PAGE_OPEN);
    for (int i = 0; i < 60; i++)
        page_line(&pg, LINE_NOTE, "row %d.", i);
    render(0, false);
    ck_assert_int_ge(row_of(out, "row 0.", NULL, 0), 0);
    ck_assert_int_ge(row_of(out, "(more below)", NULL, 0), 0);
    ck_assert_int_eq(row_of(out, "(more above)", NULL, 0), -1);
}
END_TEST

/* Texts that a subject's code, a note or a protocol of a site could hold. */
static const struct {
    const char *text, *utf8, *ascii, *why;
} NASTY[] = {
    {"tab\there", "tab here", "tab here", "a tab is a blank"},
    {"bell\a!", "bell\xef\xbf\xbd!", "bell?!", "a control character is shown, not sent"},
    {"esc\x1b[31m", "esc\xef\xbf\xbd[31m", "esc?[31m", "an escape sequence is no sequence any more"},
    {"csi\xc2\x9b", "csi\xef\xbf\xbd", "csi?", "nor is its one-character form"},
    {"bad\xff.", "bad\xef\xbf\xbd.", "bad?.", "no UTF-8"},
    {"cut\xe5\xbf", "cut\xef\xbf\xbd", "cut?", "half a character"},
    {"turn\xe2\x80\xae.", "turn\xef\xbf\xbd.", "turn?.", "changes the direction of writing"},
    {"\xc5\x81\xc3\xb3\xc5\xba", "\xc5\x81\xc3\xb3\xc5\xba", "Loz", "letters keep their base"},
    {"wide \xe5\xbf\x83\xe8\x87\x93.", "wide \xe5\xbf\x83\xe8\x87\x93.", "wide ????.",
     "as wide as they were"},
    {"e\xcc\x81t", "e\xcc\x81t", "et", "a combining mark stays on its letter"},
    {"\xc2\xb1"
     "5 \xe2\x89\xa5 3 \xc2\xb5",
     "\xc2\xb1"
     "5 \xe2\x89\xa5 3 \xc2\xb5",
     "+-5 >= 3 u", "signs in words of ASCII"},
};

START_TEST(render_makes_any_text_safe)
{
    begin(PAGE_OPEN);
    page_line(&pg, LINE_ROW, "%s", NASTY[_i].text);
    SAY(pg.refusal, NASTY[_i].text);
    render(0, false);
    ck_assert_msg(row_of(out, NASTY[_i].utf8, NULL, 0) >= 0, "%s:\n%s", NASTY[_i].why, out);
    assert_shape(out, 24, 80);
    render(0, true);
    ck_assert_msg(row_of(out, NASTY[_i].ascii, NULL, 0) >= 0, "%s:\n%s", NASTY[_i].why, out);
    for (const char *s = out; *s != '\0'; s++)
        if ((unsigned char)*s >= 0x7F)
            ck_abort_msg("byte %02x in ASCII", (unsigned char)*s);
}
END_TEST

START_TEST(render_breaks_a_word_longer_than_the_screen)
{
    int letters = 0;

    begin(PAGE_STEPS);
    pg.rail_count = 0;
    SAY(pg.left, "");
    SAY(pg.right, "");
    page_line(&pg, LINE_NOTE, "%0230d", 0);
    for (const char *s = render(_i, false); *s != '\0'; s++)
        letters += *s == '0';
    ck_assert_int_eq(letters, 230);
    assert_shape(out, SIZES[_i][0], SIZES[_i][1]);
}
END_TEST

START_TEST(render_breaks_wide_characters_whole)
{
    int found = 0;

    begin(PAGE_STEPS);
    for (int i = 0; i < 70; i++) {
        struct page_line *line = i == 0 ? page_line(&pg, LINE_NOTE, "%s", "") : &pg.lines[0];
        strcat(line->text, "\xe5\xbf\x83");
    }
    for (const char *s = render(_i, false); (s = strstr(s, "\xe5\xbf\x83")) != NULL; s += 3)
        found++;
    ck_assert_int_eq(found, 70);
    assert_shape(out, SIZES[_i][0], SIZES[_i][1]);
}
END_TEST

START_TEST(render_shows_a_long_entry_to_its_end)
{
    struct page_line *line;

    begin(PAGE_STEPS);
    line = page_line(&pg, LINE_FIELD, "a label of some length");
    memset(line->value, 'x', sizeof line->value - 3);
    SAY(line->value + strlen(line->value) - 1, "Z");
    line->is_editing = true;
    ck_assert_int_ge(row_of(render(_i, false), "xZ_", NULL, 0), 0);
    assert_shape(out, SIZES[_i][0], SIZES[_i][1]);
}
END_TEST

START_TEST(render_puts_the_values_of_fields_below_each_other)
{
    char first[2048], second[2048];

    begin(PAGE_STEPS);
    SAY(page_line(&pg, LINE_FIELD, "pumped to")->value, "160");
    SAY(page_line(&pg, LINE_FIELD, "first sound")->value, "124");
    render(_i, false);
    ck_assert_int_ge(row_of(out, "160", first, sizeof first), 0);
    ck_assert_int_ge(row_of(out, "124", second, sizeof second), 0);
    ck_assert_int_eq(strstr(first, "160") - first, strstr(second, "124") - second);
}
END_TEST

START_TEST(render_keeps_states_at_the_right_edge)
{
    char row[2048];

    begin(PAGE_STEPS);
    SAY(page_line(&pg, LINE_ITEM, "Feet flat")->value, "yes");
    ck_assert_int_ge(row_of(render(0, false), "Feet flat", row, sizeof row), 0);
    ck_assert_uint_eq(strlen(row), 79);
    ck_assert_str_eq(row + 76, "yes");
}
END_TEST

static const struct {
    int rows, cols;
} SMALL[] = {{19, 59}, {19, 80}, {24, 59}, {5, 20}, {1, 1}, {0, 0}};

START_TEST(render_says_when_the_window_is_too_small)
{
    char size[40];

    fill_usual();
    terminal_render_text(&pg, SMALL[_i].rows, SMALL[_i].cols, false, out, sizeof out);
    ck_assert(strlen(out) > 0);
    ck_assert_int_eq(row_of(out, "as it should be", NULL, 0), -1);
    if (SMALL[_i].rows < 19)
        return;
    snprintf(size, sizeof size, "%d by %d characters", SMALL[_i].cols, SMALL[_i].rows);
    assert_words(out, size);
    assert_words(out, "needs 60 by 20");
    assert_words(out, "nothing is lost");
}
END_TEST

START_TEST(render_draws_every_figure_in_every_size)
{
    static const char FIGURES[] = "0123456789:/-+.";
    static char drawn[sizeof FIGURES][12000];

    for (int i = 0; FIGURES[i] != '\0'; i++) {
        begin(PAGE_STEPS);
        pg.big[0] = FIGURES[i];
        ck_assert(text_copy(drawn[i], sizeof drawn[i], render(_i, true)));
        ck_assert_ptr_nonnull(strchr(drawn[i], '#'));
        for (int k = 0; k < i; k++)
            ck_assert_msg(strcmp(drawn[i], drawn[k]) != 0, "%c looks like %c", FIGURES[i], FIGURES[k]);
    }
}
END_TEST

START_TEST(render_shows_a_figure_in_large)
{
    int blocks = 0, rows = 0;

    begin(PAGE_STEPS);
    SAY(pg.big, "4:37");
    SAY(pg.big_note, "left of 5:00");
    for (const char *s = render(_i, true); *s != '\0'; s++)
        blocks += *s == '#';
    for (const char *s = out; (s = strchr(s, '#')) != NULL && (s = strchr(s, '\n')) != NULL;)
        rows++;
    ck_assert_int_eq(rows, SIZES[_i][0] >= 40 ? 10 : 5);
    ck_assert_int_gt(blocks, 40);
    assert_words(out, "left of 5:00");
}
END_TEST

START_TEST(render_gives_up_a_large_figure_before_a_word)
{
    begin(PAGE_STEPS);
    SAY(pg.big, "126/78-5/4");
    page_line(&pg, LINE_CAUTION, "Words.");
    assert_words(render(1, true), "Words.");
    assert_shape(out, 20, 60);
    ck_assert(strchr(out, '#') != NULL || strstr(out, "126/78-5/4") != NULL);
}
END_TEST

START_TEST(render_moves_the_pace_by_one_tick_a_step)
{
    char ticks[2048], next[2048];
    int moved = 0;

    begin(PAGE_BARE);
    SAY(pg.title, "listening");
    for (int i = 0; i < 50; i++) {
        long at, then;
        pg.pace = i;
        ck_assert_int_ge(row_of(render(0, true), "| |", ticks, sizeof ticks), 0);
        pg.pace = i + 1;
        row_of(render(0, true), "| |", next, sizeof next);
        at = strchr(ticks, '#') - ticks;
        then = strchr(next, '#') - next;
        ck_assert(then == at - 2 || then > at);
        moved += then == at - 2;
        ck_assert_ptr_null(strpbrk(ticks, "0123456789"));
    }
    ck_assert_int_ge(moved, 46);
}
END_TEST

START_TEST(render_centres_a_bare_page)
{
    char row[2048];
    int at;

    begin(PAGE_BARE);
    page_line(&pg, LINE_INSTRUCTION, "air all out?   space");
    at = row_of(render(0, false), "air all out?   space", row, sizeof row);
    ck_assert_int_ge(at, 8);
    ck_assert_int_le(at, 14);
    ck_assert_int_eq(strstr(row, "air") - row, 30);
}
END_TEST

START_TEST(render_shows_the_banner_on_every_form)
{
    for (int form = PAGE_STEPS; form <= PAGE_BARE; form++) {
        begin((enum page_form)form);
        SAY(pg.banner, "demo: invented data, the clock runs 60 times as fast");
        assert_words(render(_i, false), pg.banner);
    }
    terminal_render_text(&pg, 10, 40, false, out, sizeof out);
    assert_words(out, pg.banner);
}
END_TEST

START_TEST(render_shows_both_ends_of_a_crowded_top_line)
{
    begin(PAGE_STEPS);
    SAY(pg.left, "S-014-with-a-code-of-32-letters   left arm   reading 2   pair with ben-the-2nd");
    SAY(pg.right, "a-measurer-of-32-letters-in-full   booth at the market, second floor   14:16");
    render(_i, false);
    assert_words(out, pg.left);
    assert_words(out, pg.right);
    assert_shape(out, SIZES[_i][0], SIZES[_i][1]);
}
END_TEST

START_TEST(render_cuts_its_text_on_a_whole_character)
{
    char small[30];
    uint32_t c;
    size_t n = 0, used = 1;

    begin(PAGE_OPEN);
    SAY(pg.left, "\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9"
                 "\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9");
    terminal_render_text(&pg, 24, 80, false, small, sizeof small);
    while (small[n] != '\0' && used > 0) {
        used = utf8_decode(small + n, strlen(small + n), &c);
        n += used;
    }
    ck_assert_uint_gt(used, 0);
    ck_assert_uint_lt(strlen(small), sizeof small);
}
END_TEST

START_TEST(page_line_drops_what_is_beyond_its_end)
{
    page_init(&pg, PAGE_OPEN, "full");
    for (int i = 0; i < PAGE_LINES_MAX + 5; i++)
        SAY(page_line(&pg, LINE_ROW, "row %d", i)->value, "v");
    ck_assert_int_lt(pg.line_count, PAGE_LINES_MAX);
    ck_assert_str_eq(pg.lines[0].text, "row 0");
    ck_assert_str_eq(pg.lines[pg.line_count - 1].text, "row 62");
}
END_TEST

START_TEST(page_line_cuts_on_a_whole_character)
{
    char text[400];
    struct page_line *line;

    page_init(&pg, PAGE_OPEN, "cut");
    for (size_t i = 0; i < sizeof text - 1; i += 3)
        memcpy(text + i, "\xe5\xbf\x83", 3);
    text[sizeof text - 1] = '\0';
    line = page_line(&pg, LINE_ROW, "%*s%s", _i, "", text);
    ck_assert_int_gt(utf8_length(line->text), 70);
}
END_TEST

START_TEST(char_width_agrees_with_the_system)
{
    int differences = 0;

    if (setlocale(LC_CTYPE, "C.UTF-8") == NULL)
        return;
    for (uint32_t c = 0x20; c < 0x3400; c++) {
        int system = wcwidth((wchar_t)c);
        differences += system >= 0 && system != char_width(c);
    }
    /* Scripts whose marks the table leaves out; the screen never trusts the table alone. */
    ck_assert_int_lt(differences, 800);
    ck_assert_int_eq(char_width(0x5FC3), wcwidth(0x5FC3));
    ck_assert_int_eq(char_width(0x301), wcwidth(0x301));
    ck_assert_int_eq(char_width(0x2588), wcwidth(0x2588));
}
END_TEST

int main(void)
{
    Suite *s = suite_create("render");
    TCase *t = tcase_create("render");
    SRunner *r = srunner_create(s);
    int failed, sizes = (int)ARRAY_LEN(SIZES);

    tcase_set_timeout(t, 120);
    tcase_add_loop_test(t, render_shows_all_of_a_usual_page_at_every_size, 0, sizes);
    tcase_add_loop_test(t, render_marks_what_is_current_in_text, 0, sizes);
    tcase_add_loop_test(t, render_keeps_pinned_lines_in_view, 0, sizes);
    tcase_add_test(t, render_begins_with_pinned_lines_that_fill_the_screen);
    tcase_add_test(t, render_ends_no_line_at_a_no_break_blank);
    tcase_add_loop_test(t, render_moves_nothing_when_a_refusal_comes, 0, sizes * (int)ARRAY_LEN(REFUSALS));
    tcase_add_loop_test(t, render_shows_all_of_the_longest_refusal, 0, sizes);
    tcase_add_loop_test(t, render_lets_a_long_refusal_cover_only_blank_rows, 0, sizes);
    tcase_add_test(t, render_sets_kinds_of_lines_apart);
    tcase_add_loop_test(t, render_never_cuts_a_key, 0, sizes);
    tcase_add_loop_test(t, render_scrolls_to_the_current_line, 0, sizes);
    tcase_add_test(t, render_hangs_a_row_under_what_its_label_says);
    tcase_add_test(t, render_says_that_there_is_more_without_a_current_line);
    tcase_add_loop_test(t, render_makes_any_text_safe, 0, (int)ARRAY_LEN(NASTY));
    tcase_add_loop_test(t, render_breaks_a_word_longer_than_the_screen, 0, sizes);
    tcase_add_loop_test(t, render_breaks_wide_characters_whole, 0, sizes);
    tcase_add_loop_test(t, render_shows_a_long_entry_to_its_end, 0, sizes);
    tcase_add_loop_test(t, render_puts_the_values_of_fields_below_each_other, 0, sizes);
    tcase_add_test(t, render_keeps_states_at_the_right_edge);
    tcase_add_loop_test(t, render_says_when_the_window_is_too_small, 0, (int)ARRAY_LEN(SMALL));
    tcase_add_loop_test(t, render_draws_every_figure_in_every_size, 0, sizes);
    tcase_add_loop_test(t, render_shows_a_figure_in_large, 0, sizes);
    tcase_add_test(t, render_gives_up_a_large_figure_before_a_word);
    tcase_add_test(t, render_moves_the_pace_by_one_tick_a_step);
    tcase_add_test(t, render_centres_a_bare_page);
    tcase_add_loop_test(t, render_shows_the_banner_on_every_form, 0, sizes);
    tcase_add_loop_test(t, render_shows_both_ends_of_a_crowded_top_line, 0, sizes);
    tcase_add_test(t, render_cuts_its_text_on_a_whole_character);
    tcase_add_test(t, page_line_drops_what_is_beyond_its_end);
    tcase_add_loop_test(t, page_line_cuts_on_a_whole_character, 0, 3);
    tcase_add_test(t, char_width_agrees_with_the_system);
    suite_add_tcase(s, t);
    srunner_run_all(r, CK_NORMAL);
    failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
