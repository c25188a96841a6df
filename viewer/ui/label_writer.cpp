#include "label_writer.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>
#include <glm/geometric.hpp>

#include "words.h"

namespace ringland::viewer {

namespace {

using std::numbers::pi;

constexpr double arrows_out = 104;       ///< so far the arrows of the air stand out before a port, points
constexpr double names_parts_from = 0.3; ///< so far apart, parts are named and no longer ports

} // namespace

LabelWriter::LabelWriter(const OverlayFonts& fonts, const Session& session, const Derived& derived,
                         const OverlaySpec& spec, const Translator& tr)
    : fonts_(fonts), session_(session), derived_(derived), spec_(spec), tr_(tr),
      colours_(colours_of(session.view.theme)), camera_(camera_at(session.view.flight, spec.now_s)),
      px_(spec.pixels_per_point), apart_(apartness(session, derived, spec.now_s)) {}

glm::dvec2 LabelWriter::seen_direction(const glm::dvec3& at, const glm::dvec3& direction) const {
    const auto a = pixel(at), b = pixel(at + direction);
    const glm::dvec2 d(b.x - a.x, b.y - a.y);
    return glm::length(d) > 1e-6 ? glm::normalize(d) : glm::dvec2(0, 1);
}

LabelBox LabelWriter::bounds() const {
    const double m = 10 * px_;
    return {spec_.drawing.x + m, spec_.drawing.y + m, spec_.drawing.x + spec_.drawing.width - m,
            spec_.drawing.y + spec_.drawing.height - m};
}

/// At the distance at which the camera looks.
double LabelWriter::mm_per_pixel() const {
    return 2 * camera_.distance * std::tan(field_of_view_deg * pi / 360) / spec_.drawing.height;
}

bool LabelWriter::within(const glm::dvec3& p, double margin) const {
    const auto b = bounds();
    return p.z > 0 && p.x > b.x0 + margin && p.x < b.x1 - margin && p.y > b.y0 + margin && p.y < b.y1 - margin;
}

bool LabelWriter::faded_circuit(const std::string& id) const {
    const auto& alone = session_.view.alone;
    if (!alone.empty()) return std::find(alone.begin(), alone.end(), id) == alone.end();
    return answered() && id != derived_.answer->from.circuit && id != derived_.answer->to.circuit;
}

glm::dvec2 LabelWriter::text_size(const TextLine& line) {
    const ImVec2 s = line.font->CalcTextSizeA(line.font->FontSize, 1e6F, 0, line.text.c_str());
    return {s.x, s.y};
}

glm::dvec2 LabelWriter::block_size(const std::vector<TextLine>& lines) const {
    glm::dvec2 size(0);
    for (const auto& line : lines) {
        const auto s = text_size(line);
        size.x = std::max(size.x, s.x);
        size.y += s.y + 1 * px_;
    }
    return size + glm::dvec2(12, 6) * px_;
}

glm::dvec3 LabelWriter::at_ring(const model::StackPlace& stack, const model::RingPlace& ring, double radius,
                                double angle_deg) const {
    const double a = angle_deg * pi / 180;
    return stack.axis + glm::dvec3(ring.x + seal_shift(ring.seal), radius * std::sin(a), -radius * std::cos(a));
}

glm::dvec3 LabelWriter::at_carrier(const model::StackPlace& stack, double x, double radius, double angle_deg) const {
    const double a = angle_deg * pi / 180;
    const double by = apart_.shift_mm(derived_.explosion.stacks, stack.stack);
    return stack.axis + glm::dvec3(x + by, radius * std::sin(a), -radius * std::cos(a));
}

Label& LabelWriter::add(const std::string& key, const glm::dvec3& anchor, std::vector<TextLine> lines,
                        glm::dvec2 prefer, double least, double most) {
    Label label;
    label.request.key = key;
    label.request.anchor = {anchor.x, anchor.y};
    label.request.size = block_size(lines);
    label.request.prefer = prefer;
    label.request.least_distance = least * px_;
    label.request.most_distance = most * px_;
    label.lines = std::move(lines);
    labels_.push_back(std::move(label));
    return labels_.back();
}

std::vector<Label> LabelWriter::write(std::vector<LabelBox>& obstacles) {
    labels_.clear();
    asked_.clear();
    keep_off(obstacles);
    label_suspect();
    label_asked_ports();
    label_trace();
    label_stack_ends();
    label_rings();
    label_chances();
    label_parts();
    label_ports();
    return std::move(labels_);
}

/// "R3  62 %" and its bar, for a seal that the readings make likely.
std::string LabelWriter::with_chance(const std::string& seal) const {
    const double chance = chance_of(derived_, map(), seal);
    return chance < least_chance_shown ? seal : fmt::format("{}  {:.0f} %", seal, 100 * chance);
}

/// Adds the bar to the label that was added last.
void LabelWriter::add_chance(const std::string& seal) {
    const double chance = chance_of(derived_, map(), seal);
    if (chance < least_chance_shown) return;
    labels_.back().chance = chance;
    labels_.back().request.size.y += 9 * px_;
}

const model::StackPlace* LabelWriter::shown_stack() const {
    const auto* seal =
        model::find(map().seals, derived_.suspect.empty() && session_.view.selected.kind == model::SubjectKind::seal
                                     ? session_.view.selected.id
                                     : derived_.suspect);
    for (const auto& stack : derived_.layout.stacks) {
        if (seal != nullptr && stack.stack == seal->stack) return &stack;
    }
    if (seal != nullptr && seal->relation != model::Relation::stack) return nullptr;
    return derived_.layout.stacks.empty() ? nullptr : &derived_.layout.stacks.front();
}

const model::SealPlace* LabelWriter::suspect_place() const {
    for (const auto& place : derived_.layout.seals) {
        if (place.seal == derived_.suspect) return &place;
    }
    return nullptr;
}

const model::PortPlace* LabelWriter::port_place(const std::string& id) const {
    for (const auto& place : derived_.layout.ports) {
        if (place.port == id) return &place;
    }
    return nullptr;
}

std::optional<LabelBox> LabelWriter::subject() const {
    const auto* place = suspect_place();
    if (place == nullptr) return std::nullopt;
    const auto p = pixel(place->at + glm::dvec3(seal_shift(place->seal), 0, 0));
    if (p.z <= 0) return std::nullopt;
    const double r = (close_up() ? 46 : 20) * px_;
    return LabelBox{p.x - r, p.y - r, p.x + r, p.y + r};
}

/// Labels keep off the crossing anywhere, off the rings of the shown stack in a close-up, and off the mouths of ports,
/// which are there to be clicked.
void LabelWriter::keep_off(std::vector<LabelBox>& obstacles) const {
    if (const auto box = subject()) obstacles.push_back(*box);
    if (const auto* stack = shown_stack(); close_up() && stack != nullptr) {
        for (const auto& ring : stack->rings) {
            LabelBox box{1e9, 1e9, -1e9, -1e9};
            for (const double a : {20.0, 55.0, 90.0, 125.0, 160.0}) {
                const auto p = pixel(at_ring(*stack, ring, stack->bore_radius, a));
                box = {std::min(box.x0, p.x), std::min(box.y0, p.y), std::max(box.x1, p.x), std::max(box.y1, p.y)};
            }
            obstacles.push_back(box);
        }
    }
    for (const auto& place : derived_.layout.ports) {
        const auto p = pixel(place.at + glm::dvec3(0, 0, -9));
        const auto rim = pixel(place.at + glm::dvec3(place.radius + 3, 0, -9));
        const double r = std::hypot(rim.x - p.x, rim.y - p.y);
        if (p.z > 0) obstacles.push_back({p.x - r, p.y - r * 0.7, p.x + r, p.y + r * 0.7});
    }
    // In a window the unit turns, and labels that gave way to the arrows would jump about.
    if (!derived_.air || close_up() || spec_.remembers) return;
    for (const auto* id : {&session_.document.air_into, &session_.document.came_out}) {
        const auto* place = port_place(*id);
        if (place == nullptr) continue;
        // The arrows before the mouth, in pieces, since they may run askew.
        const double mm = arrows_out * px_ * mm_per_pixel();
        constexpr int pieces = 4;
        for (int k = 0; k < pieces; ++k) {
            const auto a = pixel(place->at - glm::dvec3(0, 0, mm * k / pieces));
            const auto b = pixel(place->at - glm::dvec3(0, 0, mm * (k + 1) / pieces));
            if (a.z <= 0 || b.z <= 0) continue;
            const double r = 6 * px_;
            obstacles.push_back(
                {std::min(a.x, b.x) - r, std::min(a.y, b.y) - r, std::max(a.x, b.x) + r, std::max(a.y, b.y) + r});
        }
    }
}

void LabelWriter::label_suspect() {
    const auto* place = suspect_place();
    const auto* seal = model::find(map().seals, derived_.suspect);
    if (place == nullptr || seal == nullptr || !answered()) return;
    glm::dvec3 at = place->at + glm::dvec3(seal_shift(seal->id), 0, 0);
    if (seal->relation == model::Relation::stack) {
        for (const auto& stack : derived_.layout.stacks) {
            for (const auto& ring : stack.rings) {
                if (ring.seal == seal->id) at = at_ring(stack, ring, stack.bore_radius, 140);
            }
        }
    }
    const auto p = pixel(at);
    if (!within(p, 0)) return;
    // Where a good unit shows air too, nobody is accused.
    const auto& flows = derived_.answer->by_design;
    const bool by_design = std::any_of(flows.begin(), flows.end(),
                                       [](const auto& flow) { return flow.direction == diagnosis::Direction::asked; });
    const double chance = chance_of(derived_, map(), seal->id);
    const std::string accused = chance < 0.01 ? tr_("suspect") : filled(tr_("suspect {0:.0f} %"), 100 * chance);
    std::vector<TextLine> lines{{fonts_.title,
                                 fmt::format("{}  {}", seal->id, by_design ? tr_("air passes by design") : accused),
                                 colours_.suspect_ink}};
    if (const auto position = diagnosis::stack_position(map(), *seal)) {
        for (const auto& [nth, end] : {std::pair(position->nth_from_first_end, position->first_end),
                                       std::pair(position->nth_from_second_end, position->second_end)})
            lines.push_back(
                {fonts_.note, filled(tr_("{0} from the {1}"), tr_.ordinal(nth), tr_.map_word(end)), colours_.ink});
    } else {
        lines.push_back({fonts_.note, seal->name.empty() ? kind_words(tr_, *seal) : seal->name, colours_.ink});
    }
    auto away = close_up() ? seen_direction(at, {0, 0.25, 1}) : glm::normalize(glm::dvec2(0.5, 1));
    // Dimensions stand straight below the ring: its leader leaves to the side.
    if (session_.view.dimensions && close_up()) away = glm::normalize(away + glm::dvec2(-1.2, 0));
    Label& label = add(suspect_label, p, std::move(lines), away, 54, 260);
    label.suspect = label.plate = label.request.must = true;
}

/// The last point of the air's way, counted from one end, that still lies in the drawing.
std::optional<glm::dvec3> LabelWriter::seen_end(bool entry) const {
    if (!derived_.air || apart_.any()) return std::nullopt;
    auto points = derived_.air->points;
    if (!entry) std::reverse(points.begin(), points.end());
    for (std::size_t i = 0; i + 1 < points.size(); ++i) {
        for (int k = 0; k < 24; ++k) {
            const auto p = pixel(glm::mix(points[i], points[i + 1], k / 24.0));
            if (within(p, 34 * px_)) return p;
        }
    }
    return std::nullopt;
}

/// Pixel at which a port of the question is named: its mouth, or the last bit of the air's way that is in sight.
std::optional<glm::dvec3> LabelWriter::asked_anchor(const std::string& id, bool entry) const {
    const auto* place = id.empty() ? nullptr : port_place(id);
    if (place == nullptr) return std::nullopt;
    const auto p = pixel(place->at + glm::dvec3(0, 0, -9));
    return within(p, 4 * px_) ? p : seen_end(entry);
}

void LabelWriter::label_asked_ports() {
    const auto in = asked_anchor(session_.document.air_into, true);
    const auto out = asked_anchor(session_.document.came_out, false);
    const auto label = [&](const std::string& id, const std::optional<glm::dvec3>& at,
                           const std::optional<glm::dvec3>& other, const std::string& what) {
        if (!at) return;
        asked_.insert(id);
        const auto outwards = seen_direction(port_place(id)->at, {0, 0, -1});
        // Beside the arrows, on the side that is away from the other port's.
        glm::dvec2 beside(-outwards.y, outwards.x);
        const glm::dvec2 away = other ? glm::dvec2(*at) - glm::dvec2(*other) : glm::dvec2(-1, 0);
        if (glm::dot(beside, away) < 0) beside = -beside;
        add("port " + id, *at,
            {{fonts_.strong, port_title(map(), id), colours_.ink}, {fonts_.note, what, colours_.second_ink}},
            glm::normalize(outwards * 0.6 + beside), 26, 220)
            .plate = true;
    };
    label(session_.document.air_into, in, out, tr_("air goes in"));
    label(session_.document.came_out, out, in, answered() ? tr_("comes out") : "");
}

/// The tag of the circuit that the pointer traces, at every bend of its way that matters: mouth, groove, chamber.
void LabelWriter::label_trace() {
    const std::string traced = traced_circuit(map(), spec_.hover);
    if (traced.empty() || apart_.any()) return;
    const std::string name = circuit_words(tr_, map(), traced);
    int number = 0;
    const auto tag = [&](const glm::dvec3& at, const std::string& where) {
        const auto p = pixel(at);
        if (!within(p, 0)) return;
        ++number;
        add(fmt::format("trace {}", number), p,
            {{fonts_.strong, number == 1 ? name : model::circuit_tag(map(), traced), colours_.ink},
             {fonts_.note, where, colours_.second_ink}},
            seen_direction(at, {0, 0.4, 1}), 30, 220)
            .plate = true;
    };
    for (const auto& stack : derived_.layout.stacks) {
        for (const auto& annulus : stack.annuli) {
            if (annulus.circuit == traced)
                tag(at_carrier(stack, (annulus.x0 + annulus.x1) / 2, stack.carrier_radius, 100), tr_("groove"));
        }
    }
    for (const auto& clutch : derived_.layout.clutches) {
        if (clutch.circuit == traced)
            tag(clutch.axis + glm::dvec3((clutch.chamber_x0 + clutch.chamber_x1) / 2, 0,
                                         (clutch.piston_inner + clutch.piston_outer) / 2),
                tr_("chamber"));
    }
    for (const auto& servo : derived_.layout.servos) {
        if (servo.apply == traced) tag(glm::mix(servo.inner, servo.outer, 0.78), tr_("servo, apply"));
        if (servo.release == traced) tag(glm::mix(servo.inner, servo.outer, 0.27), tr_("servo, release"));
    }
}

void LabelWriter::label_stack_ends() {
    const auto* place = shown_stack();
    if (place == nullptr || session_.view.viewpoint == Viewpoint::follow) return;
    if (!close_up() && derived_.suspect.empty()) return;
    const auto* stack = model::find(map().stacks, place->stack);
    if (stack == nullptr || place->rings.empty()) return;
    const double first = place->rings.front().x, last = place->rings.back().x;
    const double away = first < last ? -1 : 1;
    const auto end = [&](const model::RingPlace& ring, double direction, const std::string& name, bool towards_engine) {
        auto at = at_ring(*place, ring, place->carrier_radius, 140);
        at.x += direction * 14;
        const auto p = pixel(at);
        if (!within(p, 0)) return;
        const auto out = seen_direction(at, {direction, 0, 0});
        add("end " + name, p,
            {{fonts_.body, end_with_lie(tr_, name, session_.view.lying, towards_engine), colours_.second_ink}},
            glm::normalize(out * 0.8 + seen_direction(at, {0, 0, 1})), 30, 220)
            .plate = true;
    };
    end(place->rings.front(), away, stack->first_end, away < 0);
    end(place->rings.back(), -away, stack->second_end, away > 0);
}

/// Each ring says where it sits, counted from both ends: in words where there is room, else as two ordinals.
void LabelWriter::label_rings() {
    const auto* stack = shown_stack();
    if (!close_up() || stack == nullptr || stack->rings.empty()) return;
    double spacing = 1e9;
    for (std::size_t i = 0; i + 1 < stack->rings.size(); ++i) {
        const auto a = pixel(at_ring(*stack, stack->rings[i], stack->bore_radius, 146));
        const auto b = pixel(at_ring(*stack, stack->rings[i + 1], stack->bore_radius, 146));
        spacing = std::min(spacing, std::hypot(a.x - b.x, a.y - b.y));
    }
    for (const auto& ring : stack->rings) {
        if (ring.seal == derived_.suspect) continue;
        const auto at = at_ring(*stack, ring, stack->bore_radius, 146);
        const auto p = pixel(at);
        if (!within(p, 0)) continue;
        std::vector<TextLine> lines{{fonts_.strong, with_chance(ring.seal), colours_.ink}};
        const auto* seal = model::find(map().seals, ring.seal);
        const auto position = seal == nullptr ? std::nullopt : diagnosis::stack_position(map(), *seal);
        if (position) {
            std::vector<TextLine> words;
            for (const auto& [nth, end] : {std::pair(position->nth_from_first_end, position->first_end),
                                           std::pair(position->nth_from_second_end, position->second_end)})
                words.push_back({fonts_.note, filled(tr_("{0} from {1}"), tr_.ordinal(nth), tr_.map_word(end)),
                                 colours_.second_ink});
            if (block_size(words).x + 8 * px_ > spacing)
                words = {{fonts_.note,
                          fmt::format("{} · {}", tr_.ordinal(position->nth_from_first_end),
                                      tr_.ordinal(position->nth_from_second_end)),
                          colours_.second_ink}};
            lines.insert(lines.end(), words.begin(), words.end());
        }
        add("ring " + ring.seal, p, std::move(lines), seen_direction(at, {0, 0.25, 1}), 40, 200).plate = true;
        add_chance(ring.seal);
    }
}

/// Likely seals outside the shown stack: they carry their chance wherever they are in sight.
void LabelWriter::label_chances() {
    const auto* stack = close_up() ? shown_stack() : nullptr;
    for (const auto& place : derived_.layout.seals) {
        if (place.seal == derived_.suspect || chance_of(derived_, map(), place.seal) < least_chance_shown) continue;
        const bool labelled = stack != nullptr && std::any_of(stack->rings.begin(), stack->rings.end(),
                                                              [&](const auto& r) { return r.seal == place.seal; });
        const auto at = place.at + glm::dvec3(seal_shift(place.seal), 0, 0);
        const auto p = pixel(at);
        if (labelled || !within(p, 0)) continue;
        add("seal " + place.seal, p, {{fonts_.strong, with_chance(place.seal), colours_.ink}},
            seen_direction(at, {0, 0.3, 1}), 30, 160)
            .plate = true;
        add_chance(place.seal);
    }
}

/// Taken apart, the parts have their names, those that come off first having the first choice of place.
void LabelWriter::label_parts() {
    if (apart_.share() < names_parts_from || close_up()) return;
    bool above = true;
    const auto name = [&](const std::string& key, const glm::dvec3& top, const glm::dvec3& bottom,
                          const std::string& words) {
        // By turns above and below, so that a long row has twice the room.
        const auto a = pixel(top), b = pixel(bottom);
        const auto& p = (a.y < b.y) == above ? a : b;
        const auto& other = (a.y < b.y) == above ? b : a;
        above = !above;
        if (!within(p, 0)) return;
        const glm::dvec2 away(p.x - other.x, p.y - other.y);
        add(key, p, {{fonts_.body, words, colours_.ink}},
            glm::length(away) > 1 ? glm::normalize(away) : glm::dvec2(0, -1), 26, 240)
            .plate = true;
    };
    for (std::size_t n = 0; n < derived_.explosion.order.size(); ++n) {
        const auto& id = derived_.explosion.order[n];
        if (!apart_.leaves(n)) continue;
        const auto* part = model::find(map().parts, id);
        const auto place = std::find_if(derived_.layout.parts.begin(), derived_.layout.parts.end(),
                                        [&](const auto& p) { return p.part == id; });
        if (part == nullptr || derived_.explosion.parts.count(id) == 0) continue;
        double x = 0, radius = 0;
        glm::dvec3 axis{0};
        if (place != derived_.layout.parts.end()) {
            x = (place->x0 + place->x1) / 2, radius = place->outer_radius, axis = place->axis;
        } else if (const auto drum = std::find_if(derived_.layout.drums.begin(), derived_.layout.drums.end(),
                                                  [&](const auto& d) { return d.part == id; });
                   drum != derived_.layout.drums.end()) {
            x = (drum->x0 + drum->x1) / 2, radius = drum->outer_radius, axis = drum->axis;
        } else if (const auto band = std::find_if(derived_.layout.bands.begin(), derived_.layout.bands.end(),
                                                  [&](const auto& b) { return b.part == id; });
                   band != derived_.layout.bands.end()) {
            x = (band->x0 + band->x1) / 2, radius = band->radius, axis = band->axis;
        } else {
            continue;
        }
        x += apart_.shift_mm(derived_.explosion.parts, id);
        name("part " + id, axis + glm::dvec3(x, 0, -radius), axis + glm::dvec3(x, 0, radius),
             part->name.empty() ? id : tr_.map_word(part->name));
    }
    for (const auto& stack : derived_.layout.stacks) {
        if (stack.rings.empty()) continue;
        const auto& first = stack.rings.front();
        const std::string rings =
            stack.rings.size() > 1 ? filled(tr_("{0} to {1}"), first.seal, stack.rings.back().seal) : first.seal;
        const auto& middle = stack.rings[stack.rings.size() / 2];
        name("rings " + stack.stack, at_ring(stack, middle, stack.bore_radius, 0),
             at_ring(stack, middle, stack.bore_radius, 180), rings);
    }
}

/// Pixels from port to port along their row: where they stand close, a port shows its id alone.
bool LabelWriter::ports_stand_close() const {
    double least = 1e9;
    const auto& ports = derived_.layout.ports;
    for (std::size_t i = 0; i < ports.size(); ++i) {
        for (std::size_t j = 0; j < i; ++j) {
            const auto a = pixel(ports[i].at), b = pixel(ports[j].at);
            least = std::min(least, std::hypot(a.x - b.x, a.y - b.y));
        }
    }
    return ports.size() > 6 && least < 64 * px_;
}

void LabelWriter::label_ports() {
    if (close_up() || apart_.share() >= names_parts_from) return;
    const bool quiet = answered(), short_names = quiet || ports_stand_close();
    double middle_y = 0; // the rows to both sides of the middle are named on their own sides
    for (const auto& place : derived_.layout.ports) {
        middle_y += place.at.y / static_cast<double>(derived_.layout.ports.size());
    }
    for (const auto& place : derived_.layout.ports) {
        const auto p = pixel(place.at + glm::dvec3(0, 0, -9));
        const auto* port = model::find(map().ports, place.port);
        if (asked_.contains(place.port) || !within(p, 0) || port == nullptr) continue;
        if (!session_.view.alone.empty() && faded_circuit(port->circuit)) continue;
        std::vector<TextLine> lines{
            {quiet ? fonts_.note : fonts_.strong, place.port, quiet ? colours_.second_ink : colours_.ink}};
        if (!short_names || !session_.view.alone.empty())
            lines.push_back({fonts_.note, model::port_label(map(), *port), colours_.second_ink});
        const auto across = seen_direction(place.at, {0, place.at.y >= middle_y ? 1.0 : -1.0, 0});
        const auto upwards = seen_direction(place.at, {0, 0, -1.0});
        add("port " + place.port, p, std::move(lines), glm::normalize(across + upwards * (across.y > 0 ? 0.2 : 0.9)),
            18, 200)
            .plate = true;
    }
}

} // namespace ringland::viewer
