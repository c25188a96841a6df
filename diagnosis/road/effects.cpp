#include "effects.h"

#include <algorithm>
#include <cmath>

namespace ringland::diagnosis::road {

namespace {

constexpr double same_ratio = 0.02; ///< two ratios that a driver does not tell apart

std::vector<std::size_t> all_that(const std::vector<Doing>& doing, Doing what) {
    std::vector<std::size_t> list;
    for (std::size_t e = 0; e < doing.size(); ++e) {
        if (doing[e] == what) list.push_back(e);
    }
    return list;
}

bool near(double a, double b) { return std::abs(a - b) <= same_ratio * std::abs(b); }

} // namespace

int weight(model::Symptom symptom) {
    using model::Symptom;
    switch (symptom) {
    case Symptom::no_drive:
        return 6;
    case Symptom::binds:
        return 5;
    case Symptom::wrong_gear:
        return 4;
    case Symptom::slips:
        return 3;
    case Symptom::drags:
        return 2;
    case Symptom::late:
        return 1;
    case Symptom::harsh:
        break;
    }
    return 0;
}

bool serious(model::Symptom symptom) { return weight(symptom) >= weight(model::Symptom::drags); }

Effects::Effects(const model::UnitMap& map, const Chart& chart, const GearTrain& gears)
    : map_(map), chart_(chart), gears_(gears) {
    if (!gears.known()) return;
    sound_.reserve(chart.ranges());
    for (std::size_t r = 0; r < chart.ranges(); ++r)
        sound_.push_back(gears.turn(chart.elements_on(r)));
}

const Turning* Effects::sound(std::size_t range) const { return sound_.empty() ? nullptr : &sound_[range]; }

const Turning& Effects::turn(const std::vector<bool>& on) {
    const auto found = turnings_.find(on);
    return found != turnings_.end() ? found->second : turnings_.emplace(on, gears_.turn(on)).first->second;
}

bool Effects::alike(const Turning& a, const Turning& b) {
    return a.drive == b.drive && (a.drive != Drive::drives || near(a.ratio, b.ratio));
}

bool Effects::turns_across(std::size_t range, std::size_t element) {
    if (sound_.empty()) return true;
    std::vector<bool> with = chart_.elements_on(range);
    with[element] = true;
    return !alike(turn(with), sound_[range]);
}

double Effects::load_share(std::size_t range, std::size_t element) const {
    if (sound_.empty()) return 1;
    double most = 0;
    for (const Turning& turning : sound_)
        most = std::max(most, std::abs(turning.torque[element].value_or(0)));
    const auto& here = sound_[range].torque[element];
    return here && most > 0 ? std::abs(*here) / most : 1;
}

std::optional<std::size_t> Effects::range_of(double ratio) const {
    for (std::size_t r = 0; r < sound_.size(); ++r) {
        if (sound_[r].drive == Drive::drives && near(ratio, sound_[r].ratio)) return r;
    }
    return std::nullopt;
}

void Effects::by_gears(std::size_t range, const std::vector<Doing>& doing, const std::vector<double>& clamp_share,
                       std::vector<Felt>& list) {
    const Turning& as_it_should = sound_[range];
    const auto lost = all_that(doing, Doing::no_hold), extra = all_that(doing, Doing::applies);
    std::vector<bool> on = chart_.elements_on(range);
    for (const std::size_t e : lost)
        on[e] = false;
    for (const std::size_t e : extra)
        on[e] = true;
    const Turning is = turn(on);
    Felt felt;
    felt.elements = extra.empty() ? lost : extra;
    if (!alike(is, as_it_should)) {
        if (is.drive == Drive::binds || is.drive == Drive::output_held) {
            felt.symptom = model::Symptom::binds;
            // Of all that are on and fight one another, the one with the least force gives way and burns.
            std::optional<std::size_t> weakest;
            for (std::size_t e = 0; e < on.size(); ++e) {
                if (!on[e] || map_.elements[e].kind == model::ElementKind::one_way_clutch) continue;
                if (!weakest || clamp_share[e] < clamp_share[*weakest]) weakest = e;
            }
            if (weakest) felt.burns = {*weakest};
        } else if (is.drive == Drive::free) {
            felt.symptom = model::Symptom::no_drive;
            felt.elements = lost;
        } else if (as_it_should.drive == Drive::drives) {
            felt.symptom = model::Symptom::wrong_gear;
            felt.ratio = is.ratio;
            felt.feels_like = range_of(is.ratio);
        } else {
            felt.symptom = model::Symptom::drags; // moves off though nothing should be on
            felt.ratio = is.ratio;
            felt.feels_like = range_of(is.ratio);
            felt.burns = extra;
        }
        list.push_back(felt);
    }
    for (const std::size_t e : all_that(doing, Doing::drags)) {
        std::vector<bool> with = on;
        with[e] = true;
        const Turning& rubbing = turn(with);
        // Where the train turns no otherwise with it on, its two sides turn together, or its one-way clutch runs ahead.
        if (alike(rubbing, is)) continue;
        list.push_back({model::Symptom::drags, {e}, {e}, std::nullopt, std::nullopt, false});
    }
}

void Effects::by_rule(std::size_t range, const std::vector<Doing>& doing, std::vector<Felt>& list) const {
    std::size_t on = 0;
    bool one_way = false;
    for (std::size_t e = 0; e < map_.elements.size(); ++e) {
        if (!chart_.elements_on(range)[e]) continue;
        const bool alone = map_.elements[e].kind == model::ElementKind::one_way_clutch;
        on += alone ? 0U : 1U;
        one_way = one_way || (map_.elements[e].one_way && !alone);
    }
    const auto lost = all_that(doing, Doing::no_hold), extra = all_that(doing, Doing::applies);
    if (!lost.empty()) list.push_back({model::Symptom::no_drive, lost, {}, std::nullopt, std::nullopt, true});
    if (on == 0) return;
    if (!extra.empty()) {
        const bool another_gear = one_way || on == 1;
        list.push_back({another_gear ? model::Symptom::wrong_gear : model::Symptom::binds, extra,
                        another_gear ? std::vector<std::size_t>{} : extra, std::nullopt, std::nullopt, true});
    }
    for (const std::size_t e : all_that(doing, Doing::drags))
        list.push_back({model::Symptom::drags, {e}, {e}, std::nullopt, std::nullopt, true});
}

std::vector<Felt> Effects::felt(std::size_t range, const std::vector<Doing>& doing,
                                const std::vector<double>& clamp_share) {
    std::vector<Felt> list;
    if (sound_.empty())
        by_rule(range, doing, list);
    else
        by_gears(range, doing, clamp_share, list);
    const auto each = [&](Doing what, model::Symptom symptom, bool burns) {
        for (const std::size_t e : all_that(doing, what)) {
            list.push_back({symptom,
                            {e},
                            burns ? std::vector<std::size_t>{e} : std::vector<std::size_t>{},
                            std::nullopt,
                            std::nullopt,
                            false});
        }
    };
    each(Doing::slips, model::Symptom::slips, true);
    each(Doing::soft, model::Symptom::late, false);
    each(Doing::harsh, model::Symptom::harsh, false);
    std::stable_sort(list.begin(), list.end(),
                     [](const Felt& a, const Felt& b) { return weight(a.symptom) > weight(b.symptom); });
    return list;
}

} // namespace ringland::diagnosis::road
