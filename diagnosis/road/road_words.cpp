// What is said of the road: reasons from the figures, the driver's complaint, the grounds of a verdict.
#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "road_impl.h"

namespace ringland::diagnosis::road {

namespace {

std::string gauge(const model::Translator& tr, double pa, bool metric) {
    return metric ? tr.number(pa / 1e5, 2) + " bar" : tr.number(pa / 6894.757293168361, 0) + " psi";
}

std::string name_of(const model::Element& element) { return element.name.empty() ? element.id : element.name; }
std::string name_of(const model::Range& range) { return range.name.empty() ? range.id : range.name; }

std::string names(const model::Translator& tr, const model::UnitMap& map, const std::vector<std::size_t>& elements) {
    std::string text;
    for (const std::size_t e : elements)
        text =
            text.empty() ? name_of(map.elements[e]) : model::filled(tr("{0} and {1}"), text, name_of(map.elements[e]));
    return text;
}

std::string percent(const model::Translator& tr, double share) {
    const double p = 100 * share;
    return tr.number(p, p < 9.5 ? 1 : 0) + " %";
}

std::string sentence(std::string text) {
    if (!text.empty() && text.front() >= 'a' && text.front() <= 'z')
        text.front() = static_cast<char>(text.front() - 'a' + 'A');
    return text;
}

std::string effect_words(const model::Translator& tr, const model::UnitMap& map, const Effect& effect) {
    std::string text = tr(symptom_words(effect.symptom));
    if (effect.feels_like && effect.symptom == model::Symptom::wrong_gear)
        text = model::filled(tr("starts in {0}"), name_of(map.ranges[*effect.feels_like]));
    if (effect.oil != Oil::hot_and_cold)
        text = model::filled(effect.oil == Oil::hot ? tr("{0} when hot") : tr("{0} when cold"), text);
    if (effect.idle_only) text = model::filled(tr("{0} at idle"), text);
    return text;
}

} // namespace

std::string_view symptom_words(model::Symptom symptom) {
    using model::marked;
    static constexpr std::array<std::string_view, 7> words{
        marked("slips"),    marked("takes hold late"),       marked("drags"), marked("binds"), marked("wrong gear"),
        marked("no drive"), marked("takes hold with a bang")};
    return words[static_cast<std::size_t>(symptom)];
}

std::string_view advice_words(Advice advice) {
    using model::marked;
    static constexpr std::array<std::string_view, 4> words{
        marked("leave it"), marked("watch it"), marked("renew it while the unit is open"), marked("it must come out")};
    return words[static_cast<std::size_t>(advice)];
}

std::string Road::Impl::reason(const Effect& effect, const Case& c, double needed_share, bool metric) const {
    using model::Symptom;
    std::string text;
    for (const std::size_t e : effect.elements) {
        if (!text.empty()) text += "; ";
        const std::string name = name_of(map.elements[e]);
        const oil::ElementOil& is = c.leaking.elements[e];
        const std::string left = gauge(tr, is.apply_pa, metric), share = percent(tr, c.clamp_share[e]);
        switch (c.doing[e]) {
        case Doing::no_hold:
            text += model::filled(tr("{0} has {1} left, and its spring needs {2}"), name, left,
                                  gauge(tr, is.spring_pa, metric));
            break;
        case Doing::drags:
            text += model::filled(tr("{0} builds up behind {1}, whose spring gives way at {2}: it rubs"), left, name,
                                  gauge(tr, is.spring_pa, metric));
            break;
        case Doing::applies:
            text +=
                model::filled(tr("{0} builds up behind {1}, whose spring gives way at {2}: it holds with {3} of its "
                                 "force"),
                              left, name, gauge(tr, is.spring_pa, metric), share);
            break;
        default:
            text += model::filled(tr("{0} has {1} left and clamps with {2} of its sound force"), name, left, share);
        }
        if (effect.symptom == Symptom::slips)
            text += "; " + model::filled(tr("here it slips below {0}"), percent(tr, needed_share));
    }
    const auto add = [&](const std::string& more) { text += ". " + more; };
    if (effect.sure == Sure::by_rule) {
        if (effect.symptom == Symptom::binds)
            add(tr("One element too many: it ties up, or is in another gear if a one-way clutch was holding"));
        else if (effect.symptom == Symptom::wrong_gear)
            add(tr("One element too many beside one that holds one way only: another gear, or it ties up"));
    } else if (effect.symptom == Symptom::binds) {
        add(tr("With it the gear train cannot turn"));
    } else if (effect.symptom == Symptom::wrong_gear || (effect.symptom == Symptom::drags && effect.ratio)) {
        const std::string ratio = tr.number(*effect.ratio, 2);
        add(effect.feels_like
                ? model::filled(tr("The gear train then turns {0} : 1, as in {1}"), ratio,
                                name_of(map.ranges[*effect.feels_like]))
                : model::filled(tr("The gear train then turns {0} : 1, which is no gear of this unit"), ratio));
    } else if (effect.symptom == Symptom::no_drive) {
        add(tr("Without it nothing drives the output"));
    }
    if (!effect.burns.empty()) add(model::filled(tr("The heat goes into {0}"), names(tr, map, effect.burns)));
    return text.empty() ? text : sentence(text) + ".";
}

std::string Road::Impl::range_words(const std::vector<Effect>& list) const {
    std::vector<std::string> words;
    for (const Effect& effect : list) {
        std::string said = effect_words(tr, map, effect);
        if (std::find(words.begin(), words.end(), said) == words.end()) words.push_back(std::move(said));
    }
    return words.empty() ? tr("good") : fmt::format("{}", fmt::join(words, ", "));
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
    const std::string more =
        f.ranges_serious == 0 ? tr.meant("of ranges", "none") : fmt::format("{}", f.ranges_serious);
    list.push_back({f.ranges_affected == 0
                        ? tr("no range in which a driver would feel it")
                        : model::filled(tr("felt in {0} of {1} ranges, in {2} of them more than a late or harsh shift"),
                                        f.ranges_affected, std::max(driving, f.ranges_affected), more),
                    by_ranges});
    const Advice by_clamp = alone([&](Figures& one) { one.clamp_share = f.clamp_share; });
    constexpr double hardly = 0.005;
    list.push_back(
        {f.clamp_share < 1 - hardly
             ? model::filled(tr("{0} of its clamping force is left in {1} in {2}"), percent(tr, f.clamp_share),
                             name_of(map.elements[*f.clamp_element]), name_of(map.ranges[*f.clamp_range]))
             : tr("no clutch or band loses clamping force"),
         by_clamp});
    const Advice by_spring = alone([&](Figures& one) { one.spring_share = f.spring_share; });
    list.push_back({f.spring_share > hardly
                        ? model::filled(tr("behind {0} in {1} stands {2} of the pressure that moves its piston"),
                                        name_of(map.elements[*f.spring_element]), name_of(map.ranges[*f.spring_range]),
                                        percent(tr, f.spring_share))
                        : tr("no pressure builds up behind an element that is off"),
                    by_spring});
    const Advice by_pump = alone([&](Figures& one) { one.pump_share = f.pump_share; });
    list.push_back({f.pump_share > hardly / 10
                        ? model::filled(tr("{0} of the pump's oil at idle goes through it in {1}"),
                                        percent(tr, f.pump_share), name_of(map.ranges[*f.pump_range]))
                        : tr("it takes no oil of the pump"),
                    by_pump});
    std::stable_sort(list.begin(), list.end(),
                     [](const Ground& a, const Ground& b) { return a.speaks_for > b.speaks_for; });
    return list;
}

} // namespace ringland::diagnosis::road
