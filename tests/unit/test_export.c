/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_export.c  A sitting that left its store: proved by keys alone, and not with a byte of it changed; and the keys. */
#include "command/export_form.h"
#include "fault/store_hand.h"
#include "unit/proof_hand.h"

static struct desk desk;
static char *text, *keys;
static size_t text_len, keys_len;

static void setup(void)
{
    hand_setup();
    desk_open(&desk, hand_path);
    desk_week(&desk);
    NEED(export_keys(desk.st, &keys, &keys_len, &hand_err));
}

static void take(int64_t id)
{
    free(text);
    text = NULL;
    NEED(export_sitting(desk.st, id, &text, &text_len, &hand_err));
}

static void teardown(void)
{
    free(text);
    free(keys);
    text = keys = NULL;
    desk_close(&desk);
    hand_teardown();
}

static struct err why;
static struct proof proof;

/* Right, or what is wrong in proof.first or why.text. */
static bool is_proved(const char *t, size_t len, const char *k, size_t k_len)
{
    why.text[0] = '\0';
    return proof_export(t, len, k, k_len, NULL, &proof, &why) == ST_OK && proof.wrong == 0;
}

/* The last line fitted to what stands before it, as somebody would who knows how the file is made. */
static void fit_end(char *t, size_t len)
{
    unsigned char hash[TRUST_HASH_BYTES];
    char hex[HASH_HEX_CAP];
    const size_t last = sizeof "end " - 1 + sizeof hex - 1 + 1;
    trust_hash(t, len - last, hash);
    trust_hex(hash, sizeof hash, hex);
    memcpy(t + len - last + 4, hex, sizeof hex - 1);
}

START_TEST(every_sitting_is_proved_by_the_keys_alone)
{
    for (int64_t id = 1; id <= 4; id++) {
        take(id);
        ck_assert_msg(is_proved(text, text_len, keys, keys_len), "S-%03d: %s%s", (int)id, why.text, proof.first);
        ck_assert_int_eq(proof.signed_sittings, 1);
        ck_assert_int_eq(proof.sittings, 1);
    }
}
END_TEST

START_TEST(it_says_the_same_against_its_own_store)
{
    take(1);
    NEED(proof_export_here(desk.st, text, text_len, NULL, &proof, &hand_err));
    ck_assert_msg(proof.wrong == 0, "%s", proof.first);
    hand_act(&desk, INA, (struct act){.kind = SAYS_COMMENT, .sitting = 1, .said = "Later.", .event = 2});
    NEED(proof_export_here(desk.st, text, text_len, NULL, &proof, &hand_err));
    ck_assert_msg(proof.wrong == 0, "what was signed since is no fault: %s", proof.first);
}
END_TEST

START_TEST(a_store_that_lost_what_was_exported_is_told)
{
    take(4);
    hand_spoil("DELETE FROM statements WHERE sitting = 4; DELETE FROM events WHERE sitting = 4; DELETE FROM readings WHERE"
               " sitting = 4; DELETE FROM attempts WHERE sitting = 4; DELETE FROM sittings WHERE id = 4");
    NEED(proof_export_here(desk.st, text, text_len, NULL, &proof, &hand_err));
    ck_assert_int_gt(proof.wrong, 0);
    ck_assert_msg(strstr(proof.first, "S-004: it is not in this store any more"), "%s", proof.first);
}
END_TEST

START_TEST(a_store_that_lost_its_newest_signature_is_told)
{
    take(4);
    hand_spoil("DELETE FROM statements WHERE number = (SELECT max(number) FROM statements);"
               "UPDATE sittings SET review = 'waiting', last_statement = last_statement - 1 WHERE id = 4");
    struct proof alone;
    NEED(proof_store(desk.st, NULL, &alone, &hand_err));
    NEED(proof_export_here(desk.st, text, text_len, NULL, &proof, &hand_err));
    ck_assert_msg(strstr(proof.first, "is not in this store any more"), "%s", proof.first);
}
END_TEST

/* Each byte in turn; where fits, the last line is made to fit it. @return how many were not found */
static long change_each(bool fits, int flip)
{
    long missed = 0;
    char *changed = malloc(text_len);
    ck_assert_ptr_nonnull(changed);
    for (size_t i = 0; i < text_len; i++) {
        memcpy(changed, text, text_len);
        changed[i] = (char)(changed[i] ^ (1 << ((i + (size_t)flip) % 8)));
        if (fits && i < text_len - 70)
            fit_end(changed, text_len);
        if (is_proved(changed, text_len, keys, keys_len)) {
            fprintf(stderr, "missed: byte %zu of %zu\n", i, text_len);
            missed++;
        }
    }
    free(changed);
    return missed;
}

START_TEST(a_single_byte_changed_is_found)
{
    take(2);
    long missed = change_each(_i == 1, _i == 1 ? 3 : 0);
    printf("exported sitting, %s: tried %zu, found %ld, missed %ld\n", _i ? "each byte and the end made to fit" : "each byte", text_len,
           (long)text_len - missed, missed);
    ck_assert_int_eq(missed, 0);
}
END_TEST

START_TEST(a_file_cut_anywhere_is_found)
{
    take(4);
    for (size_t n = 0; n < text_len; n++)
        ck_assert_msg(!is_proved(text, n, keys, keys_len), "cut to %zu", n);
    char *longer = malloc(text_len + 1);
    ck_assert_ptr_nonnull(longer);
    memcpy(longer, text, text_len);
    longer[text_len] = '\n';
    ck_assert(!is_proved(longer, text_len + 1, keys, keys_len));
    free(longer);
}
END_TEST

START_TEST(a_file_of_keys_cut_anywhere_or_changed_is_refused)
{
    take(4);
    for (size_t n = 0; n < keys_len; n++)
        ck_assert_msg(!is_proved(text, text_len, keys, n), "cut to %zu", n);
    char *changed = malloc(keys_len);
    ck_assert_ptr_nonnull(changed);
    for (size_t i = 0; i < keys_len; i++) {
        memcpy(changed, keys, keys_len);
        changed[i] = (char)(changed[i] ^ (1 << (i % 8)));
        ck_assert_msg(!is_proved(text, text_len, changed, keys_len), "byte %zu", i);
    }
    free(changed);
}
END_TEST

START_TEST(the_keys_of_another_store_say_so)
{
    static struct desk other;
    char path[400], *others = NULL;
    size_t len = 0;
    snprintf(path, sizeof path, "%s/other.db", hand_folder);
    desk_open(&other, path);
    NEED(export_keys(other.st, &others, &len, &hand_err));
    take(1);
    ck_assert(!is_proved(text, text_len, others, len));
    ck_assert_msg(strstr(why.text, "another store"), "%s", why.text);
    ck_assert_int_eq(proof_export_here(other.st, text, text_len, NULL, &proof, &why), ST_CONFLICT);
    free(others);
    desk_close(&other);
}
END_TEST

/* The statement that begins a key, taken out of the file of keys; the count and the end fitted. */
static char *keys_without(const char *person, size_t *len)
{
    char what[64], *out = malloc(keys_len + 1), *end;
    ck_assert_ptr_nonnull(out);
    snprintf(what, sizeof what, "\nperson %s\n", person);
    memcpy(out, keys, keys_len);
    out[keys_len] = '\0';
    *len = keys_len;
    for (char *at; (at = strstr(out, what));) {
        char *begin = at;
        while (strncmp(begin, "stillarm statement", 18) != 0)
            begin--;
        for (begin--; begin[-1] != '\n';) /* the line with its length and signature */
            begin--;
        size_t bytes = (size_t)strtol(begin, &end, 10);
        char *after = strchr(begin, '\n') + 1 + bytes;
        memmove(begin, after, strlen(after) + 1);
        *len -= (size_t)(after - begin);
        char *count = strstr(out, "\nstatements ") + 12;
        ck_assert(count[1] == '\n');
        count[0]--;
    }
    fit_end(out, *len);
    return out;
}

START_TEST(keys_that_lack_the_signers_say_so)
{
    size_t len = 0;
    take(4);
    char *fewer = keys_without("ina", &len);
    ck_assert(!is_proved(text, text_len, fewer, len));
    ck_assert_int_gt(proof.wrong, 0);
    free(fewer);
    take(1); /* by ana and eva */
    fewer = keys_without("ben", &len);
    ck_assert_msg(is_proved(text, text_len, fewer, len), "another's key is not needed: %s%s", why.text, proof.first);
    free(fewer);
}
END_TEST

START_TEST(newer_forms_and_other_files_are_told_apart)
{
    char *newer;
    take(1);
    newer = malloc(text_len);
    ck_assert_ptr_nonnull(newer);
    memcpy(newer, text, text_len);
    newer[sizeof "stillarm sitting " - 1] = '2';
    ck_assert_int_eq(proof_export(newer, text_len, keys, keys_len, NULL, &proof, &why), ST_NEWER);
    free(newer);
    newer = malloc(keys_len);
    ck_assert_ptr_nonnull(newer);
    memcpy(newer, keys, keys_len);
    newer[sizeof "stillarm keys " - 1] = '9';
    ck_assert_int_eq(proof_export(text, text_len, newer, keys_len, NULL, &proof, &why), ST_NEWER);
    free(newer);
    ck_assert_int_eq(proof_export(keys, keys_len, keys, keys_len, NULL, &proof, &why), ST_NOT_A_STORE);
    ck_assert_int_eq(proof_export(text, text_len, text, text_len, NULL, &proof, &why), ST_NOT_A_STORE);
    ck_assert_int_eq(proof_export("", 0, keys, keys_len, NULL, &proof, &why), ST_NOT_A_STORE);
}
END_TEST

START_TEST(a_fault_is_said_with_its_line)
{
    take(1);
    char *event = strstr(text, " protocol us-adult\n");
    ck_assert_ptr_nonnull(event);
    event[1] = 'q';
    ck_assert(!is_proved(text, text_len, keys, keys_len));
    ck_assert_msg(strstr(proof.first, "line "), "%s", proof.first);
}
END_TEST

START_TEST(open_and_held_ones_stay_here)
{
    static struct play open;
    char *out = NULL;
    size_t len = 0;
    int64_t held = play_witnessed(&desk);
    ck_assert_int_eq(export_sitting(desk.st, held, &out, &len, &why), ST_PERMISSION);
    ck_assert_msg(strstr(why.text, "held by eva"), "%s", why.text);
    play_begin(&open, &desk, BEN, "eva"); /* her signature is owed: it is hers to show all the same */
    play_prepare(&open);
    play_rest(&open, 90000);
    play_reading(&open, 132, 84);
    play_seal(&open, NULL);
    ck_assert_int_eq(export_sitting(desk.st, open.id, &out, &len, &why), ST_PERMISSION);
    play_begin(&open, &desk, ANA, NULL);
    ck_assert_int_eq(export_sitting(desk.st, open.id, &out, &len, &why), ST_CONFLICT);
    ck_assert_int_eq(export_sitting(desk.st, 99, &out, &len, &why), ST_NOT_FOUND);
    ck_assert_ptr_null(out);
}
END_TEST

/* Whoever looks on where nothing is assessed holds nothing: the measurer signs, and no result is ever given. */
START_TEST(one_with_a_witness_that_is_no_assessment_leaves)
{
    static struct play g;
    play_begin_for(&g, &desk, BEN, "eva", "practice");
    acts_signed(&g, 5000, "stop \"called away\"", desk.by[BEN]);
    take(g.id);
    ck_assert_msg(is_proved(text, text_len, keys, keys_len), "%s%s", why.text, proof.first);
}
END_TEST

/* A file that nobody signed can say anything: only the store it came from can tell. */
START_TEST(one_whose_signature_is_owed_is_proved_by_its_store_alone)
{
    int64_t id = play_whole(&desk, ANA, NULL, 130);
    take(id);
    ck_assert(!is_proved(text, text_len, keys, keys_len));
    ck_assert_msg(strstr(proof.first, "nobody's signature"), "%s%s", why.text, proof.first);
    ck_assert_int_eq(proof.unsigned_sittings, 1);
    NEED(proof_export_here(desk.st, text, text_len, NULL, &proof, &hand_err));
    ck_assert_msg(proof.wrong == 0, "%s", proof.first);
    ck_assert_int_eq(proof.signed_sittings, 0);
    ck_assert_int_eq(proof.unsigned_sittings, 1);
}
END_TEST

START_TEST(signatures_taken_out_of_a_file_are_missed)
{
    static const char END[] = "statements 0\nend 0000000000000000000000000000000000000000000000000000000000000000\n";
    take(1);
    char *from = NULL;
    for (size_t i = 0; i + 12 < text_len && !from; i++)
        if (memcmp(text + i, "\nstatements ", 12) == 0)
            from = text + i + 1;
    ck_assert_ptr_nonnull(from);
    memcpy(from, END, sizeof END - 1);
    const size_t len = (size_t)(from - text) + sizeof END - 1;
    fit_end(text, len);
    ck_assert(!is_proved(text, len, keys, keys_len));
    ck_assert_msg(strstr(proof.first, "nobody's signature"), "%s%s", why.text, proof.first);
}
END_TEST

/* Its statements apart from what stands before them, to be put together otherwise. */
#define PARTS_MAX 8
static struct kept_statement parts[PARTS_MAX];
static struct statement said[PARTS_MAX];
static int part_count;
static size_t before_parts;

static void take_apart(int64_t id)
{
    struct export_parts p;
    take(id);
    NEED(export_parse_sitting(text, text_len, &p, &hand_err));
    ck_assert_int_le(p.statements, PARTS_MAX);
    part_count = (int)p.statements;
    for (int i = 0; i < part_count; i++) {
        NEED(export_next_statement(&p.statements_at, &parts[i], &hand_err));
        NEED(statement_parse(parts[i].text, parts[i].len, &said[i], &hand_err));
    }
    before_parts = p.attempts_end;
}

/* With these of them alone, one bit for each. Is it proved? */
static bool is_proved_with(unsigned which)
{
    char hex[SIGNATURE_HEX_CAP], *file = malloc(before_parts + (size_t)(part_count + 1) * (STATEMENT_CAP + 200));
    ck_assert_ptr_nonnull(file);
    memcpy(file, text, before_parts);
    int count = 0;
    for (int i = 0; i < part_count; i++)
        count += (which >> i & 1) != 0;
    size_t len = before_parts + (size_t)sprintf(file + before_parts, "statements %d\n", count);
    for (int i = 0; i < part_count; i++) {
        if (!(which & (1u << i)))
            continue;
        trust_hex(parts[i].signature, sizeof parts[i].signature, hex);
        len += (size_t)sprintf(file + len, "%zu %s\n%s", parts[i].len, hex, parts[i].text);
    }
    len += (size_t)sprintf(file + len, "end %064d\n", 0);
    fit_end(file, len);
    const bool is_right = is_proved(file, len, keys, keys_len);
    free(file);
    return is_right;
}

/* A stop, a return, an amendment, a comment and a countersignature: what is cut is found by what stands behind it. */
START_TEST(statements_cut_out_of_a_file_are_missed_by_those_behind_them)
{
    hand_act(&desk, EVA, (struct act){.kind = SAYS_COUNTERSIGN, .sitting = 2, .word = "reviewed", .open_ms = 7000});
    take_apart(2);
    ck_assert_int_eq(part_count, 5);
    for (unsigned which = 1; which < 1u << 5; which++) {
        const bool is_only_the_last = (which & (which + 1)) == 0;
        ck_assert_msg(is_proved_with(which) == is_only_the_last, "with %x: %s%s", which, why.text, proof.first);
    }
    ck_assert(!is_proved_with(0x19)); /* the return and its amendment */
    char gone[80];
    snprintf(gone, sizeof gone, "(comment by ina) follows on statement %lld about this sitting, which is not here",
             (long long)said[2].number);
    ck_assert_msg(strstr(proof.first, gone), "%s is not in %s", gone, proof.first);
}
END_TEST

/* Who signs it herself can name another as the one before hers, but not where that one is there. */
START_TEST(one_that_passes_over_another_is_named)
{
    static const char *const SAYS[] = {"is signed as the first about this sitting, and statement ", ", and not on "};
    take_apart(2);
    struct kept_statement *last = &parts[part_count - 1];
    struct statement s = said[part_count - 1];
    s.earlier = _i ? said[0].number : 0;
    last->len = statement_print(&s, last->text);
    ck_assert_uint_gt(last->len, 0);
    trust_sign(desk.by[INA], last->text, last->len, last->signature);
    ck_assert(!is_proved_with(0xF));
    ck_assert_msg(strstr(proof.first, SAYS[_i]), "%s", proof.first);
}
END_TEST

START_TEST(a_result_released_for_a_witness_who_left_is_proved)
{
    const int64_t id = play_witnessed(&desk);
    hand_act(&desk, INA, (struct act){.kind = SAYS_RETIRE, .of = "eva", .word = "person"});
    hand_act(&desk, INA, (struct act){.kind = SAYS_RELEASE, .sitting = id, .open_ms = 100});
    free(keys);
    NEED(export_keys(desk.st, &keys, &keys_len, &hand_err));
    take(id);
    ck_assert_msg(is_proved(text, text_len, keys, keys_len), "%s%s", why.text, proof.first);
    ck_assert_msg(desk_wrong(desk.st, &proof) == 0, "%s", proof.first);
}
END_TEST

START_TEST(no_subjects_code_leaves_the_store)
{
    take(1);
    char *copy = malloc(text_len + 1);
    ck_assert_ptr_nonnull(copy);
    memcpy(copy, text, text_len);
    copy[text_len] = '\0';
    ck_assert_ptr_null(strstr(copy, "k-001"));
    free(copy);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("export");
    TCase *t = tcase_create("export");
    tcase_set_timeout(t, 300);
    tcase_add_checked_fixture(t, setup, teardown);
    tcase_add_test(t, every_sitting_is_proved_by_the_keys_alone);
    tcase_add_test(t, it_says_the_same_against_its_own_store);
    tcase_add_test(t, a_store_that_lost_what_was_exported_is_told);
    tcase_add_test(t, a_store_that_lost_its_newest_signature_is_told);
    tcase_add_loop_test(t, a_single_byte_changed_is_found, 0, 2);
    tcase_add_test(t, a_file_cut_anywhere_is_found);
    tcase_add_test(t, a_file_of_keys_cut_anywhere_or_changed_is_refused);
    tcase_add_test(t, the_keys_of_another_store_say_so);
    tcase_add_test(t, keys_that_lack_the_signers_say_so);
    tcase_add_test(t, newer_forms_and_other_files_are_told_apart);
    tcase_add_test(t, a_fault_is_said_with_its_line);
    tcase_add_test(t, open_and_held_ones_stay_here);
    tcase_add_test(t, one_with_a_witness_that_is_no_assessment_leaves);
    tcase_add_test(t, one_whose_signature_is_owed_is_proved_by_its_store_alone);
    tcase_add_test(t, signatures_taken_out_of_a_file_are_missed);
    tcase_add_test(t, statements_cut_out_of_a_file_are_missed_by_those_behind_them);
    tcase_add_loop_test(t, one_that_passes_over_another_is_named, 0, 2);
    tcase_add_test(t, a_result_released_for_a_witness_who_left_is_proved);
    tcase_add_test(t, no_subjects_code_leaves_the_store);
    suite_add_tcase(s, t);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
