#!/usr/bin/env bash
# Away from Debian 12 the set-up lists what is needed and stops; on it, with everything installed, it is silent.
set -euo pipefail
root=$(cd "$(dirname "${BASH_SOURCE[0]}")/../.." && pwd)
strange=$(mktemp)
trap 'rm -f "$strange"' EXIT

printf 'ID=elsewhere\nVERSION_ID="3"\n' >"$strange"
if said=$(RINGLAND_OS_RELEASE=$strange "$root/viewer/set-up" "$root/viewer/packages.txt" 2>&1); then
    echo "set-up went on with a system that it does not know" >&2
    exit 1
fi
for package in libglfw3-dev libtomlplusplus-dev g++; do
    grep -qxF "  $package" <<<"$said" || { echo "the list does not name $package: $said" >&2; exit 1; }
done

printf 'ID=debian\nVERSION_ID="12"\n' >"$strange"
said=$(RINGLAND_OS_RELEASE=$strange "$root/viewer/set-up" "$root/viewer/packages.txt" 2>&1)
[ -z "$said" ] || { echo "set-up speaks where nothing is missing: $said" >&2; exit 1; }
