#include "road.h"

#include <algorithm>
#include <cmath>
#include <map>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "../airflow/seal_leak.h"
#include "../oil/oil_unit.h"
#include "road_impl.h"

namespace ringland::diagnosis::road {

namespace {

using oil::DefectShape;

bool is_always_fed(const model::Circuit& circuit) {
    return circuit.kind == model::CircuitKind::lube || circuit.kind == model::CircuitKind::line ||
           circuit.kind == model::CircuitKind::converter;
}

} // namespace

Road::Impl::Impl(const model::UnitMap& m, const Borders& b)
    : map(m), borders(b), chart(map), gears(map), effects(map, chart, gears), oil(map) {
    say_basis();
}

void Road::Impl::say_basis() {
    missing.clear();
    assumed.clear();
    warnings.clear();
    for (const auto& a : oil.assumed(tr))
        assumed.push_back(a.what);
    if (map.ranges.empty()) {
        missing.push_back(tr("ranges: [[range]] with the elements that are on. Without the chart nothing can be said "
                             "of what is felt; only which elements the two circuits apply"));
        return;
    }
    if (!gears.known()) {
        std::string gears_lack;
        for (const auto& what : gears.missing())
            gears_lack += (gears_lack.empty() ? "" : "; ") + what.in(tr);
        missing.push_back(
            model::filled(tr("{0}. Without it a third element is judged by the rule of the chart: it ties up, or gives "
                             "another gear where a one-way clutch was holding"),
                          gears_lack));
    }
    std::vector<std::string> by_share;
    for (const auto& element : map.elements) {
        if (element.kind != model::ElementKind::one_way_clutch && !element.torque)
            by_share.push_back(element.name.empty() ? element.id : element.name);
    }
    if (!by_share.empty())
        assumed.push_back(
            model::filled(tr("slips below {0:.0f} % of its sound force in its hardest range (common practice, no "
                             "source), where the map gives no torque: {1}"),
                          100 * borders.slips_below, fmt::format("{}", fmt::join(by_share, ", "))));
    warn_of_ratios();
}

void Road::Impl::warn_of_ratios() {
    for (std::size_t r = 0; r < map.ranges.size(); ++r) {
        const auto& range = map.ranges[r];
        const Turning* turning = effects.sound(r);
        if (turning == nullptr) return;
        if (turning->drive == Drive::drives) {
            constexpr double close = 0.01;
            if (range.ratio && std::abs(turning->ratio - *range.ratio) > close * std::abs(*range.ratio))
                warnings.push_back(
                    model::filled(tr("range {0}: the map gives the ratio {1:.3g}, its gear sets make {2:.3g}"),
                                  range.id, *range.ratio, turning->ratio));
        } else if (range.ratio || turning->drive != Drive::free) {
            warnings.push_back(
                model::filled(turning->drive == Drive::free
                                  ? tr("range {0}: with the elements that are on, the gear train does not drive")
                              : turning->drive == Drive::binds
                                  ? tr("range {0}: with the elements that are on, the gear train binds")
                                  : tr("range {0}: with the elements that are on, the gear train holds the output"),
                              range.id));
        }
    }
}

const oil::OilCase& Road::Impl::sound_case(std::size_t range, bool hot, bool idle) {
    const std::size_t key = range * 4 + (hot ? 2U : 0U) + (idle ? 1U : 0U);
    const auto found = sound.find(key);
    if (found != sound.end()) return found->second;
    oil::OilQuestion question;
    question.range = range;
    question.hot = hot;
    question.idle = idle;
    return sound.emplace(key, oil.solve(question)).first->second;
}

double Road::Impl::needed_share(std::size_t range, std::size_t element) {
    const double load = effects.load_share(range, element);
    const auto& most = map.elements[element].torque;
    const oil::OilCase& healthy = sound_case(range, true, false);
    const auto& capacity = healthy.elements[element].capacity_nm;
    if (!most || !capacity || *capacity <= 0) return load * borders.slips_below;
    const double share = load * *most / *capacity;
    // A map by which the sound element slips cannot be held against a leak.
    return share < 1 ? share : load * borders.slips_below;
}

Case Road::Impl::solve(const Leak& leak, const Condition& condition) {
    Case c;
    oil::OilQuestion question;
    question.range = condition.range;
    question.seal = leak.seal;
    question.hole_mm = leak.hole_mm;
    question.both_ways = leak.both_ways;
    question.shape = condition.shape;
    question.hot = condition.hot;
    question.idle = condition.idle;
    c.leaking = oil.solve(question);
    c.sound = &sound_case(condition.range, condition.hot, condition.idle);
    const auto& on = chart.elements_on(condition.range);
    c.doing.assign(map.elements.size(), Doing::off);
    c.clamp_share.assign(map.elements.size(), 0);
    for (std::size_t e = 0; e < map.elements.size(); ++e) {
        const oil::ElementOil &is = c.leaking.elements[e], &should = c.sound->elements[e];
        if (map.elements[e].kind == model::ElementKind::one_way_clutch) {
            c.doing[e] = Doing::holds;
            c.clamp_share[e] = 1;
            continue;
        }
        if (!on[e]) {
            c.clamp_share[e] = is.clamp_share;
            // What spun oil alone does in a sound unit is no doing of the leak.
            if (is.moves && !should.moves)
                c.doing[e] = is.clamp_share >= borders.applies_from ? Doing::applies : Doing::drags;
            continue;
        }
        c.clamp_share[e] = should.clamp_share > 0 ? is.clamp_share / should.clamp_share : 1;
        const double share = c.clamp_share[e];
        c.doing[e] = Doing::holds;
        if (should.moves && !is.moves) c.doing[e] = Doing::no_hold;
        // At idle the engine has little to put through it.
        else if (!condition.idle && share < std::min(1.0, needed_share(condition.range, e)))
            c.doing[e] = Doing::slips;
        else if (share < borders.soft_below)
            c.doing[e] = Doing::soft;
        else if (share > borders.harsh_above)
            c.doing[e] = Doing::harsh;
    }
    converged = converged && c.leaking.converged && c.sound->converged;
    return c;
}

bool Road::Impl::can_show(std::size_t seal, std::size_t range) const {
    const auto circuits = circuits_of(map, map.seals[seal]);
    const auto fed = [&](std::size_t c) { return chart.on(range)[c] || is_always_fed(map.circuits[c]); };
    return chart.exposure(range, circuits) != Exposure::masked && (fed(circuits[0]) || fed(circuits[1]));
}

std::vector<Road::Impl::Placed> Road::Impl::merged(const Leak& leak, std::size_t range, bool cold_too) {
    struct Seen {
        Felt felt;
        Condition at;
        bool hot_hole = false, hot_slot = false, cold_hole = false, cold_slot = false, driving = false;
    };
    std::vector<Seen> seen;
    for (const bool hot : {true, false}) {
        if (!hot && !cold_too) break;
        for (const auto shape : {DefectShape::sharp_hole, DefectShape::slot}) {
            // The worse of driving and idle, for each set of elements.
            std::vector<std::pair<Felt, bool>> worst;
            for (const bool idle : {false, true}) {
                const Case c = solve(leak, {range, hot, idle, shape});
                for (Felt& felt : effects.felt(range, c.doing, c.clamp_share)) {
                    const auto same = std::find_if(worst.begin(), worst.end(),
                                                   [&](const auto& w) { return w.first.elements == felt.elements; });
                    if (same == worst.end())
                        worst.emplace_back(std::move(felt), idle);
                    else if (weight(felt.symptom) > weight(same->first.symptom))
                        *same = {std::move(felt), idle};
                }
            }
            const bool hole = shape == DefectShape::sharp_hole;
            for (auto& [felt, idle] : worst) {
                auto at = std::find_if(seen.begin(), seen.end(), [&, &f = felt](const Seen& s) { return s.felt == f; });
                if (at == seen.end()) at = seen.insert(seen.end(), Seen{std::move(felt), {range, hot, idle, shape}});
                (hot ? (hole ? at->hot_hole : at->hot_slot) : (hole ? at->cold_hole : at->cold_slot)) = true;
                at->driving = at->driving || !idle;
            }
        }
    }
    std::stable_sort(seen.begin(), seen.end(),
                     [](const Seen& a, const Seen& b) { return weight(a.felt.symptom) > weight(b.felt.symptom); });
    std::vector<Placed> list;
    for (Seen& s : seen) {
        Effect effect;
        effect.symptom = s.felt.symptom;
        effect.elements = std::move(s.felt.elements);
        effect.burns = std::move(s.felt.burns);
        effect.ratio = s.felt.ratio;
        effect.feels_like = s.felt.feels_like;
        const bool hole = s.hot_hole || s.cold_hole, slot = s.hot_slot || s.cold_slot;
        effect.sure = s.felt.by_rule ? Sure::by_rule
                      : hole && slot ? Sure::both_shapes
                      : hole         ? Sure::hole_only
                                     : Sure::slot_only;
        const bool hot = s.hot_hole || s.hot_slot, cold = s.cold_hole || s.cold_slot;
        effect.oil = !cold_too || (hot && cold) ? Oil::hot_and_cold : hot ? Oil::hot : Oil::cold;
        effect.idle_only = !s.driving;
        // Of one thing that gets worse with the shape of the hole, the worse is said: late as a slot, slips as a hole.
        const bool worse = std::any_of(list.begin(), list.end(), [&](const Placed& said) {
            return said.effect.elements == effect.elements &&
                   (said.effect.oil == Oil::hot_and_cold || said.effect.oil == effect.oil);
        });
        if (!worse) list.push_back({std::move(effect), s.at});
    }
    return list;
}

RangeOnRoad Road::Impl::in_range(const Leak& leak, std::size_t range, bool metric) {
    RangeOnRoad r;
    r.range = range;
    r.exposure = chart.exposure(range, circuits_of(map, map.seals[leak.seal]));
    const Turning* turning = effects.sound(range);
    if (turning != nullptr && turning->drive == Drive::drives) r.ratio = turning->ratio;
    const Case driving = solve(leak, {range, true, false, DefectShape::sharp_hole});
    const Case idle = solve(leak, {range, true, true, DefectShape::sharp_hole});
    const Case slot = solve(leak, {range, true, false, DefectShape::slot});
    r.leak_lpm = driving.leaking.defect_lpm;
    r.leak_lpm_slot = slot.leaking.defect_lpm;
    r.pump_share = idle.leaking.pump_lpm > 0 ? std::abs(idle.leaking.defect_lpm) / idle.leaking.pump_lpm : 0;
    r.line_pa = idle.leaking.line_gauge_pa;
    r.line_held = idle.leaking.line_held;
    const auto& on = chart.elements_on(range);
    const auto worse = [](Doing a, Doing b) {
        static constexpr std::array<int, 8> order{0, 0, 2, 3, 4, 1, 2, 3};
        return order[static_cast<std::size_t>(a)] >= order[static_cast<std::size_t>(b)];
    };
    for (std::size_t e = 0; e < map.elements.size(); ++e) {
        if (map.elements[e].kind == model::ElementKind::one_way_clutch) continue;
        const bool of_driving = worse(driving.doing[e], idle.doing[e]);
        const Case& c = of_driving ? driving : idle;
        if (!on[e] && c.doing[e] == Doing::off && slot.doing[e] == Doing::off) continue;
        ElementOnRoad element;
        element.element = e;
        element.commanded = on[e];
        element.doing = c.doing[e];
        element.clamp_share = c.clamp_share[e];
        element.clamp_share_slot = slot.clamp_share[e];
        element.apply_pa = c.leaking.elements[e].apply_pa;
        element.spring_pa = c.leaking.elements[e].spring_pa;
        if (on[e])
            element.needed_share = needed_share(range, e);
        else
            element.turns_across = effects.turns_across(range, e);
        r.elements.push_back(element);
    }
    for (Placed& placed : merged(leak, range, true)) {
        const auto& first = placed.effect.elements;
        const double needed = first.empty() ? 0 : needed_share(range, first.front());
        placed.effect.reason = reason(placed.effect, solve(leak, placed.at), needed, metric);
        r.effects.push_back(std::move(placed.effect));
    }
    r.words = range_words(r.effects);
    return r;
}

Figures Road::Impl::figures(const Leak& leak) {
    Figures f;
    for (std::size_t range = 0; range < map.ranges.size(); ++range) {
        const auto& on = chart.elements_on(range);
        bool felt = false, bad = false;
        for (const bool idle : {false, true}) {
            const Case c = solve(leak, {range, true, idle, DefectShape::sharp_hole});
            for (const Felt& effect : effects.felt(range, c.doing, c.clamp_share)) {
                felt = true;
                bad = bad || serious(effect.symptom);
            }
            const double lost = c.leaking.pump_lpm > 0 ? std::abs(c.leaking.defect_lpm) / c.leaking.pump_lpm : 0;
            if (idle && lost > f.pump_share) {
                f.pump_share = lost;
                f.pump_range = range;
            }
            for (std::size_t e = 0; e < map.elements.size(); ++e) {
                if (map.elements[e].kind == model::ElementKind::one_way_clutch) continue;
                if (on[e]) {
                    if (c.clamp_share[e] >= f.clamp_share) continue;
                    f.clamp_share = c.clamp_share[e];
                    f.clamp_range = range;
                    f.clamp_element = e;
                    continue;
                }
                // Of what parts a sound element that is off from its spring, how much the leak has used up.
                const double before = std::max(0.0, c.sound->elements[e].apply_pa);
                const double room = c.leaking.elements[e].spring_pa - before;
                if (room <= 0 || !effects.turns_across(range, e)) continue;
                const double used = (c.leaking.elements[e].apply_pa - before) / room;
                if (used <= f.spring_share) continue;
                f.spring_share = used;
                f.spring_range = range;
                f.spring_element = e;
            }
        }
        f.ranges_affected += felt ? 1U : 0U;
        f.ranges_serious += bad ? 1U : 0U;
    }
    return f;
}

Road::Road(const model::UnitMap& map, const Borders& borders) : impl_(std::make_unique<Impl>(map, borders)) {}
Road::~Road() = default;
Road::Road(Road&&) noexcept = default;
Road& Road::operator=(Road&&) noexcept = default;

RoadAnswer Road::ask(const Leak& leak, std::optional<std::size_t> range, bool metric) {
    impl_->converged = true;
    RoadAnswer answer;
    const model::Seal& seal = impl_->map.seals[leak.seal];
    answer.leak = leak;
    answer.circuits = circuits_of(impl_->map, seal);
    answer.affected = impl_->chart.affected(answer.circuits);
    answer.masked = impl_->chart.masked(answer.circuits);
    answer.missing = impl_->missing;
    answer.assumed = impl_->assumed;
    answer.warnings = impl_->warnings;
    for (std::size_t r = 0; r < impl_->map.ranges.size(); ++r) {
        if (!range || *range == r) answer.ranges.push_back(impl_->in_range(leak, r, metric));
    }
    const auto applies = [&](std::size_t circuit) {
        return std::any_of(impl_->map.elements.begin(), impl_->map.elements.end(), [&](const auto& e) {
            const auto& id = impl_->map.circuits[circuit].id;
            return std::find(e.applied_by.begin(), e.applied_by.end(), id) != e.applied_by.end() ||
                   std::find(e.released_by.begin(), e.released_by.end(), id) != e.released_by.end();
        });
    };
    if (!applies(answer.circuits[0]) && !applies(answer.circuits[1]))
        answer.missing.push_back(
            model::filled(impl_->tr("what {0} and {1} do: neither applies or releases an element of the map, so "
                                    "this leak is judged by the oil that it takes alone"),
                          seal.between[0], seal.between[1]));
    if (airflow::fails_one_way(seal) && !leak.both_ways)
        answer.assumed.push_back(model::filled(
            impl_->tr("{0} is worn, hard or folded over and lets oil by only out of {1}; a lip that is cut "
                      "through does so both ways"),
            seal.id, model::circuit_name(impl_->map, seal.faces)));
    answer.oil = oil_words();
    answer.complaint = impl_->complaint(answer.ranges);
    answer.verdict = verdict(leak);
    answer.converged = impl_->converged;
    return answer;
}

Verdict Road::verdict(const Leak& leak) {
    Verdict verdict;
    if (impl_->map.ranges.empty()) return verdict;
    verdict.known = true;
    verdict.figures = impl_->figures(leak);
    verdict.advice = advice_for(verdict.figures, impl_->borders);
    verdict.grounds = impl_->grounds(verdict.figures);
    return verdict;
}

std::vector<BorderStep> Road::borders(Leak leak) {
    std::vector<BorderStep> steps;
    if (impl_->map.ranges.empty()) return steps;
    const auto advice = [&](double mm) {
        leak.hole_mm = mm;
        return advice_for(impl_->figures(leak), impl_->borders);
    };
    constexpr double fine_mm = 0.01;
    Advice now = advice(0);
    const Advice last = advice(most_border_mm);
    double low = 0;
    while (now < last) {
        double high = most_border_mm;
        while (high - low > fine_mm) {
            const double middle = (low + high) / 2;
            (advice(middle) > now ? high : low) = middle;
        }
        const Advice next = advice(high);
        steps.push_back({now, next, high});
        now = next;
        low = high;
    }
    return steps;
}

std::vector<Effect> Road::felt(const Leak& leak, std::size_t range, bool cold_too) {
    if (!impl_->can_show(leak.seal, range)) return {};
    std::vector<Effect> list;
    for (auto& placed : impl_->merged(leak, range, cold_too))
        list.push_back(std::move(placed.effect));
    return list;
}

const model::UnitMap& Road::map() const { return impl_->map; }
const Chart& Road::chart() const { return impl_->chart; }
const GearTrain& Road::gears() const { return impl_->gears; }
const std::vector<std::string>& Road::missing() const { return impl_->missing; }
const std::vector<std::string>& Road::assumed() const { return impl_->assumed; }
const std::vector<std::string>& Road::warnings() const { return impl_->warnings; }
std::string Road::oil_words() const {
    const oil::OilUnit& oil = impl_->oil;
    const model::Translator& tr = impl_->tr;
    return model::filled(tr("hot {0:.0f} °C, {1} mm²/s; cold {2:.0f} °C, {3:.0f} mm²/s"), oil.temperature_c(true),
                         tr.number(oil.kinematic_mm2ps(true), 1), oil.temperature_c(false), oil.kinematic_mm2ps(false));
}

void Road::speak(const model::Translator& tr) {
    if (impl_->tr == tr) return;
    impl_->tr = tr;
    impl_->say_basis();
}

} // namespace ringland::diagnosis::road
