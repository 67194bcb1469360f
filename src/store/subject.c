/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file subject.c  Subjects are codes, and a code can be forgotten: events hold only its salted hash. */
#include <sodium.h>
#include <stdio.h>
#include <string.h>

#include "store/internal.h"
#include "stillarm/text.h"

_Static_assert(SALT_BYTES >= crypto_generichash_KEYBYTES_MIN, "the salt is the key of the hash");
_Static_assert(2 * crypto_generichash_BYTES_MIN + 1 == SUBJECT_HASH_CAP, "the hash is a whole item");

static enum status need_sodium(struct err *e)
{
    if (sodium_init() < 0)
        return err_set(e, ST_IO, "The system gives no random numbers, which the codes of subjects need. Start again.");
    return ST_OK;
}

enum status store_hash_subject(const unsigned char salt[SALT_BYTES], const char *code, char out[SUBJECT_HASH_CAP],
                               struct err *e)
{
    unsigned char hash[crypto_generichash_BYTES_MIN];
    enum status status = need_sodium(e);
    if (status != ST_OK)
        return status;
    crypto_generichash(hash, sizeof hash, (const unsigned char *)code, strlen(code), salt, SALT_BYTES);
    sodium_bin2hex(out, SUBJECT_HASH_CAP, hash, sizeof hash);
    return ST_OK;
}

enum status store_new_salt(unsigned char out[SALT_BYTES], struct err *e)
{
    enum status status = need_sodium(e);
    if (status == ST_OK)
        randombytes_buf(out, SALT_BYTES);
    return status;
}

enum status store_hash_text(const char *text, char out[65], struct err *e)
{
    enum status status = need_sodium(e);
    if (status == ST_OK)
        trust_hash_hex(text, strlen(text), out);
    return status;
}

static const char NEW_CODE[] = "A new code";

static enum status print_code(struct store *st, int64_t n, char out[ITEM_CAP], bool *is_used, struct err *e)
{
    snprintf(out, ITEM_CAP, "s-%03lld", (long long)n);
    sqlite3_stmt *s = store_query(st, Q_CODE_USED, ARGS(TEXT(out)));
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    *is_used = rc == SQLITE_ROW;
    return store_end(st, s, rc, NEW_CODE, e);
}

/** The next number whose code no sitting has; a code typed by hand may have got ahead of the counter. */
static enum status find_free_code(struct store *st, char out[ITEM_CAP], int64_t *number, struct err *e)
{
    sqlite3_stmt *s = store_query(st, Q_CODE_NEXT, NO_ARGS);
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    *number = rc == SQLITE_ROW ? sqlite3_column_int64(s, 0) : 1;
    enum status status = store_end(st, s, rc, NEW_CODE, e);
    bool is_used = true;
    for (; status == ST_OK && is_used; *number += is_used)
        status = print_code(st, *number, out, &is_used, e);
    return status == ST_OK ? store_run(st, Q_CODE_SET, ARGS(INT(*number)), NEW_CODE, e) : status;
}

enum status store_next_code(struct store *st, char out[ITEM_CAP], struct err *e)
{
    bool is_used = true;
    int64_t number = 0;
    enum status status = ST_OK;
    /* One that was offered here and not taken is ours still: pages that only show it must not use numbers up. */
    if (st->offered)
        status = print_code(st, st->offered, out, &is_used, e);
    if (status != ST_OK || !is_used)
        return status;
    status = store_begin(st, NEW_CODE, e);
    if (status != ST_OK)
        return status;
    status = store_finish(st, find_free_code(st, out, &number, e), NEW_CODE, e);
    st->offered = status == ST_OK ? number : 0;
    return status;
}

void store_code_taken(struct store *st, const char *code)
{
    char offered[ITEM_CAP];
    snprintf(offered, sizeof offered, "s-%03lld", (long long)st->offered);
    if (strcmp(code, offered) == 0)
        st->offered = 0;
}

void store_return_code(struct store *st)
{
    struct err e;
    char code[ITEM_CAP];
    bool is_used = true;
    sqlite3_busy_timeout(st->db, 0); /* a gap in the numbers is not worth a wait */
    if (store_begin(st, NEW_CODE, &e) != ST_OK)
        return;
    enum status status = print_code(st, st->offered, code, &is_used, &e);
    if (status == ST_OK && !is_used)
        status = store_run(st, Q_CODE_RETURN, ARGS(INT(st->offered)), NEW_CODE, &e);
    status = store_finish(st, status, NEW_CODE, &e);
    (void)status;
}

/** The arm to use again: the one whose first counted reading was higher, else the only one, else neither. */
static const char *arm_to_use(sqlite3_stmt *s, int *rc)
{
    int first[ARM_COUNT] = {0};
    bool has[ARM_COUNT] = {false};
    for (*rc = sqlite3_step(s); *rc == SQLITE_ROW; *rc = sqlite3_step(s)) {
        char word[8];
        store_column(s, 0, word, sizeof word);
        enum arm arm = strcmp(word, "left") == 0 ? ARM_LEFT : ARM_RIGHT;
        if (!has[arm])
            first[arm] = sqlite3_column_int(s, 1);
        has[arm] = true;
    }
    if (has[ARM_LEFT] && has[ARM_RIGHT] && first[ARM_LEFT] == first[ARM_RIGHT])
        return "";
    if (has[ARM_LEFT] && (!has[ARM_RIGHT] || first[ARM_LEFT] > first[ARM_RIGHT]))
        return "left";
    return has[ARM_RIGHT] ? "right" : "";
}

enum status store_subject_seen(struct store *st, const char *code, bool *seen, char *arm_word, size_t cap,
                               struct err *e)
{
    static const char WHAT[] = "Looking up the subject";
    *seen = false;
    text_copy(arm_word, cap, "");
    sqlite3_stmt *s = store_query(st, Q_SUBJECT_LAST, ARGS(TEXT(code)));
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    int64_t id = rc == SQLITE_ROW ? sqlite3_column_int64(s, 0) : 0;
    enum status status = store_end(st, s, rc, WHAT, e);
    if (status != ST_OK || id == 0)
        return status;
    s = store_query(st, Q_SUBJECT_ARMS, ARGS(INT(id)));
    rc = SQLITE_ERROR;
    const char *arm = s ? arm_to_use(s, &rc) : "";
    status = store_end(st, s, rc, WHAT, e);
    if (status != ST_OK)
        return status;
    *seen = true;
    text_copy(arm_word, cap, arm);
    return ST_OK;
}

enum status store_subject_erase(struct store *st, const char *code, int *sittings, struct err *e)
{
    static const char WHAT[] = "Forgetting the code";
    *sittings = 0;
    enum status status = store_begin(st, WHAT, e);
    if (status != ST_OK)
        return status;
    status = store_run(st, Q_SUBJECT_ERASE, ARGS(TEXT(code)), WHAT, e);
    int n = sqlite3_changes(st->db);
    status = store_finish(st, status, WHAT, e);
    if (status != ST_OK)
        return status;
    *sittings = n;
    store_merge_log(st); /* old pages with the code lie in it */
    return ST_OK;
}
