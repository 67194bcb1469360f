#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Read by src/run.sh and tests/run.sh: install Debian packages that are not there yet, quietly.

install_missing() {
    missing=
    for package in "$@"; do
        case $(dpkg-query -W -f='${Status}' "$package" 2>/dev/null) in
        *' installed') ;;
        *) missing="$missing $package" ;;
        esac
    done
    [ -n "$missing" ] || return 0
    as_root=
    [ "$(id -u)" -eq 0 ] || as_root=sudo
    echo "installing:$missing" >&2
    # shellcheck disable=SC2086 # a list of package names
    if ! { $as_root apt-get update -qq &&
           $as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $missing; } >&2; then
        echo "These Debian packages are needed and could not be installed:$missing" >&2
        exit 69
    fi
}
