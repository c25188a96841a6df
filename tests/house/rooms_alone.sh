#!/usr/bin/env bash
# model-data and diagnosis are built where no graphics library can be found. Usage: rooms_alone.sh BUILD_FOLDER
set -euo pipefail
root=$(cd "$(dirname "${BASH_SOURCE[0]}")/../.." && pwd)
folder=$1/rooms-alone

# pkg-config finds nothing and the packages of the window are hidden, as if they were not installed.
export PKG_CONFIG_LIBDIR=/nonexistent
cmake -G Ninja -S "$root" -B "$folder" -DCMAKE_BUILD_TYPE=Release -DRINGLAND_VIEWER=OFF -DRINGLAND_TESTS=OFF \
    -DCMAKE_UNITY_BUILD=ON -DCMAKE_UNITY_BUILD_BATCH_SIZE=16 \
    -DCMAKE_DISABLE_FIND_PACKAGE_OpenGL=ON -DCMAKE_DISABLE_FIND_PACKAGE_glfw3=ON -DCMAKE_DISABLE_FIND_PACKAGE_imgui=ON >/dev/null
ninja -C "$folder" --quiet -j2
for library in "$folder"/model-data/libringland_model.a "$folder"/diagnosis/libringland_diagnosis.a; do
    [ -s "$library" ] || { echo "$library was not built" >&2; exit 1; }
    if nm -u "$library" 2>/dev/null | grep -E ' (gl[A-Z]|glfw|egl[A-Z]|epoxy_|_ZN5ImGui)'; then
        echo "$library calls a graphics library" >&2
        exit 1
    fi
done
