// The unit map: everything that Ringland knows about one unit, as plain values.
//
// A unit is a graph. Circuits are its nodes (the sump, which is the open case, is one of them) and seals are its edges:
// a seal is anything physical that divides two circuits. Circuits are neighbours in four different ways, along a stack,
// on the case face, inside a shaft, inside a drum or servo, and each way has seals of its own; a ring explains only
// neighbours of a stack. All else in a map (parts, passages, elements, ranges) says where these stand, what comes off
// to reach them and what they do on the road.
//
// Values keep what the author wrote: an absent figure stays absent, and layout.h decides how to draw without it.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "enum_names.h"
#include "quantity.h"

namespace ringland::model {

/// Where in its file a thing was written. Never part of equality: a map read from another layout of lines is the same
/// map.
struct SourceSpot {
    int line = 0;
    int column = 0;
    friend constexpr bool operator==(const SourceSpot&, const SourceSpot&) { return true; }
};

/// How a unit may lie on the bench. "belly" is the side of the oil pan, "bell" the engine end, "tail" the output end.
enum class Lying { belly_up, bell_down, tail_down, in_vehicle };
template <> struct EnumNames<Lying> {
    static constexpr std::array<std::string_view, 4> words{"belly-up", "bell-down", "tail-down", "in-vehicle"};
};

/// Closed: nothing of the drums is seen through the pan opening, so elements are judged by function. Open: they are
/// seen.
enum class CaseStyle { closed, open };
template <> struct EnumNames<CaseStyle> { static constexpr std::array<std::string_view, 2> words{"closed", "open"}; };

struct UnitInfo {
    std::string id;
    std::string name;
    std::string note;
    bool invented = false; ///< demo content: every picture of it says so
    CaseStyle case_style = CaseStyle::closed;
    Lying lying = Lying::belly_up;             ///< as it usually lies when it is air checked
    std::optional<GaugePressure> air_pressure; ///< the maker's figure for the air check
    std::string fluid;
    std::string shapes; ///< name of a .glb in the map's own folder; empty: all shapes are made automatically
    SourceSpot where;
    friend bool operator==(const UnitInfo&, const UnitInfo&) = default;
};

/// The oil and what feeds it: what the answers about the road reckon with. Figures that are absent take the usual ones
/// of diagnosis/oil, and the answer says so.
struct OilInfo {
    std::optional<double> viscosity_40;         ///< kinematic, mm²/s at 40 °C
    std::optional<double> viscosity_100;        ///< kinematic, mm²/s at 100 °C
    std::optional<double> density;              ///< kg/m³ at 15 °C
    std::optional<double> cold_c, hot_c;        ///< temperatures at which the unit is driven, °C
    std::optional<GaugePressure> line_pressure; ///< that the regulator holds, where a range does not say
    std::optional<Volume> pump_volume;          ///< that the pump moves in one turn of the engine
    std::optional<double>
        pump_share; ///< of that volume which arrives hot at line pressure, 0 to 1: its own leak is off
    std::optional<double> idle_rpm, driving_rpm; ///< of the engine
    SourceSpot where;
    friend bool operator==(const OilInfo&, const OilInfo&) = default;
};

enum class CircuitKind { apply, release, lube, line, converter, governor, balance, sump, other };
template <> struct EnumNames<CircuitKind> {
    static constexpr std::array<std::string_view, 9> words{"apply",    "release", "lube", "line", "converter",
                                                           "governor", "balance", "sump", "other"};
};

/// A space that one pressure fills, from its port to the chamber that it strokes.
struct Circuit {
    std::string id;
    std::string name;
    std::string
        tag; ///< two or three letters printed on it, since colour is never the only mark; empty: made from the name
    std::string note;
    CircuitKind kind = CircuitKind::apply;
    std::string colour; ///< "#RRGGBB"; empty: by the order of the palette
    std::optional<Volume> volume;
    std::optional<Length> feed;    ///< narrowest hole between the regulator and the circuit while it is on
    std::optional<Length> exhaust; ///< narrowest hole on its way to the sump while it is off
    bool no_port = false;          ///< true: the author knows that it cannot be reached from the case face
    SourceSpot where;
    friend bool operator==(const Circuit&, const Circuit&) = default;
};

enum class PartKind {
    case_,
    pump,
    support,
    shaft,
    drum,
    piston,
    servo,
    accumulator,
    band,
    hub,
    planetary,
    test_plate,
    valve_body,
    cover,
    pan,
    gear,
    other
};
template <> struct EnumNames<PartKind> {
    static constexpr std::array<std::string_view, 17> words{
        "case", "pump",      "support",    "shaft",      "drum",  "piston", "servo", "accumulator", "band",
        "hub",  "planetary", "test-plate", "valve-body", "cover", "pan",    "gear",  "other"};
};

enum class Material { aluminium, steel, iron, ptfe, peek, pai, rubber, friction, spring_steel, gasket, bronze };
template <> struct EnumNames<Material> {
    static constexpr std::array<std::string_view, 11> words{
        "aluminium", "steel", "iron", "ptfe", "peek", "pai", "rubber", "friction", "spring-steel", "gasket", "bronze"};
};

/// A piece that can be taken in the hand. Lengths along the axis count from the engine end of the unit.
struct Part {
    std::string id;
    std::string name;
    std::string note;
    PartKind kind = PartKind::other;
    std::optional<Material> material;
    std::string node;           ///< name of its node in the .glb; empty: the part's id is tried
    std::string on;             ///< the part that carries it or that it sits in
    int line = 1;               ///< shaft line: 1 is the input axis; countershafts have their own numbers
    std::optional<Length> from; ///< nearest point to the engine end
    std::optional<Length> to;   ///< farthest point from the engine end
    std::optional<Length> outer_diameter;
    std::optional<Length> inner_diameter;
    std::vector<std::string> after; ///< parts that must come off before this one
    std::optional<double> minutes;  ///< bench time to take it off once those are off
    std::string part_number;
    std::vector<std::string> renew; ///< what is always renewed with it, in words or by seal id
    std::string tools;
    std::string caution;
    SourceSpot where;
    friend bool operator==(const Part&, const Part&) = default;
};

/// An ordered row of seals on one shaft or support, with the circuits between them.
///
/// N circuits in the row imply N+1 seals: seal k (from 1, counted from the first end) divides circuit k-1 from circuit
/// k, where circuit 0 and circuit N+1 are what lies outside the ends (the sump unless `outside` says otherwise).
struct Stack {
    std::string id;
    std::string name;
    std::string note;
    std::string first_end; ///< as the bench calls it, for example "pump end"
    std::string second_end;
    std::vector<std::string> circuits; ///< ids in order from the first end
    std::array<std::string, 2> outside{"sump", "sump"};
    std::vector<std::string> seals;  ///< ids in order from the first end; always circuits.size() + 1 in a valid map
    std::string on;                  ///< part with the grooves
    std::string bore;                ///< part around the rings
    bool first_end_to_engine = true; ///< false: the first end is the one farther from the engine
    std::optional<Length> start;     ///< middle of the seal nearest to the engine end
    std::optional<Length> pitch;     ///< from seal to seal
    std::optional<Length> diameter;  ///< of the shaft or support at the rings
    std::optional<Length> ring_width;
    std::optional<Length> ring_thickness;
    std::optional<Length> groove_depth;
    SourceSpot where;
    friend bool operator==(const Stack&, const Stack&) = default;
};

/// The four ways in which circuits are neighbours; a seal belongs to exactly one.
enum class Relation { stack, face, shaft, drum };
template <> struct EnumNames<Relation> {
    static constexpr std::array<std::string_view, 4> words{"stack", "face", "shaft", "drum"};
};

enum class SealKind { ring, lip, d_ring, o_ring, gasket_bridge, plug, tube, bushing, wall, check_ball };
template <> struct EnumNames<SealKind> {
    static constexpr std::array<std::string_view, 10> words{"ring", "lip",  "d-ring",  "o-ring", "gasket-bridge",
                                                            "plug", "tube", "bushing", "wall",   "check-ball"};
};

enum class Joint { none, butt, scarf, step, hook, solid };
template <> struct EnumNames<Joint> {
    static constexpr std::array<std::string_view, 6> words{"none", "butt", "scarf", "step", "hook", "solid"};
};

/// Anything physical that divides two circuits, or a circuit from the sump.
struct Seal {
    std::string id; ///< permanent: R3 stays R3 however the unit lies
    std::string name;
    std::string note;
    SealKind kind = SealKind::ring;
    Relation relation = Relation::stack;
    std::array<std::string, 2> between; ///< circuit ids; for a seal of a stack in order from the first end
    std::string stack;                  ///< stack id where relation is stack
    int nth = 0;                        ///< position in that stack from its first end, from 1
    std::string at;                     ///< part that it sits on or in
    std::optional<Material> material;
    Joint joint = Joint::none;
    std::string faces; ///< lip or check ball: the circuit whose pressure it holds back
    std::optional<Length> end_gap;
    std::optional<Length> side_clearance;
    std::optional<Length> healthy_hole; ///< equivalent hole of a sound one, where known instead
    std::optional<double> prior;        ///< weight among its kind, 1 is usual
    std::optional<double> look_minutes; ///< time to look at it without full teardown, where that is possible
    std::string look;                   ///< how to get that look
    std::string part_number;
    std::string kit;
    std::string inspect;
    std::string fit;
    std::string cause;
    SourceSpot where;
    friend bool operator==(const Seal&, const Seal&) = default;
};

/// The way of a circuit from a port to what it strokes: the line that is drawn and the restriction that is computed.
struct Passage {
    std::string id;
    std::string note;
    std::string circuit;
    std::string port;                 ///< where it begins
    std::string to;                   ///< element or part that it feeds
    std::vector<std::string> through; ///< parts and stacks in order
    std::optional<Length> bore;
    std::optional<Length> length;
    std::vector<std::array<double, 3>>
        points_mm; ///< explicit line in unit space (layout.h); empty: laid out automatically
    SourceSpot where;
    friend bool operator==(const Passage&, const Passage&) = default;
};

enum class DesignFlowKind { bleed, check_ball, shared_piston, shared_feed, other };
template <> struct EnumNames<DesignFlowKind> {
    static constexpr std::array<std::string_view, 5> words{"bleed", "check-ball", "shared-piston", "shared-feed",
                                                           "other"};
};

/// A flow that a healthy unit shows.
struct DesignFlow {
    std::string id;
    std::string from;
    std::string to;
    DesignFlowKind kind = DesignFlowKind::bleed;
    bool one_way = false; ///< true: from → to only; air the other way is a fault
    std::optional<Length> hole;
    std::string reason; ///< in words for the bench
    std::string at;     ///< part where it happens
    SourceSpot where;
    friend bool operator==(const DesignFlow&, const DesignFlow&) = default;
};

enum class ElementKind { clutch, brake, band, one_way_clutch };
template <> struct EnumNames<ElementKind> {
    static constexpr std::array<std::string_view, 4> words{"clutch", "brake", "band", "one-way-clutch"};
};

/// What holds or drives a member of the gear train.
struct Element {
    std::string id;
    std::string name;
    std::string note;
    ElementKind kind = ElementKind::clutch;
    std::vector<std::string> applied_by;  ///< circuits
    std::vector<std::string> released_by; ///< circuits
    std::string at;                       ///< drum for a clutch, servo for a band, case for a brake
    std::string around;                   ///< drum that a band or brake holds
    /// The two members of the gear train that it joins while it is on, for example "input" and "front-sun"; "case" for
    /// one that is held. Empty: not told.
    std::vector<std::string> joins;
    bool one_way = false;   ///< of a clutch or brake behind a one-way clutch: the first of `joins` can turn faster than
                            ///< the second in the sense of the engine, never slower. A one-way clutch always is.
    std::string turns_with; ///< member with which its piston turns; empty: the one of `joins` that its drum belongs to
    std::optional<Area> apply_area;
    std::optional<Area> release_area;
    std::optional<GaugePressure> return_spring; ///< pressure at which the piston begins to move
    std::optional<Length> stroke;
    std::optional<int> friction_plates;
    std::optional<Length> plate_outer_diameter;
    std::optional<Length> plate_inner_diameter;
    std::optional<double> friction_coefficient;
    std::optional<Length> chamber_inner_diameter, chamber_outer_diameter; ///< of the ring of oil behind its piston
    std::optional<double> torque;                                         ///< the largest that it has to carry, N m
    SourceSpot where;
    friend bool operator==(const Element&, const Element&) = default;
};

/// How many planets stand between sun and ring on the way from the one to the other.
enum class Planets { single, double_ };
template <> struct EnumNames<Planets> { static constexpr std::array<std::string_view, 2> words{"single", "double"}; };

/// A planetary set: sun, carrier and ring. Members of equal name in two sets are one piece, so two sets that share
/// carrier and ring make a compound set. "input", "output" and "case" are the ends of the gear train.
struct GearSet {
    std::string id;
    std::string name;
    std::string note;
    std::string sun, carrier, ring; ///< names of its members
    std::optional<int> sun_teeth, ring_teeth;
    Planets planets = Planets::single;
    SourceSpot where;
    friend bool operator==(const GearSet&, const GearSet&) = default;
};

/// A gear or mode with the elements that are on in it: one row of the clutch application chart.
struct Range {
    std::string id;
    std::string name;
    std::string note;
    std::vector<std::string> on;
    std::optional<double> ratio; ///< turns of the input for one of the output; negative backwards
    std::optional<GaugePressure> line_pressure;
    SourceSpot where;
    friend bool operator==(const Range&, const Range&) = default;
};

/// What a clearance is, so that a measured figure can be reckoned on with.
enum class ClearanceKind { other, pack, servo_pin, end_play, ring_gap, ring_side, bushing, flatness };
template <> struct EnumNames<ClearanceKind> {
    static constexpr std::array<std::string_view, 8> words{"other",    "pack",      "servo-pin", "end-play",
                                                           "ring-gap", "ring-side", "bushing",   "flatness"};
};

/// What is measured, its limits, and how it is corrected.
struct Clearance {
    std::string id;
    std::string name;
    std::string note;
    std::string of; ///< element, part or stack
    ClearanceKind kind = ClearanceKind::other;
    std::optional<Length> lower;
    std::optional<Length> upper;
    std::string measure;
    std::string correct;
    std::vector<double> sizes_mm; ///< of the selective part that corrects it, as they can be had; a thicker ring, plate
                                  ///< or washer or a longer pin makes the clearance smaller
    SourceSpot where;
    friend bool operator==(const Clearance&, const Clearance&) = default;
};

/// A piece that is renewed or kept at hand and is no seal of the map: a gasket, a thrust washer, a snap ring, a bush.
struct Spare {
    std::string id;
    std::string name;
    std::string note;
    std::string part_number;
    std::string kit;
    int quantity = 1;
    std::vector<std::string> with; ///< parts with which it is renewed
    bool breaks = false;           ///< often damaged on assembly, so one more is kept at hand
    SourceSpot where;
    friend bool operator==(const Spare&, const Spare&) = default;
};

/// An opening on the case face (through the test plate) that leads into one circuit.
struct Port {
    std::string id;    ///< permanent: P5 stays P5 however the unit lies
    std::string label; ///< as cut into the plate; empty: the circuit's name
    std::string note;
    std::string circuit;
    std::optional<std::array<double, 2>>
        at_mm; ///< along the axis from the engine end, and across to the left of travel
    SourceSpot where;
    friend bool operator==(const Port&, const Port&) = default;
};

/// One unit, complete. Order in every list is the author's; ids are unique over all lists together.
struct UnitMap {
    UnitInfo unit;
    OilInfo oil;
    std::vector<Circuit> circuits;
    std::vector<Part> parts;
    std::vector<Stack> stacks;
    std::vector<Seal> seals;
    std::vector<Passage> passages;
    std::vector<DesignFlow> by_design;
    std::vector<Element> elements;
    std::vector<GearSet> gear_sets;
    std::vector<Range> ranges;
    std::vector<Clearance> clearances;
    std::vector<Spare> spares;
    std::vector<Port> ports;
    friend bool operator==(const UnitMap&, const UnitMap&) = default;
};

/// The members of every gear train that no gear set has of its own.
inline constexpr std::string_view input_member = "input", output_member = "output", case_member = "case";

/// The circuit id that stands for the open case in every map.
inline constexpr std::string_view sump_id = "sump";

/// The thing of that id in a list, or nullptr.
template <class Thing> [[nodiscard]] const Thing* find(const std::vector<Thing>& list, std::string_view id) {
    for (const auto& thing : list) {
        if (thing.id == id) return &thing;
    }
    return nullptr;
}

/// Where the thing of that id stands in a list; the size of the list where there is none.
template <class Thing> [[nodiscard]] std::size_t index_of(const std::vector<Thing>& list, std::string_view id) {
    const Thing* thing = find(list, id);
    return thing ? static_cast<std::size_t>(thing - list.data()) : list.size();
}

/// Name to show for a circuit id: its name, or the id where the map gives none.
[[nodiscard]] std::string circuit_name(const UnitMap& map, std::string_view id);
/// The letters printed on a circuit: its tag, or made from its name.
[[nodiscard]] std::string circuit_tag(const UnitMap& map, std::string_view id);
/// Name to show for a port: label, or the name of its circuit.
[[nodiscard]] std::string port_label(const UnitMap& map, const Port& port);
/// Name to show for a seal: its name, or its id with its kind, for example "R3 ring".
[[nodiscard]] std::string seal_name(const UnitMap& map, const Seal& seal);

} // namespace ringland::model
