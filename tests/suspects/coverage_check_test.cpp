// Coverage against trying everything: on small invented units every reading with every hole is solved anew, without the
// tables, and every subset of ports is tried.
#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include <doctest/doctest.h>

#include "../../diagnosis/airflow/unit_air.h"
#include "../../diagnosis/suspects/coverage.h"
#include "small_unit.h"

using namespace ringland;
using namespace ringland::diagnosis;

namespace {

constexpr int sizes = 9, reference = 5;
constexpr double supply_gauge_pa = 35 * 6894.757293168361;
double hole_mm(int size) { return 0.3 * std::pow(5 / 0.3, size / 8.0); }

using Words = std::vector<int>; ///< at every port, the open case last; -1 at the port under air

/// All words of a unit: of the sound one, and of each seal with each hole, by the port that gets the air.
struct Everything {
    std::vector<Words> sound;                                ///< by port
    std::vector<std::vector<std::array<Words, sizes>>> with; ///< by port and seal
    bool converged = true;
    bool close = false; ///< a flow lies so near a threshold that rounding decides
};

Everything try_everything(const model::UnitMap& map) {
    const model::AirBench bench;
    airflow::UnitAir unit(map, bench);
    Everything all;
    const int ports = static_cast<int>(map.ports.size());
    const auto words = [&](int into) {
        all.converged = unit.solve_cold().converged && all.converged;
        Words list;
        for (int p = 0; p <= ports; ++p) {
            const double lpm = airflow::normal_lpm(p < ports ? unit.port_flow_kgps(p) : unit.sump_flow_kgps());
            int word = 0;
            for (const double from : bench.heard_from_lpm) {
                word += lpm >= from;
                all.close = all.close || std::abs(lpm - from) < 1e-5 * from;
            }
            list.push_back(p == into ? -1 : word);
        }
        return list;
    };
    for (int into = 0; into < ports; ++into) {
        unit.blow_into(into, supply_gauge_pa);
        all.sound.push_back(words(into));
        all.with.emplace_back(map.seals.size());
        for (std::size_t s = 0; s < map.seals.size(); ++s) {
            for (int i = 0; i < sizes; ++i) {
                unit.set_defect(static_cast<int>(s), hole_mm(i) * 1e-3);
                all.with.back()[s][static_cast<std::size_t>(i)] = words(into);
            }
            unit.set_defect(static_cast<int>(s), 0);
        }
    }
    return all;
}

/// Two seals between the same circuits that pass air from the same sides, as far as a port leads there.
bool same_barrier(const model::UnitMap& map, const model::Seal& a, const model::Seal& b) {
    auto sides = a.between, others = b.between;
    std::sort(sides.begin(), sides.end());
    std::sort(others.begin(), others.end());
    if (sides != others) return false;
    for (const auto& port : map.ports) {
        if (port.circuit != sides[0] && port.circuit != sides[1]) continue;
        const auto lets_by = [&](const model::Seal& s) { return s.faces.empty() || s.faces == port.circuit; };
        if (lets_by(a) != lets_by(b)) return false;
    }
    return true;
}

} // namespace

TEST_CASE(
    "coverage: what is findable, what looks alike and the shortest check, by trying everything on 60 small units") {
    int findable = 0, hidden = 0, alike = 0, beyond = 0, longer_than_one = 0, fewer_than_ports = 0;
    for (std::uint64_t number = 1; number <= 60; ++number) {
        CAPTURE(number);
        const auto map = tests::small_unit(number);
        const Everything all = try_everything(map);
        REQUIRE(all.converged);
        REQUIRE_FALSE(all.close);
        suspects::Tables tables(map, {});
        const suspects::Coverage coverage = suspects::cover(tables, supply_gauge_pa);
        REQUIRE(tables.all_converged());
        const std::size_t seals = map.seals.size(), ports = map.ports.size();
        REQUIRE(coverage.seals.size() == seals);
        CHECK(coverage.reference_mm == doctest::Approx(hole_mm(reference)).epsilon(1e-12));

        // A seal is called findable where, and only where, some hole of it changes some word when the network is solved
        // anew; the smallest such hole is named, and where it is said to show it does.
        std::vector<bool> shows(seals, false);
        std::vector<unsigned> telling(seals, 0); ///< ports that tell of the reference hole, one bit each
        for (std::size_t s = 0; s < seals; ++s) {
            CAPTURE(map.seals[s].id);
            int smallest = sizes;
            for (std::size_t into = 0; into < ports; ++into) {
                for (int i = 0; i < sizes; ++i) {
                    if (all.with[into][s][static_cast<std::size_t>(i)] == all.sound[into]) continue;
                    smallest = std::min(smallest, i);
                    if (i == reference) telling[s] |= 1u << into;
                }
            }
            shows[s] = smallest < sizes;
            const auto& said = coverage.seals[s];
            REQUIRE(said.findable == shows[s]);
            ++(shows[s] ? findable : hidden);
            CHECK(said.why_not.empty() == shows[s]);
            if (!shows[s]) continue;
            CHECK(said.smallest_mm == doctest::Approx(hole_mm(smallest)).epsilon(1e-12));
            const auto into = static_cast<std::size_t>(said.into), at = static_cast<std::size_t>(said.at);
            CHECK(all.with[into][s][static_cast<std::size_t>(smallest)][at] != all.sound[into][at]);
        }

        // Two seals stand in one group of look-alikes where, and only where, a chain of seals joins them of which each
        // shows the same words as the next in all readings with all holes, or stands between the same circuits.
        std::vector<std::size_t> group(seals);
        for (std::size_t s = 0; s < seals; ++s)
            group[s] = s;
        const auto same_words = [&](std::size_t a, std::size_t b) {
            return std::all_of(all.with.begin(), all.with.end(), [&](const auto& row) { return row[a] == row[b]; });
        };
        for (std::size_t a = 0; a < seals; ++a) {
            for (std::size_t b = 0; b < a; ++b) {
                if (!shows[a] || !shows[b]) continue;
                if (!same_words(a, b) && !same_barrier(map, map.seals[a], map.seals[b])) continue;
                const std::size_t from = group[a], to = group[b];
                std::replace(group.begin(), group.end(), from, to);
            }
        }
        std::vector<std::vector<std::size_t>> expected;
        for (std::size_t g = 0; g < seals; ++g) {
            std::vector<std::size_t> members;
            for (std::size_t s = 0; s < seals; ++s) {
                if (group[s] == g) members.push_back(s);
            }
            if (members.size() > 1) expected.push_back(members);
        }
        std::sort(expected.begin(), expected.end());
        CHECK(coverage.look_alikes == expected);
        alike += static_cast<int>(expected.size());

        // Seals that only a larger hole than the reference gives away are listed, and no others.
        std::vector<std::size_t> larger;
        for (std::size_t s = 0; s < seals; ++s) {
            if (shows[s] && telling[s] == 0) larger.push_back(s);
        }
        CHECK(coverage.beyond == larger);
        beyond += static_cast<int>(larger.size());

        // The shortest check finds every seal whose reference hole any reading tells of, and no subset of the ports
        // that finds them all is smaller; the bound that is said to be proved is that number.
        const auto finds_all = [&](unsigned blown) {
            return std::all_of(telling.begin(), telling.end(),
                               [&](unsigned ports_of) { return ports_of == 0 || (ports_of & blown) != 0; });
        };
        unsigned chosen = 0;
        for (const int port : coverage.shortest)
            chosen |= 1u << port;
        CHECK(finds_all(chosen));
        CHECK(std::is_sorted(coverage.shortest.begin(), coverage.shortest.end()));
        std::size_t fewest = ports + 1;
        for (unsigned blown = 0; blown < (1u << ports); ++blown) {
            if (finds_all(blown)) fewest = std::min(fewest, static_cast<std::size_t>(__builtin_popcount(blown)));
        }
        CHECK(coverage.shortest.size() == fewest);
        CHECK(coverage.exact);
        CHECK(coverage.lower_bound == fewest);
        longer_than_one += fewest > 1;
        fewer_than_ports += fewest < ports;
    }
    // The units are no mere formality: every kind of answer was among them.
    CHECK(findable > 100);
    CHECK(hidden > 10);
    CHECK(alike > 10);
    CHECK(beyond > 0);
    CHECK(longer_than_one > 10);
    CHECK(fewer_than_ports > 10);
    MESSAGE(findable, " findable, ", hidden, " not, ", alike, " groups of look-alikes, ", beyond,
            " beyond the reference hole, ", longer_than_one, " checks of more than one reading, ", fewer_than_ports,
            " shorter than all ports");
}
