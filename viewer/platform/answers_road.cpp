// The road: the same computation as the window's, without a screen.
#include "answers_road.h"

#include <algorithm>
#include <array>
#include <optional>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "../../diagnosis/road/road_json.h"
#include "../../diagnosis/suspects/answer.h"
#include "../../diagnosis/suspects/tables.h"
#include "../../model-data/map_faults.h"
#include "../../model-data/map_io.h"
#include "../../model-data/spoken_names.h"
#include "complain.h"
#include "figures.h"
#include "road_text.h"
#include "user_bench.h"

namespace ringland::viewer {
namespace {

using namespace diagnosis::road;

/// Every seal is put on the road in every range.
constexpr std::size_t most_seals_driven = 160, most_ranges_driven = 60;
constexpr std::array<double, 4> table_mm{0.5, 1, 2, 3};

void complain_of(const model::FieldComplaint& complaint) {
    complain("road", fmt::format("{}: {}", complaint.what.english(), complaint.right.english()));
}

/// A range by id or name; a complaint where it is none.
std::optional<std::string> range_of(const model::UnitMap& map, const std::string& typed) {
    const model::SpokenNames names(map);
    std::string id = names.range(typed);
    if (!id.empty()) return id;
    complain_of(names.complaint_about_range(typed));
    return std::nullopt;
}

std::vector<std::string> words_in(const std::string& text) {
    std::vector<std::string> words;
    for (std::size_t at = text.find_first_not_of(' '); at != std::string::npos;) {
        const std::size_t end = text.find(' ', at);
        words.push_back(text.substr(at, end - at));
        at = text.find_first_not_of(' ', end);
    }
    return words;
}

/// "RANGE SYMPTOM": one complaint, or for "good" one of each sort that does not show. Nothing, and a complaint, where
/// it is not understood.
std::vector<model::Complaint> complaints_of(const model::UnitMap& map, const std::string& typed) {
    std::vector<std::string> words = words_in(typed);
    model::Complaint said;
    if (words.size() > 2 && words.back() == "hot") {
        said.hot_only = true;
        words.pop_back();
    }
    if (words.size() < 2) {
        complain("road", fmt::format("\"{}\" is no complaint: a range and what it does, as in \"3rd slips\"", typed));
        return {};
    }
    std::string symptom = words.back();
    words.pop_back();
    const auto range = range_of(map, fmt::format("{}", fmt::join(words, " ")));
    if (!range) return {};
    said.range = *range;
    if (symptom == "good") {
        said.absent = true;
        std::vector<model::Complaint> list(2, said);
        list[0].symptom = model::Symptom::slips;
        list[1].symptom = model::Symptom::drags;
        return list;
    }
    const std::size_t like = symptom.find('=');
    const bool has_like = like != std::string::npos;
    const std::string other = has_like ? symptom.substr(like + 1) : std::string();
    symptom = symptom.substr(0, like);
    const auto known = model::from_word<model::Symptom>(symptom);
    if (!known || (has_like && *known != model::Symptom::wrong_gear)) {
        complain("road",
                 fmt::format("\"{}\" is nothing that a range does: {}, good; of wrong-gear also which one, as in "
                             "wrong-gear=3rd",
                             words_in(typed).back(), fmt::join(model::words_of<model::Symptom>(), ", ")));
        return {};
    }
    said.symptom = *known;
    if (has_like) {
        const auto starts_in = range_of(map, other);
        if (!starts_in) return {};
        said.starts_in = *starts_in;
    }
    return {said};
}

Exit ask_seal(const model::UnitMap& map, const RoadOptions& options, bool metric) {
    const model::SpokenNames names(map);
    const std::string id = names.seal(options.seal);
    if (id.empty()) complain_of(names.complaint_about_seal(options.seal));
    std::optional<std::size_t> range;
    bool good = !id.empty();
    if (!options.range.empty()) {
        const auto found = range_of(map, options.range);
        good = good && found;
        if (found) range = index_of(map.ranges, *found);
    }
    std::vector<double> holes(table_mm.begin(), table_mm.end());
    if (!options.hole.empty()) {
        const auto figure = parse_hole(options.hole);
        if (!figure.value) complain("road", "--hole " + figure.why);
        good = good && figure.value;
        if (figure.value) holes = {figure.value->si() * 1e3};
    }
    if (!good) return Exit::wrong_usage;
    Road road(map);
    const std::size_t seal = index_of(map.seals, id);
    std::vector<RoadAnswer> answers;
    answers.reserve(holes.size());
    for (const double mm : holes)
        answers.push_back(road.ask({seal, mm, options.both_ways}, range, metric));
    const auto borders = road.borders({seal, 0, options.both_ways});
    for (const auto& warning : answers.front().warnings)
        complain("road", warning);
    fmt::print("{}", options.json           ? to_json(map, answers, borders) + '\n'
                     : options.hole.empty() ? road_table_text(map, answers, borders)
                                            : road_text(map, answers.front(), borders));
    if (std::all_of(answers.begin(), answers.end(), [](const RoadAnswer& a) { return a.converged; }))
        return Exit::answered;
    complain("road", "the pressures of at least one case did not balance; do not trust these figures");
    return Exit::input_fault;
}

Exit ask_complaints(const model::UnitMap& map, const RoadOptions& options, bool metric) {
    std::vector<model::Complaint> told;
    bool good = true;
    for (const auto& typed : options.complaints) {
        const auto more = complaints_of(map, typed);
        good = good && !more.empty();
        told.insert(told.end(), more.begin(), more.end());
    }
    if (!good) return Exit::wrong_usage;
    const ChosenPriors priors = choose_priors(options.priors);
    complain(priors.faults);
    if (!priors.priors) return Exit::input_fault;
    std::vector<double> sizes;
    sizes.reserve(diagnosis::suspects::size_count);
    for (std::size_t i = 0; i < diagnosis::suspects::size_count; ++i)
        sizes.push_back(diagnosis::suspects::size_mm(i));
    Complaints complaints(map, std::move(sizes));
    const ComplaintAnswer answer = complaints.rank(told, *priors.priors, metric);
    fmt::print("{}",
               options.json ? to_json(map, told, answer) + '\n' : complaints_text(map, told, answer, priors.file));
    return Exit::answered;
}

} // namespace

Exit run_road(const RoadOptions& options) {
    if (options.seal.empty() == options.complaints.empty()) {
        complain("road", "name a seal, as in --seal R3, or a complaint, as in --complaint \"3rd slips\"");
        return Exit::wrong_usage;
    }
    const model::ReadResult read = model::read_map(options.map);
    complain(read.faults);
    if (!read.map) return Exit::input_fault;
    const model::UnitMap& map = *read.map;
    if (map.seals.size() > most_seals_driven || map.ranges.size() > most_ranges_driven) {
        complain("road", fmt::format("this map has {} seals and {} ranges, and road takes {} and {} at most",
                                     map.seals.size(), map.ranges.size(), most_seals_driven, most_ranges_driven));
        return Exit::wrong_usage;
    }
    const bool metric = diagnosis::suspects::thinks_metric({}, map, {});
    return options.seal.empty() ? ask_complaints(map, options, metric) : ask_seal(map, options, metric);
}

} // namespace ringland::viewer
