#include "command_line.h"

#include <array>
#include <cstdio>
#include <exception>
#include <filesystem>
#include <functional>
#include <string>
#include <system_error>
#include <vector>

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "../../model-data/map_io.h"
#include "../../model-data/unit_map.h"
#include "../app/texts.h"
#include "animation.h"
#include "answers.h"
#include "command_line_air.h"
#include "command_line_handout.h"
#include "command_line_jobs.h"
#include "command_line_plan.h"
#include "command_line_road.h"
#include "command_line_weigh.h"
#include "command_line_words.h"
#include "window.h"

namespace ringland::viewer {
namespace {

constexpr const char* place_help = "port id, port label or circuit name, without regard to case";

/// All that a call can ask for; the parser fills it in, and `run` is what was chosen.
struct Wanted {
    OpenOptions open;
    DivideOptions divide;
    CheckOptions check;
    PictureOptions picture;
    ExportOptions out;
    AskedOfAir of_air;
    AskedOfWeigh of_weigh;
    AskedOfPlan of_plan;
    AskedOfJobs of_jobs;
    AskedOfHandout of_handout;
    RoadOptions road;
    std::function<Exit()> run;
};

void add_open(CLI::App& app, Wanted& asked) {
    auto* command = app.add_subcommand("open", "Open the window (also what ringland does without a word)");
    auto& options = asked.open;
    command->add_option("map", options.map, "Unit map to open")->type_name("MAP");
    // For tests and pictures of the window; not part of the daily tool, so not in the help.
    command->add_option("--script", options.script, "Commands to carry out at the start, one a line")->group("");
    command->add_option(
        "--records", options.records,
        "Where the shop's jobs are kept: a file, or postgresql://... (usual: RINGLAND_RECORDS, else the "
        "user's data folder)");
    command->add_option("--frame-log", options.frame_log, "Write number and time of every frame")->group("");
    command->add_option("--frames", options.frames, "Leave after so many frames")->group("");
    command->add_option("--width", options.width, "Width of the window, pixels")->group("");
    command->add_option("--height", options.height, "Height of the window, pixels")->group("");
    command->footer("Example:\n  ringland open assets-demo/larch-five.toml");
    command->callback([&asked] { asked.run = [&asked] { return run_window(asked.open); }; });
}

void add_divide(CLI::App& app, Wanted& asked) {
    auto* command = app.add_subcommand(
        "divide", "Which seals divide two ports, where they sit counted from both ends, and what is by design");
    auto& options = asked.divide;
    command->add_option("map", options.map, "Unit map")->type_name("MAP")->required();
    command->add_option("from", options.from, std::string("Got the air: ") + place_help)->type_name("FROM")->required();
    command->add_option("to", options.to, std::string("Here it came out: ") + place_help)->type_name("TO")->required();
    command->add_flag("--json", options.json, json_help);
    command->footer("Examples:\n  ringland divide assets-demo/larch-five.toml P3 P4\n"
                    "  ringland divide assets-demo/larch-five.toml P4 P3 --json");
    command->callback([&asked] { asked.run = [&asked] { return run_divide(asked.divide); }; });
}

void add_check(CLI::App& app, Wanted& asked) {
    auto* command = app.add_subcommand(
        "check", "Every complaint about unit maps, readings, bench, priors and stock files, as file:line:column");
    auto& options = asked.check;
    command->add_option("maps", options.maps, "Unit maps; air bench, priors and stock files too")
        ->type_name("MAP")
        ->required();
    command->add_option("--readings", options.readings, "Readings of an air check of the one map. May be repeated")
        ->type_name("FILE");
    command->add_flag("--json", options.json, json_help);
    command->footer("Examples:\n  ringland check assets-demo/larch-five.toml assets-demo/wren-three.toml\n"
                    "  ringland check assets-demo/larch-five.toml --readings assets-demo/larch-five-readings.toml");
    command->callback([&asked] { asked.run = [&asked] { return run_check(asked.check); }; });
}

void add_picture(CLI::App& app, Wanted& asked) {
    auto* command = app.add_subcommand("picture", "A picture with title, labels and legend, without a screen");
    auto& options = asked.picture;
    command->add_option("map", options.map, "Unit map")->type_name("MAP")->required();
    auto* from = command->add_option("--from", options.from, std::string("Got the air: ") + place_help)->type_name("P");
    auto* to = command->add_option("--to", options.to, std::string("Here it came out: ") + place_help)->type_name("P");
    to->needs(from);
    command->add_option("--view", options.view, "Where to look from; stack where both ports are given, else bench")
        ->transform(CLI::IsMember(view_words(), CLI::ignore_case))
        ->type_name("NAME");
    command->add_flag("--cut", options.section, "Half cut open, in any view");
    command->add_option("--explode", options.explode, "Taken apart along the axis: 0 together, 1 all free")
        ->check(CLI::Range(0.0, 1.0))
        ->type_name("0..1");
    command->add_option("--alone", options.alone, "Show these circuits alone, one or two; everything else fades")
        ->type_name("CIRCUIT")
        ->expected(1, 2);
    command->add_flag("--dimensions", options.dimensions, "Width, gap, groove and clearance of the ring that is shown");
    command->add_flag("--quick", options.quick, "As a moving frame is drawn: sooner there, less fine");
    command->add_option("--lying", options.lying, "How the unit lies; as the map says where not given")
        ->transform(one_of<model::Lying>())
        ->type_name("HOW");
    command->add_option("--size", options.size, "Pixels, at most 7680x4320")->type_name("WxH")->capture_default_str();
    command->add_option("--language", options.language, fmt::format("{}", fmt::join(language_codes(), " or ")))
        ->transform(CLI::IsMember(language_codes(), CLI::ignore_case))
        ->type_name("LANGUAGE")
        ->default_str("en");
    auto* theme = command->add_option("--theme", options.theme, "light or dark")
                      ->transform(CLI::IsMember(std::vector<std::string>{"light", "dark"}, CLI::ignore_case))
                      ->type_name("THEME")
                      ->capture_default_str();
    auto* ground = command->add_option("--ground", options.ground, "paper, white, or clear: an alpha channel")
                       ->transform(CLI::IsMember(ground_words(), CLI::ignore_case))
                       ->type_name("GROUND")
                       ->capture_default_str();
    command->add_flag("--for-print", options.for_print, "Light, on white without a shadow, with heavier lines")
        ->excludes(theme)
        ->excludes(ground);
    command->add_flag("--no-title", options.no_title, "Without the title");
    command->add_flag("--no-labels", options.no_labels, "Without labels, leader lines and the mark of the engine end");
    command->add_flag("--no-legend", options.no_legend, "Without the circuits' names and the note below");
    auto* window = command->add_flag("--with-window", options.with_window, "As the window shows it, panels and all");
    for (const char* other : {"--ground", "--for-print", "--no-title", "--no-labels", "--no-legend"})
        window->excludes(command->get_option(other));
    command->add_option("--seconds", options.seconds, "Of a film of the moving air, 0.2 to 30")
        ->check(CLI::Range(least_film_s, most_film_s))
        ->type_name("S")
        ->capture_default_str();
    command->add_option("--fps", options.frames_per_second, "Frames of a film in a second, 2 to 60")
        ->check(CLI::Range(least_film_rate, most_film_rate))
        ->type_name("N")
        ->capture_default_str();
    command->add_option("--script", options.script, "Commands to carry out first, one a line")->group("");
    command
        ->add_option("-o,--output", options.file,
                     "By its ending: .png; .svg, the stack's section as a vector drawing; .webp, "
                     "a film of the moving air; NAME-%03d.png, its frames")
        ->type_name("FILE")
        ->required();
    command->add_flag("--json", options.json, json_help);
    command->footer(
        "Examples:\n  ringland picture assets-demo/larch-five.toml -o bench.png\n"
        "  ringland picture assets-demo/larch-five.toml --from P3 --to P4 --view stack --size 1280x720 -o ring.png\n"
        "  ringland picture assets-demo/larch-five.toml --from P3 --to P4 --view stack -o stack.svg\n"
        "  ringland picture assets-demo/larch-five.toml --from P3 --to P4 --size 960x540 -o air.webp");
    command->callback([&asked] { asked.run = [&asked] { return run_picture(asked.picture); }; });
}

void add_export(CLI::App& app, Wanted& asked) {
    auto* command = app.add_subcommand("export", "The unit as glTF (.glb) for other 3D programs");
    auto& options = asked.out;
    command->add_option("map", options.map, "Unit map")->type_name("MAP")->required();
    command->add_option("-o,--output", options.file, "Binary glTF file to write")->type_name("FILE.glb")->required();
    command->add_flag("--json", options.json, json_help);
    command->footer("Example:\n  ringland export assets-demo/larch-five.toml -o larch-five.glb");
    command->callback([&asked] { asked.run = [&asked] { return run_export(asked.out); }; });
}

/// A word that is no command of this family: say so with the nearest one, since the parser would complain of something
/// else. `at` is the place of the word.
std::string complaint_about_command(const CLI::App& app, int argc, const char* const* argv, int at = 1) {
    if (argc <= at || argv[at][0] == '-') return {};
    std::vector<std::string> known;
    const std::string typed = argv[at];
    for (const auto* command : app.get_subcommands([](const CLI::App*) { return true; })) {
        known.push_back(command->get_name());
        if (known.back() == typed) return complaint_about_command(*command, argc, argv, at + 1);
    }
    if (known.empty()) return {};
    if (at == 1 && typed.find_first_of("./") != std::string::npos)
        return fmt::format("no command \"{}\". To open a map: ringland open {}", typed, typed);
    const std::string nearest = model::nearest_word(typed, known);
    if (!nearest.empty()) return fmt::format("no command \"{}\". Did you mean {}?", typed, nearest);
    return fmt::format("no command \"{}\". The commands: {}", typed, CLI::detail::join(known, ", "));
}

int wrong_usage(const std::string& what, const std::string& command) {
    fmt::print(stderr, "ringland{}: {}\nTry: ringland{} --help\n", command, what, command);
    return static_cast<int>(Exit::wrong_usage);
}

/// The command that was chosen, the innermost of a family; `name` is what a person typed for it.
const CLI::App* chosen_command(const CLI::App& app, std::string& name) {
    const CLI::App* chosen = nullptr;
    for (auto all = app.get_subcommands(); !all.empty(); all = chosen->get_subcommands()) {
        chosen = all.front();
        name += " " + chosen->get_name();
    }
    return chosen;
}

/// Fills `asked` in; an exit code where there is nothing to run.
int parse(CLI::App& app, int argc, const char* const* argv, bool& run) {
    run = false;
    const std::string complaint = complaint_about_command(app, argc, argv);
    if (!complaint.empty()) return wrong_usage(complaint, "");
    try {
        app.parse(argc, argv);
    } catch (const CLI::CallForHelp&) {
        std::string name;
        const CLI::App* chosen = chosen_command(app, name);
        const std::string family = app.get_name() + name.substr(0, name.rfind(' ') == 0 ? 0 : name.rfind(' '));
        fmt::print("{}", chosen == nullptr ? app.help() : chosen->help(family));
        return 0;
    } catch (const CLI::CallForVersion& version) {
        fmt::print("{}\n", version.what());
        return 0;
    } catch (const CLI::ParseError& error) {
        std::string name;
        static_cast<void>(chosen_command(app, name));
        return wrong_usage(error.what(), name);
    }
    run = true;
    return 0;
}

/// The file of this program, as the system says it, else as it was called.
std::string own_program(const char* called) {
    std::error_code error;
    const auto file = std::filesystem::read_symlink("/proc/self/exe", error);
    return !error && std::filesystem::exists(file, error) ? file.string() : called;
}

} // namespace

std::vector<std::string> view_words() { return {"bench", "section", "stack", "follow"}; }
std::vector<std::string> ground_words() { return {"paper", "white", "clear"}; }

int run_command_line(int argc, const char* const* argv) {
    try {
        CLI::App app("The map of a unit's sealed circuits, and the ring between two ports.", "ringland");
        app.set_version_flag("--version", "ringland 0.1.0");
        app.require_subcommand(0, 1);
        app.footer("Examples:\n  ringland divide assets-demo/larch-five.toml P3 P4\n"
                   "  ringland expect assets-demo/larch-five.toml --into P3\n"
                   "  ringland check assets-demo/larch-five.toml\n"
                   "Exit code: 0 answered, 1 the input has a fault, 2 wrong usage. Each command has its own --help.");
        Wanted asked;
        if (argc > 0) asked.open.program = own_program(argv[0]);
        add_open(app, asked);
        add_divide(app, asked);
        add_air_commands(app, asked.of_air, asked.run);
        add_weigh_commands(app, asked.of_weigh, asked.run);
        add_road_command(app, asked.road, asked.run);
        add_plan_commands(app, asked.of_plan, asked.run);
        add_handout_commands(app, asked.of_handout, asked.run);
        add_jobs_commands(app, asked.of_jobs, asked.run);
        add_check(app, asked);
        add_picture(app, asked);
        add_export(app, asked);
        bool run = false;
        const int exit = parse(app, argc, argv, run);
        if (!run) return exit;
        const Exit answered = asked.run ? asked.run() : run_window(asked.open);
        // A full disk or a closed pipe shows only now; an answer that nobody got is none.
        if (std::fflush(stdout) != 0) return static_cast<int>(Exit::input_fault);
        return static_cast<int>(answered);
    } catch (const std::exception& error) {
        fmt::print(stderr, "ringland: {}\n", error.what());
        return static_cast<int>(Exit::input_fault);
    }
}

} // namespace ringland::viewer
