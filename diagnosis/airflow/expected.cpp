#include "expected.h"

#include <algorithm>
#include <deque>

#include <fmt/format.h>

namespace ringland::diagnosis::airflow {

namespace {

/// For every circuit that air reaches from one circuit by design alone: the flows on the shortest way there.
class DesignWays {
public:
    DesignWays(const model::UnitMap& map, const std::string& from) : map_(map) {
        std::deque<std::string> queue{from};
        ways_.push_back({from, {}});
        while (!queue.empty()) {
            const std::string here = queue.front();
            queue.pop_front();
            if (here == model::sump_id) continue; // what reaches the open case is gone
            const std::vector<int> way = *find(here);
            for (std::size_t f = 0; f < map_.by_design.size(); ++f) {
                const auto& flow = map_.by_design[f];
                std::string next;
                if (flow.from == here)
                    next = flow.to;
                else if (flow.to == here && !flow.one_way)
                    next = flow.from;
                if (next.empty()) continue;
                if (next == model::sump_id) into_case_.push_back(static_cast<int>(f));
                if (find(next)) continue;
                ways_.push_back({next, way});
                ways_.back().flows.push_back(static_cast<int>(f));
                queue.push_back(next);
            }
        }
    }
    [[nodiscard]] std::vector<int> to(const std::string& circuit) const {
        const auto* way = find(circuit);
        return way ? *way : std::vector<int>();
    }
    /// Every flow by design that lets the air out into the case.
    [[nodiscard]] const std::vector<int>& into_case() const { return into_case_; }

private:
    struct Way {
        std::string circuit;
        std::vector<int> flows;
    };
    [[nodiscard]] const std::vector<int>* find(const std::string& circuit) const {
        const auto found = std::find_if(ways_.begin(), ways_.end(), [&](const Way& w) { return w.circuit == circuit; });
        return found == ways_.end() ? nullptr : &found->flows;
    }
    const model::UnitMap& map_;
    std::vector<Way> ways_;
    std::vector<int> into_case_;
};

ExpectedRow row_of(const model::UnitMap& map, UnitAir& unit, int into, double supply_gauge_pa, bool& converged) {
    const Hearing hearing{unit.bench().heard_from_lpm};
    const auto& from = map.ports[static_cast<std::size_t>(into)];
    const DesignWays ways(map, from.circuit);
    ExpectedRow row;
    row.into = into;
    row.supply_gauge_pa = supply_gauge_pa;
    unit.set_all_ports(PortState::open);
    unit.blow_into(into, supply_gauge_pa);
    converged = unit.solve_cold().converged && converged;
    row.port_gauge_pa = unit.port_gauge_pa(into);
    row.supply_kgps = unit.supply_flow_kgps();
    row.case_kgps = unit.sump_flow_kgps();
    row.case_word = heard(normal_lpm(row.case_kgps), hearing);
    row.case_by_design = ways.into_case();
    const int ports = static_cast<int>(map.ports.size());
    row.at.reserve(map.ports.size());
    for (int port = 0; port < ports; ++port) {
        if (port == into) continue;
        const auto& to = map.ports[static_cast<std::size_t>(port)];
        ExpectedAt at;
        at.port = port;
        at.flow_kgps = unit.port_flow_kgps(port);
        at.word = heard(normal_lpm(at.flow_kgps), hearing);
        at.same_circuit = to.circuit == from.circuit;
        at.by_design = ways.to(to.circuit);
        row.at.push_back(std::move(at));
    }
    for (ExpectedAt& at : row.at) {
        unit.set_port(at.port, PortState::plugged);
        converged = unit.solve().converged && converged;
        at.plugged_gauge_pa = unit.port_gauge_pa(at.port);
        unit.set_port(at.port, PortState::open);
    }
    unit.blow_into(-1, 0);
    return row;
}

} // namespace

ExpectedRow expect_row(const model::UnitMap& map, UnitAir& unit, int into, double supply_gauge_pa) {
    bool converged = true;
    ExpectedRow row = row_of(map, unit, into, supply_gauge_pa, converged);
    row.converged = converged;
    return row;
}

ExpectedChart expect(const model::UnitMap& map, UnitAir& unit, double supply_gauge_pa) {
    ExpectedChart chart;
    chart.supply_gauge_pa = supply_gauge_pa;
    chart.rows.reserve(map.ports.size());
    for (int into = 0; into < static_cast<int>(map.ports.size()); ++into) {
        chart.rows.push_back(expect_row(map, unit, into, supply_gauge_pa));
        chart.converged = chart.converged && chart.rows.back().converged;
    }
    return chart;
}

double usual_gauge_pa(const model::UnitMap& map, const model::AirBench& bench) {
    return map.unit.air_pressure ? map.unit.air_pressure->si() : bench.pressure.si();
}

Verdict judge(Heard expected, Heard seen) {
    if (seen == expected) return Verdict::as_expected;
    return seen > expected ? Verdict::more : Verdict::less;
}

std::string judge_words(Heard expected, Heard seen) {
    static constexpr std::array<std::string_view, 3> verdicts{
        "as a healthy unit shows it", "more than a healthy unit shows", "less than a healthy unit shows"};
    return fmt::format("expected {}, seen {}: {}", model::word(expected), model::word(seen),
                       verdicts[static_cast<std::size_t>(judge(expected, seen))]);
}

} // namespace ringland::diagnosis::airflow
