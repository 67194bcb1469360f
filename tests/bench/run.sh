#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Build without sanitizers, then print the speed of everything that has a goal:  sh tests/bench/run.sh
set -eu

top=$(CDPATH='' cd -- "$(dirname -- "$0")/../.." && pwd)

# shellcheck source=src/packages.sh
. "$top/src/packages.sh"
install_missing gcc cmake ninja-build pkg-config libc6-dev libncurses-dev libsqlite3-dev libsodium-dev \
    libinih-dev r-mathlib libjansson-dev libcairo2-dev libpango1.0-dev fonts-dejavu-core check libvterm-dev \
    r-base-core python3 python3-pandas python3-scipy

dir=$top/build/bench
mkdir -p "$dir"
cmake -S "$top" -B "$dir" -G Ninja -DCMAKE_C_COMPILER=gcc -DCMAKE_BUILD_TYPE=RelWithDebInfo -DSTILLARM_TESTS=ON >"$dir/build.log"
exec ninja -C "$dir" --quiet bench
