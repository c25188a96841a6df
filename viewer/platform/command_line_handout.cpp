#include "command_line_handout.h"

#include <string>
#include <vector>

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "../app/texts.h"
#include "command_line_words.h"

namespace ringland::viewer {
namespace {

void add_bench_options(CLI::App& command, std::string& bench, std::string& priors) {
    command.add_option("--bench", bench, "Air bench; without it the shop's own or defaults")->type_name("FILE");
    command.add_option("--priors", priors, "What is likely beforehand; without it the shop's own or defaults")
        ->type_name("FILE");
}

void add_handout(CLI::App& app, AskedOfHandout& asked, std::function<Exit()>& run) {
    auto* command = app.add_subcommand(
        "handout", "The customer's page of a job: what was found and done, before and after, as PDF or for a browser");
    auto& options = asked.handout;
    command->add_option("job", options.job, "Job file")->type_name("JOB")->required();
    command->add_option("-o,--output", options.file, "By its ending: .pdf, or .html with a model that turns")
        ->type_name("FILE")
        ->required();
    add_paper_options(*command, options.paper, options.language, options.units);
    command
        ->add_option("--shop", options.shop,
                     "Name of the shop, at the head; without it the shop's own "
                     "(ringland/shop.toml in the configuration folder)")
        ->type_name("NAME");
    command->add_option("--logo", options.logo, "Its sign, a PNG; without it the shop's own")->type_name("FILE");
    command->add_flag("--no-model", options.no_model, "HTML without the model that turns: a smaller file");
    add_bench_options(*command, options.bench, options.priors);
    command->footer("Examples:\n  ringland handout assets-demo/larch-five-job.json -o report.pdf --paper a4\n"
                    "  ringland handout assets-demo/larch-five-job.json -o informe.pdf --language es --units bar-mm\n"
                    "  ringland handout assets-demo/larch-five-job.json -o report.html --shop \"Our shop\"");
    command->callback([&asked, &run] { run = [&asked] { return run_handout(asked.handout); }; });
}

void add_retest(CLI::App& app, AskedOfHandout& asked, std::function<Exit()>& run) {
    auto* command = app.add_subcommand(
        "retest", "The retest of a job beside its first test, and how likely it is that the fault is gone");
    auto& options = asked.retest;
    command->add_option("job", options.job, "Job file")->type_name("JOB")->required();
    add_bench_options(*command, options.bench, options.priors);
    command->add_flag("--json", options.json, json_help);
    command->footer("Examples:\n  ringland retest assets-demo/larch-five-job.json\n"
                    "  ringland retest assets-demo/larch-five-job.json --json");
    command->callback([&asked, &run] { run = [&asked] { return run_retest(asked.retest); }; });
}

} // namespace

void add_paper_options(CLI::App& command, std::string& paper, std::string& language, std::string& units) {
    command.add_option("--paper", paper, "letter or a4")
        ->transform(CLI::IsMember(std::vector<std::string>{"letter", "a4"}, CLI::ignore_case))
        ->type_name("SIZE")
        ->capture_default_str();
    command.add_option("--language", language, fmt::format("{}", fmt::join(language_codes(), " or ")))
        ->transform(CLI::IsMember(language_codes(), CLI::ignore_case))
        ->type_name("LANGUAGE")
        ->capture_default_str();
    command.add_option("--units", units, "psi-inch or bar-mm; without it as the bench thinks")
        ->transform(one_of<UnitSystem>())
        ->type_name("UNITS");
}

void add_handout_commands(CLI::App& app, AskedOfHandout& asked, std::function<Exit()>& run) {
    add_handout(app, asked, run);
    add_retest(app, asked, run);
}

} // namespace ringland::viewer
