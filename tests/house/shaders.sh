#!/usr/bin/env bash
# Every file of shaders/ travels inside the program, whole. Usage: shaders.sh BUILD_FOLDER
set -euo pipefail
root=$(cd "$(dirname "${BASH_SOURCE[0]}")/../.." && pwd)
program=$1/ringland

count=0
for shader in "$root"/shaders/*.glsl; do
    [ -f "$shader" ] || continue
    count=$((count + 1))
    # The longest line is as good as a fingerprint.
    line=$(awk 'length > length(best) { best = $0 } END { print best }' "$shader")
    grep -qaF -- "$line" "$program" || { echo "${shader##*/} is not in the program" >&2; exit 1; }
done
[ "$count" -gt 0 ] || { echo "no shaders found" >&2; exit 1; }
