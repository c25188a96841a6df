#include "command_line_plan.h"

#include <string>

#include <CLI/CLI.hpp>

#include "command_line_handout.h"
#include "command_line_words.h"

namespace ringland::viewer {
namespace {

constexpr const char* retest_bench_help =
    "Air bench, for the retest; without it the shop's own (ringland/bench.toml in the "
    "configuration folder) or defaults";

void add_plan(CLI::App& app, AskedOfPlan& asked, std::function<Exit()>& run) {
    auto* command = app.add_subcommand(
        "plan", "What comes off for a seal, minutes, what is renewed and ordered, the way back, the retest");
    auto& options = asked.plan;
    command->add_option("map", options.map, "Unit map")->type_name("MAP")->required();
    command
        ->add_option("what", options.what,
                     "Seals to reach and renew, parts to take off: ids or names. None: the suspects "
                     "of --readings")
        ->type_name("SEAL");
    command
        ->add_option("--readings", options.readings,
                     "Readings file: its suspects are weighed, and the cheapest order to look for them is shown")
        ->type_name("FILE");
    command
        ->add_option("--stock", options.stock,
                     "What lies on the shelf; without it the shop's own (ringland/stock.toml in the configuration "
                     "folder), where there is one")
        ->type_name("FILE");
    command->add_option("--bench", options.bench, retest_bench_help)->type_name("FILE");
    command
        ->add_option("--priors", options.priors,
                     "What is likely beforehand, for --readings; without it the shop's own or defaults")
        ->type_name("FILE");
    auto* json = command->add_flag("--json", options.json, json_help);
    command->add_option("-o,--output", options.file, "A work sheet to print and tick off, a .pdf, in place of the text")
        ->type_name("FILE")
        ->excludes(json);
    add_paper_options(*command, options.paper, options.language, options.units);
    command->footer("Examples:\n  ringland plan assets-demo/larch-five.toml R3\n"
                    "  ringland plan assets-demo/larch-five.toml R3 -o work-sheet.pdf --paper a4\n"
                    "  ringland plan assets-demo/larch-five.toml L1 second-servo --json\n"
                    "  ringland plan assets-demo/larch-five.toml --readings assets-demo/larch-five-readings.toml");
    command->callback([&asked, &run] { run = [&asked] { return run_plan(asked.plan); }; });
}

void add_measure(CLI::App& app, AskedOfPlan& asked, std::function<Exit()>& run) {
    auto* command = app.add_subcommand(
        "measure", "A measured figure against its limits: which size brings it in, what a sound ring lets by");
    auto& options = asked.measure;
    command->add_option("map", options.map, "Unit map")->type_name("MAP")->required();
    command->add_option("clearance", options.clearance, "Clearance of the map, by id or name")
        ->type_name("CLEARANCE")
        ->required();
    command->add_option("value", options.value, "Measured, with its unit: 4.1mm, .005in, 1/8in")
        ->type_name("FIGURE")
        ->required();
    command
        ->add_option("--fitted", options.fitted, "Size of the ring, plate, washer or pin that is in now, with its unit")
        ->type_name("FIGURE");
    command->add_option("--bench", options.bench, "Air bench, for the leak of a ring")->type_name("FILE");
    command->add_flag("--json", options.json, json_help);
    command->footer("Examples:\n  ringland measure assets-demo/larch-five.toml second-pin 4.1mm --fitted 61.4mm\n"
                    "  ringland measure assets-demo/larch-five.toml low-pack .073in\n"
                    "  ringland measure assets-demo/larch-five.toml input-ring-gap 0.5mm --json");
    command->callback([&asked, &run] { run = [&asked] { return run_measure(asked.measure); }; });
}

} // namespace

void add_plan_commands(CLI::App& app, AskedOfPlan& asked, std::function<Exit()>& run) {
    add_plan(app, asked, run);
    add_measure(app, asked, run);
}

} // namespace ringland::viewer
