#include "tables.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "../../model-data/layout.h"
#include "../airflow/filling.h"
#include "../airflow/seal_leak.h"

namespace ringland::diagnosis::suspects {

namespace {

constexpr double smallest_mm = 0.3, largest_mm = 5;
/// A defect counts as felt at a port where it changes the flow by more than this, or the gauge by this share of the
/// supply: far below what any ear or gauge tells.
constexpr float felt_lpm = 0.2F, felt_share = 0.02F;
/// Below this a change is none at all: a twentieth of the softest flow that an ear tells, and a hundredth of the least
/// error of a gauge.
constexpr float idle_lpm = 0.02F, idle_pa = 35;
/// The largest hole of the hose's leak and the smallest share that arrives: one size stands for all.
constexpr double starved_share = 0.15;
/// Neighbours on the plate stand no farther apart than this many times the distance of the nearest two.
constexpr double neighbour_reach = 1.45;

std::vector<std::array<int, 2>> plate_neighbours(const model::UnitMap& map) {
    const model::Layout layout = model::lay_out(map);
    std::vector<std::array<double, 2>> at;
    for (const auto& port : map.ports) {
        for (const auto& place : layout.ports) {
            if (place.port == port.id) at.push_back({place.at.x, place.at.y});
        }
    }
    std::vector<std::array<int, 2>> pairs;
    if (at.size() != map.ports.size()) return pairs;
    const auto distance = [&](std::size_t a, std::size_t b) {
        return std::hypot(at[a][0] - at[b][0], at[a][1] - at[b][1]);
    };
    std::vector<double> nearest(at.size(), std::numeric_limits<double>::infinity());
    for (std::size_t a = 0; a < at.size(); ++a) {
        for (std::size_t b = 0; b < at.size(); ++b) {
            if (a != b) nearest[a] = std::min(nearest[a], distance(a, b));
        }
    }
    for (std::size_t a = 0; a < at.size(); ++a) {
        for (std::size_t b = a + 1; b < at.size(); ++b) {
            if (map.ports[a].circuit == map.ports[b].circuit) continue;
            if (distance(a, b) <= neighbour_reach * std::max(nearest[a], nearest[b]))
                pairs.push_back({static_cast<int>(a), static_cast<int>(b)});
        }
    }
    return pairs;
}

} // namespace

double size_mm(std::size_t index) {
    const double share = static_cast<double>(index) / (size_count - 1);
    return smallest_mm * std::pow(largest_mm / smallest_mm, share);
}

std::size_t nearest_size(double hole_mm) {
    std::size_t nearest = 0;
    for (std::size_t i = 1; i < size_count; ++i) {
        if (std::abs(std::log(size_mm(i) / hole_mm)) < std::abs(std::log(size_mm(nearest) / hole_mm))) nearest = i;
    }
    return nearest;
}

Tables::Tables(const model::UnitMap& map, const model::AirBench& bench)
    : map_(map), unit_(map, bench, plate_neighbours(map)) {
    for (const auto& pair : plate_neighbours(map))
        rig_.push_back({RigFault::Kind::plate, pair[0], pair[1]});
    rig_.push_back({RigFault::Kind::hose, 0, 0});
    for (std::size_t s = 0; s < map_.seals.size(); ++s) {
        const bool one_way = airflow::fails_one_way(map_.seals[s]);
        if (one_way) faults_.push_back({s, false});
        faults_.push_back({s, true});
    }
    const auto circuit = [&](const std::string& id) {
        return static_cast<int>(
            std::find_if(map_.circuits.begin(), map_.circuits.end(), [&](const auto& one) { return one.id == id; }) -
            map_.circuits.begin());
    };
    for (const SealFault& fault : faults_) {
        const auto& between = map_.seals[fault.seal].between;
        sides_.push_back({circuit(between[0]), circuit(between[1])});
    }
    scratch_.resize(width());
}

Shown Tables::shown(const float* row) const {
    const std::size_t ports = map_.ports.size(), circuits = map_.circuits.size();
    return {{row, ports}, {row + ports, ports}, {row + 2 * ports, circuits}, row[2 * ports + circuits]};
}

void Tables::solve_into(float* row) {
    ++solves_;
    converged_ = unit_.solve().converged && converged_;
    const int ports = static_cast<int>(map_.ports.size()), circuits = static_cast<int>(map_.circuits.size());
    for (int p = 0; p < ports; ++p)
        *row++ = static_cast<float>(airflow::normal_lpm(unit_.port_flow_kgps(p)));
    for (int p = 0; p < ports; ++p)
        *row++ = static_cast<float>(unit_.port_gauge_pa(p));
    for (int c = 0; c < circuits; ++c)
        *row++ = static_cast<float>(unit_.circuit_gauge_pa(c));
    *row = static_cast<float>(airflow::normal_lpm(unit_.sump_flow_kgps()));
}

void Tables::apply(const Setting& setting) {
    for (std::size_t p = 0; p < map_.ports.size(); ++p)
        unit_.set_port(static_cast<int>(p),
                       setting.plugged[p] ? airflow::PortState::plugged : airflow::PortState::open);
    unit_.blow_into(setting.into, setting.supply_gauge_pa);
}

// The pressure across a seal only falls when a hole opens in it, and no pressure anywhere moves by more than that: the
// network is monotone. So where nothing stands across the seal, nothing changes at any size; and where the largest hole
// changes nothing, no smaller one does.
template <class Set> void Tables::solve_sizes(Table& table, double across_pa, Set&& set) {
    const std::size_t w = width(), first = table.row.size();
    table.row.resize(first + size_count, 0);
    constexpr double nothing_pa = 1e-3; // through 5 mm: below idle_lpm
    if (std::abs(across_pa) < nothing_pa) return;
    const auto add = [&](std::size_t size) {
        set(size);
        const std::size_t at = table.figures.size();
        table.figures.resize(at + w);
        solve_into(table.figures.data() + at);
        table.row[first + size] = static_cast<unsigned>(at / w);
    };
    add(size_count - 1);
    const Shown none = shown(table.figures.data());
    const Shown most = shown(table.figures.data() + table.figures.size() - w);
    bool changes = std::abs(most.case_lpm - none.case_lpm) > idle_lpm;
    for (std::size_t p = 0; p < none.flow_lpm.size() && !changes; ++p)
        changes = std::abs(most.flow_lpm[p] - none.flow_lpm[p]) > idle_lpm ||
                  std::abs(most.gauge_pa[p] - none.gauge_pa[p]) > idle_pa;
    for (std::size_t c = 0; c < none.circuit_pa.size() && !changes; ++c)
        changes = std::abs(most.circuit_pa[c] - none.circuit_pa[c]) > idle_pa;
    if (!changes) {
        table.figures.resize(table.figures.size() - w);
        table.row[first + size_count - 1] = 0;
        return;
    }
    for (std::size_t i = size_count - 1; i-- > 0;)
        add(i);
}

std::size_t Tables::table_of(const Setting& setting) {
    for (std::size_t t = 0; t < tables_.size(); ++t) {
        if (tables_[t].setting == setting) return t;
    }
    Table table;
    table.setting = setting;
    const std::size_t w = width(), ports = map_.ports.size();
    const std::size_t plates = rig_.size() - 1; // the hose comes last
    apply(setting);
    applied_ = -1;
    unit_.network().forget(); // the same figures whatever was solved before
    table.figures.resize(w);
    solve_into(table.figures.data());
    table.row.push_back(0);
    std::vector<double> pressure(map_.circuits.size()), at_port(ports);
    for (std::size_t c = 0; c < pressure.size(); ++c)
        pressure[c] = unit_.circuit_gauge_pa(static_cast<int>(c));
    for (std::size_t p = 0; p < ports; ++p)
        at_port[p] = unit_.port_gauge_pa(static_cast<int>(p));
    for (std::size_t f = 0; f < faults_.size(); ++f) {
        const SealFault& fault = faults_[f];
        const double across =
            pressure[static_cast<std::size_t>(sides_[f][0])] - pressure[static_cast<std::size_t>(sides_[f][1])];
        solve_sizes(table, across, [&](std::size_t i) {
            unit_.set_defect(static_cast<int>(fault.seal), size_mm(i) * 1e-3, fault.both_ways);
        });
        unit_.set_defect(static_cast<int>(fault.seal), 0);
    }
    for (std::size_t r = 0; r < plates; ++r) {
        const double across = at_port[static_cast<std::size_t>(rig_[r].first_port)] -
                              at_port[static_cast<std::size_t>(rig_[r].second_port)];
        solve_sizes(table, across,
                    [&](std::size_t i) { unit_.set_plate_leak(static_cast<int>(r), size_mm(i) * 1e-3); });
        unit_.set_plate_leak(static_cast<int>(r), 0);
    }
    table.row.push_back(static_cast<unsigned>(table.figures.size() / w));
    table.figures.resize(table.figures.size() + w);
    unit_.set_hose_share(starved_share);
    solve_into(table.figures.data() + table.figures.size() - w);
    unit_.set_hose_share(1);

    table.changes.assign(faults_.size() * (ports + 1), 0);
    tables_.push_back(std::move(table));
    const std::size_t index = tables_.size() - 1;
    const Shown none = sound(index);
    const float felt_pa = felt_share * static_cast<float>(setting.supply_gauge_pa);
    for (std::size_t s = 0; s < faults_.size(); ++s) {
        const Shown most = single(index, s, size_count - 1);
        for (std::size_t p = 0; p < ports; ++p) {
            tables_[index].changes[s * (ports + 1) + p] = std::abs(most.flow_lpm[p] - none.flow_lpm[p]) > felt_lpm ||
                                                          std::abs(most.gauge_pa[p] - none.gauge_pa[p]) > felt_pa;
        }
        tables_[index].changes[s * (ports + 1) + ports] = std::abs(most.case_lpm - none.case_lpm) > felt_lpm;
    }
    return index;
}

Shown Tables::sound(std::size_t table) const { return shown(tables_[table].figures.data()); }

Shown Tables::single(std::size_t table, std::size_t fault, std::size_t size) const {
    const Table& t = tables_[table];
    return shown(t.figures.data() + width() * t.row[1 + fault * size_count + size]);
}

Shown Tables::rig(std::size_t table, std::size_t fault, std::size_t size) const {
    const std::size_t first = 1 + faults_.size() * size_count;
    const bool hose = rig_[fault].kind == RigFault::Kind::hose;
    const Table& t = tables_[table];
    return shown(t.figures.data() + width() * t.row[first + fault * size_count + (hose ? 0 : size)]);
}

bool Tables::meddle(std::size_t table, std::size_t first, std::size_t second, const std::vector<bool>& observed) const {
    const std::size_t ports = map_.ports.size();
    const auto& changes = tables_[table].changes;
    for (std::size_t p = 0; p <= ports; ++p) {
        if (observed[p] && changes[first * (ports + 1) + p] && changes[second * (ports + 1) + p]) return true;
    }
    // The largest hole of the one moves a pressure on a side of the other.
    const Shown none = sound(table);
    const float felt_pa = felt_share * static_cast<float>(tables_[table].setting.supply_gauge_pa);
    const auto wakes = [&](std::size_t a, std::size_t b) {
        const Shown most = single(table, a, size_count - 1);
        return std::any_of(sides_[b].begin(), sides_[b].end(), [&](int side) {
            const auto c = static_cast<std::size_t>(side);
            return std::abs(most.circuit_pa[c] - none.circuit_pa[c]) > felt_pa;
        });
    };
    return wakes(first, second) || wakes(second, first);
}

void Tables::apply(const State& state) {
    unit_.clear_defects();
    const auto set = [&](int fault, std::size_t size) {
        if (fault < 0) return;
        const SealFault& f = faults_[static_cast<std::size_t>(fault)];
        unit_.set_defect(static_cast<int>(f.seal), size_mm(size) * 1e-3, f.both_ways);
    };
    set(state.first, state.first_size);
    set(state.second, state.second_size);
    for (std::size_t r = 0; r + 1 < rig_.size(); ++r)
        unit_.set_plate_leak(static_cast<int>(r),
                             state.rig == static_cast<int>(r) ? size_mm(state.first_size) * 1e-3 : 0);
    unit_.set_hose_share(state.rig + 1 == static_cast<int>(rig_.size()) ? starved_share : 1);
}

Shown Tables::pair(std::size_t table, std::size_t first, std::size_t first_size, std::size_t second,
                   std::size_t second_size) {
    Table& t = tables_[table];
    const std::size_t key = ((first * size_count + first_size) * faults_.size() + second) * size_count + second_size;
    const auto known = t.pair_row.find(key);
    if (known != t.pair_row.end()) return shown(t.pairs.data() + known->second);
    if (applied_ != static_cast<int>(table)) {
        apply(t.setting);
        applied_ = static_cast<int>(table);
    }
    apply(State{static_cast<int>(first), first_size, static_cast<int>(second), second_size, -1});
    solve_into(scratch_.data());
    unit_.clear_defects();
    const std::size_t row = t.pairs.size();
    t.pairs.insert(t.pairs.end(), scratch_.begin(), scratch_.end());
    t.pair_row.emplace(key, row);
    return shown(t.pairs.data() + row);
}

double Tables::apply_time_s(std::size_t table, const State& state, int port) {
    const std::string& circuit = map_.ports[static_cast<std::size_t>(port)].circuit;
    const auto element = std::find_if(map_.elements.begin(), map_.elements.end(), [&](const model::Element& e) {
        return std::find(e.applied_by.begin(), e.applied_by.end(), circuit) != e.applied_by.end();
    });
    const auto index = std::find_if(map_.circuits.begin(), map_.circuits.end(),
                                    [&](const model::Circuit& c) { return c.id == circuit; });
    if (element == map_.elements.end() || index == map_.circuits.end()) return std::numeric_limits<double>::infinity();
    const airflow::PistonData piston = airflow::piston_of(*element);
    const int c = static_cast<int>(index - map_.circuits.begin());
    apply(tables_[table].setting);
    applied_ = -1;
    apply(state);
    const double rt = airflow::gas_constant_air * unit_.network().air().temperature_k;
    const double volume = unit_.volume_m3(unit_.circuit_node(c)) + unit_.volume_m3(unit_.port_node(port));
    const double ambient = unit_.network().air().ambient_pa;
    const double rate = piston.stroke_m * piston.apply_area_m2 / std::max(1.0, piston.ends_pa - piston.begins_pa);
    /// Seconds that a pascal takes at a gauge pressure: mass per pascal over the flow that arrives.
    const auto slowness = [&](double gauge, bool moving) {
        unit_.hold(c, gauge);
        ++solves_;
        unit_.solve();
        const double flow = unit_.held_flow_kgps();
        if (!(flow > 1e-12)) return std::numeric_limits<double>::infinity();
        const double swept = moving ? rate * (gauge - piston.begins_pa) : 0;
        return (volume + swept + (moving ? (ambient + gauge) * rate : 0)) / (rt * flow);
    };
    // Simpson's rule over the two stretches: before the piston moves, and while it does.
    const auto stretch = [&](double from, double to, bool moving) {
        const double middle = 0.5 * (from + to);
        return (to - from) / 6 * (slowness(from, moving) + 4 * slowness(middle, moving) + slowness(to, moving));
    };
    double time = stretch(0, 0.5 * piston.begins_pa, false) + stretch(0.5 * piston.begins_pa, piston.begins_pa, false);
    time += stretch(piston.begins_pa, piston.ends_pa, true);
    unit_.hold(-1, 0);
    apply(State{});
    return time;
}

} // namespace ringland::diagnosis::suspects
