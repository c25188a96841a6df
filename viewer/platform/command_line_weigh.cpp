#include "command_line_weigh.h"

#include <string>

#include <CLI/CLI.hpp>

#include "command_line_handout.h"
#include "command_line_words.h"

namespace ringland::viewer {
namespace {

void add_weigh(CLI::App& app, AskedOfWeigh& asked, std::function<Exit()>& run) {
    auto* command = app.add_subcommand(
        "weigh", "An air check weighed: suspects with probability and size, reasons, what to do next, when to stop");
    auto& options = asked.weigh;
    command->add_option("map", options.map, "Unit map")->type_name("MAP")->required();
    command->add_option("readings", options.readings, "Readings file; without it: what to blow first")
        ->type_name("READINGS");
    command->add_option("--bench", options.bench, air_bench_help)->type_name("FILE");
    command
        ->add_option("--priors", options.priors,
                     "What is likely beforehand and how far a word is trusted; without it the shop's own "
                     "(ringland/priors.toml in the configuration folder) or defaults")
        ->type_name("FILE");
    command->add_flag("--json", options.json, json_help);
    command->footer("Examples:\n  ringland weigh assets-demo/larch-five.toml assets-demo/larch-five-readings.toml\n"
                    "  ringland weigh assets-demo/larch-five.toml\n"
                    "  ringland weigh assets-demo/larch-five.toml assets-demo/larch-five-readings.toml --json");
    command->callback([&asked, &run] { run = [&asked] { return run_weigh(asked.weigh); }; });
}

void add_cover(CLI::App& app, AskedOfWeigh& asked, std::function<Exit()>& run) {
    auto* command = app.add_subcommand(
        "cover", "What an air check of this unit can find and tell apart, and the shortest one that finds everything");
    auto& options = asked.cover;
    command->add_option("map", options.map, "Unit map")->type_name("MAP")->required();
    command
        ->add_option("--pressure", options.pressure,
                     "At the regulator, gauge, with its unit: 35psi, 240kPa, 2.4bar; without it the map's or the "
                     "bench's")
        ->type_name("FIGURE");
    command->add_option("--bench", options.bench, air_bench_help)->type_name("FILE");
    auto* card =
        command
            ->add_option("--card", options.card_file,
                         "The shortest check as a bench card to fill in: as text, or into FILE.pdf to print")
            ->expected(0, 1)
            ->type_name("[FILE.pdf]")
            ->check(CLI::Validator(
                [](const std::string& file) {
                    const bool pdf = file.size() > 4 && CLI::detail::to_lower(file.substr(file.size() - 4)) == ".pdf";
                    return file.empty() || pdf ? std::string{} : file + ": a card to print is a file that ends in .pdf";
                },
                ""));
    add_paper_options(*command, options.paper, options.language, options.units);
    command->add_flag("--json", options.json, json_help);
    command->footer("Examples:\n  ringland cover assets-demo/larch-five.toml\n"
                    "  ringland cover assets-demo/larch-five.toml --card --pressure 2.4bar\n"
                    "  ringland cover assets-demo/larch-five.toml --card card.pdf --paper a4 --language es");
    command->callback([&asked, &run, card] {
        asked.cover.card = card->count() > 0;
        run = [&asked] { return run_cover(asked.cover); };
    });
}

} // namespace

void add_weigh_commands(CLI::App& app, AskedOfWeigh& asked, std::function<Exit()>& run) {
    add_weigh(app, asked, run);
    add_cover(app, asked, run);
}

} // namespace ringland::viewer
