// What each command of the command line does, once its words are understood.
#pragma once

#include <string>
#include <vector>

#include "../app/session.h"

namespace ringland::viewer {

/// How the program ends.
enum class Exit { answered = 0, input_fault = 1, wrong_usage = 2 };

struct OpenOptions {
    std::string map;       ///< empty: no map yet
    std::string script;    ///< commands to carry out at the start, one a line
    std::string frame_log; ///< file for the number and time of every frame
    long frames = 0;       ///< leave after so many frames; 0: when the window is closed
    int width = 0, height = 0;
    std::string program; ///< the file of this program: it makes the customer's page, in a process of its own
    std::string records; ///< where jobs are kept; empty: the usual place, but nowhere where a script drives the window
};

struct DivideOptions {
    std::string map, from, to;
    bool json = false;
};

struct CheckOptions {
    std::vector<std::string> maps;
    std::vector<std::string> readings; ///< of the one map that is named
    bool json = false;
};

struct PictureOptions {
    std::string map, from, to, file, script;
    std::string view;  ///< empty: stack where both ports are given, bench otherwise
    std::string lying; ///< empty: as the map says
    std::string size = "1920x1080";
    std::string theme = "light";
    std::string ground = "paper"; ///< a word of ground_words
    bool section = false;
    double explode = 0;             ///< how far taken apart, 0 to 1
    std::vector<std::string> alone; ///< circuits shown alone, at most two
    bool dimensions = false;
    bool quick = false; ///< as a moving frame is drawn
    bool with_window = false;
    std::string language; ///< of the words; empty: English
    bool no_title = false, no_labels = false, no_legend = false;
    bool for_print = false;
    double seconds = 2, frames_per_second = 20; ///< of a film
    bool json = false;
};

struct ExportOptions {
    std::string map, file;
    bool json = false;
};

[[nodiscard]] Exit run_divide(const DivideOptions& options);
[[nodiscard]] Exit run_check(const CheckOptions& options);
[[nodiscard]] Exit run_picture(const PictureOptions& options);
[[nodiscard]] Exit run_export(const ExportOptions& options);

/// The words of --view, in the order of Viewpoint.
[[nodiscard]] std::vector<std::string> view_words();
/// The words of --ground, in the order of PictureGround.
[[nodiscard]] std::vector<std::string> ground_words();

} // namespace ringland::viewer
