// Pistons while a circuit fills: closed forms, an independent integration by masses, and contacts that are hard to
// meet.
#include <algorithm>
#include <cmath>
#include <limits>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "../../diagnosis/airflow/fill_integrator.h"
#include "../model/random_map.h"
#include "nearly.h"

using namespace ringland::diagnosis::airflow;
using ringland::tests::nearly;
using ringland::tests::RandomMap;

namespace {

constexpr double psi = 6894.757293168361;
FillPiston clutch(int node, double area_m2, double stroke_m, double begins_pa, double ends_pa) {
    return {{{node, area_m2}}, stroke_m, begins_pa * area_m2, ends_pa * area_m2};
}

FillRun run(FillEquations& equations, const FlowNetwork& network, double end_s, double sample_s,
            double tolerance = 1e-10) {
    FillPlan plan;
    plan.end_s = end_s;
    plan.sample_s = sample_s;
    plan.relative_tolerance = tolerance;
    FillRun result = integrate(equations, network, plan);
    CHECK(result.trouble == "");
    REQUIRE(result.completed);
    return result;
}

/// One circuit behind a hole that stays choked: a constant flow comes in.
struct Choked {
    Choked() {
        network.add_held_node("supply", 20e5);
        network.add_node("circuit");
        network.add_element("hole", Law::round_hole(0.1e-6, 1), 0, 1);
        network.finish();
        flow = network.elements()[0].law.through(network.factors(), 20e5, standard_pressure_pa).flow_kgps;
    }
    FlowNetwork network{Air{}};
    double flow = 0;
};

} // namespace

// Isothermal air: m R T = p W, whatever happened in between, so constant flow gives the instants of both contacts
// exactly.
TEST_CASE("filling: a piston leaves its stop and arrives when the air that went in says so") {
    Choked choked;
    const double volume = 40e-6, area = 69e-4, stroke = 2e-3, begins = 12 * psi, ends = 16.2 * psi;
    FillEquations equations(choked.network, {0, volume}, {clutch(1, area, stroke, begins, ends)}, 1);
    const FillRun result = run(equations, choked.network, 1, 0.01);
    REQUIRE(result.events.size() == 2);
    const double rt = choked.network.factors().rt, ambient = standard_pressure_pa;
    const double moves = volume * begins / (rt * choked.flow);
    const double arrives = ((ambient + ends) * (volume + area * stroke) - ambient * volume) / (rt * choked.flow);
    CHECK(nearly(result.events[0].time_s, moves, 1e-6));
    CHECK(result.events[0].to == Contact::moving);
    CHECK(nearly(result.events[1].time_s, arrives, 1e-6));
    CHECK(result.events[1].to == Contact::end);
    CHECK(result.mass_error < 1e-7);
    CHECK(result.stroke[0].front() == 0);
    CHECK(result.stroke[0].back() == 1);
}

// W dp + n p dW = n R T ṁ dt with W = V + A x and x linear in p: n R T ṁ t = V Δp + A s (Δp²/2 + n (p Δp +
// Δp²/2))/range.
TEST_CASE("filling: the same without heat from the walls") {
    Choked choked;
    const double volume = 40e-6, area = 69e-4, stroke = 2e-3, begins = 12 * psi, ends = 16.2 * psi, n = 1.4;
    FillEquations equations(choked.network, {0, volume}, {clutch(1, area, stroke, begins, ends)}, n);
    const FillRun result = run(equations, choked.network, 1, 0.01);
    REQUIRE(result.events.size() == 2);
    const double drive = n * choked.network.factors().rt * choked.flow, range = ends - begins;
    const double moves = volume * begins / drive;
    const double p = standard_pressure_pa + begins;
    const double way = volume * range + area * stroke * (range / 2 + n * (p + range / 2));
    CHECK(nearly(result.events[0].time_s, moves, 1e-6));
    CHECK(nearly(result.events[1].time_s, moves + way / drive, 1e-6));
    CHECK(result.mass_error < 1e-7);
}

// Air that cannot get out behind a piston is squeezed: p W stays, isothermally.
TEST_CASE("filling: a closed release side is compressed by the stroke, and no further than the balance of forces") {
    FlowNetwork network{Air{}};
    network.add_held_node("supply", standard_pressure_pa + 35 * psi);
    network.add_node("apply");
    network.add_node("release");
    network.add_element("hole", Law::round_hole(1e-6, 0.8), 0, 1);
    network.finish();
    const double apply = 32e-4, release = 30e-4, stroke = 8e-3, dead = 10e-6;
    FillEquations equations(network, {0, 20e-6, dead},
                            {{{{1, apply}, {2, -release}}, stroke, 18 * psi * apply, 24 * psi * apply}}, 1);
    const FillRun result = run(equations, network, 2, 0.01);
    const double share = result.stroke[0].back();
    CHECK(share > 0.2);
    CHECK(share < 1);
    const double full = dead + release * stroke;
    for (std::size_t k = 0; k < result.time_s.size(); ++k) {
        const double squeezed = standard_pressure_pa * full / (full - release * stroke * result.stroke[0][k]);
        CHECK(nearly(result.pressure_pa[1][k], squeezed, 1e-6));
    }
    const double gauge = result.pressure_pa[1].back() - standard_pressure_pa;
    const double force = apply * (result.pressure_pa[0].back() - standard_pressure_pa) - release * gauge;
    CHECK(nearly(force, apply * psi * (18 + 6 * share), 1e-6));
}

// The derivative that CVODE's Newton iteration is given, against central differences, in every contact.
TEST_CASE("filling: slopes are the derivatives of the rates") {
    for (std::uint64_t seed = 1; seed <= 50; ++seed) {
        CAPTURE(seed);
        RandomMap random(seed);
        FlowNetwork network{Air{}};
        network.add_held_node("open", standard_pressure_pa);
        network.add_held_node("supply", 4e5);
        std::vector<double> volumes{0, 0};
        const int nodes = random.number(2, 6);
        for (int i = 0; i < nodes; ++i) {
            network.add_node("n");
            volumes.push_back(random.figure(5e-6, 50e-6));
        }
        for (int e = 0; e < 2 * nodes; ++e) {
            const int first = random.number(0, nodes + 1), second = random.number(2, nodes + 1);
            network.add_element("e", Law::round_hole(random.figure(0.1e-6, 3e-6), 0.8), first, second);
        }
        for (int i = 0; i < nodes; ++i)
            network.add_element("leak", Law::slot(0.1, 5e-6, 3e-3), 2 + i, 0);
        network.finish();
        std::vector<FillPiston> pistons;
        for (int k = random.number(1, 4); k > 0; --k) {
            FillPiston piston = clutch(random.number(2, nodes + 1), random.figure(20e-4, 80e-4), 3e-3, 0.5e5, 0.9e5);
            if (random.chance(50)) piston.faces.push_back({random.number(2, nodes + 1), -random.figure(10e-4, 50e-4)});
            if (random.chance(30)) piston.faces.push_back({random.number(0, nodes + 1), random.figure(10e-4, 50e-4)});
            pistons.push_back(piston);
        }
        FillEquations equations(network, volumes, pistons, random.chance(50) ? 1 : 1.3);
        std::vector<double> state(at(equations.state_count()), 0.0);
        for (int i = 0; i < nodes; ++i)
            state[at(i)] = random.figure(1.2e5, 3.9e5);
        for (int k = 0; k < equations.piston_count(); ++k)
            equations.set_contact(k, random.chance(70)   ? Contact::moving
                                     : random.chance(50) ? Contact::stop
                                                         : Contact::end);
        const auto size = state.size();
        std::vector<double> slopes(size * size), above(size), below(size);
        if (!equations.slopes(state, slopes)) continue; // such a push that a volume would vanish
        for (std::size_t column = 0; column < size; ++column) {
            auto moved = state;
            const double step = 2.0;
            moved[column] += step;
            REQUIRE(equations.rates(moved, above));
            moved[column] -= 2 * step;
            REQUIRE(equations.rates(moved, below));
            for (std::size_t row = 0; row < size; ++row) {
                const double difference = (above[row] - below[row]) / (2 * step);
                double scale = 0; // of the row, so that a tiny entry beside great ones is not asked for its digits
                for (std::size_t c = 0; c < size; ++c)
                    scale = std::max(scale, std::abs(slopes[c * size + row]));
                CHECK(std::abs(slopes[column * size + row] - difference) <= 1e-5 * scale);
            }
        }
    }
}

namespace {

/// The same unit integrated in another way: by the mass of air in each node, which has no contacts at all. Pressures
/// follow from the masses: p = m R T / W, with each piston where the forces balance. Explicit Runge-Kutta steps of
/// fourth order.
class ByMasses {
public:
    ByMasses(const FlowNetwork& network, std::vector<double> volumes, std::vector<FillPiston> pistons)
        : network_(network), volumes_(std::move(volumes)), pistons_(std::move(pistons)), stroke_(pistons_.size(), 0.0) {
        for (const auto& piston : pistons_) {
            for (const auto& face : piston.faces) {
                if (face.area_m2 < 0) volumes_[at(face.node)] -= face.area_m2 * piston.stroke_m;
            }
        }
        for (int i = 0; i < network_.node_count(); ++i)
            mass_.push_back(standard_pressure_pa * volumes_[at(i)] / network_.factors().rt);
    }
    void step(double h) {
        const auto k1 = flows(mass_), k2 = flows(plus(k1, h / 2)), k3 = flows(plus(k2, h / 2)), k4 = flows(plus(k3, h));
        for (std::size_t i = 0; i < mass_.size(); ++i)
            mass_[i] += h / 6 * (k1[i] + 2 * k2[i] + 2 * k3[i] + k4[i]);
    }
    std::vector<double> pressures() { return pressures_of(mass_); }
    [[nodiscard]] double stroke(int piston) const { return stroke_[at(piston)]; }

private:
    [[nodiscard]] std::vector<double> plus(const std::vector<double>& k, double h) const {
        auto sum = mass_;
        for (std::size_t i = 0; i < sum.size(); ++i)
            sum[i] += h * k[i];
        return sum;
    }
    double pressure_of(const std::vector<double>& mass, int node) {
        if (network_.unknown(node) < 0) return network_.pressure_pa(node);
        double volume = volumes_[at(node)];
        for (std::size_t k = 0; k < pistons_.size(); ++k) {
            for (const auto& face : pistons_[k].faces) {
                if (face.node == node) volume += face.area_m2 * pistons_[k].stroke_m * stroke_[k];
            }
        }
        return mass[at(node)] * network_.factors().rt / volume;
    }
    std::vector<double> pressures_of(const std::vector<double>& mass) {
        // Piston by piston, halving, until none moves any more: the balance of all is the lowest point of a convex
        // energy.
        for (double moved = 1; moved > 1e-13;) {
            moved = 0;
            for (std::size_t k = 0; k < pistons_.size(); ++k) {
                const double before = stroke_[k];
                double low = 0, high = 1;
                while (high - low > 1e-14) {
                    stroke_[k] = (low + high) / 2;
                    double force = -pistons_[k].begins_n - stroke_[k] * (pistons_[k].ends_n - pistons_[k].begins_n);
                    for (const auto& face : pistons_[k].faces)
                        force += face.area_m2 * (pressure_of(mass, face.node) - standard_pressure_pa);
                    (force > 0 ? low : high) = stroke_[k];
                }
                moved = std::max(moved, std::abs(stroke_[k] - before));
            }
        }
        std::vector<double> pressures(mass.size());
        for (int i = 0; i < network_.node_count(); ++i)
            pressures[at(i)] = pressure_of(mass, i);
        return pressures;
    }
    std::vector<double> flows(const std::vector<double>& mass) {
        const auto p = pressures_of(mass);
        std::vector<double> in(mass.size(), 0.0);
        for (const auto& element : network_.elements()) {
            const double flow =
                element.law.through(network_.factors(), p[at(element.first)], p[at(element.second)]).flow_kgps;
            in[at(element.first)] -= flow;
            in[at(element.second)] += flow;
        }
        return in;
    }

    const FlowNetwork& network_;
    std::vector<double> volumes_;
    std::vector<FillPiston> pistons_;
    std::vector<double> mass_, stroke_;
};

} // namespace

// A clutch and an accumulator-like second piston on one circuit, a servo with both sides, a piston that two circuits
// push: everything that a map can ask for at once.
TEST_CASE("filling: agrees with an integration by masses that knows no contacts") {
    FlowNetwork network{Air{}};
    network.add_held_node("open", standard_pressure_pa);
    network.add_held_node("supply", standard_pressure_pa + 40 * psi);
    for (const char* name : {"clutch", "servo apply", "servo release", "second"})
        network.add_node(name);
    network.add_element("hose", Law::conductance(0.2e-8, 0.35), 1, 2);
    network.add_element("branch", Law::round_hole(1.0e-6, 0.8), 2, 3);
    network.add_element("servo ring", Law::round_hole(0.05e-6, 0.8), 3, 4);
    network.add_element("release vent", Law::round_hole(0.3e-6, 0.8), 4, 0);
    network.add_element("cross leak", Law::sharp_hole(0.5e-6), 2, 5);
    network.add_element("bleed", Law::round_hole(0.1e-6, 0.8), 5, 0);
    network.finish();
    const std::vector<double> volumes{0, 0, 30e-6, 15e-6, 8e-6, 25e-6};
    const std::vector<FillPiston> pistons{
        clutch(2, 70e-4, 2e-3, 12 * psi, 16 * psi),
        clutch(2, 10e-4, 6e-3, 14 * psi, 30 * psi),
        {{{3, 32e-4}, {4, -30e-4}}, 8e-3, 18 * psi * 32e-4, 24 * psi * 32e-4},
        {{{5, 50e-4}, {2, 20e-4}}, 2e-3, 16 * psi * 50e-4, 22 * psi * 50e-4},
    };
    FillEquations equations(network, volumes, pistons, 1);
    const FillRun result = run(equations, network, 0.4, 0.005);
    CHECK(result.events.size() >= 6);
    CHECK(result.mass_error < 1e-7);

    ByMasses other(network, volumes, pistons);
    constexpr double step = 1e-5;
    for (std::size_t k = 0; k < result.time_s.size(); ++k) {
        if (k > 0) {
            for (int s = 0; s < 500; ++s)
                other.step(step);
        }
        const auto p = other.pressures();
        CAPTURE(result.time_s[k]);
        for (int i = 0; i < 4; ++i)
            CHECK(nearly(result.pressure_pa[at(i)][k], p[at(2 + i)], 2e-6));
        for (int piston = 0; piston < 4; ++piston)
            CHECK(std::abs(result.stroke[at(piston)][k] - other.stroke(piston)) < 2e-5);
    }
}

TEST_CASE("filling: a pressure that only just reaches a contact in the end does not make the piston chatter") {
    // Between a hole in and a hole out the circuit comes to rest at a pressure, and exactly there the spring gives way,
    // or the stroke ends.
    FlowNetwork network{Air{}};
    network.add_held_node("open", standard_pressure_pa);
    network.add_held_node("supply", standard_pressure_pa + 35 * psi);
    network.add_node("circuit");
    network.add_element("in", Law::round_hole(1e-6, 0.8), 1, 2);
    network.add_element("out", Law::round_hole(1e-6, 0.8), 2, 0);
    network.finish();
    REQUIRE(network.solve().converged);
    const double rest = network.gauge_pa(2);
    for (const double off : {-1e-6, -1e-9, -1e-12, 0.0, 1e-12, 1e-9, 1e-6}) {
        CAPTURE(off);
        const double contact = rest * (1 + off);
        for (const auto& piston :
             {clutch(2, 70e-4, 2e-3, contact, contact + 4 * psi), clutch(2, 70e-4, 2e-3, contact - 4 * psi, contact)}) {
            FillEquations equations(network, {0, 0, 30e-6}, {piston, piston}, 1);
            const FillRun result = run(equations, network, 60, 0.1, 1e-8);
            CHECK(result.events.size() <= 8);
            CHECK(nearly(result.pressure_pa[0].back() - standard_pressure_pa, rest, 1e-6));
        }
    }
}

TEST_CASE("filling: pistons that are alike move alike, in one instant") {
    Choked choked;
    const FillPiston piston = clutch(1, 40e-4, 2e-3, 12 * psi, 16 * psi);
    FillEquations equations(choked.network, {0, 30e-6}, {piston, piston, piston}, 1);
    const FillRun result = run(equations, choked.network, 1.5, 0.01);
    CHECK(result.events.size() == 6);
    CHECK(result.stroke[0] == result.stroke[1]);
    CHECK(result.stroke[0] == result.stroke[2]);
    CHECK(result.stroke[0].back() == 1);
}

TEST_CASE("filling: a piston without a stroke only makes itself heard") {
    Choked choked;
    FillEquations with(choked.network, {0, 30e-6}, {clutch(1, 40e-4, 0, 12 * psi, 16 * psi)}, 1);
    FillEquations without(choked.network, {0, 30e-6}, {}, 1);
    const FillRun moved = run(with, choked.network, 0.5, 0.01), still = run(without, choked.network, 0.5, 0.01);
    CHECK(moved.events.size() == 2);
    for (std::size_t k = 0; k < still.time_s.size(); ++k)
        CHECK(nearly(moved.pressure_pa[0][k], still.pressure_pa[0][k], 1e-8));
}

TEST_CASE("filling: a plan that cannot be says why") {
    Choked choked;
    FillEquations equations(choked.network, {0, 30e-6}, {}, 1);
    const auto trouble = [&](double end_s, double sample_s, double tolerance) {
        FillPlan plan;
        plan.end_s = end_s;
        plan.sample_s = sample_s;
        plan.relative_tolerance = tolerance;
        const FillRun result = integrate(equations, choked.network, plan);
        CHECK(!result.completed);
        CHECK(result.time_s.empty());
        return result.trouble;
    };
    const double nan = std::numeric_limits<double>::quiet_NaN(), infinity = std::numeric_limits<double>::infinity();
    CHECK(trouble(0, 0.01, 1e-7) == "the time to watch must be more than 0 s");
    CHECK(trouble(nan, 0.01, 1e-7) == "the time to watch must be more than 0 s");
    CHECK(trouble(infinity, 0.01, 1e-7) == "the time to watch must be more than 0 s");
    CHECK(trouble(1, -1, 1e-7) == "the distance of the samples must be more than 0 s");
    CHECK(trouble(1, 1e-9, 1e-7) == "1 s in steps of 1e-09 s are more than 200000 samples");
    CHECK(trouble(1, 0.01, 0) == "the relative tolerance must lie between 1e-12 and 1e-3");
}
