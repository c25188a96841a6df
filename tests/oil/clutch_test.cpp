// Centrifugal head and clutch torque against textbooks. "Calculated": reckoned from the named formula independently of
// this program; no published figure of a clutch cylinder's head was found.
#include <doctest/doctest.h>

#include <cmath>

#include "../../diagnosis/oil/clutch.h"
#include "../airflow/nearly.h"

using namespace ringland::diagnosis::oil;
using namespace ringland::model;
using ringland::tests::nearly;

TEST_CASE("clutch: head of spinning oil") {
    // Rigid rotation, p = p₀ + ½ρω²(r² − r₀²) (Munson, Young and Okiishi). Calculated: 830 kg/m³, 3000 rpm.
    const double omega = radians_per_second(3000);
    CHECK(nearly(omega, 314.159265, 1e-8));
    CHECK(nearly(centrifugal_head_pa(830, omega, 0.030, 0.060), 110.589e3, 5e-6));
    CHECK(nearly(centrifugal_head_pa(830, omega, 0.040, 0.070), 135.164e3, 5e-6));
    // Thrust on a ring piston of 35 to 60 mm with its free surface at 30 mm.
    const Chamber chamber{0.035, 0.060};
    const double area = M_PI * (0.060 * 0.060 - 0.035 * 0.035);
    CHECK(nearly(mean_head_pa(830, omega, 0.030, chamber) * area, 462.23, 2e-5));
    // The end of a full cylinder: πρω²r⁴/4 (end-cover thrust of a rotating cylinder).
    CHECK(nearly(mean_head_pa(1000, 100, 0, {0, 0.1}) * M_PI * 0.01, M_PI * 1000 * 1e4 * 1e-4 / 4, 1e-12));
}

TEST_CASE("clutch: the mean is that of the area, summed up ring by ring") {
    const Chamber chamber{0.04, 0.075};
    double thrust = 0;
    constexpr int rings = 20000;
    for (int k = 0; k < rings; ++k) {
        const double dr = 0.035 / rings, r = 0.04 + (k + 0.5) * dr;
        thrust += centrifugal_head_pa(820, 250, 0.022, r) * 2 * M_PI * r * dr;
    }
    CHECK(nearly(mean_head_pa(820, 250, 0.022, chamber) * M_PI * (0.075 * 0.075 - 0.04 * 0.04), thrust, 1e-8));
}

TEST_CASE("clutch: worked examples with worn plates") {
    // Khurmi and Gupta, Theory of Machines, Ex 10.23: 300/200 mm, 0.1 N/mm² at the inner edge, µ 0.3, both sides, 2500
    // rpm: 61.685 kW. Uniform wear: the force is 2π p r₂ (r₁ − r₂).
    double force = 2 * M_PI * 0.1e6 * 0.1 * (0.15 - 0.1);
    double torque = clutch_torque_nm(2, 0.3, force, uniform_wear_radius_m(0.1, 0.15));
    CHECK(nearly(force, 3141.6, 1e-5));
    CHECK(nearly(torque, 235.62, 1e-5));
    CHECK(nearly(torque * radians_per_second(2500), 61.685e3, 1e-5));
    // Ex 10.28: four faces, µ 0.3, 0.127 N/mm², radii 125/75 mm, 500 rpm: 18.8 kW.
    force = 2 * M_PI * 0.127e6 * 0.075 * (0.125 - 0.075);
    torque = clutch_torque_nm(4, 0.3, force, uniform_wear_radius_m(0.075, 0.125));
    CHECK(std::abs(torque * radians_per_second(500) - 18.8e3) < 50);
    CHECK(nearly(torque, 359.08, 2e-5));
    // Ex 10.29: three discs on one shaft and two on the other, so four faces; 240/120 mm, µ 0.3, 25 kW at 1575 rpm:
    // 0.062 N/mm² at the inner edge.
    const double wanted = 25e3 / radians_per_second(1575);
    force = wanted / clutch_torque_nm(4, 0.3, 1, uniform_wear_radius_m(0.06, 0.12));
    CHECK(std::abs(force / (2 * M_PI * 0.06 * (0.12 - 0.06)) / 1e6 - 0.062) < 0.0005);
    // Wentzell, Machine Design, Ex 16.1: 120 lb, radii of 12 and 9 in over one face with f 0.3: 378 in lb, 12.0 hp at
    // 2000 rpm. (In inches and pounds: the formula has no unit of its own.)
    const double inch_pounds = clutch_torque_nm(1, 0.3, 120, uniform_wear_radius_m(9, 12));
    CHECK(nearly(inch_pounds, 378, 1e-12));
    CHECK(std::abs(inch_pounds * 2000 / 63025 - 12.0) < 0.05);
}

TEST_CASE("clutch: new plates carry a little more than worn ones") {
    // (2/3)(r₁³ − r₂³)/(r₁² − r₂²), Khurmi and Gupta, ch. 10; calculated for 150 and 100 mm: 126.667 mm against 125.
    CHECK(nearly(uniform_pressure_radius_m(0.1, 0.15), 2.0 / 3 * (0.003375 - 0.001) / (0.0225 - 0.01), 1e-13));
    CHECK(nearly(uniform_pressure_radius_m(0.1, 0.15), 0.1266667, 1e-6));
    // A full disc: 2/3 of its radius new, half of it worn. An edge: both the same.
    CHECK(nearly(uniform_pressure_radius_m(0, 0.09), 0.06, 1e-13));
    CHECK(nearly(uniform_wear_radius_m(0, 0.09), 0.045, 1e-13));
    CHECK(nearly(uniform_pressure_radius_m(0.08, 0.08), 0.08, 1e-13));
    for (const double inner : {0.01, 0.05, 0.079})
        CHECK(uniform_pressure_radius_m(inner, 0.08) > uniform_wear_radius_m(inner, 0.08));
}

TEST_CASE("clutch: chamber from what the map gives") {
    Element element;
    element.kind = ElementKind::clutch;
    CHECK_FALSE(chamber_of(element));
    element.apply_area = Area{69.0, AreaDimension::Unit::cm2};
    CHECK_FALSE(chamber_of(element));
    const auto area_of = [](const Chamber& c) {
        return M_PI * (c.outer_radius_m * c.outer_radius_m - c.inner_radius_m * c.inner_radius_m);
    };
    element.plate_inner_diameter = mm(112);
    element.plate_outer_diameter = mm(140);
    auto chamber = chamber_of(element);
    REQUIRE(chamber);
    CHECK(nearly(area_of(*chamber), 69e-4, 1e-12));
    CHECK(nearly(chamber->inner_radius_m + chamber->outer_radius_m, 0.126, 1e-12));
    element.chamber_outer_diameter = mm(146);
    chamber = chamber_of(element);
    REQUIRE(chamber);
    CHECK(nearly(area_of(*chamber), 69e-4, 1e-12));
    CHECK(nearly(chamber->outer_radius_m, 0.073, 1e-12));
    element.chamber_outer_diameter.reset();
    element.chamber_inner_diameter = mm(100);
    chamber = chamber_of(element);
    REQUIRE(chamber);
    CHECK(nearly(area_of(*chamber), 69e-4, 1e-12));
    CHECK(nearly(chamber->inner_radius_m, 0.050, 1e-12));
    element.chamber_outer_diameter = mm(146); // both: the area does not count
    chamber = chamber_of(element);
    REQUIRE(chamber);
    CHECK(nearly(chamber->outer_radius_m, 0.073, 1e-12));
    // No ring: the area does not fit into so small a bore.
    element.chamber_inner_diameter.reset();
    element.chamber_outer_diameter = mm(80);
    CHECK_FALSE(chamber_of(element));
}

TEST_CASE("clutch: capacity where the map gives plates, their size and friction") {
    Element element;
    element.kind = ElementKind::clutch;
    element.friction_plates = 4;
    element.plate_inner_diameter = mm(112);
    element.plate_outer_diameter = mm(140);
    CHECK_FALSE(capacity_nm(element, 1000));
    element.friction_coefficient = 0.14;
    REQUIRE(capacity_nm(element, 1000));
    // By hand: 8 faces × 0.14 × 1000 N × 63 mm.
    CHECK(nearly(*capacity_nm(element, 1000), 70.56, 1e-12));
    element.kind = ElementKind::band;
    CHECK_FALSE(capacity_nm(element, 1000));
}
