// Air in the session: what is asked, what follows from it, and what can be taken back.
#include <doctest/doctest.h>

#include <cmath>

#include "../../diagnosis/airflow/expected.h"
#include "../../viewer/app/actions.h"
#include "../../viewer/app/commands.h"
#include "opened.h"

using namespace ringland;
using namespace ringland::tests;
using namespace ringland::viewer;
using diagnosis::airflow::Heard;
namespace cmd = ringland::viewer::command;

TEST_CASE("air of a session: the column shows what the engine says, for the hole that is imagined") {
    Workbench bench = opened();
    CHECK_FALSE(bench.derived().air_now);
    carry_out(bench, cmd::AirInto{"P3"});
    REQUIRE(bench.derived().air_now);
    CHECK(bench.derived().air_now->seal.empty());
    carry_out(bench, cmd::CameOut{"P4"});
    carry_out(bench, cmd::ShowSuspect{"R3"});

    const auto& map = bench.session().document.map;
    const double supply = 35 * 6894.757293168361; // the map's own figure
    CHECK(supply_gauge_pa(bench.session().document) == doctest::Approx(supply));
    diagnosis::airflow::UnitAir unit(map, {});
    const auto row = diagnosis::airflow::expect_row(map, unit, 2, supply);
    REQUIRE(bench.derived().healthy);
    CHECK(bench.derived().healthy->supply_kgps == row.supply_kgps);
    CHECK(bench.derived().healthy->at[2].plugged_gauge_pa == row.at[2].plugged_gauge_pa);

    for (const double hole_mm : {0.0, 0.5, 2.0, 5.0}) {
        carry_out(bench, cmd::WhatIf{hole_mm});
        CHECK(bench.derived().air_now->seal == "R3");
        unit.clear_defects();
        unit.set_defect(2, hole_mm * 1e-3); // the third seal of the map
        REQUIRE(map.seals[2].id == "R3");
        unit.blow_into(2, supply);
        unit.solve_cold();
        CHECK(bench.derived().air_now->out_lpm == diagnosis::airflow::normal_lpm(unit.port_flow_kgps(3)));
        CHECK(shown_lpm(bench.session(), bench.derived()) ==
              std::abs(diagnosis::airflow::normal_lpm(unit.seal_flow_kgps(2))));
        CHECK(bench.derived().air_now->report.converged);
    }
    // A selected seal is the one that is imagined with a hole, whether it divides the pair or not.
    carry_out(bench, cmd::Select{{model::SubjectKind::seal, "R2"}});
    CHECK(bench.derived().air_now->seal == "R2");
    CHECK(bench.derived().air_now->port_lpm[6] > 25); // lock-up, behind R2
}

TEST_CASE("air of a session: what was seen belongs to one pair in one direction, and can be taken back") {
    Workbench bench = opened();
    CHECK_FALSE(bench.dispatch(saw("P4", Heard::strong), 0).empty());
    carry_out(bench, cmd::AirInto{"P3"});
    carry_out(bench, cmd::CameOut{"P4"});
    carry_out(bench, saw("P4", Heard::strong));
    CHECK(seen_word(bench.session().document) == Heard::strong);
    const Camera before = bench.session().view.flight.to;
    carry_out(bench, cmd::Undo{});
    CHECK_FALSE(seen_word(bench.session().document));
    CHECK(bench.session().document.came_out == "P4");
    CHECK(bench.session().view.flight.to == before); // no question has changed, so the eye stays
    carry_out(bench, cmd::Redo{});
    CHECK(seen_word(bench.session().document) == Heard::strong);
    carry_out(bench, cmd::SwapDirection{});
    CHECK_FALSE(seen_word(bench.session().document));
}

TEST_CASE("air of a session: a held slider is one step to undo, and every step of it counts at once") {
    Workbench bench = opened();
    carry_out(bench, cmd::AirInto{"P3"});
    double last = bench.derived().air_now->supply_lpm;
    for (int psi = 36; psi <= 60; ++psi) {
        carry_out(bench, cmd::SetSupply{model::psi(psi), false});
        CHECK(bench.derived().air_now->supply_lpm > last);
        CHECK(bench.derived().healthy->supply_gauge_pa == doctest::Approx(psi * 6894.757293168361));
        last = bench.derived().air_now->supply_lpm;
    }
    carry_out(bench, cmd::SetSupply{model::psi(60), true});
    carry_out(bench, cmd::SetSupply{model::psi(80), true});
    carry_out(bench, cmd::Undo{});
    CHECK(bench.session().document.supply == model::psi(60));
    carry_out(bench, cmd::Undo{});
    CHECK_FALSE(bench.session().document.supply);
    CHECK(bench.session().document.air_into == "P3");
    CHECK_FALSE(bench.dispatch(cmd::SetSupply{model::psi(-1)}, 0).empty());
    CHECK_FALSE(bench.dispatch(cmd::SetSupply{model::psi(150)}, 0).empty());
    CHECK_FALSE(bench.dispatch(cmd::WhatIf{-0.1}, 0).empty());
    CHECK_FALSE(bench.dispatch(cmd::WhatIf{std::nan("")}, 0).empty());
}

TEST_CASE("air of a session: the chart is worked out row by row, and anew for another pressure or bench") {
    Workbench bench = opened();
    CHECK_FALSE(bench.work_on()); // nobody looks at it
    carry_out(bench, cmd::ShowSheet{Sheet::chart});
    int rows = 0;
    while (bench.work_on())
        ++rows;
    CHECK(rows == 12);
    const auto& map = bench.session().document.map;
    diagnosis::airflow::UnitAir unit(map, {});
    const auto chart = diagnosis::airflow::expect(map, unit, bench.derived().chart_gauge_pa);
    for (std::size_t r = 0; r < chart.rows.size(); ++r) {
        REQUIRE(bench.derived().chart[r]);
        CHECK(bench.derived().chart[r]->supply_kgps == chart.rows[r].supply_kgps);
        CHECK(bench.derived().chart[r]->case_kgps == chart.rows[r].case_kgps);
    }
    const double before = bench.derived().chart[2]->supply_kgps;
    model::AirBench high;
    high.altitude_m = 2500;
    carry_out(bench, cmd::SetAirBench{high});
    rows = 0;
    while (bench.work_on())
        ++rows;
    CHECK(rows == 12);
    CHECK(bench.derived().chart[2]->supply_kgps < 0.95 * before);
    carry_out(bench, cmd::Undo{});
    while (bench.work_on())
        ;
    CHECK(bench.derived().chart[2]->supply_kgps == before);
    model::AirBench wrong;
    wrong.hose_conductance = -1;
    CHECK_FALSE(bench.dispatch(cmd::SetAirBench{wrong}, 0).empty());
    CHECK(bench.session().document.bench == model::AirBench{});
}

TEST_CASE("air of a session: more air runs faster and closer, a breath slowly, nothing not at all") {
    CHECK(air_pace(0).spacing_points == 0);
    CHECK(air_pace(0.01).spacing_points == 0);
    double speed = 0, spacing = 1e9;
    for (const double lpm : {0.05, 0.5, 2.4, 10.0, 30.0, 60.0}) {
        const AirPace pace = air_pace(lpm);
        CHECK(pace.speed_points_per_s > speed);
        CHECK(pace.spacing_points < spacing);
        speed = pace.speed_points_per_s;
        spacing = pace.spacing_points;
    }
    CHECK(air_pace(1e6).spacing_points >= 30); // arrows never run into one another
}

TEST_CASE("air of a session: the words have keys, and a key pressed again takes its word back") {
    Workbench bench = opened();
    CHECK_FALSE(action("saw-faint").make(bench));
    carry_out(bench, cmd::AirInto{"P3"});
    carry_out(bench, cmd::CameOut{"P4"});
    carry_out(bench, *action_of_key("F3")->make(bench));
    CHECK(seen_word(bench.session().document) == Heard::faint);
    carry_out(bench, *action_of_key("F5")->make(bench));
    CHECK(seen_word(bench.session().document) == Heard::strong);
    carry_out(bench, *action_of_key("F5")->make(bench));
    CHECK_FALSE(seen_word(bench.session().document));
}
