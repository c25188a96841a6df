// Bands around drums, the servos that draw them tight, and what stands between: pin, strut, and the adjusting screw
// that holds the other end.

#include <algorithm>
#include <cmath>
#include <numbers>

#include <glm/geometric.hpp>

#include "shape_build.h"

namespace ringland::model::build {
namespace {

using std::numbers::pi;

constexpr double lining = 1.3;                   ///< thickness of what rubs on the drum, mm
constexpr double strap = 3.4;                    ///< of the band with its lining
constexpr double lug_height = 8, lug_length = 7; ///< of the lug on each of its ends
constexpr double seat_height = 4.4;              ///< where strut and screw bear on a lug
constexpr double strut_half = 2.4;               ///< of its thickness
constexpr double least_gap = 0.3;                ///< between pin, strut, lug and screw: solids do not touch

const ServoPlace* servo_of(const Workshop& shop, const BandPlace& band) {
    for (const auto& servo : shop.layout.servos) {
        if (servo.element == band.element) return &servo;
    }
    return nullptr;
}

/// The outside of a band beside its servo: how far along it from the servo, away from the case face, and how far above.
class BandEnds {
public:
    BandEnds(const Workshop& shop, const BandPlace& band)
        : band_(band), outside_(band.radius + strap), way_(std::sin(band.end_angle) < 0 ? -1.0 : 1.0),
          split_(std::min(42.0, outside_ * 0.5)), half_gap_(std::min(7.0, outside_ * 0.1)),
          middle_((band.x0 + band.x1) / 2) {
        const auto* servo = servo_of(shop, band);
        if (servo == nullptr) return;
        const Vec3 out(0, std::sin(band.end_angle), -std::cos(band.end_angle));
        above_ = glm::dot(servo->inner - band.axis, out) - outside_;
        const double x = servo->inner.x - band.axis.x; // the strut stands where the pin is, if that is over the band
        middle_ = std::clamp(x, std::min(band.x0 + 6, middle_), std::max(band.x1 - 6, middle_));
    }
    [[nodiscard]] double outside() const { return outside_; }
    [[nodiscard]] double middle() const { return middle_; }
    [[nodiscard]] double angle_at(double along) const { return band_.end_angle + way_ * along / outside_; }
    [[nodiscard]] Vec3 at(double x, double along, double high) const {
        const double a = angle_at(along), r = outside_ + high;
        return band_.axis + Vec3(x, r * std::sin(a), -r * std::cos(a));
    }
    /// Middles of the lugs: of the end that the servo pushes, and of the one that the screw holds.
    [[nodiscard]] double pushed() const { return split_ - half_gap_ - lug_length / 2; }
    [[nodiscard]] double held() const { return split_ + half_gap_ + lug_length / 2; }
    /// From end to end round the drum, as angles, the first the smaller one.
    [[nodiscard]] std::pair<double, double> span() const {
        const double a = angle_at(split_ + half_gap_), b = angle_at(split_ - half_gap_);
        return way_ > 0 ? std::pair(a, b + 2 * pi) : std::pair(b, a + 2 * pi);
    }
    /// Height of the tip of the servo's pin, so that the strut stands well.
    [[nodiscard]] double pin_height() const { return std::clamp(above_ - 3.0, 4.0, 15.0); }
    /// A bar across the band of the outline (along, above), counter-clockwise.
    void bar(Soup& soup, const std::vector<glm::dvec2>& outline, double x0, double x1) const {
        glm::dvec2 centre(0);
        for (const auto& p : outline)
            centre += p / static_cast<double>(outline.size());
        const auto place = [&](double x, const glm::dvec2& p) { return glm::vec3(at(x, p.x, p.y)); };
        const auto face = [&](const glm::vec3& a, const glm::vec3& b, const glm::vec3& c) {
            if (way_ > 0)
                soup.insert(soup.end(), {a, b, c});
            else // the other way round the drum everything is mirrored
                soup.insert(soup.end(), {a, c, b});
        };
        for (std::size_t i = 0; i < outline.size(); ++i) {
            const auto p = outline[i], q = outline[(i + 1) % outline.size()];
            face(place(x0, p), place(x1, p), place(x1, q));
            face(place(x0, p), place(x1, q), place(x0, q));
            face(place(x0, centre), place(x0, p), place(x0, q));
            face(place(x1, centre), place(x1, q), place(x1, p));
        }
    }

private:
    const BandPlace& band_;
    double outside_, way_, split_, half_gap_, middle_, above_ = 15;
};

/// A lug with a sloping back towards the gap and a seat for what bears on it; `side` is where that is, 1 or -1.
std::vector<glm::dvec2> lug_outline(double middle, double side) {
    const double seat = lug_length / 2, top = lug_height;
    std::vector<glm::dvec2> points{
        {seat, 0.05},    {seat, seat_height - 2.6}, {seat - 1.2, seat_height}, {seat, seat_height + 2.6},
        {seat - 1, top}, {-seat + 2.4, top},        {-seat, top - 4},          {-seat, 0.05}};
    for (auto& p : points)
        p.x = middle + side * p.x;
    if (side < 0) std::reverse(points.begin(), points.end());
    return points;
}

/// A bar with rounded ends from one seat to the other.
std::vector<glm::dvec2> strut_outline(const glm::dvec2& from, const glm::dvec2& to) {
    const auto way = glm::normalize(to - from);
    const glm::dvec2 left(-way.y, way.x);
    std::vector<glm::dvec2> points;
    for (const auto& [end, sign] : {std::pair(to, 1.0), {from, -1.0}}) {
        for (int k = -2; k <= 2; ++k) {
            const double a = k * pi / 4;
            points.push_back(end + (way * std::cos(a) + left * std::sin(a)) * (sign * strut_half));
        }
    }
    return points;
}

void add_band(Workshop& shop, const BandPlace& band) {
    Shape s;
    s.name = band.part.empty() ? band.element + " band" : band.part;
    s.subject = part_subject(band.part);
    s.material = Material::spring_steel;
    s.hatch = 2;
    const BandEnds ends(shop, band);
    const double wide = std::min(9.0, (band.x1 - band.x0) / 2 - 0.5);
    Soup soup;
    const auto [from, to] = ends.span();
    const int segments = segments_for(band.radius);
    turn_part(soup, along_x(band.axis),
              chamfered(trace_region({{band.x0, band.x1, band.radius + lining + 0.05, ends.outside()}}, {})[0], 0.6),
              from, to, 0, segments);
    ends.bar(soup, lug_outline(ends.pushed(), -1), ends.middle() - wide, ends.middle() + wide);
    ends.bar(soup, lug_outline(ends.held(), 1), ends.middle() - wide, ends.middle() + wide);
    finish(shop, s, std::move(soup));

    s.name += " lining";
    s.material = Material::friction;
    Soup inside;
    turn_part(inside, along_x(band.axis),
              trace_region({{band.x0 + 1, band.x1 - 1, band.radius, band.radius + lining}}, {})[0], from, to, 0,
              segments);
    finish(shop, std::move(s), std::move(inside));

    if (servo_of(shop, band) == nullptr) return;
    const glm::dvec2 under_pin(0, ends.pin_height() - strut_half - least_gap);
    const glm::dvec2 at_lug(ends.pushed() - lug_length / 2 - strut_half + 0.9, seat_height);
    if (under_pin.y < seat_height || at_lug.x < 2 * strut_half) return;
    Shape strut;
    strut.name = (band.part.empty() ? band.element : band.part) + " strut";
    strut.subject = part_subject(band.part);
    Soup bar;
    ends.bar(bar, strut_outline(under_pin, at_lug), ends.middle() - wide * 0.55, ends.middle() + wide * 0.55);
    finish(shop, std::move(strut), std::move(bar));
}

void add_servo(Workshop& shop, const ServoPlace& servo) {
    const Vec3 direction = servo.outer - servo.inner;
    const double length = glm::length(direction), r = servo.radius;
    const TurningAxis axis{servo.inner, direction, {1, 0, 0}};
    double reach = 12;
    for (const auto& band : shop.layout.bands) {
        if (band.element != servo.element) continue;
        const BandEnds ends(shop, band);
        reach = glm::dot(servo.inner - ends.at(servo.inner.x, 0, ends.pin_height()), glm::normalize(direction));
    }
    Shape body;
    body.name = servo.part.empty() ? servo.element + " servo" : servo.part;
    body.subject = part_subject(servo.part);
    body.material = Material::aluminium;
    body.glass = true;
    Soup soup;
    turn(soup, axis,
         {chamfered(
             trace_region({{0, length, r, r + 5}, {length * 0.88, length + 3, 0, r + 5}, {0, 3, 6, r + 5}}, {})[0],
             1.5)},
         56);
    finish(shop, body, std::move(soup));

    Shape piston = body;
    piston.name += " piston";
    piston.glass = false;
    Soup moving;
    turn(moving, axis,
         {chamfered(
             trace_region({{length * 0.48, length * 0.66, 0, r - 0.5}, {-std::max(2.0, reach), length * 0.66, 0, 5}},
                          {})[0],
             0.8)},
         48);
    finish(shop, std::move(piston), std::move(moving));
}

/// Of the casting, round what goes through its wall; a housing about several lines has none.
void add_boss(Workshop& shop, const std::string& of, const TurningAxis& axis, double inner, double outer, double end,
              int segments) {
    const auto& c = shop.layout.housing;
    Shape boss;
    boss.name = of + " boss";
    boss.subject = part_subject(c.part);
    boss.material = usual_material(shop.map, c.part, Material::aluminium);
    boss.glass = true;
    boss.hatch = 1;
    Soup soup;
    if (c.lines.size() > 1 || !barrel_boss(soup, axis, c.radius, inner, outer, end, segments)) return;
    finish(shop, std::move(boss), std::move(soup));
}

} // namespace

void add_bands_and_servos(Workshop& shop) {
    for (const auto& band : shop.layout.bands)
        add_band(shop, band);
    for (const auto& servo : shop.layout.servos)
        add_servo(shop, servo);
}

void add_servo_bosses(Workshop& shop) {
    for (const auto& servo : shop.layout.servos) {
        const Vec3 direction = servo.outer - servo.inner;
        add_boss(shop, servo.part.empty() ? servo.element + " servo" : servo.part, {servo.inner, direction, {1, 0, 0}},
                 servo.radius + 5.3, servo.radius + 10, glm::length(direction) - 1, segments_for(servo.radius));
    }
}

void add_band_anchors(Workshop& shop) {
    const auto& c = shop.layout.housing;
    for (const auto& band : shop.layout.bands) {
        // From the seat of the held lug outwards at a slant, through the wall of the case to the lock nut.
        const BandEnds ends(shop, band);
        constexpr double slant = 50 * pi / 180, radius = 4.4, tip = 1.8;
        const double seat = ends.held() + lug_length / 2 + 0.7;
        const Vec3 foot = ends.at(ends.middle(), seat, seat_height);
        const Vec3 out = glm::normalize(ends.at(0, seat, 10) - ends.at(0, seat, 0)),
                   along = glm::normalize(ends.at(0, seat + 0.01, 0) - ends.at(0, seat - 0.01, 0));
        const Vec3 way = along * std::cos(slant) + out * std::sin(slant);
        // Where it leaves the barrel: |foot + t way| = radius of the case, about the band's line.
        const Vec3 from_axis(0, foot.y - band.axis.y, foot.z - band.axis.z);
        const double b = glm::dot(from_axis, way),
                     square = b * b - glm::dot(from_axis, from_axis) + c.radius * c.radius;
        const double wall = square > 0 ? -b + std::sqrt(square) : 20;
        if (wall < 8) continue;
        Shape screw;
        screw.name = (band.part.empty() ? band.element : band.part) + " adjusting screw";
        screw.subject = part_subject(c.part);
        Soup soup;
        const TurningAxis axis{foot, way, {1, 0, 0}};
        const double nut0 = wall + 16, nut1 = nut0 + 7, end = nut1 + 9;
        turn(soup, axis,
             {chamfered(
                 trace_region({{least_gap, 6, 0, tip}, {6, nut0, 0, radius}, {nut0, end, 0, radius - 0.8}}, {})[0],
                 1.0)},
             20);
        turn(soup, axis, trace_region({{nut0 - 1.2, nut0 - 0.05, radius + 0.05, radius * 2.1}}, {}), 24);
        extrude_outline(soup, axis, nut0, nut1, std::vector<double>(6, radius * 1.85), radius);
        finish(shop, std::move(screw), std::move(soup));
        add_boss(shop, band.part.empty() ? band.element : band.part, axis, radius + 0.2, radius * 2.4, nut0 - 1.3, 32);
    }
}

} // namespace ringland::model::build
