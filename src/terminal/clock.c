/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "terminal/clock.h"

#include <fcntl.h>
#include <signal.h>
#include <string.h>
#include <sys/select.h>
#include <sys/timerfd.h>
#include <time.h>
#include <unistd.h>

/* From the moment a speed is set every clock runs from its base at factor times its pace; unset is factor 1
 * from 0. */
enum { CLOCK_BOOT, CLOCK_AWAKE, CLOCK_UNIX, CLOCK_KINDS };
static const clockid_t SYSTEM[CLOCK_KINDS] = {
    [CLOCK_BOOT] = CLOCK_BOOTTIME, [CLOCK_AWAKE] = CLOCK_MONOTONIC, [CLOCK_UNIX] = CLOCK_REALTIME};
static struct {
    int64_t real_ms, shown_ms;
} base[CLOCK_KINDS];
static int speed = 1;

static int64_t real_ms(int kind)
{
    struct timespec ts = {0};

    clock_gettime(SYSTEM[kind], &ts);
    return (int64_t)ts.tv_sec * 1000 + ts.tv_nsec / 1000000;
}

static int64_t shown_ms(int kind)
{
    return base[kind].shown_ms + (real_ms(kind) - base[kind].real_ms) * speed;
}

int64_t clock_boot_ms(void)
{
    return shown_ms(CLOCK_BOOT);
}

int64_t clock_awake_ms(void)
{
    return shown_ms(CLOCK_AWAKE);
}

int64_t clock_unix_ms(void)
{
    return shown_ms(CLOCK_UNIX);
}

void clock_set_speed(int factor)
{
    for (int kind = 0; kind < CLOCK_KINDS; kind++) {
        int64_t real = real_ms(kind), shown = base[kind].shown_ms + (real - base[kind].real_ms) * speed;
        base[kind].real_ms = real;
        base[kind].shown_ms = shown;
    }
    speed = factor < 1 ? 1 : factor;
}

void clock_boot_id(char out[40])
{
    int fd = open("/proc/sys/kernel/random/boot_id", O_RDONLY | O_CLOEXEC);
    ssize_t n = fd < 0 ? 0 : read(fd, out, 39);

    if (fd >= 0)
        close(fd);
    out[n > 0 ? n : 0] = '\0';
    out[strcspn(out, "\n")] = '\0';
}

/* A timer of the boot clock, armed for a real moment: unlike a time-out, it is also right after a suspend. */
static int armed_timer(int64_t until_real_ms)
{
    static int fd = -1;
    struct itimerspec when = {.it_value = {.tv_sec = (time_t)(until_real_ms / 1000),
                                           .tv_nsec = (long)(until_real_ms % 1000) * 1000000}};

    if (fd < 0)
        fd = timerfd_create(CLOCK_BOOTTIME, TFD_NONBLOCK | TFD_CLOEXEC);
    if (fd >= 0 && timerfd_settime(fd, TFD_TIMER_ABSTIME, &when, NULL) != 0)
        return -1;
    return fd;
}

bool clock_wait(int fd, int64_t until_ms)
{
    int64_t now = clock_boot_ms();
    bool is_endless = until_ms == INT64_MAX;
    int64_t left_ms = is_endless ? 0 : (until_ms > now ? (until_ms - now + speed - 1) / speed : 0);
    struct timespec timeout = {.tv_sec = (time_t)(left_ms / 1000),
                               .tv_nsec = (long)(left_ms % 1000) * 1000000};
    struct timespec *limit = is_endless ? NULL : &timeout;
    int timer = is_endless || left_ms == 0 ? -1 : armed_timer(real_ms(CLOCK_BOOT) + left_ms);
    fd_set set;
    sigset_t none;

    if (fd < 0 || fd >= FD_SETSIZE || timer >= FD_SETSIZE)
        return false;
    FD_ZERO(&set);
    FD_SET(fd, &set);
    if (timer >= 0) {
        FD_SET(timer, &set);
        limit = NULL;
    }
    /* The terminal keeps its signals blocked; only here do they come in, so that none slips in between look
     * and wait. */
    sigemptyset(&none);
    if (pselect((timer > fd ? timer : fd) + 1, &set, NULL, NULL, limit, &none) <= 0)
        return false;
    return FD_ISSET(fd, &set);
}
