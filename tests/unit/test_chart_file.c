/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Graphs as files, opened again: what is printed on them can be read, found and seen, and a file is whole or not there. */
#include <cairo.h>
#include <dirent.h>
#include <fcntl.h>
#include <glib.h>
#include <math.h>
#include <signal.h>
#include <stdio.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include "chart_hand.h"
#include "output/chart_draw.h"
#include "output/chart_file.h"
#include "stillarm/text.h"

static struct chart_sheet sheet;
static struct hand h;
static struct learning_path path;
static char folder[64];
static const char *const ENDS[FORM_COUNT] = {"pdf", "png", "svg"};

static void make_folder(void)
{
    strcpy(folder, "/tmp/stillarm-chart-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(folder));
    memset(&sheet, 0, sizeof sheet);
    strcpy(sheet.heading, "ana, pairs with preceptors");
    strcpy(sheet.date, "2026-11-25");
    sheet.panel_count = 1;
}

static int files_in_folder(bool is_removing)
{
    int n = 0;
    DIR *d = opendir(folder);
    ck_assert_ptr_nonnull(d);
    for (struct dirent *e = readdir(d); e != NULL; e = readdir(d)) {
        char name[400];
        if (strcmp(e->d_name, ".") == 0 || strcmp(e->d_name, "..") == 0)
            continue;
        snprintf(name, sizeof name, "%s/%s", folder, e->d_name);
        n++;
        if (is_removing)
            (void)unlink(name);
    }
    (void)closedir(d);
    return n;
}

static void drop_folder(void)
{
    (void)chmod(folder, 0700);
    (void)files_in_folder(true);
    (void)rmdir(folder);
}

static const char *in_folder(const char *name)
{
    static char full[2][200];
    static int turn;
    turn = !turn;
    snprintf(full[turn], sizeof full[turn], "%s/%s", folder, name);
    return full[turn];
}

static void fill(enum chart_kind kind)
{
    static const struct release_point AT[] = {{20260903, 25, true}, {20260910, 18, false}, {20261001, 31, true}, {20261124, 24, true}};
    struct digit_tally d = {.even = {60, 25, 30, 28, 25}, .odd = 2};
    struct learning_state s;

    hand_pairs_48(&h);
    hand_difference(&h, &sheet.panel[0]);
    if (kind == CHART_DIGITS)
        chart_digits(&sheet.panel[0], &FRAME, SIDE_SYSTOLIC, &d);
    if (kind == CHART_RELEASE)
        chart_release(&sheet.panel[0], &FRAME, AT, 4, 20, 30);
    if (kind == CHART_LEARNING) {
        hand_course(&path, &s, 70, 1000, 40, 46);
        chart_learning(&sheet.panel[0], &FRAME, &PLAN, &path, &s);
    }
}

static const char *must_write(enum chart_form form)
{
    struct err e = {0};
    char name[40];
    snprintf(name, sizeof name, "graph.%s", ENDS[form]);
    const char *full = in_folder(name);
    (void)files_in_folder(true);
    ck_assert_msg(chart_write(&sheet, form, full, &e) == ST_OK, "%s", e.text);
    ck_assert_int_eq(files_in_folder(false), 1);
    return full;
}

static char *read_stream(FILE *f)
{
    static char text[4 << 20];
    size_t n = fread(text, 1, sizeof text - 1, f);
    text[n] = '\0';
    return text;
}

static char *text_of_pdf(const char *pdf)
{
    char line[300];
    snprintf(line, sizeof line, "pdftotext -layout %s -", pdf);
    FILE *f = popen(line, "r");
    ck_assert_ptr_nonnull(f);
    char *text = read_stream(f);
    ck_assert_int_eq(pclose(f), 0);
    return text;
}

static char *text_of_file(const char *name)
{
    FILE *f = fopen(name, "r");
    ck_assert_ptr_nonnull(f);
    char *text = read_stream(f);
    (void)fclose(f);
    return text;
}

#define HAS(text, part) ck_assert_msg(strstr(text, part) != NULL, "\"%s\" is not in:\n%s", part, text)

/* ---- PNG ---- */

struct picture { cairo_surface_t *surface; int w, h, stride; const unsigned char *data; };

static struct picture open_png(const char *name)
{
    struct picture p = {.surface = cairo_image_surface_create_from_png(name)};
    ck_assert_int_eq(cairo_surface_status(p.surface), CAIRO_STATUS_SUCCESS);
    p.w = cairo_image_surface_get_width(p.surface);
    p.h = cairo_image_surface_get_height(p.surface);
    p.stride = cairo_image_surface_get_stride(p.surface);
    p.data = cairo_image_surface_get_data(p.surface);
    return p;
}

static bool is_ink(const struct picture *p, int x, int y, enum chart_ink ink)
{
    uint32_t v;
    memcpy(&v, p->data + y * p->stride + x * 4, 4);
    return abs((int)(v >> 16 & 255) - INKS[ink].red) < 12 && abs((int)(v >> 8 & 255) - INKS[ink].green) < 12 &&
           abs((int)(v & 255) - INKS[ink].blue) < 12;
}

static int ink_in_row(const struct picture *p, int y, enum chart_ink ink)
{
    int n = 0;
    for (int x = 0; x < p->w; x++)
        n += is_ink(p, x, y, ink);
    return n;
}

/* Middles of stretches of rows that hold at least `least` dots of the ink, from the top. */
static int find_lines(const struct picture *p, enum chart_ink ink, int least, double *at, int most)
{
    int n = 0;
    for (int y = 0; y < p->h; y++) {
        int from = y;
        while (y < p->h && ink_in_row(p, y, ink) >= least)
            y++;
        if (y > from && n < most)
            at[n++] = (from + y - 1) / 2.0;
    }
    return n;
}

START_TEST(levels_lie_where_their_figures_say)
{
    double limit[4], dark[9], bias = -1;
    fill(CHART_DIFFERENCE);
    struct picture p = open_png(must_write(FORM_PNG));
    ck_assert_int_eq(p.w, 1920);
    ck_assert_int_eq(p.h, 1080);
    ck_assert_int_eq(find_lines(&p, INK_LIMIT, 500, limit, 4), 2);
    int n = find_lines(&p, INK_TEXT, 800, dark, 9);
    for (int i = 0; i < n; i++)
        if (dark[i] > limit[0] && dark[i] < limit[1])
            bias = dark[i];
    const struct figure *f = h.agreement.side[SIDE_SYSTOLIC].figure;
    double want = (f[FIGURE_UPPER].value - f[FIGURE_BIAS].value) / (f[FIGURE_UPPER].value - f[FIGURE_LOWER].value);
    ck_assert_double_eq_tol((bias - limit[0]) / (limit[1] - limit[0]), want, 3.0 / (limit[1] - limit[0]));
    /* And on the axis: from the bottom line to the upper limit as on paper. */
    const struct chart_axis *y = &sheet.panel[0].y;
    double scale = (limit[1] - limit[0]) / (f[FIGURE_UPPER].value - f[FIGURE_LOWER].value);
    ck_assert_double_eq_tol(dark[n - 1], limit[1] + scale * (f[FIGURE_LOWER].value - y->low), 3.0);
    cairo_surface_destroy(p.surface);
}
END_TEST

static int ink_of(const struct picture *p, enum chart_ink ink)
{
    int n = 0;
    for (int y = 0; y < p->h; y++)
        n += ink_in_row(p, y, ink);
    return n;
}

START_TEST(a_picture_of_each_kind_shows_its_marks)
{
    fill((enum chart_kind)_i);
    struct picture p = open_png(must_write(FORM_PNG));
    ck_assert_int_gt(ink_of(&p, INK_DATA), 200);
    ck_assert_int_gt(ink_of(&p, INK_LIMIT), 50);
    ck_assert_int_gt(ink_of(&p, INK_TEXT), 2000);
    ck_assert_int_gt(ink_of(&p, INK_PAPER), p.w * p.h / 2);
    for (int y = 0; y < p.h; y++) /* nothing at the very edge, where a printer or a beamer cuts */
        for (int x = 0; x < p.w; x += y < 40 || y >= p.h - 40 ? 1 : p.w - 1)
            ck_assert_msg(is_ink(&p, x, y, INK_PAPER), "%s: ink at %d, %d", CHART_WORDS[_i], x, y);
    cairo_surface_destroy(p.surface);
}
END_TEST

/* ---- PDF ---- */

START_TEST(a_pdf_of_each_kind_can_be_searched)
{
    static const char *const MORE[CHART_KIND_COUNT][6] = {
        [CHART_DIFFERENCE] = {"48 pairs", "mean of both, mmHg", "difference, mmHg", "bias +", "limit \xe2\x88\x92", "one pair"},
        [CHART_DIGITS] = {"168 even values", "share of the even values, %", "last digit", "odd", "expected, 20 %", "beyond chance"},
        [CHART_RELEASE] = {"4 releases", "release rate, mmHg/s", "at least 2.0", "at most 3.0", "void", "as the protocol asks"},
        [CHART_LEARNING] = {"70 pairs", "height of the curve", "reached at 2.5", "reached, pair", "lost, pair", "wrong"},
    };
    fill((enum chart_kind)_i);
    char *text = text_of_pdf(must_write(FORM_PDF));
    HAS(text, "ana, pairs with preceptors");
    HAS(text, "2026-11-25");
    HAS(text, "3 Sep to 24 Nov 2026");
    HAS(text, sheet.panel[0].title);
    HAS(text, "It certifies nobody");
    for (int i = 0; i < 6; i++)
        HAS(text, MORE[_i][i]);
}
END_TEST

START_TEST(a_pdf_is_one_sheet_of_a4)
{
    char line[300];
    fill(CHART_DIFFERENCE);
    snprintf(line, sizeof line, "pdfinfo %s", must_write(FORM_PDF));
    FILE *f = popen(line, "r");
    ck_assert_ptr_nonnull(f);
    char *text = read_stream(f);
    ck_assert_int_eq(pclose(f), 0);
    HAS(text, "(A4)");
    HAS(text, "841.89 x 595.2");
    HAS(text, "ana, pairs with preceptors");
    const char *pages = strstr(text, "Pages:");
    ck_assert_ptr_nonnull(pages);
    ck_assert_int_eq(atoi(pages + 6), 1);
}
END_TEST

/* ---- SVG ---- */

static void take_text(GMarkupParseContext *m, const char *text, gsize len, gpointer user, GError **failed)
{
    (void)m, (void)failed;
    g_string_append_len(user, text, (gssize)len);
}

static char *text_of_svg(const char *name)
{
    static const GMarkupParser PARSER = {.text = take_text};
    static char text[8000];
    GString *all = g_string_new(NULL);
    GError *failed = NULL;
    GMarkupParseContext *m = g_markup_parse_context_new(&PARSER, 0, all, NULL);
    const char *svg = text_of_file(name);
    bool is_right = g_markup_parse_context_parse(m, svg, (gssize)strlen(svg), &failed) &&
                    g_markup_parse_context_end_parse(m, &failed);
    ck_assert_msg(is_right, "%s", failed != NULL ? failed->message : "");
    text_copy(text, sizeof text, all->str);
    g_markup_parse_context_free(m);
    g_string_free(all, TRUE);
    return text;
}

START_TEST(an_svg_of_each_kind_is_sound_and_holds_its_words)
{
    fill((enum chart_kind)_i);
    const char *name = must_write(FORM_SVG);
    char *text = text_of_svg(name);
    HAS(text, "ana, pairs with preceptors");
    HAS(text, "2026-11-25");
    HAS(text, sheet.panel[0].title);
    HAS(text, sheet.panel[0].note);
    HAS(text, CHART_CAUTION);
    if (_i != CHART_DIGITS)
        HAS(text, sheet.panel[0].levels[0].label);
    HAS(text_of_file(name), "<path");
}
END_TEST

START_TEST(words_that_look_like_marks_stay_words)
{
    struct chart *c = &sheet.panel[0];
    fill(CHART_DIFFERENCE);
    strcpy(sheet.heading, "<b> & \"a\" > 'b' \xc3\xa9\xce\xa9");
    strcpy(c->title, "a<b & c>d </desc> &amp; \xe2\x82\xac");
    strcpy(c->levels[0].label, "<&>");
    char *text = text_of_svg(must_write(FORM_SVG));
    HAS(text, "<b> & \"a\" > 'b' \xc3\xa9\xce\xa9");
    HAS(text, "a<b & c>d </desc> &amp; \xe2\x82\xac");
    text = text_of_pdf(must_write(FORM_PDF));
    HAS(text, "<b> & \"a\" > 'b' \xc3\xa9\xce\xa9");
    HAS(text, "a<b & c>d </desc> &amp; \xe2\x82\xac");
    HAS(text, "<&>");
}
END_TEST

START_TEST(wide_and_broken_letters_are_drawn_somehow)
{
    struct chart *c = &sheet.panel[0];
    fill(CHART_DIFFERENCE);
    memset(c->title, 'W', sizeof c->title - 1);
    strcpy(sheet.heading, "\xe5\xbf\x83\xe9\x9f\xb3 \xf0\x9f\x90\x88 \xd7\xa9\xd7\x9c\xd7\x95\xd7\x9d");
    strcpy(c->note, "cut \xe5\xbf and \xff\x01\x1b[2J here");
    strcpy(c->levels[0].label, "\xe5\xbf\x83\xe5\xbf\x83\xe5\xbf\x83\xe5\xbf\x83\xe5\xbf\x83");
    for (enum chart_form f = FORM_PDF; f < FORM_COUNT; f++)
        (void)must_write(f);
    HAS(text_of_svg(in_folder("graph.svg")), "and ???[2J here");
}
END_TEST

/* ---- any form ---- */

START_TEST(same_data_same_bytes)
{
    static char first[4 << 20];
    for (enum chart_form f = FORM_PDF; f < FORM_COUNT; f++) {
        struct stat a, b;
        fill((enum chart_kind)_i);
        const char *name = must_write(f);
        (void)stat(name, &a);
        memcpy(first, text_of_file(name), (size_t)a.st_size);
        name = must_write(f);
        (void)stat(name, &b);
        ck_assert_int_eq(a.st_size, b.st_size);
        ck_assert_msg(memcmp(first, text_of_file(name), (size_t)a.st_size) == 0, "%s of %s", ENDS[f], CHART_WORDS[_i]);
    }
}
END_TEST

START_TEST(one_two_and_6000_marks_are_drawn)
{
    static const int COUNTS[] = {1, 2, 6000};
    struct chart *c = &sheet.panel[0];
    for (size_t i = 0; i < ARRAY_LEN(COUNTS); i++) {
        fill(CHART_DIFFERENCE);
        c->point_count = COUNTS[i];
        for (int k = 0; k < COUNTS[i]; k++)
            c->points[k] = (struct chart_point){.x = c->x.low + (c->x.high - c->x.low) * k / 6000.0, .y = k % 9 - 4, .count = 1 + k % 7};
        for (enum chart_form f = FORM_PDF; f < FORM_COUNT; f++) {
            const char *name = must_write(f);
            if (f == FORM_PNG) {
                struct picture p = open_png(name);
                ck_assert_int_gt(ink_of(&p, INK_DATA), COUNTS[i] == 6000 ? 10000 : 10);
                cairo_surface_destroy(p.surface);
            }
        }
    }
}
END_TEST

START_TEST(what_is_lacking_is_written_in_the_middle)
{
    sheet.panel_count = 2;
    hand_begin(&h);
    hand_difference(&h, &sheet.panel[0]);
    sheet.panel[1] = sheet.panel[0];
    HAS(text_of_pdf(must_write(FORM_PDF)), "There is no pair with a second listener yet.");
    HAS(text_of_svg(must_write(FORM_SVG)), "There is no pair with a second listener yet.");
    struct picture p = open_png(must_write(FORM_PNG));
    ck_assert_int_eq(ink_of(&p, INK_LIMIT), 0);
    cairo_surface_destroy(p.surface);
}
END_TEST

START_TEST(graphs_side_by_side_have_one_scale)
{
    static struct hand other;
    double limit[9];
    sheet.panel_count = 2;
    fill(CHART_DIFFERENCE);
    hand_begin(&other);
    for (int i = 0; i < 48; i++)
        hand_pair(&other, 80 + i % 5, 80 + i % 7 * 4 - 10);
    hand_difference(&other, &sheet.panel[1]);
    struct picture p = open_png(must_write(FORM_PNG));
    ck_assert_int_eq(find_lines(&p, INK_LIMIT, 200, limit, 9), 4);
    const struct figure *narrow = h.agreement.side[SIDE_SYSTOLIC].figure, *wide = other.agreement.side[SIDE_SYSTOLIC].figure;
    double small = narrow[FIGURE_UPPER].value - narrow[FIGURE_LOWER].value, large = wide[FIGURE_UPPER].value - wide[FIGURE_LOWER].value;
    ck_assert_double_lt(small, large);
    ck_assert(wide[FIGURE_UPPER].value > narrow[FIGURE_UPPER].value && wide[FIGURE_LOWER].value < narrow[FIGURE_LOWER].value);
    ck_assert_double_eq_tol((limit[2] - limit[1]) / (limit[3] - limit[0]), small / large, 0.02);
    cairo_surface_destroy(p.surface);
}
END_TEST

/* ---- names and places ---- */

struct name_row { const char *name; enum status status; enum chart_form form; };
static const struct name_row NAMES[] = {
    {"a.pdf", ST_OK, FORM_PDF},     {"a.b/c.PNG", ST_OK, FORM_PNG}, {"x.y.svg", ST_OK, FORM_SVG}, {"a.jpg", ST_USAGE, FORM_PDF},
    {"pdf", ST_USAGE, FORM_PDF},    {"", ST_USAGE, FORM_PDF},       {"a.pdf.gz", ST_USAGE, FORM_PDF},
    {".svg", ST_USAGE, FORM_PDF},   {"a.pdf ", ST_USAGE, FORM_PDF},
};

START_TEST(the_end_of_a_name_says_the_form)
{
    enum chart_form form = FORM_COUNT;
    struct err e = {0};
    ck_assert_int_eq(chart_form_of(NAMES[_i].name, &form, &e), NAMES[_i].status);
    if (NAMES[_i].status == ST_OK)
        ck_assert_int_eq(form, NAMES[_i].form);
    else {
        ck_assert_int_eq(form, FORM_COUNT);
        HAS(e.text, ".pdf, .png or .svg");
    }
}
END_TEST

START_TEST(a_file_that_is_there_stays_as_it_is)
{
    struct err e = {0};
    const char *name = in_folder("mine.pdf");
    FILE *f = fopen(name, "w");
    ck_assert_ptr_nonnull(f);
    fputs("mine", f);
    (void)fclose(f);
    fill(CHART_DIFFERENCE);
    ck_assert_int_eq(chart_write(&sheet, FORM_PDF, name, &e), ST_EXISTS);
    HAS(e.text, "is there already");
    ck_assert_str_eq(text_of_file(name), "mine");
    ck_assert_int_eq(files_in_folder(false), 1);
    ck_assert_int_eq(chart_write(&sheet, FORM_PDF, "/dev/full", &e), ST_EXISTS);
    ck_assert_int_eq(symlink("nowhere", in_folder("link.pdf")), 0);
    ck_assert_int_eq(chart_write(&sheet, FORM_PDF, in_folder("link.pdf"), &e), ST_EXISTS);
    ck_assert_int_ne(access(in_folder("nowhere"), F_OK), 0);
}
END_TEST

START_TEST(a_folder_that_cannot_be_written_is_named)
{
    struct err e = {0};
    fill(CHART_DIFFERENCE);
    ck_assert_int_eq(chart_write(&sheet, FORM_SVG, in_folder("none/a.svg"), &e), ST_IO);
    HAS(e.text, "none/a.svg");
    HAS(e.text, "No such file");
    ck_assert_int_eq(chmod(folder, 0555), 0);
    if (geteuid() == 0)
        ck_assert_int_eq(seteuid(65534), 0);
    enum status status = chart_write(&sheet, FORM_SVG, in_folder("a.svg"), &e);
    if (getuid() == 0)
        ck_assert_int_eq(seteuid(0), 0);
    ck_assert_int_eq(status, ST_PERMISSION);
    HAS(e.text, "a folder that you may write to");
    ck_assert_int_eq(files_in_folder(false), 0);
}
END_TEST

START_TEST(a_disk_that_is_full_leaves_nothing)
{
    struct err e = {0};
    struct rlimit little = {.rlim_cur = 3000, .rlim_max = RLIM_INFINITY};
    fill(CHART_DIFFERENCE);
    (void)signal(SIGXFSZ, SIG_IGN);
    ck_assert_int_eq(setrlimit(RLIMIT_FSIZE, &little), 0);
    for (enum chart_form f = FORM_PDF; f < FORM_COUNT; f++) {
        ck_assert_int_eq(chart_write(&sheet, f, in_folder("a.pdf"), &e), ST_FULL);
        HAS(e.text, "Nothing was left there");
        ck_assert_int_eq(files_in_folder(false), 0);
    }
}
END_TEST

START_TEST(a_system_without_letters_is_told_so)
{
    struct err e = {0};
    FILE *f = fopen(in_folder("fonts.conf"), "w");
    ck_assert_ptr_nonnull(f);
    fprintf(f, "<?xml version='1.0'?><fontconfig><dir>%s</dir><cachedir>%s</cachedir></fontconfig>", folder, folder);
    (void)fclose(f);
    ck_assert_int_eq(setenv("FONTCONFIG_FILE", in_folder("fonts.conf"), 1), 0);
    fill(CHART_DIFFERENCE);
    for (enum chart_form form = FORM_PDF; form < FORM_COUNT; form++)
        ck_assert_int_eq(chart_write(&sheet, form, in_folder("a.pdf"), &e), ST_NOT_FOUND);
    HAS(e.text, "Install a font");
    ck_assert_int_ne(access(in_folder("a.pdf"), F_OK), 0);
}
END_TEST

/* ---- colours ---- */

/* Machado, Oliveira and Fernandes 2009, whole loss of one kind of cone, on linear light. */
static const double SEES[4][3][3] = {
    {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
    {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}},
    {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}},
    {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}},
};
static const char *const EYES[] = {"all cones", "no long ones", "no middle ones", "no short ones"};

static double linear(unsigned char v)
{
    double s = v / 255.0;
    return s <= 0.04045 ? s / 12.92 : pow((s + 0.055) / 1.055, 2.4);
}

static void light_of(enum chart_ink ink, int eye, double out[3])
{
    double in[3] = {linear(INKS[ink].red), linear(INKS[ink].green), linear(INKS[ink].blue)};
    for (int i = 0; i < 3; i++) {
        double v = SEES[eye][i][0] * in[0] + SEES[eye][i][1] * in[1] + SEES[eye][i][2] * in[2];
        out[i] = fmin(fmax(v, 0), 1);
    }
}

static double luminance(const double rgb[3])
{
    return 0.2126 * rgb[0] + 0.7152 * rgb[1] + 0.0722 * rgb[2];
}

static double bend(double t)
{
    return t > 216.0 / 24389 ? cbrt(t) : (24389.0 / 27 * t + 16) / 116;
}

/* CIE 1976, under D65. */
static void lab_of(const double rgb[3], double lab[3])
{
    double x = bend((0.4124 * rgb[0] + 0.3576 * rgb[1] + 0.1805 * rgb[2]) / 0.95047), y = bend(luminance(rgb));
    double z = bend((0.0193 * rgb[0] + 0.1192 * rgb[1] + 0.9505 * rgb[2]) / 1.08883);
    lab[0] = 116 * y - 16;
    lab[1] = 500 * (x - y);
    lab[2] = 200 * (y - z);
}

START_TEST(inks_keep_apart_for_eyes_that_lack_a_kind_of_cone)
{
    static const enum chart_ink APART[][2] = {{INK_DATA, INK_LIMIT}, {INK_DATA, INK_TEXT}, {INK_LIMIT, INK_TEXT},
                                              {INK_DATA, INK_SOFT},  {INK_LIMIT, INK_SOFT}, {INK_LIMIT, INK_PALE},
                                              {INK_PALE, INK_PAPER}, {INK_PALE, INK_TEXT}};
    for (size_t i = 0; i < ARRAY_LEN(APART); i++) {
        double a[3], b[3], la[3], lb[3];
        light_of(APART[i][0], _i, a);
        light_of(APART[i][1], _i, b);
        lab_of(a, la);
        lab_of(b, lb);
        double apart = sqrt(pow(la[0] - lb[0], 2) + pow(la[1] - lb[1], 2) + pow(la[2] - lb[2], 2));
        ck_assert_msg(apart >= 20, "%s: inks %d and %d are %.1f apart", EYES[_i], APART[i][0], APART[i][1], apart);
    }
}
END_TEST

START_TEST(inks_stand_out_of_the_paper)
{
    static const double LEAST[INK_COUNT] = {[INK_TEXT] = 12, [INK_SOFT] = 4.5, [INK_DATA] = 3, [INK_LIMIT] = 3};
    for (int eye = 0; eye < 4; eye++)
        for (enum chart_ink i = INK_TEXT; i < INK_COUNT; i++) {
            double rgb[3];
            light_of(i, eye, rgb);
            double contrast = 1.05 / (luminance(rgb) + 0.05); /* against white as WCAG 2 has it: 4.5 for words, 3 for lines and marks */
            ck_assert_msg(contrast >= LEAST[i], "%s: ink %d: %.2f", EYES[eye], (int)i, contrast);
        }
}
END_TEST

int main(void)
{
    Suite *s = suite_create("chart_file");
    TCase *t = tcase_create("chart_file");
    suite_add_tcase(s, t);
    tcase_set_timeout(t, 120);
    tcase_add_checked_fixture(t, make_folder, drop_folder);
    tcase_add_test(t, levels_lie_where_their_figures_say);
    tcase_add_loop_test(t, a_picture_of_each_kind_shows_its_marks, 0, CHART_KIND_COUNT);
    tcase_add_loop_test(t, a_pdf_of_each_kind_can_be_searched, 0, CHART_KIND_COUNT);
    tcase_add_test(t, a_pdf_is_one_sheet_of_a4);
    tcase_add_loop_test(t, an_svg_of_each_kind_is_sound_and_holds_its_words, 0, CHART_KIND_COUNT);
    tcase_add_test(t, words_that_look_like_marks_stay_words);
    tcase_add_test(t, wide_and_broken_letters_are_drawn_somehow);
    tcase_add_loop_test(t, same_data_same_bytes, 0, CHART_KIND_COUNT);
    tcase_add_test(t, one_two_and_6000_marks_are_drawn);
    tcase_add_test(t, what_is_lacking_is_written_in_the_middle);
    tcase_add_test(t, graphs_side_by_side_have_one_scale);
    tcase_add_loop_test(t, the_end_of_a_name_says_the_form, 0, (int)ARRAY_LEN(NAMES));
    tcase_add_test(t, a_file_that_is_there_stays_as_it_is);
    tcase_add_test(t, a_folder_that_cannot_be_written_is_named);
    tcase_add_test(t, a_disk_that_is_full_leaves_nothing);
    tcase_add_test(t, a_system_without_letters_is_told_so);
    tcase_add_loop_test(t, inks_keep_apart_for_eyes_that_lack_a_kind_of_cone, 0, 4);
    tcase_add_test(t, inks_stand_out_of_the_paper);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
