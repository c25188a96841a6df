#include "aids.h"

#include <algorithm>
#include <cassert>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "../airflow/expected.h"
#include "../airflow/seal_leak.h"
#include "../oil/oil_figures.h"
#include "../oil/oil_leak.h"

namespace ringland::diagnosis::plan {

namespace {

using model::ClearanceKind;
using model::Verdict;

constexpr double on_the_limit_m = 1e-9; ///< as model::verdict has it

Verdict stands(double value, const std::optional<double>& lower, const std::optional<double>& upper) {
    if (!lower && !upper) return Verdict::no_limits;
    if (lower && value < *lower - on_the_limit_m) return Verdict::below;
    if (upper && value > *upper + on_the_limit_m) return Verdict::above;
    return Verdict::within;
}

std::optional<double> si(const std::optional<model::Length>& length) {
    return length ? std::optional(length->si()) : std::nullopt;
}

std::string verdict_words(const model::Clearance& clearance, double value, Verdict verdict) {
    const std::string measured = length_words(value);
    switch (verdict) {
    case Verdict::within:
        return fmt::format("{} is within {}.", measured, limits_words(clearance));
    case Verdict::below:
        return fmt::format("{} is {} too small: {}.", measured, length_words(clearance.lower->si() - value),
                           limits_words(clearance));
    case Verdict::above:
        return fmt::format("{} is {} too large: {}.", measured, length_words(value - clearance.upper->si()),
                           limits_words(clearance));
    case Verdict::no_limits:
        break;
    }
    return fmt::format("{}: the map gives no limits.", measured);
}

/// What corrects a clearance, and in which direction it is thick.
struct Thing {
    std::string_view name, more, less;
};
Thing thing_of(ClearanceKind kind) {
    if (kind == ClearanceKind::servo_pin) return {"pin", "longer", "shorter"};
    if (kind == ClearanceKind::end_play) return {"washer", "thicker", "thinner"};
    return {"snap ring or plate", "thicker", "thinner"};
}

/// A span of change in words: "0.30 mm to 0.80 mm thicker".
std::string change_words(const Selective& selective, const Thing& thing) {
    const auto& from = selective.thicker_from_m;
    const auto& to = selective.thicker_to_m;
    if (selective.verdict == Verdict::above)
        return to ? fmt::format("{:.2f} mm to {} {}", *from * 1e3, length_words(*to), thing.more)
                  : fmt::format("at least {} {}", length_words(*from), thing.more);
    return from ? fmt::format("{:.2f} mm to {} {}", -*to * 1e3, length_words(-*from), thing.less)
                : fmt::format("at least {} {}", length_words(-*to), thing.less);
}

class Measurer {
public:
    Measurer(const model::UnitMap& map, std::size_t index, double value, std::optional<double> fitted,
             const model::AirBench& bench)
        : map_(map), clearance_(map.clearances[index]), value_(value), fitted_(fitted), bench_(bench) {
        answer_.clearance = index;
        answer_.kind = clearance_.kind;
    }

    MeasureAnswer measure() {
        answer_.verdict = stands(value_, si(clearance_.lower), si(clearance_.upper));
        answer_.verdict_words = verdict_words(clearance_, value_, answer_.verdict);
        if (answer_.verdict == Verdict::no_limits)
            answer_.missing.emplace_back("The map gives no limits for it: add lower_mm and upper_mm; the maker's "
                                         "information has them.");
        switch (clearance_.kind) {
        case ClearanceKind::pack:
        case ClearanceKind::end_play:
            choose_size();
            answer_.formula = "clearance with another size = measured + size that is in - new size";
            break;
        case ClearanceKind::servo_pin:
            choose_size();
            grind_pin();
            answer_.formula = "travel with another pin = measured + length that is in - new length; to take off the "
                              "tip = travel wanted - measured";
            break;
        case ClearanceKind::ring_gap:
        case ClearanceKind::ring_side:
            reckon_leak();
            break;
        case ClearanceKind::bushing:
        case ClearanceKind::flatness:
        case ClearanceKind::other:
            answer_.formula = "measured figure against the limits of the map";
            break;
        }
        const bool wrong = answer_.verdict == Verdict::below || answer_.verdict == Verdict::above;
        if (wrong && !clearance_.correct.empty()) answer_.advice.push_back("The map says: " + clearance_.correct);
        return std::move(answer_);
    }

private:
    void choose_size() {
        SelectiveAsked asked{value_, si(clearance_.lower), si(clearance_.upper), fitted_, {}};
        asked.sizes_m.reserve(clearance_.sizes_mm.size());
        for (const double size : clearance_.sizes_mm)
            asked.sizes_m.push_back(size * 1e-3);
        answer_.selective = selective(asked);
        const Selective& result = *answer_.selective;
        const Thing thing = thing_of(clearance_.kind);
        if (value_ == 0)
            answer_.advice.emplace_back("A figure of 0 can hide that it binds by more: fit what gives the most "
                                        "clearance first and measure again.");
        if (result.verdict == Verdict::below || result.verdict == Verdict::above)
            answer_.advice.push_back(fmt::format("It takes a {} that is {}.", thing.name, change_words(result, thing)));
        if (clearance_.sizes_mm.empty()) {
            answer_.missing.push_back(
                fmt::format("The map does not say in which sizes the {} can be had: sizes-mm.", thing.name));
        } else if (!fitted_) {
            answer_.missing.push_back(fmt::format("Which {} is in now was not said, so none of {} mm is "
                                                  "named.",
                                                  thing.name, fmt::join(clearance_.sizes_mm, ", ")));
        } else if (result.best) {
            const SizeChoice& best = result.choices[*result.best];
            answer_.advice.push_back(fmt::format("The {} of {} gives {}.", thing.name, length_words(best.size_m),
                                                 length_words(best.clearance_m)));
        } else if (result.verdict != Verdict::no_limits) {
            std::vector<std::string> gives;
            gives.reserve(result.choices.size());
            for (const auto& choice : result.choices)
                gives.push_back(fmt::format("{:.2f} gives {:.2f}", choice.size_m * 1e3, choice.clearance_m * 1e3));
            answer_.advice.push_back(
                fmt::format("None of the sizes brings it in (mm: {}): look for what is worn, wrong "
                            "or missing before a {} is made to fit.",
                            fmt::join(gives, ", "), thing.name));
        }
    }
    void grind_pin() {
        std::optional<double> least = si(clearance_.lower), most = si(clearance_.upper);
        if (!least && !most) {
            least = most = usual_pin_clearance_m;
            answer_.advice.push_back(fmt::format("Where the maker gives none, {} of running clearance is usual (common "
                                                 "practice, no source).",
                                                 length_words(usual_pin_clearance_m)));
        }
        if (!least) return;
        if (value_ < *least - on_the_limit_m) {
            answer_.grind_from_m = *least - value_;
            if (most) answer_.grind_to_m = *most - value_;
            const bool span = most && *most > *least;
            answer_.advice.push_back(fmt::format(
                "Without a shorter pin: take {} off its tip, square, a little at a time. Too little travel makes the "
                "drum bind when it is turned.",
                span ? fmt::format("{:.2f} mm to {}", *answer_.grind_from_m * 1e3, length_words(*answer_.grind_to_m))
                     : length_words(*answer_.grind_from_m)));
        } else if (most && value_ > *most + on_the_limit_m && answer_.verdict == Verdict::no_limits) {
            answer_.advice.push_back(fmt::format("That is {} more than usual: a longer pin, or the band is worn.",
                                                 length_words(value_ - *most)));
        }
    }
    void reckon_leak() {
        const auto* stack = model::find(map_.stacks, clearance_.of);
        const auto ring = std::find_if(map_.seals.begin(), map_.seals.end(), [&](const model::Seal& seal) {
            const auto* of = model::find(map_.stacks, seal.stack);
            return seal.kind == model::SealKind::ring && of != nullptr &&
                   (of == stack || of->on == clearance_.of || of->bore == clearance_.of || seal.at == clearance_.of);
        });
        answer_.formula = "air of a sound ring = joint gap as a short hole + dry film on the groove wall as a laminar "
                          "slot, both from the bench pressure to the open case (docs/physics.md)";
        if (ring == map_.seals.end()) {
            answer_.missing.emplace_back("The map has no ring where this is measured, so its leak cannot be reckoned: "
                                         "of = a stack.");
            return;
        }
        model::Seal seal = *ring;
        seal.healthy_hole.reset();
        (clearance_.kind == ClearanceKind::ring_gap ? seal.end_gap : seal.side_clearance) = model::mm(value_ * 1e3);
        const airflow::SoundSeal sound = airflow::sound_seal(map_, seal);
        const airflow::Air air = airflow::air_of(bench_);
        const airflow::AirFactors factors(air);
        RingLeak leak;
        leak.seal = static_cast<std::size_t>(ring - map_.seals.begin());
        leak.supply_gauge_pa = airflow::usual_gauge_pa(map_, bench_);
        const double supply_pa = air.ambient_pa + leak.supply_gauge_pa;
        leak.air_kgps = sound.hole.through(factors, supply_pa, air.ambient_pa).flow_kgps +
                        sound.film.through(factors, supply_pa, air.ambient_pa).flow_kgps;
        leak.air_lpm = airflow::normal_lpm(leak.air_kgps);
        leak.word = airflow::heard(leak.air_lpm, airflow::Hearing{bench_.heard_from_lpm});
        leak.how = sound.how;
        const oil::OilFigures figures(map_);
        const oil::Oil hot = figures.oil(true);
        leak.line_pa = figures.highest_line_pa;
        leak.oil_lpm = oil::litres_per_minute(
            oil::sound_seal_in_oil(map_, seal)
                .through(oil::OilFactors(hot), hot.ambient_pa + leak.line_pa, hot.ambient_pa, leak.line_pa)
                .flow_kgps,
            hot.density);
        if (const auto* of = model::find(map_.stacks, seal.stack); of != nullptr && !of->diameter)
            answer_.missing.push_back(fmt::format("The diameter at the rings is not in the map: a usual one was taken "
                                                  "(diameter_mm of stack {}).",
                                                  of->id));
        answer_.leak = std::move(leak);
    }

    const model::UnitMap& map_;
    const model::Clearance& clearance_;
    double value_;
    std::optional<double> fitted_;
    const model::AirBench& bench_;
    MeasureAnswer answer_;
};

} // namespace

std::string length_words(double metres) { return fmt::format("{:.2f} mm ({:.3f} in)", metres * 1e3, metres / 0.0254); }

std::string limits_words(const model::Clearance& clearance) {
    if (clearance.lower && clearance.upper) {
        const double lower = clearance.lower->si(), upper = clearance.upper->si();
        return fmt::format("{:.2f} to {:.2f} mm ({:.3f} to {:.3f} in)", lower * 1e3, upper * 1e3, lower / 0.0254,
                           upper / 0.0254);
    }
    if (clearance.lower) return "at least " + length_words(clearance.lower->si());
    return clearance.upper ? "at most " + length_words(clearance.upper->si()) : std::string("no limits in the map");
}

Selective selective(const SelectiveAsked& asked) {
    assert(asked.measured_m >= 0);
    Selective result;
    result.verdict = stands(asked.measured_m, asked.lower_m, asked.upper_m);
    if (asked.upper_m) result.thicker_from_m = asked.measured_m - *asked.upper_m;
    if (asked.lower_m) result.thicker_to_m = asked.measured_m - *asked.lower_m;
    if (!asked.fitted_m) return result;
    std::vector<double> sizes = asked.sizes_m;
    std::sort(sizes.begin(), sizes.end());
    sizes.erase(std::unique(sizes.begin(), sizes.end()), sizes.end());
    result.choices.reserve(sizes.size());
    for (const double size : sizes) {
        const double clearance = asked.measured_m + *asked.fitted_m - size;
        result.choices.push_back({size, clearance, stands(clearance, asked.lower_m, asked.upper_m) == Verdict::within});
    }
    // To the middle of two limits; with one limit alone, the least change.
    const double aim = asked.lower_m && asked.upper_m ? (*asked.lower_m + *asked.upper_m) / 2 : asked.measured_m;
    for (std::size_t i = 0; i < result.choices.size(); ++i) {
        if (!result.choices[i].within) continue;
        const auto off = [&](std::size_t c) { return std::abs(result.choices[c].clearance_m - aim); };
        if (!result.best || off(i) < off(*result.best) - on_the_limit_m) result.best = i;
    }
    return result;
}

MeasureAnswer measure(const model::UnitMap& map, std::size_t clearance, const model::Length& value,
                      const std::optional<model::Length>& fitted, const model::AirBench& bench) {
    assert(value.si() >= 0 && (!fitted || fitted->si() >= 0));
    return Measurer(map, clearance, value.si(), si(fitted), bench).measure();
}

} // namespace ringland::diagnosis::plan
