#include "command_line.h"

int main(int argc, char** argv) { return ringland::viewer::run_command_line(argc, argv); }
