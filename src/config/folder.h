/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file folder.h  Where protocols and what belongs to them lie. */
#ifndef STILLARM_CONFIG_FOLDER_H
#define STILLARM_CONFIG_FOLDER_H

#include <stdbool.h>

#include "config/lines.h"
#include "stillarm/err.h"

#define PATH_CAP 1024
#define FILES_MAX 128

/** FOLDER/NAME; false where that is too long. */
bool path_join(char out[PATH_CAP], const char *folder, const char *name);

/** The folder of protocols: dir, or the one that is set, or the program's own. */
bool protocols_folder(const char *dir, char out[PATH_CAP]);

/** A file beside the protocols, or above them. */
bool find_beside(const char *dir, const char *name, char out[PATH_CAP]);

/** A file or folder of what came with the program. */
bool find_shipped(const char *name, char out[PATH_CAP]);

/** The folder of what a site writes itself ($STILLARM_SITE, else $XDG_CONFIG_HOME/stillarm, else ~/.config/stillarm); false
 *  where there is no home or the path is too long. It need not be there. */
bool site_folder(char out[PATH_CAP]);

/** Two paths of one file or folder. */
bool is_same_file(const char *a, const char *b);

/** A file's name in messages: nothing in it may steer a terminal. */
const char *shown_name(const char *name);

struct names {
    char *list[FILES_MAX]; /* malloc'ed */
    int count;
};

/** The files whose names end in suffix, in order of their names, so that which of two twins is kept does not depend on
 *  the file system. */
enum status list_files(const char *dir, const char *suffix, struct names *out, struct faults *f, struct err *e) MUST_USE;
void names_free(struct names *names);

#endif
