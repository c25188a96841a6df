#!/usr/bin/env bash
# No variable outlives a call without being part of the session: no mutable globals, no function-static state.
set -euo pipefail
. "$(dirname "${BASH_SOURCE[0]}")/lib.sh"

# A word list catches the usual ways in; it does not read C++.
no_hidden_state() {
    local folder
    for folder in model-data diagnosis viewer; do
        [ -d "$1/$folder" ] || continue
        grep -rnE --include='*.h' --include='*.cpp' '^[[:space:]]*(inline )?(static|thread_local)[[:space:]]+[^()]*(=|;|\{)' \
            "$1/$folder" | grep -vE '\b(constexpr|const|consteval)\b|static_assert' | sed "s|^$1/||" || true
    done
}

spoil() {
    mkdir -p "$1/viewer"
    printf 'int next() {\n    static int count = 0;\n    return ++count;\n}\n' >"$1/viewer/wrong.cpp"
}
house_check no_hidden_state spoil
