#include "words.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include <fmt/format.h>

#include "../../diagnosis/suspects/likelihood.h"
#include "../app/camera.h"

namespace ringland::viewer {

namespace {

using model::find;

std::string with_spaces(std::string_view word) {
    std::string text(word);
    std::replace(text.begin(), text.end(), '-', ' ');
    return text;
}

std::string name_or_id(const model::UnitMap& map, const std::string& part) {
    const auto* found = find(map.parts, part);
    return found && !found->name.empty() ? found->name : part;
}

std::string circuit_ports(const model::UnitMap& map, const std::string& circuit) {
    std::vector<std::string> ports;
    for (const auto& port : map.ports) {
        if (port.circuit == circuit) ports.push_back(port.id);
    }
    return ports.empty() ? "no port on the case face" : fmt::format("port {}", fmt::join(ports, ", "));
}

} // namespace

std::string port_title(const model::UnitMap& map, const std::string& port) {
    const auto* found = find(map.ports, port);
    return found ? fmt::format("{} {}", found->id, model::port_label(map, *found)) : port;
}

std::string_view material_words(model::Material material) {
    switch (material) {
    case model::Material::ptfe:
        return "PTFE";
    case model::Material::peek:
        return "PEEK";
    case model::Material::pai:
        return "PAI";
    case model::Material::spring_steel:
        return "spring steel";
    default:
        return model::word(material);
    }
}

std::string_view kind_word(model::SealKind kind) {
    switch (kind) {
    case model::SealKind::lip:
        return "lip seal";
    case model::SealKind::d_ring:
        return "D-ring";
    case model::SealKind::o_ring:
        return "O-ring";
    case model::SealKind::gasket_bridge:
        return "gasket bridge";
    case model::SealKind::wall:
        return "casting wall";
    case model::SealKind::check_ball:
        return "check ball";
    default:
        return model::word(kind);
    }
}

std::string kind_words(const model::Seal& seal) {
    std::string text(kind_word(seal.kind));
    // A gasket bridge is of gasket: said once.
    if (seal.material && text.find(material_words(*seal.material)) == std::string::npos) {
        text += fmt::format(", {}", material_words(*seal.material));
    }
    if (seal.joint != model::Joint::none) text += fmt::format(", {} joint", model::word(seal.joint));
    return text;
}

std::string_view relation_words(model::Relation relation) {
    switch (relation) {
    case model::Relation::stack:
        return "in a stack";
    case model::Relation::face:
        return "on the case face";
    case model::Relation::shaft:
        return "inside a shaft";
    case model::Relation::drum:
        return "inside a drum or servo";
    }
    return "";
}

std::string both_ends_lying(const model::UnitMap& map, const diagnosis::StackPosition& position, model::Lying lying) {
    const auto* stack = find(map.stacks, position.stack);
    const bool first_to_engine = !stack || stack->first_end_to_engine;
    return fmt::format("{} from the {} · {} from the {}", diagnosis::ordinal(position.nth_from_first_end),
                       end_with_lie(position.first_end, lying, first_to_engine),
                       diagnosis::ordinal(position.nth_from_second_end),
                       end_with_lie(position.second_end, lying, !first_to_engine));
}

std::string place_words(const model::UnitMap& map, const model::Seal& seal, model::Lying lying) {
    if (const auto position = diagnosis::stack_position(map, seal)) {
        return fmt::format("{}: {}", position->stack_name, both_ends_lying(map, *position, lying));
    }
    if (seal.at.empty()) return std::string(relation_words(seal.relation));
    return fmt::format("{}: {}", relation_words(seal.relation), name_or_id(map, seal.at));
}

std::string pressure_words(const model::GaugePressure& pressure, UnitSystem units) {
    constexpr auto& known = model::PressureDimension::units;
    if (units == UnitSystem::psi_inch) return fmt::format("{:.0f} psi", pressure.si() / known[0].si_per_unit);
    return fmt::format("{:.1f} bar", pressure.si() / known[2].si_per_unit);
}

std::string gauge_words(double gauge_pa, UnitSystem units) {
    constexpr auto& known = model::PressureDimension::units;
    if (units == UnitSystem::bar_mm) return fmt::format("{:.2f} bar", gauge_pa / known[2].si_per_unit);
    const double psi = gauge_pa / known[0].si_per_unit;
    return psi < 9.95 ? fmt::format("{:.1f} psi", psi) : fmt::format("{:.0f} psi", psi);
}

std::string seen_words(const model::Seen& seen, UnitSystem units) {
    if (seen.word) return std::string(model::word(*seen.word));
    if (seen.pressure) return gauge_words(seen.pressure->si(), units);
    if (seen.flow_lpm) return flow_words(*seen.flow_lpm);
    if (!seen.applies_after_s) return "not sure";
    return *seen.applies_after_s >= diagnosis::suspects::longest_wait_s
               ? "never"
               : fmt::format("{:.1f} s", *seen.applies_after_s);
}

std::string flow_words(double lpm) {
    if (lpm < 0.005) return "0 L/min";
    if (lpm < 0.995) return fmt::format("{:.2f} L/min", lpm);
    return lpm < 99.5 ? fmt::format("{:.1f} L/min", lpm) : fmt::format("{:.0f} L/min", lpm);
}

std::string air_words(const Session& session, const Derived& derived, const model::Subject& subject) {
    if (!derived.air_now) return {};
    const AirNow& now = *derived.air_now;
    const model::UnitMap& map = session.document.map;
    const UnitSystem units = session.view.units;
    const auto index = [&](const auto& list, const std::string& id) {
        return static_cast<std::size_t>(
            std::find_if(list.begin(), list.end(), [&](const auto& t) { return t.id == id; }) - list.begin());
    };
    switch (subject.kind) {
    case model::SubjectKind::circuit:
        if (const auto i = index(map.circuits, subject.id); i < now.circuit_gauge_pa.size())
            return gauge_words(now.circuit_gauge_pa[i], units) + " in it now";
        break;
    case model::SubjectKind::port:
        if (subject.id == session.document.air_into)
            return fmt::format("{} at this port, {} go in", gauge_words(now.port_gauge_pa, units),
                               flow_words(now.supply_lpm));
        if (const auto i = index(map.ports, subject.id); i < now.port_lpm.size())
            return flow_words(now.port_lpm[i]) + " come out";
        break;
    case model::SubjectKind::seal:
        if (const auto i = index(map.seals, subject.id); i < now.seal_lpm.size()) {
            const auto& seal = map.seals[i];
            const bool forward = now.seal_lpm[i] >= 0;
            return fmt::format("lets {} through, from {} into {}", flow_words(std::abs(now.seal_lpm[i])),
                               model::circuit_name(map, seal.between[forward ? 0 : 1]),
                               model::circuit_name(map, seal.between[forward ? 1 : 0]));
        }
        break;
    case model::SubjectKind::part:
    case model::SubjectKind::none:
        break;
    }
    return {};
}

std::string length_words(const model::Length& length, UnitSystem units) {
    if (units == UnitSystem::psi_inch) return fmt::format("{:.3f} in", model::in_mm(length) / 25.4);
    return fmt::format("{:.2f} mm", model::in_mm(length));
}

std::string_view lying_words(model::Lying lying) {
    switch (lying) {
    case model::Lying::belly_up:
        return "belly up";
    case model::Lying::bell_down:
        return "bell down";
    case model::Lying::tail_down:
        return "tail down";
    case model::Lying::in_vehicle:
        return "as in the vehicle";
    }
    return "";
}

SubjectWords subject_words(const Session& session, const model::Subject& subject) {
    const model::UnitMap& map = session.document.map;
    switch (subject.kind) {
    case model::SubjectKind::none:
        break;
    case model::SubjectKind::port:
        if (const auto* port = find(map.ports, subject.id)) {
            return {port_title(map, port->id), fmt::format("port into {}", model::circuit_name(map, port->circuit))};
        }
        break;
    case model::SubjectKind::circuit:
        if (find(map.circuits, subject.id)) {
            return {model::circuit_name(map, subject.id), "circuit, " + circuit_ports(map, subject.id)};
        }
        break;
    case model::SubjectKind::seal:
        if (const auto* seal = find(map.seals, subject.id)) {
            return {model::seal_name(map, *seal),
                    fmt::format("{} · divides {} from {}", place_words(map, *seal, session.view.lying),
                                model::circuit_name(map, seal->between[0]),
                                model::circuit_name(map, seal->between[1]))};
        }
        break;
    case model::SubjectKind::part:
        if (const auto* part = find(map.parts, subject.id)) {
            return {name_or_id(map, part->id),
                    part->name.empty() || part->name == part->id ? with_spaces(model::word(part->kind)) : part->note};
        }
        break;
    }
    return {subject.id, ""};
}

} // namespace ringland::viewer
