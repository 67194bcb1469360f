/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file main.c  Sets the locale, so that the terminal's characters are known, and how a full disk is met; then the verbs take over. */
#include <locale.h>
#include <signal.h>

#include "command/command.h"

int main(int argc, char **argv)
{
    setlocale(LC_ALL, "");
    /* A file at its size limit then fails to grow, which the store says in words, instead of ending the program. */
    signal(SIGXFSZ, SIG_IGN);
    return command_main(argc, argv);
}
