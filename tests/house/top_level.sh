#!/usr/bin/env bash
# Nothing stands at the top level but the rooms of the house.
set -euo pipefail
. "$(dirname "${BASH_SOURCE[0]}")/lib.sh"

top_level() {
    local known=' CMakeLists.txt README.md DEVELOPERS.md model-data diagnosis viewer shaders tests assets-demo docs build '
    for entry in "$1"/*; do
        name=${entry##*/}
        [[ $known == *" $name "* ]] || echo "$name has no place at the top level"
    done
}

spoil() { : >"$1/Makefile"; }
house_check top_level spoil
