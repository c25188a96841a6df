#include "command_line_road.h"

#include <CLI/CLI.hpp>

#include "command_line_words.h"

namespace ringland::viewer {

void add_road_command(CLI::App& app, RoadOptions& asked, std::function<Exit()>& run) {
    auto* command = app.add_subcommand("road", "What a leak does on the road, gear by gear, and whether it must come "
                                               "out; or which leaks fit a driver's complaint");
    command->add_option("map", asked.map, "Unit map")->type_name("MAP")->required();
    auto* seal = command->add_option("--seal", asked.seal, "The seal that leaks: id or name")->type_name("SEAL");
    command
        ->add_option("--hole", asked.hole,
                     "As large as its air showed it, with its unit: 2mm, .080in; without it a table over several, and "
                     "where the verdict changes")
        ->type_name("FIGURE")
        ->needs(seal);
    command
        ->add_flag(
            "--both-ways", asked.both_ways,
            "The seal is a lip that is cut through; one that is worn, hard or folded over lets oil by only out of "
            "the circuit that it faces")
        ->needs(seal);
    command->add_option("--range", asked.range, "This range alone: id or name")->type_name("RANGE")->needs(seal);
    auto* complaint =
        command
            ->add_option(
                "--complaint", asked.complaints,
                "What the driver says of a range: slips, late, drags, binds, wrong-gear (=RANGE that it feels "
                "like), no-drive, harsh, or good; with \"hot\" behind it where it shows only hot. May be repeated")
            ->type_name("\"RANGE SYMPTOM\"")
            ->excludes(seal);
    command
        ->add_option("--priors", asked.priors,
                     "How often each kind of seal fails; without it the shop's own (ringland/priors.toml in the "
                     "configuration folder) or defaults")
        ->type_name("FILE")
        ->needs(complaint);
    command->add_flag("--json", asked.json, json_help);
    command->footer("Examples:\n  ringland road assets-demo/larch-five.toml --seal R3 --hole 2mm\n"
                    "  ringland road assets-demo/larch-five.toml --seal R3\n"
                    "  ringland road assets-demo/larch-five.toml --complaint \"3rd slips\" --complaint \"2nd good\"\n"
                    "  ringland road assets-demo/larch-five.toml --seal R3 --hole 2mm --range 2nd --json");
    command->callback([&asked, &run] { run = [&asked] { return run_road(asked); }; });
}

} // namespace ringland::viewer
