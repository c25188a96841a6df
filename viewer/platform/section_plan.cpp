#include "section_plan.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include <fmt/format.h>

#include "../app/camera.h"
#include "../render/materials.h"
#include "../ui/words.h"
#include "picture_text.h"

namespace ringland::viewer {
namespace {

constexpr double margin = 34, note_size = 13, body_size = 15, answer_size = 24, line_step = 1.35;
constexpr double leader_room = 46, least_page_width = 1100;
/// A recess is at least so high, so that the tag of its circuit has room.
constexpr double least_recess = 22;

double block_height(const std::vector<SectionLine>& lines) {
    return std::accumulate(lines.begin(), lines.end(), 0.0,
                           [](double sum, const SectionLine& line) { return sum + line.size * line_step; });
}
double block_width(const std::vector<SectionLine>& lines) {
    double widest = 0;
    for (const auto& line : lines)
        widest = std::max(widest, wide_text_width(line.text, line.size) * (line.strong ? 1.06 : 1.0));
    return widest;
}

/// Middles as near as can be to where they are wanted, in their order, with room for each: neighbours that would touch
/// move as one block.
std::vector<double> spread(const std::vector<double>& wanted, const std::vector<double>& widths, double gap, double low,
                           double high) {
    struct LabelBlock {
        double sum = 0; ///< of wanted starts, each less its place in the block
        double width = 0;
        std::size_t count = 0;
        [[nodiscard]] double start(double from, double to) const {
            return std::clamp(sum / static_cast<double>(count), from, std::max(from, to - width));
        }
    };
    std::vector<LabelBlock> blocks;
    for (std::size_t i = 0; i < wanted.size(); ++i) {
        LabelBlock last{wanted[i] - widths[i] / 2, widths[i], 1};
        while (!blocks.empty() && blocks.back().start(low, high) + blocks.back().width + gap > last.start(low, high)) {
            const LabelBlock& before = blocks.back();
            const double shift = before.width + gap;
            last = {before.sum + last.sum - shift * static_cast<double>(last.count), shift + last.width,
                    before.count + last.count};
            blocks.pop_back();
        }
        blocks.push_back(last);
    }
    std::vector<double> middles;
    std::size_t i = 0;
    for (const LabelBlock& block : blocks) {
        double at = block.start(low, high);
        for (std::size_t k = 0; k < block.count; ++k, ++i) {
            middles.push_back(at + widths[i] / 2);
            at += widths[i] + gap;
        }
    }
    return middles;
}

class Planner {
public:
    Planner(const Session& session, const Derived& derived, const PictureSpec& spec, const model::StackPlace& place,
            const model::Stack& stack, const Translator& tr)
        : tr_(tr), session_(session), derived_(derived), spec_(spec), map_(session.document.map), place_(place),
          stack_(stack), rings_(place.rings), annuli_(place.annuli) {
        std::sort(rings_.begin(), rings_.end(), [](const auto& a, const auto& b) { return a.x < b.x; });
        std::sort(annuli_.begin(), annuli_.end(), [](const auto& a, const auto& b) { return a.x0 < b.x0; });
    }

    SectionPlan plan() {
        say_title();
        const auto texts = picture_texts(session_, derived_, tr_);
        out_.title = filled(tr_("{0}: section of the stack on the {1}"), texts[0].text, stack_name());
        out_.description = texts[1].text;
        collect_ring_words();
        collect_circuit_words();
        fit_page();
        draw_bodies();
        draw_circuits();
        draw_rings();
        if (spec_.title) put_title();
        if (spec_.labels) {
            put_row(ring_words_, ring_x_, true);
            put_row(circuit_words_, circuit_x_, false);
            put_tags();
            put_parts();
            put_ends();
        }
        if (spec_.legend) put_legend();
        return std::move(out_);
    }

private:
    struct Named {
        std::string id;
        std::vector<SectionLine> lines;
        double depth = 0; ///< radius that the leader goes to
        bool suspect = false;
    };

    [[nodiscard]] std::string stack_name() const { return tr_.map_word(stack_.name.empty() ? stack_.id : stack_.name); }
    [[nodiscard]] double x_of(double mm) const { return out_.drawing.x0 + (mm - low_mm_) * along_; }
    [[nodiscard]] double y_of(double radius) const {
        return out_.drawing.y0 + (place_.outer_radius - radius) * radial_;
    }
    [[nodiscard]] glm::dvec2 at(double mm, double radius) const { return {x_of(mm), y_of(radius)}; }
    [[nodiscard]] double ring_bottom() const {
        return place_.groove_radius + 0.16 * (place_.bore_radius - place_.groove_radius);
    }
    [[nodiscard]] bool faded(const std::string& circuit) const {
        return derived_.answer && circuit != derived_.answer->from.circuit && circuit != derived_.answer->to.circuit;
    }
    [[nodiscard]] const model::Part* part(const std::string& id) const { return model::find(map_.parts, id); }
    [[nodiscard]] static std::string part_name(const model::Part& part) {
        return part.name.empty() ? part.id : part.name;
    }

    void say_title() {
        const auto* seal = model::find(map_.seals, derived_.suspect);
        if (derived_.answer && seal != nullptr) {
            for (const auto& divider : derived_.answer->seals) {
                if (divider.seal != seal->id) continue;
                title_.push_back({diagnosis::headline(map_, divider, tr_), answer_size, true});
                title_.push_back({place_words(tr_, map_, *seal, session_.view.lying), body_size, false, true});
            }
            title_.push_back({filled(tr_("divides {0} from {1}"), model::circuit_name(map_, seal->between[0]),
                                     model::circuit_name(map_, seal->between[1])),
                              body_size, true});
        } else {
            title_.push_back({filled(tr_("Stack on the {0}"), stack_name()), answer_size, true});
        }
        title_.push_back({map_.unit.name + (map_.unit.invented ? " (" + tr_("demo unit, invented") + ")" : ""),
                          note_size, false, true});
    }

    void collect_ring_words() {
        for (const auto& ring : rings_) {
            const auto* seal = model::find(map_.seals, ring.seal);
            if (seal == nullptr) continue;
            const bool suspect = ring.seal == derived_.suspect;
            Named named{ring.seal,
                        {{ring.seal + (suspect ? " " + tr_("suspect") : ""), body_size, true}},
                        place_.bore_radius,
                        suspect};
            if (const double chance = chance_of(derived_, map_, ring.seal); chance >= least_chance_shown)
                named.lines[0].text += fmt::format(" {:.0f} %", 100 * chance);
            if (const auto position = diagnosis::stack_position(map_, *seal)) {
                const auto place = [&](int nth, const std::string& end) {
                    named.lines.push_back(
                        {filled(tr_("{0} from {1}"), tr_.ordinal(nth), tr_.map_word(end)), note_size, false, true});
                };
                place(position->nth_from_first_end, position->first_end);
                place(position->nth_from_second_end, position->second_end);
            }
            named.depth = (place_.bore_radius + ring_bottom()) / 2;
            ring_words_.push_back(std::move(named));
            ring_x_.push_back(ring.x);
        }
    }

    void collect_circuit_words() {
        for (std::size_t i = 0; i < annuli_.size(); ++i) {
            const auto& annulus = annuli_[i];
            Named named{fmt::format("{}-{}", i + 1, annulus.circuit),
                        {{model::circuit_name(map_, annulus.circuit), body_size, false, faded(annulus.circuit)}}};
            named.depth = (place_.recess_radius + place_.bore_radius) / 2;
            circuit_words_.push_back(std::move(named));
            // Beside the middle, where the tag and the drilling are.
            circuit_x_.push_back(annulus.x0 + 0.12 * (annulus.x1 - annulus.x0));
        }
    }

    /// Sizes of all that is not drawn to scale, and the smallest page that holds everything.
    void fit_page() {
        const double past = 0.09 * (place_.x1 - place_.x0);
        low_mm_ = std::max(place_.x0 - past, std::min(place_.carrier_x0, place_.x0));
        high_mm_ = std::min(place_.x1 + past, std::max(place_.carrier_x1, place_.x1));
        const double land = place_.carrier_radius - place_.groove_radius;
        const auto* carrier = part(stack_.on);
        const double bored = carrier != nullptr && carrier->inner_diameter ? in_mm(*carrier->inner_diameter) / 2 : 0;
        const double deep = place_.groove_radius - std::max(6.0, 2 * land);
        hollow_ = bored > 0 && bored < place_.groove_radius && bored >= deep;
        low_radius_ = std::max(0.0, hollow_ ? bored : deep);

        double row = 0, row_below = 0, rows = 0;
        for (const auto& named : ring_words_) {
            row += block_width(named.lines) + label_gap;
            rows = std::max(rows, block_height(named.lines));
        }
        for (const auto& named : circuit_words_)
            row_below += block_width(named.lines) + label_gap;
        const double labels = spec_.labels ? 1 : 0;
        const double parts = labels * part_room();
        above_ = margin + (spec_.title ? block_height(title_) + 20 : 0) + labels * (rows + leader_room);
        below_ = margin + labels * (2 * body_size * line_step + leader_room + 14) + axis_room;
        const double shape = static_cast<double>(spec_.height) / spec_.width;
        const double range = place_.outer_radius - low_radius_;
        const double need = range * least_recess / std::max(0.1, place_.bore_radius - place_.recess_radius);
        out_.width = std::max({least_page_width, labels * (std::max(row, row_below) + 2 * margin),
                               (spec_.title ? block_width(title_) : 0) + 2 * margin});
        double room = 0;
        for (;; out_.width *= 1.03) {
            out_.height = out_.width * shape;
            legend_rows_ = spec_.legend ? plan_legend() : 0;
            room = out_.height - above_ - below_ - (spec_.legend ? legend_rows_ * legend_step + 20 : 0);
            if (room >= need && out_.width - 2 * margin - parts > least_page_width / 3) break;
        }
        const double length = high_mm_ - low_mm_, wide = out_.width - 2 * margin - parts;
        along_ = std::min(wide / length, room / range);
        radial_ = std::clamp(need / range, along_, room / range);
        if (radial_ < 1.02 * along_) radial_ = along_;
        along_ = std::min(wide / length, radial_);
        out_.radial_times = radial_ / along_;
        const double drawn_height = range * radial_;
        out_.drawing.x0 = margin + (wide - length * along_) / 2;
        out_.drawing.x1 = out_.drawing.x0 + length * along_;
        out_.drawing.y0 = above_ + (room - drawn_height) / 2;
        out_.drawing.y1 = out_.drawing.y0 + drawn_height;
    }

    [[nodiscard]] double part_room() const {
        double widest = 0;
        for (const auto* each : {part(stack_.bore), part(stack_.on)}) {
            if (each != nullptr) widest = std::max(widest, wide_text_width(part_name(*each), body_size));
        }
        return widest > 0 ? widest + 40 : 0;
    }

    void piece(SectionFill fill, std::string id, std::string title, Outline outline, Rgb colour) {
        SectionPiece made;
        made.fill = fill;
        made.id = std::move(id);
        made.title = std::move(title);
        made.outline = std::move(outline);
        made.colour = colour;
        out_.pieces.push_back(std::move(made));
    }

    /// The edge of a piece that goes on: a wave from right to left.
    void add_break(Outline& outline) const {
        constexpr int steps = 96;
        for (int i = 0; i <= steps; ++i) {
            const double t = static_cast<double>(i) / steps;
            const double wave = hollow_ ? 0 : 3.5 * std::sin(t * 9 * 3.14159265358979);
            outline.push_back({out_.drawing.x1 + (out_.drawing.x0 - out_.drawing.x1) * t, out_.drawing.y1 + wave});
        }
    }

    [[nodiscard]] static Rgb metal(const model::Part* part) {
        return look_of(part != nullptr && part->material ? *part->material : model::Material::steel).colour;
    }

    void draw_bodies() {
        const auto* bore = part(stack_.bore);
        const auto* carrier = part(stack_.on);
        piece(SectionFill::bore, "bore", bore != nullptr ? part_name(*bore) : tr_("bore"),
              {at(place_.x0, place_.outer_radius), at(place_.x1, place_.outer_radius),
               at(place_.x1, place_.bore_radius), at(place_.x0, place_.bore_radius)},
              metal(bore));
        Outline outline;
        const auto dip = [&](double x0, double x1, double radius) {
            for (const auto& p :
                 {at(x0, place_.carrier_radius), at(x0, radius), at(x1, radius), at(x1, place_.carrier_radius)})
                outline.push_back(p);
        };
        outline.push_back(at(low_mm_, place_.carrier_radius));
        for (std::size_t i = 0; i < rings_.size(); ++i) {
            const double half = rings_[i].groove_width / 2;
            dip(rings_[i].x - half, rings_[i].x + half, place_.groove_radius);
            if (i < annuli_.size()) dip(annuli_[i].x0, annuli_[i].x1, place_.recess_radius);
        }
        outline.push_back(at(high_mm_, place_.carrier_radius));
        add_break(outline);
        piece(SectionFill::carrier, "carrier", carrier != nullptr ? part_name(*carrier) : tr_("carrier"),
              std::move(outline), metal(carrier));
        const double y = std::min(out_.drawing.y1 + axis_room * 0.7, out_.height - 4);
        out_.axis = {{out_.drawing.x0 - 14, y}, {out_.drawing.x1 + 14, y}};
    }

    /// The half of a space beside a ring: down its face, into the groove and back to the land.
    void beside_ring(Outline& outline, const model::RingPlace& ring, int side) const {
        const double face = ring.x + side * ring.width / 2, wall = ring.x + side * ring.groove_width / 2;
        std::vector<glm::dvec2> way{at(face, place_.bore_radius),   at(face, ring_bottom()),
                                    at(ring.x, ring_bottom()),      at(ring.x, place_.groove_radius),
                                    at(wall, place_.groove_radius), at(wall, place_.carrier_radius)};
        if (side < 0) {
            outline.insert(outline.end(), way.begin(), way.end());
        } else {
            outline.insert(outline.end(), way.rbegin(), way.rend());
        }
    }

    void space(std::size_t number, const std::string& circuit, Outline outline) {
        const auto look = circuit_look(derived_, map_, circuit);
        piece(SectionFill::circuit, fmt::format("space-{}-{}", number, circuit), model::circuit_name(map_, circuit),
              std::move(outline), look.colour);
        out_.pieces.back().dashed = look.dashed;
        out_.pieces.back().faded = faded(circuit);
    }

    /// Spaces from one end to the other: outside the first ring, between each two, outside the last.
    void draw_circuits() {
        if (rings_.empty()) return;
        const bool forwards = place_.rings.front().x <= place_.rings.back().x;
        const auto& outside = stack_.outside;
        Outline first{at(place_.x0, place_.carrier_radius), at(place_.x0, place_.bore_radius)};
        beside_ring(first, rings_.front(), -1);
        space(0, outside[forwards ? 0 : 1], std::move(first));
        for (std::size_t i = 0; i + 1 < rings_.size() && i < annuli_.size(); ++i) {
            const auto& annulus = annuli_[i];
            Outline outline;
            beside_ring(outline, rings_[i + 1], -1);
            for (const auto& p : {at(annulus.x1, place_.carrier_radius), at(annulus.x1, place_.recess_radius),
                                  at(annulus.x0, place_.recess_radius), at(annulus.x0, place_.carrier_radius)})
                outline.push_back(p);
            beside_ring(outline, rings_[i], 1);
            space(i + 1, annulus.circuit, std::move(outline));
            draw_drillings(i);
        }
        Outline last;
        beside_ring(last, rings_.back(), 1);
        last.push_back(at(place_.x1, place_.bore_radius));
        last.push_back(at(place_.x1, place_.carrier_radius));
        space(rings_.size(), outside[forwards ? 1 : 0], std::move(last));
    }

    /// Where the circuit comes in and goes on, turned into the plane of the section.
    void draw_drillings(std::size_t i) {
        const auto& annulus = annuli_[i];
        double up = 0, down = 0;
        for (const auto& net : derived_.layout.nets) {
            if (net.circuit != annulus.circuit) continue;
            for (const auto& edge : net.edges) {
                const auto& a = net.nodes[static_cast<std::size_t>(edge.a)];
                const auto& b = net.nodes[static_cast<std::size_t>(edge.b)];
                const auto meets = [&](const model::Vec3& p) { return p.x > annulus.x0 && p.x < annulus.x1; };
                if (!meets(a) || !meets(b) || std::abs(a.x - b.x) > 0.5 || edge.radius <= 0) continue;
                if (edge.in == model::CircuitNet::Edge::In::carrier) down = std::max(down, edge.radius);
                if (edge.in == model::CircuitNet::Edge::In::housing || edge.in == model::CircuitNet::Edge::In::hub)
                    up = std::max(up, edge.radius);
            }
        }
        const double middle = (annulus.x0 + annulus.x1) / 2, most = (annulus.x1 - annulus.x0) * 0.3;
        const auto drill = [&](const char* way, double radius, double from, double to) {
            if (radius <= 0) return;
            const double half = std::min(radius, most);
            SectionPiece made = out_.pieces.back();
            made.id = fmt::format("drilling-{}-{}", way, i + 1);
            made.outline = {at(middle - half, from), at(middle + half, from), at(middle + half, to),
                            at(middle - half, to)};
            drillings_.push_back(std::move(made));
        };
        drill("up", up, place_.bore_radius, place_.outer_radius);
        drill("down", down, place_.recess_radius, hollow_ ? low_radius_ : low_radius_ + 1.2);
    }

    void draw_rings() {
        out_.pieces.insert(out_.pieces.end(), drillings_.begin(), drillings_.end());
        // The suspect last, so that its outline lies over its neighbours.
        std::vector<const model::RingPlace*> order;
        for (const auto& ring : rings_)
            order.push_back(&ring);
        std::stable_partition(order.begin(), order.end(), [&](const auto* r) { return r->seal != derived_.suspect; });
        for (const auto* ring : order) {
            const auto* seal = model::find(map_.seals, ring->seal);
            if (seal == nullptr) continue;
            const double half = ring->width / 2;
            const Rgb colour = look_of(seal->material ? *seal->material : model::Material::ptfe).colour;
            piece(SectionFill::ring, "ring-" + seal->id, model::seal_name(map_, *seal),
                  {at(ring->x - half, place_.bore_radius), at(ring->x + half, place_.bore_radius),
                   at(ring->x + half, ring_bottom()), at(ring->x - half, ring_bottom())},
                  colour);
            out_.pieces.back().suspect = seal->id == derived_.suspect;
        }
    }

    void put_title() {
        SectionLabel label;
        label.id = "title";
        label.lines = title_;
        label.box = {margin, margin, margin + block_width(title_), margin + block_height(title_)};
        out_.labels.push_back(std::move(label));
    }

    /// Blocks beside each other, each with its leader, which bends once; their order is that of the things, so no
    /// leader crosses another.
    void put_row(const std::vector<Named>& row, const std::vector<double>& mm, bool above) {
        std::vector<double> wanted, widths;
        for (std::size_t i = 0; i < row.size(); ++i) {
            wanted.push_back(x_of(mm[i]));
            widths.push_back(block_width(row[i].lines));
        }
        const auto middles = spread(wanted, widths, label_gap, margin, out_.width - margin);
        for (std::size_t i = 0; i < row.size(); ++i) {
            const double height = block_height(row[i].lines);
            SectionLabel label;
            label.id = (above ? "label-" : "name-") + row[i].id;
            label.lines = row[i].lines;
            label.centred = true;
            label.suspect = row[i].suspect;
            const double edge = above ? out_.drawing.y0 - leader_room : out_.drawing.y1 + leader_room * 0.8;
            label.box = {middles[i] - widths[i] / 2, above ? edge - height : edge, middles[i] + widths[i] / 2,
                         above ? edge : edge + height};
            // Straight where the block stands right over its thing, else to its nearest corner.
            const double inset = std::min(16.0, widths[i] / 2);
            const double foot = std::clamp(wanted[i], label.box.x0 + inset, label.box.x1 - inset);
            const double bend = above ? out_.drawing.y0 - 10 : out_.drawing.y1 + 10;
            label.leader = {{wanted[i], y_of(row[i].depth)}, {wanted[i], bend}, {foot, above ? edge + 3 : edge - 3}};
            out_.labels.push_back(std::move(label));
        }
    }

    void put_tags() {
        for (std::size_t i = 0; i < annuli_.size(); ++i) {
            const auto& annulus = annuli_[i];
            const std::string tag = model::circuit_tag(map_, annulus.circuit);
            SectionLabel label;
            label.id = fmt::format("tag-{}-{}", i + 1, annulus.circuit);
            const double high = (place_.bore_radius - place_.recess_radius) * radial_;
            label.lines = {{tag, std::min(body_size, high * 0.62), true}};
            const double width = block_width(label.lines), height = block_height(label.lines);
            // To the right of the leader that comes from below.
            const double middle = x_of(annulus.x0 + 0.58 * (annulus.x1 - annulus.x0));
            const double y = (y_of(place_.bore_radius) + y_of(place_.recess_radius)) / 2;
            if (width > (annulus.x1 - annulus.x0) * along_ * 0.7) continue;
            label.box = {middle - width / 2, y - height / 2, middle + width / 2, y + height / 2};
            label.centred = true;
            for (const auto& piece : out_.pieces) {
                if (piece.id != fmt::format("space-{}-{}", i + 1, annulus.circuit)) continue;
                label.on = piece.colour;
                label.plate = piece.dashed && !piece.faded;
            }
            out_.labels.push_back(std::move(label));
        }
    }

    void put_parts() {
        const auto put = [&](const char* id, const model::Part* named, double radius, double end_mm) {
            if (named == nullptr) return;
            SectionLabel label;
            label.id = id;
            label.lines = {{part_name(*named), body_size}};
            const double x = out_.drawing.x1 + 30, y = y_of(radius), height = block_height(label.lines);
            label.box = {x, y - height / 2, x + block_width(label.lines), y + height / 2};
            label.leader = {{x_of(end_mm) - 12, y}, {x - 4, y}};
            out_.labels.push_back(std::move(label));
        };
        put("part-bore", part(stack_.bore), place_.bore_radius + 0.6 * (place_.outer_radius - place_.bore_radius),
            place_.x1);
        put("part-carrier", part(stack_.on), low_radius_ + 0.4 * (place_.groove_radius - low_radius_), high_mm_);
    }

    void put_ends() {
        const bool forwards = stack_.first_end_to_engine;
        const auto put = [&](const char* id, const std::string& name, bool left) {
            SectionLabel label;
            label.id = id;
            const std::string words = end_with_lie(tr_, name, session_.view.lying, left);
            label.lines = {{left ? "← " + words : words + " →", body_size, false, true}};
            const double width = block_width(label.lines), height = block_height(label.lines);
            const double y = out_.drawing.y1 + leader_room * 0.8 + body_size * line_step + 8 + axis_room;
            const double x = left ? out_.drawing.x0 : std::max(out_.drawing.x1 - width, out_.drawing.x0 + width);
            label.box = {x, y, x + width, y + height};
            out_.labels.push_back(std::move(label));
        };
        put("end-left", forwards ? stack_.first_end : stack_.second_end, true);
        put("end-right", forwards ? stack_.second_end : stack_.first_end, false);
    }

    /// The cells of the legend from the left, in as many rows as they need; their number.
    double plan_legend() {
        out_.legend.clear();
        double x = margin, rows = 1;
        for (const auto& circuit : map_.circuits) {
            const bool here = std::any_of(annuli_.begin(), annuli_.end(),
                                          [&](const auto& annulus) { return annulus.circuit == circuit.id; });
            if (!here) continue;
            const std::string name = model::circuit_name(map_, circuit.id);
            const double width = 34 + wide_text_width(name, body_size) + 22;
            if (x + width > out_.width - margin && x > margin) x = margin, rows += 1;
            out_.legend.push_back(
                {"legend-" + circuit.id, name, {x, rows - 1}, circuit_look(derived_, map_, circuit.id)});
            x += width;
        }
        return rows;
    }

    void put_legend() {
        const double top = out_.height - margin - 14 - legend_rows_ * legend_step;
        for (auto& cell : out_.legend)
            cell.at.y = top + cell.at.y * legend_step;
        std::string words = tr_("Clearances drawn larger than they are");
        if (out_.radial_times > 1.02)
            words += ", " + filled(tr_("radial sizes {0} times larger than lengths"), tr_.number(out_.radial_times, 1));
        words += "; " + tr_("drillings turned into the plane. The maker's service information decides.");
        SectionLabel label;
        label.id = "note";
        // Where the page is narrow the sentence takes several lines.
        std::string line;
        for (std::size_t from = 0; from < words.size();) {
            const auto to = std::min(words.find(' ', from), words.size());
            const std::string word = words.substr(from, to - from);
            if (!line.empty() && wide_text_width(line + " " + word, note_size) > out_.width - 2 * margin) {
                label.lines.push_back({line, note_size, false, true});
                line.clear();
            }
            line += (line.empty() ? "" : " ") + word;
            from = to + 1;
        }
        label.lines.push_back({line, note_size, false, true});
        const double bottom = out_.height - 12;
        label.box = {margin, bottom - block_height(label.lines), margin + block_width(label.lines), bottom};
        out_.labels.push_back(std::move(label));
    }

    static constexpr double label_gap = 16, legend_step = 26, axis_room = 18;
    const Translator& tr_;
    const Session& session_;
    const Derived& derived_;
    const PictureSpec& spec_;
    const model::UnitMap& map_;
    const model::StackPlace& place_;
    const model::Stack& stack_;
    std::vector<model::RingPlace> rings_;     ///< by x
    std::vector<model::AnnulusPlace> annuli_; ///< by x
    std::vector<SectionLine> title_;
    std::vector<Named> ring_words_, circuit_words_;
    std::vector<double> ring_x_, circuit_x_;
    std::vector<SectionPiece> drillings_;
    SectionPlan out_;
    double low_mm_ = 0, high_mm_ = 0, low_radius_ = 0, along_ = 1, radial_ = 1, above_ = 0, below_ = 0,
           legend_rows_ = 0;
    bool hollow_ = false; ///< the lower edge is the wall of a real bore
};

/// Share of the size that a letter is wide, rather too much.
double letter_width(std::uint32_t letter) {
    if (letter < 0x80) {
        const char c = static_cast<char>(letter);
        if (std::string_view("ilj.,'|:;!I").find(c) != std::string_view::npos) return 0.34;
        if (std::string_view(" ftr()[]-/").find(c) != std::string_view::npos) return 0.42;
        if (std::string_view("mwMW@%").find(c) != std::string_view::npos) return 0.98;
        return (c >= 'A' && c <= 'Z') ? 0.76 : 0.64;
    }
    if (letter >= 0x300 && letter < 0x370) return 0; // marks over the letter before
    return letter < 0x1100 ? 0.82 : 1.05;
}

const model::StackPlace* shown_stack(const Session& session, const Derived& derived) {
    const auto& view = session.view;
    const std::string& wanted = !derived.suspect.empty()                         ? derived.suspect
                                : view.selected.kind == model::SubjectKind::seal ? view.selected.id
                                                                                 : derived.suspect;
    const auto* seal = model::find(session.document.map.seals, wanted);
    for (const auto& place : derived.layout.stacks) {
        if (seal != nullptr && place.stack == seal->stack) return &place;
    }
    return derived.layout.stacks.empty() ? nullptr : &derived.layout.stacks.front();
}

} // namespace

double wide_text_width(std::string_view text, double size) {
    double width = 0;
    for (std::size_t i = 0; i < text.size();) {
        const auto first = static_cast<unsigned char>(text[i]);
        const std::size_t bytes = first >= 0xF0 ? 4 : first >= 0xE0 ? 3 : first >= 0xC0 ? 2 : 1;
        std::uint32_t letter = bytes == 1 ? first : first & (0x7Fu >> bytes);
        for (std::size_t k = 1; k < bytes && i + k < text.size(); ++k)
            letter = letter << 6 | (static_cast<unsigned char>(text[i + k]) & 0x3Fu);
        width += letter_width(letter);
        i += bytes;
    }
    return width * size;
}

std::optional<SectionPlan> plan_section(const Session& session, const Derived& derived, const PictureSpec& spec,
                                        const Translator& tr) {
    const auto* place = shown_stack(session, derived);
    const auto* stack = place != nullptr ? model::find(session.document.map.stacks, place->stack) : nullptr;
    if (stack == nullptr) return std::nullopt;
    return Planner(session, derived, spec, *place, *stack, tr).plan();
}

} // namespace ringland::viewer
