/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file table.c  What each verb is called, takes and says of itself. */
#include "command/command.h"

#include <stddef.h>

#define BIT(option) (1u << (option))

const struct command_row COMMANDS[] = {
    { .name = "", .arguments = "", .summary = "the home page: start a sitting, go on with one, kit, people, list",
      .help = "Opens the home page. On a new store it first asks who measures, where, and with what.",
      .examples = "stillarm\nstillarm --plain\nstillarm --db practice.db", .run = verb_home },
    { .name = "sit", .arguments = "", .summary = "start a sitting, or go on with the one left open",
      .help = "Goes straight to a sitting. If one was left open - the program was stopped, the terminal closed, the\n"
              "machine slept - it is taken up at the step where it was. Leaving with q keeps it open (exit status 1).",
      .examples = "stillarm sit\nstillarm sit --plain\nstillarm --db booth.db sit", .run = verb_sit },
    { .name = "replay", .arguments = "[FILE|-]", .summary = "judge an event log, line by line",
      .help = "Reads a log in the text form of docs/event-log.md and answers each event: accepted, or refused and why.\n"
              "Ends with what is open, the readings, averages, remarks and the state. `-` or nothing: standard input.\n"
              "Exit status 0: sealed, sealable or stopped; 1: open; 2: a line that does not parse, or no such file.",
      .examples = "stillarm replay sitting.log\nstillarm print 14 | stillarm replay -\n"
                  "stillarm replay --protocol-dir my-protocols sitting.log",
      .words_max = 1, .run = verb_replay },
    { .name = "print", .arguments = "SITTING", .summary = "print a sitting's event log",
      .help = "Writes the accepted events of one sitting to standard output, in the text form that `replay` reads.\n"
              "Comment lines name the protocol and the subject at the top, and at the end every attempt that was\n"
              "refused, with its rule.",
      .examples = "stillarm print S-014\nstillarm print 14 > s14.log", .words_min = 1, .words_max = 1,
      .run = verb_print },
    { .name = "list", .arguments = "", .summary = "list the sittings, newest first",
      .help = "One sitting a line: number, opening, measurer, subject, protocol, state, readings that count of all\n"
              "taken, and attempts that were refused.",
      .examples = "stillarm list\nstillarm list | grep open", .run = verb_list },
    { .name = "kit",
      .arguments = "[list | add gauge ID | add cuff ID LOW HIGH | check GAUGE leak|comparison VALUE | due GAUGE DATE"
                   " | retire ID]",
      .summary = "gauges and cuffs: list, add, check, retire",
      .help = "Without words, or with `list`: what is at hand; --all shows what was retired too.\n"
              "add gauge: --top is the top of its scale in mmHg (300 unless given), --due the day its calibration\n"
              "ends (YYYY-MM-DD, must be given). add cuff: LOW and HIGH are its marked range, `22` (cm) or `8.5in`.\n"
              "check: leak in mmHg a minute, or the largest difference from a reference in mmHg; --date if not today.\n"
              "due: after a calibration, the day it ends. retire: no longer offered; past sittings keep it.",
      .examples = "stillarm kit\nstillarm kit add gauge g2 --top 300 --due 2031-09-01 --name \"wall gauge, booth 2\"\n"
                  "stillarm kit add cuff adult 27 34\nstillarm kit check g2 leak 2\nstillarm kit due g2 2032-03-01\n"
                  "stillarm kit retire g1",
      .options = BIT(OPTION_NAME) | BIT(OPTION_TOP) | BIT(OPTION_DUE) | BIT(OPTION_DATE) | BIT(OPTION_ALL),
      .words_max = 5, .run = verb_kit },
    { .name = "people", .arguments = "[list | add ID NAME | retire ID]",
      .summary = "who measures here: list, add, retire",
      .help = "Without words, or with `list`: the people of this store; --all shows those retired too.\n"
              "add: ID is what stands in the log (letters, digits, dots, dashes; at most 32), NAME is shown.\n"
              "--role is trainee, technician (unless given) or preceptor.",
      .examples = "stillarm people\nstillarm people add ana \"Ana Torres\" --role technician\n"
                  "stillarm people retire ben",
      .options = BIT(OPTION_ROLE) | BIT(OPTION_ALL), .words_max = 3, .run = verb_people },
    { .name = "verify", .arguments = "", .summary = "replay every sitting and compare with what is stored",
      .help = "Checks the store's file, then replays each sitting under the protocol kept with it and compares its\n"
              "state and readings with the stored ones. Names everything that differs; exit status 1 if anything does.",
      .examples = "stillarm verify\nstillarm --db copy.db verify", .run = verb_verify },
    { .name = "backup", .arguments = "FILE", .summary = "copy the store into a new file while it is in use",
      .help = "Writes a whole, consistent copy, even while a sitting runs. An existing file is not touched.",
      .examples = "stillarm backup /media/stick/booth2.db", .words_min = 1, .words_max = 1, .run = verb_backup },
    { .name = "demo", .arguments = "[--play]", .summary = "look around in a throw-away store of invented data",
      .help = "Fills a store in a temporary folder with invented people, kit and sittings and opens the home page.\n"
              "The folder is removed at the end. --play runs a whole sitting by itself on the real screens, the clock\n"
              "sped up; every page says so. Keys still work: q ends it.",
      .examples = "stillarm demo\nstillarm demo --play", .options = BIT(OPTION_PLAY), .run = verb_demo },
    { .name = NULL },
};
