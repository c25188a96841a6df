#!/usr/bin/env bash
# Arrows run viewer -> diagnosis -> model-data and never back, and OpenGL, ImGui and GLFW stay in their rooms of the viewer.
set -euo pipefail
. "$(dirname "${BASH_SOURCE[0]}")/lib.sh"

# forbid ROOT FOLDER PATTERN REASON: no #include in FOLDER may match.
forbid() {
    [ -d "$1/$2" ] || return 0
    grep -rnE --include='*.h' --include='*.cpp' "^[[:space:]]*#[[:space:]]*include[[:space:]]*[<\"]($3)" "$1/$2" |
        sed "s|^$1/||; s|\$|   <- $4|" || true
}

arrows() {
    local screen='(.*/)?(epoxy|GL|GLES[0-9]*|EGL|GLFW)/|(.*/)?(imgui|glad|imgui_[a-z_0-9]*)' up='(\.\./)*'
    forbid "$1" model-data "$up(diagnosis|viewer|tests)/" "model-data knows nothing of the others"
    forbid "$1" diagnosis "$up(viewer|tests)/" "diagnosis knows nothing of the viewer"
    forbid "$1" viewer "$up""tests/" "the program knows nothing of its tests"
    forbid "$1" model-data "$screen" "no screen in model-data"
    forbid "$1" diagnosis "$screen" "no screen in diagnosis"
    forbid "$1" viewer/app "$screen" "no screen in viewer/app"
    forbid "$1" viewer/app "$up(viewer/)?(render|ui|platform)/" "viewer/app knows nothing of the rooms above it"
    forbid "$1" viewer/handout "$screen" "no screen in viewer/handout"
    forbid "$1" viewer/handout "$up(viewer/)?(render|ui|platform)/" "viewer/handout knows nothing of the rooms above it"
    forbid "$1" viewer/render "(.*/)?(imgui[a-z_0-9]*\\.h|GLFW/)" "ImGui and GLFW are not for the renderer"
    forbid "$1" viewer/render "$up(viewer/)?(ui|platform)/" "the renderer knows nothing of panels and windows"
    forbid "$1" viewer/ui "(.*/)?GLFW/" "GLFW stays in viewer/platform"
    forbid "$1" viewer/ui "$up(viewer/)?platform/" "panels know nothing of windows"
}

spoil() {
    mkdir -p "$1/model-data"
    echo '#include "../diagnosis/divide.h"' >"$1/model-data/wrong.h"
}
house_check arrows spoil
