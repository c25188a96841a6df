#include "command_line.h"

#include <cstdlib> // says which C library this is
#if defined(__GLIBC__)
#include <malloc.h>
#endif

int main(int argc, char** argv) {
#if defined(__GLIBC__)
    // Pictures that the software renderer draws into go back to the system as soon as they are freed: left in the heap
    // they would be holes below what is still used.
    mallopt(M_MMAP_THRESHOLD, 1 << 20);
    mallopt(M_ARENA_MAX, 2); // a heap for every thread would keep what the threads gave back
#endif
    return ringland::viewer::run_command_line(argc, argv);
}
