# Any file as a header with its bytes: cmake -DINPUT=FILE -DOUTPUT=FILE.h -DNAME=name -P embed_bytes.cmake
file(READ "${INPUT}" bytes HEX)
string(REGEX REPLACE "(..)" "0x\\1," bytes "${bytes}")
file(WRITE "${OUTPUT}" "// Made by the build from a file of the tree.\n#pragma once\n\n#include <array>\n\nnamespace ringland::viewer {\ninline constexpr auto ${NAME} = std::to_array<unsigned char>({${bytes}});\n} // namespace ringland::viewer\n")
