// What a handout says of the road and of the way in, in the reader's language.
#include <algorithm>
#include <utility>

#include "content.h"

namespace ringland::viewer {
namespace {

namespace road = diagnosis::road;

std::string symptom_title(const Translator& tr, const model::UnitMap& map, const road::Effect& effect) {
    switch (effect.symptom) {
    case model::Symptom::slips:
        return tr("slips");
    case model::Symptom::late:
        return tr("takes hold late");
    case model::Symptom::drags:
        return tr("drags");
    case model::Symptom::binds:
        return tr("binds");
    case model::Symptom::wrong_gear: {
        if (!effect.feels_like) return tr("goes into another gear");
        const auto& range = map.ranges[*effect.feels_like];
        return filled(tr("starts in {0}"), tr.map_word(range.name.empty() ? range.id : range.name));
    }
    case model::Symptom::no_drive:
        return tr("does not drive");
    case model::Symptom::harsh:
        return tr("takes hold with a bang");
    }
    return {};
}

/// "slips with hot oil, drags"; empty: nothing is felt.
std::string felt_words(const Translator& tr, const model::UnitMap& map, const std::vector<road::Effect>& effects) {
    std::vector<std::string> told;
    for (const auto& effect : effects) {
        std::string words = symptom_title(tr, map, effect);
        if (effect.oil == road::Oil::hot) words = filled(tr("{0} with hot oil"), words);
        if (effect.oil == road::Oil::cold) words = filled(tr("{0} with cold oil"), words);
        if (std::find(told.begin(), told.end(), words) == told.end()) told.push_back(std::move(words));
    }
    std::string text;
    for (const auto& words : told)
        text += (text.empty() ? "" : ", ") + words;
    return text;
}

std::string advice_title(const Translator& tr, road::Advice advice) {
    switch (advice) {
    case road::Advice::leave:
        return tr("So little oil gets by that it does no harm.");
    case road::Advice::watch:
        return tr("It does no harm yet; it is worth another look at the next service.");
    case road::Advice::renew_while_open:
        return tr("It is worth renewing while the unit is open.");
    case road::Advice::must_come_out:
        return tr("A unit with such a leak wears out its clutches: the seal has to be renewed.");
    }
    return {};
}

/// Ranges of which the same is said stand together, in the order of the map.
void add_ranges(const Translator& tr, const model::UnitMap& map, const road::RoadAnswer& answer, Handout& handout) {
    std::vector<std::pair<std::string, std::string>> said;
    bool others = false;
    for (const auto& range : answer.ranges) {
        const auto& of = map.ranges[range.range];
        const std::string words = felt_words(tr, map, range.effects);
        if (words.empty()) {
            others = others || !of.on.empty();
            continue;
        }
        const std::string name = tr.map_word(of.name.empty() ? of.id : of.name);
        const auto same = std::find_if(said.begin(), said.end(), [&](const auto& s) { return s.first == words; });
        if (same == said.end())
            said.emplace_back(words, name);
        else
            same->second += ", " + name;
    }
    std::string text;
    for (const auto& [words, names] : said)
        text += (text.empty() ? "" : " ") + filled(tr("{0}: {1}."), names, words);
    if (said.empty())
        text = tr("With oil, a leak of this size is not felt in any range.");
    else if (others)
        text += ' ' + tr("All other ranges are good.");
    handout.road.push_back(std::move(text));
}

} // namespace

HandoutAhead handout_ahead(const model::UnitMap& map, const std::string& seal, const diagnosis::Retest& retest) {
    HandoutAhead ahead;
    const auto found = std::find_if(map.seals.begin(), map.seals.end(), [&](const auto& s) { return s.id == seal; });
    if (found == map.seals.end()) return ahead;
    const auto index = static_cast<std::size_t>(found - map.seals.begin());
    const auto chance = std::find_if(retest.seals.begin(), retest.seals.end(),
                                     [&](const diagnosis::SealChance& c) { return c.seal == index; });
    if (retest.has_before && chance != retest.seals.end() && chance->hole_mm && !map.ranges.empty())
        ahead.road = road::Road(map).ask({index, *chance->hole_mm, chance->both_ways});
    diagnosis::plan::Target target;
    target.seals = {index};
    ahead.way = diagnosis::plan::tear_down(map, target);
    return ahead;
}

void add_ahead(const Translator& tr, const model::UnitMap& map, const HandoutAhead& ahead, const HandoutWords& words,
               Handout& handout) {
    if (ahead.road && ahead.road->converged) {
        add_ranges(tr, map, *ahead.road, handout);
        handout.road.push_back(
            advice_title(tr, ahead.road->verdict.advice) + ' ' +
            filled(
                tr("Reckoned with oil at working pressure, for a leak as large as a hole of {0}, which is what the air "
                   "test showed. The maker's information decides."),
                tr.length(ahead.road->leak.hole_mm * 1e-3, words.units)));
    }
    if (!ahead.way || ahead.way->steps.empty()) return;
    std::string parts;
    for (const auto& step : ahead.way->steps)
        parts += (parts.empty() ? "" : ", ") + part_title(tr, map, map.parts[step.part].id);
    std::string text = filled(tr("To reach it these parts come off, in this order: {0}."), parts);
    if (ahead.way->minutes > 0 && ahead.way->untimed.empty())
        text +=
            ' ' + filled(tr("That takes about {0} minutes on the bench; cleaning, measuring and the way back are not "
                            "counted."),
                         tr.number(ahead.way->minutes, 0));
    handout.way.push_back(std::move(text));
    const std::size_t others = ahead.way->renews.size() - std::min<std::size_t>(1, ahead.way->renews.size());
    if (others > 0 && handout.done.rows.empty()) // else what was renewed stands there
        handout.way.push_back(
            filled(tr("{0} more seal is parted or disturbed on the way and renewed with it.",
                      "{0} more seals are parted or disturbed on the way and renewed with it.", others),
                   others));
}

} // namespace ringland::viewer
