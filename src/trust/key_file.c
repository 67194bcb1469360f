/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file key_file.c  The text of a key file, sealed as it is kept; its last line is the hash of all before.
 */
#include <string.h>

#include "stillarm/text.h"
#include "trust/internal.h"

static void add_hex(struct text *t, const char *name, const unsigned char *bytes, size_t n)
{
    char hex[HEX_OF(128)];
    trust_hex(bytes, n, hex);
    text_addf(t, "%s %s\n", name, hex);
}

size_t key_file_print(const struct sealed_key *k, char out[KEY_FILE_CAP])
{
    char end[HASH_HEX_CAP];
    struct text t;
    text_init(&t, out, KEY_FILE_CAP);
    text_addf(&t, "stillarm key 1\nkey %s\n", k->id);
    add_hex(&t, "public", k->public_key, sizeof k->public_key);
    add_hex(&t, "salt", k->salt, sizeof k->salt);
    add_hex(&t, "nonce", k->nonce, sizeof k->nonce);
    text_addf(&t, "ops %lld\nmemory %lld\n", (long long)k->ops, (long long)k->memory_bytes);
    add_hex(&t, "box", k->box, sizeof k->box);
    trust_hash_hex(out, t.len, end);
    text_addf(&t, "end %s\n", end);
    return t.len;
}

static enum status take_hex(struct lines *l, const char *name, unsigned char *out, size_t n, struct err *e)
{
    struct part value;
    enum status status = lines_next(l, name, &value, e);
    if (status == ST_OK && !part_unhex(value, out, n))
        return lines_wrong(l, name, "digits 0 to 9 and a to f, as many as it was written with", e);
    return status;
}

static enum status take_number(struct lines *l, const char *name, int64_t *out, struct err *e)
{
    struct part value;
    enum status status = lines_next(l, name, &value, e);
    if (status == ST_OK && !part_number(value, out))
        return lines_wrong(l, name, "a whole number", e);
    return status;
}

static enum status take_id(struct lines *l, char out[KEY_ID_CAP], struct err *e)
{
    struct part value;
    enum status status = lines_next(l, "key", &value, e);
    if (status == ST_OK && !(part_copy(value, out, KEY_ID_CAP) && is_hex(out, KEY_ID_CAP - 1)))
        return lines_wrong(l, "key", "32 digits 0 to 9 and a to f", e);
    return status;
}

static enum status take_all(struct lines *l, struct sealed_key *k, struct err *e)
{
    enum status status = take_id(l, k->id, e);
    if (status == ST_OK)
        status = take_hex(l, "public", k->public_key, sizeof k->public_key, e);
    if (status == ST_OK)
        status = take_hex(l, "salt", k->salt, sizeof k->salt, e);
    if (status == ST_OK)
        status = take_hex(l, "nonce", k->nonce, sizeof k->nonce, e);
    if (status == ST_OK)
        status = take_number(l, "ops", &k->ops, e);
    if (status == ST_OK)
        status = take_number(l, "memory", &k->memory_bytes, e);
    return status == ST_OK ? take_hex(l, "box", k->box, sizeof k->box, e) : status;
}

static enum status take_end(struct lines *l, const char *text, struct err *e)
{
    struct part value;
    char want[HASH_HEX_CAP], said[HASH_HEX_CAP];
    trust_hash_hex(text, (size_t)(l->at - text), want);
    enum status status = lines_next(l, "end", &value, e);
    if (status != ST_OK)
        return status;
    if (!part_copy(value, said, sizeof said) || strcmp(said, want) != 0)
        return err_set(e, ST_SYNTAX,
                       "Line %d of the key file does not agree with the lines before: the file was changed "
                       "or damaged. Use a copy.",
                       l->line);
    return lines_end(l, e);
}

enum status key_file_parse(const char *text, size_t len, struct sealed_key *out, struct err *e)
{
    struct lines l;
    struct sealed_key k;
    char id[KEY_ID_CAP];
    memset(&k, 0, sizeof k);
    enum status status = lines_begin(&l, "key", text, len, e);
    l.what = "key file";
    if (status == ST_OK)
        status = take_all(&l, &k, e);
    if (status == ST_OK)
        status = take_end(&l, text, e);
    if (status != ST_OK)
        return status;
    key_id_of(k.public_key, id);
    if (strcmp(id, k.id) != 0)
        return err_set(e, ST_SYNTAX, "Line 2 of the key file is not the code of the key in line 3.");
    *out = k;
    return ST_OK;
}
