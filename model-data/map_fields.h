// Every key of a map file, once: the reader, the writer, the checks and the schema all walk these tables.
//
// A table visits the members of one type in the order in which they are written. What a key means to the machine
// (its role, whether it must be there, between which figures it must lie) stands beside it in a Field, so the four of
// them cannot disagree. A bound counts in the first unit of the figure's dimension (mm, psi, cm³, cm²).
#pragma once

#include <string_view>

#include "map_io.h"
#include "unit_map.h"

namespace ringland::model {

/// What a text stands for. From `circuit` on it names another thing of the map.
enum class Role {
    text, ///< free, may run over several lines
    line, ///< free, one line
    id,
    tag,    ///< at most four characters
    colour, ///< "#RRGGBB"
    shapes, ///< name of a .glb file in the map's own folder
    row,    ///< first end | circuit | ... | second end
    circuit,
    part,
    stack,
    seal,
    port,
    element,
    element_or_part,
    part_or_stack,
    element_part_or_stack,
};

/// One key.
struct Field {
    std::string_view key;
    std::string_view says; ///< shown by editors
    Role role = Role::line;
    bool required = false;
    double low = 0;
    double high = limits::length_mm;
    bool above_low = false;    ///< the figure must be larger than `low`
    bool default_true = false; ///< of a switch
};

/// Keys of one type: `key` of its list, `word` for sentences, `fields(thing, visitor)`.
template <class T> struct Table;

namespace field {
inline constexpr Field id{.key = "id", .says = "Short permanent name: letters, digits, - and _", .role = Role::id};
inline constexpr Field name{.key = "name", .says = "Name as the bench says it"};
inline constexpr Field note{.key = "note", .says = "Free remark", .role = Role::text};
inline constexpr double small_mm = 500;
inline constexpr double minutes = 100000;
} // namespace field

template <> struct Table<UnitInfo> {
    static constexpr std::string_view key = "unit", word = "unit";
    template <class T, class V> static void fields(T& t, V&& see) {
        see(t.id, field::id);
        see(t.name, Field{.key = "name", .says = "Name of the unit", .required = true});
        see(t.note, field::note);
        see(t.invented, Field{.key = "invented", .says = "Demo content: every picture says so"});
        see(t.case_style,
            Field{.key = "case", .says = "Are the drums seen through the pan opening (open) or not (closed)?"});
        see(t.lying, Field{.key = "lying", .says = "How it usually lies when it is air checked"});
        see(t.air_pressure,
            Field{.key = "air-pressure", .says = "Pressure for the air check, gauge", .high = 300, .above_low = true});
        see(t.fluid, Field{.key = "fluid", .says = "Oil that it runs on"});
        see(t.shapes,
            Field{.key = "shapes", .says = "A .glb file beside the map with real part shapes", .role = Role::shapes});
    }
};

template <> struct Table<OilInfo> {
    static constexpr std::string_view key = "oil", word = "oil";
    template <class T, class V> static void fields(T& t, V&& see) {
        see(t.viscosity_40,
            Field{.key = "viscosity-40", .says = "Kinematic, mm²/s at 40 °C", .high = 1e4, .above_low = true});
        see(t.viscosity_100,
            Field{.key = "viscosity-100", .says = "Kinematic, mm²/s at 100 °C", .high = 1e4, .above_low = true});
        see(t.density, Field{.key = "density", .says = "kg/m³ at 15 °C", .low = 500, .high = 1500});
        see(t.cold_c, Field{.key = "cold-c", .says = "Temperature on a cold start, °C", .low = -50, .high = 200});
        see(t.hot_c, Field{.key = "hot-c", .says = "Temperature on a hot day's drive, °C", .low = -50, .high = 200});
        see(t.line_pressure, Field{.key = "line-pressure",
                                   .says = "That the regulator holds, gauge, where a range does not say",
                                   .high = 5000,
                                   .above_low = true});
        see(t.pump_volume,
            Field{.key = "pump-volume", .says = "Moved in one turn of the engine", .high = 1e4, .above_low = true});
        see(t.pump_share, Field{.key = "pump-share",
                                .says = "Share of that volume which arrives hot at line pressure, 0 to 1",
                                .high = 1,
                                .above_low = true});
        see(t.idle_rpm,
            Field{.key = "idle-rpm", .says = "Engine at idle, turns a minute", .high = 1e5, .above_low = true});
        see(t.driving_rpm,
            Field{.key = "driving-rpm", .says = "Engine on the road, turns a minute", .high = 1e5, .above_low = true});
    }
};

template <> struct Table<Circuit> {
    static constexpr std::string_view key = "circuit", word = "circuit";
    template <class T, class V> static void fields(T& t, V&& see) {
        see(t.id, field::id);
        see(t.name, field::name);
        see(t.tag, Field{.key = "tag", .says = "Two or three letters printed on it", .role = Role::tag});
        see(t.note, field::note);
        see(t.kind, Field{.key = "kind", .says = "What its oil does"});
        see(t.colour, Field{.key = "colour", .says = "Colour as #RRGGBB", .role = Role::colour});
        see(t.volume, Field{.key = "volume", .says = "Oil that fills it", .high = 1e6, .above_low = true});
        see(t.feed, Field{.key = "feed",
                          .says = "Narrowest hole between the regulator and it while it is on",
                          .high = field::small_mm,
                          .above_low = true});
        see(t.exhaust, Field{.key = "exhaust",
                             .says = "Narrowest hole on its way to the sump while it is off",
                             .high = field::small_mm,
                             .above_low = true});
        see(t.no_port, Field{.key = "no-port", .says = "It cannot be reached from the case face"});
    }
};

template <> struct Table<Part> {
    static constexpr std::string_view key = "part", word = "part";
    template <class T, class V> static void fields(T& t, V&& see) {
        see(t.id, field::id);
        see(t.name, field::name);
        see(t.note, field::note);
        see(t.kind, Field{.key = "kind", .says = "What it is", .required = true});
        see(t.material, Field{.key = "material", .says = "What it is made of"});
        see(t.node, Field{.key = "node", .says = "Name of its node in the .glb; its id is tried otherwise"});
        see(t.on, Field{.key = "on", .says = "Part that carries it", .role = Role::part});
        see(t.line,
            Field{.key = "line", .says = "Shaft line: 1 is the input axis", .low = 1, .high = limits::shaft_lines});
        see(t.from, Field{.key = "from", .says = "Its point nearest to the engine end, along the axis"});
        see(t.to, Field{.key = "to", .says = "Its point farthest from the engine end"});
        see(t.outer_diameter, Field{.key = "outer-diameter", .says = "Outside diameter", .above_low = true});
        see(t.inner_diameter, Field{.key = "inner-diameter", .says = "Inside diameter"});
        see(t.after, Field{.key = "after", .says = "Parts that must come off before it", .role = Role::part});
        see(t.minutes,
            Field{.key = "minutes", .says = "Bench time to take it off once those are off", .high = field::minutes});
        see(t.part_number, Field{.key = "part-number", .says = "To order it by"});
        see(t.renew, Field{.key = "renew", .says = "What is always renewed with it, in words or by seal id"});
        see(t.tools, Field{.key = "tools", .says = "Tools it takes", .role = Role::text});
        see(t.caution, Field{.key = "caution", .says = "What can hurt here", .role = Role::text});
    }
};

/// Keys of a [[stack]] that only the reader knows: what they say goes into circuits and seals.
struct StackShort {
    std::string row;
    std::optional<Material> material;
    std::optional<Joint> joint;
};

template <> struct Table<StackShort> {
    static constexpr std::string_view key = "stack", word = "stack";
    template <class T, class V> static void fields(T& t, V&& see) {
        see(t.row, Field{.key = "row",
                         .says = "first end | circuit | circuit | second end: every bar is a seal",
                         .role = Role::row});
        see(t.material, Field{.key = "material", .says = "Material of its seals, where a seal does not say"});
        see(t.joint, Field{.key = "joint", .says = "Joint of its rings, where a seal does not say"});
    }
};

template <> struct Table<Stack> {
    static constexpr std::string_view key = "stack", word = "stack";
    template <class T, class V> static void fields(T& t, V&& see) {
        see(t.id, field::id);
        see(t.name, field::name);
        see(t.note, field::note);
        see(t.first_end, Field{.key = "first-end", .says = "The end from which the row counts, as the bench calls it"});
        see(t.second_end, Field{.key = "second-end", .says = "The other end"});
        see(t.circuits,
            Field{.key = "circuits", .says = "Circuits in order from the first end", .role = Role::circuit});
        see(t.outside, Field{.key = "outside",
                             .says = "Circuits outside the two ends; the sump unless said",
                             .role = Role::circuit});
        see(t.seals, Field{.key = "seals", .says = "Ids of its seals in order from the first end", .role = Role::seal});
        see(t.on, Field{.key = "on", .says = "Part with the grooves", .role = Role::part});
        see(t.bore, Field{.key = "bore", .says = "Part around the rings", .role = Role::part});
        see(t.first_end_to_engine, Field{.key = "first-end-to-engine",
                                         .says = "The first end is the one nearer to the engine",
                                         .default_true = true});
        see(t.start, Field{.key = "start", .says = "Middle of the seal nearest to the engine end, along the axis"});
        see(t.pitch, Field{.key = "pitch", .says = "From seal to seal", .above_low = true});
        see(t.diameter, Field{.key = "diameter", .says = "Of the shaft or support at the rings", .above_low = true});
        see(t.ring_width,
            Field{.key = "ring-width", .says = "Along the axis", .high = field::small_mm, .above_low = true});
        see(t.ring_thickness,
            Field{
                .key = "ring-thickness", .says = "From inside to outside", .high = field::small_mm, .above_low = true});
        see(t.groove_depth,
            Field{.key = "groove-depth", .says = "Of the ring grooves", .high = field::small_mm, .above_low = true});
    }
};

template <> struct Table<Seal> {
    static constexpr std::string_view key = "seal", word = "seal";
    template <class T, class V> static void fields(T& t, V&& see) {
        see(t.id, field::id);
        see(t.name, field::name);
        see(t.note, field::note);
        see(t.kind, Field{.key = "kind", .says = "What it is; a seal of a stack is a ring unless said"});
        see(t.relation, Field{.key = "relation", .says = "How the two circuits are neighbours"});
        see(t.between, Field{.key = "between", .says = "The two circuits that it divides", .role = Role::circuit});
        see(t.stack, Field{.key = "stack", .says = "Stack that it belongs to", .role = Role::stack});
        see(t.nth, Field{.key = "nth",
                         .says = "Its place in the stack, counted from the first end",
                         .low = 1,
                         .high = static_cast<double>(limits::circuits_per_stack + 1)});
        see(t.at, Field{.key = "at", .says = "Part that it sits on or in", .role = Role::part});
        see(t.material, Field{.key = "material", .says = "What it is made of"});
        see(t.joint, Field{.key = "joint", .says = "How the ends of a ring meet"});
        see(t.faces, Field{.key = "faces",
                           .says = "Lip or check ball: the circuit whose pressure it holds back",
                           .role = Role::circuit});
        see(t.end_gap, Field{.key = "end-gap", .says = "Of a sound ring in its bore", .high = field::small_mm});
        see(t.side_clearance,
            Field{.key = "side-clearance", .says = "Of a sound ring in its groove", .high = field::small_mm});
        see(t.healthy_hole,
            Field{.key = "healthy-hole", .says = "Hole that leaks as much as a sound one", .high = field::small_mm});
        see(t.prior, Field{.key = "prior", .says = "How often it fails among its kind; 1 is usual", .high = 1000});
        see(t.look_minutes,
            Field{.key = "look-minutes", .says = "Time to look at it without full teardown", .high = field::minutes});
        see(t.look, Field{.key = "look", .says = "How to get that look", .role = Role::text});
        see(t.part_number, Field{.key = "part-number", .says = "To order it by"});
        see(t.kit, Field{.key = "kit", .says = "Kit that it comes in"});
        see(t.inspect, Field{.key = "inspect", .says = "How to inspect it", .role = Role::text});
        see(t.fit, Field{.key = "fit", .says = "How to fit it", .role = Role::text});
        see(t.cause, Field{.key = "cause", .says = "What usually made it fail", .role = Role::text});
    }
};

template <> struct Table<Passage> {
    static constexpr std::string_view key = "passage", word = "passage";
    template <class T, class V> static void fields(T& t, V&& see) {
        see(t.id, field::id);
        see(t.note, field::note);
        see(t.circuit,
            Field{.key = "circuit", .says = "Circuit that runs through it", .role = Role::circuit, .required = true});
        see(t.port, Field{.key = "port", .says = "Port at which it begins", .role = Role::port});
        see(t.to, Field{.key = "to", .says = "Element or part that it feeds", .role = Role::element_or_part});
        see(t.through,
            Field{.key = "through", .says = "Parts and stacks on its way, in order", .role = Role::part_or_stack});
        see(t.bore,
            Field{.key = "bore", .says = "Diameter of the drilling", .high = field::small_mm, .above_low = true});
        see(t.length, Field{.key = "length", .says = "From port to chamber", .above_low = true});
        see(t.points_mm, Field{.key = "points-mm",
                               .says = "Its line in unit space, x along the axis from the engine end",
                               .low = -limits::length_mm});
    }
};

template <> struct Table<DesignFlow> {
    static constexpr std::string_view key = "by-design", word = "flow by design";
    template <class T, class V> static void fields(T& t, V&& see) {
        see(t.id, field::id);
        see(t.from,
            Field{.key = "from", .says = "Circuit that the air comes from", .role = Role::circuit, .required = true});
        see(t.to,
            Field{
                .key = "to", .says = "Circuit, or the sump, that it goes to", .role = Role::circuit, .required = true});
        see(t.kind, Field{.key = "kind", .says = "What lets it pass"});
        see(t.one_way, Field{.key = "one-way", .says = "Only from the first to the second; the other way is a fault"});
        see(t.hole, Field{.key = "hole", .says = "Diameter of the hole", .high = field::small_mm, .above_low = true});
        see(t.reason, Field{.key = "reason",
                            .says = "Why a good unit does this, in words for the bench",
                            .role = Role::text,
                            .required = true});
        see(t.at, Field{.key = "at", .says = "Part where it happens", .role = Role::part});
    }
};

template <> struct Table<Element> {
    static constexpr std::string_view key = "element", word = "element";
    template <class T, class V> static void fields(T& t, V&& see) {
        see(t.id, field::id);
        see(t.name, field::name);
        see(t.note, field::note);
        see(t.kind, Field{.key = "kind", .says = "What it is", .required = true});
        see(t.applied_by, Field{.key = "applied-by", .says = "Circuits that apply it", .role = Role::circuit});
        see(t.released_by, Field{.key = "released-by", .says = "Circuits that release it", .role = Role::circuit});
        see(t.at, Field{.key = "at", .says = "Drum of a clutch, servo of a band, case of a brake", .role = Role::part});
        see(t.around, Field{.key = "around", .says = "Drum that a band or brake holds", .role = Role::part});
        see(t.joins, Field{.key = "joins", .says = "The two members of the gear train that it joins while it is on"});
        see(t.one_way,
            Field{.key = "one-way", .says = "The first of joins can turn faster than the second, never slower"});
        see(t.turns_with, Field{.key = "turns-with", .says = "Member with which its piston turns"});
        see(t.apply_area,
            Field{.key = "apply-area", .says = "Piston area that applies", .high = 1e5, .above_low = true});
        see(t.release_area,
            Field{.key = "release-area", .says = "Piston area that releases", .high = 1e5, .above_low = true});
        see(t.return_spring,
            Field{.key = "return-spring", .says = "Pressure at which the piston begins to move", .high = 5000});
        see(t.stroke, Field{.key = "stroke", .says = "Of the piston", .high = field::small_mm, .above_low = true});
        see(t.friction_plates, Field{.key = "friction-plates", .says = "How many", .low = 1, .high = 100});
        see(t.plate_outer_diameter, Field{.key = "plate-outer-diameter", .says = "Of the lining", .above_low = true});
        see(t.plate_inner_diameter, Field{.key = "plate-inner-diameter", .says = "Of the lining", .above_low = true});
        see(t.friction_coefficient,
            Field{.key = "friction-coefficient", .says = "Of the lining in oil", .high = 2, .above_low = true});
        see(t.chamber_inner_diameter,
            Field{.key = "chamber-inner-diameter", .says = "Of the ring of oil behind its piston"});
        see(t.chamber_outer_diameter,
            Field{.key = "chamber-outer-diameter", .says = "Of the ring of oil behind its piston", .above_low = true});
        see(t.torque,
            Field{.key = "torque", .says = "The largest that it has to carry, N m", .high = 1e6, .above_low = true});
    }
};

template <> struct Table<GearSet> {
    static constexpr std::string_view key = "gear-set", word = "gear set";
    template <class T, class V> static void fields(T& t, V&& see) {
        constexpr double teeth = 1000;
        see(t.id, field::id);
        see(t.name, field::name);
        see(t.note, field::note);
        see(t.sun, Field{.key = "sun", .says = "Name of its sun, as elements join it", .required = true});
        see(t.carrier, Field{.key = "carrier", .says = "Name of its carrier", .required = true});
        see(t.ring, Field{.key = "ring", .says = "Name of its ring gear", .required = true});
        see(t.sun_teeth, Field{.key = "sun-teeth", .says = "How many", .low = 5, .high = teeth});
        see(t.ring_teeth, Field{.key = "ring-teeth", .says = "How many", .low = 5, .high = teeth});
        see(t.planets, Field{.key = "planets", .says = "Between sun and ring: one planet, or two in mesh"});
    }
};

template <> struct Table<Range> {
    static constexpr std::string_view key = "range", word = "range";
    template <class T, class V> static void fields(T& t, V&& see) {
        see(t.id, field::id);
        see(t.name, field::name);
        see(t.note, field::note);
        see(t.on, Field{.key = "on", .says = "Elements that are on in it", .role = Role::element});
        see(t.ratio, Field{.key = "ratio",
                           .says = "Turns of the input for one of the output; negative backwards",
                           .low = -100,
                           .high = 100});
        see(t.line_pressure,
            Field{.key = "line-pressure", .says = "In this range, gauge", .high = 5000, .above_low = true});
    }
};

template <> struct Table<Clearance> {
    static constexpr std::string_view key = "clearance", word = "clearance";
    template <class T, class V> static void fields(T& t, V&& see) {
        see(t.id, field::id);
        see(t.name, Field{.key = "name", .says = "What is measured", .required = true});
        see(t.note, field::note);
        see(t.of, Field{.key = "of", .says = "Element, part or stack", .role = Role::element_part_or_stack});
        see(t.kind, Field{.key = "kind", .says = "What it is, so that the program can reckon on with it"});
        see(t.lower, Field{.key = "lower", .says = "Lower limit", .high = field::small_mm});
        see(t.upper, Field{.key = "upper", .says = "Upper limit", .high = field::small_mm});
        see(t.measure, Field{.key = "measure", .says = "How it is measured", .role = Role::text});
        see(t.correct, Field{.key = "correct", .says = "How it is corrected", .role = Role::text});
        see(t.sizes_mm, Field{.key = "sizes-mm",
                              .says = "Of the selective part that corrects it, as they can be had",
                              .high = field::small_mm,
                              .above_low = true});
    }
};

template <> struct Table<Spare> {
    static constexpr std::string_view key = "spare", word = "spare";
    template <class T, class V> static void fields(T& t, V&& see) {
        see(t.id, field::id);
        see(t.name, Field{.key = "name", .says = "As it is ordered", .required = true});
        see(t.note, field::note);
        see(t.part_number, Field{.key = "part-number", .says = "To order it by"});
        see(t.kit, Field{.key = "kit", .says = "Kit that it comes in"});
        see(t.quantity, Field{.key = "quantity", .says = "How many the unit has", .low = 1, .high = 1000});
        see(t.with, Field{.key = "with", .says = "Parts with which it is renewed", .role = Role::part});
        see(t.breaks, Field{.key = "breaks", .says = "Often damaged on assembly: one more is kept at hand"});
    }
};

template <> struct Table<Port> {
    static constexpr std::string_view key = "port", word = "port";
    template <class T, class V> static void fields(T& t, V&& see) {
        see(t.id, field::id);
        see(t.label, Field{.key = "label", .says = "As cut into the test plate; the circuit's name otherwise"});
        see(t.note, field::note);
        see(t.circuit,
            Field{.key = "circuit", .says = "Circuit that it leads into", .role = Role::circuit, .required = true});
        see(t.at_mm, Field{.key = "at-mm",
                           .says = "Along the axis from the engine end, and across to the left",
                           .low = -limits::length_mm});
    }
};

/// Every list of the map in the order in which it is written.
template <class Map, class F> void for_each_list(Map& map, F&& f) {
    f(map.circuits);
    f(map.parts);
    f(map.stacks);
    f(map.seals);
    f(map.passages);
    f(map.by_design);
    f(map.elements);
    f(map.gear_sets);
    f(map.ranges);
    f(map.clearances);
    f(map.spares);
    f(map.ports);
}

/// Largest figure of a field in one of the units it may be written in; lengths of small figures likewise.
template <class Dimension> [[nodiscard]] constexpr double bound_in(double bound, const UnitOfMeasure& unit) {
    return bound * Dimension::units[0].si_per_unit / unit.si_per_unit;
}

} // namespace ringland::model
