// Steps of make_shapes. Private to the shapes.
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "shapes.h"
#include "solids.h"

namespace ringland::model::build {

/// A turned part before its outline is traced: what is added and what is cut away, about one line.
struct Turned {
    std::string name;
    Subject subject;
    Material material = Material::steel;
    SectionRule section = SectionRule::cut;
    int hatch = 0;
    Vec3 axis{};
    std::vector<SectionRect> add, cut;
    double chamfer = 0.8;
    double fillet = 0;    ///< radius in the inner corners of a casting
    double roundness = 1; ///< share of the usual segments
    bool yields = true;   ///< gives way to the parts that come before it in the list
    Soup extra;           ///< teeth and the like that belong to the same piece
    int teeth = 0;        ///< of a plate that rides in splines
    bool teeth_inside = false;
    double tooth_depth = 2.2;
    std::vector<Splines> splines; ///< inside the wall of a drum
    int channels = 0;             ///< of the splines
};

inline constexpr double crease_degrees = 31;

/// How triangles become a mesh.
struct Finish {
    double crease_degrees = build::crease_degrees; ///< edges that are bent more are sharp
    bool inked = true;                             ///< else it has no edges
};

struct Workshop {
    const UnitMap& map;
    const Layout& layout;
    std::vector<Shape>& shapes;
    struct Unfinished {
        std::size_t shape;
        Soup soup;
        Finish rule;
    };
    std::vector<Unfinished> unfinished;
};

inline constexpr const char* case_face = "case face";

[[nodiscard]] TurningAxis along_x(const Vec3& axis);
/// The shape is there at once, its mesh with `finish_all`; nothing is made of no triangles.
void finish(Workshop& shop, Shape shape, Soup soup, const Finish& rule = {});
/// Makes the meshes that are still to be made, on all threads. Shapes of which nothing is left are taken out again.
void finish_all(Workshop& shop);

/// A worm track of the case face: a groove along the axis, open towards the plate.
struct Channel {
    std::string circuit;
    double x0 = 0, x1 = 0; ///< middles of its round ends
    double y = 0, half_width = 0;
};
inline constexpr double channel_depth = 7;
[[nodiscard]] std::vector<Channel> face_channels(const Layout& layout);
/// Whether a channel takes the place of an edge.
[[nodiscard]] bool in_channel(const Layout& layout, const CircuitNet& net, const CircuitNet::Edge& edge);
/// Outline of a channel in (x, y), counter-clockwise seen from +z, narrower all round by `inset`.
[[nodiscard]] std::vector<glm::dvec2> channel_outline(const Channel& channel, double inset);

[[nodiscard]] Subject part_subject(const std::string& id); ///< nothing where there is no part

[[nodiscard]] const Stack* stack_of(const Workshop& shop, const StackPlace& place);

/// Of the splines of drums and of the plates in them: a multiple of four, so that on both sides of the section a tooth
/// lies in a channel without a slot.
[[nodiscard]] int channels_for(double radius);
/// The splines in the wall of its drum in which the plates of a clutch hang; none for one that lies inside another.
[[nodiscard]] std::optional<Splines> splines_of(const Workshop& shop, const ClutchPlace& clutch);
/// The snap ring before the last plate of a pack lies between these places along the axis.
[[nodiscard]] std::pair<double, double> snap_ring_at(const ClutchPlace& clutch);

void add_turned_parts(Workshop& shop); ///< shafts, supports, pump, drums, pistons, plates, gears
/// Supports, the pump and hubs, and bores that the map does not name.
void add_supports(const Workshop& shop, std::vector<Turned>& list);
void add_drums(const Workshop& shop, std::vector<Turned>& list);
void add_clutches(const Workshop& shop, std::vector<Turned>& list); ///< pistons and packs
void add_gear_trains(Workshop& shop, std::vector<Turned>& list);
void add_bands_and_servos(Workshop& shop);
// In the wall of the case, whatever it looks like.
void add_band_anchors(Workshop& shop); ///< adjusting screws
void add_servo_bosses(Workshop& shop);
void add_case(Workshop& shop);
void add_face_and_plate(Workshop& shop);
/// Where along the axis the face with the ports begins.
[[nodiscard]] double face_begins(const Layout& layout);
/// Whether something on the outside of the barrel that reaches as far as `to_x` along the axis would run into the face.
[[nodiscard]] bool under_face(const Layout& layout, double y, double z, double to_x);
/// Takes away what stands out of the barrel where the face sits on it, so that the two solids do not overlap.
void make_seat_for_face(const Layout& layout, Soup& casting);
void add_return_springs(Workshop& shop, std::vector<Turned>& list); ///< with their retainers and the snap rings
void add_seals(Workshop& shop);
void add_circuits(Workshop& shop);
void add_ports(Workshop& shop);
/// The seals of pistons as turned rings, to be cut out of everything else.
[[nodiscard]] std::vector<Turned> piston_seals(const Workshop& shop);

/// Gives all cut faces their hatch.
void choose_hatches(std::vector<Shape>& shapes);

[[nodiscard]] Material usual_material(const UnitMap& map, const std::string& part, Material otherwise);

} // namespace ringland::model::build
