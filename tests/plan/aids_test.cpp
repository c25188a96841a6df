// Measuring aids: figures by hand, and the leak of a ring beside the network's.
#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "../../diagnosis/airflow/expected.h"
#include "../../diagnosis/airflow/unit_air.h"
#include "../../diagnosis/oil/oil_figures.h"
#include "../../diagnosis/oil/oil_leak.h"
#include "../../diagnosis/plan/aids.h"
#include "../../model-data/map_io.h"

using namespace ringland;
using namespace ringland::diagnosis;
using model::Verdict;

namespace {

constexpr double mm = 1e-3;

model::UnitMap larch_five() {
    auto read = model::read_map(RINGLAND_SOURCE_DIR "/assets-demo/larch-five.toml");
    REQUIRE(read.map);
    return *read.map;
}

std::size_t clearance_at(const model::UnitMap& map, const std::string& id) {
    const auto found =
        std::find_if(map.clearances.begin(), map.clearances.end(), [&](const auto& c) { return c.id == id; });
    REQUIRE(found != map.clearances.end());
    return static_cast<std::size_t>(found - map.clearances.begin());
}

std::string all(const std::vector<std::string>& lines) {
    std::string text;
    for (const auto& line : lines)
        text += line + '\n';
    return text;
}

} // namespace

TEST_CASE("selective: pack of 0.90 to 1.40 mm measured at 1.85 mm with a snap ring of 1.50 mm") {
    // By hand: another ring gives 1.85 + 1.50 - size: 1.75 1.60, 2.00 1.35, 2.25 1.10, 2.50 0.85. The middle of the
    // limits is 1.15, so 2.25 it is.
    const plan::Selective result = plan::selective(
        {1.85 * mm, 0.90 * mm, 1.40 * mm, 1.50 * mm, {2.5 * mm, 1.5 * mm, 1.75 * mm, 2 * mm, 2.25 * mm}});
    CHECK(result.verdict == Verdict::above);
    CHECK(*result.thicker_from_m == doctest::Approx(0.45 * mm));
    CHECK(*result.thicker_to_m == doctest::Approx(0.95 * mm));
    REQUIRE(result.choices.size() == 5);
    CHECK(result.choices[0].size_m == doctest::Approx(1.5 * mm));
    CHECK(result.choices[2].clearance_m == doctest::Approx(1.35 * mm));
    CHECK(result.choices[2].within);
    CHECK_FALSE(result.choices[4].within);
    REQUIRE(result.best);
    CHECK(result.choices[*result.best].size_m == doctest::Approx(2.25 * mm));
}

TEST_CASE("selective: that none does, one limit alone, nothing known of what is in") {
    const plan::Selective none = plan::selective({1.0 * mm, 0.2 * mm, 0.3 * mm, 2.0 * mm, {2.5 * mm, 3.0 * mm}});
    CHECK_FALSE(none.best);
    CHECK(none.choices[1].clearance_m == doctest::Approx(0)); // would be tight
    const plan::Selective lower = plan::selective({0.2 * mm, 0.5 * mm, {}, 2.0 * mm, {1.0 * mm, 1.5 * mm, 2.0 * mm}});
    CHECK(lower.verdict == Verdict::below);
    CHECK_FALSE(lower.thicker_from_m);
    REQUIRE(lower.best);
    CHECK(lower.choices[*lower.best].size_m == doctest::Approx(1.5 * mm)); // the least change that helps
    const plan::Selective unknown = plan::selective({0.2 * mm, 0.5 * mm, 0.9 * mm, {}, {1.0 * mm}});
    CHECK(unknown.choices.empty());
    CHECK(*unknown.thicker_from_m == doctest::Approx(-0.7 * mm));
    CHECK(*unknown.thicker_to_m == doctest::Approx(-0.3 * mm));
    // A figure on the limit is within.
    CHECK(plan::selective({0.5 * mm, 0.5 * mm, 0.9 * mm, {}, {}}).verdict == Verdict::within);
}

TEST_CASE("selective: whatever is chosen lies within, and nothing that lies within is passed over") {
    for (int measured = 0; measured <= 40; ++measured) {
        for (int fitted = 10; fitted <= 30; fitted += 5) {
            const plan::SelectiveAsked asked{measured * 0.1 * mm,
                                             0.9 * mm,
                                             1.4 * mm,
                                             fitted * 0.1 * mm,
                                             {1.5 * mm, 1.75 * mm, 2 * mm, 2.25 * mm, 2.5 * mm}};
            const plan::Selective result = plan::selective(asked);
            bool any = false;
            double nearest = 1;
            for (const double size : asked.sizes_m) {
                const double left = asked.measured_m + *asked.fitted_m - size;
                const bool within = left > 0.9 * mm - 1e-9 && left < 1.4 * mm + 1e-9;
                any = any || within;
                if (within) nearest = std::min(nearest, std::abs(left - 1.15 * mm));
            }
            CHECK(result.best.has_value() == any);
            if (result.best)
                CHECK(std::abs(result.choices[*result.best].clearance_m - 1.15 * mm) ==
                      doctest::Approx(nearest).epsilon(1e-6));
        }
    }
}

TEST_CASE("measure: servo pin of the demo unit") {
    const model::UnitMap map = larch_five();
    const std::size_t pin = clearance_at(map, "second-pin");
    // 4.1 mm against 2.8 to 3.6: 0.5 mm too large, a pin 0.5 to 1.3 mm longer. With the one of 61.4 in, 62.2 gives 3.3.
    const plan::MeasureAnswer large = plan::measure(map, pin, model::mm(4.1), model::mm(61.4), {});
    CHECK(large.verdict == Verdict::above);
    CHECK(large.verdict_words ==
          "4.10 mm (0.161 in) is 0.50 mm (0.020 in) too large: 2.80 to 3.60 mm (0.110 to 0.142 in).");
    REQUIRE(large.selective);
    REQUIRE(large.selective->best);
    CHECK(large.selective->choices[*large.selective->best].size_m == doctest::Approx(62.2 * mm));
    CHECK(all(large.advice).find("0.50 mm to 1.30 mm (0.051 in) longer") != std::string::npos);
    CHECK(all(large.advice).find("The pin of 62.20 mm (2.449 in) gives 3.30 mm (0.130 in).") != std::string::npos);
    CHECK_FALSE(large.grind_from_m);
    // 2.2 mm: 0.6 to 1.4 mm off the tip.
    const plan::MeasureAnswer small = plan::measure(map, pin, model::mm(2.2), {}, {});
    CHECK(small.verdict == Verdict::below);
    REQUIRE(small.grind_from_m);
    CHECK(*small.grind_from_m == doctest::Approx(0.6 * mm));
    CHECK(*small.grind_to_m == doctest::Approx(1.4 * mm));
    CHECK(all(small.missing).find("Which pin is in now was not said") != std::string::npos);
    // The same figure in inches.
    const model::Length inches{4.1 / 25.4, model::LengthDimension::Unit::in};
    CHECK(plan::measure(map, pin, inches, {}, {}).verdict_words == large.verdict_words);
}

TEST_CASE("measure: a servo pin without limits takes 1/8 in (common practice, no source)") {
    model::UnitMap map = larch_five();
    const std::size_t pin = clearance_at(map, "second-pin");
    map.clearances[pin].lower.reset();
    map.clearances[pin].upper.reset();
    const plan::MeasureAnswer answer = plan::measure(map, pin, model::mm(2.0), {}, {});
    CHECK(answer.verdict == Verdict::no_limits);
    REQUIRE(answer.grind_from_m);
    CHECK(*answer.grind_from_m == doctest::Approx(1.175 * mm));
    CHECK(all(answer.advice).find("3.17 mm (0.125 in) of running clearance is usual (common practice, no source)") !=
          std::string::npos);
    CHECK(all(answer.missing).find("no limits") != std::string::npos);
    CHECK(all(plan::measure(map, pin, model::mm(5.0), {}, {}).advice).find("more than usual") != std::string::npos);
}

TEST_CASE("measure: the leak of a ring is the one that the network of the unit has") {
    model::UnitMap map = larch_five();
    const std::size_t gap = clearance_at(map, "input-ring-gap"), side = clearance_at(map, "input-ring-side");
    const model::AirBench bench;
    for (const double figure : {0.05, 0.20, 0.35, 0.90}) {
        for (const std::size_t which : {gap, side}) {
            CAPTURE(figure);
            const plan::MeasureAnswer answer = plan::measure(map, which, model::mm(figure), {}, bench);
            REQUIRE(answer.leak);
            const std::size_t ring = answer.leak->seal;
            CHECK(map.seals[ring].id == "R1"); // between lock-up and the open case at its first end
            model::UnitMap changed = map;
            (which == gap ? changed.seals[ring].end_gap : changed.seals[ring].side_clearance) = model::mm(figure);
            airflow::UnitAir unit(changed, bench);
            const auto circuit =
                std::find_if(map.circuits.begin(), map.circuits.end(), [](const auto& c) { return c.id == "lock-up"; });
            unit.hold(static_cast<int>(circuit - map.circuits.begin()), airflow::usual_gauge_pa(map, bench));
            CHECK(unit.solve().converged);
            CHECK(answer.leak->air_kgps == doctest::Approx(std::abs(unit.seal_flow_kgps(static_cast<int>(ring)))));
            CHECK(answer.leak->air_lpm == doctest::Approx(airflow::normal_lpm(answer.leak->air_kgps)));
            // Hot oil by the formula of an orifice, C A √(2 Δp/ρ) with C = 0.7 for a short channel with sharp ends, as
            // for air, through the gap of the joint alone.
            const double rho = oil::OilFigures(map).oil(true).density;
            const double by_hand = 0.7 * oil::sound_seal_in_oil(changed, changed.seals[ring]).size() *
                                   std::sqrt(2 * answer.leak->line_pa / rho) * 60e3;
            if (figure >= 0.20) CHECK(std::abs(answer.leak->oil_lpm / by_hand - 1) < 0.01);
            CHECK(answer.leak->oil_lpm <= by_hand); // a tiny gap is laminar
        }
    }
    CHECK(plan::measure(map, gap, model::mm(0.5), {}, bench).verdict == Verdict::above);
    CHECK(plan::measure(map, gap, model::mm(0.5), {}, bench).leak->air_lpm >
          plan::measure(map, gap, model::mm(0.2), {}, bench).leak->air_lpm);
}

TEST_CASE("measure: what is missing is said, and what follows without is given") {
    model::UnitMap map = larch_five();
    const std::size_t pack = clearance_at(map, "low-pack");
    CHECK(all(plan::measure(map, pack, model::mm(0), {}, {}).advice).find("binds by more") != std::string::npos);
    const plan::MeasureAnswer none = plan::measure(map, pack, model::mm(9), model::mm(1.5), {});
    CHECK(all(none.advice).find("None of the sizes brings it in") != std::string::npos);
    CHECK(all(none.advice).find("The map says: Selective snap ring") != std::string::npos);
    map.clearances[pack].sizes_mm.clear();
    const plan::MeasureAnswer bare = plan::measure(map, pack, model::mm(0.5), {}, {});
    CHECK(all(bare.missing).find("sizes-mm") != std::string::npos);
    CHECK(all(bare.advice).find("0.40 mm to 0.90 mm (0.035 in) thinner") != std::string::npos);
    const std::size_t gap = clearance_at(map, "input-ring-gap");
    map.clearances[gap].of = "case";
    const plan::MeasureAnswer nowhere = plan::measure(map, gap, model::mm(0.2), {}, {});
    CHECK_FALSE(nowhere.leak);
    CHECK(all(nowhere.missing).find("no ring where this is measured") != std::string::npos);
    for (std::size_t c = 0; c < map.clearances.size(); ++c)
        CHECK_FALSE(plan::measure(map, c, model::mm(1), {}, {}).formula.empty());
}
