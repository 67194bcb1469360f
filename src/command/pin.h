/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file pin.h  Asks for PINs: on a page, or on the terminal of a verb. Never from the command line or the environment. */
#ifndef STILLARM_COMMAND_PIN_H
#define STILLARM_COMMAND_PIN_H

#include "command/ui.h"
#include "store/signed.h"

/** No core file, no reading of this process by others: called once at the start. */
void pin_harden(void);

/**
 * Ask a person for her PIN on a page until it is right, or let her choose one where she has none.
 * @param why  `to finish S-014`
 * @param is_later  Tab gives up for now: ST_USAGE with *is_later set; may be NULL
 * @return ST_OK with *out; ST_USAGE: left
 */
enum status pin_ask(struct ui *ui, const char *person, const char *why, bool *is_later, struct signer **out,
                    struct err *e) MUST_USE;
/** Set the PIN of a person who has none, or change it: the old one is asked for first. ST_USAGE: left. */
enum status pin_change_ask(struct ui *ui, const char *person, struct err *e) MUST_USE;

/** The same for a verb: prompts on standard error; the terminal's echo is off, or one line of standard input is read where
 *  that is no terminal. */
enum status pin_read(const char *prompt, struct pin *out, struct err *e) MUST_USE;
/** A PIN to be kept from now on, asked for twice. whose: `ana's`, `the course's`. */
enum status pin_read_new(const char *whose, struct pin *out, struct err *e) MUST_USE;
enum status pin_read_for(struct store *store, const char *person, struct signer **out, struct err *e) MUST_USE;

/* ---- charge.c: who may do what is not everybody's ---- */

/** Which of the preceptors who have standing signs? Who was chosen last, or read last at the desk, is offered; one alone is not asked. */
enum status preceptor_ask(struct ui *ui, const char *why, char person[ITEM_CAP], struct signer **out, struct err *e) MUST_USE;

/** Do what only who is in charge may do: retire, another usual protocol. Asks on pages who it is and for the PIN.
 *  a->at is filled in. ST_USAGE: left. */
enum status charge_act(struct ui *ui, const struct act *a, const char *why, struct err *e) MUST_USE;
/** What only a preceptor may do: vouch, end a key. */
enum status preceptor_act(struct ui *ui, const struct act *a, const char *why, struct err *e) MUST_USE;
/** For a verb: by may be NULL where only one person can be meant. ST_USAGE names those who could. */
enum status charge_act_by(struct store *store, const char *by, const struct act *a, struct err *e) MUST_USE;
/** The act, signed by the key of a preceptor (by) or of the course (the file course). Both for a vouch: the course's key is new
 *  here, and that preceptor takes it in. */
enum status preceptor_act_by(struct store *store, const char *by, const char *course, const struct act *a,
                             struct err *e) MUST_USE;

/** Which moment is it, and its stamp. */
void moment_now(struct moment *m);
void stamp_now(char out[40]);

#endif
