#include "spice.h"

#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <memory>

#include <fmt/format.h>

namespace ringland::tests {

using diagnosis::airflow::FlowNetwork;
using diagnosis::airflow::Law;

namespace {

constexpr double pa_per_volt = 1e5, amperes_per_kgps = 1e3;

// Expressions of r = p_low/p_high, with γ = 1.4. ngspice expands a .func within a .func only once, so they are put
// together here.

/// r, but never so near to 1 that 1 − r has no digits left, nor at 0, where iterations of ngspice pass by.
std::string near(const std::string& r) { return fmt::format("min(max({},0.001),0.999999)", r); }

/// √(1 − r), rounded off over 1e-7 of the pressure: a hundred times sharper than the laws do it.
std::string root(const std::string& r) { return fmt::format("((1-{0})/((1-{0})*(1-{0})+1e-14)**0.25)", r); }

/// (2γ/(γ−1)) (r^(2/γ) − r^((γ+1)/γ))/(1 − r): the isentropic nozzle without the root that is steep at r = 1.
std::string nozzle(const std::string& r) { return fmt::format("(7*({0}**(1/0.7)-{0}**(1.2/0.7))/(1-{0}))", near(r)); }

/// Flow of the ideal nozzle over A p/√(RT), choked below the critical ratio.
std::string ideal(const std::string& r) {
    return fmt::format("({} > 0.5282817877 ? sqrt({})*{} : 0.6847314564)", r, nozzle(r), root(r));
}

/// The same of a sharp-edged hole by Jobson's two coefficients, subsonic and choked; f = 1/Ci − 1/(2 Ci²).
std::string sharp(const std::string& r, double f) {
    const std::string subsonic =
        fmt::format("(1-sqrt(1-4*{0:.12g}*{1}**(1/0.7)/{2}))/(2*{0:.12g}*{1}**(0.5/0.7))", f, near(r), nozzle(r));
    const std::string b = fmt::format("(2.4*0.5282817877-{})", r);
    const std::string choked =
        fmt::format("({0}-sqrt({0}*{0}-4*{1:.12g}*0.4688571674*(1-{2})))/(2*{1:.12g}*0.4688571674)", b, f, r);
    return fmt::format("({0} > 0.5282817877 ? {1}*sqrt({2})*{3} : {4}*0.6847314564)", r, subsonic, nozzle(r), root(r),
                       choked);
}

/// The ellipse of ISO 6358: 1 − ((r−b)/(1−b))² is u (2 − u) with u = (1−r)/(1−b).
std::string ellipse(const std::string& r, double b) {
    return fmt::format("({0} > {1:.12g} ? {2}*sqrt((2-(1-{0})/(1-{1:.12g}))/(1-{1:.12g})) : 1)", r, b, root(r));
}

/// How far a ball or lip is open: from 0 at its opening difference to 1 at twice that, smooth at both ends.
std::string lift(const std::string& difference_over_opening) {
    const std::string s = fmt::format("min(max({}-1,0),1)", difference_over_opening);
    return fmt::format("{0}*{0}*(3-2*{0})", s);
}

/// One restriction as a current from node a to node b.
std::string current_of(const Law& law, const diagnosis::airflow::Air& air, std::size_t k, int a, int b) {
    const double r = 287.05, t = air.temperature_k;
    const double unit = pa_per_volt * amperes_per_kgps;
    const std::string ratio = fmt::format("v(r{})", k);
    const std::string high = fmt::format("max(v(p{}),v(p{}))", a, b);
    const std::string sign = fmt::format("(v(p{}) > v(p{}) ? 1 : -1)", a, b);
    std::string current;
    switch (law.kind()) {
    case Law::Kind::closed:
        return {};
    case Law::Kind::round_hole:
        current = fmt::format("{:.12g}*{}*{}*{}", law.shape() * law.size() * unit / std::sqrt(r * t), sign, high,
                              ideal(ratio));
        break;
    case Law::Kind::sharp_hole: {
        const double ci = law.shape(), f = 1 / ci - 1 / (2 * ci * ci);
        current = fmt::format("{:.12g}*{}*{}*{}", law.size() * unit / std::sqrt(r * t), sign, high, sharp(ratio, f));
        break;
    }
    case Law::Kind::conductance:
        current = fmt::format("{:.12g}*{}*{}*{}", law.size() * 1.185 * std::sqrt(293.15 / t) * unit, sign, high,
                              ellipse(ratio, law.shape()));
        break;
    case Law::Kind::slot: {
        const double viscosity = 1.458e-6 * std::pow(t, 1.5) / (t + 110.4);
        current = fmt::format("{:.12g}*(v(p{})**2 - v(p{})**2)",
                              law.size() / (24 * viscosity * r * t) * unit * pa_per_volt, a, b);
        break;
    }
    }
    if (law.is_one_way())
        current += "*" + lift(fmt::format("(v(p{})-v(p{}))*{:.12g}", a, b, pa_per_volt / law.opens_pa()));
    return fmt::format(".ic v(r{0})=1\nBr{0} r{0} 0 V = "
                       "max(min(v(p{1}),v(p{2})),0.001)/max(max(v(p{1}),v(p{2})),0.001)\nBi{0} p{1} p{2} I = {3}\n",
                       k, a, b, current);
}

} // namespace

std::string netlist_of(const FlowNetwork& network, double end_s) {
    const double ambient = network.air().ambient_pa / pa_per_volt;
    std::string out = "* air network: 1 V is 1 bar absolute, 1 A is 1 g/s\n";
    out += fmt::format("Vambient ambient 0 {:.15g}\n", ambient);
    std::vector<double> passes(static_cast<std::size_t>(network.node_count()), 0.0);
    for (const auto& element : network.elements()) {
        const double kgps = element.law.through(network.factors(), 3 * pa_per_volt, pa_per_volt).flow_kgps;
        for (const int node : {element.first, element.second})
            passes[static_cast<std::size_t>(node)] += kgps * amperes_per_kgps;
    }
    for (int n = 0; n < network.node_count(); ++n) {
        if (network.unknown(n) < 0) {
            out += fmt::format("V{0} p{0} 0 {1:.15g}\n", n, network.pressure_pa(n) / pa_per_volt);
            continue;
        }
        // 1e-17 kg/(s Pa) to the open air is 1e9 ohms. The capacitor only says how fast the end is reached: in
        // proportion to what passes at the node, so that no node is much quicker than the others.
        out += fmt::format("C{0} p{0} 0 {2:.6g} ic={1:.15g}\nR{0} p{0} ambient 1e9\n", n, ambient,
                           100 * std::max(1e-6, passes[static_cast<std::size_t>(n)]));
    }
    const auto elements = network.elements();
    for (std::size_t k = 0; k < elements.size(); ++k)
        out += current_of(elements[k].law, network.air(), k, elements[k].first, elements[k].second);
    // Steps as long as they will converge (trtol): only the end counts, not the way there.
    out += fmt::format(".options reltol=1e-6 vntol=1e-9 abstol=1e-9 trtol=1e20 method=gear itl4=100\n"
                       ".tran 1 {} 0 {} uic\n.control\nset numdgt=12\nrun\nlet last = length(time) - 1\n"
                       "print time[last]\n",
                       end_s, end_s / 5);
    for (int n = 0; n < network.node_count(); ++n) {
        if (network.unknown(n) >= 0)
            out += fmt::format(
                "let p{0}_end = v(p{0})[last]\nprint p{0}_end\nlet p{0}_was = v(p{0})[last - 2]\nprint p{0}_was\n", n);
        else
            out += fmt::format("let i{0}_end = -i(v{0})[last]\nprint i{0}_end\n", n);
    }
    out += "quit\n.endc\n.end\n";
    return out;
}

namespace {

/// All that ngspice says to a netlist.
std::string said_to(const std::filesystem::path& file) {
    const std::string command = "timeout 60 ngspice -b '" + file.string() + "' 2>&1";
    const auto close = [](std::FILE* pipe) { pclose(pipe); };
    const std::unique_ptr<std::FILE, decltype(close)> pipe(popen(command.c_str(), "r"), close);
    std::string said;
    std::array<char, 4096> buffer{};
    while (const std::size_t n = pipe ? std::fread(buffer.data(), 1, buffer.size(), pipe.get()) : 0)
        said.append(buffer.data(), n);
    return said;
}

SpiceAnswer answer_of(const FlowNetwork& network, const std::string& said, double end_s) {
    SpiceAnswer answer;
    const auto value_of = [&](const std::string& name, double& to) {
        const auto at = said.find("\n" + name + " = ");
        if (at == std::string::npos) return false;
        to = std::strtod(said.c_str() + at + name.size() + 4, nullptr);
        return true;
    };
    double time_s = 0;
    if (!value_of("time[last]", time_s) || time_s < 0.999 * end_s) {
        answer.trouble = fmt::format("stopped at {} s: {}", time_s, said);
        return answer;
    }
    for (int n = 0; n < network.node_count(); ++n) {
        double bar = network.pressure_pa(n) / pa_per_volt, was = bar, given = 0;
        if (network.unknown(n) < 0
                ? !value_of(fmt::format("i{}_end", n), given)
                : !value_of(fmt::format("p{}_end", n), bar) || !value_of(fmt::format("p{}_was", n), was)) {
            answer.trouble = said;
            return answer;
        }
        // The last two steps are two fifths of all the time. A node that still moves, by more than ngspice's own
        // iterations leave over (reltol), has no answer yet.
        if (std::abs(bar - was) > 1e-4 * std::abs(bar - network.air().ambient_pa / pa_per_volt) + 3e-6 * bar) {
            answer.trouble = fmt::format("{} is not steady: {} bar, then {}", network.node_name(n), was, bar);
            return answer;
        }
        answer.pressure_pa.push_back(bar * pa_per_volt);
        answer.given_kgps.push_back(given / amperes_per_kgps);
    }
    return answer;
}

} // namespace

SpiceAnswer solve_with_spice(const FlowNetwork& network, const std::filesystem::path& file) {
    SpiceAnswer answer;
    // Most are steady soon; a circuit behind a ball that hardly lifts takes very long.
    for (const double end_s : {1e9, 2e10}) {
        std::ofstream(file) << netlist_of(network, end_s);
        answer = answer_of(network, said_to(file), end_s);
        if (answer.trouble.empty()) break;
    }
    return answer;
}

} // namespace ringland::tests
