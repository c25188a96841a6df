// The case face with the worm tracks cut into it, and the test plate with its bolts and numbers.

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <string>

#include <glm/geometric.hpp>

#include "shape_build.h"

namespace ringland::model::build {
namespace {

using std::numbers::pi;
using Outline = std::vector<glm::dvec2>;

constexpr double gasket = 1.0;     ///< between face and plate, mm
constexpr double face_depth = 15;  ///< of the thick metal that holds tracks and drillings
constexpr double least_wall = 1.2; ///< between two tracks

struct FaceSize {
    double x0, x1, half_width;
};

FaceSize face_size(const Layout& layout) {
    FaceSize f{layout.housing.x0 + 70, layout.housing.x1 - 20, 50};
    if (!layout.ports.empty()) f = {1e9, -1e9, 44};
    for (const auto& p : layout.ports) {
        f.x0 = std::min(f.x0, p.at.x - 22);
        f.x1 = std::max(f.x1, p.at.x + 22);
        f.half_width = std::max(f.half_width, std::abs(p.at.y) + 25);
    }
    for (const auto& net : layout.nets) { // the tracks lie under it too
        for (std::size_t i = 0; i < net.nodes.size(); ++i) {
            if (net.node_in[i] != CircuitNet::Edge::In::face) continue;
            f.x0 = std::min(f.x0, net.nodes[i].x - 9);
            f.x1 = std::max(f.x1, net.nodes[i].x + 9);
            f.half_width = std::max(f.half_width, std::abs(net.nodes[i].y) + 9);
        }
    }
    return f;
}

std::vector<glm::dvec2> rounded(const FaceSize& f, double grow) {
    const double r = 10 + grow, x0 = f.x0 - grow, x1 = f.x1 + grow, w = f.half_width + grow;
    std::vector<glm::dvec2> outline;
    const auto corner = [&](double cx, double cy, double from) {
        for (int k = 0; k <= 6; ++k)
            outline.emplace_back(cx + r * std::cos(from + k * pi / 12), cy + r * std::sin(from + k * pi / 12));
    };
    corner(x1 - r, w - r, 0);
    corner(x0 + r, w - r, pi / 2);
    corner(x0 + r, -w + r, pi);
    corner(x1 - r, -w + r, 1.5 * pi);
    return outline;
}

double cross(const glm::dvec2& a, const glm::dvec2& b, const glm::dvec2& c) {
    return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
}

bool cross_each_other(const glm::dvec2& a, const glm::dvec2& b, const glm::dvec2& c, const glm::dvec2& d) {
    return cross(a, b, c) * cross(a, b, d) < 0 && cross(c, d, a) * cross(c, d, b) < 0;
}

/// One line that runs round an outline and, by bridges that are run both ways, round the holes in it.
class Bridged {
public:
    Bridged(const Outline& outer, const std::vector<Outline>& holes) : line_(outer), holes_(holes) {
        std::vector<std::size_t> order(holes.size());
        for (std::size_t i = 0; i < order.size(); ++i)
            order[i] = i;
        const auto farthest = [&](std::size_t i) {
            return *std::max_element(holes[i].begin(), holes[i].end(),
                                     [](const auto& a, const auto& b) { return a.x < b.x; });
        };
        std::sort(order.begin(), order.end(),
                  [&](std::size_t a, std::size_t b) { return farthest(a).x > farthest(b).x; });
        for (const auto i : order)
            take(holes[i]);
    }
    [[nodiscard]] const Outline& line() const { return line_; }

private:
    void take(const Outline& hole) {
        std::size_t start = 0;
        for (std::size_t k = 1; k < hole.size(); ++k) {
            if (hole[k].x > hole[start].x) start = k;
        }
        std::vector<std::size_t> near(line_.size());
        for (std::size_t k = 0; k < near.size(); ++k)
            near[k] = k;
        std::stable_sort(near.begin(), near.end(), [&](std::size_t a, std::size_t b) {
            return glm::distance(line_[a], hole[start]) < glm::distance(line_[b], hole[start]);
        });
        for (const auto at : near) {
            if (blocked(line_[at], hole[start])) continue;
            Outline way;
            for (std::size_t k = 0; k <= hole.size(); ++k) // clockwise round the hole, and back
                way.push_back(hole[(start + hole.size() * 2 - k) % hole.size()]);
            way.push_back(line_[at]);
            line_.insert(line_.begin() + static_cast<std::ptrdiff_t>(at) + 1, way.begin(), way.end());
            return;
        }
    }
    [[nodiscard]] bool blocked(const glm::dvec2& a, const glm::dvec2& b) const {
        const auto by = [&](const Outline& outline) {
            for (std::size_t k = 0; k < outline.size(); ++k) {
                if (cross_each_other(a, b, outline[k], outline[(k + 1) % outline.size()])) return true;
            }
            return false;
        };
        return by(line_) || std::any_of(holes_.begin(), holes_.end(), by);
    }
    Outline line_;
    const std::vector<Outline>& holes_;
};

using Triangles = std::vector<std::array<glm::dvec2, 3>>;

/// Triangles of a simple line, counter-clockwise, by cutting off ears from one of its points on. Nothing where no ear
/// is left before the end: points in one line can bring that about.
Triangles triangles_from(Outline line, std::size_t start) {
    Triangles found;
    std::size_t at = start, tried = 0;
    while (line.size() > 3 && tried <= line.size()) {
        const std::size_t n = line.size(), before = (at + n - 1) % n, after = (at + 1) % n;
        const auto a = line[before], b = line[at], c = line[after];
        const auto inside = [&](const glm::dvec2& p) {
            return p != a && p != b && p != c && cross(a, b, p) >= 0 && cross(b, c, p) >= 0 && cross(c, a, p) >= 0;
        };
        if (cross(a, b, c) > 1e-9 && std::none_of(line.begin(), line.end(), inside)) {
            found.push_back({a, b, c});
            line.erase(line.begin() + static_cast<std::ptrdiff_t>(at));
            at = (at + line.size() - 1) % line.size();
            tried = 0;
        } else {
            at = after;
            ++tried;
        }
    }
    if (line.size() != 3) return {};
    found.push_back({line[0], line[1], line[2]});
    return found;
}

/// Of the outline without the holes; a hole that defeats all attempts is left out of them.
Triangles triangles_between(const Outline& outline, std::vector<Outline>& holes) {
    while (true) {
        const Bridged bridged(outline, holes);
        for (std::size_t start = 0; start < bridged.line().size(); start += 5) {
            if (auto found = triangles_from(bridged.line(), start); !found.empty()) return found;
        }
        if (holes.empty()) return {};
        holes.pop_back();
    }
}

/// The rounded outline with more points down its sides, so that what hangs from them can follow the barrel.
Outline subdivided(const Outline& outline) {
    Outline finer;
    constexpr int strips = 13;
    for (std::size_t i = 0; i < outline.size(); ++i) {
        const auto a = outline[i], b = outline[(i + 1) % outline.size()];
        finer.push_back(a);
        if (std::abs(a.x - b.x) > 1e-6 || std::abs(a.y - b.y) < 20) continue;
        for (int k = 1; k < strips; ++k)
            finer.push_back(a + (b - a) * (static_cast<double>(k) / strips));
    }
    return finer;
}

void add_face(Workshop& shop, const FaceSize& f) {
    Shape face;
    face.name = case_face;
    const auto& c = shop.layout.housing;
    if (!c.part.empty()) face.subject = {SubjectKind::part, c.part};
    face.material = usual_material(shop.map, c.part, Material::aluminium);
    face.glass = true;
    const double top = shop.layout.face_z, floor = top + channel_depth;
    const double middle_z = top + c.radius + 16; // of the barrel below it
    const auto foot = [&](const glm::dvec2& p) {
        const double r = c.radius + 0.2, square = r * r - p.y * p.y;
        return std::max(top + face_depth, middle_z - std::sqrt(std::max(square, 0.0)));
    };
    const auto outline = subdivided(rounded(f, 4));
    std::vector<Outline> holes;
    for (const auto& channel : face_channels(shop.layout))
        holes.push_back(channel_outline(channel, 0));
    Soup soup;
    const auto at = [](const glm::dvec2& p, double z) { return glm::vec3(p.x, p.y, z); };
    const auto quad = [&](const glm::vec3& a, const glm::vec3& b, const glm::vec3& d, const glm::vec3& e) {
        soup.insert(soup.end(), {a, b, d, a, d, e});
    };
    // The face looks towards -z.
    for (const auto& t : triangles_between(outline, holes))
        soup.insert(soup.end(), {at(t[0], top), at(t[2], top), at(t[1], top)});
    for (const auto& hole : holes) {
        for (std::size_t i = 0; i < hole.size(); ++i) {
            const auto a = hole[i], b = hole[(i + 1) % hole.size()];
            quad(at(b, top), at(a, top), at(a, floor), at(b, floor));
            if (i > 0 && i + 1 < hole.size()) soup.insert(soup.end(), {at(hole[0], floor), at(b, floor), at(a, floor)});
        }
    }
    const auto n = outline.size();
    for (std::size_t i = 0; i < n; ++i) {
        const auto a = outline[i], b = outline[(i + 1) % n];
        quad(at(a, top), at(b, top), at(b, foot(b)), at(a, foot(a)));
    }
    // Below it, strips from side to side: for every point there is one straight across.
    const auto across = [&](const glm::dvec2& p) {
        const double x = f.x0 + f.x1 - p.x;
        return *std::min_element(outline.begin(), outline.end(), [&](const auto& a, const auto& b) {
            return glm::distance(a, glm::dvec2(x, p.y)) < glm::distance(b, glm::dvec2(x, p.y));
        });
    };
    for (std::size_t i = 0; i < n; ++i) {
        const auto a = outline[i], b = outline[(i + 1) % n];
        if (a.x + b.x < f.x0 + f.x1 || std::abs(a.y - b.y) < 1e-9) continue; // the right side runs up
        const auto p = across(b), q = across(a);
        quad(at(a, foot(a)), at(b, foot(b)), at(p, foot(p)), at(q, foot(q)));
    }
    finish(shop, std::move(face), std::move(soup));
}

/// Strokes of the ten digits in a field one wide and two high, pairs of points from the left bottom.
std::vector<std::pair<glm::dvec2, glm::dvec2>> strokes_of(char digit) {
    // Bars: top, middle, bottom; upper left, upper right, lower left, lower right.
    constexpr std::array<unsigned, 10> bars{0b1011111, 0b0000101, 0b1110110, 0b1110101, 0b0101101,
                                            0b1111001, 0b1111011, 0b1000101, 0b1111111, 0b1111101};
    const std::array<std::pair<glm::dvec2, glm::dvec2>, 7> places{{{{0, 2}, {1, 2}},
                                                                   {{0, 1}, {1, 1}},
                                                                   {{0, 0}, {1, 0}},
                                                                   {{0, 1}, {0, 2}},
                                                                   {{1, 1}, {1, 2}},
                                                                   {{0, 0}, {0, 1}},
                                                                   {{1, 0}, {1, 1}}}};
    std::vector<std::pair<glm::dvec2, glm::dvec2>> strokes;
    for (std::size_t i = 0; i < places.size(); ++i) {
        if ((bars[static_cast<std::size_t>(digit - '0')] >> (6 - i) & 1U) != 0) strokes.push_back(places[i]);
    }
    return strokes;
}

/// The number of each port, stamped into the plate beside its boss; read with the belly up and the engine to the left.
void add_numbers(Workshop& shop) {
    for (const auto& place : shop.layout.ports) {
        std::string digits;
        for (const char c : place.port) {
            if (c >= '0' && c <= '9') digits += c;
        }
        if (digits.empty() || digits.size() > 3) continue;
        constexpr double size = 4.8, tall = 1.25, stroke = 1.2, pitch = 8.4; // width; height by it, half
        const glm::dvec2 corner(place.at.x - (pitch * static_cast<double>(digits.size()) - (pitch - size)) / 2,
                                place.at.y + place.radius + 3.4 + 1.6 + 2 * size * tall);
        Soup soup;
        for (std::size_t k = 0; k < digits.size(); ++k) {
            for (const auto& [a, b] : strokes_of(digits[k])) {
                const auto low = corner + glm::dvec2(pitch * static_cast<double>(k), 0);
                const glm::dvec2 p(low.x + size * a.x, low.y - size * tall * b.y),
                    q(low.x + size * b.x, low.y - size * tall * a.y);
                box(soup, {std::min(p.x, q.x) - stroke, std::min(p.y, q.y) - stroke, shop.layout.plate_z - 0.15},
                    {std::max(p.x, q.x) + stroke, std::max(p.y, q.y) + stroke, shop.layout.plate_z + 0.1});
            }
        }
        Shape s;
        s.name = place.port + " number";
        s.subject = {SubjectKind::port, place.port};
        s.material = Material::rubber; // as dark as a stamped groove
        s.section = SectionRule::whole;
        // Strokes, not bars: lines around them would close the letters up.
        finish(shop, std::move(s), std::move(soup), {crease_degrees, false});
    }
}

void add_plate(Workshop& shop, const FaceSize& f) {
    std::string plate_part;
    for (const auto& part : shop.map.parts) {
        if (part.kind == PartKind::test_plate) plate_part = part.id;
    }
    Shape plate;
    plate.name = plate_part.empty() ? "test plate" : plate_part;
    if (!plate_part.empty()) plate.subject = {SubjectKind::part, plate_part};
    plate.material = usual_material(shop.map, plate_part, Material::steel);
    plate.glass = true;
    plate.section = SectionRule::whole;
    Soup body;
    const double z0 = shop.layout.plate_z, z1 = shop.layout.face_z - gasket;
    slab(body, rounded(f, 0), z0, z1);
    finish(shop, std::move(plate), std::move(body));

    Soup bolts;
    const int gaps = std::max(1, static_cast<int>((f.x1 - f.x0) / 70));
    for (int k = 0; k <= gaps; ++k) {
        const double x = f.x0 + 10 + (f.x1 - f.x0 - 20) * k / gaps;
        for (const double y : {-f.half_width + 9, f.half_width - 9}) {
            const TurningAxis axis{{x, y, shop.layout.plate_z}, {0, 0, -1}, {1, 0, 0}};
            extrude_outline(bolts, axis, 0.85, 4.5, std::vector<double>(6, 5.2), 0);
            turn(bolts, axis, trace_region({{0.05, 0.8, 0, 6.6}}, {}), 20);
        }
    }
    Shape s;
    s.name = "plate bolts";
    if (!plate_part.empty()) s.subject = {SubjectKind::part, plate_part};
    s.section = SectionRule::whole;
    finish(shop, std::move(s), std::move(bolts));
}

} // namespace

double face_begins(const Layout& layout) { return face_size(layout).x0 - 4; }

bool under_face(const Layout& layout, double y, double z, double to_x) {
    const auto f = face_size(layout);
    return z < 0 && to_x > f.x0 - 4 && std::abs(y) < f.half_width + 8;
}

void make_seat_for_face(const Layout& layout, Soup& casting) {
    const auto& c = layout.housing;
    double lowest = 0;
    for (const auto& line : c.lines)
        lowest = std::min(lowest, line.z);
    const auto middle = static_cast<float>(lowest);
    const auto f = face_size(layout);
    const auto r = static_cast<float>(c.radius);
    for (auto& p : casting) {
        const float from_axis = std::hypot(p.y, p.z - middle);
        if (p.x < f.x0 - 8 || p.x > f.x1 + 8 || std::abs(p.y) > f.half_width + 13 || p.z > middle || from_axis <= r)
            continue;
        p.y *= r / from_axis;
        p.z = middle + (p.z - middle) * (r / from_axis);
    }
}

bool in_channel(const Layout& layout, const CircuitNet& net, const CircuitNet::Edge& edge) {
    const auto& a = net.nodes[static_cast<std::size_t>(edge.a)];
    const auto& b = net.nodes[static_cast<std::size_t>(edge.b)];
    return edge.in == CircuitNet::Edge::In::face && std::abs(a.z - b.z) < 1e-6 && std::abs(a.y - b.y) < 1e-6 &&
           a.z < layout.face_z + channel_depth;
}

std::vector<Channel> face_channels(const Layout& layout) {
    std::vector<Channel> channels;
    for (const auto& net : layout.nets) {
        for (const auto& edge : net.edges) {
            if (!in_channel(layout, net, edge)) continue;
            const auto& a = net.nodes[static_cast<std::size_t>(edge.a)];
            const auto& b = net.nodes[static_cast<std::size_t>(edge.b)];
            Channel one{net.circuit, std::min(a.x, b.x), std::max(a.x, b.x), a.y, std::min(edge.radius, 4.0)};
            // What runs on in the same track is one with it.
            for (auto it = channels.begin(); it != channels.end();) {
                if (it->circuit == one.circuit && std::abs(it->y - one.y) < 1e-6 &&
                    it->x0 - it->half_width <= one.x1 + one.half_width &&
                    it->x1 + it->half_width >= one.x0 - one.half_width) {
                    one = {one.circuit, std::min(one.x0, it->x0), std::max(one.x1, it->x1), one.y,
                           std::max(one.half_width, it->half_width)};
                    it = channels.erase(it);
                } else {
                    ++it;
                }
            }
            channels.push_back(one);
        }
    }
    // As narrow as its neighbours want it, and none where not even a narrow one has room.
    std::vector<Channel> kept;
    for (auto one : channels) {
        for (const auto& other : channels) {
            const double apart = std::abs(one.y - other.y);
            const bool beside = one.x0 - 8 < other.x1 && other.x0 - 8 < one.x1;
            if (&other != &one && other.circuit != one.circuit && beside && apart > 1e-6)
                one.half_width = std::min(one.half_width, (apart - least_wall) / 2);
        }
        const bool free = std::none_of(kept.begin(), kept.end(), [&](const Channel& k) {
            return std::abs(k.y - one.y) < k.half_width + one.half_width && one.x0 - 8 < k.x1 && k.x0 - 8 < one.x1;
        });
        if (one.half_width > 0.7 && free) kept.push_back(one);
    }
    return kept;
}

std::vector<glm::dvec2> channel_outline(const Channel& channel, double inset) {
    std::vector<glm::dvec2> outline;
    const double r = channel.half_width - inset;
    constexpr int steps = 6;
    for (int k = 0; k <= steps; ++k) {
        const double a = pi * (static_cast<double>(k) / steps - 0.5);
        outline.emplace_back(channel.x1 + r * std::cos(a), channel.y + r * std::sin(a));
    }
    for (int k = 0; k <= steps; ++k) {
        const double a = pi * (static_cast<double>(k) / steps + 0.5);
        outline.emplace_back(channel.x0 + r * std::cos(a), channel.y + r * std::sin(a));
    }
    return outline;
}

void add_face_and_plate(Workshop& shop) {
    const auto f = face_size(shop.layout);
    add_face(shop, f);
    add_plate(shop, f);
    add_numbers(shop);
}

} // namespace ringland::model::build
