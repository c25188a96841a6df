#include "command_line.h"

#include <cstdlib> // says which C library this is
#if defined(__GLIBC__)
#include <malloc.h>
#endif

int main(int argc, char** argv) {
#if defined(__GLIBC__)
    // The software renderer frees large blocks in an order that leaves holes; given back one by one they cost no memory
    // at rest. Seen on the demo unit: 164 MiB in place of 217 to 260.
    mallopt(M_MMAP_THRESHOLD, 60000);
#endif
    return ringland::viewer::run_command_line(argc, argv);
}
