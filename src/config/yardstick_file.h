/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file yardstick_file.h  A yardstick from its text, for the loader. Private to config. */
#ifndef STILLARM_CONFIG_YARDSTICK_FILE_H
#define STILLARM_CONFIG_YARDSTICK_FILE_H

#include "config/known.h"
#include "config/lines.h"
#include "stillarm/yardstick.h"

/**
 * Parse a yardstick file; every fault is told. A yardstick names one category scheme, looked up where schemes are known.
 * @param out      filled when sound, else untouched
 * @param id_line  line on which its id stands; set when sound
 */
enum status yardstick_text_parse(const char *text, const struct known *known, struct yardstick *out, int *id_line,
                                 struct faults *f) MUST_USE;

#endif
