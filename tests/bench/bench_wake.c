/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file bench_wake.c  While the rest counts down: how often the program wakes, and how much memory it holds.
 */
#include "bench_kit.h"

#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

enum { WATCH_S = 10 };

int main(void)
{
    static const char STORE[] = "bench-100000.db";
    char copy[64], command[300];
    struct kit k;
    long before, after;

    /* On a copy: a sitting is opened and left. */
    full_store(STORE, 100000);
    snprintf(copy, sizeof copy, "bench-wake-%ld.db", (long)getpid());
    snprintf(command, sizeof command, "cp %s %s", STORE, copy);
    stop_if(system(command) != 0, "the store cannot be copied");
    start_program(&k, copy, "sit");
    drive_to_rest(&k);
    before = process_status(&k, "voluntary_ctxt_switches:");
    for (int i = 0; i < WATCH_S * 10; i++) {
        usleep(100000);
        kit_settle(&k, 0);
    }
    after = process_status(&k, "voluntary_ctxt_switches:");
    printf("wake-ups a second in the rest %.1f (goal 2)\n", (double)(after - before) / WATCH_S);
    printf("memory in a sitting %.1f MB now, %.1f MB at most (goal 8)\n",
           (double)process_status(&k, "VmRSS:") / 1024, (double)process_status(&k, "VmHWM:") / 1024);
    kit_signal(&k, 15);
    kit_stop(&k, 5000);
    snprintf(command, sizeof command, "rm -f %s %s-wal %s-shm", copy, copy, copy);
    return system(command) != 0;
}
