/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How a moment of the wall clock is written down. Apart from clock.c, so that another clock can be linked
 * without it. */
#include <stdio.h>
#include <time.h>

#include "terminal/clock.h"

static struct tm local(int64_t unix_ms, long *offset_s)
{
    int64_t s = unix_ms / 1000 - (unix_ms % 1000 < 0 ? 1 : 0);
    time_t t = (time_t)s;
    struct tm tm = {.tm_mday = 1};

    if (localtime_r(&t, &tm) == NULL)
        tm = (struct tm){.tm_year = 70, .tm_mday = 1};
    *offset_s = tm.tm_gmtoff;
    return tm;
}

void clock_stamp(int64_t unix_ms, char *out, size_t cap)
{
    long offset_s;
    struct tm tm = local(unix_ms, &offset_s);
    long minutes = (offset_s < 0 ? -offset_s : offset_s) / 60;

    snprintf(out, cap, "%04d-%02d-%02dT%02d:%02d:%02d%c%02ld:%02ld", tm.tm_year + 1900, tm.tm_mon + 1,
             tm.tm_mday, tm.tm_hour, tm.tm_min, tm.tm_sec, offset_s < 0 ? '-' : '+', minutes / 60,
             minutes % 60);
}

int32_t clock_day(int64_t unix_ms)
{
    long offset_s;
    struct tm tm = local(unix_ms, &offset_s);

    return (int32_t)((tm.tm_year + 1900) * 10000 + (tm.tm_mon + 1) * 100 + tm.tm_mday);
}

void clock_hhmm(int64_t unix_ms, char out[8])
{
    long offset_s;
    struct tm tm = local(unix_ms, &offset_s);

    snprintf(out, 8, "%02u:%02u", (unsigned)tm.tm_hour % 100U, (unsigned)tm.tm_min % 100U);
}
