#!/usr/bin/env bash
# Every C++ file is as clang-format would write it.
set -euo pipefail
. "$(dirname "${BASH_SOURCE[0]}")/lib.sh"

format() {
    local style
    style="$(dirname "${BASH_SOURCE[0]}")/../../.clang-format"
    house_files "$1" \( -name '*.h' -o -name '*.cpp' \) |
        xargs -r clang-format --style="file:$style" --dry-run 2>&1 | grep -E 'warning|error' || true
}

spoil() { printf 'int   main( ){return 0 ;}\n' >"$1/wrong.cpp"; }
house_check format spoil
