/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <signal.h>
#include <stddef.h>

#include "terminal/renderer.h"

static volatile sig_atomic_t hung_up;
static sigset_t mask_before;
static const int CAUGHT[] = {SIGHUP, SIGTERM, SIGINT};
static struct sigaction before[ARRAY_LEN(CAUGHT)], pipe_before;

static void on_hangup(int number)
{
    (void)number;
    hung_up = 1;
}

void signals_open(void)
{
    struct sigaction action = {.sa_handler = on_hangup}, ignore = {.sa_handler = SIG_IGN};
    sigset_t held;

    hung_up = 0;
    sigemptyset(&held);
    sigaddset(&held, SIGWINCH);
    sigemptyset(&action.sa_mask);
    sigemptyset(&ignore.sa_mask);
    for (size_t i = 0; i < ARRAY_LEN(CAUGHT); i++) {
        sigaddset(&held, CAUGHT[i]);
        sigaction(CAUGHT[i], &action, &before[i]);
        /* Who starts us with one of these ignored (nohup) means it. */
        if (before[i].sa_handler == SIG_IGN)
            sigaction(CAUGHT[i], &before[i], NULL);
    }
    sigaction(SIGPIPE, &ignore, &pipe_before);
    sigprocmask(SIG_BLOCK, &held, &mask_before);
}

void signals_close(void)
{
    /* A signal still held back must find our handler, not the default that kills: the caller is on its way
     * out in order. */
    sigprocmask(SIG_SETMASK, &mask_before, NULL);
    if (hung_up)
        return; /* a terminal that goes away says so more than once, and there is still something to put away */
    for (size_t i = 0; i < ARRAY_LEN(CAUGHT); i++)
        sigaction(CAUGHT[i], &before[i], NULL);
    sigaction(SIGPIPE, &pipe_before, NULL);
}

bool signals_hung_up(void)
{
    return hung_up != 0;
}
