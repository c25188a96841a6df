#include "overlay.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <glm/geometric.hpp>
#include <imgui.h>

#include "../app/colours.h"
#include "../app/labels.h"
#include "dimensions.h"
#include "label_writer.h"
#include "theme.h"
#include "words.h"

namespace ringland::viewer {

namespace {

class Overlay {
public:
    Overlay(ImDrawList* list, const OverlayFonts& fonts, const Session& session, const Derived& derived,
            const OverlaySpec& spec, const Translator& tr)
        : list_(list), fonts_(fonts), session_(session), derived_(derived), spec_(spec), tr_(tr),
          colours_(colours_of(session.view.theme)), px_(spec.pixels_per_point),
          writer_(fonts, session, derived, spec, tr) {}

    std::vector<PlacedLabel> draw(LabelMemory* memory, std::vector<LabelBox>* standing) {
        // What stands still first: labels keep off it.
        if (spec_.title) draw_title();
        if (spec_.legend) draw_legend();
        if (spec_.labels) draw_engine_mark();
        if (standing != nullptr) *standing = obstacles_;
        if (spec_.labels) draw_labels(memory);
        return std::move(placed_);
    }

private:
    void draw_labels(LabelMemory* memory) {
        print_tags();
        if (session_.view.dimensions) draw_dimensions(list_, fonts_, session_, derived_, writer_, px_, obstacles_);
        const auto labels = writer_.write(obstacles_);
        std::vector<LabelRequest> requests;
        for (const auto& label : labels)
            requests.push_back(label.request);
        const auto places = place_labels(requests, writer_.bounds(), obstacles_, memory);
        for (std::size_t i = 0; i < labels.size(); ++i) {
            if (places[i].shown) draw_leader(labels[i], places[i]);
        }
        for (std::size_t i = 0; i < labels.size(); ++i) {
            if (places[i].shown) draw_text(labels[i], places[i]);
            placed_.push_back({labels[i].request.key, places[i], labels[i].request.anchor});
        }
    }

    [[nodiscard]] ImU32 packed(const ImVec4& c, float alpha = 1) const { return u32(faded(c, alpha)); }

    /// The tag of each circuit is printed on its annulus, when there is room for it.
    void print_tags() {
        if (!session_.view.section || session_.view.viewpoint == Viewpoint::follow) return;
        for (const auto& stack : derived_.layout.stacks) {
            for (const auto& annulus : stack.annuli) {
                const double middle = (annulus.x0 + annulus.x1) / 2;
                const auto p = writer_.pixel(writer_.at_carrier(stack, middle, stack.carrier_radius, 120));
                const auto a = writer_.pixel(writer_.at_carrier(stack, annulus.x0, stack.carrier_radius, 120));
                const auto b = writer_.pixel(writer_.at_carrier(stack, annulus.x1, stack.carrier_radius, 120));
                const double width = std::hypot(b.x - a.x, b.y - a.y);
                TextLine line{fonts_.strong, model::circuit_tag(writer_.map(), annulus.circuit), {}};
                auto size = LabelWriter::text_size(line);
                if (!writer_.within(p, 0) || width < size.x * 1.1) continue;
                const auto look = circuit_look(derived_, writer_.map(), annulus.circuit);
                auto ground = colour(look.colour);
                // What is no part of the question is pale in the drawing.
                if (writer_.faded_circuit(annulus.circuit)) ground = mix(ground, colours_.panel, 0.6F);
                if (look.dashed) { // a clear field, so that the stripes do not run through the letters
                    const ImVec2 half(static_cast<float>(size.x / 2 + 3 * px_), static_cast<float>(size.y / 2 + px_));
                    const ImVec2 at(static_cast<float>(p.x), static_cast<float>(p.y));
                    list_->AddRectFilled({at.x - half.x, at.y - half.y}, {at.x + half.x, at.y + half.y},
                                         packed(ground, 0.9F), static_cast<float>(3 * px_));
                }
                list_->AddText(line.font, line.font->FontSize,
                               {static_cast<float>(p.x - size.x / 2), static_cast<float>(p.y - size.y / 2)},
                               packed(ink_on(ground), writer_.faded_circuit(annulus.circuit) ? 0.75F : 1.0F),
                               line.text.c_str());
            }
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
            note_written(line.text);
            list_->AddText(line.font, line.font->FontSize,
                           {static_cast<float>(place.box.x0 + 6 * px_), static_cast<float>(y)}, packed(line.ink),
                           line.text.c_str());
            y += LabelWriter::text_size(line).y + 1 * px_;
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
        const auto b = writer_.bounds();
        const glm::dvec3 middle = (derived_.layout.low + derived_.layout.high) * 0.5;
        const auto towards = writer_.seen_direction(middle, {-1, 0, 0});
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
        const TextLine words{fonts_.note, tr_("engine end"), colours_.second_ink};
        note_written(words.text);
        const auto size = LabelWriter::text_size(words);
        list_->AddText(
            words.font, words.font->FontSize,
            {static_cast<float>(std::min(c.x - size.x / 2, b.x1 - size.x)), static_cast<float>(c.y + r * 1.15)},
            packed(words.ink), words.text.c_str());
        obstacles_.push_back({c.x - 2 * r, c.y - 1.3 * r, b.x1, b.y1});
    }

    void note_written(const std::string& words) const {
        if (spec_.written != nullptr) spec_.written->push_back(words);
    }

    void write(ImFont* font, double x, double y, const ImVec4& ink, const std::string& text) {
        note_written(text);
        list_->AddText(font, font->FontSize, {static_cast<float>(x), static_cast<float>(y)}, packed(ink), text.c_str());
    }

    /// A plate of the panel's colour behind words that stand over the drawing.
    void plate(const LabelBox& box) {
        list_->AddRectFilled({static_cast<float>(box.x0), static_cast<float>(box.y0)},
                             {static_cast<float>(box.x1), static_cast<float>(box.y1)}, packed(colours_.panel, 0.86F),
                             static_cast<float>(6 * px_));
    }

    void draw_title() {
        const auto b = writer_.bounds();
        const double x = b.x0 + 22 * px_;
        std::vector<TextLine> lines;
        const auto line = [&](ImFont* font, const ImVec4& ink, const std::string& text) {
            lines.push_back({font, text, ink});
        };
        const auto* seal = model::find(writer_.map().seals, derived_.suspect);
        if (writer_.answered() && seal != nullptr) {
            const auto& seals = derived_.answer->seals;
            const auto it = std::find_if(seals.begin(), seals.end(), [&](const auto& d) { return d.seal == seal->id; });
            if (it != seals.end()) {
                line(fonts_.answer, colours_.ink, diagnosis::headline(writer_.map(), *it, tr_));
                line(fonts_.body, colours_.second_ink, place_words(tr_, writer_.map(), *seal, session_.view.lying));
            }
            line(fonts_.strong, colours_.ink,
                 filled(tr_("divides {0} from {1}"), circuit_words(tr_, writer_.map(), seal->between[0]),
                        circuit_words(tr_, writer_.map(), seal->between[1])));
            line(fonts_.note, colours_.second_ink, writer_.map().unit.name);
        } else {
            line(fonts_.answer, colours_.ink, writer_.map().unit.name);
            line(fonts_.body, colours_.second_ink,
                 filled(tr_("{0} ports, {1} seals, lying {2}"), writer_.map().ports.size(), writer_.map().seals.size(),
                        lying_words(tr_, session_.view.lying)));
        }
        double widest = 0, y = b.y0 + 14 * px_;
        for (const auto& l : lines)
            widest = std::max(widest, LabelWriter::text_size(l).x), y += LabelWriter::text_size(l).y + 5 * px_;
        const LabelBox box{b.x0 + 6 * px_, b.y0 + 4 * px_, x + widest + 18 * px_, y + 6 * px_};
        plate(box);
        y = b.y0 + 14 * px_;
        for (const auto& l : lines) {
            write(l.font, x, y, l.ink, l.text);
            y += LabelWriter::text_size(l).y + 5 * px_;
        }
        obstacles_.push_back(box);
    }

    void draw_legend() {
        const auto b = writer_.bounds();
        std::vector<std::string> shown;
        for (const auto& circuit : writer_.map().circuits) {
            if (circuit.kind == model::CircuitKind::sump) continue;
            if (!writer_.faded_circuit(circuit.id)) shown.push_back(circuit.id);
        }
        const double row = 26 * px_, right = b.x1 - 130 * px_;
        struct Cell {
            double x, line;
            std::string id, name;
        };
        std::vector<Cell> cells;
        double x = b.x0 + 22 * px_, lines = 0;
        for (const auto& id : shown) {
            const auto name = circuit_words(tr_, writer_.map(), id);
            const double width = 34 * px_ + LabelWriter::text_size({fonts_.body, name, {}}).x + 22 * px_;
            if (x + width > right && x > b.x0 + 23 * px_) x = b.x0 + 22 * px_, lines += 1;
            cells.push_back({x, lines, id, name});
            x += width;
        }
        const double note_y = b.y1 - 24 * px_, top = note_y - 12 * px_ - (lines + 1) * row;
        std::string note = writer_.map().unit.invented ? tr_("Demo unit, invented.") + " " : "";
        note += tr_("Clearances drawn larger than they are. The maker's service information decides.");
        double widest = LabelWriter::text_size({fonts_.note, note, {}}).x;
        for (const auto& cell : cells)
            widest = std::max(widest, cell.x - b.x0 - 22 * px_ + 34 * px_ +
                                          LabelWriter::text_size({fonts_.body, cell.name, {}}).x);
        const LabelBox box{b.x0 + 6 * px_, top - 12 * px_, b.x0 + 22 * px_ + widest + 14 * px_, b.y1};
        plate(box);
        obstacles_.push_back(box);
        for (const auto& cell : cells) {
            const double y = top + cell.line * row;
            const auto c = circuit_look(derived_, writer_.map(), cell.id);
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
    const Translator& tr_;
    Colours colours_;
    double px_;
    LabelWriter writer_;
    std::vector<LabelBox> obstacles_;
    std::vector<PlacedLabel> placed_;
};

} // namespace

std::vector<PlacedLabel> draw_overlay(ImDrawList* list, const OverlayFonts& fonts, const Session& session,
                                      const Derived& derived, const OverlaySpec& spec, const Translator& tr,
                                      LabelMemory* memory, std::vector<LabelBox>* standing) {
    return Overlay(list, fonts, session, derived, spec, tr).draw(memory, standing);
}

} // namespace ringland::viewer
