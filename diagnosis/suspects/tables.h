// What every single fault would show: the airflow network solved once for each seal and size, setting by setting.
//
// A setting is what is done to the unit: air into one port at a pressure, some ports plugged. For each setting the
// table holds, for the sound unit, for every seal with every size of the grid and for faults of the rig, what comes out
// of each open port, what a gauge on it reads, and the pressures of the circuits. Weighing, reasons, next step and
// coverage all read from these tables; nothing is solved twice.
#pragma once

#include <array>
#include <cstddef>
#include <span>
#include <unordered_map>
#include <vector>

#include "../../model-data/air_bench.h"
#include "../../model-data/priors.h"
#include "../../model-data/unit_map.h"
#include "../airflow/unit_air.h"

namespace ringland::diagnosis::suspects {

/// Sizes of a defect that are summed over: equivalent holes from 0.3 to 5 mm, evenly in the logarithm.
inline constexpr std::size_t size_count = 9;
[[nodiscard]] double size_mm(std::size_t index);
/// Of the grid, by ratio.
[[nodiscard]] std::size_t nearest_size(double hole_mm);
/// Every third of them: solved for pairs of faults (pair_grid.h).
inline constexpr std::array<std::size_t, 3> pair_sizes{1, 4, 7};

/// What is done to the unit.
struct Setting {
    int into = 0;
    double supply_gauge_pa = 0;
    std::vector<bool> plugged; ///< by port
    friend bool operator==(const Setting& a, const Setting& b) {
        return a.into == b.into && a.supply_gauge_pa == b.supply_gauge_pa && a.plugged == b.plugged;
    }
};

/// A seal that has failed. A lip or ball that holds back one circuit can fail in that direction only, or be cut
/// through.
struct SealFault {
    std::size_t seal = 0;
    bool both_ways = true;
};

/// Faults of the rig: the plate's gasket between two neighbouring ports, and the hose.
struct RigFault {
    enum class Kind { plate, hose } kind = Kind::plate;
    int first_port = 0, second_port = 0; ///< of plate
};

/// What one state of the unit shows in one setting.
struct Shown {
    std::span<const float> flow_lpm;   ///< by port: out of it, open
    std::span<const float> gauge_pa;   ///< by port: at it, gauge
    std::span<const float> circuit_pa; ///< by circuit, gauge
    float case_lpm = 0;                ///< out into the open case
};

/// One state: which seal with which size, or none.
struct State {
    int first = -1; ///< seal, or -1
    std::size_t first_size = 0;
    int second = -1; ///< for a pair
    std::size_t second_size = 0;
    int rig = -1; ///< fault of the rig, or -1; sizes by first_size for the plate
};

class Tables {
public:
    Tables(const model::UnitMap& map, const model::AirBench& bench);

    [[nodiscard]] const model::UnitMap& map() const { return map_; }
    [[nodiscard]] const model::AirBench& bench() const { return unit_.bench(); }
    /// Every seal once, those that may fail in two ways twice, in the order of the map.
    [[nodiscard]] std::span<const SealFault> faults() const { return faults_; }
    [[nodiscard]] std::span<const RigFault> rig_faults() const { return rig_; }

    /// The table of a setting; made on first use and kept. Gives its index.
    std::size_t table_of(const Setting& setting);
    [[nodiscard]] const Setting& setting(std::size_t table) const { return tables_[table].setting; }

    [[nodiscard]] Shown sound(std::size_t table) const;
    [[nodiscard]] Shown single(std::size_t table, std::size_t fault, std::size_t size) const;
    [[nodiscard]] Shown rig(std::size_t table, std::size_t fault, std::size_t size) const;

    /// True where the fault of that size changes nothing in this setting that could be heard or read: `single` is then
    /// `sound`.
    [[nodiscard]] bool idle(std::size_t table, std::size_t fault, std::size_t size) const {
        return tables_[table].row[1 + fault * size_count + size] == 0;
    }

    /// True where two faults meddle with one another in this setting: the one changes the pressures that stand on the
    /// other, or both change what one of the observed ports shows (the open case comes last). Otherwise each shows
    /// there what it shows alone.
    [[nodiscard]] bool meddle(std::size_t table, std::size_t first, std::size_t second,
                              const std::vector<bool>& observed) const;
    /// What a pair shows: solved once and kept. The result stays until the next call.
    [[nodiscard]] Shown pair(std::size_t table, std::size_t first, std::size_t first_size, std::size_t second,
                             std::size_t second_size);

    /// True where the fault changes what the port shows; the open case comes after the last port.
    [[nodiscard]] bool felt(std::size_t table, std::size_t fault, std::size_t port) const {
        return tables_[table].changes[fault * (map_.ports.size() + 1) + port] != 0;
    }
    /// Seconds until the element fed by the circuit of a plugged or blown port has its piston at the end of its stroke,
    /// with the pressures behind it in balance at every instant; infinity where it never gets there.
    [[nodiscard]] double apply_time_s(std::size_t table, const State& state, int port);

    [[nodiscard]] long solves() const { return solves_; }
    [[nodiscard]] bool all_converged() const { return converged_; }

private:
    struct Table {
        Setting setting;
        std::vector<float> figures; ///< row after row; the sound unit first
        std::vector<unsigned> row;  ///< by state (sound, singles, rig): its row; 0 where nothing changes
        std::unordered_map<std::size_t, std::size_t> pair_row; ///< by fault and size of both: place in pairs
        std::vector<float> pairs;
        std::vector<char> changes; ///< by fault and port, the case last: its largest size changes what shows there
    };
    [[nodiscard]] std::size_t width() const { return 2 * map_.ports.size() + map_.circuits.size() + 1; }
    [[nodiscard]] Shown shown(const float* row) const;
    void solve_into(float* row);
    /// Solves the sizes of one fault, `set(size index)` putting it into the unit, and adds their rows.
    template <class Set> void solve_sizes(Table& table, double across_pa, Set&& set);
    void apply(const Setting& setting);
    void apply(const State& state);

    model::UnitMap map_;
    airflow::UnitAir unit_;
    std::vector<SealFault> faults_;
    std::vector<RigFault> rig_;
    std::vector<std::array<int, 2>> sides_; ///< by fault: circuits of its seal
    std::vector<Table> tables_;
    std::vector<float> scratch_;
    int applied_ = -1; ///< table whose setting the unit has for pairs; -1: none
    long solves_ = 0;
    bool converged_ = true;
};

} // namespace ringland::diagnosis::suspects
