/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Runs a fuzz target over a folder of seeds and mutations of them: driver CORPUS MUTATIONS [SEED]. The same numbers give
 * the same inputs; the input being tried lies in fuzz-last-TARGET.bin in the working folder when the target stops us. */
#include <dirent.h>
#include <signal.h>
#include <stdbool.h>
#include <string.h>
#include <unistd.h>

#include "fuzz/fuzz.h"

#define SEEDS_MAX 256
#define INPUT_MAX 65536

struct bytes {
    uint8_t *data;
    size_t size;
};

static struct bytes seeds[SEEDS_MAX];
static int seed_count;
static uint64_t state;
static uint8_t input[INPUT_MAX];
static size_t input_size;
static const char *program;

static uint32_t random_below(uint32_t n)
{
    state ^= state << 13;
    state ^= state >> 7;
    state ^= state << 17;
    return n ? (uint32_t)((state >> 20) % n) : 0;
}

static void keep_last(int signal_number)
{
    FILE *f = NULL;
    char name[128];
    const char *slash = strrchr(program, '/');
    /* Not async-signal-safe, and good enough for a process that is about to end. */
    snprintf(name, sizeof name, "fuzz-last-%s.bin", slash ? slash + 1 : program);
    f = fopen(name, "wb");
    if (f) {
        (void)fwrite(input, 1, input_size, f);
        (void)fclose(f);
        fprintf(stderr, "the input lies in %s\n", name);
    }
    (void)signal(signal_number, SIG_DFL);
    (void)raise(signal_number);
}

static void run(const uint8_t *data, size_t size)
{
    uint8_t *exact = malloc(size ? size : 1); /* the address sanitizer watches its ends */
    HOLDS(exact != NULL);
    if (data != input)
        memcpy(input, data, size);
    input_size = size;
    memcpy(exact, input, size);
    HOLDS(LLVMFuzzerTestOneInput(exact, size) == 0);
    free(exact);
}

/* ---- seeds ---- */

static int by_content(const void *a, const void *b)
{
    const struct bytes *x = a, *y = b;
    size_t n = x->size < y->size ? x->size : y->size;
    int order = memcmp(x->data, y->data, n);
    return order ? order : (x->size > y->size) - (x->size < y->size);
}

static void load_seed(const char *folder, const char *name)
{
    char path[4096];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *f = fopen(path, "rb");
    HOLDS(f != NULL && seed_count < SEEDS_MAX);
    struct bytes *s = &seeds[seed_count++];
    s->data = malloc(INPUT_MAX);
    HOLDS(s->data != NULL);
    s->size = fread(s->data, 1, INPUT_MAX / 2, f);
    HOLDS(fclose(f) == 0);
}

static void load_seeds(const char *folder)
{
    DIR *d = opendir(folder);
    const struct dirent *entry;
    HOLDS(d != NULL);
    while ((entry = readdir(d)) != NULL)
        if (entry->d_name[0] != '.')
            load_seed(folder, entry->d_name);
    HOLDS(closedir(d) == 0 && seed_count > 0);
    qsort(seeds, (size_t)seed_count, sizeof seeds[0], by_content); /* not in the file system's order */
}

/* ---- mutations ---- */

static void cut(size_t at, size_t n)
{
    memmove(input + at, input + at + n, input_size - at - n);
    input_size -= n;
}

static void insert(size_t at, const void *bytes, size_t n)
{
    if (n > INPUT_MAX - input_size)
        return;
    memmove(input + at + n, input + at, input_size - at);
    memcpy(input + at, bytes, n);
    input_size += n;
}

/* A stretch of the input: a whole line, or any few bytes. */
static void choose(size_t *at, size_t *n)
{
    *at = random_below((uint32_t)input_size);
    *n = 1 + random_below(8);
    if (random_below(2)) {
        while (*at > 0 && input[*at - 1] != '\n')
            --*at;
        const uint8_t *end = memchr(input + *at, '\n', input_size - *at);
        *n = end ? (size_t)(end - input) + 1 - *at : input_size - *at;
    }
    if (*n > input_size - *at)
        *n = input_size - *at;
}

static void mutate_once(void)
{
    static const char *const PIECES[] = {
        "\"", "\\", "\\u", "\\uD83D", "\\uDE00", "\\u0000", "-", "0", "00", "999999999999", "9999999999999", ".000", " ",
        "\t", "\r", "\n", "\r\n", "\xEF\xBB\xBF", "\xFF", "\xC3\xA9", "\xF0\x9F\x98\x80", "\xE2\x80\xAE", "#", ";", " ;",
        "[", "]", "=", "[key rest_s]\n", "[protocol]\n", "value = 1\n", "  more\n", "first", "resume", "correct", "2147483648"};
    uint8_t copy[1024];
    size_t at, n;
    const char *piece = PIECES[random_below((uint32_t)(sizeof PIECES / sizeof PIECES[0]))];
    if (input_size == 0) {
        insert(0, piece, strlen(piece));
        return;
    }
    choose(&at, &n);
    switch (random_below(6)) {
    case 0:
        input[at] = (uint8_t)random_below(256);
        break;
    case 1:
        input[at] ^= (uint8_t)(1u << random_below(8));
        break;
    case 2:
        cut(at, n);
        break;
    case 3:
        n = n > sizeof copy ? sizeof copy : n;
        memcpy(copy, input + at, n);
        insert(random_below((uint32_t)input_size + 1), copy, n);
        break;
    case 4:
        insert(at, piece, strlen(piece));
        break;
    case 5: { /* go on as another seed does from somewhere */
        const struct bytes *other = &seeds[random_below((uint32_t)seed_count)];
        size_t from = random_below((uint32_t)other->size + 1);
        input_size = at;
        insert(at, other->data + from, other->size - from);
        break;
    }
    }
}

int main(int argc, char **argv)
{
    if (argc < 3) {
        fprintf(stderr, "%s CORPUS MUTATIONS [SEED]\n", argv[0]);
        return EXIT_FAILURE;
    }
    program = argv[0];
    long mutations = strtol(argv[2], NULL, 10);
    state = argc > 3 ? strtoull(argv[3], NULL, 10) : UINT64_C(0x9E3779B97F4A7C15);
    (void)signal(SIGABRT, keep_last);
    load_seeds(argv[1]);
    run(input, 0);
    for (int i = 0; i < seed_count; i++)
        run(seeds[i].data, seeds[i].size);
    for (long i = 0; i < mutations; i++) {
        const struct bytes *s = &seeds[random_below((uint32_t)seed_count)];
        memcpy(input, s->data, s->size);
        input_size = s->size;
        for (uint32_t n = 1 + random_below(4); n > 0; n--)
            mutate_once();
        run(input, input_size);
    }
    printf("%d seeds and %ld mutations, nothing found\n", seed_count, mutations);
    for (int i = 0; i < seed_count; i++)
        free(seeds[i].data);
    return EXIT_SUCCESS;
}
