#include "overlay.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <glm/geometric.hpp>
#include <imgui.h>

#include "../app/colours.h"
#include "../app/labels.h"
#include "theme.h"
#include "words.h"

namespace ringland::viewer {

namespace {

using std::numbers::pi;

struct TextLine {
    ImFont* font;
    std::string text;
    ImVec4 ink;
};

/// One label: its lines, where it points, and whether its leader is the heavy one of the suspect.
struct Label {
    LabelRequest request;
    std::vector<TextLine> lines;
    bool suspect = false;
    double chance = 0;  ///< of a seal after the readings: drawn as a bar below the lines
    bool plate = false; ///< on a plate of the panel's colour, since it stands over busy drawing
};

class Overlay {
public:
    Overlay(ImDrawList* list, const OverlayFonts& fonts, const Session& session, const Derived& derived,
            const OverlaySpec& spec)
        : list_(list), fonts_(fonts), session_(session), derived_(derived), spec_(spec),
          colours_(colours_of(session.view.theme)), camera_(camera_at(session.view.flight, spec.now_s)),
          px_(spec.pixels_per_point) {}

    void draw() {
        if (spec_.title) draw_title();
        if (spec_.labels) draw_labels();
        if (spec_.legend) draw_legend();
    }

private:
    void draw_labels() {
        collect();
        std::stable_sort(labels_.begin(), labels_.end(),
                         [](const Label& a, const Label& b) { return a.suspect && !b.suspect; });
        std::vector<LabelRequest> requests;
        for (const auto& label : labels_)
            requests.push_back(label.request);
        const auto places = place_labels(requests, bounds(), obstacles_);
        for (std::size_t i = 0; i < labels_.size(); ++i) {
            if (places[i].shown) draw_leader(labels_[i], places[i]);
        }
        for (std::size_t i = 0; i < labels_.size(); ++i) {
            if (places[i].shown) draw_text(labels_[i], places[i]);
        }
        draw_engine_mark();
    }

    [[nodiscard]] const model::UnitMap& map() const { return session_.document.map; }
    [[nodiscard]] ImU32 packed(const ImVec4& c, float alpha = 1) const {
        return ImGui::ColorConvertFloat4ToU32(faded(c, alpha));
    }
    [[nodiscard]] glm::dvec3 pixel(const glm::dvec3& p) const {
        return project(p, camera_, session_.view.lying, spec_.drawing);
    }
    [[nodiscard]] bool answered() const { return derived_.answer.has_value(); }
    [[nodiscard]] bool close_up() const { return session_.view.viewpoint == Viewpoint::stack; }

    [[nodiscard]] LabelBox bounds() const {
        const double m = 10 * px_;
        return {spec_.drawing.x + m, spec_.drawing.y + m, spec_.drawing.x + spec_.drawing.width - m,
                spec_.drawing.y + spec_.drawing.height - m};
    }
    [[nodiscard]] bool within(const glm::dvec3& p, double margin) const {
        const auto b = bounds();
        return p.z > 0 && p.x > b.x0 + margin && p.x < b.x1 - margin && p.y > b.y0 + margin && p.y < b.y1 - margin;
    }

    [[nodiscard]] static glm::dvec2 text_size(const TextLine& line) {
        const ImVec2 s = line.font->CalcTextSizeA(line.font->FontSize, 1e6F, 0, line.text.c_str());
        return {s.x, s.y};
    }
    [[nodiscard]] glm::dvec2 block_size(const std::vector<TextLine>& lines) const {
        glm::dvec2 size(0);
        for (const auto& line : lines) {
            const auto s = text_size(line);
            size.x = std::max(size.x, s.x);
            size.y += s.y + 1 * px_;
        }
        return size + glm::dvec2(12, 6) * px_;
    }

    void add(const glm::dvec3& anchor, std::vector<TextLine> lines, glm::dvec2 prefer, double least, double most,
             bool suspect = false, bool plate = false) {
        Label label;
        label.request.anchor = {anchor.x, anchor.y};
        label.request.size = block_size(lines);
        label.request.prefer = prefer;
        label.request.least_distance = least * px_;
        label.request.most_distance = most * px_;
        label.request.must = suspect;
        label.lines = std::move(lines);
        label.suspect = suspect;
        label.plate = plate;
        labels_.push_back(std::move(label));
    }

    void collect() {
        keep_off_suspect();
        keep_off_ports();
        label_suspect();
        label_asked_ports();
        label_stack_ends();
        label_annuli();
        label_rings();
        label_chances();
        label_ports();
    }

    /// "R3  62 %" and its bar, for a seal that the readings make likely.
    [[nodiscard]] std::string with_chance(const std::string& seal) const {
        const double chance = chance_of(derived_, map(), seal);
        return chance < least_chance_shown ? seal : fmt::format("{}  {:.0f} %", seal, 100 * chance);
    }
    /// Adds the bar to the label that was added last.
    void add_chance(const std::string& seal) {
        const double chance = chance_of(derived_, map(), seal);
        if (chance < least_chance_shown) return;
        labels_.back().chance = chance;
        labels_.back().request.size.y += 9 * px_;
    }
    /// Likely seals outside the shown stack: they carry their chance wherever they are in sight.
    void label_chances() {
        const auto* stack = close_up() ? shown_stack() : nullptr;
        for (const auto& place : derived_.layout.seals) {
            if (place.seal == derived_.suspect || chance_of(derived_, map(), place.seal) < least_chance_shown) continue;
            const bool labelled = stack != nullptr && std::any_of(stack->rings.begin(), stack->rings.end(),
                                                                  [&](const auto& r) { return r.seal == place.seal; });
            const auto p = pixel(place.at);
            if (labelled || !within(p, 0)) continue;
            add(p, {{fonts_.strong, with_chance(place.seal), colours_.ink}}, seen_direction(place.at, {0, 0.3, 1}), 30,
                160, false, true);
            add_chance(place.seal);
        }
    }

    [[nodiscard]] const model::StackPlace* shown_stack() const {
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
    [[nodiscard]] const model::SealPlace* suspect_place() const {
        for (const auto& place : derived_.layout.seals) {
            if (place.seal == derived_.suspect) return &place;
        }
        return nullptr;
    }
    [[nodiscard]] const model::PortPlace* port_place(const std::string& id) const {
        for (const auto& place : derived_.layout.ports) {
            if (place.port == id) return &place;
        }
        return nullptr;
    }

    /// Labels keep off the rings and annuli of the shown stack in a close-up, and off the crossing anywhere.
    void keep_off_suspect() {
        const auto* place = suspect_place();
        if (place != nullptr) {
            const auto p = pixel(place->at);
            const double r = (close_up() ? 46 : 20) * px_;
            obstacles_.push_back({p.x - r, p.y - r, p.x + r, p.y + r});
        }
        const auto* stack = shown_stack();
        if (!close_up() || stack == nullptr) return;
        for (const auto& ring : stack->rings) {
            LabelBox box{1e9, 1e9, -1e9, -1e9};
            for (const double a : {20.0, 55.0, 90.0, 125.0, 160.0}) {
                const auto p = pixel(at_stack(*stack, ring.x, stack->bore_radius, a * pi / 180));
                box = {std::min(box.x0, p.x), std::min(box.y0, p.y), std::max(box.x1, p.x), std::max(box.y1, p.y)};
            }
            obstacles_.push_back(box);
        }
    }
    [[nodiscard]] static glm::dvec3 at_stack(const model::StackPlace& stack, double x, double r, double angle) {
        return stack.axis + glm::dvec3(x, r * std::sin(angle), -r * std::cos(angle));
    }
    /// Pixel direction in which a direction of unit space points at a place.
    [[nodiscard]] glm::dvec2 seen_direction(const glm::dvec3& at, const glm::dvec3& direction) const {
        const auto a = pixel(at), b = pixel(at + direction);
        const glm::dvec2 d(b.x - a.x, b.y - a.y);
        return glm::length(d) > 1e-6 ? glm::normalize(d) : glm::dvec2(0, 1);
    }

    /// "suspect", with its chance where readings have been weighed.
    [[nodiscard]] std::string suspect_word(const std::string& seal) const {
        const double chance = chance_of(derived_, map(), seal);
        return chance < 0.01 ? "suspect" : fmt::format("suspect {:.0f} %", 100 * chance);
    }

    void label_suspect() {
        const auto* place = suspect_place();
        const auto* seal = model::find(map().seals, derived_.suspect);
        if (place == nullptr || seal == nullptr || !answered()) return;
        glm::dvec3 at = place->at;
        if (seal->relation == model::Relation::stack) {
            for (const auto& stack : derived_.layout.stacks) {
                for (const auto& ring : stack.rings) {
                    if (ring.seal == seal->id) at = at_stack(stack, ring.x, stack.bore_radius, 140 * pi / 180);
                }
            }
        }
        const auto p = pixel(at);
        if (!within(p, 0)) return;
        // Where a good unit shows air too, nobody is accused.
        const auto& flows = derived_.answer->by_design;
        const bool by_design = std::any_of(
            flows.begin(), flows.end(), [](const auto& flow) { return flow.direction == diagnosis::Direction::asked; });
        std::vector<TextLine> lines{
            {fonts_.title, fmt::format("{}  {}", seal->id, by_design ? "air passes by design" : suspect_word(seal->id)),
             colours_.suspect_ink}};
        if (const auto position = diagnosis::stack_position(map(), *seal)) {
            lines.push_back(
                {fonts_.note,
                 fmt::format("{} from the {}", diagnosis::ordinal(position->nth_from_first_end), position->first_end),
                 colours_.ink});
            lines.push_back(
                {fonts_.note,
                 fmt::format("{} from the {}", diagnosis::ordinal(position->nth_from_second_end), position->second_end),
                 colours_.ink});
        } else {
            lines.push_back({fonts_.note, seal->name.empty() ? kind_words(*seal) : seal->name, colours_.ink});
        }
        const auto away = close_up() ? seen_direction(at, {0, 0.25, 1}) : glm::normalize(glm::dvec2(0.5, 1));
        add(p, std::move(lines), away, 54, 260, true, true);
    }

    /// The last point of the air's way, counted from one end, that still lies in the drawing.
    [[nodiscard]] std::optional<glm::dvec3> seen_end(bool entry) const {
        if (!derived_.air) return std::nullopt;
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

    /// Port mouths must stay in sight where they are to be clicked.
    void keep_off_ports() {
        for (const auto& place : derived_.layout.ports) {
            const auto p = pixel(place.at + glm::dvec3(0, 0, -9));
            const auto rim = pixel(place.at + glm::dvec3(place.radius + 3, 0, -9));
            const double r = std::hypot(rim.x - p.x, rim.y - p.y);
            if (p.z > 0) obstacles_.push_back({p.x - r, p.y - r * 0.7, p.x + r, p.y + r * 0.7});
        }
    }

    /// Pixel at which a port of the question is named: its mouth, or the last bit of the air's way that is in sight.
    [[nodiscard]] std::optional<glm::dvec3> asked_anchor(const std::string& id, bool entry) const {
        const auto* place = id.empty() ? nullptr : port_place(id);
        if (place == nullptr) return std::nullopt;
        const auto p = pixel(place->at + glm::dvec3(0, 0, -9));
        return within(p, 4 * px_) ? p : seen_end(entry);
    }

    void label_asked_ports() {
        const auto in = asked_anchor(session_.document.air_into, true);
        const auto out = asked_anchor(session_.document.came_out, false);
        const auto label = [&](const std::string& id, const std::optional<glm::dvec3>& at, const char* what,
                               double side) {
            if (!at) return;
            asked_.insert(id);
            const auto outwards = seen_direction(port_place(id)->at, {0, 0, -1});
            add(*at, {{fonts_.strong, port_title(map(), id), colours_.ink}, {fonts_.note, what, colours_.second_ink}},
                glm::normalize(outwards * 0.6 + glm::dvec2(side, 0)), 26, 170, false, true);
        };
        const double side = in && out && in->x > out->x ? 1 : -1;
        label(session_.document.air_into, in, "air goes in", side);
        label(session_.document.came_out, out, answered() ? "comes out" : "", -side);
    }

    void label_stack_ends() {
        const auto* place = shown_stack();
        if (place == nullptr || session_.view.viewpoint == Viewpoint::follow) return;
        if (!close_up() && derived_.suspect.empty()) return;
        const auto* stack = model::find(map().stacks, place->stack);
        if (stack == nullptr || place->rings.empty()) return;
        const double first = place->rings.front().x, last = place->rings.back().x;
        const double away = first < last ? -1 : 1;
        const auto end = [&](double x, double direction, const std::string& name, bool towards_engine) {
            const auto p = pixel(at_stack(*place, x + direction * 14, place->carrier_radius, 140 * pi / 180));
            if (!within(p, 0)) return;
            const auto out = seen_direction(place->axis + glm::dvec3(x, 0, 0), {direction, 0, 0});
            add(p, {{fonts_.body, end_with_lie(name, session_.view.lying, towards_engine), colours_.second_ink}},
                glm::normalize(out * 0.8 + seen_direction(place->axis, {0, 0, 1})), 30, 190, false, close_up());
        };
        end(first, away, stack->first_end, away < 0);
        end(last, -away, stack->second_end, away > 0);
    }

    /// The tag of each circuit is printed on its annulus, when there is room for it.
    void label_annuli() {
        if (!session_.view.section || session_.view.viewpoint == Viewpoint::follow) return;
        for (const auto& stack : derived_.layout.stacks) {
            for (const auto& annulus : stack.annuli) {
                const double middle = (annulus.x0 + annulus.x1) / 2;
                const auto p = pixel(at_stack(stack, middle, stack.carrier_radius, 120 * pi / 180));
                const auto a = pixel(at_stack(stack, annulus.x0, stack.carrier_radius, 120 * pi / 180));
                const auto b = pixel(at_stack(stack, annulus.x1, stack.carrier_radius, 120 * pi / 180));
                const double width = std::hypot(b.x - a.x, b.y - a.y);
                TextLine line{fonts_.strong, model::circuit_tag(map(), annulus.circuit), {}};
                auto size = text_size(line);
                if (!within(p, 0) || width < size.x * 1.1) continue;
                auto ground = colour(circuit_colour(map(), annulus.circuit).colour);
                // What is no part of the question is pale in the drawing.
                if (faded_circuit(annulus.circuit)) ground = mix(ground, colours_.panel, 0.6F);
                list_->AddText(line.font, line.font->FontSize,
                               {static_cast<float>(p.x - size.x / 2), static_cast<float>(p.y - size.y / 2)},
                               packed(ink_on(ground), faded_circuit(annulus.circuit) ? 0.75F : 1.0F),
                               line.text.c_str());
            }
        }
    }
    [[nodiscard]] bool faded_circuit(const std::string& id) const {
        return answered() && id != derived_.answer->from.circuit && id != derived_.answer->to.circuit;
    }

    void label_rings() {
        const auto* stack = shown_stack();
        if (!close_up() || stack == nullptr) return;
        for (const auto& ring : stack->rings) {
            if (ring.seal == derived_.suspect) continue;
            const auto at = at_stack(*stack, ring.x, stack->bore_radius, 146 * pi / 180);
            const auto p = pixel(at);
            if (!within(p, 0)) continue;
            add(p, {{fonts_.strong, with_chance(ring.seal), colours_.ink}}, seen_direction(at, {0, 0.25, 1}), 40, 120,
                false, true);
            add_chance(ring.seal);
        }
    }

    /// Pixels from port to port along their row: where they stand close, a port shows its id alone.
    [[nodiscard]] bool ports_stand_close() const {
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

    void label_ports() {
        if (close_up()) return;
        const bool quiet = answered(), short_names = quiet || ports_stand_close();
        double middle_y = 0; // the rows to both sides of the middle are named on their own sides
        for (const auto& place : derived_.layout.ports) {
            middle_y += place.at.y / static_cast<double>(derived_.layout.ports.size());
        }
        for (const auto& place : derived_.layout.ports) {
            const auto p = pixel(place.at + glm::dvec3(0, 0, -9));
            if (asked_.contains(place.port) || !within(p, 0)) continue;
            std::vector<TextLine> lines{
                {quiet ? fonts_.note : fonts_.strong, place.port, quiet ? colours_.second_ink : colours_.ink}};
            const auto* port = model::find(map().ports, place.port);
            if (!short_names && port != nullptr) {
                lines.push_back({fonts_.note, model::port_label(map(), *port), colours_.second_ink});
            }
            const auto across = seen_direction(place.at, {0, place.at.y >= middle_y ? 1.0 : -1.0, 0});
            const auto upwards = seen_direction(place.at, {0, 0, -1.0});
            add(p, std::move(lines), glm::normalize(across + upwards * (across.y > 0 ? 0.2 : 0.9)), 18, 200, false,
                !quiet);
        }
    }

    void draw_leader(const Label& label, const LabelPlace& place) {
        const auto ink = label.suspect ? packed(colours_.suspect) : packed(colours_.ink, 0.75F);
        const float width = static_cast<float>((label.suspect ? 2.0 : 1.0) * px_);
        const ImVec2 from(static_cast<float>(label.request.anchor.x), static_cast<float>(label.request.anchor.y));
        const ImVec2 to(static_cast<float>(place.joint.x), static_cast<float>(place.joint.y));
        list_->AddLine(from, to, ink, width);
        list_->AddCircleFilled(from, static_cast<float>((label.suspect ? 4.0 : 2.6) * px_), ink, 16);
    }

    void draw_text(const Label& label, const LabelPlace& place) {
        const ImVec2 low(static_cast<float>(place.box.x0), static_cast<float>(place.box.y0));
        const ImVec2 high(static_cast<float>(place.box.x1), static_cast<float>(place.box.y1));
        const float corner = static_cast<float>(4 * px_);
        if (label.plate || spec_.plates) {
            list_->AddRectFilled(low, high, packed(colours_.panel, 0.88F), corner);
            if (label.suspect)
                list_->AddRect(low, high, packed(colours_.suspect), corner, 0, static_cast<float>(1.5 * px_));
        }
        double y = place.box.y0 + 3 * px_;
        for (const auto& line : label.lines) {
            list_->AddText(line.font, line.font->FontSize,
                           {static_cast<float>(place.box.x0 + 6 * px_), static_cast<float>(y)}, packed(line.ink),
                           line.text.c_str());
            y += text_size(line).y + 1 * px_;
        }
        if (label.chance <= 0) return;
        const double left = place.box.x0 + 6 * px_, right = place.box.x1 - 6 * px_;
        const auto bar = [&](double to, ImU32 ink) {
            list_->AddRectFilled({static_cast<float>(left), static_cast<float>(y + 1 * px_)},
                                 {static_cast<float>(left + (right - left) * to), static_cast<float>(y + 7 * px_)}, ink,
                                 static_cast<float>(2 * px_));
        };
        bar(1, packed(colours_.rule));
        bar(label.chance, packed(colours_.suspect));
    }

    /// A fixed mark in the corner: which way the engine end points now.
    void draw_engine_mark() {
        const auto b = bounds();
        const glm::dvec3 middle = (derived_.layout.low + derived_.layout.high) * 0.5;
        const auto towards = seen_direction(middle, {-1, 0, 0});
        const double r = 22 * px_;
        const glm::dvec2 c(b.x1 - 58 * px_, b.y1 - 52 * px_);
        const auto at = [&](double along, double across) {
            const glm::dvec2 side(-towards.y, towards.x);
            const auto p = c + towards * along * r + side * across * r;
            return ImVec2(static_cast<float>(p.x), static_cast<float>(p.y));
        };
        plate({c.x - 1.9 * r, c.y - 1.25 * r, b.x1, c.y + r * 1.15 + 18 * px_});
        const auto ink = packed(colours_.ink);
        list_->AddLine(at(-1, 0), at(0.55, 0), ink, static_cast<float>(2 * px_));
        list_->AddTriangleFilled(at(1.0, 0), at(0.45, 0.3), at(0.45, -0.3), ink);
        list_->AddLine(at(1.08, 0.55), at(1.08, -0.55), ink, static_cast<float>(4 * px_));
        const TextLine words{fonts_.note, "engine end", colours_.second_ink};
        const auto size = text_size(words);
        list_->AddText(
            words.font, words.font->FontSize,
            {static_cast<float>(std::min(c.x - size.x / 2, b.x1 - size.x)), static_cast<float>(c.y + r * 1.15)},
            packed(words.ink), words.text.c_str());
        obstacles_.push_back({c.x - 2 * r, c.y - 1.3 * r, b.x1, b.y1});
    }

    void write(ImFont* font, double x, double y, const ImVec4& ink, const std::string& text) {
        list_->AddText(font, font->FontSize, {static_cast<float>(x), static_cast<float>(y)}, packed(ink), text.c_str());
    }

    /// A plate of the panel's colour behind words that stand over the drawing.
    void plate(const LabelBox& box) {
        list_->AddRectFilled({static_cast<float>(box.x0), static_cast<float>(box.y0)},
                             {static_cast<float>(box.x1), static_cast<float>(box.y1)}, packed(colours_.panel, 0.86F),
                             static_cast<float>(6 * px_));
    }

    void draw_title() {
        const auto b = bounds();
        const double x = b.x0 + 22 * px_;
        std::vector<TextLine> lines;
        const auto line = [&](ImFont* font, const ImVec4& ink, const std::string& text) {
            lines.push_back({font, text, ink});
        };
        const auto* seal = model::find(map().seals, derived_.suspect);
        if (answered() && seal != nullptr) {
            const auto& seals = derived_.answer->seals;
            const auto it = std::find_if(seals.begin(), seals.end(), [&](const auto& d) { return d.seal == seal->id; });
            if (it != seals.end()) {
                line(fonts_.answer, colours_.ink, diagnosis::headline(map(), *it));
                line(fonts_.body, colours_.second_ink, place_words(map(), *seal, session_.view.lying));
            }
            line(fonts_.strong, colours_.ink,
                 fmt::format("divides {} from {}", model::circuit_name(map(), seal->between[0]),
                             model::circuit_name(map(), seal->between[1])));
            line(fonts_.note, colours_.second_ink, map().unit.name);
        } else {
            line(fonts_.answer, colours_.ink, map().unit.name);
            line(fonts_.body, colours_.second_ink,
                 fmt::format("{} ports, {} seals, lying {}", map().ports.size(), map().seals.size(),
                             lying_words(session_.view.lying)));
        }
        double widest = 0, y = b.y0 + 14 * px_;
        for (const auto& l : lines)
            widest = std::max(widest, text_size(l).x), y += text_size(l).y + 5 * px_;
        const LabelBox box{b.x0 + 6 * px_, b.y0 + 4 * px_, x + widest + 18 * px_, y + 6 * px_};
        plate(box);
        y = b.y0 + 14 * px_;
        for (const auto& l : lines) {
            write(l.font, x, y, l.ink, l.text);
            y += text_size(l).y + 5 * px_;
        }
        obstacles_.push_back(box);
    }

    void draw_legend() {
        const auto b = bounds();
        std::vector<std::string> shown;
        for (const auto& circuit : map().circuits) {
            if (circuit.kind == model::CircuitKind::sump) continue;
            if (!answered() || !faded_circuit(circuit.id)) shown.push_back(circuit.id);
        }
        const double row = 26 * px_, right = b.x1 - 130 * px_;
        struct Cell {
            double x, line;
            std::string id, name;
        };
        std::vector<Cell> cells;
        double x = b.x0 + 22 * px_, lines = 0;
        for (const auto& id : shown) {
            const auto name = model::circuit_name(map(), id);
            const double width = 34 * px_ + text_size({fonts_.body, name, {}}).x + 22 * px_;
            if (x + width > right && x > b.x0 + 23 * px_) x = b.x0 + 22 * px_, lines += 1;
            cells.push_back({x, lines, id, name});
            x += width;
        }
        const double note_y = b.y1 - 24 * px_, top = note_y - 12 * px_ - (lines + 1) * row;
        std::string note = map().unit.invented ? "Demo unit, invented. " : "";
        note += "Clearances drawn larger than they are. The maker's service information decides.";
        double widest = text_size({fonts_.note, note, {}}).x;
        for (const auto& cell : cells)
            widest = std::max(widest, cell.x - b.x0 - 22 * px_ + 34 * px_ + text_size({fonts_.body, cell.name, {}}).x);
        plate({b.x0 + 6 * px_, top - 12 * px_, b.x0 + 22 * px_ + widest + 14 * px_, b.y1});
        for (const auto& cell : cells) {
            const double y = top + cell.line * row;
            const auto c = circuit_colour(map(), cell.id);
            const ImVec2 low(static_cast<float>(cell.x), static_cast<float>(y)),
                high(static_cast<float>(cell.x + 24 * px_), static_cast<float>(y + 16 * px_));
            list_->AddRectFilled(low, high, packed(colour(c.colour)), static_cast<float>(2 * px_));
            if (c.dashed) {
                for (float sx = low.x + static_cast<float>(4 * px_); sx < high.x; sx += static_cast<float>(6 * px_)) {
                    list_->AddLine({sx, low.y}, {sx, high.y}, packed(colours_.ink, 0.7F),
                                   static_cast<float>(1.2 * px_));
                }
            }
            list_->AddRect(low, high, packed(colours_.ink), static_cast<float>(2 * px_), 0,
                           static_cast<float>(1 * px_));
            write(fonts_.body, cell.x + 32 * px_, y - 2 * px_, colours_.ink, cell.name);
        }
        write(fonts_.note, b.x0 + 22 * px_, note_y, colours_.second_ink, note);
    }

    ImDrawList* list_;
    const OverlayFonts& fonts_;
    const Session& session_;
    const Derived& derived_;
    const OverlaySpec& spec_;
    Colours colours_;
    Camera camera_;
    double px_;
    std::vector<Label> labels_;
    std::vector<LabelBox> obstacles_;
    std::set<std::string> asked_;
};

} // namespace

void draw_overlay(ImDrawList* list, const OverlayFonts& fonts, const Session& session, const Derived& derived,
                  const OverlaySpec& spec) {
    Overlay(list, fonts, session, derived, spec).draw();
}

} // namespace ringland::viewer
