/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "stillarm/worth.h"

const char *const SIDE_WORDS[SIDE_COUNT] = {"systolic", "diastolic"};
const char *const SHAPE_WORDS[] = {"rectangular", "normal", "t"};
