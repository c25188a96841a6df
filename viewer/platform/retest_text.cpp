#include "retest_text.h"

#include <algorithm>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "../../diagnosis/suspects/answer.h"
#include "../app/retest_words.h"
#include "../handout/content.h"
#include "json_text.h"
#include "text_lines.h"

namespace ringland::viewer {
namespace {

using diagnosis::Against;
using diagnosis::Retest;
using diagnosis::RetestRow;

std::string_view word(Against is) {
    switch (is) {
    case Against::unknown:
        return "not tested";
    case Against::as_expected:
        return "as expected";
    case Against::more:
        return "more";
    case Against::less:
        return "less";
    }
    return "";
}

/// A terminal has no colour to rely on: what is wrong stands in capitals.
std::string shouted(std::string words) {
    std::transform(words.begin(), words.end(), words.begin(),
                   [](char c) { return c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c; });
    return words;
}

std::string row_place(const Translator& tr, const model::UnitMap& map, const RetestRow& row) {
    std::string words = port_or_case_title(tr, map, row.into);
    for (const int port : row.plugged)
        words += fmt::format(", {} closed", map.ports[static_cast<std::size_t>(port)].id);
    return words;
}

nlohmann::ordered_json seen_json(const std::optional<model::Seen>& seen) {
    if (!seen) return nullptr;
    nlohmann::ordered_json json = nlohmann::ordered_json::object();
    if (seen->word) json["word"] = model::word(*seen->word);
    if (seen->not_sure) json["word"] = "not sure";
    if (seen->pressure) json["pressure_psi"] = seen->pressure->si() / model::psi(1).si();
    if (seen->flow_lpm) json["flow_lpm"] = *seen->flow_lpm;
    if (seen->applies_after_s) json["applies_after_s"] = *seen->applies_after_s;
    return json;
}

} // namespace

std::string retest_text(const model::UnitMap& map, const Retest& retest, bool metric) {
    const Translator tr;
    const UnitSystem units = metric ? UnitSystem::bar_mm : UnitSystem::psi_inch;
    const auto words = [&](const std::optional<model::Seen>& seen) {
        return seen ? seen_on_paper(tr, *seen, units) : std::string("·");
    };
    std::string text = unit_line(map);
    if (!retest.has_before) text += std::string(no_first_test) + '\n';
    if (!retest.has_after) text += std::string(not_tested_again) + '\n';
    if (!retest.rows.empty()) {
        text += '\n' + line_of(column("air into", 24) + column("at", 22) + column("good unit", 13) +
                               column("before", 13) + column("after", 13));
        std::size_t alike = 0;
        for (const RetestRow& row : retest.rows) {
            if (is_plain(row)) {
                ++alike;
                continue;
            }
            text += line_of(column(row_place(tr, map, row), 24) + column(port_or_case_title(tr, map, row.at), 22) +
                            column(seen_on_paper(tr, row.expected, units), 13) + column(words(row.before), 13) +
                            column(words(row.after), 13) +
                            (is_wrong(row) ? shouted(judged_words(tr, row)) : judged_words(tr, row)));
        }
        if (alike > 0) text += plain_places_words(tr, alike) + '\n';
    }
    if (!retest.seals.empty()) {
        text += "\nSuspected before, or renewed; the chance of being at fault:\n";
        text += line_of("  " + column("seal", 7) + column("", 40) + column("before", 10) + column("now", 10));
        for (const auto& chance : retest.seals) {
            const auto& seal = map.seals[chance.seal];
            text += line_of("  " + column(seal.id, 7) + column(seal_title(tr, map, seal), 40) +
                            column(diagnosis::suspects::percent_words(chance.before), 10) +
                            column(diagnosis::suspects::percent_words(chance.now), 10) + status_words(tr, chance));
        }
    }
    for (const std::string& line :
         {"\n" + gone_words(tr, retest), other_causes_words(tr, retest), std::string(gone_means)})
        text += line + '\n';
    if (!retest.converged) text += std::string(retest_not_balanced) + '\n';
    return text;
}

std::string retest_json(const model::UnitMap& map, const Retest& retest) {
    nlohmann::ordered_json json{{"unit", map.unit.name},
                                {"invented", map.unit.invented},
                                {"has_before", retest.has_before},
                                {"has_after", retest.has_after},
                                {"converged", retest.converged},
                                {"gone", retest.gone},
                                {"gone_by_parts", retest.gone_by_parts},
                                {"rig", retest.rig},
                                {"unexplained", retest.unmapped}};
    const auto port = [&](int p) {
        return p < static_cast<int>(map.ports.size()) ? map.ports[static_cast<std::size_t>(p)].id : std::string("case");
    };
    auto& rows = json["rows"] = nlohmann::ordered_json::array();
    for (const RetestRow& row : retest.rows) {
        auto plugged = nlohmann::ordered_json::array();
        for (const int p : row.plugged)
            plugged.push_back(port(p));
        rows.push_back({{"into", port(row.into)},
                        {"plugged", plugged},
                        {"at", port(row.at)},
                        {"expected", seen_json(row.expected)},
                        {"before", seen_json(row.before)},
                        {"before_is", word(row.before_is)},
                        {"after", seen_json(row.after)},
                        {"after_is", word(row.after_is)}});
    }
    auto& seals = json["seals"] = nlohmann::ordered_json::array();
    for (const auto& chance : retest.seals)
        seals.push_back({{"id", map.seals[chance.seal].id},
                         {"before", chance.before},
                         {"now", chance.now},
                         {"renewed", chance.renewed},
                         {"cleared", chance.cleared}});
    return json_text(json);
}

} // namespace ringland::viewer
