#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Install what is missing, build with both compilers and with sanitizers, run every test:  sh tests/run.sh [CTEST ARGS]
# Ends with ctest's own closing lines and the count of checks against outside sources; the exit status is ctest's.
set -eu

top=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd)

# shellcheck source=src/packages.sh
. "$top/src/packages.sh"
install_missing gcc clang cmake ninja-build pkg-config libc6-dev libncurses-dev libsqlite3-dev libsodium-dev \
    libinih-dev libjansson-dev libcairo2-dev libpango1.0-dev fonts-dejavu-core r-mathlib check libvterm-dev libgsl-dev \
    libssl-dev libargon2-dev sqlite3 mandoc poppler-utils r-base-core r-cran-psych

# Quiet unless it fails.
build() {
    dir=$top/build/$1
    shift
    mkdir -p "$dir"
    if ! { cmake -S "$top" -B "$dir" -G Ninja -DSTILLARM_WERROR=ON "$@" && cmake --build "$dir"; } >"$dir/build.log" 2>&1
    then
        cat "$dir/build.log" >&2
        echo "the build in $dir failed; the reason stands above" >&2
        exit 70
    fi
    echo "built $dir" >&2
}

mandoc -Tlint -W warning "$top/docs/stillarm.1" >&2
build clang -DCMAKE_C_COMPILER=clang -DCMAKE_BUILD_TYPE=RelWithDebInfo
# As src/run.sh builds it: at -O2 gcc sees more that may be wrong than at -O1.
build gcc -DCMAKE_C_COMPILER=gcc -DCMAKE_BUILD_TYPE=RelWithDebInfo
# -O1 without NDEBUG: the asserts are part of what is tested.
build asan -DCMAKE_C_COMPILER=gcc "-DCMAKE_C_FLAGS_RELWITHDEBINFO=-O1 -g" -DSTILLARM_SANITIZE=ON -DSTILLARM_TESTS=ON

cd "$top/build/asan"
status=0
ctest --output-on-failure -j2 "$@" || status=$?

# How well the checks against the world outside are founded, over all programs that made any.
awk '/^outside checks, / { at = index($0, ": "); n[substr($0, 17, at - 17)] += substr($0, at + 2); all += substr($0, at + 2) }
     END { for (how in n) printf "outside checks, %s: %d\n", how, n[how]; if (all) printf "outside checks, all: %d\n", all }' \
    Testing/Temporary/LastTest.log | sort
exit "$status"
