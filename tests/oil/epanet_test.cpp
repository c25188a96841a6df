// Networks of oil beside EPANET, a general solver of pipe networks from the water trade that knows nothing of ours: the
// same heads and flows within 1 %. It has no law of our kind, so each is put as what it has:
//   hole between two circuits      throttle valve or pipe of loss K = 1/C² referred to the hole's own bore
//   hole into the sump             emitter, exponent 0.5; or a throttle valve to a reservoir
//   slot                           pipe in laminar flow (Hagen-Poiseuille) of the same resistance; emitter, exponent 1
//   check ball                     pipe with a check valve
//   passage                        smooth pipe with Darcy-Weisbach friction and loss K
//   pump behind its regulator      reservoir at the regulated head behind a flow control valve
// EPANET reckons with g = 32.2 ft/s²; heads here are made with the same figure. It balances flows to some thousandths
// of a litre a minute, which is too coarse here, so it gets a network that is larger by Reynolds' rule: all lengths and
// the viscosity a hundred times, so speeds, heads and Reynolds numbers are the same and flows ten thousand times as
// large.
#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <unistd.h>

#include "../airflow/complaints.h"
#include "../airflow/nearly.h"
#include "random_oil.h"

using namespace ringland::diagnosis::oil;
using ringland::tests::Complaints;
using ringland::tests::RandomMap;

namespace {

constexpr double gravity = 32.2 * 0.3048;
constexpr double larger = 100, more = larger * larger;
constexpr double laminar_bore_mm = 300 * larger, joint_bore_mm = 50 * larger;

/// One network as EPANET reads it. `exponent` is that of all emitters: 0.5 or 1.
std::string input_of(const ringland::tests::RandomOil& made, double exponent) {
    const OilNetwork& network = made.network;
    const Oil& oil = network.fluid();
    const double metres = 1 / (oil.density * gravity);
    std::string junctions, reservoirs, pipes, valves, emitters;
    std::vector<double> emitter(static_cast<std::size_t>(network.node_count()));
    for (int n = 0; n < network.node_count(); ++n) {
        if (network.unknown(n) < 0)
            reservoirs += fmt::format("n{} {:.12g}\n", n, (network.pressure_pa(n) - oil.ambient_pa) * metres);
        else
            junctions += fmt::format("n{} 0 0\n", n);
    }
    const auto elements = network.elements();
    for (std::size_t k = 0; k < elements.size(); ++k) {
        const auto& e = elements[k];
        const OilLaw& law = e.law;
        const bool to_sump = e.second == made.sump && !law.is_one_way();
        switch (law.kind()) {
        case OilLaw::Kind::closed:
            break;
        case OilLaw::Kind::hole: {
            if (to_sump && exponent == 0.5) {
                emitter[static_cast<std::size_t>(e.first)] +=
                    law.shape() * law.size() * std::sqrt(2 * gravity) * 60e3 * more;
                break;
            }
            const double bore_mm = law.is_one_way() ? joint_bore_mm : std::sqrt(law.size() * more * 4 / M_PI) * 1e3;
            const double bore_area = M_PI / 4 * bore_mm * bore_mm * 1e-6;
            const double loss = std::pow(bore_area / (law.size() * more * law.shape()), 2);
            if (law.is_one_way())
                pipes += fmt::format("e{} n{} n{} 0.001 {} 0.0001 {:.12g} CV\n", k, e.first, e.second, bore_mm, loss);
            else
                valves += fmt::format("e{} n{} n{} {:.12g} TCV {:.12g} 0\n", k, e.first, e.second, bore_mm, loss);
            break;
        }
        case OilLaw::Kind::slot:
            if (to_sump && exponent == 1) {
                emitter[static_cast<std::size_t>(e.first)] +=
                    law.size() * gravity / (12 * oil.kinematic_m2ps) * 60e3 * more;
            } else {
                // 128 ν L/(π g d⁴) = 12 ν/(g w h³/L), with the larger viscosity on the left.
                const double bore = laminar_bore_mm * 1e-3;
                pipes += fmt::format("e{} n{} n{} {:.12g} {} 0.0001 0 {}\n", k, e.first, e.second,
                                     12 * M_PI * std::pow(bore, 4) / (128 * law.size() * more * larger),
                                     laminar_bore_mm, law.is_one_way() ? "CV" : "Open");
            }
            break;
        case OilLaw::Kind::passage: {
            pipes +=
                fmt::format("e{} n{} n{} {:.12g} {:.12g} 0.0001 {} {}\n", k, e.first, e.second, law.length_m() * larger,
                            law.diameter_m() * larger * 1e3, law.losses(), law.is_one_way() ? "CV" : "Open");
            break;
        }
        case OilLaw::Kind::supply:
            junctions += "gate 0 0\n";
            pipes += fmt::format("header n{} gate 0.001 50000 0.0001 0 Open\n", e.first);
            valves += fmt::format("e{} gate n{} 50000 FCV {:.12g} 0\n", k, e.second, law.size() * 60e3 * more);
            break;
        }
    }
    for (std::size_t n = 0; n < emitter.size(); ++n) {
        if (emitter[n] > 0) emitters += fmt::format("n{} {:.12g}\n", n, emitter[n]);
    }
    return fmt::format("[TITLE]\nrandom oil\n[JUNCTIONS]\n{}[RESERVOIRS]\n{}[PIPES]\n{}[VALVES]\n{}[EMITTERS]\n{}"
                       "[OPTIONS]\nUnits LPM\nHeadloss D-W\nViscosity {:.12g}\nAccuracy 0.0000001\nTrials 500\n"
                       "Emitter Exponent {}\n[TIMES]\nDuration 0\n[END]\n",
                       junctions, reservoirs, pipes, valves, emitters, oil.kinematic_m2ps * larger, exponent);
}

/// All networks of a folder by EPANET; fails where the tool is not there.
nlohmann::json solve_with_epanet(const std::filesystem::path& folder) {
    const std::string npm = RINGLAND_BINARY_DIR "/npm";
    REQUIRE_MESSAGE(std::filesystem::exists(npm + "/node_modules/epanet-js"),
                    "epanet-js is not there; tests/run installs it into build/npm");
    const std::string command =
        fmt::format("RINGLAND_NPM='{}' node '{}/tests/oil/epanet.mjs' '{}'", npm, RINGLAND_SOURCE_DIR, folder.string());
    std::FILE* pipe = popen(command.c_str(), "r");
    REQUIRE(pipe != nullptr);
    std::string said;
    std::array<char, 65536> buffer{};
    while (const std::size_t got = fread(buffer.data(), 1, buffer.size(), pipe))
        said.append(buffer.data(), got);
    REQUIRE(pclose(pipe) == 0);
    return nlohmann::json::parse(said);
}

/// True where a passage of it is neither laminar nor turbulent: there EPANET and Churchill part, since nature has no
/// one answer, and there is nothing to compare.
bool in_transition(const OilNetwork& network) {
    const auto elements = network.elements();
    for (std::size_t k = 0; k < elements.size(); ++k) {
        const OilLaw& law = elements[k].law;
        if (law.kind() != OilLaw::Kind::passage) continue;
        const double flow = std::abs(network.flow_kgps(static_cast<int>(k))) / network.fluid().density;
        const double reynolds = flow * law.diameter_m() / (law.size() * network.fluid().kinematic_m2ps);
        if (reynolds > 1800 && reynolds < 5000) return true;
    }
    return false;
}

struct Plan {
    std::string name;
    ringland::tests::OilMix mix;
    double exponent;
};

} // namespace

TEST_CASE("EPANET: sixty random networks of oil have its heads and flows") {
    std::vector<Plan> plans;
    const auto plan = [&](std::string name, bool slots, bool holes, bool passages, bool balls, bool pump,
                          double exponent) {
        ringland::tests::OilMix mix;
        mix.slots = slots;
        mix.holes = holes;
        mix.passages = passages;
        mix.balls = balls;
        mix.pump = pump;
        mix.thin = true; // EPANET has no hole that turns laminar
        plans.push_back({std::move(name), mix, exponent});
    };
    plan("holes", false, true, false, false, false, 0.5);
    plan("slots", true, false, false, false, false, 1);
    plan("both", true, true, false, false, false, 0.5);
    plan("balls", true, true, false, true, false, 0.5);
    plan("pump", true, true, false, true, true, 0.5);
    plan("all", true, true, true, true, true, 0.5);

    const std::filesystem::path folder =
        std::filesystem::temp_directory_path() / fmt::format("ringland-epanet-{}", getpid());
    std::filesystem::create_directories(folder);
    struct Solved {
        std::string file;
        ringland::tests::RandomOil made;
        double exponent;
    };
    std::vector<Solved> solved;
    for (std::size_t p = 0; p < plans.size(); ++p) {
        for (int n = 0; n < 10; ++n) {
            RandomMap dice(static_cast<std::uint64_t>(7100 + 100 * p + static_cast<std::size_t>(n)));
            auto mix = plans[p].mix;
            mix.nodes = dice.number(4, 14);
            Solved one{fmt::format("{}-{}.inp", plans[p].name, n), ringland::tests::random_oil(dice, mix),
                       plans[p].exponent};
            REQUIRE(one.made.network.solve().converged);
            std::ofstream(folder / one.file) << input_of(one.made, one.exponent);
            solved.push_back(std::move(one));
        }
    }
    const nlohmann::json answers = solve_with_epanet(folder);
    std::filesystem::remove_all(folder);

    Complaints complaints;
    double worst_head = 0, worst_flow = 0;
    int starved = 0, left_out = 0;
    for (const Solved& one : solved) {
        if (in_transition(one.made.network)) {
            ++left_out;
            continue;
        }
        REQUIRE(answers.contains(one.file));
        const auto& theirs = answers[one.file];
        const OilNetwork& network = one.made.network;
        const double pa_per_m = network.fluid().density * gravity;
        for (int n = 0; n < network.node_count(); ++n) {
            const double ours = network.gauge_pa(n),
                         other = theirs["heads"][fmt::format("n{}", n)].get<double>() * pa_per_m;
            // Of the pressure itself, down to a thousandth of the supply.
            const double off = std::abs(ours - other) / std::max(std::abs(other), 1e-3 * one.made.supply_pa);
            worst_head = std::max(worst_head, off);
            complaints.unless(off <= 0.01, [&] {
                return fmt::format("{} {}: {:.6g} Pa, EPANET {:.6g}", one.file, network.node_name(n), ours, other);
            });
        }
        const double whole = network.report().supply_kgps / network.fluid().density * 60e3;
        const auto elements = network.elements();
        for (std::size_t k = 0; k < elements.size(); ++k) {
            const std::string link = fmt::format("e{}", k);
            if (!theirs["flows"].contains(link)) continue; // an emitter: its node balances with the rest
            const double ours = network.flow_kgps(static_cast<int>(k)) / network.fluid().density * 60e3;
            const double other = theirs["flows"][link].get<double>() / more;
            const double off = std::abs(ours - other) / std::max(std::abs(other), 0.01 * whole);
            worst_flow = std::max(worst_flow, off);
            complaints.unless(off <= 0.01, [&] {
                return fmt::format("{} {}: {:.6g} L/min, EPANET {:.6g}", one.file, elements[k].name, ours, other);
            });
        }
        if (network.gauge_pa(one.made.line) < 0.99 * one.made.supply_pa &&
            elements[0].law.kind() == OilLaw::Kind::supply)
            ++starved;
    }
    MESSAGE(solved.size(), " networks; worst head off by ", 100 * worst_head, " %, worst flow by ", 100 * worst_flow,
            " %; pump too small in ", starved, "; left out ", left_out);
    INFO(complaints.count(), " complaints", complaints.first());
    CHECK(complaints.count() == 0);
    CHECK(complaints.looked_at() > 1000);
    CHECK(left_out <= 8);
    // Both sides of the regulator were there.
    CHECK(starved > 2);
    CHECK(starved < 18);
}
