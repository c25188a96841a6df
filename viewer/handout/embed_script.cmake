# A script for the browser as a text constant: cmake -DINPUT=FILE -DOUTPUT=FILE.h -DNAME=name -P embed_script.cmake
# Without INPUT the text is empty, and pages say that they lack what it would do.
set(body "")
if(INPUT AND EXISTS "${INPUT}")
  file(READ "${INPUT}" body)
  string(REGEX REPLACE "//# sourceMappingURL=[^\n]*" "" body "${body}")
endif()
file(WRITE "${OUTPUT}" "// Made by the build.\n#pragma once\n#pragma GCC system_header\n\nnamespace ringland::viewer {\ninline constexpr char ${NAME}[] = R\"rl_script(${body})rl_script\";\n} // namespace ringland::viewer\n")
