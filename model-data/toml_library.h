// The TOML library with assertions that are exceptions. Every file that uses the library includes it by this header:
// two meanings of its assertions in one program would be settled by the linker, at random.
#pragma once

// The library's own assertions can be met by a damaged file ("x = ]"): they would end the program in one build and go
// on without a meaning in another. Here they are an exception in both.
namespace ringland::model {
struct ParserLost {};
} // namespace ringland::model
#undef NDEBUG
#define TOML_ASSERT(expression)                                                                                        \
    do {                                                                                                               \
        if (!(expression)) throw ::ringland::model::ParserLost{};                                                      \
    } while (false)
// Some stand in functions that promise not to throw; the damaged files of the tests reach none of those.
#if defined(__GNUC__) && !defined(__clang__)
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wterminate"
#endif
#include <toml++/toml.h>
#if defined(__GNUC__) && !defined(__clang__)
#pragma GCC diagnostic pop
#endif
