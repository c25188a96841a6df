#!/usr/bin/env bash
# The pages for users hold: what they link to is there, every picture is used, small, and made by docs/make-pictures, and the
# guide's keys are those of the program.
set -euo pipefail
. "$(dirname "${BASH_SOURCE[0]}")/lib.sh"

page_files() { find "$1" "$1/docs" "$1/assets-demo" -maxdepth 1 -name '*.md' 2>/dev/null | sort -u; }

links() {
    local page target
    page_files "$1" | while read -r page; do
        { grep -oE '\]\([^)]*\)' "$page" || true; } | sed -E 's/^\]\(//; s/[)#].*$//' | sort -u | while read -r target; do
            case $target in '' | http://* | https://*) continue ;; esac
            [ -e "${page%/*}/$target" ] || echo "${page#"$1"/}: links to $target, which is not there"
        done
    done
}

pictures() {
    local picture name
    find "$1/docs/pictures" -type f 2>/dev/null | sort | while read -r picture; do
        name=${picture##*/}
        page_files "$1" | xargs -r grep -qF "pictures/$name" || echo "docs/pictures/$name: no page shows it"
        grep -qE "^draw ${name%.png} |docs/pictures/$name" "$1/docs/make-pictures" 2>/dev/null || echo "docs/pictures/$name: docs/make-pictures does not make it"
        [ "$(stat -c %s "$picture")" -le 400000 ] || echo "docs/pictures/$name: above 400 kB"
    done
}

# As rows of a table: key, title.
keys_of_program() {
    { tr '\n' ' ' <"$1/viewer/app/actions.cpp" | grep -oE '\{"[a-z-]+", +marked\("[^"]+"\), +"[^"]+",' || true; } |
        sed -E 's/^\{"[a-z-]+", +marked\("([^"]+)"\), +"([^"]+)",$/| \2 | \1 |/' | sort
}
keys_of_guide() {
    { sed -n '/^### Keys/,/^## /p' "$1/docs/user-guide.md" | grep -E '^\| ' || true; } | grep -vE '^\| (key|0 to 9) \|' | sort
}
keys() {
    [ -e "$1/viewer/app/actions.cpp" ] || return 0
    [ -n "$(keys_of_program "$1")" ] || echo "viewer/app/actions.cpp: no table of actions found"
    comm -3 <(keys_of_program "$1") <(keys_of_guide "$1") |
        sed -E 's/^\t(.*)/docs\/user-guide.md: the program has no key: \1/; s/^(\|.*)/docs\/user-guide.md: lacks the key: \1/'
}

docs() {
    links "$1"
    pictures "$1"
    keys "$1"
}

spoil() {
    mkdir -p "$1/docs/pictures" "$1/viewer/app"
    echo '[there](docs/nowhere.md)' >"$1/README.md"
    : >"$1/docs/pictures/unused.png"
    echo '{"swap", marked("Swap direction"), "S", swap},' >"$1/viewer/app/actions.cpp"
    printf '### Keys\n\n| key | does |\n|---|---|\n| Q | Leave |\n\n## Next\n' >"$1/docs/user-guide.md"
    # Each of the three must find its own fault, and the keys both ways.
    [ -n "$(links "$1")" ] && [ "$(pictures "$1" | wc -l)" = 2 ] && [ "$(keys "$1" | wc -l)" = 2 ] || {
        echo "a check of the docs found nothing in a tree made wrong on purpose" >&2
        exit 1
    }
}
house_check docs spoil
