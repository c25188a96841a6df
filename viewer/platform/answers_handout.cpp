#include "answers_handout.h"

#include <filesystem>
#include <future>

#include <fmt/format.h>
#include <webp/encode.h>

#include "../../diagnosis/retest.h"
#include "../../diagnosis/suspects/answer.h"
#include "../../model-data/job_entries.h"
#include "../../model-data/map_faults.h"
#include "../../model-data/map_io.h"
#include "../../model-data/whole_file.h"
#include "../handout/content.h"
#include "../handout/handout_html.h"
#include "../handout/handout_pdf.h"
#include "../handout/marks.h"
#include "answers_weigh.h"
#include "complain.h"
#include "handout_model.h"
#include "handout_pictures.h"
#include "retest_text.h"
#include "typed_words.h"
#include "user_bench.h"

namespace ringland::viewer {
namespace {

/// A job with its map, on the bench of the shop.
struct JobSetup {
    model::UnitMap map;
    model::AirBench bench;
    model::Priors priors;
};

std::optional<JobSetup> set_up(const Translator& tr, const model::Job& job, const std::string& bench_file,
                               const std::string& priors_file, const char* command) {
    auto read = model::read_map_text(job.map_toml, job.map_file.empty() ? tr("map of the job") : job.map_file);
    ChosenBench bench = choose_bench(bench_file);
    ChosenPriors priors = choose_priors(priors_file);
    complain(bench.faults, tr);
    complain(priors.faults, tr);
    if (!read.map) {
        complain(read.faults, tr);
        return std::nullopt;
    }
    if (!bench.bench || !priors.priors) return std::nullopt;
    if (read.map->ports.size() > most_ports_weighed || read.map->seals.size() > most_seals_weighed) {
        complain(command,
                 filled(tr("the unit has {0} ports and {1} seals; {2} and {3} at most are weighed"),
                        read.map->ports.size(), read.map->seals.size(), most_ports_weighed, most_seals_weighed));
        return std::nullopt;
    }
    for (const auto& check : job.checks) {
        const auto faults = model::check_readings(model::air_check(check), *read.map, tr("the job's readings"));
        for (const auto& fault : faults) {
            if (fault.severity != model::Severity::error) continue;
            complain({fault}, tr);
            return std::nullopt;
        }
    }
    return JobSetup{std::move(*read.map), std::move(*bench.bench), std::move(*priors.priors)};
}

bool metric(const model::Job& job, const JobSetup& setup) {
    const auto* check = model::last_check(job, model::CheckPurpose::before);
    return diagnosis::suspects::thinks_metric(check == nullptr ? model::AirCheck{} : model::air_check(*check),
                                              setup.map, setup.bench);
}

/// Pictures of a page, without the words that stand on them.
PagePicture page_picture(const Pixels& pixels) {
    std::uint8_t* bytes = nullptr;
    constexpr float quality = 88;
    const std::size_t size =
        WebPEncodeRGBA(pixels.rgba.data(), pixels.width, pixels.height, pixels.width * 4, quality, &bytes);
    PagePicture picture{"image/webp", std::string(reinterpret_cast<const char*>(bytes), size)};
    WebPFree(bytes);
    return picture;
}

/// The handout as one file for a browser; error text, empty on success.
std::string write_page(const Translator& tr, const model::Job& job, const model::UnitMap& map,
                       const diagnosis::Retest& retest, const HandoutOptions& options, Handout& handout) {
    PagePicture logo;
    if (!handout.logo_file.empty()) {
        std::string error;
        const Pixels pixels = read_logo(handout.logo_file, error);
        if (!error.empty()) return error;
        logo = page_picture(pixels);
    }
    const Setter setter;
    std::vector<PagePicture> pictures;
    constexpr double height = 218; // as on paper, so that words keep their size beside the picture
    for (auto& picture : handout.pictures) {
        picture.boxes = placed_marks(setter, picture, height * picture.pixels.width / picture.pixels.height, height);
        pictures.push_back(page_picture(picture.pixels));
    }
    PageModel model;
    if (!options.no_model && has_model_script())
        model = handout_model(tr, job, handout_seal(map, job, retest));
    else if (!options.no_model)
        complain("handout", tr("this program was built without npm, so the page has no model that turns"));
    const std::string page = handout_html(handout, pictures, logo, model);
    return model::write_whole_file(options.file, page.data(), page.size());
}

} // namespace

Exit run_handout(const HandoutOptions& options) {
    auto read = model::read_job_file(options.job);
    complain(read.faults, translator_of(options.language));
    if (!read.job) return Exit::input_fault;
    // Shapes stand beside the map; a job that travels with its map names it from where both lie.
    const std::filesystem::path map = read.job->map_file;
    if (!map.empty() && map.is_relative())
        read.job->map_file = (std::filesystem::path(options.job).parent_path() / map).string();
    return make_handout(*read.job, options);
}

Exit run_retest(const RetestOptions& options) {
    constexpr const char* command = "retest";
    const Translator english;
    auto read = model::read_job_file(options.job);
    complain(read.faults, english);
    if (!read.job) return Exit::input_fault;
    auto setup = set_up(english, *read.job, options.bench, options.priors, command);
    if (!setup) return Exit::input_fault;
    diagnosis::suspects::Weigher weigher(setup->map, setup->bench, setup->priors);
    const diagnosis::Retest retest = diagnosis::retest(weigher, *read.job);
    fmt::print("{}", options.json ? retest_json(setup->map, retest) + '\n'
                                  : retest_text(setup->map, retest, metric(*read.job, *setup)));
    if (retest.converged) return Exit::answered;
    complain(command, "the pressures of at least one case did not balance; do not trust these figures");
    return Exit::input_fault;
}

Exit make_handout(const model::Job& job, const HandoutOptions& options) {
    constexpr const char* command = "handout";
    const Translator tr = translator_of(options.language);
    const bool html = has_ending(options.file, ".html") || has_ending(options.file, ".htm");
    if (!html && !has_ending(options.file, ".pdf")) {
        complain(command, filled(tr("-o {0}: the file's name ends in .pdf or .html"), options.file));
        return Exit::wrong_usage;
    }
    auto setup = set_up(tr, job, options.bench, options.priors, command);
    if (!setup) return Exit::input_fault;
    const ChosenSign own = options.shop.empty() || options.logo.empty() ? choose_sign() : ChosenSign{};
    complain(own.faults, tr);
    HandoutWords words;
    words.shop = options.shop.empty() ? own.sign.name : options.shop;
    words.logo_file = options.logo.empty() ? own.sign.logo : options.logo;
    words.units = options.units.empty() ? (metric(job, *setup) ? UnitSystem::bar_mm : UnitSystem::psi_inch)
                                        : model::from_word<UnitSystem>(options.units).value_or(UnitSystem::psi_inch);
    // Weighing and drawing take about as long; where a finding says which seal it is, neither waits for the other.
    auto weighing = std::async(std::launch::async, [&setup, &job] {
        diagnosis::suspects::Weigher weigher(setup->map, setup->bench, setup->priors);
        return diagnosis::retest(weigher, job);
    });
    constexpr int print_height = 660; // of pictures that are 215 points high: 220 dots to the inch
    std::vector<HandoutPicture> pictures;
    const std::string found = handout_seal(setup->map, job, {});
    if (!found.empty()) pictures = handout_pictures(tr, job, found, print_height);
    const diagnosis::Retest retest = weighing.get();
    if (found.empty()) pictures = handout_pictures(tr, job, handout_seal(setup->map, job, retest), print_height);
    const HandoutAhead ahead = handout_ahead(setup->map, handout_seal(setup->map, job, retest), retest);
    Handout handout = handout_content(tr, setup->map, job, retest, ahead, words);
    handout.pictures = std::move(pictures);
    const std::string error =
        html ? write_page(tr, job, setup->map, retest, options, handout)
             : write_handout_pdf(options.file, handout, options.paper == "a4" ? PaperSize::a4 : PaperSize::letter);
    if (!error.empty()) {
        complain(command, error);
        return Exit::input_fault;
    }
    fmt::print("{}\n", options.file);
    if (retest.converged) return Exit::answered;
    complain(command, tr("the pressures of at least one case did not balance; do not trust its chances"));
    return Exit::input_fault;
}

} // namespace ringland::viewer
