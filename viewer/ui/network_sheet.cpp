// The network as a landscape: the height of a circuit is its pressure, and all air runs downhill.
//
// Between two circuits runs one line for each seal or flow by design that passes air now, as wide as the flow is large
// (by its logarithm); what leaves by a port or into the case falls to the ground line, which is the open air. The
// height goes by the root of the pressure, so that a breath of pressure still stands off the ground.
#include "panels.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include <fmt/format.h>

#include "words.h"
#include "writer.h"

namespace ringland::viewer {

namespace {

constexpr double least_lpm = 0.02;   ///< flows below are not drawn
constexpr double labelled_lpm = 0.3; ///< and these have their figure beside them

float line_width(const Widgets& w, double lpm) {
    return w.px(static_cast<float>(std::clamp(1.0 + 2.2 * std::log10(1 + lpm), 1.0, 8.0)));
}

struct Knot {
    std::size_t circuit;
    ImVec2 middle;
    double gauge_pa;
};

/// One line of the landscape.
struct Strand {
    std::string label, title;
    model::Subject subject;
    ImVec2 from, to;
    double lpm;
    bool suspect = false;
    float bow = 0; ///< to the side, so that parallel lines do not lie on one another
};

class Landscape {
public:
    Landscape(PanelContext& c, const ImVec2& at, const ImVec2& extent) : c_(c), w_(c.w), now_(*c.derived().air_now) {
        const float pad = w_.px(size::padding);
        const std::vector<std::size_t> order = circuits_in_order();
        const std::size_t count = order.size();
        left_ = at.x + pad + w_.px(64);
        box_ = {w_.px(54), w_.px(size::target)};
        const float room = extent.x - 2 * pad - w_.px(64);
        pitch_ = std::max(w_.px(62), std::min(w_.px(190), room / static_cast<float>(std::max<std::size_t>(1, count))));
        right_ = std::max(left_ + pitch_ * static_cast<float>(count), left_ + room);
        top_ = at.y + w_.px(112);
        ground_ = at.y + extent.y - w_.px(74);
        ground_ = std::max(ground_, top_ + w_.px(180));
        place_knots(order);
    }

    void draw() {
        draw_scale();
        gather();
        draw_outlets();
        for (const Strand& strand : strands_)
            draw_strand(strand);
        draw_supply();
        for (const Knot& knot : knots_)
            draw_knot(knot);
        for (const Strand& strand : strands_)
            draw_label(strand);
        draw_rest();
    }
    [[nodiscard]] ImVec2 end() const { return {right_, ground_ + w_.px(54) + rest_h_}; }

private:
    [[nodiscard]] float height_of(double gauge_pa) const {
        const double share = now_.supply_gauge_pa > 0 ? std::clamp(gauge_pa / now_.supply_gauge_pa, 0.0, 1.0) : 0;
        return ground_ - w_.px(34) - (ground_ - w_.px(34) - top_) * static_cast<float>(std::sqrt(share));
    }

    /// True where air is in the circuit or passes it.
    [[nodiscard]] bool reached(std::size_t circuit) const {
        const auto& map = c_.map();
        const std::string& id = map.circuits[circuit].id;
        if (now_.circuit_gauge_pa[circuit] > 1e-3 * now_.supply_gauge_pa) return true;
        for (std::size_t p = 0; p < map.ports.size(); ++p) {
            if (map.ports[p].circuit == id && now_.port_lpm[p] >= least_lpm) return true;
        }
        return false;
    }

    /// Left to right in the order in which the stacks name them, so that neighbours of a stack stand side by side. What
    /// no air reaches is left out, to be named below.
    [[nodiscard]] std::vector<std::size_t> circuits_in_order() {
        const auto& map = c_.map();
        std::vector<std::size_t> order;
        const auto add = [&](const std::string& id) {
            for (std::size_t i = 0; i < map.circuits.size(); ++i) {
                if (map.circuits[i].id != id || id == model::sump_id) continue;
                auto& list = reached(i) ? order : rest_;
                if (std::find(list.begin(), list.end(), i) == list.end()) list.push_back(i);
            }
        };
        for (const auto& stack : map.stacks) {
            for (const auto& id : stack.circuits)
                add(id);
        }
        for (const auto& circuit : map.circuits)
            add(circuit.id);
        return order;
    }

    void place_knots(const std::vector<std::size_t>& order) {
        for (std::size_t k = 0; k < order.size(); ++k) {
            const double gauge = now_.circuit_gauge_pa[order[k]];
            knots_.push_back({order[k], {left_ + pitch_ * (static_cast<float>(k) + 0.5F), height_of(gauge)}, gauge});
        }
    }
    [[nodiscard]] const Knot* knot_of(const std::string& circuit) const {
        for (const Knot& knot : knots_) {
            if (c_.map().circuits[knot.circuit].id == circuit) return &knot;
        }
        return nullptr;
    }

    void draw_scale() {
        ImDrawList* list = ImGui::GetWindowDrawList();
        const UnitSystem units = c_.session().view.units;
        const double unit = units == UnitSystem::psi_inch ? model::PressureDimension::units[0].si_per_unit
                                                          : model::PressureDimension::units[2].si_per_unit;
        float last = ground_ + w_.px(40);
        for (const double figure :
             {0.0, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 3.0, 5.0, 7.0, 10.0, 20.0, 35.0, 50.0, 70.0, 100.0, 140.0}) {
            const double pa = figure * unit;
            if (pa > now_.supply_gauge_pa * 1.0001 || (units == UnitSystem::psi_inch && figure > 0 && figure < 0.5))
                continue;
            const float y = height_of(pa);
            if (last - y < w_.px(20)) continue;
            last = y;
            list->AddLine({left_ - w_.px(4), y}, {right_, y}, u32(faded(w_.colours.rule, 0.7F)), w_.px(1));
            const std::string words = gauge_words(c_.tr, pa, units);
            const float wide = Widgets::measure(w_.fonts.note, words).x;
            w_.text(w_.fonts.note, w_.colours.second_ink, {left_ - w_.px(10) - wide, y - w_.fonts.note->FontSize / 2},
                    0, words);
        }
        list->AddLine({left_ - w_.px(60), ground_}, {right_, ground_}, u32(w_.colours.ink), w_.px(2));
        for (float x = left_ - w_.px(60); x < right_; x += w_.px(9))
            list->AddLine({x + w_.px(6), ground_ + w_.px(1)}, {x, ground_ + w_.px(7)}, u32(faded(w_.colours.ink, 0.5F)),
                          w_.px(1));
    }

    void gather() {
        const auto& map = c_.map();
        const auto add = [&](const std::string& id, const std::string& title, model::Subject subject,
                             const std::string& first, const std::string& second, double lpm) {
            if (std::abs(lpm) < least_lpm) return;
            const Knot* a = knot_of(lpm > 0 ? first : second);
            const Knot* b = knot_of(lpm > 0 ? second : first);
            if (a == nullptr || b == nullptr) return;
            Strand strand{id, title, std::move(subject), a->middle, b->middle, std::abs(lpm)};
            strand.suspect = c_.derived().suspect == id;
            int beside = 0;
            for (const Strand& other : strands_)
                beside += other.from.x == strand.from.x && other.to.x == strand.to.x ? 1 : 0;
            // In turn to the one side and to the other.
            strand.bow = w_.px(20) * static_cast<float>((beside + 1) / 2) * (beside % 2 == 0 ? 1.0F : -1.0F);
            strands_.push_back(std::move(strand));
        };
        for (std::size_t s = 0; s < map.seals.size(); ++s) {
            const auto& seal = map.seals[s];
            add(seal.id, seal_words(c_.tr, seal), {model::SubjectKind::seal, seal.id}, seal.between[0], seal.between[1],
                now_.seal_lpm[s]);
        }
        for (std::size_t f = 0; f < map.by_design.size(); ++f) {
            const auto& flow = map.by_design[f];
            add(c_.tr("by design"), flow.reason, {}, flow.from, flow.to, now_.design_lpm[f]);
        }
    }

    [[nodiscard]] static ImVec2 bezier(const std::array<ImVec2, 4>& p, float t) {
        const float s = 1 - t;
        const float a = s * s * s, b = 3 * s * s * t, d = 3 * s * t * t, e = t * t * t;
        return {a * p[0].x + b * p[1].x + d * p[2].x + e * p[3].x, a * p[0].y + b * p[1].y + d * p[2].y + e * p[3].y};
    }
    [[nodiscard]] std::array<ImVec2, 4> curve_of(const Strand& s) const {
        const float side = s.to.x > s.from.x ? 1.0F : -1.0F;
        const ImVec2 a{s.from.x + side * box_.x / 2, s.from.y}, b{s.to.x - side * box_.x / 2, s.to.y};
        const float reach = std::max(w_.px(20), 0.45F * std::abs(b.x - a.x));
        // Lines between circuits at one height would lie in one another: they hang a little.
        const float sag = std::abs(b.y - a.y) < box_.y ? w_.px(26) + 0.08F * std::abs(b.x - a.x) : 0;
        const float length = std::max(1.0F, std::hypot(b.x - a.x, b.y - a.y));
        const ImVec2 aside{-(b.y - a.y) / length * s.bow, (b.x - a.x) / length * s.bow};
        return {a, ImVec2{a.x + side * reach + aside.x, a.y + sag + aside.y},
                ImVec2{b.x - side * reach + aside.x, b.y + sag + aside.y}, b};
    }

    void draw_strand(const Strand& s) {
        const auto p = curve_of(s);
        ImDrawList* list = ImGui::GetWindowDrawList();
        const ImVec4 ink = s.suspect
                               ? w_.colours.suspect
                               : mix(w_.colours.second_ink, w_.colours.panel, s.subject.id.empty() ? 0.0F : 0.25F);
        const float width = line_width(w_, s.lpm);
        list->AddBezierCubic(p[0], p[1], p[2], p[3], u32(ink), width);
        const ImVec2 head = bezier(p, 0.56F), tail = bezier(p, 0.50F);
        const float length = std::hypot(head.x - tail.x, head.y - tail.y);
        if (length < 1e-3F) return;
        const ImVec2 way{(head.x - tail.x) / length, (head.y - tail.y) / length};
        const float h = w_.px(5) + width;
        list->AddTriangleFilled(
            {head.x + way.x * h, head.y + way.y * h},
            {head.x - way.x * h * 0.5F - way.y * h * 0.8F, head.y - way.y * h * 0.5F + way.x * h * 0.8F},
            {head.x - way.x * h * 0.5F + way.y * h * 0.8F, head.y - way.y * h * 0.5F - way.x * h * 0.8F}, u32(ink));
    }

    /// A plate on the line: id and flow; pressed, it selects the seal. A hand needs more room than the plate shows.
    void draw_label(const Strand& s) {
        if (s.lpm < labelled_lpm && !s.suspect) return;
        const auto p = curve_of(s);
        const std::string words = fmt::format("{}  {}", s.label, flow_words(c_.tr, s.lpm));
        ImFont* font = s.suspect ? w_.fonts.strong : w_.fonts.note;
        const ImVec2 plate{Widgets::measure(font, words).x + w_.px(10), font->FontSize + w_.px(6)};
        const ImVec2 extent{std::max(plate.x, w_.px(size::target)), w_.px(size::target)};
        const float gap = (extent.y - plate.y) / 2;
        // The first place along the line, above it or below, where the plate covers nothing. Where there is none the
        // line goes without: two plates in one place could neither be read nor pressed.
        for (const float t : {0.5F, 0.4F, 0.6F, 0.3F, 0.7F, 0.22F, 0.78F, 0.14F, 0.86F}) {
            const ImVec2 m = bezier(p, t);
            for (const float aside : {-plate.y - w_.px(5), w_.px(8)}) {
                const ImVec2 at{std::clamp(m.x - extent.x / 2, left_, std::max(left_, right_ - extent.x)),
                                m.y + aside - gap};
                if (at.y < top_ - w_.px(30) || at.y + extent.y > ground_ + w_.px(8) || !free(at, extent)) continue;
                put_label(s, words, font, at, extent, {at.x + (extent.x - plate.x) / 2, at.y + gap}, plate);
                return;
            }
        }
    }

    void put_label(const Strand& s, const std::string& words, ImFont* font, const ImVec2& at, const ImVec2& extent,
                   const ImVec2& plate_at, const ImVec2& plate) {
        taken_.push_back({double(at.x), double(at.y), double(extent.x), double(extent.y)});
        if (w_.pressed("strand " + s.label + "/" + s.title, at, extent, true, s.title) && !s.subject.id.empty())
            c_.commands.emplace_back(command::Select{s.subject});
        w_.card(plate_at, plate, w_.hovered() ? mix(w_.colours.raised, w_.colours.action, 0.12F) : w_.colours.raised,
                s.suspect ? w_.colours.suspect : w_.colours.border, w_.px(1));
        w_.text(font, s.suspect ? w_.colours.suspect_ink : w_.colours.ink,
                {plate_at.x + w_.px(5), plate_at.y + w_.px(3)}, 0, words);
    }

    [[nodiscard]] bool free(const ImVec2& at, const ImVec2& extent) const {
        const auto meets = [&](double x, double y, double width, double height) {
            return double(at.x)<x + width&& double(at.x + extent.x)> x &&
                   double(at.y)<y + height&& double(at.y + extent.y)> y;
        };
        for (const Rect& r : taken_) {
            if (meets(r.x, r.y, r.width, r.height)) return false;
        }
        return std::none_of(knots_.begin(), knots_.end(), [&](const Knot& knot) {
            return meets(double(knot.middle.x - box_.x / 2), double(knot.middle.y - box_.y / 2), double(box_.x),
                         double(box_.y));
        });
    }

    void draw_knot(const Knot& knot) {
        const auto& circuit = c_.map().circuits[knot.circuit];
        const ImVec2 at{knot.middle.x - box_.x / 2, knot.middle.y - box_.y / 2};
        const model::Subject subject{model::SubjectKind::circuit, circuit.id};
        const auto said = subject_words(c_.tr, c_.session(), subject);
        if (w_.pressed("knot " + circuit.id, at, box_, true,
                       fmt::format("{}: {}", said.title, air_words(c_.tr, c_.session(), c_.derived(), subject))))
            c_.commands.emplace_back(command::Select{subject});
        draw_swatch(c_, at, {box_.x, w_.px(22)}, circuit.id, w_.fonts.strong, model::circuit_tag(c_.map(), circuit.id));
        const std::string words = gauge_words(c_.tr, knot.gauge_pa, c_.session().view.units);
        const float wide = Widgets::measure(w_.fonts.note, words).x;
        ImGui::GetWindowDrawList()->AddRectFilled({knot.middle.x - wide / 2 - w_.px(3), at.y + w_.px(22)},
                                                  {knot.middle.x + wide / 2 + w_.px(3), at.y + w_.px(38)},
                                                  u32(faded(w_.colours.panel, 0.85F)), w_.px(3));
        w_.text(w_.fonts.note, w_.colours.ink, {knot.middle.x - wide / 2, at.y + w_.px(23)}, 0, words);
    }

    /// From the regulator at the top into the circuit under air.
    void draw_supply() {
        const auto* port = model::find(c_.map().ports, c_.session().document.air_into);
        const Knot* knot = port != nullptr ? knot_of(port->circuit) : nullptr;
        if (knot == nullptr) return;
        const std::string words =
            filled(c_.tr("regulator {0}  →  {1}  {2}  {3}"),
                   gauge_words(c_.tr, now_.supply_gauge_pa, c_.session().view.units), port->id,
                   gauge_words(c_.tr, now_.port_gauge_pa, c_.session().view.units), flow_words(c_.tr, now_.supply_lpm));
        const float wide = Widgets::measure(w_.fonts.strong, words).x + w_.px(16);
        const ImVec2 extent{wide, w_.fonts.strong->FontSize + w_.px(10)};
        const ImVec2 at{std::clamp(knot->middle.x - wide / 2, left_ - w_.px(60), std::max(left_, right_ - wide)),
                        top_ - w_.px(66)};
        ImDrawList* list = ImGui::GetWindowDrawList();
        const ImVec2 tip{knot->middle.x, knot->middle.y - box_.y / 2};
        list->AddLine({knot->middle.x, at.y + extent.y}, tip, u32(w_.colours.action), line_width(w_, now_.supply_lpm));
        const float h = w_.px(9);
        list->AddTriangleFilled(tip, {tip.x - h * 0.7F, tip.y - h}, {tip.x + h * 0.7F, tip.y - h},
                                u32(w_.colours.action));
        w_.card(at, extent, w_.colours.action, w_.colours.action, 0);
        w_.text(w_.fonts.strong, w_.colours.on_action, {at.x + w_.px(8), at.y + w_.px(5)}, 0, words);
        taken_.push_back({double(at.x), double(at.y), double(extent.x), double(extent.y)});
    }

    /// What falls to the ground from each circuit: by its ports, and into the case.
    void draw_outlets() {
        const auto& map = c_.map();
        for (const Knot& knot : knots_) {
            const auto& circuit = map.circuits[knot.circuit];
            double out = 0, in_case = 0;
            std::string names;
            for (std::size_t p = 0; p < map.ports.size(); ++p) {
                if (map.ports[p].circuit != circuit.id || now_.port_lpm[p] < least_lpm) continue;
                out += now_.port_lpm[p];
                names += (names.empty() ? "" : ", ") + map.ports[p].id;
            }
            const auto into_case = [&](const std::string& first, const std::string& second, double lpm) {
                if (first == circuit.id && second == model::sump_id) in_case += lpm;
                if (second == circuit.id && first == model::sump_id) in_case -= lpm;
            };
            for (std::size_t s = 0; s < map.seals.size(); ++s)
                into_case(map.seals[s].between[0], map.seals[s].between[1], now_.seal_lpm[s]);
            for (std::size_t f = 0; f < map.by_design.size(); ++f)
                into_case(map.by_design[f].from, map.by_design[f].to, now_.design_lpm[f]);
            float line = ground_ + w_.px(12);
            if (out >= least_lpm) line = fall(knot, names, out, -w_.px(9), line);
            if (in_case >= least_lpm) fall(knot, c_.tr("case"), in_case, w_.px(9), line);
        }
    }
    float fall(const Knot& knot, const std::string& name, double lpm, float aside, float line) {
        ImDrawList* list = ImGui::GetWindowDrawList();
        const float x = knot.middle.x + aside, from = knot.middle.y + box_.y / 2 + w_.px(1);
        const float h = w_.px(7);
        const ImVec4 ink = w_.colours.second_ink;
        if (ground_ - from > h) list->AddLine({x, from}, {x, ground_ - h}, u32(ink), line_width(w_, lpm));
        list->AddTriangleFilled({x, ground_}, {x - h * 0.7F, ground_ - h}, {x + h * 0.7F, ground_ - h}, u32(ink));
        const std::string words = name + " " + c_.tr.number(lpm, lpm < 9.95 ? 1 : 0);
        const float wide = std::min(Widgets::measure(w_.fonts.note, words).x, pitch_ - w_.px(4));
        w_.line(w_.fonts.note, w_.colours.ink, {knot.middle.x - wide / 2, line}, pitch_ - w_.px(4), words);
        return line + w_.fonts.note->FontSize + w_.px(2);
    }

    void draw_rest() {
        if (rest_.empty()) return;
        std::vector<std::string> names;
        names.reserve(rest_.size());
        for (const std::size_t circuit : rest_)
            names.push_back(circuit_words(c_.tr, c_.map(), c_.map().circuits[circuit].id));
        rest_h_ = w_.text(w_.fonts.note, w_.colours.second_ink, {left_ - w_.px(60), ground_ + w_.px(48)},
                          right_ - left_ + w_.px(60), filled(c_.tr("No air reaches {0}."), joined(c_.tr, names)));
    }

    PanelContext& c_;
    Widgets& w_;
    const AirNow& now_;
    std::vector<std::size_t> rest_; ///< circuits that no air reaches
    float rest_h_ = 0;              ///< of the words on them
    float left_ = 0, right_ = 0, top_ = 0, ground_ = 0, pitch_ = 0;
    ImVec2 box_{};
    std::vector<Knot> knots_;
    std::vector<Strand> strands_;
    std::vector<Rect> taken_;
};

} // namespace

void draw_network(PanelContext& c, const ImVec2& at, const ImVec2& extent) {
    Widgets& w = c.w;
    const float pad = w.px(size::padding);
    if (w.begin_region("network", at, extent, w.colours.panel, true)) {
        const ImVec2 origin = ImGui::GetCursorScreenPos();
        w.text(w.fonts.title, w.colours.ink, {origin.x + pad, origin.y + pad}, extent.x - 2 * pad,
               c.tr("Pressures and flows: height is pressure, air runs downhill"));
        if (!c.derived().air_now) {
            Writer out(c, {origin.x + pad, origin.y + pad + w.px(34)}, extent.x - 2 * pad - w.px(10));
            out.body(c.map().ports.empty() ? c.tr("No unit is open: drag its map onto this window first.")
                                           : c.tr("Say first where the air goes in: press a port."));
            // Where a column stands beside the sheet, the ports are there.
            if (c.alone) out.advance(draw_ports(c, out.at(), out.width()));
            w.content_ends_at({origin.x + pad, out.at().y});
        } else {
            Landscape landscape(c, origin, extent);
            landscape.draw();
            w.content_ends_at(landscape.end());
        }
    }
    w.end_region();
}

} // namespace ringland::viewer
