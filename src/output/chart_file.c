/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file chart_file.c  A sheet as PDF, PNG or SVG: drawn into memory, the same bytes for the same data, then written whole. */
#include "output/chart_file.h"

#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "output/chart_draw.h"
#include "output/new_file.h"
#include "output/svg_words.h"
#include "stillarm/text.h"

#define A4_WIDE (297 / 25.4 * 72)
#define A4_HIGH (210 / 25.4 * 72)
#define PNG_WIDE 1920
#define PNG_HIGH 1080
#define PNG_SCALE 2.2 /* pixels to a point: letters are as large on a slide as it can bear */

static const char *const ENDS[FORM_COUNT] = {[FORM_PDF] = ".pdf", [FORM_PNG] = ".png", [FORM_SVG] = ".svg"};

enum status chart_form_of(const char *path, enum chart_form *out, struct err *e)
{
    size_t len = strlen(path);

    for (enum chart_form f = FORM_PDF; f < FORM_COUNT; f++) {
        size_t end = strlen(ENDS[f]);
        if (len > end && strcasecmp(path + len - end, ENDS[f]) == 0) {
            *out = f;
            return ST_OK;
        }
    }
    return err_set(e, ST_USAGE, "%.200s does not say what it is to be: a graph's name ends in .pdf, .png or .svg.", path);
}

/* ---- into memory ---- */

static cairo_status_t take(void *closure, const unsigned char *data, unsigned int len)
{
    return bytes_add(closure, data, len) ? CAIRO_STATUS_SUCCESS : CAIRO_STATUS_NO_MEMORY;
}

/* Midnight of the day on the sheet; without one, of a day that says nothing. Never now: same data, same bytes. */
static void set_facts(cairo_surface_t *pdf, const struct chart_sheet *s)
{
    char heading[sizeof s->heading], created[40] = "1970-01-01T00:00:00Z";
    int32_t date;

    text_copy(heading, sizeof heading, s->heading);
    text_defuse(heading);
    if (parse_date(s->date, &date, NULL) == ST_OK)
        (void)snprintf(created, sizeof created, "%04d-%02d-%02dT00:00:00Z", (int)(date / 10000), (int)(date / 100 % 100),
                       (int)(date % 100));
    cairo_pdf_surface_set_metadata(pdf, CAIRO_PDF_METADATA_TITLE, heading);
    cairo_pdf_surface_set_metadata(pdf, CAIRO_PDF_METADATA_SUBJECT, CHART_CAUTION);
    cairo_pdf_surface_set_metadata(pdf, CAIRO_PDF_METADATA_CREATOR, "stillarm");
    cairo_pdf_surface_set_metadata(pdf, CAIRO_PDF_METADATA_CREATE_DATE, created);
    cairo_pdf_surface_set_metadata(pdf, CAIRO_PDF_METADATA_MOD_DATE, created);
}

static cairo_surface_t *begin(const struct chart_sheet *s, enum chart_form form, struct bytes *to)
{
    cairo_surface_t *surface;

    switch (form) {
    case FORM_PDF:
        surface = cairo_pdf_surface_create_for_stream(take, to, A4_WIDE, A4_HIGH);
        set_facts(surface, s);
        return surface;
    case FORM_SVG:
        surface = cairo_svg_surface_create_for_stream(take, to, A4_WIDE, A4_HIGH);
        cairo_svg_surface_set_document_unit(surface, CAIRO_SVG_UNIT_PT);
        return surface;
    case FORM_PNG:
    case FORM_COUNT:
        break;
    }
    return cairo_image_surface_create(CAIRO_FORMAT_RGB24, PNG_WIDE, PNG_HIGH);
}

/* Without a font nothing of a graph can be read; cairo has no word for that, so one is lent that it cannot mean here. */
static cairo_status_t draw(const struct chart_sheet *s, enum chart_form form, struct bytes *to)
{
    cairo_surface_t *surface = begin(s, form, to);
    cairo_t *cr = cairo_create(surface);

    if (form == FORM_PNG)
        cairo_scale(cr, PNG_SCALE, PNG_SCALE);
    bool has_letters = form == FORM_PNG ? chart_draw(cr, s, PNG_WIDE / PNG_SCALE, PNG_HIGH / PNG_SCALE)
                                        : chart_draw(cr, s, A4_WIDE, A4_HIGH);
    cairo_show_page(cr);
    cairo_status_t status = cairo_status(cr);
    if (status == CAIRO_STATUS_SUCCESS && !has_letters)
        status = CAIRO_STATUS_FONT_TYPE_MISMATCH;
    if (status == CAIRO_STATUS_SUCCESS && form == FORM_PNG)
        status = cairo_surface_write_to_png_stream(surface, take, to);
    cairo_destroy(cr);
    cairo_surface_finish(surface); /* PDF and SVG come out here */
    if (status == CAIRO_STATUS_SUCCESS)
        status = cairo_surface_status(surface);
    cairo_surface_destroy(surface);
    return status;
}

enum status chart_write(const struct chart_sheet *s, enum chart_form form, const char *path, struct err *e)
{
    struct bytes drawn = {0};
    enum status status = ST_OK;
    cairo_status_t failed = draw(s, form, &drawn);

    if (failed == CAIRO_STATUS_SUCCESS && form == FORM_SVG && !svg_add_words(&drawn, s))
        failed = CAIRO_STATUS_NO_MEMORY;
    if (failed == CAIRO_STATUS_NO_MEMORY)
        status = err_set(e, ST_NO_MEMORY, "There is not enough memory to draw %.200s. Close other programs and try again.", path);
    else if (failed == CAIRO_STATUS_FONT_TYPE_MISMATCH)
        status = err_set(e, ST_NOT_FOUND, "%.200s was not written: this system has no letters to write a graph with. Install a font "
                         "such as DejaVu Sans (fonts-dejavu-core) and try again.", path);
    else if (failed != CAIRO_STATUS_SUCCESS)
        status = err_set(e, ST_IO, "%.200s could not be drawn: %s. Nothing was written.", path, cairo_status_to_string(failed));
    else
        status = new_file_write(path, drawn.data, drawn.len, 0666, e);
    free(drawn.data);
    return status;
}
