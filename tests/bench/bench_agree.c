/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `stillarm agree` on a million pairs, all statistics and by measurer: against a bare loop over the mapped
 * file, and against pandas and R, which compute a few of the same figures. All four must say the same of
 * them. Times are of whole processes. */
#include <fcntl.h>
#include <jansson.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include "bench_kit.h"
#include "stillarm/text.h"

enum {
    MEASURERS = 50,
    SUBJECTS = 1000,
    MANY_SUBJECTS = 100000,
    PAIRS = 1000000,
    MORE_PAIRS = 4 * PAIRS,
    RUNS = 11,
    PEER_RUNS = 3
};

#define MISSING 127 /* what a shell ends with where there is no such program */
#define GOAL_BARE 4.0
#define GOAL_PANDAS 20.0
#define GOAL_R 40.0
#define GOAL_MB 24.0
#define TOLERANCE 1e-9 /* relative */

/* ---- the files ---- */

struct csv_kind {
    const char *path;
    int pairs, subjects;
    bool is_shuffled;
};

static uint64_t random_of(uint64_t i)
{
    uint64_t x = i * UINT64_C(0x9e3779b97f4a7c15) + 20260115;
    x = (x ^ x >> 30) * UINT64_C(0xbf58476d1ce4e5b9);
    x = (x ^ x >> 27) * UINT64_C(0x94d049bb133111eb);
    return x ^ x >> 31;
}

/* Close enough to a normal deviate, the i-th of a stream. */
static double deviate(uint64_t stream, uint64_t i)
{
    const uint64_t x = random_of(stream << 40 | i);
    const double sum =
        (double)(x & 0xffff) + (double)(x >> 16 & 0xffff) + (double)(x >> 32 & 0xffff) + (double)(x >> 48);
    return (sum / 65536 - 2) * sqrt(3);
}

/* As it is read off a gauge graduated by two, now and then drawn to a zero. */
static int heard(double mmhg, uint64_t stream, uint64_t i)
{
    const uint64_t chance = random_of(stream << 40 | i) % 100;
    return chance < 6    ? 10 * (int)lround(mmhg / 10)
           : chance == 6 ? (int)lround(mmhg) | 1
                         : 2 * (int)lround(mmhg / 2);
}

/* Pair i of the grouped file: measurers one after another, each going twice over every subject, then again.
 */
static void write_pair(FILE *to, const struct csv_kind *kind, int i)
{
    const uint64_t n = (uint64_t)i;
    const int measurer = i / (kind->pairs / MEASURERS),
              subject = i % (kind->pairs / MEASURERS) / 2 % kind->subjects;
    const double systolic = 128 + 18 * deviate(1, (uint64_t)subject) + 4 * deviate(2, n);
    const double diastolic = 78 + 10 * deviate(3, (uint64_t)subject) + 3 * deviate(4, n),
                 ear = deviate(5, (uint64_t)measurer);
    fprintf(to, "m%02d,s%05d,%d,%d,%d,%d\n", measurer, subject,
            heard(systolic + ear + 2.5 * deviate(6, n), 10, n),
            heard(diastolic + ear + 2.5 * deviate(7, n), 11, n), heard(systolic + 1.5 * deviate(8, n), 12, n),
            heard(diastolic + 1.5 * deviate(9, n), 13, n));
}

static void write_csv(const struct csv_kind *kind)
{
    int *order = malloc((size_t)kind->pairs * sizeof *order);
    FILE *to = fopen(kind->path, "w");
    stop_if(order == NULL || to == NULL, "the file of pairs cannot be made");
    for (int i = 0; i < kind->pairs; i++)
        order[i] = i;
    for (int i = kind->pairs - 1; kind->is_shuffled && i > 0; i--) {
        const int j = (int)(random_of(UINT64_C(99) << 40 | (uint64_t)i) % ((uint64_t)i + 1)), held = order[i];
        order[i] = order[j];
        order[j] = held;
    }
    fputs("measurer,subject,measurer_systolic,measurer_diastolic,listener_systolic,listener_diastolic\n", to);
    for (int i = 0; i < kind->pairs; i++)
        write_pair(to, kind, order[i]);
    stop_if(fclose(to) != 0, "the file of pairs cannot be written");
    free(order);
}

/* In a process of its own: what this one once held would be counted as the peak of all that it starts. */
static void make_csv(const struct csv_kind *kind)
{
    int status = 0;
    const pid_t pid = fork();
    stop_if(pid < 0, "no process can be started");
    if (pid == 0) {
        write_csv(kind);
        _exit(EXIT_SUCCESS);
    }
    stop_if(waitpid(pid, &status, 0) != pid || status != 0, "the file of pairs cannot be made");
}

/* ---- whole processes ---- */

struct cost {
    double wall_ms, work_ms, peak_mb;
};

/* What it prints goes into a file. Its exit code. */
static int run(const char *const *argv, const char *out, struct cost *cost)
{
    struct rusage used;
    int status = 0;
    const double from = now_us();
    const pid_t pid = fork();
    stop_if(pid < 0, "no process can be started");
    if (pid == 0) {
        const int fd = open(out, O_WRONLY | O_CREAT | O_TRUNC, 0600), nowhere = open("/dev/null", O_WRONLY);
        char *words[8] = {NULL};
        for (size_t i = 0; argv[i] != NULL && i + 1 < ARRAY_LEN(words); i++)
            words[i] = strdup(argv[i]);
        if (fd >= 0 && dup2(fd, STDOUT_FILENO) >= 0 && dup2(nowhere, STDERR_FILENO) >= 0)
            execvp(words[0], words);
        _exit(MISSING);
    }
    stop_if(wait4(pid, &status, 0, &used) != pid, "a process was lost");
    cost->wall_ms = (now_us() - from) / 1e3;
    cost->work_ms = (double)(used.ru_utime.tv_sec + used.ru_stime.tv_sec) * 1e3 +
                    (double)(used.ru_utime.tv_usec + used.ru_stime.tv_usec) / 1e3;
    cost->peak_mb = (double)used.ru_maxrss / 1024;
    return WIFEXITED(status) ? WEXITSTATUS(status) : MISSING;
}

static double middle(const struct cost *list, int count, size_t member)
{
    double value[RUNS];
    for (int i = 0; i < count; i++)
        memcpy(&value[i], (const char *)&list[i] + member, sizeof value[i]);
    return percentile(value, count, 0.5);
}

/* ---- who runs ---- */

enum who { BARE, OURS, PANDAS, R_CSV, R_FREAD, WHO_COUNT };

#define SCRIPT(name) TEST_SOURCE_DIR "/tests/bench/" name
#define WORDS_MAX 6

/* The file goes behind the words, or where a word is "". probe: ends with 0 where this can run; NULL: it
 * always can. */
static const struct runner {
    const char *say;
    const char *words[WORDS_MAX], *probe[WORDS_MAX];
    int runs;
    double goal; /* so many times as long as we, at least; of BARE so many times we as long as it, at most; 0:
                    none */
} RUNNERS[WHO_COUNT] = {
    [BARE] = {"bare loop, mapped file", {BENCH_BARE, ""}, {NULL}, RUNS, GOAL_BARE},
    [OURS] = {"stillarm agree", {TEST_PROGRAM, "agree", ""}, {NULL}, RUNS, 0},
    [PANDAS] = {"pandas, scipy",
                {"python3", SCRIPT("agree_peer.py"), ""},
                {"python3", "-c", "import pandas, scipy"},
                PEER_RUNS,
                GOAL_PANDAS},
    [R_CSV] = {"R, read.csv",
               {"Rscript", "--vanilla", SCRIPT("agree_peer.R"), ""},
               {"Rscript", "--version"},
               PEER_RUNS,
               GOAL_R},
    [R_FREAD] = {"R, data.table",
                 {"Rscript", "--vanilla", SCRIPT("agree_peer.R"), "", "fread"},
                 {"Rscript", "-e", "library(data.table)"},
                 PEER_RUNS,
                 0},
};

static void words_for(const struct runner *r, const char *file, const char *words[WORDS_MAX + 1])
{
    for (int i = 0; i <= WORDS_MAX; i++)
        words[i] = i == WORDS_MAX || r->words[i] == NULL ? NULL : r->words[i][0] == '\0' ? file : r->words[i];
}

/* ---- do they say the same? ---- */

static const char *const SIDES[] = {"systolic", "diastolic"};
static const char *const FIGURES[] = {"bias",   "sd",      "lower",   "upper",    "icc-2-1",
                                      "near-5", "near-10", "near-15", "digit-chi"};

struct said {
    double value[ARRAY_LEN(SIDES)][ARRAY_LEN(FIGURES)];
};

/* Lines of a side, a figure and its value. */
static void take_lines(const char *path, const char *who, struct said *out)
{
    char side[20], figure[20];
    double value;
    size_t count = 0;
    FILE *from = fopen(path, "r");
    stop_if(from == NULL, who);
    while (fscanf(from, "%19s %19s %lf", side, figure, &value) == 3)
        for (size_t i = 0; i < ARRAY_LEN(SIDES); i++)
            for (size_t j = 0; j < ARRAY_LEN(FIGURES); j++)
                if (strcmp(side, SIDES[i]) == 0 && strcmp(figure, FIGURES[j]) == 0) {
                    out->value[i][j] = value;
                    count++;
                }
    fclose(from);
    stop_if(count != ARRAY_LEN(SIDES) * ARRAY_LEN(FIGURES), who);
}

static void take_json(const char *file, struct said *out)
{
    static const char OUT[] = "agree.json";
    const char *const words[] = {TEST_PROGRAM, "agree", "--json", file, NULL};
    struct cost cost;
    json_error_t why;
    stop_if(run(words, OUT, &cost) != 0, "stillarm agree --json failed");
    json_t *all = json_load_file(OUT, 0, &why);
    stop_if(all == NULL, why.text);
    for (size_t i = 0; i < ARRAY_LEN(SIDES); i++)
        for (size_t j = 0; j < ARRAY_LEN(FIGURES); j++)
            stop_if(json_unpack_ex(all, &why, 0, "{s:{s:{s:{s:{s:F}}}}}", "all", SIDES[i], "figures",
                                   FIGURES[j], "value", &out->value[i][j]) != 0,
                    why.text);
    json_decref(all);
}

static void hold_against(const struct said *ours, const struct said *theirs, const char *who)
{
    for (size_t i = 0; i < ARRAY_LEN(SIDES); i++)
        for (size_t j = 0; j < ARRAY_LEN(FIGURES); j++) {
            const double a = ours->value[i][j], b = theirs->value[i][j];
            if (fabs(a - b) <= TOLERANCE * fmax(fabs(a), fabs(b)))
                continue;
            fprintf(stderr, "bench: %s of %s is %.17g here, %.17g by %s\n", FIGURES[j], SIDES[i], a, b, who);
            exit(EXIT_FAILURE);
        }
}

/* ---- a file ---- */

static void print_ratio(const char *say, const char *goal, const struct cost *above, const struct cost *below)
{
    printf("  %-52s %9.2f   (%s; in processor time %.2f)\n", say, above->wall_ms / below->wall_ms, goal,
           above->work_ms / below->work_ms);
}

static void print_ratios(const struct cost median[WHO_COUNT])
{
    char say[80], goal[40];
    for (int w = 0; w < WHO_COUNT; w++) {
        const struct runner *r = &RUNNERS[w];
        if (w == OURS || median[w].wall_ms <= 0)
            continue;
        snprintf(goal, sizeof goal,
                 r->goal <= 0 ? "no goal"
                 : w == BARE  ? "goal: at most %.0f"
                              : "goal: at least %.0f",
                 r->goal);
        snprintf(say, sizeof say, w == BARE ? "stillarm agree : %s" : "%s : stillarm agree", r->say);
        print_ratio(say, goal, w == BARE ? &median[OURS] : &median[w],
                    w == BARE ? &median[w] : &median[OURS]);
    }
}

static bool can_run(const struct runner *r)
{
    struct cost cost;
    return r->probe[0] == NULL || run(r->probe, "agree.out", &cost) == 0;
}

/* In turns, so that what else the machine does falls on all of them. */
static void measure(const struct csv_kind *kind)
{
    static struct cost cost[WHO_COUNT][RUNS];
    struct cost median[WHO_COUNT] = {{0}};
    struct said ours, theirs;
    bool is_there[WHO_COUNT];
    make_csv(kind);
    take_json(kind->path, &ours);
    for (int w = 0; w < WHO_COUNT; w++)
        is_there[w] = can_run(&RUNNERS[w]);
    for (int i = 0; i < RUNS; i++)
        for (int w = 0; w < WHO_COUNT; w++) {
            const char *words[WORDS_MAX + 1];
            words_for(&RUNNERS[w], kind->path, words);
            if (!is_there[w] || i >= RUNNERS[w].runs)
                continue;
            stop_if(run(words, "agree.out", &cost[w][i]) != 0, RUNNERS[w].say);
            if (w == OURS || i > 0)
                continue;
            take_lines("agree.out", RUNNERS[w].say, &theirs);
            hold_against(&ours, &theirs, RUNNERS[w].say);
        }
    printf("agree: %d pairs, %d measurers, %d subjects, rows %s (medians of whole processes)\n", kind->pairs,
           MEASURERS, kind->subjects, kind->is_shuffled ? "shuffled" : "grouped");
    for (int w = 0; w < WHO_COUNT; w++) {
        if (!is_there[w]) {
            printf("  %-52s is not there\n", RUNNERS[w].say);
            continue;
        }
        median[w] = (struct cost){middle(cost[w], RUNNERS[w].runs, offsetof(struct cost, wall_ms)),
                                  middle(cost[w], RUNNERS[w].runs, offsetof(struct cost, work_ms)),
                                  middle(cost[w], RUNNERS[w].runs, offsetof(struct cost, peak_mb))};
        printf("  %-28s %2d runs %9.1f ms, %9.1f ms of processor, %7.1f MB at most\n", RUNNERS[w].say,
               RUNNERS[w].runs, median[w].wall_ms, median[w].work_ms, median[w].peak_mb);
    }
    print_ratios(median);
}

/* ---- memory ---- */

static double peak_of(const struct csv_kind *kind, bool is_made)
{
    const char *words[WORDS_MAX + 1];
    struct cost cost;
    if (!is_made)
        make_csv(kind);
    words_for(&RUNNERS[OURS], kind->path, words);
    stop_if(run(words, "agree.out", &cost) != 0, "stillarm agree failed");
    return cost.peak_mb;
}

/* pandas comes with the system's python; another that is found first may have none. */
static void prefer_packages(void)
{
    static char path[4096];
    const char *was = getenv("PATH");
    snprintf(path, sizeof path, "/usr/bin:%s", was != NULL ? was : "/bin");
    stop_if(setenv("PATH", path, 1) != 0, "memory");
}

/* Medians of whole processes wait for whatever else runs; their processor time less so. We are at work on two processors, and
 * where only one is left for us we take as long as our processor time. */
static void print_load(void)
{
    double load = 0;
    if (getloadavg(&load, 1) == 1)
        printf("agree: before it began, %.1f processes were at work on %ld processors\n", load,
               sysconf(_SC_NPROCESSORS_ONLN));
}

int main(void)
{
    const struct csv_kind grouped = {"agree-grouped.csv", PAIRS, SUBJECTS, false},
                          shuffled = {"agree-shuffled.csv", PAIRS, SUBJECTS, true},
                          more = {"agree-more.csv", MORE_PAIRS, SUBJECTS, true},
                          few = {"agree-few.csv", 2 * MEASURERS, 1, false},
                          wide = {"agree-wide.csv", PAIRS, MANY_SUBJECTS, false};
    prefer_packages();
    print_load();
    measure(&grouped);
    measure(&shuffled);
    const double start = peak_of(&few, false), once = peak_of(&shuffled, true), four = peak_of(&more, false),
                 many = peak_of(&wide, false);
    printf("agree: memory at most\n");
    printf("  %-52s %9.1f MB\n", "100 pairs: the program itself", start);
    printf("  %-52s %9.1f MB   (goal: at most %.0f beyond the file)\n",
           "1000000 pairs of 50000 measurers' subjects", once, GOAL_MB);
    printf("  %-52s %9.1f MB   (goal: no more than for 1000000)\n",
           "4000000 pairs of 50000 measurers' subjects", four);
    printf("  %-52s %9.1f MB   (each takes %.0f bytes)\n", "1000000 pairs of 500000 measurers' subjects",
           many, (many - once) * 1048576 / 450000);
    return EXIT_SUCCESS;
}
