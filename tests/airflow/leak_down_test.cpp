// Leak-down: the two-orifice table both ways, what the readings cannot be, and that there and back is the same leak.
#include <doctest/doctest.h>

#include <cmath>
#include <cstdint>
#include <random>
#include <string>

#include "../../diagnosis/airflow/leak_down.h"

using namespace ringland::diagnosis::airflow;

namespace {

constexpr double pascal_per_psi = 6894.757293168361;
constexpr double inch = 0.0254;

/// Orifice of 0.040 in, ideal holes of one coefficient, 14.696 psia around.
LeakDownRig rig_of_table(double supply_psi) {
    LeakDownRig rig;
    rig.supply_gauge_pa = supply_psi * pascal_per_psi;
    rig.orifice_diameter_m = 0.040 * inch;
    rig.law = LeakDownLaw::ideal;
    rig.air.ambient_pa = 14.696 * pascal_per_psi;
    return rig;
}

double ratio_of(const LeakDownRig& rig, double reading_psi) {
    std::string why;
    const auto answer = leak_of_reading(rig, reading_psi * pascal_per_psi, why);
    REQUIRE_MESSAGE(answer.has_value(), why);
    return answer->area_m2 / circle_area(rig.orifice_diameter_m);
}

} // namespace

// Calculated from the isentropic formula of both holes (gamma 1.4) by a program of its own: two-orifice table for 80
// pascal_per_psig, the supply of the differential compression test of AC 43.13-1B, para 8-14.
TEST_CASE("two-orifice table, leak to reading") {
    const auto rig = rig_of_table(80);
    struct Row {
        double ratio, reading_psi;
    };
    for (const Row row : {Row{0.25, 78.631}, Row{0.5, 74.737}, Row{1, 61.767}, Row{2, 32.652}, Row{4, 9.346}}) {
        CAPTURE(row.ratio);
        const double got_psi = reading_of_leak(rig, rig.orifice_diameter_m * std::sqrt(row.ratio)) / pascal_per_psi;
        CHECK(std::abs(got_psi - row.reading_psi) < 0.0006); // the last printed digit
    }
}

TEST_CASE("two-orifice table, reading to leak") {
    const auto rig = rig_of_table(80);
    struct Row {
        double reading_psi, ratio, diameter_in;
    };
    for (const Row row : {Row{79, 0.2133, 0.0185}, Row{78, 0.3031, 0.0220}, Row{75, 0.4867, 0.0279},
                          Row{70, 0.7067, 0.0336}, Row{65, 0.8900, 0.0377}, Row{60, 1.0586, 0.0412},
                          Row{50, 1.3836, 0.0471}, Row{40, 1.7220, 0.0525}, Row{20, 2.7293, 0.0661}}) {
        CAPTURE(row.reading_psi);
        const double ratio = ratio_of(rig, row.reading_psi);
        CHECK(std::abs(ratio - row.ratio) < 0.00006);
        CHECK(std::abs(0.040 * std::sqrt(ratio) - row.diameter_in) < 0.00006);
    }
}

// The constant of two equal holes in a row with the second choked: calculated from the isentropic formula.
TEST_CASE("equal holes with a choked exit share the pressure as 0.80746") {
    const auto rig = rig_of_table(100);
    const double reading_pa = reading_of_leak(rig, rig.orifice_diameter_m);
    CHECK(std::abs(reading_pa / pascal_per_psi - 77.916) < 0.0006);
    const double share = (reading_pa + rig.air.ambient_pa) / (rig.supply_gauge_pa + rig.air.ambient_pa);
    CHECK(std::abs(share - 0.80746) < 0.000006);
}

// Percent that a gauge shows behind 0.040 in at 40 psi. Calculated from the isentropic formula by a program of its own
// (bisection of the two flows, one coefficient for both holes, 14.696 psia). A list of the trade (common practice, no
// source) prints 0.1, 2, 10, 26 and 75; its 10 is 9.489 here and by the second derivation, so that entry is held to the
// calculation alone and the other four to their rounding as well.
TEST_CASE("percent of the bench for drilled leaks behind 0.040 in at 40 psi") {
    const auto rig = rig_of_table(40);
    struct Row {
        double leak_in, percent, print, rounding;
    };
    for (const Row row : {Row{0.010, 0.12511, 0.1, 0.05}, Row{0.020, 1.97660, 2, 0.5}, Row{0.030, 9.48927, 0, 0},
                          Row{0.040, 26.32815, 26, 0.5}, Row{0.060, 75.30388, 75, 0.5}}) {
        const double reading_pa = reading_of_leak(rig, row.leak_in * inch);
        const double percent = 100 * (1 - reading_pa / rig.supply_gauge_pa);
        CAPTURE(row.leak_in);
        CAPTURE(percent);
        CHECK(std::abs(percent - row.percent) < 2e-4);
        if (row.rounding > 0) CHECK(std::abs(percent - row.print) <= row.rounding);
    }
}

TEST_CASE("a sharp-edged leak is larger than a drilled one for one reading") {
    auto rig = rig_of_table(80);
    rig.law = LeakDownLaw::sharp;
    std::string why;
    const auto sharp = leak_of_reading(rig, 60 * pascal_per_psi, why);
    REQUIRE(sharp.has_value());
    CHECK(sharp->loss == doctest::Approx(0.25));
    // The effective area is that of an ideal hole: the orifice passes 0.82 of its own.
    CHECK(sharp->effective_area_m2 / circle_area(rig.orifice_diameter_m) ==
          doctest::Approx(0.82 * 1.0586).epsilon(1e-4));
    // 0.85 at 80 psig into the open and 0.74 where it chokes (R. Jobson's momentum balance): between the two at 60
    // pascal_per_psig.
    const double coefficient = sharp->effective_area_m2 / sharp->area_m2;
    CHECK(coefficient > 0.74);
    CHECK(coefficient < 0.85);
    CHECK(circle_area(sharp->diameter_m) == doctest::Approx(sharp->area_m2));
}

TEST_CASE("no leak, and readings that cannot be") {
    const auto rig = rig_of_table(80);
    std::string why;
    const auto none = leak_of_reading(rig, 80 * pascal_per_psi, why);
    REQUIRE(none.has_value());
    CHECK(none->flow_kgps == 0);
    CHECK(none->diameter_m == 0);
    CHECK(none->loss == 0);
    CHECK(why.empty());
    CHECK(reading_of_leak(rig, 0) == rig.supply_gauge_pa);
    const auto refused = [&](const LeakDownRig& asked, double reading_pa, const char* words) {
        std::string reason;
        CHECK_FALSE(leak_of_reading(asked, reading_pa, reason).has_value());
        CAPTURE(reason);
        CHECK(reason.find(words) != std::string::npos);
    };
    refused(rig, 80.5 * pascal_per_psi, "mixed up");
    refused(rig, 0, "larger orifice");
    refused(rig, -1, "larger orifice");
    refused(rig, std::nan(""), "second gauge");
    auto wrong = rig;
    wrong.supply_gauge_pa = 0;
    refused(wrong, 60 * pascal_per_psi, "no supply pressure");
    wrong = rig;
    wrong.orifice_diameter_m = 0;
    refused(wrong, 60 * pascal_per_psi, "no orifice");
}

TEST_CASE("5000 random rigs: there and back is the same leak, and a larger leak reads less") {
    std::mt19937_64 engine(5);
    const auto figure = [&](double low, double high) {
        return low + (high - low) * (static_cast<double>(engine() >> 11) * 0x1.0p-53);
    };
    for (int round = 0; round < 5000; ++round) {
        CAPTURE(round);
        LeakDownRig rig;
        rig.supply_gauge_pa = figure(0.2e5, 10e5);
        rig.orifice_diameter_m = figure(0.3e-3, 3e-3);
        rig.law = round % 2 == 0 ? LeakDownLaw::ideal : LeakDownLaw::sharp;
        rig.air = {figure(263, 313), figure(60e3, 105e3)};
        const double diameter_m = rig.orifice_diameter_m * figure(0.2, 3);
        const double reading_pa = reading_of_leak(rig, diameter_m);
        REQUIRE(reading_pa > 0);
        REQUIRE(reading_pa < rig.supply_gauge_pa);
        std::string why;
        const auto back = leak_of_reading(rig, reading_pa, why);
        REQUIRE(back.has_value());
        REQUIRE(back->diameter_m == doctest::Approx(diameter_m).epsilon(1e-6));
        REQUIRE(reading_of_leak(rig, diameter_m * 1.02) < reading_pa);
        const double read_again = reading_of_leak(rig, back->diameter_m);
        REQUIRE(std::abs(read_again - reading_pa) < 1e-6 * rig.supply_gauge_pa);
    }
}
