/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "sitting_tour.h"

#include <check.h>
#include <string.h>

#include "stillarm/err.h"
#include "store/store.h"
#include "tour_parts.h"

const struct tour_move TOUR_FIRST_VISIT[] = {
    {0, "Who is here?", "\r"},
    {0, "Enter opens the sitting", "\r"},
    READY,
    ONE_ARM("Which arm?", "l", "31"),
    POSTURE_AND_REST,
    PALPATION("130"),
    READING(30000, "164", "126", "78"),
    ONE_ARM("Now the other arm", "\r", "31.5"),
    PALPATION("130"),
    READING(30000, "164", "130", "80"),
    READING(60000, "162", "128", "78"),
    CLOSING,
};
const size_t TOUR_FIRST_VISIT_COUNT = ARRAY_LEN(TOUR_FIRST_VISIT);

const struct tour_move TOUR_RETURN_VISIT[] = {
    {0, "Who is here?", "s-001\r"},
    {0, "Enter opens the sitting", "\r"},
    READY,
    ONE_ARM("Which arm?", "\r", "31"),
    POSTURE_AND_REST,
    PALPATION("130"),
    READING(30000, "164", "126", "78"),
    READING(60000, "164", "124", "76"),
    CLOSING,
};
const size_t TOUR_RETURN_VISIT_COUNT = ARRAY_LEN(TOUR_RETURN_VISIT);

static void must(enum status status, const struct err *e)
{
    ck_assert_msg(status == ST_OK, "%s", e->text);
}

void tour_furnish(const char *path)
{
    tour_furnish_with(path, "us-adult");
}

void tour_furnish_with(const char *path, const char *protocol)
{
    struct store *st = NULL;
    struct err e = {0};
    const struct person ana = {.id = "ana", .name = "Ana Vey", .role = ROLE_TECHNICIAN};
    const struct gauge dial = {.id = "g1", .name = "wall dial", .top_mmhg = 300, .due = 20311231};
    const struct stored_cuff cuffs[] = {
        {.id = "adult", .name = "adult", .low_mm = 254, .high_mm = 406},
        {.id = "small", .name = "small adult", .low_mm = 200, .high_mm = 260},
    };
    must(store_open(path, STORE_WRITE, &st, &e), &e);
    must(store_person_add(st, &ana, &e), &e);
    must(store_gauge_add(st, &dial, &e), &e);
    for (size_t i = 0; i < ARRAY_LEN(cuffs); i++)
        must(store_cuff_add(st, &cuffs[i], &e), &e);
    must(store_setting_set(st, "measurer", "ana", &e), &e);
    must(store_setting_set(st, "place", "booth 2", &e), &e);
    must(store_setting_set(st, "protocol", protocol, &e), &e);
    must(store_setting_set(st, "gauge", "g1", &e), &e);
    store_close(st);
}

static void see(struct kit *k, const struct tour_move *moves, size_t i)
{
    if (moves[i].wait_ms > 0) {
        clock_advance(moves[i].wait_ms);
        kit_sync(k);
    }
    /* After a sync the screen is the present one: waiting is only for a program that has just started. */
    ck_assert_msg(kit_has(k, moves[i].see) || kit_wait(k, moves[i].see, KIT_WAIT_MS),
                  "move %zu: '%s' did not come:\n%s", i, moves[i].see, kit_screen(k));
}

void tour_drive(struct kit *k, const struct tour_move *moves, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        see(k, moves, i);
        if (strcmp(moves[i].keys, TOUR_DOWN) == 0)
            kit_press(k, KIT_DOWN);
        else
            kit_type(k, moves[i].keys);
        kit_sync(k);
    }
}

int tour_sign(struct kit *k)
{
    const int keys = k->keystrokes;
    ck_assert_msg(kit_wait(k, "PIN: ", KIT_WAIT_MS) || kit_has(k, "Choose a PIN"), "no PIN is asked for:\n%s", kit_screen(k));
    for (int i = 0; i < 2 && (kit_has(k, "Choose a PIN") || kit_has(k, "The same PIN")); i++) {
        kit_type(k, TOUR_PIN "\r");
        kit_sync(k);
    }
    if (kit_has(k, "Type your PIN")) { /* also where another window was quicker to choose it */
        kit_type(k, TOUR_PIN "\r");
        kit_sync(k);
    }
    return keys;
}

void tour_drive_lines(struct kit *k, const struct tour_move *moves, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        const char *keys = strcmp(moves[i].keys, TOUR_DOWN) == 0 ? "down" : moves[i].keys;
        see(k, moves, i);
        kit_type(k, keys);
        if (strchr(keys, '\r') == NULL)
            kit_type(k, "\r");
        kit_sync(k);
    }
}
