// What follows from a document: layout, shapes, answer, the air's way. Recomputed when the document changes, never
// edited.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "../../diagnosis/airflow/expected.h"
#include "../../diagnosis/divide.h"
#include "../../model-data/layout.h"
#include "../../model-data/shapes.h"
#include "colours.h"
#include "explosion.h"
#include "session.h"
#include "side_desks.h"
#include "weigh_desk.h"

namespace ringland::viewer {

/// The air of the case that is set: into one port, all others open, and the hole that is imagined.
struct AirNow {
    double supply_gauge_pa = 0;
    std::string seal;                                       ///< with the imagined hole, empty without one
    double hole_mm = 0;                                     ///< in it
    double port_gauge_pa = 0, supply_lpm = 0, case_lpm = 0; ///< at the port under air; in all; out into the case
    std::vector<double> circuit_gauge_pa;                   ///< in the order of the map
    std::vector<double> port_lpm;                           ///< out of each port
    std::vector<double> seal_lpm, design_lpm;               ///< from the first circuit to the second
    // At the port where it came out, where one is given.
    diagnosis::airflow::Heard word{};
    double out_lpm = 0, out_plugged_gauge_pa = 0;
    diagnosis::airflow::SolveReport report;
};

/// The way in that the drawing shows step by step: parts in the order in which they come off, then these rings.
struct WayIn {
    std::vector<std::string> parts, rings;
    [[nodiscard]] double steps() const { return static_cast<double>(parts.size() + (rings.empty() ? 0 : 1)); }
    friend bool operator==(const WayIn&, const WayIn&) = default;
};

struct Way;       // outlook.h
struct OnTheRoad; // outlook.h

struct Derived {
    model::Layout layout;
    std::vector<CircuitColour> circuit_looks; ///< colours and marks, in the order of the map
    std::vector<model::Shape> shapes;
    std::vector<model::Fault> shape_faults;
    Explosion explosion;                                    ///< of these shapes
    WayIn way_in;                                           ///< to the seals of the plan
    std::optional<diagnosis::DivideAnswer> answer;          ///< where both ports are given
    std::string suspect;                                    ///< seal shown as the suspect, empty without one
    std::optional<model::AirPath> air;                      ///< through the suspect
    std::optional<diagnosis::airflow::UnitAir> unit_air;    ///< of map and bench
    std::optional<AirNow> air_now;                          ///< where a port gets air
    std::optional<diagnosis::airflow::ExpectedRow> healthy; ///< the chart's row of that port
    /// The chart as far as it is worked out; the rest follows by continue_chart. In the order of the ports.
    std::vector<std::optional<diagnosis::airflow::ExpectedRow>> chart;
    double chart_gauge_pa = 0;
    std::shared_ptr<const Way> way;           ///< in, to what is asked for now; nothing while it is worked out
    std::shared_ptr<const OnTheRoad> road;    ///< likewise
    std::shared_ptr<const Weighed> weighed;   ///< of the readings as they are; nothing while it is worked out
    std::shared_ptr<const Retested> retested; ///< of the job as it is; nothing while it is worked out
    /// In which order air goes into the ports. It comes once for a map and changes under nobody's finger.
    std::shared_ptr<const FullCheck> full_check;
    unsigned long shapes_revision = 0; ///< changes when shapes do: the renderer uploads anew
};

/// Colour of a circuit, with the mark that takes its neighbours into account.
[[nodiscard]] CircuitColour circuit_look(const Derived& derived, const model::UnitMap& map, std::string_view circuit);

/// How far the unit is apart at a time; without one: when every move has ended.
[[nodiscard]] Apartness apartness(const Session& session, const Derived& derived, std::optional<double> now_s = {});
/// Steps of the way in that are done at a time.
[[nodiscard]] double taken_at(const Taking& taking, double now_s);
[[nodiscard]] bool in_motion(const Taking& taking, double now_s);

/// Everything from nothing: for a new map.
[[nodiscard]] Derived derive(const Session& session);
/// Answer, suspect and air path only: the map is the same.
void derive_answer(Derived& derived, const Session& session);
/// Air of the case, the healthy row, and an empty chart where its pressure or the bench have changed.
void derive_air(Derived& derived, const Session& session, bool bench_changed);
/// Works out one more row of the chart; false where none was left.
bool continue_chart(Derived& derived, const Session& session);

/// Probability that a seal is at fault after the readings; 0 before any.
[[nodiscard]] double chance_of(const Derived& derived, const model::UnitMap& map, const std::string& seal);
/// Seals below this are not picked out in the drawing.
inline constexpr double least_chance_shown = 0.05;

/// The circuit that a circuit, or a port, belongs to; empty for anything else.
[[nodiscard]] std::string traced_circuit(const model::UnitMap& map, const model::Subject& subject);
/// The circuits that a person means who wants to see "these alone": of what is selected, else of the seal that is
/// shown, else of the ports of the question. At most two; the sump is none.
[[nodiscard]] std::vector<std::string> circuits_of(const Session& session, const Derived& derived);

/// At the regulator, for what is asked now.
[[nodiscard]] double supply_gauge_pa(const Document& document);
/// The seal in which a hole is imagined: the selected one, else the suspect.
[[nodiscard]] std::string what_if_seal(const Session& session, const Derived& derived);
/// How the arrows of the air show a flow: the more, the faster and the closer together. Points are of the screen.
struct AirPace {
    double speed_points_per_s = 0;
    double spacing_points = 0; ///< from arrow to arrow; 0: too little to show
};
[[nodiscard]] AirPace air_pace(double flow_lpm);

/// The flow that the arrows of the air show, normal litres a minute: through the suspect.
[[nodiscard]] double shown_lpm(const Session& session, const Derived& derived);

} // namespace ringland::viewer
