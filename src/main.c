/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file main.c  Sets the locale, so that the terminal's characters are known, and hands over to the verbs. */
#include <locale.h>

#include "command/command.h"

int main(int argc, char **argv)
{
    setlocale(LC_ALL, "");
    return command_main(argc, argv);
}
