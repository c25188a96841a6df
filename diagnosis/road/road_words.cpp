// What is said of the road: reasons from the figures, the driver's complaint, the grounds of a verdict.
#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "road_impl.h"

namespace ringland::diagnosis::road {

namespace {

std::string gauge(double pa, bool metric) {
    return metric ? fmt::format("{:.2f} bar", pa / 1e5) : fmt::format("{:.0f} psi", pa / 6894.757293168361);
}

std::string name_of(const model::Element& element) { return element.name.empty() ? element.id : element.name; }
std::string name_of(const model::Range& range) { return range.name.empty() ? range.id : range.name; }

std::string names(const model::UnitMap& map, const std::vector<std::size_t>& elements) {
    std::vector<std::string> list;
    list.reserve(elements.size());
    for (const std::size_t e : elements)
        list.push_back(name_of(map.elements[e]));
    return fmt::format("{}", fmt::join(list, " and "));
}

std::string percent(double share) {
    const double p = 100 * share;
    return p < 9.5 ? fmt::format("{:.1f} %", p) : fmt::format("{:.0f} %", p);
}

std::string sentence(std::string text) {
    if (!text.empty() && text.front() >= 'a' && text.front() <= 'z')
        text.front() = static_cast<char>(text.front() - 'a' + 'A');
    return text;
}

std::string effect_words(const model::UnitMap& map, const Effect& effect) {
    std::string text(symptom_words(effect.symptom));
    if (effect.feels_like && effect.symptom == model::Symptom::wrong_gear)
        text = "starts in " + name_of(map.ranges[*effect.feels_like]);
    if (effect.oil != Oil::hot_and_cold) text += effect.oil == Oil::hot ? " when hot" : " when cold";
    if (effect.idle_only) text += " at idle";
    return text;
}

} // namespace

std::string_view symptom_words(model::Symptom symptom) {
    static constexpr std::array<std::string_view, 7> words{
        "slips", "takes hold late", "drags", "binds", "wrong gear", "no drive", "takes hold with a bang"};
    return words[static_cast<std::size_t>(symptom)];
}

std::string_view advice_words(Advice advice) {
    static constexpr std::array<std::string_view, 4> words{"leave it", "watch it", "renew it while the unit is open",
                                                           "it must come out"};
    return words[static_cast<std::size_t>(advice)];
}

std::string Road::Impl::reason(const Effect& effect, const Case& c, double needed_share, bool metric) const {
    using model::Symptom;
    std::string text;
    for (const std::size_t e : effect.elements) {
        if (!text.empty()) text += "; ";
        const std::string name = name_of(map.elements[e]);
        const oil::ElementOil& is = c.leaking.elements[e];
        const std::string left = gauge(is.apply_pa, metric), share = percent(c.clamp_share[e]);
        switch (c.doing[e]) {
        case Doing::no_hold:
            text += fmt::format("{} has {} left, and its spring needs {}", name, left, gauge(is.spring_pa, metric));
            break;
        case Doing::drags:
        case Doing::applies:
            text += fmt::format("{} builds up behind {}, whose spring gives way at {}: it {}", left, name,
                                gauge(is.spring_pa, metric),
                                c.doing[e] == Doing::drags ? "rubs" : "holds with " + share + " of its force");
            break;
        default:
            text += fmt::format("{} has {} left and clamps with {} of its sound force", name, left, share);
        }
        if (effect.symptom == Symptom::slips) text += fmt::format("; here it slips below {}", percent(needed_share));
    }
    if (effect.sure == Sure::by_rule) {
        if (effect.symptom == Symptom::binds)
            text += ". One element too many: it ties up, or is in another gear if a one-way clutch was holding";
        else if (effect.symptom == Symptom::wrong_gear)
            text += ". One element too many beside one that holds one way only: another gear, or it ties up";
    } else if (effect.symptom == Symptom::binds) {
        text += ". With it the gear train cannot turn";
    } else if (effect.symptom == Symptom::wrong_gear || (effect.symptom == Symptom::drags && effect.ratio)) {
        text += effect.feels_like ? fmt::format(". The gear train then turns {:.2f} : 1, as in {}", *effect.ratio,
                                                name_of(map.ranges[*effect.feels_like]))
                                  : fmt::format(". The gear train then turns {:.2f} : 1, which is no gear of this unit",
                                                *effect.ratio);
    } else if (effect.symptom == Symptom::no_drive) {
        text += ". Without it nothing drives the output";
    }
    if (!effect.burns.empty()) text += ". The heat goes into " + names(map, effect.burns);
    return text.empty() ? text : sentence(text) + ".";
}

std::string Road::Impl::range_words(const std::vector<Effect>& list) const {
    std::vector<std::string> words;
    for (const Effect& effect : list) {
        std::string said = effect_words(map, effect);
        if (std::find(words.begin(), words.end(), said) == words.end()) words.push_back(std::move(said));
    }
    return words.empty() ? "good" : fmt::format("{}", fmt::join(words, ", "));
}

std::string Road::Impl::complaint(const std::vector<RangeOnRoad>& ranges) const {
    // Ranges of which the same is said stand together, in the order of the map.
    std::vector<std::pair<std::string, std::vector<std::string>>> said;
    for (const RangeOnRoad& r : ranges) {
        const auto& range = map.ranges[r.range];
        if (range.on.empty() && r.effects.empty()) continue;
        const auto same = std::find_if(said.begin(), said.end(), [&](const auto& s) { return s.first == r.words; });
        if (same == said.end())
            said.push_back({r.words, {name_of(range)}});
        else
            same->second.push_back(name_of(range));
    }
    std::vector<std::string> parts;
    parts.reserve(said.size());
    for (const auto& [words, where] : said)
        parts.push_back(fmt::format("{}: {}", fmt::join(where, ", "), words));
    return parts.empty() ? std::string() : fmt::format("{}.", fmt::join(parts, ". "));
}

std::vector<Ground> Road::Impl::grounds(const Figures& f) const {
    std::vector<Ground> list;
    const auto alone = [&](auto&& change) {
        Figures one;
        change(one);
        return advice_for(one, borders);
    };
    const auto driving = static_cast<std::size_t>(
        std::count_if(map.ranges.begin(), map.ranges.end(), [](const auto& r) { return !r.on.empty(); }));
    const Advice by_ranges = alone([&](Figures& one) {
        one.ranges_affected = f.ranges_affected;
        one.ranges_serious = f.ranges_serious;
    });
    const std::string more = f.ranges_serious == 0 ? "none" : fmt::format("{}", f.ranges_serious);
    list.push_back({f.ranges_affected == 0
                        ? std::string("no range in which a driver would feel it")
                        : fmt::format("felt in {} of {} ranges, in {} of them more than a late or harsh shift",
                                      f.ranges_affected, std::max(driving, f.ranges_affected), more),
                    by_ranges});
    const Advice by_clamp = alone([&](Figures& one) { one.clamp_share = f.clamp_share; });
    constexpr double hardly = 0.005;
    list.push_back({f.clamp_share < 1 - hardly
                        ? fmt::format("{} of its clamping force is left in {} in {}", percent(f.clamp_share),
                                      name_of(map.elements[*f.clamp_element]), name_of(map.ranges[*f.clamp_range]))
                        : std::string("no clutch or band loses clamping force"),
                    by_clamp});
    const Advice by_spring = alone([&](Figures& one) { one.spring_share = f.spring_share; });
    list.push_back({f.spring_share > hardly
                        ? fmt::format("behind {} in {} stands {} of the pressure that moves its piston",
                                      name_of(map.elements[*f.spring_element]), name_of(map.ranges[*f.spring_range]),
                                      percent(f.spring_share))
                        : std::string("no pressure builds up behind an element that is off"),
                    by_spring});
    const Advice by_pump = alone([&](Figures& one) { one.pump_share = f.pump_share; });
    list.push_back({f.pump_share > hardly / 10 ? fmt::format("{} of the pump's oil at idle goes through it in {}",
                                                             percent(f.pump_share), name_of(map.ranges[*f.pump_range]))
                                               : std::string("it takes no oil of the pump"),
                    by_pump});
    std::stable_sort(list.begin(), list.end(),
                     [](const Ground& a, const Ground& b) { return a.speaks_for > b.speaks_for; });
    return list;
}

} // namespace ringland::diagnosis::road
