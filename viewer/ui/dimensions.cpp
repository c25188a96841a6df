#include "dimensions.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <glm/geometric.hpp>

#include "words.h"

namespace ringland::viewer {

namespace {

constexpr std::string_view absent = model::marked("not in the map");

std::string figure(const Translator& tr, const std::optional<model::Length>& length, UnitSystem units) {
    return length ? length_words(tr, *length, units) : tr(absent);
}

/// Draws in pixels, with the sizes of a drawing sheet: thin lines, slim filled arrows.
class DimensionPen {
public:
    DimensionPen(ImDrawList* list, const OverlayFonts& fonts, const Session& session, const LabelWriter& writer,
                 double px, std::vector<LabelBox>& obstacles)
        : list_(list), fonts_(fonts), writer_(writer), px_(px), obstacles_(obstacles),
          colours_(colours_of(session.view.theme)), ink_(u32(colours_.ink)) {}

    /// A dimension between two places, standing off by so many points.
    void between(const glm::dvec3& a, const glm::dvec3& b, double off_points, const std::string& words) {
        const auto p = writer_.pixel(a), q = writer_.pixel(b);
        if (!writer_.within(p, 0) || !writer_.within(q, 0)) return;
        glm::dvec2 from(p.x, p.y), to(q.x, q.y);
        if (from.x > to.x) std::swap(from, to);
        const double span = glm::length(to - from);
        if (span < 1) return;
        const glm::dvec2 along = (to - from) / span;
        const glm::dvec2 out = glm::dvec2(-along.y, along.x); // down on the screen
        const double off = off_points * px_;
        for (const auto& end : {from, to})
            line(end + out * (5 * px_), end + out * (off + 5 * px_));
        const glm::dvec2 left = from + out * off, right = to + out * off;
        glm::dvec2 last = right;
        if (span > 34 * px_) {
            line(left, right);
            arrow(left, -along);
            arrow(right, along);
        } else { // too narrow: the arrows come from outside
            line(left - along * (20 * px_), left);
            last = right + along * (20 * px_);
            line(right, last);
            arrow(left, along);
            arrow(right, -along);
        }
        write(last + along * (6 * px_), words);
    }
    /// A note with an arrow at what it means.
    void note(const glm::dvec3& at, const glm::dvec2& bend_points, const std::string& words) {
        const auto p = writer_.pixel(at);
        if (!writer_.within(p, 0)) return;
        const glm::dvec2 tip(p.x, p.y), bend = tip + bend_points * px_;
        line(tip, bend);
        line(bend, bend + glm::dvec2(16 * px_, 0));
        arrow(tip, glm::normalize(tip - bend));
        write(bend + glm::dvec2(20 * px_, 0), words);
    }

private:
    [[nodiscard]] static ImVec2 at(const glm::dvec2& p) { return {static_cast<float>(p.x), static_cast<float>(p.y)}; }
    void line(const glm::dvec2& a, const glm::dvec2& b) {
        // A light edge below, so that it reads on metal as on paper.
        list_->AddLine(at(a), at(b), u32(faded(colours_.panel, 0.7F)), static_cast<float>(3 * px_));
        list_->AddLine(at(a), at(b), ink_, static_cast<float>(1 * px_));
    }
    /// Its tip at a place, pointing that way; three times as long as wide.
    void arrow(const glm::dvec2& tip, const glm::dvec2& way) {
        const glm::dvec2 across(-way.y, way.x), foot = tip - way * (9 * px_);
        list_->AddTriangleFilled(at(tip), at(foot + across * (1.6 * px_)), at(foot - across * (1.6 * px_)), ink_);
    }
    void write(const glm::dvec2& left_middle, const std::string& words) {
        if (writer_.spec().written != nullptr) writer_.spec().written->push_back(words);
        const auto size = LabelWriter::text_size({fonts_.note, words, {}});
        const LabelBox box{left_middle.x - 3 * px_, left_middle.y - size.y / 2 - 2 * px_,
                           left_middle.x + size.x + 3 * px_, left_middle.y + size.y / 2 + 2 * px_};
        list_->AddRectFilled(at({box.x0, box.y0}), at({box.x1, box.y1}), u32(faded(colours_.panel, 0.9F)),
                             static_cast<float>(3 * px_));
        list_->AddText(fonts_.note, fonts_.note->FontSize, at({left_middle.x, left_middle.y - size.y / 2}), ink_,
                       words.c_str());
        obstacles_.push_back(box);
    }

    ImDrawList* list_;
    const OverlayFonts& fonts_;
    const LabelWriter& writer_;
    double px_;
    std::vector<LabelBox>& obstacles_;
    Colours colours_;
    ImU32 ink_;
};

} // namespace

const model::RingPlace* measured_ring(const Session& session, const Derived& derived, const model::StackPlace*& stack) {
    const auto ring_of = [&](const std::string& seal) -> const model::RingPlace* {
        for (const auto& place : derived.layout.stacks) {
            for (const auto& ring : place.rings) {
                if (ring.seal == seal) {
                    stack = &place;
                    return &ring;
                }
            }
        }
        return nullptr;
    };
    const model::Subject& selected = session.view.selected;
    if (selected.kind == model::SubjectKind::seal) {
        if (const auto* ring = ring_of(selected.id)) return ring;
    }
    if (!derived.suspect.empty()) return ring_of(derived.suspect);
    if (derived.layout.stacks.empty() || derived.layout.stacks.front().rings.empty()) return nullptr;
    stack = &derived.layout.stacks.front();
    return &stack->rings.front();
}

RingFigures ring_figures(const Translator& tr, const Session& session, const std::string& seal) {
    const model::UnitMap& map = session.document.map;
    const UnitSystem units = session.view.units;
    RingFigures figures{seal, tr(absent), tr(absent), tr(absent)};
    const auto* found = model::find(map.seals, seal);
    if (found == nullptr) return figures;
    const auto* stack = model::find(map.stacks, found->stack);
    if (stack != nullptr) figures.width = figure(tr, stack->ring_width, units);
    // A groove is as wide as its ring and the clearance beside it.
    if (stack != nullptr && stack->ring_width && found->side_clearance)
        figures.groove =
            length_words(tr, model::mm(model::in_mm(*stack->ring_width) + model::in_mm(*found->side_clearance)), units);
    figures.gap = figure(tr, found->end_gap, units);
    return figures;
}

void draw_dimensions(ImDrawList* list, const OverlayFonts& fonts, const Session& session, const Derived& derived,
                     const LabelWriter& writer, double pixels_per_point, std::vector<LabelBox>& obstacles) {
    const model::StackPlace* stack = nullptr;
    const auto* ring = measured_ring(session, derived, stack);
    if (ring == nullptr || !writer.close_up()) return;
    const Translator& tr = writer.translator();
    const RingFigures figures = ring_figures(tr, session, ring->seal);
    DimensionPen sheet(list, fonts, session, writer, pixels_per_point, obstacles);
    constexpr double angle_deg = 150; // below the shaft on the opened half: the air comes and goes above
    const auto beside = [&](double half) {
        auto at = writer.at_ring(*stack, *ring, stack->bore_radius, angle_deg);
        at.x += half;
        return at;
    };
    sheet.between(beside(-ring->width / 2), beside(ring->width / 2), 30, filled(tr("ring {0}"), figures.width));
    auto low = writer.at_carrier(*stack, ring->x - ring->groove_width / 2, stack->carrier_radius, angle_deg);
    auto high = writer.at_carrier(*stack, ring->x + ring->groove_width / 2, stack->carrier_radius, angle_deg);
    sheet.between(low, high, 60, filled(tr("groove {0}"), figures.groove));
    sheet.note(writer.at_ring(*stack, *ring, stack->bore_radius, 96), {70, -26},
               filled(tr("joint gap {0}"), figures.gap));
}

} // namespace ringland::viewer
