/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A sitting judged by another text than the one here is told from one that was not, whatever its name. */
#include <check.h>
#include <string.h>

#include "command/review_protocol.h"
#include "stillarm/text.h"

static struct protocols here;
static struct kept_sitting kept;
static char note[PROTOCOL_NOTE_CAP];

static void setup(void)
{
    struct err e = {.text = ""};
    unsigned char hash[TRUST_HASH_BYTES];
    ck_assert_msg(protocols_load(TEST_SOURCE_DIR "/assets/protocols", &here, &e) == ST_OK, "%s", e.text);
    ck_assert_int_eq(trust_init(&e), ST_OK);
    memset(&kept, 0, sizeof kept);
    text_copy(kept.head.protocol, sizeof kept.head.protocol, here.list[0]->id);
    trust_hash(here.text[0], strlen(here.text[0]), hash);
    trust_hex(hash, sizeof hash, kept.protocol_text_hash);
}

static void teardown(void)
{
    protocols_free(&here);
}

START_TEST(the_text_that_is_here_needs_no_word)
{
    protocol_note(&here, &kept, note);
    ck_assert_str_eq(note, "");
    kept.protocol_text_hash[0] ^= 1;
    protocol_note(NULL, &kept, note); /* nothing to compare with */
    ck_assert_str_eq(note, "");
}
END_TEST

START_TEST(another_text_under_the_same_name_is_said)
{
    char short_form[12];
    here.text[0][strlen(here.text[0]) - 1] ^= 1; /* as in a folder of somebody's own */
    protocol_note(&here, &kept, note);
    trust_short(kept.protocol_text_hash, short_form);
    ck_assert_msg(strstr(note, "another text of") && strstr(note, here.list[0]->id) && strstr(note, short_form), "%s", note);
}
END_TEST

START_TEST(a_protocol_that_is_not_here_is_said)
{
    text_copy(kept.head.protocol, sizeof kept.head.protocol, "lax");
    protocol_note(&here, &kept, note);
    ck_assert_msg(strstr(note, "lax") && strstr(note, "not among the protocols here"), "%s", note);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("review protocol");
    TCase *t = tcase_create("note");
    tcase_add_checked_fixture(t, setup, teardown);
    tcase_add_test(t, the_text_that_is_here_needs_no_word);
    tcase_add_test(t, another_text_under_the_same_name_is_said);
    tcase_add_test(t, a_protocol_that_is_not_here_is_said);
    suite_add_tcase(s, t);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed != 0;
}
