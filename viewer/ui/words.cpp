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

std::string circuit_ports(const Translator& tr, const model::UnitMap& map, const std::string& circuit) {
    std::vector<std::string> ports;
    for (const auto& port : map.ports) {
        if (port.circuit == circuit) ports.push_back(port.id);
    }
    return ports.empty() ? tr("no port on the case face")
                         : filled(tr("port {0}"), fmt::format("{}", fmt::join(ports, ", ")));
}

} // namespace

std::string port_title(const model::UnitMap& map, const std::string& port) {
    const auto* found = find(map.ports, port);
    return found ? fmt::format("{} {}", found->id, model::port_label(map, *found)) : port;
}

std::string joined(const Translator& tr, const std::vector<std::string>& names) {
    std::string text;
    for (std::size_t i = 0; i < names.size(); ++i) {
        if (i == 0)
            text = names[i];
        else if (i + 1 < names.size())
            text += ", " + names[i];
        else
            text = filled(tr("{0} and {1}"), text, names[i]);
    }
    return text;
}

std::string key_words(const Translator& tr, std::string_view key) {
    std::string text;
    while (!key.empty()) {
        // The plus sign is a key itself where it stands last.
        const std::size_t plus = key.size() > 1 ? key.find('+') : std::string_view::npos;
        const std::string_view one = key.substr(0, plus);
        text += (text.empty() ? "" : "+") + tr(one);
        key = plus == std::string_view::npos ? std::string_view() : key.substr(plus + 1);
    }
    return text;
}

std::string circuit_words(const Translator& tr, const model::UnitMap& map, std::string_view circuit) {
    const std::string name = model::circuit_name(map, circuit);
    return name == model::sump_id ? tr("sump") : name;
}

std::string seal_words(const Translator& tr, const model::Seal& seal) {
    if (!seal.name.empty()) return seal.name;
    return filled(tr("{0} {1}"), seal.id, kind_word(tr, seal.kind));
}

std::string material_words(const Translator& tr, model::Material material) {
    switch (material) {
    case model::Material::ptfe:
        return "PTFE";
    case model::Material::peek:
        return "PEEK";
    case model::Material::pai:
        return "PAI";
    case model::Material::spring_steel:
        return tr("spring steel");
    default:
        return tr.word(material);
    }
}

std::string kind_word(const Translator& tr, model::SealKind kind) {
    switch (kind) {
    case model::SealKind::lip:
        return tr("lip seal");
    case model::SealKind::d_ring:
        return tr("D-ring");
    case model::SealKind::o_ring:
        return tr("O-ring");
    case model::SealKind::gasket_bridge:
        return tr("gasket bridge");
    case model::SealKind::wall:
        return tr("casting wall");
    case model::SealKind::check_ball:
        return tr("check ball");
    default:
        return tr.word(kind);
    }
}

std::string kind_words(const Translator& tr, const model::Seal& seal) {
    std::string text = kind_word(tr, seal.kind);
    // A gasket bridge is of gasket: said once.
    if (seal.material) {
        const std::string material = material_words(tr, *seal.material);
        if (text.find(material) == std::string::npos) text += fmt::format(", {}", material);
    }
    if (seal.joint != model::Joint::none) text += filled(tr(", {0} joint"), tr.word(seal.joint));
    return text;
}

std::string relation_words(const Translator& tr, model::Relation relation) {
    switch (relation) {
    case model::Relation::stack:
        return tr("in a stack");
    case model::Relation::face:
        return tr("on the case face");
    case model::Relation::shaft:
        return tr("inside a shaft");
    case model::Relation::drum:
        return tr("inside a drum or servo");
    }
    return {};
}

std::string both_ends_lying(const Translator& tr, const model::UnitMap& map, const diagnosis::StackPosition& position,
                            model::Lying lying) {
    const auto* stack = find(map.stacks, position.stack);
    const bool first_to_engine = !stack || stack->first_end_to_engine;
    return filled(tr("{0} from the {1} · {2} from the {3}"), tr.ordinal(position.nth_from_first_end),
                  end_with_lie(tr, position.first_end, lying, first_to_engine),
                  tr.ordinal(position.nth_from_second_end),
                  end_with_lie(tr, position.second_end, lying, !first_to_engine));
}

std::string place_words(const Translator& tr, const model::UnitMap& map, const model::Seal& seal, model::Lying lying) {
    if (const auto position = diagnosis::stack_position(map, seal)) {
        return fmt::format("{}: {}", tr.map_word(position->stack_name), both_ends_lying(tr, map, *position, lying));
    }
    if (seal.at.empty()) return relation_words(tr, seal.relation);
    return fmt::format("{}: {}", relation_words(tr, seal.relation), tr.map_word(name_or_id(map, seal.at)));
}

std::string pressure_words(const Translator& tr, const model::GaugePressure& pressure, UnitSystem units) {
    constexpr auto& known = model::PressureDimension::units;
    if (units == UnitSystem::psi_inch) return tr.number(pressure.si() / known[0].si_per_unit, 0) + " psi";
    return tr.number(pressure.si() / known[2].si_per_unit, 1) + " bar";
}

std::string gauge_words(const Translator& tr, double gauge_pa, UnitSystem units) {
    constexpr auto& known = model::PressureDimension::units;
    if (units == UnitSystem::bar_mm) return tr.number(gauge_pa / known[2].si_per_unit, 2) + " bar";
    const double psi = gauge_pa / known[0].si_per_unit;
    return tr.number(psi, psi < 9.95 ? 1 : 0) + " psi";
}

std::string seen_words(const Translator& tr, const model::Seen& seen, UnitSystem units) {
    if (seen.word) return tr.word(*seen.word);
    if (seen.pressure) return gauge_words(tr, seen.pressure->si(), units);
    if (seen.flow_lpm) return flow_words(tr, *seen.flow_lpm);
    if (!seen.applies_after_s) return tr("not sure");
    return *seen.applies_after_s >= diagnosis::suspects::longest_wait_s ? tr("never")
                                                                        : tr.number(*seen.applies_after_s, 1) + " s";
}

std::string flow_words(const Translator& tr, double lpm) {
    if (lpm < 0.005) return "0 L/min";
    return tr.number(lpm, lpm < 0.995 ? 2 : lpm < 99.5 ? 1 : 0) + " L/min";
}

std::string air_words(const Translator& tr, const Session& session, const Derived& derived,
                      const model::Subject& subject) {
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
            return filled(tr("{0} in it now"), gauge_words(tr, now.circuit_gauge_pa[i], units));
        break;
    case model::SubjectKind::port:
        if (subject.id == session.document.air_into)
            return filled(tr("{0} at this port, {1} go in"), gauge_words(tr, now.port_gauge_pa, units),
                          flow_words(tr, now.supply_lpm));
        if (const auto i = index(map.ports, subject.id); i < now.port_lpm.size())
            return filled(tr("{0} come out"), flow_words(tr, now.port_lpm[i]));
        break;
    case model::SubjectKind::seal:
        if (const auto i = index(map.seals, subject.id); i < now.seal_lpm.size()) {
            const auto& seal = map.seals[i];
            const bool forward = now.seal_lpm[i] >= 0;
            return filled(tr("lets {0} through, from {1} into {2}"), flow_words(tr, std::abs(now.seal_lpm[i])),
                          circuit_words(tr, map, seal.between[forward ? 0 : 1]),
                          circuit_words(tr, map, seal.between[forward ? 1 : 0]));
        }
        break;
    case model::SubjectKind::part:
    case model::SubjectKind::none:
        break;
    }
    return {};
}

std::string length_words(const Translator& tr, const model::Length& length, UnitSystem units) {
    if (units == UnitSystem::psi_inch) return tr.number(model::in_mm(length) / 25.4, 3) + " in";
    return tr.number(model::in_mm(length), 2) + " mm";
}

std::string lying_words(const Translator& tr, model::Lying lying) {
    switch (lying) {
    case model::Lying::belly_up:
        return tr("belly up");
    case model::Lying::bell_down:
        return tr("bell down");
    case model::Lying::tail_down:
        return tr("tail down");
    case model::Lying::in_vehicle:
        return tr("as in the vehicle");
    }
    return {};
}

SubjectWords subject_words(const Translator& tr, const Session& session, const model::Subject& subject) {
    const model::UnitMap& map = session.document.map;
    switch (subject.kind) {
    case model::SubjectKind::none:
        break;
    case model::SubjectKind::port:
        if (const auto* port = find(map.ports, subject.id)) {
            return {port_title(map, port->id), filled(tr("port into {0}"), circuit_words(tr, map, port->circuit))};
        }
        break;
    case model::SubjectKind::circuit:
        if (find(map.circuits, subject.id)) {
            return {circuit_words(tr, map, subject.id), filled(tr("circuit, {0}"), circuit_ports(tr, map, subject.id))};
        }
        break;
    case model::SubjectKind::seal:
        if (const auto* seal = find(map.seals, subject.id)) {
            return {seal_words(tr, *seal),
                    filled(tr("{0} · divides {1} from {2}"), place_words(tr, map, *seal, session.view.lying),
                           circuit_words(tr, map, seal->between[0]), circuit_words(tr, map, seal->between[1]))};
        }
        break;
    case model::SubjectKind::part:
        if (const auto* part = find(map.parts, subject.id)) {
            return {tr.map_word(name_or_id(map, part->id)), part->name.empty() || part->name == part->id
                                                                ? tr(with_spaces(model::word(part->kind)))
                                                                : part->note};
        }
        break;
    }
    return {subject.id, ""};
}

} // namespace ringland::viewer
