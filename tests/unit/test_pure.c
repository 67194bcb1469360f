/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Two proofs that the layers are what docs/architecture.md says: what each folder includes, and what the pure
 * libraries ask of the world once they are compiled. */
#include <check.h>
#include <dirent.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "stillarm/err.h"

#define NAMES_MAX 24

/* ---- includes ---- */

struct folder {
    const char *name;              /* below the source folder */
    const char *below[NAMES_MAX];  /* first parts of "..." includes that it may use, itself included */
    bool is_pure;                  /* then only these system headers */
    const char *barred[NAMES_MAX]; /* system headers that are another layer's business */
};

static const char *const PURE_HEADERS[] = {
    "assert.h", "ctype.h",  "inttypes.h",
    "limits.h", "stdarg.h", "stdbool.h",
    "stddef.h", "stdint.h", "stdio.h" /* snprintf only: nm sees to it */,
    "string.h"};

static const struct folder FOLDERS[] = {
    {"include/stillarm", {"stillarm"}, true, {NULL}},
    {"src/core", {"stillarm", "core"}, true, {NULL}},
    {"src/stats",
     {"stillarm", "stats"},
     false,
     {"time.h", "curses.h", "ncurses.h", "sqlite3.h", "sodium.h", "ini.h", "stdlib.h", "unistd.h"}},
    {"src/guide", {"stillarm", "guide"}, true, {NULL}},
    {"src/config",
     {"stillarm", "config"},
     false,
     {"time.h", "curses.h", "ncurses.h", "sqlite3.h", "sodium.h", "termios.h"}},
    {"src/trust",
     {"stillarm", "trust"},
     false,
     {"time.h", "curses.h", "ncurses.h", "sqlite3.h", "ini.h", "termios.h", "unistd.h", "fcntl.h", "locale.h"}},
    {"src/store", {"stillarm", "trust", "store"}, false, {"curses.h", "ncurses.h", "ini.h", "termios.h", "poll.h"}},
    {"src/terminal", {"stillarm", "guide", "terminal"}, false, {"sqlite3.h", "sodium.h", "ini.h"}},
    {"src/output",
     {"stillarm", "guide", "output"},
     false,
     {"time.h", "curses.h", "ncurses.h", "sqlite3.h", "sodium.h", "ini.h", "termios.h"}},
    {"src/command",
     {"stillarm", "trust", "config", "store", "guide", "terminal", "output", "command"},
     false,
     {"sqlite3.h", "sodium.h", "curses.h", "ncurses.h", "ini.h", "time.h"}},
};

static bool is_listed(const char *const *list, size_t n, const char *name)
{
    for (size_t i = 0; i < n && list[i] != NULL; i++) {
        if (strcmp(list[i], name) == 0) {
            return true;
        }
    }
    return false;
}

/* The name in an #include line; false when it is none. */
static bool parse_include(const char *line, char *name, size_t cap, bool *is_system)
{
    while (*line == ' ' || *line == '\t') {
        line++;
    }
    if (*line++ != '#') {
        return false;
    }
    while (*line == ' ' || *line == '\t') {
        line++;
    }
    if (strncmp(line, "include", 7) != 0) {
        return false;
    }
    const char *open = strpbrk(line, "<\""), *close = open == NULL ? NULL : strpbrk(open + 1, ">\"");
    if (close == NULL) {
        return false;
    }
    *is_system = *open == '<';
    (void)snprintf(name, cap, "%.*s", (int)(close - open - 1), open + 1);
    return true;
}

static void check_include(const struct folder *f, const char *file, const char *name, bool is_system)
{
    if (is_system) {
        bool is_barred = is_listed(f->barred, NAMES_MAX, name);
        bool is_impure = f->is_pure && !is_listed(PURE_HEADERS, ARRAY_LEN(PURE_HEADERS), name);
        ck_assert_msg(!is_barred && !is_impure, "%s/%s includes <%s>", f->name, file, name);
        return;
    }
    char first[64];
    const char *slash = strchr(name, '/');
    if (slash == NULL) { /* a neighbour in the same folder */
        char path[600];
        (void)snprintf(path, sizeof path, "%s/%s/%s", TEST_SOURCE_DIR, f->name, name);
        FILE *neighbour = fopen(path, "r");
        ck_assert_msg(neighbour != NULL, "%s/%s includes \"%s\", which is not beside it", f->name, file,
                      name);
        (void)fclose(neighbour);
        return;
    }
    (void)snprintf(first, sizeof first, "%.*s", (int)(slash - name), name);
    ck_assert_msg(is_listed(f->below, NAMES_MAX, first), "%s/%s includes \"%s\", which does not lie below it",
                  f->name, file, name);
}

START_TEST(folders_include_only_what_lies_below_them)
{
    const struct folder *f = &FOLDERS[_i];
    char path[300], line[1000], name[200];
    int files = 0, includes = 0;
    (void)snprintf(path, sizeof path, "%s/%s", TEST_SOURCE_DIR, f->name);
    DIR *d = opendir(path);
    ck_assert_msg(d != NULL, "no folder %s", path);
    for (struct dirent *e = readdir(d); e != NULL; e = readdir(d)) {
        size_t len = strlen(e->d_name);
        if (len < 3 || (strcmp(e->d_name + len - 2, ".c") != 0 && strcmp(e->d_name + len - 2, ".h") != 0)) {
            continue;
        }
        char file[600];
        bool is_system = false;
        (void)snprintf(file, sizeof file, "%s/%s", path, e->d_name);
        FILE *in = fopen(file, "r");
        ck_assert_msg(in != NULL, "cannot read %s", file);
        files++;
        while (fgets(line, sizeof line, in) != NULL) {
            if (parse_include(line, name, sizeof name, &is_system)) {
                includes++;
                check_include(f, e->d_name, name, is_system);
            }
        }
        (void)fclose(in);
    }
    (void)closedir(d);
    printf("%s: %d files, %d includes\n", f->name, files, includes);
    ck_assert_int_ge(files, 1);
    ck_assert_int_ge(includes, 1);
}
END_TEST

START_TEST(include_lines_are_recognised)
{
    char name[100];
    bool is_system = false;
    ck_assert(parse_include("#include <time.h>\n", name, sizeof name, &is_system) && is_system);
    ck_assert_str_eq(name, "time.h");
    ck_assert(parse_include("  #  include \"store/store.h\" // x", name, sizeof name, &is_system) &&
              !is_system);
    ck_assert_str_eq(name, "store/store.h");
    ck_assert(!parse_include("int include;", name, sizeof name, &is_system));
}
END_TEST

/* ---- symbols ---- */

/* From the lowest up: each may also ask for what those before it define. */
static const char *const LIBRARIES[] = {TEST_BINARY_DIR "/libstillarm_core.a", TEST_BINARY_DIR "/libstillarm_stats.a",
                                        TEST_BINARY_DIR "/libstillarm_guide.a"};
enum { AT_STATS = 1 };

/* All that a pure library may ask of the C library. */
static const char *const ALLOWED[] = {"memchr", "memcmp", "memcpy", "memmove", "memset", "snprintf", "strchr",
                                      "strcmp", "strcpy" /* what a compiler makes of snprintf("%s") */,
                                      "strcspn", "strlen", "strncmp", "strpbrk", "strrchr", "strspn",
                                      "strstr", "vsnprintf", "__assert_fail",
                                      /* what fortified and hardened builds make of these */
                                      "__memcpy_chk", "__memmove_chk", "__memset_chk", "__snprintf_chk",
                                      "__stack_chk_fail", "__vsnprintf_chk", "_GLOBAL_OFFSET_TABLE_"};

/* Functions of real numbers, which only the layer of statistics has. */
static const char *const ALLOWED_MATH[] = {"asin", "cos", "exp", "expm1", "fabs", "floor", "fmax", "fmin", "log", "pow",
                                           "sin", "sincos", "sqrt", "tanh", "pbinom", "pchisq", "pnorm5", "pt", "qbeta",
                                           "qchisq", "qf", "qnorm5", "qt"};

/* The compiler's own, for the sums of 128 bits that stats has and guide reads. */
static const char *const ALLOWED_WIDE[] = {"__divmodti4", "__divti3", "__floattidf", "__modti3", "__muloti4",
                                           "__udivti3", "__umodti3"};

static bool is_allowed(const char *symbol, int library)
{
    return is_listed(ALLOWED, ARRAY_LEN(ALLOWED), symbol) ||
           (library >= AT_STATS && is_listed(ALLOWED_WIDE, ARRAY_LEN(ALLOWED_WIDE), symbol)) ||
           (library == AT_STATS && is_listed(ALLOWED_MATH, ARRAY_LEN(ALLOWED_MATH), symbol));
}

static bool is_instrument(const char *symbol)
{
    static const char *const PREFIXES[] = {"__asan_",   "__ubsan_", "__odr_asan", "__sanitizer_",
                                           "__sancov_", "__gcov_",  "__llvm_",    "__start___",
                                           "__stop___", "___asan_", "asan.",      ".L"};
    for (size_t i = 0; i < ARRAY_LEN(PREFIXES); i++) {
        if (strncmp(symbol, PREFIXES[i], strlen(PREFIXES[i])) == 0) {
            return true;
        }
    }
    return false;
}

#define SYMBOLS_MAX 4000
static char defined[SYMBOLS_MAX][128];
static int defined_count;

struct symbol {
    char name[128], kind, section[64];
};

/* One line of `nm --format=sysv`: name|value|class|type|size|line|section. */
static bool parse_symbol(const char *line, struct symbol *out)
{
    char copy[1000], *part[8] = {NULL};
    int n = 0;
    (void)snprintf(copy, sizeof copy, "%s", line);
    copy[strcspn(copy, "\n")] = '\0';
    for (char *p = copy; p != NULL && n < 8; n++) {
        part[n] = p;
        p = strchr(p, '|');
        if (p != NULL) {
            *p++ = '\0';
        }
    }
    if (n < 7) {
        return false;
    }
    char kind[8] = "";
    (void)sscanf(part[0], " %127s", out->name);
    (void)sscanf(part[2], " %7s", kind);
    out->section[0] = '\0';
    (void)sscanf(part[6], " %63s", out->section);
    out->kind = kind[0];
    return strcmp(out->name, "Name") != 0 && kind[0] != '\0';
}

static FILE *open_nm(const char *library)
{
    char command[700];
    FILE *there = fopen(library, "r");
    ck_assert_msg(there != NULL, "%s is not built", library);
    (void)fclose(there);
    (void)snprintf(command, sizeof command, "nm --format=sysv '%s' 2>/dev/null", library);
    FILE *nm = popen(command, "r");
    ck_assert_ptr_nonnull(nm);
    return nm;
}

static void collect_defined(const char *library)
{
    char line[1000];
    struct symbol s;
    FILE *nm = open_nm(library);
    while (fgets(line, sizeof line, nm) != NULL) {
        if (parse_symbol(line, &s) && s.kind != 'U' && s.kind >= 'A' && s.kind <= 'Z' &&
            defined_count < SYMBOLS_MAX) {
            (void)snprintf(defined[defined_count++], sizeof defined[0], "%s", s.name);
        }
    }
    (void)pclose(nm);
}

static bool is_defined(const char *name)
{
    for (int i = 0; i < defined_count; i++) {
        if (strcmp(defined[i], name) == 0) {
            return true;
        }
    }
    return false;
}

START_TEST(pure_libraries_ask_nothing_of_the_world)
{
    char line[1000];
    struct symbol s;
    int undefined = 0, outside = 0;
    for (int i = 0; i <= _i; i++) {
        collect_defined(LIBRARIES[i]);
    }
    ck_assert_int_ge(defined_count, 20);
    FILE *nm = open_nm(LIBRARIES[_i]);
    while (fgets(line, sizeof line, nm) != NULL) {
        if (!parse_symbol(line, &s) || (s.kind != 'U' && s.kind != 'w') || is_instrument(s.name)) {
            continue;
        }
        undefined++;
        bool is_ours = is_defined(s.name);
        outside += !is_ours;
        ck_assert_msg(is_ours || is_allowed(s.name, _i), "%s asks for %s",
                      LIBRARIES[_i], s.name);
    }
    (void)pclose(nm);
    printf("%s: %d undefined symbols, %d from outside, all allowed\n", LIBRARIES[_i], undefined, outside);
    ck_assert_int_ge(outside, 1);
}
END_TEST

/* Constants with addresses lie in .data.rel.ro, which is read-only once the program runs. */
static bool is_writable(const struct symbol *s)
{
    bool is_data = strncmp(s->section, ".data", 5) == 0 || strncmp(s->section, ".bss", 4) == 0 ||
                   strncmp(s->section, ".tdata", 6) == 0 || strncmp(s->section, ".tbss", 5) == 0 ||
                   s->kind == 'C';
    return is_data && strncmp(s->section, ".data.rel.ro", 12) != 0;
}

START_TEST(pure_libraries_have_no_writable_globals)
{
    char line[1000];
    struct symbol s;
    int seen = 0;
    FILE *nm = open_nm(LIBRARIES[_i]);
    while (fgets(line, sizeof line, nm) != NULL) {
        if (!parse_symbol(line, &s) || is_instrument(s.name)) {
            continue;
        }
        seen++;
        ck_assert_msg(!is_writable(&s), "%s keeps %s in %s", LIBRARIES[_i], s.name, s.section);
    }
    (void)pclose(nm);
    ck_assert_int_ge(seen, 20);
}
END_TEST

START_TEST(symbol_lines_are_recognised)
{
    struct symbol s;
    ck_assert(parse_symbol(
        "clock_gettime       |                |   U  |            NOTYPE|                |     |*UND*", &s));
    ck_assert_str_eq(s.name, "clock_gettime");
    ck_assert_int_eq(s.kind, 'U');
    ck_assert(!is_listed(ALLOWED, ARRAY_LEN(ALLOWED), s.name));
    ck_assert(parse_symbol(
        "counter             |0000000000000000|   b  |            OBJECT|0000000000000004|     |.bss", &s));
    ck_assert(is_writable(&s));
    ck_assert(parse_symbol("TABLE               |0000000000000000|   d  |            "
                           "OBJECT|0000000000000004|     |.data.rel.ro.local",
                           &s));
    ck_assert(!is_writable(&s));
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("pure");
    TCase *t = tcase_create("pure");
    tcase_set_timeout(t, 60);
    tcase_add_test(t, include_lines_are_recognised);
    tcase_add_test(t, symbol_lines_are_recognised);
    tcase_add_loop_test(t, folders_include_only_what_lies_below_them, 0, (int)ARRAY_LEN(FOLDERS));
    tcase_add_loop_test(t, pure_libraries_ask_nothing_of_the_world, 0, (int)ARRAY_LEN(LIBRARIES));
    tcase_add_loop_test(t, pure_libraries_have_no_writable_globals, 0, (int)ARRAY_LEN(LIBRARIES));
    suite_add_tcase(suite, t);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
