/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file command.c  Reads the command line, finds the verb, prints help, turns failures into exit statuses. */
#include "command/command.h"

#include "command/pin.h"

#include <errno.h>
#include <getopt.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define EVERY_VERB \
    ((1u << OPTION_DB) | (1u << OPTION_PROTOCOL_DIR) | (1u << OPTION_PLAIN) | (1u << OPTION_HELP) | (1u << OPTION_VERSION))

#define HELP_COLUMNS 79
#define CAUTION "An aid to training and documentation. It makes no diagnosis; your site's procedure and licensed practice " \
                "come first."

static const struct {
    const char *name, *value, *help;
} OPTIONS[] = {
    [OPTION_DB] = { "db", "FILE", "the store to use, instead of the one in your data folder" },
    [OPTION_PROTOCOL_DIR] = { "protocol-dir", "DIR", "read protocols from this folder" },
    [OPTION_PLAIN] = { "plain", NULL, "line by line on standard streams, for screen readers and scripts" },
    [OPTION_HELP] = { "help", NULL, "this help, or a verb's: stillarm VERB --help" },
    [OPTION_VERSION] = { "version", NULL, "the program's version" },
    [OPTION_NAME] = { "name", "TEXT", "what it is called on screens" },
    [OPTION_ROLE] = { "role", "ROLE", "trainee, technician or preceptor" },
    [OPTION_TOP] = { "top", "MMHG", "top of the gauge's scale" },
    [OPTION_DUE] = { "due", "DATE", "the day its calibration ends" },
    [OPTION_DATE] = { "date", "DATE", "the day of the check or calibration" },
    [OPTION_ALL] = { "all", NULL, "show what was retired too" },
    [OPTION_BLADDER] = { "bladder", "WxL", "width and length of the cuff's bladder" },
    [OPTION_YES] = { "yes", NULL, "do it without asking" },
    [OPTION_PROTOCOL] = { "protocol", "ID", "under this protocol only" },
    [OPTION_MARKDOWN] = { "markdown", NULL, "all of them, as the document docs/sources.md" },
    [OPTION_KEYS] = { "keys", "FILE", "public keys, as `keys export` wrote them" },
    [OPTION_BY] = { "by", "PERSON", "who does it, and is asked for the PIN" },
    [OPTION_COURSE] = { "course", "FILE", "the course's key, as `keys course` wrote it" },
    [OPTION_JSON] = { "json", NULL, "everything, as JSON with full precision" },
    [OPTION_CSV] = { "csv", NULL, "as CSV, one row a person" },
    [OPTION_SKIP_BAD] = { "skip-bad", NULL, "leave out rows that are not as they must be, and count them" },
    [OPTION_OF] = { "of", "ID", "this measurer's rows alone" },
    [OPTION_YARDSTICK] = { "yardstick", "ID", "hold it against this yardstick" },
    [OPTION_PLOT] = { "plot", "FILE", "draw a graph into a new file: .pdf, .png or .svg" },
    [OPTION_GRAPH] = { "graph", "NAME", "which one: difference, digits, release or learning" },
    [OPTION_SINCE] = { "since", "DATE", "what changed since this day" },
    [OPTION_UNTIL] = { "until", "DATE", "as it stood on this day" },
    [OPTION_PLAY] = { "play", NULL, "run a sitting by itself, the clock sped up" },
};
_Static_assert(ARRAY_LEN(OPTIONS) == OPTION_COUNT, "one row per option");

static const struct {
    const char *name, *help;
} ENVIRONMENT[] = {
    { "STILLARM_PROTOCOLS", "folder of the protocols, unless --protocol-dir is given" },
    { "STILLARM_SITE", "folder of the site's own texts and yardsticks, instead of ~/.config/stillarm" },
    { "NO_COLOR", "set to anything: no colours" },
};

static const int EXIT_OF[ST_COUNT] = {
    [ST_OK] = EXIT_FINE, [ST_SYNTAX] = EXIT_USAGE, [ST_RANGE] = EXIT_USAGE, [ST_NOT_FOUND] = EXIT_FILES,
    [ST_EXISTS] = EXIT_FILES, [ST_CONFLICT] = EXIT_FILES, [ST_FULL] = EXIT_FILES, [ST_IO] = EXIT_FILES,
    [ST_PERMISSION] = EXIT_FILES, [ST_READ_ONLY] = EXIT_FILES, [ST_LOCKED] = EXIT_FILES,
    [ST_NOT_A_STORE] = EXIT_FILES, [ST_NEWER] = EXIT_FILES, [ST_CORRUPT] = EXIT_FILES,
    [ST_NO_MEMORY] = EXIT_FILES, [ST_USAGE] = EXIT_USAGE, [ST_PIN] = EXIT_USAGE,
};

static const char *const EXIT_WORDS[] = {
    [EXIT_FINE] = "done",
    [EXIT_UNFINISHED] = "a sitting is left open, a replayed log ends open, or verify found something",
    [EXIT_USAGE] = "the command line, a value on it, a PIN, or a line of a log or of a CSV file is not what it must be",
    [EXIT_FILES] = "the store, a protocol folder or another file cannot be used, or a key may not do what was asked",
    [EXIT_TERMINAL] = "no terminal to draw on",
};

int command_fail(const struct err *e)
{
    fprintf(stderr, "stillarm: %s\n", e->text[0] ? e->text : "Something failed that left no message.");
    return (unsigned)e->code < ST_COUNT ? EXIT_OF[e->code] : EXIT_FILES;
}

int command_edits(const char *a, const char *b)
{
    enum { WORD_MAX = 40 };
    int row[WORD_MAX + 1];
    size_t la = strlen(a), lb = strlen(b);
    if (la > WORD_MAX || lb > WORD_MAX)
        return WORD_MAX;
    for (size_t j = 0; j <= lb; j++)
        row[j] = (int)j;
    for (size_t i = 1; i <= la; i++) {
        int diagonal = row[0];
        row[0] = (int)i;
        for (size_t j = 1; j <= lb; j++) {
            int best = diagonal + (a[i - 1] != b[j - 1]);
            diagonal = row[j];
            if (row[j] + 1 < best)
                best = row[j] + 1;
            if (row[j - 1] + 1 < best)
                best = row[j - 1] + 1;
            row[j] = best;
        }
    }
    return row[lb];
}

const char *command_near(const char *typed)
{
    const char *near = NULL;
    int best = 3; /* three letters wrong in words this short is another word */
    for (const struct command_row *row = COMMANDS; row->name; row++) {
        int distance = row->name[0] ? command_edits(typed, row->name) : best;
        if (row->name[0] && strlen(typed) >= 2 && strncmp(typed, row->name, strlen(typed)) == 0)
            distance = 0;
        if (distance < best && distance < (int)strlen(row->name)) {
            best = distance;
            near = row->name;
        }
    }
    return near;
}

/* Words behind what stands on the line already, column bytes of it; further lines begin at the hang. The texts are ASCII. */
static void print_wrapped(size_t column, size_t hang, const char *text)
{
    bool is_first = true; /* of its line */
    while (*text) {
        size_t n = strcspn(text, " \n");
        if (!is_first && column + 1 + n > HELP_COLUMNS) {
            printf("\n%*s", (int)hang, "");
            column = hang;
            is_first = true;
        }
        printf("%s%.*s", is_first ? "" : " ", (int)n, text);
        column += n + !is_first;
        is_first = false;
        text += n;
        if (*text == '\n') {
            printf("\n%*s", text[1] ? (int)hang : 0, "");
            column = hang;
            is_first = true;
        }
        text += *text != '\0';
    }
    printf("\n");
}

static void print_options(unsigned bits)
{
    for (unsigned i = 0; i < OPTION_COUNT; i++) {
        char left[40];
        if (!(bits & (1u << i)))
            continue;
        snprintf(left, sizeof left, "--%s%s%s", OPTIONS[i].name, OPTIONS[i].value ? " " : "",
                 OPTIONS[i].value ? OPTIONS[i].value : "");
        print_wrapped((size_t)printf("  %-20s ", left), 23, OPTIONS[i].help);
    }
}

static void print_lines_indented(const char *text)
{
    while (*text) {
        size_t n = strcspn(text, "\n");
        printf("  %.*s\n", (int)n, text);
        text += n + (text[n] == '\n');
    }
}

static void print_general_help(void)
{
    printf("stillarm %s - beside a person who takes blood pressure by ear\n\nUsage: stillarm [OPTIONS] [VERB]\n\n"
           "Verbs:\n",
           STILLARM_VERSION);
    for (const struct command_row *row = COMMANDS; row->name; row++)
        print_wrapped((size_t)printf("  %-10s ", row->name[0] ? row->name : "(none)"), 13, row->summary);
    printf("\nWithout a verb:\n");
    print_wrapped((size_t)printf("  "), 2, COMMANDS[0].help);
    printf("\nOptions:\n");
    print_options(EVERY_VERB);
    printf("\nExit status:\n");
    for (size_t i = 0; i < ARRAY_LEN(EXIT_WORDS); i++)
        print_wrapped((size_t)printf("  %d  ", (int)i), 5, EXIT_WORDS[i]);
    printf("\nEnvironment:\n");
    for (size_t i = 0; i < ARRAY_LEN(ENVIRONMENT); i++)
        print_wrapped((size_t)printf("  %-20s ", ENVIRONMENT[i].name), 23, ENVIRONMENT[i].help);
    printf("\nExamples:\n");
    print_lines_indented(COMMANDS[0].examples);
    print_lines_indented("stillarm sit --help");
    printf("\n");
    print_wrapped(0, 0, CAUTION);
}

static void print_verb_help(const struct command_row *row)
{
    int column = printf("Usage: stillarm %s%s", row->name, row->arguments[0] ? " " : "");
    print_wrapped((size_t)column, (size_t)column, row->arguments);
    printf("\n");
    print_wrapped(0, 0, row->help);
    printf("\nOptions:\n");
    print_options(row->options | EVERY_VERB);
    printf("\nExamples:\n");
    print_lines_indented(row->examples);
}

static const struct command_row *find_row(const char *name)
{
    for (const struct command_row *row = COMMANDS; row->name; row++)
        if (strcmp(row->name, name) == 0)
            return row;
    return NULL;
}

static enum status take_options(int argc, char **argv, struct command_line *line, struct err *e)
{
    struct option table[OPTION_COUNT + 1] = { 0 };
    int found;
    for (int i = 0; i < OPTION_COUNT; i++)
        table[i] = (struct option){ .name = OPTIONS[i].name,
                                         .has_arg = OPTIONS[i].value ? required_argument : no_argument,
                                         .val = 256 + i };
    opterr = 0;
    optind = 0; /* start anew, also when called twice in one process */
    while ((found = getopt_long(argc, argv, ":h", table, NULL)) != -1) {
        const char *typed = optind > 0 && optind <= argc ? argv[optind - 1] : "";
        if (found == 'h')
            line->value[OPTION_HELP] = "";
        else if (found >= 256)
            line->value[found - 256] = optarg ? optarg : "";
        else if (found == ':')
            return err_set(e, ST_USAGE, "`%.60s` needs a value after it. See stillarm --help.", typed);
        else
            return err_set(e, ST_USAGE, "`%.60s` is no option here, or not a whole one. See stillarm --help.", typed);
    }
    line->words = argv + optind;
    line->word_count = argc - optind;
    return ST_OK;
}

static enum status check_row(const struct command_row *row, const struct command_line *line, struct err *e)
{
    const char *name = row->name[0] ? row->name : "the home page";
    for (unsigned i = 0; i < OPTION_COUNT; i++)
        if (line->value[i] && !((row->options | EVERY_VERB) & (1u << i)))
            return err_set(e, ST_USAGE, "%s takes no --%s. See stillarm %s --help.", name, OPTIONS[i].name, row->name);
    if (line->word_count < row->words_min)
        return err_set(e, ST_USAGE, "%s needs more: stillarm %s %s.", name, row->name, row->arguments);
    if (line->word_count > row->words_max)
        return err_set(e, ST_USAGE, "%s does not know what to do with `%.60s`. Usage: stillarm %s %s.", name,
                       line->words[row->words_max], row->name, row->arguments);
    return ST_OK;
}

/* What was printed has to have arrived: on a full disk the writes succeed and only the flush tells. */
static int finish(int status)
{
    if (fflush(stdout) == 0 && !ferror(stdout))
        return status;
    if (errno != EPIPE) /* a reader that had enough is no failure worth a word */
        fprintf(stderr, "stillarm: Standard output could not be written: %s. What was printed is not complete.\n",
                strerror(errno));
    return EXIT_FILES;
}

int command_main(int argc, char **argv)
{
    struct command_line line = { 0 };
    struct err e = { 0 };
    const struct command_row *row = &COMMANDS[0];
    pin_harden();
    if (take_options(argc, argv, &line, &e) != ST_OK)
        return command_fail(&e);
    if (line.word_count > 0) {
        const char *verb = line.words[0];
        row = find_row(verb);
        if (!row || !row->name[0]) {
            const char *near = command_near(verb);
            err_set(&e, ST_USAGE, "`%.60s` is no verb of stillarm.%s%s%s See stillarm --help.", verb,
                    near ? " Did you mean `" : "", near ? near : "", near ? "`?" : "");
            return command_fail(&e);
        }
        line.words++;
        line.word_count--;
    }
    if (line.value[OPTION_VERSION]) {
        printf("stillarm %s\n", STILLARM_VERSION);
        return finish(EXIT_FINE);
    }
    if (line.value[OPTION_HELP]) {
        if (row->name[0])
            print_verb_help(row);
        else
            print_general_help();
        return finish(EXIT_FINE);
    }
    if (check_row(row, &line, &e) != ST_OK)
        return command_fail(&e);
    return finish(row->run(&line));
}
