# Shared by the checks of the house: which files there are, and how a check reports.

# Every source file of the tree given (default: this one), without what builds leave behind.
house_files() {
    local root=$1
    shift
    find "$root" \( -name .git -o -name 'build*' -o -name node_modules \) -prune -o -type f "$@" -print | sort
}

# A check is a function of a tree that prints its complaints. It must find something in a tree made wrong on purpose
# (else it is no check) and nothing in ours.
house_check() {
    local check=$1 spoil=$2 root wrong complaints
    root=$(cd "$(dirname "${BASH_SOURCE[0]}")/../.." && pwd)
    wrong=$(mktemp -d)
    # shellcheck disable=SC2064
    trap "rm -rf '$wrong'" EXIT
    "$spoil" "$wrong"
    if [ -z "$("$check" "$wrong")" ]; then
        echo "$check found nothing in a tree made wrong on purpose" >&2
        exit 1
    fi
    complaints=$("$check" "$root")
    if [ -n "$complaints" ]; then
        echo "$complaints" >&2
        exit 1
    fi
}
