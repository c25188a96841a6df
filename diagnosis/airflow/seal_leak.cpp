#include "seal_leak.h"

#include <algorithm>

#include <fmt/format.h>

namespace ringland::diagnosis::airflow {

namespace {

using model::Joint;
using model::SealKind;

// All figures of this block: common practice, no source. They are chosen so that a sound ring sounds faint and a sound
// lip, O-ring or gasket is silent at the usual air check pressures; docs/physics.md shows what each of them makes.

constexpr double usual_gap_m = 0.25e-3, usual_side_clearance_m = 0.12e-3, usual_land_clearance_m = 0.20e-3;
constexpr double usual_ring_diameter_m = 45e-3, usual_ring_thickness_m = 2.2e-3;
constexpr double film_of_side_clearance = 0.04; ///< of a dry ring that lies on its groove wall
constexpr double contact_of_thickness = 0.6;    ///< of the ring's radial thickness lies on the groove wall
constexpr double gap_cd = 0.7;                  ///< short channel with sharp ends

constexpr double bushing_diameter_m = 30e-3, bushing_clearance_m = 0.025e-3, bushing_length_m = 15e-3;

constexpr double lip_opens_pa = 2e3, ball_opens_pa = 3e3, valve_opens_pa = 1e3;

/// What is left of a joint gap by its shape: ends that overlap leave less of it.
double open_share(Joint joint) {
    switch (joint) {
    case Joint::butt:
        return 1;
    case Joint::scarf:
    case Joint::none: // not told
        return 0.35;
    case Joint::hook:
        return 0.3;
    case Joint::step:
        return 0.15;
    case Joint::solid:
        return 0;
    }
    return 1;
}

/// Equivalent hole of a sound seal that is neither ring nor bushing.
double usual_hole_m(SealKind kind) {
    switch (kind) {
    case SealKind::lip:
    case SealKind::tube:
        return 0.08e-3;
    case SealKind::d_ring:
        return 0.06e-3;
    case SealKind::gasket_bridge:
        return 0.05e-3;
    case SealKind::o_ring:
    case SealKind::plug:
        return 0.03e-3;
    case SealKind::check_ball:
        return 0.15e-3;
    case SealKind::wall:
    case SealKind::ring:
    case SealKind::bushing:
        break;
    }
    return 0;
}

double metres(const std::optional<model::Length>& length, double otherwise) {
    return length && length->si() > 0 ? length->si() : otherwise;
}

} // namespace

RingFigures ring_figures(const model::UnitMap& map, const model::Seal& seal) {
    const auto metres_of = [](const std::optional<model::Length>& length) {
        return length ? std::optional<double>(length->si()) : std::nullopt;
    };
    RingFigures figures;
    figures.end_gap_m = metres_of(seal.end_gap);
    figures.side_clearance_m = metres_of(seal.side_clearance);
    figures.joint = seal.joint;
    if (const auto* stack = model::find(map.stacks, seal.stack)) {
        figures.diameter_m = metres_of(stack->diameter);
        figures.thickness_m = metres_of(stack->ring_thickness);
    }
    return figures;
}

SoundSeal sound_ring(const RingFigures& figures) {
    SoundSeal sound;
    sound.from_map = figures.end_gap_m || figures.side_clearance_m;
    const double diameter = figures.diameter_m.value_or(0) > 0 ? *figures.diameter_m : usual_ring_diameter_m;
    const double thickness = figures.thickness_m.value_or(0) > 0 ? *figures.thickness_m : usual_ring_thickness_m;
    const double film = film_of_side_clearance * figures.side_clearance_m.value_or(usual_side_clearance_m);
    const double open_gap = figures.end_gap_m.value_or(usual_gap_m) * open_share(figures.joint);
    sound.hole = Law::round_hole(open_gap * usual_land_clearance_m, gap_cd);
    sound.film = Law::slot(M_PI * diameter, film, contact_of_thickness * thickness);
    sound.how = open_gap > 0 ? fmt::format("joint gap {:.2f} mm × {:.2f} mm open, film {:.1f} µm", open_gap * 1e3,
                                           usual_land_clearance_m * 1e3, film * 1e6)
                             : fmt::format("no joint gap, film {:.1f} µm", film * 1e6);
    return sound;
}

SoundSeal sound_seal(const model::UnitMap& map, const model::Seal& seal) {
    SoundSeal sound;
    if (seal.healthy_hole) {
        sound.from_map = true;
        sound.hole = Law::sharp_hole(circle_area(seal.healthy_hole->si()));
        sound.how = fmt::format("equivalent hole {:.2f} mm", model::in_mm(*seal.healthy_hole));
        return sound;
    }
    if (seal.kind == SealKind::ring) return sound_ring(ring_figures(map, seal));
    if (seal.kind == SealKind::bushing) {
        const double clearance =
            seal.side_clearance && seal.side_clearance->si() > 0 ? seal.side_clearance->si() : bushing_clearance_m;
        sound.from_map = seal.side_clearance.has_value();
        sound.film = Law::slot(M_PI * bushing_diameter_m, clearance, bushing_length_m);
        sound.how = fmt::format("gap {:.0f} µm all round", clearance * 1e6);
        return sound;
    }
    const double hole = usual_hole_m(seal.kind);
    sound.hole = Law::sharp_hole(circle_area(hole));
    sound.how = hole > 0 ? fmt::format("equivalent hole {:.2f} mm", hole * 1e3) : "tight";
    return sound;
}

bool fails_one_way(const model::Seal& seal) {
    return (seal.kind == SealKind::lip || seal.kind == SealKind::check_ball) &&
           (seal.faces == seal.between[0] || seal.faces == seal.between[1]);
}

bool fails_backwards(const model::Seal& seal) { return fails_one_way(seal) && seal.faces == seal.between[1]; }

Law defect_law(bool one_way, double hole_diameter_m) {
    const Law hole = Law::sharp_hole(circle_area(std::max(0.0, hole_diameter_m)));
    return one_way ? hole.one_way(lip_opens_pa) : hole;
}

Law design_law(const model::DesignFlow& flow) {
    using model::DesignFlowKind;
    const auto drilled = [&](double usual_m) {
        return Law::round_hole(circle_area(metres(flow.hole, usual_m)), Law::drilled_cd);
    };
    const bool into_case = flow.to == model::sump_id;
    switch (flow.kind) {
    case DesignFlowKind::bleed:
        return flow.one_way ? drilled(0.7e-3).one_way(valve_opens_pa) : drilled(0.7e-3);
    case DesignFlowKind::check_ball:
        // A bleed ball of a piston lets trapped oil out and is seated by the first air: what is left is its seat.
        if (into_case) return Law::sharp_hole(circle_area(usual_hole_m(SealKind::check_ball)));
        return drilled(2e-3).one_way(ball_opens_pa);
    case DesignFlowKind::shared_piston:
        return flow.one_way ? drilled(2e-3).one_way(lip_opens_pa) : drilled(2e-3);
    case DesignFlowKind::shared_feed:
        return flow.one_way ? drilled(3e-3).one_way(ball_opens_pa) : drilled(3e-3);
    case DesignFlowKind::other:
        return flow.one_way ? drilled(1e-3).one_way(valve_opens_pa) : drilled(1e-3);
    }
    return {};
}

} // namespace ringland::diagnosis::airflow
