// Expected charts, single cases, leak-down and calibration: the same computation as the window's, without a screen.
#include "answers_air.h"

#include <algorithm>
#include <cmath>
#include <system_error>

#include <fmt/format.h>

#include "../../diagnosis/airflow/expected.h"
#include "../../diagnosis/airflow/leak_down.h"
#include "../../model-data/map_faults.h"
#include "../../model-data/map_io.h"
#include "../../model-data/whole_file.h"
#include "air_json.h"
#include "air_setup.h"
#include "air_text.h"
#include "complain.h"
#include "figures.h"

namespace ringland::viewer {
namespace {

using namespace diagnosis::airflow;

/// A chart has the square of this many cells, each a case of its own.
constexpr std::size_t most_chart_ports = 200;
constexpr double least_seconds = 0.05, most_seconds = 60, watched_after_s = 3;
/// Coefficient of a short drilled hole, as law.h has it.
constexpr double drilled_cd = 0.82;

/// Sets the other ports; false and a complaint where they contradict one another.
bool set_ports(AirSetup& setup, AirCase& air, const AirCaseOptions& options) {
    air.ports.assign(setup.map.ports.size(), PortState::open);
    bool good = true;
    const auto set = [&](const std::vector<std::string>& typed, PortState state, const char* option) {
        for (const auto& word : typed) {
            const int port = port_of(setup.map, word, "air");
            if (port < 0) {
                good = false;
                continue;
            }
            auto& now = air.ports[static_cast<std::size_t>(port)];
            const std::string& id = setup.map.ports[static_cast<std::size_t>(port)].id;
            if (port == air.into) {
                complain("air", fmt::format("{} {}: this port gets the air", option, id));
                good = false;
            } else if (now != PortState::open && now != state) {
                complain("air", fmt::format("{} is plugged and under a towel: one of the two", id));
                good = false;
            }
            now = state;
        }
    };
    set(options.plugged, PortState::plugged, "--plug");
    set(options.towels, PortState::towel, "--towel");
    for (std::size_t p = 0; p < air.ports.size(); ++p)
        setup.unit->set_port(static_cast<int>(p), air.ports[p]);
    return good;
}

/// A word by what was typed behind the equals sign.
std::optional<Heard> word_of(const std::string& typed) {
    std::vector<std::string> words;
    for (const auto word : model::words_of<Heard>())
        words.emplace_back(word);
    if (const auto known = model::from_word<Heard>(typed)) return known;
    const std::string near = model::nearest_word(typed, words);
    complain("calibrate", fmt::format("--hole: {} is no word for what is heard; {}", model::shown(typed),
                                      near.empty() ? "one of " + model::either(words).english() : near + "?"));
    return std::nullopt;
}

/// Normal litres a minute of a drilled hole behind the bench's hose.
double drilled_lpm(const model::AirBench& bench, double supply_gauge_pa, double diameter_m) {
    const Air air = air_of(bench);
    FlowNetwork network(air);
    const int regulator = network.add_held_node("regulator", air.ambient_pa + supply_gauge_pa);
    const int outside = network.add_held_node("open air", air.ambient_pa);
    const int nozzle = network.add_node("nozzle");
    network.add_element("hose", Law::conductance(bench.hose_conductance * 1e-8, bench.hose_critical_ratio), regulator,
                        nozzle);
    const int hole =
        network.add_element("drilled hole", Law::round_hole(circle_area(diameter_m), drilled_cd), nozzle, outside);
    network.finish();
    network.solve();
    return normal_lpm(network.flow_kgps(hole));
}

/// The trials as typed, blown; nothing where one is not understood.
std::optional<std::vector<BlownHole>> blow_trials(const CalibrateOptions& options, const model::AirBench& bench,
                                                  double supply_gauge_pa) {
    std::vector<BlownHole> blown;
    bool good = true;
    for (const auto& typed : options.trials) {
        const auto equals = typed.find('=');
        if (equals == std::string::npos) {
            complain("calibrate", fmt::format("--hole {}: write hole and word, as in 1mm=faint", model::shown(typed)));
            good = false;
            continue;
        }
        const auto diameter_m = hole_m_of(typed.substr(0, equals), "calibrate", "--hole");
        const auto word = word_of(typed.substr(equals + 1));
        good = good && diameter_m && word;
        if (diameter_m && word)
            blown.push_back({*diameter_m, {drilled_lpm(bench, supply_gauge_pa, *diameter_m), *word}});
    }
    if (!good) return std::nullopt;
    std::stable_sort(blown.begin(), blown.end(),
                     [](const BlownHole& a, const BlownHole& b) { return a.diameter_m < b.diameter_m; });
    return blown;
}

/// Three figures are as much as an ear is worth, where they leave every trial on its side.
Hearing rounded(const Hearing& exact, const std::vector<Trial>& trials) {
    Hearing round = exact;
    for (double& from : round.from_lpm) {
        const double step = std::pow(10.0, std::floor(std::log10(from)) - 2);
        from = std::round(from / step) * step;
        // Away with what the multiplication left behind the last figure.
        from = std::round(from * 1e6) / 1e6;
    }
    bool same = round.from_lpm[0] > 0 && round.from_lpm[0] < round.from_lpm[1] && round.from_lpm[1] < round.from_lpm[2];
    for (const auto& trial : trials)
        same = same && heard(trial.flow_lpm, round) == heard(trial.flow_lpm, exact);
    return same ? round : exact;
}

/// Writes the bench with its new thresholds; a complaint where it could not.
bool write_bench(const BenchInUse& bench, const Hearing& hearing, const std::string& file) {
    model::AirBench calibrated = bench.bench;
    calibrated.heard_from_lpm = hearing.from_lpm;
    const std::string text = model::write_bench_text(calibrated);
    const std::string error = model::write_whole_file(file, text.data(), text.size());
    if (!error.empty()) complain("calibrate", error);
    return error.empty();
}

} // namespace

Exit run_expect(const AirOptions& options) {
    Exit exit{};
    auto setup = set_up_air(options, "expect", exit);
    if (!setup) return exit;
    int into = -1;
    if (!options.into.empty()) {
        into = port_of(setup->map, options.into, "expect");
        if (into < 0) return Exit::wrong_usage;
    }
    if (into < 0 && setup->map.ports.size() > most_chart_ports) {
        complain("expect",
                 fmt::format("this map has {} ports, and a whole chart {} at most; --into PORT gives one row of it",
                             setup->map.ports.size(), most_chart_ports));
        return Exit::wrong_usage;
    }
    ExpectedChart chart;
    if (into < 0) {
        chart = expect(setup->map, *setup->unit, setup->supply_gauge_pa);
    } else {
        chart.supply_gauge_pa = setup->supply_gauge_pa;
        chart.rows = {expect_row(setup->map, *setup->unit, into, setup->supply_gauge_pa)};
        chart.converged = chart.rows[0].converged;
    }
    if (options.json)
        fmt::print("{}\n", chart_json(*setup, chart));
    else
        fmt::print("{}", into >= 0 ? row_text(*setup, chart.rows[0]) : chart_text(*setup, chart));
    if (chart.converged) return Exit::answered;
    complain("expect", "the pressures of at least one case did not balance; do not trust its figures");
    return Exit::input_fault;
}

Exit run_air(const AirCaseOptions& options) {
    Exit exit{};
    auto setup = set_up_air(options, "air", exit);
    if (!setup) return exit;
    AirCase air;
    air.into = port_of(setup->map, options.into, "air");
    if (air.into < 0 || !set_ports(*setup, air, options)) return Exit::wrong_usage;
    if (!(options.seconds >= least_seconds && options.seconds <= most_seconds)) {
        complain("air", fmt::format("--seconds {:g}: {:g} to {:g}", options.seconds, least_seconds, most_seconds));
        return Exit::wrong_usage;
    }
    setup->unit->blow_into(air.into, setup->supply_gauge_pa);
    const bool converged = setup->unit->solve_cold().converged;
    air.trigger_s = options.seconds;
    air.end_s = options.seconds + watched_after_s;
    FillCase fill_case;
    fill_case.trigger_s = air.trigger_s;
    fill_case.end_s = air.end_s;
    air.time = fill(setup->map, *setup->unit, fill_case);
    fmt::print("{}", options.json ? case_json(*setup, air) + '\n' : case_text(*setup, air));
    if (converged) return Exit::answered;
    complain("air", "the pressures did not balance; do not trust these figures");
    return Exit::input_fault;
}

Exit run_leak_down(const LeakDownOptions& options) {
    constexpr const char* command = "leak-down";
    const auto bench = bench_in_use(options.bench);
    if (!bench) return Exit::input_fault;
    const auto supply_pa = pressure_pa_of(options.supply, command, "--supply");
    const auto orifice_m = hole_m_of(options.orifice, command, "--orifice");
    std::optional<double> reading_pa, leak_m;
    if (options.leak.empty())
        reading_pa = pressure_pa_of(options.reading, command, "--reading");
    else
        leak_m = hole_m_of(options.leak, command, "--leak");
    if (!supply_pa || !orifice_m || (!reading_pa && !leak_m)) return Exit::wrong_usage;
    LeakDownRig rig;
    rig.supply_gauge_pa = *supply_pa;
    rig.orifice_diameter_m = *orifice_m;
    rig.law = options.ideal ? LeakDownLaw::ideal : LeakDownLaw::sharp;
    rig.air = air_of(bench->bench);
    std::string why;
    if (leak_m) {
        // Supply and orifice are judged before anything is reckoned from them.
        if (!leak_of_reading(rig, rig.supply_gauge_pa, why)) {
            complain(command, why);
            return Exit::wrong_usage;
        }
        reading_pa = reading_of_leak(rig, *leak_m);
    }
    const auto answer = leak_of_reading(rig, *reading_pa, why);
    if (!answer) {
        complain(command, why);
        return Exit::wrong_usage;
    }
    if (options.json)
        fmt::print("{}\n", leak_down_json(rig, *reading_pa, *answer));
    else
        fmt::print("{}{}", leak_down_text(rig, *reading_pa, *answer), air_cautions(rig.supply_gauge_pa));
    return Exit::answered;
}

Exit run_calibrate(const CalibrateOptions& options) {
    constexpr const char* command = "calibrate";
    const auto bench = bench_in_use(options.bench);
    if (!bench) return Exit::input_fault;
    const auto supply_pa = options.pressure.empty() ? std::optional(bench->bench.pressure.si())
                                                    : pressure_pa_of(options.pressure, command, "--pressure");
    if (!supply_pa) return Exit::wrong_usage;
    const auto blown = blow_trials(options, bench->bench, *supply_pa);
    if (!blown) return Exit::wrong_usage;
    std::error_code error;
    if (!options.file.empty() && !options.replace && std::filesystem::exists(options.file, error)) {
        complain(command, fmt::format("{} is there already: name another file, or say --replace", options.file));
        return Exit::input_fault;
    }
    std::vector<Trial> trials;
    for (const auto& hole : *blown)
        trials.push_back(hole.trial);
    Calibration calibration = calibrate(trials, Hearing{bench->bench.heard_from_lpm});
    calibration.hearing = rounded(calibration.hearing, trials);
    if (!options.file.empty() && !write_bench(*bench, calibration.hearing, options.file)) return Exit::input_fault;
    if (options.json) {
        fmt::print("{}\n", calibration_json(*bench, *supply_pa, *blown, calibration, options.file));
        return Exit::answered;
    }
    fmt::print("{}", calibration_text(*bench, *supply_pa, *blown, calibration));
    if (!options.file.empty()) fmt::print("Written: {}\n", options.file);
    return Exit::answered;
}

} // namespace ringland::viewer
