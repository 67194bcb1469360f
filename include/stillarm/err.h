/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file err.h  A typed failure that carries what, where, why and what to do, in words. */
#ifndef STILLARM_ERR_H
#define STILLARM_ERR_H

#define MUST_USE __attribute__((warn_unused_result))
#define ARRAY_LEN(a) (sizeof(a) / sizeof((a)[0]))

enum status {
    ST_OK,
    ST_SYNTAX,       /* a text does not have the form it must have */
    ST_RANGE,        /* a value lies outside its bounds */
    ST_NOT_FOUND,    /* nothing of that name */
    ST_EXISTS,       /* something of that name is already there */
    ST_CONFLICT,     /* another process changed the same thing first */
    ST_FULL,         /* a fixed capacity, or the disk, is full */
    ST_IO,           /* reading or writing failed */
    ST_PERMISSION,   /* the system does not let us */
    ST_READ_ONLY,    /* it can be read but not written */
    ST_LOCKED,       /* another process holds it for longer than we wait */
    ST_NOT_A_STORE,  /* the file is no stillarm store */
    ST_NEWER,        /* written by a newer version of the program */
    ST_CORRUPT,      /* it contradicts itself */
    ST_NO_MEMORY,
    ST_USAGE,        /* the command line is not one we know */
    ST_PIN,          /* not the PIN, or too soon after wrong ones */
    ST_COUNT
};

struct err {
    enum status code;
    char text[600]; /* whole sentences: what, where, why, what to do */
};

/** Fill e (which may be NULL) and return code, so that `return err_set(...)` reads well. */
enum status err_set(struct err *e, enum status code, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

#endif
