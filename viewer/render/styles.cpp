#include "styles.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <set>
#include <string>

#include <glm/common.hpp>

#include "materials.h"

namespace ringland::viewer {

namespace {

using model::Subject;
using model::SubjectKind;

/// What the shown answer is about; everything else steps back.
struct Question {
    bool shown = false;
    std::set<std::string> seals, circuits, ports, parts;
    std::set<std::string>
        beside; ///< seals and circuits of the suspect's stack: they are counted, so they stay readable

    [[nodiscard]] double fade(const Subject& subject) const {
        if (!shown) return 0;
        const auto in = [&](const std::set<std::string>& ids) { return ids.count(subject.id) > 0; };
        switch (subject.kind) {
        case SubjectKind::seal:
            return in(seals) ? 0 : (in(beside) ? 0.12 : 0.55);
        case SubjectKind::circuit:
            return in(circuits) ? 0 : (in(beside) ? 0.5 : 0.72);
        case SubjectKind::port:
            return in(ports) ? 0 : 0.6;
        case SubjectKind::part:
            return in(parts) ? 0.05 : 0.55;
        case SubjectKind::none:
            return 0.6;
        }
        return 0;
    }
};

Question question_of(const Session& session, const Derived& derived) {
    Question question;
    const auto& map = session.document.map;
    if (derived.suspect.empty()) return question;
    question.shown = true;
    question.seals.insert(derived.suspect);
    for (const auto* port_id : {&session.document.air_into, &session.document.came_out}) {
        if (const auto* port = model::find(map.ports, *port_id)) question.circuits.insert(port->circuit);
    }
    if (const auto* seal = model::find(map.seals, derived.suspect)) {
        question.circuits.insert(seal->between.begin(), seal->between.end());
        question.parts.insert(seal->at);
        if (const auto* stack = model::find(map.stacks, seal->stack)) {
            question.parts.insert(stack->on);
            question.parts.insert(stack->bore);
            question.beside.insert(stack->seals.begin(), stack->seals.end());
            question.beside.insert(stack->circuits.begin(), stack->circuits.end());
        }
    }
    for (const auto& port : map.ports) {
        if (question.circuits.count(port.circuit) > 0) question.ports.insert(port.id);
    }
    return question;
}

/// What is shown alone: one circuit or two with their ports, and the seals that hold them.
struct Alone {
    bool shown = false;
    std::set<std::string> circuits, seals, ports;

    [[nodiscard]] bool keeps(const Subject& subject) const {
        switch (subject.kind) {
        case SubjectKind::seal:
            return seals.count(subject.id) > 0;
        case SubjectKind::circuit:
            return circuits.count(subject.id) > 0;
        case SubjectKind::port:
            return ports.count(subject.id) > 0;
        default:
            return false;
        }
    }
};

Alone alone_of(const Session& session) {
    Alone alone;
    const auto& map = session.document.map;
    alone.circuits.insert(session.view.alone.begin(), session.view.alone.end());
    alone.shown = !alone.circuits.empty();
    if (!alone.shown) return alone;
    for (const auto& seal : map.seals) {
        if (alone.circuits.count(seal.between[0]) + alone.circuits.count(seal.between[1]) > 0)
            alone.seals.insert(seal.id);
    }
    for (const auto& port : map.ports) {
        if (alone.circuits.count(port.circuit) > 0) alone.ports.insert(port.id);
    }
    return alone;
}

constexpr double alone_fade = 0.86, alone_glass = 0.03, alone_glass_ink = 0.16;
constexpr double wire_ink = 0.45;
constexpr float suspect_through = 0.38f, traced_through = 0.5f;

Rgb mix(const Rgb& a, const Rgb& b, double t) {
    return {a.r + (b.r - a.r) * t, a.g + (b.g - a.g) * t, a.b + (b.b - a.b) * t};
}

constexpr Rgb edge_ink = rgb(0x1D2228);

} // namespace

std::vector<int> ranks_by_size(const std::vector<model::Shape>& shapes) {
    std::vector<double> size(shapes.size(), 0);
    for (std::size_t i = 0; i < shapes.size(); ++i) {
        glm::vec3 low(1e9f), high(-1e9f);
        for (const auto& p : shapes[i].mesh.positions) {
            low = glm::min(low, p);
            high = glm::max(high, p);
        }
        const glm::dvec3 edge = shapes[i].mesh.positions.empty() ? glm::dvec3(0) : glm::dvec3(high - low);
        size[i] = edge.x * edge.y * edge.z;
    }
    std::vector<int> order(shapes.size()), rank(shapes.size());
    std::iota(order.begin(), order.end(), 0);
    std::stable_sort(order.begin(), order.end(), [&](int a, int b) {
        return size[static_cast<std::size_t>(a)] > size[static_cast<std::size_t>(b)];
    });
    for (std::size_t i = 0; i < order.size(); ++i)
        rank[static_cast<std::size_t>(order[i])] = static_cast<int>(i);
    return rank;
}

std::vector<ShapeStyle> style_shapes(const Session& session, const Derived& derived, const Subject& hover,
                                     const std::vector<int>& ranks, double now_s) {
    const auto& map = session.document.map;
    const auto& shapes = derived.shapes;
    const auto question = question_of(session, derived);
    const auto alone = alone_of(session);
    const std::string traced = traced_circuit(map, hover);
    const Apartness apart = apartness(session, derived, now_s);
    const auto theme = look_of(session.view.theme);
    const auto ground = mix(theme.ground_top, theme.ground_bottom, 0.5);
    // Towards this tone pale parts go: darker than the paper, so that light and shade still show on them.
    const auto pale = session.view.theme == Theme::dark ? ground : mix(ground, edge_ink, 0.06);
    const float raise_step = shapes.empty() ? 0.0f : 0.2f / static_cast<float>(shapes.size());
    const bool dark = session.view.theme == Theme::dark;

    std::vector<ShapeStyle> styles(shapes.size());
    for (std::size_t i = 0; i < shapes.size(); ++i) {
        const auto& shape = shapes[i];
        auto& style = styles[i];
        const bool is_suspect = shape.subject.kind == SubjectKind::seal && shape.subject.id == derived.suspect;
        bool touched = shape.subject.kind != SubjectKind::none && shape.subject == hover;
        const bool on_trace = !traced.empty() && traced_circuit(map, shape.subject) == traced;
        const bool chosen = shape.subject.kind != SubjectKind::none && shape.subject == session.view.selected;
        const auto look = look_of(shape.material);
        Rgb colour = look.colour;
        style.shine = static_cast<float>(std::clamp(1.25 - 1.5 * look.roughness, 0.0, 1.0));
        style.hatch = static_cast<float>(shape.hatch % 6);
        if (shape.material == model::Material::rubber || shape.material == model::Material::friction ||
            shape.subject.kind == SubjectKind::seal) {
            style.hatch = -1; // too thin for lines: a flat face, as in a drawing
        }
        if (shape.circuit_space) {
            std::string circuit = shape.subject.id;
            if (const auto* port = model::find(map.ports, circuit); shape.subject.kind == SubjectKind::port && port) {
                circuit = port->circuit;
            }
            const auto own = circuit_look(derived, map, circuit);
            colour = own.colour;
            style.kind = 1;
            style.dashed = own.dashed ? 1.0f : 0.0f;
        }
        touched = touched || on_trace;
        const bool kept = alone.keeps(shape.subject) || on_trace;
        double fade = alone.shown ? (kept ? 0 : alone_fade) : (on_trace ? 0 : question.fade(shape.subject));
        const bool others_as_glass = alone.shown && !kept;
        const bool as_glass = (shape.glass || others_as_glass) && !session.view.section;
        if (as_glass) {
            style.kind = 2;
            style.alpha = dark ? 0.10f : 0.17f;
            fade *= 0.5;
            if (others_as_glass) style.alpha = static_cast<float>(alone_glass);
        }
        if (apart.any() && i < derived.explosion.spans.size() && derived.explosion.spans[i] != 0)
            fade = std::max(fade, std::min(1.0, apart.share() / drillings_fade_until));
        if (is_suspect) {
            colour = suspect_colour;
            style.kind = 1;
        }
        if (shape.subject.kind == SubjectKind::seal && !is_suspect) {
            // The likelier, the redder; the label beside it says the figure.
            if (const double chance = chance_of(derived, map, shape.subject.id); chance >= least_chance_shown) {
                colour = mix(colour, suspect_colour, 0.85 * std::sqrt(chance));
                fade *= 1 - chance;
            }
        }
        const double lift = is_suspect ? 0 : (touched ? 0.24 : (chosen ? 0.16 : 0));
        colour = mix(colour, rgb(0xFFFFFF), lift);
        if (lift > 0 && as_glass) style.alpha *= 1.6f;
        colour = mix(colour, shape.circuit_space ? ground : pale, fade);
        const auto lit = linear(colour);
        style.colour = {lit.r, lit.g, lit.b};
        style.shine *= static_cast<float>(1 - fade);
        if (!as_glass) style.alpha = static_cast<float>(1 - 0.6 * fade);
        style.cut = shape.section == model::SectionRule::cut ? 1.0f : 0.0f;

        Rgb ink = as_glass && dark ? rgb(0xA3ABB4) : edge_ink;
        ink = mix(ink, ground, as_glass ? 0.1 : 0.55 * fade);
        double alpha = as_glass ? 0.42 : 0.88;
        style.line_width = is_suspect ? 2.2f : (touched ? 1.9f : (chosen ? 1.6f : 1.0f));
        if (others_as_glass) alpha = as_glass ? alone_glass_ink : 2 * alone_glass_ink;
        if (touched || chosen) alpha = std::min(1.0, alpha * 1.6);
        alpha *= 1 - 0.35 * fade;
        // Bent wire is all outline: in full ink a coil would be a black spot.
        const bool wire =
            shape.material == model::Material::spring_steel && 10 * shape.mesh.crease.size() < shape.mesh.smooth.size();
        if (wire) alpha *= wire_ink;
        style.ink = {static_cast<float>(ink.r), static_cast<float>(ink.g), static_cast<float>(ink.b),
                     static_cast<float>(alpha)};
        style.raise_mm = 0.12f + raise_step * static_cast<float>(ranks[i]);
        style.id = static_cast<float>(i + 1);
        if (i < derived.explosion.shapes.size() && apart.any()) {
            style.along = static_cast<float>(apart.moved_mm(derived.explosion.shapes[i]));
            style.hidden = derived.explosion.spans[i] != 0 && apart.share() >= drillings_fade_until ? 1.0f : 0.0f;
        }
        // Closed, the unit hides what the answer is about; cut open, a ghost would only blur the counting.
        if (is_suspect && !session.view.section) style.through = suspect_through;
        if (on_trace) style.through = traced_through;
    }
    return styles;
}

} // namespace ringland::viewer
