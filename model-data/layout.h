// Where everything stands in space: the drawing of a map, with what the map leaves open filled in plausibly.
//
// Unit space is in millimetres: x runs along the input axis from the engine end (0) to the tail, z points up as the
// unit stands in the vehicle, so the oil pan and the case face with the ports are towards -z, and y = z × x points to
// the left of one who looks from the engine end towards the tail. Explicit figures of the map win over the automatic
// ones. Clearances are drawn larger than they are (see `clearance_scale`).
#pragma once

#include <array>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include <glm/vec3.hpp>

#include "unit_map.h"

namespace ringland::model {

using Vec3 = glm::dvec3;

/// One annular space of a stack, between two of its seals.
struct AnnulusPlace {
    std::string circuit;
    double x0 = 0, x1 = 0; ///< mm along the axis, x0 < x1
};

/// One seal of a stack with its groove. Counted as the map counts, not as it lies along x.
struct RingPlace {
    std::string seal;
    int nth = 0;
    double x = 0;     ///< middle of the groove, mm
    double width = 0; ///< of the ring
    double groove_width = 0;
};

/// A stack in space: all its rings and annuli on one line, parallel to the x axis.
struct StackPlace {
    std::string stack;
    Vec3 axis{};               ///< a point of the axis at x = 0
    double carrier_radius = 0; ///< land radius of shaft or support
    double groove_radius = 0;  ///< bottom of the ring grooves
    double recess_radius = 0;  ///< bottom of the oil recess between two rings
    double bore_radius = 0;    ///< of the part around the rings
    double outer_radius = 0;   ///< of the housing around the bore
    double x0 = 0, x1 = 0;     ///< of the bore, mm; all grooves lie inside
    double carrier_x0 = 0, carrier_x1 = 0;
    bool carrier_rotates = true;
    std::vector<RingPlace> rings;     ///< in map order, from the first named end
    std::vector<AnnulusPlace> annuli; ///< in map order
};

/// A port on the case face.
struct PortPlace {
    std::string port;
    Vec3 at{}; ///< middle of its mouth
    double radius = 0;
};

/// The space of a circuit as a net of straight drillings: nodes, and edges between them with a bore.
struct CircuitNet {
    struct Edge {
        int a = 0, b = 0;
        double radius = 0;
        enum class In {
            plate,
            face,
            housing,
            carrier,
            annulus,
            hub,
            chamber
        } in = In::housing; ///< what it runs through
    };
    std::string circuit;
    std::vector<Vec3> nodes;
    std::vector<Edge::In> node_in; ///< what each node lies in, parallel to nodes
    std::vector<Edge> edges;
    std::map<std::string, int> port_node; ///< port id → node
};

/// A seal in space, with the node of each circuit's net that is nearest to it.
struct SealPlace {
    std::string seal;
    Vec3 at{};                       ///< where air would cross
    Vec3 across{1, 0, 0};            ///< unit vector from the first circuit of `between` to the second
    std::array<int, 2> node{-1, -1}; ///< in the nets of between[0], between[1]; -1: the sump
    // A round seal outside the stacks (lip, servo piston seal) lies on this circle; radius 0: it is none.
    Vec3 ring_centre{}, ring_axis{1, 0, 0};
    double ring_radius = 0;
};

/// A turned part (or one that is drawn as such): the half profile is made by shapes.cpp from these figures.
struct PartPlace {
    std::string part;
    PartKind kind = PartKind::other;
    Vec3 axis{}; ///< a point of its axis at x = 0
    double x0 = 0, x1 = 0;
    double inner_radius = 0, outer_radius = 0;
};

/// A disc clutch or a brake of plates: chamber, piston and pack, on its drum or in the case.
struct ClutchPlace {
    std::string element; ///< empty where the map names none and one is implied
    std::string drum;    ///< part that it sits in, or empty
    int drum_index = -1; ///< in Layout::drums; -1: in the case
    std::string circuit; ///< that fills the chamber
    double chamber_x0 = 0, chamber_x1 = 0;
    double piston_inner = 0, piston_outer = 0, piston_x1 = 0;
    double plates_x0 = 0, plates_x1 = 0, plates_inner = 0, plates_outer = 0;
    int plates = 0;           ///< friction and steel together
    bool towards_tail = true; ///< direction in which the piston pushes
    Vec3 axis{};
};

/// A drum with its clutches.
struct DrumPlace {
    std::string part; ///< empty: implied
    Vec3 axis{};
    double x0 = 0, x1 = 0;
    double hub_inner = 0, hub_outer = 0, outer_radius = 0;
    bool back_to_back = false; ///< a wall in the middle and clutches on both sides
    int stack = -1;            ///< in Layout::stacks where its hub is the bore of that stack
};

/// A servo in the wall of the case: a cylinder that looks at the axis of its band.
struct ServoPlace {
    std::string part;
    std::string element;
    std::string apply, release; ///< circuits
    Vec3 inner{}, outer{};      ///< ends of the bore: towards the drum, and the cover
    double radius = 0;
};

struct BandPlace {
    std::string part, element;
    Vec3 axis{};
    double x0 = 0, x1 = 0, radius = 0;
    double end_angle = 0; ///< where its ends meet, at the servo, radians from -z towards +y
};

struct CasePlace {
    std::string part;
    double x0 = 0, x1 = 0, bell_radius = 0, radius = 0, tail_radius = 0;
    double barrel_x1 = 0;    ///< from here on it draws in towards the tail
    std::vector<Vec3> lines; ///< axes inside
};

struct Layout {
    Vec3 low{}, high{};         ///< box of all that is drawn
    double clearance_scale = 1; ///< how much larger than true the ring clearances are drawn
    double face_z = 0;          ///< the case face
    double plate_z = 0;         ///< outer side of the test plate, where the port mouths are
    std::vector<StackPlace> stacks;
    std::vector<PartPlace> parts;
    CasePlace housing;
    std::vector<DrumPlace> drums;
    std::vector<ClutchPlace> clutches;
    std::vector<ServoPlace> servos;
    std::vector<BandPlace> bands;
    std::vector<PortPlace> ports;
    std::vector<CircuitNet> nets;
    std::vector<SealPlace> seals;
};

/// Lays a valid map out in space. Deterministic; works for any map that read_map accepts.
[[nodiscard]] Layout lay_out(const UnitMap& map);

/// The way of the air as one line in unit space, and where on it the seal is crossed.
struct AirPath {
    std::vector<Vec3> points;
    std::size_t crossing = 0; ///< index of the point at the seal
    std::string seal;
};

/// From the mouth of one port through the seal to the mouth of the other, or to the seal's far side where that is the
/// sump. Nothing where the seal does not divide the circuits of those ports.
[[nodiscard]] std::optional<AirPath> air_path(const UnitMap& map, const Layout& layout, const std::string& from_port,
                                              const std::string& to_port, const std::string& seal);

} // namespace ringland::model
