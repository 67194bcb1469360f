#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Print one line per source file, from each file's own first words, for the end of docs/architecture.md:
#   sh tests/architecture.sh          print
#   sh tests/architecture.sh --write  put them in place
set -eu
top=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd)
cd "$top"

# A file says what it is in its @file line, or in the comment after its SPDX line; a .c without one is its header's.
says() {
    sed -n '1,12{
        s@^/\*\* \@file [^ ]*  *\(.*\)$@\1@p
        s@^ \* \@file [^ ]*  *\(.*\)$@\1@p
    }' "$1" | head -n 1 | sed 's@ *\*/$@@'
}
comment() {
    sed -n '2,4s@^/\* *\(.*\)$@\1@p' "$1" | head -n 1 | sed 's@ *\*/$@@'
}

list() {
    for file in include/stillarm/*.h src/main.c src/*/*.h src/*/*.c; do
        words=$(says "$file")
        [ -n "$words" ] || words=$(comment "$file")
        if [ -z "$words" ]; then
            header=$(printf '%s' "$file" | sed 's/\.c$/.h/')
            public=include/stillarm/$(basename "$header")
            if [ "$header" != "$file" ] && [ -f "$header" ]; then words="what $(basename "$header") promises"
            elif [ -f "$public" ]; then words="what $(basename "$public") promises"
            else words="see its head"; fi
        fi
        printf -- '- `%s`: %s\n' "$file" "$words"
    done
}

if [ "${1:-}" = --write ]; then
    sed '/^## One line per file/,$d' docs/architecture.md >docs/architecture.new
    { printf '## One line per file\n\nWritten by `sh tests/architecture.sh --write`.\n\n'; list; } >>docs/architecture.new
    mv docs/architecture.new docs/architecture.md
else
    list
fi
