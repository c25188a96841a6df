// Units of any size for measuring and for small checks, made up in code: `stacks` shafts of five circuits each, with a
// port for every circuit and ten seals to the stack: six rings, a lip and an O-ring in the drum, and two gasket bridges
// to the next stack. Four stacks are 40 seals and 20 ports. Invented; no real unit is like them.
#pragma once

#include <algorithm>
#include <stdexcept>
#include <string>

#include <fmt/format.h>

#include "../../diagnosis/airflow/expected.h"
#include "../../diagnosis/airflow/heard.h"
#include "../../diagnosis/airflow/unit_air.h"
#include "../../model-data/map_io.h"
#include "../../model-data/readings.h"

namespace ringland::tests {

inline std::string bench_unit_text(int stacks) {
    std::string text = "[unit]\nid = \"bench\"\nname = \"Bench unit\"\ninvented = true\n"
                       "[[part]]\nid = \"pump\"\nkind = \"pump\"\nminutes = 18\n";
    const auto circuit = [](int stack, int n) { return fmt::format("s{}c{}", stack + 1, n); };
    for (int s = 0; s < stacks; ++s) {
        text += fmt::format("[[part]]\nid = \"shaft{0}\"\nkind = \"shaft\"\nafter = [\"pump\"]\nminutes = 3\n"
                            "[[part]]\nid = \"drum{0}\"\nkind = \"drum\"\nafter = [\"shaft{0}\"]\nminutes = 4\n",
                            s + 1);
        std::string row = "pump end";
        for (int n = 1; n <= 5; ++n) {
            row += " | " + circuit(s, n);
            text += fmt::format("[[circuit]]\nid = \"{0}\"\nname = \"{0}\"\nkind = \"apply\"\nvolume_cm3 = {1}\n",
                                circuit(s, n), 20 + 3 * n);
            text += fmt::format("[[port]]\ncircuit = \"{}\"\nat_mm = [{}, {}]\n", circuit(s, n), 40 * s, 30 * n);
        }
        for (const int n : {1, 3})
            text += fmt::format("[[element]]\nid = \"{0}-clutch\"\nkind = \"clutch\"\napplied-by = [\"{0}\"]\n"
                                "apply-area_cm2 = 70\nreturn-spring_psi = 12\nstroke_mm = 2\n",
                                circuit(s, n));
        text += fmt::format("[[stack]]\nid = \"stack{0}\"\nrow = \"{1} | drum end\"\non = \"shaft{0}\"\n"
                            "diameter_mm = {2}\njoint = \"scarf\"\n",
                            s + 1, row, 40 + 4 * s);
        const auto seal = [&](const char* stem, const char* kind, const char* relation, const std::string& a,
                              const std::string& b, const std::string& more) {
            text += fmt::format("[[seal]]\nid = \"{}{}\"\nkind = \"{}\"\nrelation = \"{}\"\nbetween = [\"{}\", "
                                "\"{}\"]\n{}",
                                stem, s + 1, kind, relation, a, b, more);
        };
        const std::string drum = fmt::format("at = \"drum{}\"\n", s + 1);
        seal("L", "lip", "drum", circuit(s, 1), "sump", drum + fmt::format("faces = \"{}\"\n", circuit(s, 1)));
        seal("O", "o-ring", "drum", circuit(s, 2), circuit(s, 4), drum);
        const int next = (s + 1) % stacks;
        const std::string look = "look-minutes = 6\nlook = \"the print in the gasket\"\n";
        seal("A", "gasket-bridge", "face", circuit(s, 2), circuit(next, stacks > 1 ? 4 : 5), look);
        seal("B", "gasket-bridge", "face", circuit(s, 5), circuit(next, 1), look);
    }
    return text;
}

inline model::UnitMap bench_unit(int stacks) {
    auto read = model::read_map_text(bench_unit_text(stacks), "bench unit");
    if (!read.map) throw std::runtime_error("bench unit: " + read.faults.front().what.english());
    return *std::move(read.map);
}

/// What an ear without a mistake hears of a hole in the third ring of the first stack: air into one port after the
/// other; once all had their turn, with one of the others plugged. No two readings are alike.
inline model::AirCheck bench_check(const model::UnitMap& map, int readings) {
    const int ports = static_cast<int>(map.ports.size());
    diagnosis::airflow::UnitAir unit(map, {});
    const double supply = diagnosis::airflow::usual_gauge_pa(map, {});
    const auto ring = std::find_if(map.seals.begin(), map.seals.end(), [&](const model::Seal& s) {
        return s.stack == map.stacks.front().id && s.nth == 3;
    });
    unit.set_defect(static_cast<int>(ring - map.seals.begin()), 1.8e-3);
    const diagnosis::airflow::Hearing hearing{};
    model::AirCheck check;
    for (int k = 0; k < readings; ++k) {
        const int into = k % ports, plugged = k < ports ? -1 : (into + k / ports) % ports;
        unit.set_all_ports(diagnosis::airflow::PortState::open);
        if (plugged >= 0) unit.set_port(plugged, diagnosis::airflow::PortState::plugged);
        unit.blow_into(into, supply);
        if (!unit.solve_cold().converged) throw std::runtime_error("bench check: not converged");
        model::Reading reading;
        reading.into = map.ports[static_cast<std::size_t>(into)].id;
        if (plugged >= 0) reading.plugged = {map.ports[static_cast<std::size_t>(plugged)].id};
        const auto hear = [&](std::string at, double kgps) {
            model::Seen seen;
            seen.at = std::move(at);
            seen.word =
                static_cast<model::Heard>(diagnosis::airflow::heard(diagnosis::airflow::normal_lpm(kgps), hearing));
            reading.seen.push_back(std::move(seen));
        };
        for (int p = 0; p < ports; ++p) {
            if (p != into && p != plugged) hear(map.ports[static_cast<std::size_t>(p)].id, unit.port_flow_kgps(p));
        }
        hear(std::string(model::open_case), unit.sump_flow_kgps());
        check.readings.push_back(std::move(reading));
    }
    return check;
}

} // namespace ringland::tests
