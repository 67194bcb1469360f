/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file table.c  What each verb is called, takes and says of itself. */
#include "command/command.h"

#include <stddef.h>

#define BIT(option) (1u << (option))

const struct command_row COMMANDS[] = {
    { .name = "", .arguments = "", .summary = "the home page: start a sitting, go on with one, kit, people, list",
      .help = "Opens the home page. On a new store it first asks who measures, where, and with what.\n"
              "r opens the review desk. p: people, their PINs (p) and who vouches for whom (v). "
              "b sets the booth's place, usual protocol, usual purpose and help; f, where it is shown, lists what is wrong in "
              "files. PageUp and PageDown show what does not fit a page; j and k or the arrows move; in a field "
              "backspace erases, control U erases all; ? helps.",
      .examples = "stillarm\nstillarm --plain\nstillarm --db practice.db", .run = verb_home },
    { .name = "sit", .arguments = "", .summary = "start a sitting, or go on with the one left open",
      .help = "Goes straight to a sitting. If one was left open - the program was stopped, the terminal closed, the "
              "machine slept - it is taken up at the step where it was. Leaving with q keeps it open (exit status 1).\n"
              "At its end the measurer's PIN signs it, of a witnessed sitting the witness's; Tab ends it all the same and "
              "leaves the signature owed (stillarm sign). At the opening Tab sets how much help a practice shows; the purpose "
              "assessment has a preceptor look on, who keeps the keys.\n"
              "The keys that work stand at the foot of each page; ? tells why a step is there and who says so; PageUp and "
              "PageDown show what does not fit a page.",
      .examples = "stillarm sit\nstillarm sit --plain\nstillarm --db booth.db sit", .run = verb_sit },
    { .name = "replay", .arguments = "[FILE|-]", .summary = "judge an event log, line by line",
      .help = "Reads a log in the text form of docs/event-log.md and answers each event: accepted, or refused and why. "
              "Ends with what is open, the readings, averages, remarks and the state. `-` or nothing: standard input.\n"
              "Exit status 0: sealed, sealable or stopped; 1: open; 2: a line that does not parse, or no such file.",
      .examples = "stillarm replay sitting.log\nstillarm print 14 | stillarm replay -\n"
                  "stillarm replay --protocol-dir my-protocols sitting.log",
      .words_max = 1, .run = verb_replay },
    { .name = "print", .arguments = "SITTING", .summary = "print a sitting's event log",
      .help = "Writes the accepted events of one sitting to standard output, in the text form that `replay` reads. "
              "Comment lines name the protocol, where it goes its own way, and the subject at the top; at the end the "
              "result and what it is worth, remarks, and every attempt that was refused, with its rule; of a witnessed sitting its "
              "lapses and how it came out. Nothing is printed of one whose result the witness has not given, nor while two listeners have not both "
              "typed (exit status 3).",
      .examples = "stillarm print S-014\nstillarm print 14 > s14.log", .words_min = 1, .words_max = 1,
      .run = verb_print },
    { .name = "list", .arguments = "", .summary = "list the sittings, newest first",
      .help = "One sitting a line: number, opening, measurer, subject, protocol, state, readings that count of all "
              "taken, attempts that were refused, and where its review stands: open, before (it ended before this store could "
              "sign), unsigned, waiting, returned, countersigned, held (by its witness), given (its result).",
      .examples = "stillarm list\nstillarm list | grep open", .run = verb_list },
    { .name = "worth", .arguments = "SITTING", .summary = "what a sitting's readings and its average are worth",
      .help = "Prints where an average lies, how exact it is, the whole uncertainty budget, what pulls it one way and is "
              "not corrected, how likely it lies over the nearest boundary, and what one more reading would gain. Every "
              "reading has a row of its own. Where there is no average it says why. Nothing here changes a reading.",
      .examples = "stillarm worth S-014\nstillarm worth 14", .words_min = 1, .words_max = 1, .run = verb_worth },
    { .name = "why", .arguments = "[ID]", .summary = "who says so: what a rule, a number, an item or a source rests on",
      .help = "ID is what refusals, remarks, protocol files and sources are called: rest.short, margin_mmhg, PALP-2. Says "
              "what it means, its value under each protocol (or under --protocol alone), who says so, how that was seen, "
              "and what other bodies say. Without an ID: all of them. An unknown one: exit status 2, and those near it.",
      .examples = "stillarm why rest.short\nstillarm why margin_mmhg --protocol us-adult\nstillarm why PALP-2\n"
                  "stillarm why --markdown > sources.md",
      .options = BIT(OPTION_PROTOCOL) | BIT(OPTION_MARKDOWN), .words_max = 1, .run = verb_why },
    { .name = "protocols", .arguments = "[ID]", .summary = "list the protocols, or show one with its sources",
      .help = "Without an ID: each protocol, its title, and in how many places it goes its own way. With one: every "
              "number with the body it comes from, its source and its status, what other bodies say that differs, and "
              "each place where it departs from its own source or from the protocol it was copied from.",
      .examples = "stillarm protocols\nstillarm protocols us-adult\nstillarm protocols --protocol-dir my-protocols",
      .words_max = 1, .run = verb_protocols },
    { .name = "kit",
      .arguments = "[list | add gauge ID | add cuff ID LOW HIGH | check GAUGE leak|zero VALUE | check GAUGE"
                   " comparison REFERENCE=READING ... | calibrated GAUGE | due GAUGE DATE | interval [MONTHS] | bladder CUFF WxL | retire ID]",
      .summary = "gauges and cuffs: list, add, check, calibrate, retire",
      .help = "Without words, or with `list`: what is at hand; --all shows what was retired too.\n"
              "add gauge: --top is the top of its scale in mmHg (300 unless given), --due the day its calibration "
              "ends (YYYY-MM-DD, must be given).\n"
              "add cuff: LOW and HIGH are its marked range, `22` (cm) or `8.5in`; "
              "--bladder is the width and length of its bladder, `16x30` (cm) or `6.3x11.8in`.\n"
              "check: leak in mmHg a minute, zero as the mmHg that the needle lies off it, comparison as 2 to 12 points "
              "REFERENCE=READING in mmHg (or the largest difference alone); --date if not today. Whether that is beyond "
              "the usual protocol's limit is said at once.\n"
              "calibrated: today, or on --date; it holds for the site's interval. due: the day it ends, as on the label.\n"
              "interval: months between calibrations, 1 to 24 (6 unless set). bladder: of a cuff that is here already.\n"
              "retire: no longer offered; past sittings keep it. Signed by who is in charge: a preceptor or, while none has a PIN "
              "here, a technician; --by says who, the PIN is asked for.",
      .examples = "stillarm kit\nstillarm kit add gauge g2 --top 300 --due 2031-09-01 --name \"booth 2\"\n"
                  "stillarm kit add cuff adult 27 34 --bladder 16x30\nstillarm kit check g2 leak 2\n"
                  "stillarm kit check g2 zero 0\nstillarm kit check g2 comparison 50=50 100=102 150=151 200=201 250=250\n"
                  "stillarm kit calibrated g2\nstillarm kit interval 6\nstillarm kit retire g1",
      .options = BIT(OPTION_NAME) | BIT(OPTION_TOP) | BIT(OPTION_DUE) | BIT(OPTION_DATE) | BIT(OPTION_ALL) | BIT(OPTION_BLADDER) |
                 BIT(OPTION_BY),
      .words_max = 15, .run = verb_kit },
    { .name = "people", .arguments = "[list | add ID NAME | role ID ROLE | pin ID | reset ID | retire ID]",
      .summary = "who measures here: list, add, roles, PINs, retire",
      .help = "Without words, or with `list`: the people of this store, their keys, and who vouches for a preceptor; --all shows "
              "those retired too.\n"
              "add: ID is what stands in the log (letters, digits, dots, dashes; at most 32), NAME is shown.\n"
              "--role is trainee, technician (unless given) or preceptor.\n"
              "role: says anew what somebody is, as long as that person never had a PIN: each key says the role of its owner for "
              "ever. Whoever set the store up is a technician until then.\n"
              "pin: sets a PIN, which begins a signing key, or changes it. It is typed blind at a prompt, or is a line of "
              "standard input; never on the command line. Wrong ones slow down the next try.\n"
              "reset: where a PIN is lost. A preceptor (--by PERSON) or the course's key (--course FILE) ends the key; what it "
              "signed stays valid, and the next PIN begins a new key. A preceptor then needs to be vouched for again.\n"
              "retire: no longer offered; past sittings keep the name. Signed by who is in charge: a preceptor or, while none "
              "has a PIN here, a technician; --by says who.",
      .examples = "stillarm people\nstillarm people add ana \"Ana Torres\" --role technician\nstillarm people role ana preceptor\n"
                  "stillarm people pin ana\n"
                  "stillarm people reset ben --by ina\nstillarm people retire ben --by ina",
      .options = BIT(OPTION_ROLE) | BIT(OPTION_ALL) | BIT(OPTION_BY) | BIT(OPTION_COURSE), .words_max = 3, .run = verb_people },
    { .name = "forget", .arguments = "CODE", .summary = "forget a subject's code; the sittings stay",
      .help = "Takes the code out of every sitting of this store. The sittings and their readings stay, and the events "
              "keep a scrambled form from which the code cannot be got back. It cannot be undone, so the code has to "
              "be typed again; --yes does without. Not reached: backups and prints made before, and notes in which "
              "somebody typed the code. Exit status 2: not confirmed; 3: no sitting has this code.",
      .examples = "stillarm forget s-031\nstillarm forget s-031 --yes", .options = BIT(OPTION_YES),
      .words_min = 1, .words_max = 1, .run = verb_forget },
    { .name = "review", .arguments = "[SITTING]", .summary = "read sittings as they happened; countersign or send back",
      .help = "Opens the queue of sittings that wait for a preceptor, or one sitting: what it came to, then act by act when, what "
              "was asked for, what was done, what was passed over or refused. j and k go from act to act, z and t to both ends, d to the next that "
              "stands out, f unfolds what was looked at in a run, enter comments on one, 1 countersigns (reviewed the record), 2 "
              "too (was present), r sends back to the measurer, m adds what the measurer says, g gives a signature that "
              "is owed, e gives a witnessed result, n goes on to the next. Each is signed under its person's PIN, with "
              "how long the record lay open. An open sitting can be watched, not steered.\n"
              "In the queue w, r, s, h, o and a choose which sittings, f narrows by person, day, purpose and state, p says "
              "who reads: what the reader measured does not wait for the reader.",
      .examples = "stillarm review\nstillarm review S-014\nstillarm review --plain",
      .words_max = 1, .run = verb_review },
    { .name = "sign", .arguments = "SITTING", .summary = "give the signature that is owed for a sitting",
      .help = "For a sitting that ended without it: whoever measured, or of a witnessed sitting the witness, is asked for the "
              "PIN. What is signed is the record as it stands; the review can begin then.",
      .examples = "stillarm sign S-014\nstillarm sign 14", .words_min = 1, .words_max = 1, .run = verb_sign },
    { .name = "keys", .arguments = "[list | course FILE | vouch PERSON | export [FILE]]",
      .summary = "signing keys: list, vouch for a preceptor, export the public ones",
      .help = "Without words, or with `list`: every key that this store knows, by its beginning, and who vouches for it. The "
              "first preceptor who begins a key in a store is self-declared; each later one can do nothing of a preceptor "
              "until vouched for.\n"
              "course: makes the course's key, once, in a file that its PIN seals. It needs no store; keep it off the booths.\n"
              "vouch: says that this key is the preceptor's own, with the course's key (--course FILE) or as another preceptor "
              "(--by PERSON). Both at once where the course's key is new to a store that has a preceptor with standing: that "
              "preceptor takes it in.\n"
              "export: the public keys with the statements about them, for `verify --keys` elsewhere; to standard output "
              "unless FILE is given. Existing files are not touched.",
      .examples = "stillarm keys\nstillarm keys course course.key\nstillarm keys vouch eva --course course.key --by eva\n"
                  "stillarm keys vouch ina --by eva\nstillarm keys export booth2.keys",
      .options = BIT(OPTION_BY) | BIT(OPTION_COURSE), .words_max = 2, .run = verb_keys },
    { .name = "export", .arguments = "SITTING [FILE]", .summary = "write a sitting with its signatures into a file",
      .help = "Writes one sitting that has ended, with its protocol, its refused attempts and everything signed about it, in the "
              "text form of docs/export-files.md. `-` or nothing: standard output. A file that is there is left as it is; a "
              "witnessed sitting is refused until its witness gives its result. `verify` checks such a file, also on a machine that "
              "has nothing but it and the keys.",
      .examples = "stillarm export S-014 s14.sitting\nstillarm keys export booth2.keys\n"
                  "stillarm verify s14.sitting --keys booth2.keys",
      .words_min = 1, .words_max = 2, .run = verb_export },
    { .name = "verify", .arguments = "[SITTING | FILE]", .summary = "check every chain, signature and reading that is recorded",
      .help = "Without words: the store's file, every statement and its signature, every event in its chain, and each sitting "
              "replayed under the protocol kept with it against all that is stored of it. SITTING: that one alone. FILE, an "
              "exported sitting: with --keys by those keys alone, without it against the store, which is how it shows that the "
              "newest sittings were taken out (a file named like a number: ./14).\n"
              "Names everything that is wrong, the first of it again at the end. Of one sitting in which nothing is, it says who "
              "signed what, and how far a preceptor is vouched for. What is not signed yet, or is older than "
              "signing, is counted and is not wrong. Exit status 0: right; 1: something is wrong; 3: it cannot be read.",
      .examples = "stillarm verify\nstillarm verify S-014\nstillarm --db copy.db verify\nstillarm verify s14.sitting\n"
                  "stillarm verify s14.sitting --keys booth2.keys",
      .options = BIT(OPTION_KEYS), .words_max = 1, .run = verb_verify },
    { .name = "agree", .arguments = "FILE.csv | -", .summary = "how far two listeners of the same inflations agree, from a CSV file",
      .help = "Reads pairs of values, one row a pair, and says for all rows and for each measurer how far the measurer's lie from the "
              "listener's: bias, limits of agreement, shares within 5, 10 and 15 mmHg, reliability, end digits, repeats, "
              "categories, learning. The first row names the columns: measurer, subject, measurer_systolic, "
              "measurer_diastolic, listener_systolic, listener_diastolic, in any order and among others; `-` is standard input. "
              "docs/agreement.md has the form and the formulas. It needs no store and changes none.\n"
              "The first row that is not as it must be ends it, with line and column; --skip-bad leaves such rows out and counts "
              "them. --plot draws --graph difference (unless another is named), digits, or learning, the last of one measurer. "
              "--yardstick says by which plan learning is judged and which categories are meant.\n"
              "Exit status 2: a row, the header or the command line; 3: the file cannot be read, or changed meanwhile.",
      .examples = "stillarm agree pairs.csv\nstillarm agree pairs.csv --of ana --plot ana.pdf\n"
                  "stillarm agree - --json --skip-bad < pairs.csv",
      .options = BIT(OPTION_JSON) | BIT(OPTION_SKIP_BAD) | BIT(OPTION_OF) | BIT(OPTION_YARDSTICK) | BIT(OPTION_PLOT) | BIT(OPTION_GRAPH),
      .words_min = 1, .words_max = 1, .run = verb_agree },
    { .name = "progress", .arguments = "[PERSON]", .summary = "how those who measure are doing, and whether one of them is ready",
      .help = "Without PERSON: everybody who has measured or is expected to, a row each: sealed sittings, how many were clean, "
              "pairs with a second listener, bias, shares within 5 mmHg, zeros, and the answer by the yardstick. With one: the "
              "answer first (ready, not yet, too few), each criterion with who says so, then every figure of agreement with its "
              "limits, how often the learning curve errs, what was tried before its time, noted or void, and what has changed.\n"
              "Held sittings are counted and stand in no figure. docs/progress.md says which sittings and pairs count.\n"
              "--yardstick: another than trainee. --until DATE: as of that day (today unless given). --since DATE: what has "
              "changed since the end of that day (one month before unless given).\n"
              "--csv: a row a person, all figures. --json: everything, with every digit. --plot FILE.pdf, .png or .svg: one "
              "person's graph, --graph difference (unless given), digits, release or learning; a file that is there is left "
              "as it is.\n"
              "An aid to training: it certifies nobody; a preceptor decides.",
      .examples = "stillarm progress\nstillarm progress ana\nstillarm progress ana --since 2031-02-01\n"
                  "stillarm progress --csv > group.csv\nstillarm progress ana --plot ana.pdf --graph learning",
      .options = BIT(OPTION_CSV) | BIT(OPTION_JSON) | BIT(OPTION_YARDSTICK) | BIT(OPTION_SINCE) | BIT(OPTION_UNTIL) |
                 BIT(OPTION_PLOT) | BIT(OPTION_GRAPH),
      .words_max = 1, .run = verb_progress },
    { .name = "backup", .arguments = "FILE", .summary = "copy the store into a new file while it is in use",
      .help = "Writes a whole, consistent copy, even while a sitting runs. An existing file is not touched.",
      .examples = "stillarm backup /media/stick/booth2.db", .words_min = 1, .words_max = 1, .run = verb_backup },
    { .name = "demo", .arguments = "[--play]", .summary = "look around in a throw-away store of invented data",
      .help = "Fills a store in a temporary folder with invented people, kit and sittings, three months of a course among "
              "them, and opens the home page. The folder is removed at the end; what the PINs of its people are stands on "
              "its pages. --play runs a whole sitting by itself on the real screens, the clock sped up; every page says so. "
              "Keys still work: q ends it.",
      .examples = "stillarm demo\nstillarm demo --play", .options = BIT(OPTION_PLAY), .run = verb_demo },
    { .name = NULL },
};
