/* SPDX-License-Identifier: GPL-3.0-or-later */
/* terminal/clock.h for tests: linked in place of src/terminal/clock.c, it shows the times that a test writes
 * into a file. */
#include "driven_clock.h"

#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

#include "terminal/clock.h"

#define SLICE_NS 2000000

static struct driven_clock *driven(void)
{
    static struct driven_clock *map;
    const char *path = getenv(DRIVEN_CLOCK_VARIABLE);
    int fd;
    void *at;

    if (map != NULL)
        return map;
    fd = path != NULL ? open(path, O_RDWR | O_CLOEXEC) : -1;
    at = fd >= 0 ? mmap(NULL, sizeof *map, PROT_READ | PROT_WRITE, MAP_SHARED, fd, 0) : MAP_FAILED;
    if (at == MAP_FAILED) {
        fprintf(stderr, "%s names no clock file\n", DRIVEN_CLOCK_VARIABLE);
        exit(99);
    }
    close(fd);
    map = at;
    return map;
}

int64_t clock_boot_ms(void)
{
    return atomic_load(&driven()->boot_ms);
}

int64_t clock_awake_ms(void)
{
    return atomic_load(&driven()->awake_ms);
}

int64_t clock_unix_ms(void)
{
    return atomic_load(&driven()->unix_ms);
}

void clock_boot_id(char out[40])
{
    strcpy(out, "driven-by-a-test");
}

void clock_set_speed(int factor)
{
    (void)factor; /* only the test moves this clock */
}

bool clock_wait(int fd, int64_t until_ms)
{
    for (;;) {
        struct pollfd in = {.fd = fd, .events = POLLIN};
        struct timespec slice = {.tv_nsec = SLICE_NS};
        sigset_t none;
        int ready;

        if (clock_boot_ms() >= until_ms)
            return poll(&in, 1, 0) > 0;
        sigemptyset(&none);
        ready = ppoll(&in, 1, &slice, &none);
        if (ready > 0)
            return true;
        if (ready < 0)
            return false;
        atomic_fetch_add(&driven()->slices, 1);
    }
}
