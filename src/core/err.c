/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "stillarm/err.h"

#include <stdarg.h>
#include <stdio.h>

#include "stillarm/text.h"

enum status err_set(struct err *e, enum status code, const char *format, ...)
{
    if (!e)
        return code;
    /* Formatted aside first: an outer layer may well wrap the text that e already holds. */
    char said[sizeof e->text];
    va_list args;
    va_start(args, format);
    int n = vsnprintf(said, sizeof said, format, args);
    va_end(args);
    if (n < 0)
        said[0] = '\0';
    e->code = code;
    (void)text_copy(e->text, sizeof e->text, said);
    if ((size_t)(n < 0 ? 0 : n) >= sizeof said) { /* cut by vsnprintf: perhaps inside a character */
        char whole[sizeof e->text];
        (void)text_copy(whole, sizeof whole - 1, said);
        (void)text_copy(e->text, sizeof e->text, whole);
    }
    text_defuse(e->text); /* what it quotes may come from a file name, an argument or a damaged store */
    return code;
}
