/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file bundle.h  A protocol's text with all it leans on of other files, so that it means the same years later. */
#ifndef STILLARM_CONFIG_BUNDLE_H
#define STILLARM_CONFIG_BUNDLE_H

#include "config/protocol_text.h"

/** @return malloc'ed, the caller frees; NULL when there is no memory left */
char *bundle_text(const char *text, const struct protocol *p, const struct protocol_notes *notes);

#endif
