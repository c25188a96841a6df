#include "command_line_air.h"

#include <string>

#include <CLI/CLI.hpp>

#include "command_line_words.h"

namespace ringland::viewer {
namespace {

/// An option that may stand several times and takes one word each time, so that a place behind it stays a place.
void add_list(CLI::App& command, const std::string& name, std::vector<std::string>& list, const std::string& says,
              const std::string& type) {
    command.add_option(name, list, says)->type_name(type)->allow_extra_args(false);
}

void add_common(CLI::App& command, AirOptions& options) {
    command.add_option("map", options.map, "Unit map")->type_name("MAP")->required();
    command
        .add_option(
            "--pressure", options.pressure,
            "At the regulator, gauge, with its unit: 35psi, 240kPa, 2.4bar; without it the map's or the bench's")
        ->type_name("FIGURE");
    add_list(command, "--seal", options.seals, "Imagine a hole in this seal; --hole says how large. May be repeated",
             "ID");
    add_list(command, "--hole", options.holes, "Its diameter with its unit: 3mm, .118in, 1/8in", "FIGURE");
    command.add_option("--bench", options.bench, air_bench_help)->type_name("FILE");
    command.add_flag("--json", options.json, json_help);
}

void add_expect(CLI::App& app, AskedOfAir& asked, std::function<Exit()>& run) {
    auto* command = app.add_subcommand("expect", "The expected chart: what a healthy unit shows, port by port");
    auto& options = asked.expect;
    add_common(*command, options);
    command->add_option("--into", options.into, "Only this port under air, in detail: port id, label or circuit name")
        ->type_name("PORT");
    command->footer("Examples:\n  ringland expect assets-demo/larch-five.toml\n"
                    "  ringland expect assets-demo/larch-five.toml --into P3 --pressure 2.4bar\n"
                    "  ringland expect assets-demo/larch-five.toml --into P3 --seal R3 --hole 3mm --json");
    command->callback([&asked, &run] { run = [&asked] { return run_expect(asked.expect); }; });
}

void add_air(CLI::App& app, AskedOfAir& asked, std::function<Exit()>& run) {
    auto* command = app.add_subcommand(
        "air", "One case: gauges, flows and words at every port, what the seals let by, and when what applies");
    auto& options = asked.air;
    add_common(*command, options);
    command->add_option("--into", options.into, "Port under air: port id, label or circuit name")
        ->type_name("PORT")
        ->required();
    add_list(*command, "--plug", options.plugged, "Close this port by plug or gauge. May be repeated", "PORT");
    add_list(*command, "--towel", options.towels, "Lay a towel over this port. May be repeated", "PORT");
    command->add_option("--seconds", options.seconds, "How long the trigger is held, 0.05 to 60 s")
        ->type_name("S")
        ->capture_default_str();
    command->footer("Examples:\n  ringland air assets-demo/larch-five.toml --into P3 --plug P4 --seal R3 --hole 3mm\n"
                    "  ringland air assets-demo/larch-five.toml --into low --towel coast --seconds 5 --json");
    command->callback([&asked, &run] { run = [&asked] { return run_air(asked.air); }; });
}

void add_leak_down(CLI::App& app, AskedOfAir& asked, std::function<Exit()>& run) {
    auto* command = app.add_subcommand(
        "leak-down", "Two gauges with a known orifice between them: reading to size of the leak, and back");
    auto& options = asked.leak_down;
    command->add_option("--supply", options.supply, "First gauge, with its unit: 80psi")
        ->type_name("FIGURE")
        ->required();
    command->add_option("--orifice", options.orifice, "Diameter of the orifice, with its unit: .040in")
        ->type_name("FIGURE")
        ->required();
    auto* ways = command->add_option_group("Ways", "One of the two");
    ways->add_option("--reading", options.reading, "Second gauge: how large is the leak?")->type_name("FIGURE");
    ways->add_option("--leak", options.leak, "Diameter of a leak: what does the second gauge read?")
        ->type_name("FIGURE");
    ways->require_option(1);
    command->add_flag(
        "--ideal", options.ideal,
        "Both holes as ideal ones of one coefficient, as leak-down tables are made; else a drilled orifice "
        "and a sharp-edged leak");
    command->add_option("--bench", options.bench, air_bench_help)->type_name("FILE");
    command->add_flag("--json", options.json, json_help);
    command->footer("Examples:\n  ringland leak-down --supply 80psi --orifice .040in --reading 60psi\n"
                    "  ringland leak-down --supply 80psi --orifice .040in --leak .040in --ideal");
    command->callback([&asked, &run] { run = [&asked] { return run_leak_down(asked.leak_down); }; });
}

void add_calibrate(CLI::App& app, AskedOfAir& asked, std::function<Exit()>& run) {
    auto* command = app.add_subcommand(
        "calibrate", "Set what this shop calls faint, clear and strong, by blowing through drilled holes");
    auto& options = asked.calibrate;
    command
        ->add_option("--pressure", options.pressure, "At the regulator, gauge, with its unit; without it the bench's")
        ->type_name("FIGURE");
    command
        ->add_option("--hole", options.trials,
                     "A hole drilled through a plate and what it sounded like: 1mm=faint. May be repeated; words: "
                     "nothing, faint, clear, strong")
        ->type_name("FIGURE=WORD")
        ->allow_extra_args(false)
        ->required();
    command->add_option("--bench", options.bench, air_bench_help)->type_name("FILE");
    command->add_option("-o,--output", options.file, "Bench file to write")->type_name("FILE");
    command->add_flag("--replace", options.replace, "Write over a file that is there");
    command->add_flag("--json", options.json, json_help);
    command->footer("Example:\n  ringland calibrate --pressure 35psi --hole .25mm=nothing --hole .5mm=faint --hole "
                    "1mm=faint --hole 1.5mm=clear --hole 3mm=strong -o bench.toml --replace");
    command->callback([&asked, &run] { run = [&asked] { return run_calibrate(asked.calibrate); }; });
}

} // namespace

void add_air_commands(CLI::App& app, AskedOfAir& asked, std::function<Exit()>& run) {
    add_expect(app, asked, run);
    add_air(app, asked, run);
    add_leak_down(app, asked, run);
    add_calibrate(app, asked, run);
}

} // namespace ringland::viewer
