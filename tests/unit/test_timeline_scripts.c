/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every script of the engine, told as a timeline: nothing is lost, nothing overflows, every accepted act is there. */
#include <dirent.h>

#include "terminal/layout.h"
#include "timeline_hand.h"

#define SCRIPTS_MAX 500

static char paths[SCRIPTS_MAX][700];
static int path_count;

static int by_name(const void *a, const void *b)
{
    return strcmp(a, b);
}

static void find_scripts(void)
{
    const char folder[] = TEST_SOURCE_DIR "/tests/engine/scripts";
    DIR *d = opendir(folder);

    for (struct dirent *e = d == NULL ? NULL : readdir(d); e != NULL; e = readdir(d)) {
        size_t len = strlen(e->d_name);

        if (len > 7 && strcmp(e->d_name + len - 7, ".script") == 0 && path_count < SCRIPTS_MAX)
            (void)snprintf(paths[path_count++], sizeof paths[0], "%s/%.300s", folder, e->d_name);
    }
    if (d != NULL)
        (void)closedir(d);
    qsort(paths, (size_t)path_count, sizeof paths[0], by_name);
}

static void tell(int script)
{
    fed_begin(NO_CLOCK);
    fed_script(paths[script], 0);
    if (fed.is_begun)
        timeline_end(&fed.t);
}

/* The act that tells an event: from the last row at which the cursor stops, no later than the event, to the next. */
static const char *act_text(int32_t seq)
{
    int from = -1, to;

    for (int i = 0; i < fed.t.told.event_rows; i++)
        if (fed.t.rows[i].is_stop && fed.t.rows[i].seq > 0 && fed.t.rows[i].seq <= seq)
            from = i;
    if (from < 0)
        return "";
    for (to = from + 1; to < fed.t.told.event_rows && !fed.t.rows[to].is_stop;)
        to++;
    return fed_text(from, to);
}

/* What must stand in the act that tells this event. */
static void expected(const struct event *ev, bool is_paired, char *out, size_t cap)
{
    char name[ITEM_CAP];
    const char *text = ev->text;

    if (ev->kind == EV_CONFIRM)
        (void)snprintf(out, cap, "%s", say_item(ev->item, name));
    else if (ev->kind == EV_CHECK)
        (void)snprintf(out, cap, "%s %d", ev->item, (int)ev->value);
    else if (ev->kind == EV_WRAP)
        (void)snprintf(out, cap, "cuff %s", ev->item);
    else if (ev->kind == EV_INFLATE)
        (void)snprintf(out, cap, "squeeze");
    else if (ev->kind == EV_DONE)
        (void)snprintf(out, cap, "reading");
    else if (ev->kind == EV_VOID)
        (void)snprintf(out, cap, "given up");
    else if (ev->kind == EV_RESUME)
        (void)snprintf(out, cap, "the program was");
    else if (ev->kind == EV_DATE)
        (void)snprintf(out, cap, "on ");
    else if ((ev->kind == EV_VALUE || ev->kind == EV_PAIR) && is_paired)
        (void)snprintf(out, cap, "unseen");
    else if (text[0] != '\0')
        (void)snprintf(out, cap, "%.*s", (int)(strcspn(text, " ") > 40 ? 40 : strcspn(text, " ")), text);
    else
        say_act(ev, out, cap);
}

/* A row may break where a blank is: a text is compared word by word. */
static bool says(const char *told, const char *words)
{
    char word[SAY_CAP];

    while (*words != '\0') {
        size_t n = strcspn(words, " ");

        (void)snprintf(word, sizeof word, "%.*s", (int)n, words);
        if (strstr(told, word) == NULL)
            return false;
        words += n + strspn(words + n, " ");
    }
    return true;
}

static void acts_are_told(int script)
{
    bool is_paired = false;
    char words[SAY_CAP];

    tell(script);
    ck_assert(sitting_equal(&fed.s, &fed.t.sitting) || !fed.is_begun);
    for (int n = 1; n <= fed.count && !fed.t.is_cut; n++) {
        const struct event *ev = &fed.log[n];

        is_paired = ev->kind == EV_LISTENER || (is_paired && ev->kind != EV_DONE && ev->kind != EV_INFLATE);
        expected(ev, is_paired, words, sizeof words);
        ck_assert_msg(says(act_text(n), words), "%s: event %d, `%s` is not in: %s", strrchr(paths[script], '/') + 1, n, words, act_text(n));
    }
}

static bool is_whole_utf8(const char *s)
{
    return s[0] == '\0' || utf8_length(s) >= 0;
}

static void rows_are_whole(int script)
{
    int32_t seq = 0;

    tell(script);
    ck_assert_int_lt(fed.t.row_count, TIMELINE_ROWS_MAX);
    ck_assert(!fed.is_begun || fed.t.row_count > 0);
    for (int i = 0; i < fed.t.row_count; i++) {
        const struct timeline_row *row = &fed.t.rows[i];

        ck_assert_msg(memchr(row->text, '\0', sizeof row->text) != NULL && memchr(row->value, '\0', sizeof row->value) != NULL, "row %d", i);
        ck_assert_msg(is_whole_utf8(row->text) && is_whole_utf8(row->value), "row %d: %s", i, row->text);
        ck_assert_msg(strpbrk(row->text, "%$") == NULL && strpbrk(row->value, "%$") == NULL, "row %d: %s | %s", i, row->text, row->value);
        ck_assert_msg(strstr(row->text, "(null)") == NULL, "row %d: %s", i, row->text);
        ck_assert_msg(row->text[0] != '\0' && row->text[strspn(row->text, " ")] != '\0', "%s: row %d says nothing", strrchr(paths[script], '/') + 1, i);
        if (i < fed.t.told.event_rows) {
            ck_assert_int_ge(row->seq, seq);
            seq = row->seq;
        }
    }
    if (fed.t.row_count > 0)
        ck_assert(fed.t.rows[0].is_stop);
}

/* A row of a drawing, as it must come out on any screen. */
static bool is_drawn(const char *text)
{
    return strncmp(text, "  |", 3) == 0;
}

static void check_drawn(const struct page *pg, bool ascii, int rows, int cols)
{
    static struct grid g;
    static char text[GRID_ROWS_MAX * (GRID_COLS_MAX + 1)];

    layout_page(pg, rows, cols, ascii, NULL, &g);
    layout_text(&g, text, sizeof text);
    for (char *line = strtok(text, "\n"); line != NULL; line = strtok(NULL, "\n")) {
        bool found = false;

        if (strncmp(line, "      |", 7) != 0 && strncmp(line, "  >   |", 7) != 0)
            continue;
        for (int i = 0; i < pg->line_count; i++) {
            char wanted[TIMELINE_ROW_CAP];

            (void)snprintf(wanted, sizeof wanted, "%.150s", pg->lines[i].text);
            for (size_t len = strlen(wanted); len > 0 && wanted[len - 1] == ' ';)
                wanted[--len] = '\0';
            found = found || strcmp(line + 4, wanted) == 0;
        }
        ck_assert_msg(found, "%dx%d breaks a drawing: %s", cols, rows, line);
    }
}

static void pages_hold(int script)
{
    struct timeline_view v = { .left = "S-014 by ana", .right = "waiting", .can_sign = true, .has_next = true };
    const struct key down = { .code = KEY_CHARACTER, .character = 'j' };
    static struct page pg;
    int stops = 0, steps = 0;

    tell(script);
    for (int i = 0; i < fed.t.row_count; i++)
        stops += fed.t.rows[i].is_stop && timeline_is_shown(&fed.t, i, 0);
    for (int before = -1; v.at != before; steps++) {
        bool has_current = false, has_drawing = false;

        timeline_page(&fed.t, &v, &pg);
        ck_assert_int_lt(pg.line_count, PAGE_LINES_MAX);
        for (int i = 0; i < pg.line_count; i++) {
            has_current = has_current || (pg.lines[i].is_current && strcmp(pg.lines[i].text, fed.t.rows[v.at].text) == 0);
            has_drawing = has_drawing || is_drawn(pg.lines[i].text);
        }
        ck_assert(has_current || fed.t.row_count == 0);
        if (has_drawing) {
            check_drawn(&pg, false, 24, 80);
            check_drawn(&pg, true, 20, 60);
        }
        before = v.at;
        ck_assert(timeline_key(&fed.t, &v, &down));
    }
    ck_assert_int_eq(steps, stops > 0 ? stops : 1);
}

/* Every second script or so has refused attempts: all are counted, and told below the act before them. */
static void attempts_are_told(int script)
{
    int told = 0;

    tell(script);
    for (int i = 0; i < fed.t.told.event_rows; i++)
        told += strncmp(fed.t.rows[i].text, "          tried ", 16) == 0;
    ck_assert_int_eq(fed.t.told.skips + fed.t.told.slips, told);
    ck_assert_int_le(told, fed.refused);
}

START_TEST(every_accepted_act_is_told_where_it_belongs)
{
    for (int i = 0; i < path_count; i++)
        acts_are_told(i);
}
END_TEST

START_TEST(rows_are_whole_rise_and_hold_no_placeholder)
{
    for (int i = 0; i < path_count; i++)
        rows_are_whole(i);
}
END_TEST

START_TEST(every_page_holds_the_cursor_and_keeps_drawings_whole)
{
    for (int i = 0; i < path_count; i++)
        pages_hold(i);
}
END_TEST

START_TEST(every_refused_attempt_is_told)
{
    for (int i = 0; i < path_count; i++)
        attempts_are_told(i);
}
END_TEST

int main(void)
{
    find_scripts();
    if (fed_protocol("us-adult") == NULL)
        return EXIT_FAILURE;
    Suite *suite = suite_create("timeline of scripts");
    TCase *scripts = tcase_create("scripts");
    tcase_set_timeout(scripts, 300);
    tcase_add_test(scripts, every_accepted_act_is_told_where_it_belongs);
    tcase_add_test(scripts, rows_are_whole_rise_and_hold_no_placeholder);
    tcase_add_test(scripts, every_page_holds_the_cursor_and_keeps_drawings_whole);
    tcase_add_test(scripts, every_refused_attempt_is_told);
    suite_add_tcase(suite, scripts);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 && path_count > 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
