#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Install what is missing, build into build/, start the program:  sh src/run.sh [ARGS]
set -eu

top=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd)
build=$top/build

# shellcheck source=src/packages.sh
. "$top/src/packages.sh"
install_missing gcc cmake ninja-build pkg-config libc6-dev libncurses-dev libsqlite3-dev libsodium-dev libinih-dev r-mathlib \
    libjansson-dev libcairo2-dev libpango1.0-dev fonts-dejavu-core

log=$build/build.log
mkdir -p "$build"

# Building says nothing while it lasts.
if [ ! -x "$build/stillarm" ]; then
    echo 'building stillarm, half a minute the first time' >&2
elif [ -n "$(find "$top/src" "$top/include" -name '*.[ch]' -newer "$build/stillarm")" ]; then
    echo 'building stillarm' >&2
fi
if ! { cmake -S "$top" -B "$build" -G Ninja -DCMAKE_BUILD_TYPE=RelWithDebInfo &&
       cmake --build "$build" --target stillarm; } >"$log" 2>&1; then
    cat "$log" >&2
    echo "stillarm could not be built; the reason stands above and in $log" >&2
    exit 70
fi
exec "$build/stillarm" "$@"
