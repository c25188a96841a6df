#!/usr/bin/env bash
# No source file grows past six hundred lines.
set -euo pipefail
. "$(dirname "${BASH_SOURCE[0]}")/lib.sh"

file_sizes() {
    house_files "$1" \( -name '*.h' -o -name '*.cpp' -o -name '*.glsl' -o -name '*.sh' \) | while read -r file; do
        lines=$(wc -l <"$file")
        [ "$lines" -le 600 ] || echo "${file#"$1"/}: $lines lines, at most 600: it holds more than one idea"
    done
}

spoil() { seq 601 >"$1/wrong.cpp"; }
house_check file_sizes spoil
