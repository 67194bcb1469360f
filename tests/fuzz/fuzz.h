/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file fuzz.h  What a fuzz target offers, and how it says that something does not hold. */
#ifndef STILLARM_FUZZ_H
#define STILLARM_FUZZ_H

#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

/** Feed one input to the target; anything but a return of 0 is a find. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/** Holds in every build, also where assert() does not. */
#define HOLDS(condition) \
    do { \
        if (!(condition)) { \
            fprintf(stderr, "%s:%d: does not hold: %s\n", __FILE__, __LINE__, #condition); \
            abort(); \
        } \
    } while (0)

#endif
