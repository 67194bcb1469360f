/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file command.h  The table of verbs: one row and one file each. Help, usage and options print from the row that runs. */
#ifndef STILLARM_COMMAND_H
#define STILLARM_COMMAND_H

#include <stdbool.h>

#include "stillarm/err.h"

/** What the program's end says; documented in stillarm(1). */
enum command_exit {
    EXIT_FINE = 0,
    EXIT_UNFINISHED = 1, /* a sitting is left open, a replayed log ends open, verify found something */
    EXIT_USAGE = 2,      /* the command line, a value on it, a PIN, or a line of a log or of a CSV file is not what it must be */
    EXIT_FILES = 3,      /* the store or another file cannot be used, or a key may not do what was asked */
    EXIT_TERMINAL = 4    /* no terminal to draw on */
};

enum command_option {
    OPTION_DB, OPTION_PROTOCOL_DIR, OPTION_PLAIN, OPTION_HELP, OPTION_VERSION, /* every verb takes these */
    OPTION_NAME, OPTION_ROLE, OPTION_TOP, OPTION_DUE, OPTION_DATE, OPTION_ALL, OPTION_PLAY, OPTION_BLADDER, OPTION_YES,
    OPTION_PROTOCOL, OPTION_MARKDOWN, OPTION_KEYS, OPTION_BY, OPTION_COURSE,
    OPTION_JSON, OPTION_CSV, OPTION_SKIP_BAD, OPTION_OF, OPTION_YARDSTICK, OPTION_PLOT, OPTION_GRAPH, OPTION_SINCE,
    OPTION_UNTIL,
    OPTION_COUNT
};

/** The command line after its options were taken out. Strings live as long as argv. */
struct command_line {
    const char *value[OPTION_COUNT]; /* NULL: not given; "" for an option without a value */
    char **words;                    /* after the verb */
    int word_count;
};

struct command_row {
    const char *name;      /* "" for no verb: the home page */
    const char *arguments; /* for the usage line */
    const char *summary;   /* one line of the general help */
    const char *help;      /* paragraphs of the verb's own help */
    const char *examples;  /* one a line */
    unsigned options;      /* bits of the options beyond those every verb takes */
    int words_min, words_max;
    int (*run)(const struct command_line *line);
};

/** The rows, ended by one without a name pointer. */
extern const struct command_row COMMANDS[];

/** Run what argv asks for; returns the exit status. */
int command_main(int argc, char **argv);

/** Say a failure on standard error; returns the exit status that belongs to its code. */
int command_fail(const struct err *e);

/** Letters that must be added, dropped or changed to get from one word to the other; 40 when either is longer. Pure. */
int command_edits(const char *a, const char *b);

/** The verb that somebody who typed this probably meant, or NULL. Pure. */
const char *command_near(const char *typed);

int verb_home(const struct command_line *line);
int verb_sit(const struct command_line *line);
int verb_replay(const struct command_line *line);
int verb_print(const struct command_line *line);
int verb_list(const struct command_line *line);
int verb_worth(const struct command_line *line);
int verb_why(const struct command_line *line);
int verb_protocols(const struct command_line *line);
int verb_kit(const struct command_line *line);
int verb_people(const struct command_line *line);
int verb_forget(const struct command_line *line);
int verb_review(const struct command_line *line);
int verb_sign(const struct command_line *line);
int verb_keys(const struct command_line *line);
int verb_export(const struct command_line *line);
int verb_verify(const struct command_line *line);
int verb_agree(const struct command_line *line);
int verb_progress(const struct command_line *line);
int verb_backup(const struct command_line *line);
int verb_demo(const struct command_line *line);

#endif
