#include "air_text.h"

#include <algorithm>
#include <array>
#include <map>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "../../diagnosis/airflow/own_figures.h"
#include "../../diagnosis/divide.h"
#include "divide_text.h"
#include "figures.h"
#include "text_lines.h"

namespace ringland::viewer {
namespace {

using namespace diagnosis::airflow;

constexpr int cell_width = 9, label_width = 13;

/// "R3 with a hole of 3 mm (0.118 in)", each imagined hole.
std::string holes_words(const AirSetup& setup) {
    std::vector<std::string> list;
    for (const auto& hole : setup.holes) {
        list.push_back(
            fmt::format("{} with a hole of {}", setup.map.seals[at(hole.seal)].id, hole_text(hole.diameter_m)));
    }
    return fmt::format("{}", fmt::join(list, ", "));
}

std::string of_what_unit(const AirSetup& setup) {
    return setup.holes.empty() ? "a healthy unit" : "a unit with a fault (" + holes_words(setup) + ")";
}

/// One cell of the chart: two short lines.
using Cell = std::array<std::string, 2>;

Cell flow_cell(Heard word, double flow_kgps, bool same_circuit, const std::string& mark) {
    if (word == Heard::nothing) return {"·", mark};
    const std::string flow = flow_text(normal_lpm(flow_kgps));
    return {fmt::format("{}{}", same_circuit ? "=" : "", model::word(word)), mark.empty() ? flow : flow + " " + mark};
}

/// All rows with one cell for each port and one for the case.
std::vector<std::vector<Cell>> cells_of(const model::UnitMap& map, const ExpectedChart& chart, DesignNotes& reasons) {
    std::vector<std::vector<Cell>> rows;
    for (const auto& row : chart.rows) {
        std::vector<Cell> cells(map.ports.size() + 1);
        cells[at(row.into)] = {fmt::format("{:.1f}", row.port_gauge_pa / model::psi(1).si()), "psi"};
        for (const auto& there : row.at)
            cells[at(there.port)] =
                flow_cell(there.word, there.flow_kgps, there.same_circuit, reasons.mark(there.by_design));
        cells.back() = flow_cell(row.case_word, row.case_kgps, false, reasons.mark(row.case_by_design));
        rows.push_back(std::move(cells));
    }
    return rows;
}

std::string table_line(const std::string& label, const std::vector<std::string>& cells) {
    std::string line = fmt::format("{:{}}", label, label_width);
    for (const auto& cell : cells)
        line += fmt::format(" {:{}}", cell, cell_width - 1);
    line.erase(line.find_last_not_of(' ') + 1);
    return line + '\n';
}

/// A label over two short lines: broken behind a blank or hyphen where there is one.
Cell two_lines(const std::string& label) {
    constexpr std::size_t most = cell_width - 1;
    if (characters(label) <= most) return {label, ""};
    std::size_t end = label.find_last_of(" -", most - 1);
    if (end == std::string::npos) end = clipped(label, most).size() - 1;
    return {label.substr(0, end + 1), clipped(label.substr(end + 1), most)};
}

/// Columns `first` to before `last` of the table; the column behind the ports is the case.
std::string table_part(const model::UnitMap& map, const ExpectedChart& chart,
                       const std::vector<std::vector<Cell>>& rows, std::size_t first, std::size_t last) {
    std::array<std::vector<std::string>, 3> head;
    for (std::size_t c = first; c < last; ++c) {
        const bool is_port = c < map.ports.size();
        const Cell label = is_port ? two_lines(model::port_label(map, map.ports[c])) : Cell{};
        head[0].push_back(is_port ? clipped(map.ports[c].id, cell_width - 1) : "case");
        head[1].push_back(label[0]);
        head[2].push_back(label[1]);
    }
    std::string text = table_line("air into", head[0]) + table_line("", head[1]);
    if (std::any_of(head[2].begin(), head[2].end(), [](const std::string& word) { return !word.empty(); }))
        text += table_line("", head[2]);
    for (std::size_t r = 0; r < rows.size(); ++r) {
        const auto& port = map.ports[at(chart.rows[r].into)];
        for (std::size_t line = 0; line < 2; ++line) {
            std::vector<std::string> cells;
            for (std::size_t c = first; c < last; ++c)
                cells.push_back(rows[r][c][line]);
            const std::string& label = line == 0 ? port.id : model::port_label(map, port);
            text += table_line(line == 0 || label != port.id ? clipped(label, label_width - 1) : "", cells);
        }
    }
    return text;
}

std::string words_begin(const model::AirBench& bench) {
    const auto& from = bench.heard_from_lpm;
    return fmt::format("faint from {:g}, clear from {:g}, strong from {:g} L/min", from[0], from[1], from[2]);
}

std::string footer(const AirSetup& setup, bool in_time) {
    return wrapped(own_figures_words(own_figures(setup.map), in_time), 0) + '\n' +
           wrapped(bench_words(setup.bench, setup.bench_file), 0) + '\n' + air_cautions(setup.supply_gauge_pa);
}

std::string_view state_words(const AirCase& air, int port) {
    if (port == air.into) return "air";
    static constexpr std::array<std::string_view, 3> words{"open", "plugged", "towel"};
    return words[at(static_cast<int>(air.ports[at(port)]))];
}

std::string port_lines(const AirSetup& setup, const AirCase& air) {
    const auto& map = setup.map;
    const auto& unit = *setup.unit;
    const Hearing hearing{setup.bench.heard_from_lpm};
    std::string text = fmt::format("{:18} {:8} {:>20} {:>10}  {}\n", "port", "", "gauge", "L/min out", "sounds");
    for (int port = 0; port < static_cast<int>(map.ports.size()); ++port) {
        const bool open = port != air.into && air.ports[at(port)] != PortState::plugged;
        const double lpm = normal_lpm(unit.port_flow_kgps(port));
        const std::string line = fmt::format("{:18} {:8} {:>20} {:>10}  {}", clipped(port_words(map, port), 18),
                                             state_words(air, port), pressure_text(unit.port_gauge_pa(port)),
                                             open ? flow_text(lpm) : "", open ? model::word(heard(lpm, hearing)) : "");
        text += line.substr(0, line.find_last_not_of(' ') + 1) + '\n';
    }
    const double case_lpm = normal_lpm(unit.sump_flow_kgps());
    return text + fmt::format("{:18} {:8} {:>20} {:>10}  {}\n", "inside the case", "open", "", flow_text(case_lpm),
                              model::word(heard(case_lpm, hearing)));
}

std::string circuit_lines(const AirSetup& setup) {
    std::string text = "Circuits:\n";
    for (std::size_t c = 0; c < setup.map.circuits.size(); ++c) {
        const auto& circuit = setup.map.circuits[c];
        if (circuit.id == model::sump_id) continue;
        text += fmt::format("  {:24} {:>20}\n", model::circuit_name(setup.map, circuit.id),
                            pressure_text(setup.unit->circuit_gauge_pa(static_cast<int>(c))));
    }
    return text;
}

/// What passes seals and flows by design, most first; what no ear could find is left out.
std::string leak_lines(const AirSetup& setup) {
    constexpr double least_lpm = 0.01;
    const auto& map = setup.map;
    std::vector<std::pair<double, std::string>> list;
    const auto add = [&](double flow_kgps, const std::string& from, const std::string& to, const std::string& what) {
        const double lpm = std::abs(normal_lpm(flow_kgps));
        if (lpm < least_lpm) return;
        const bool forward = flow_kgps > 0;
        list.emplace_back(lpm, wrapped(fmt::format("  {:>8}  {} → {}: {}", flow_text(lpm),
                                                   model::circuit_name(map, forward ? from : to),
                                                   model::circuit_name(map, forward ? to : from), what),
                                       12) +
                                   '\n');
    };
    for (std::size_t s = 0; s < map.seals.size(); ++s) {
        const auto& seal = map.seals[s];
        const auto hole = std::find_if(setup.holes.begin(), setup.holes.end(),
                                       [s](const ImaginedHole& h) { return at(h.seal) == s; });
        const std::string fault =
            hole == setup.holes.end() ? "" : fmt::format(", with a hole of {}", hole_text(hole->diameter_m));
        add(setup.unit->seal_flow_kgps(static_cast<int>(s)), seal.between[0], seal.between[1],
            fmt::format("{}{}", model::seal_name(map, seal), fault));
    }
    for (std::size_t f = 0; f < map.by_design.size(); ++f) {
        const auto& flow = map.by_design[f];
        add(setup.unit->design_flow_kgps(static_cast<int>(f)), flow.from, flow.to, "by design, " + flow.reason);
    }
    std::stable_sort(list.begin(), list.end(), [](const auto& a, const auto& b) { return a.first > b.first; });
    std::string text = fmt::format("Through seals and by design, L/min (below {:g} not listed):\n", least_lpm);
    for (const auto& [lpm, line] : list)
        text += line;
    return list.empty() ? text + "  nothing\n" : text;
}

std::string solve_line(const AirSetup& setup) {
    const auto& network = setup.unit->network();
    const auto& report = network.report();
    std::string text = fmt::format("Balanced: {} steps, mass residual {:.0e} of the supply, pressure residual {:.0e}",
                                   report.iterations, report.mass_residual, report.pressure_residual);
    if (!report.converged) text = "NOT BALANCED, do not trust these figures. " + text;
    if (report.worst_node >= 0) text += fmt::format("; worst at {}", network.node_name(report.worst_node));
    return text + '\n';
}

std::string seconds_words(double seconds) { return fmt::format("{:.2f} s", seconds); }

std::string piston_line(const AirSetup& setup, const AirCase& air, const PistonTimes& times) {
    const auto& element = setup.map.elements[at(times.element)];
    const std::string name = element.name.empty() ? element.id : element.name;
    std::vector<std::string> parts;
    if (times.moves_s) parts.push_back("moves after " + seconds_words(*times.moves_s));
    if (times.applied_s) {
        parts.push_back("applied after " + seconds_words(*times.applied_s));
    } else {
        parts.push_back(fmt::format("not applied (furthest {:.0f} % of its stroke)", 100 * times.furthest));
    }
    if (times.let_go_s) {
        parts.push_back(fmt::format("holds {} after the trigger", seconds_words(*times.let_go_s - air.trigger_s)));
    } else if (times.applied_s) {
        parts.push_back(fmt::format("still holds {} after the trigger", seconds_words(air.end_s - air.trigger_s)));
    }
    return fmt::format("  {}: {}\n", name, fmt::join(parts, ", "));
}

std::string time_lines(const AirSetup& setup, const AirCase& air) {
    if (!air.time) return {};
    if (!air.time->completed) return fmt::format("In time: not worked out: {}\n", air.time->trouble);
    const std::string& blown = setup.map.ports[at(air.into)].circuit;
    std::string own, others;
    for (const auto& times : air.time->pistons) {
        const auto& element = setup.map.elements[at(times.element)];
        const auto& by = element.applied_by;
        const bool fed = std::find(by.begin(), by.end(), blown) != by.end();
        if (fed)
            own += piston_line(setup, air, times);
        else if (times.moves_s)
            others += piston_line(setup, air, times);
    }
    std::string text = fmt::format("In time, trigger held {}:\n", seconds_words(air.trigger_s));
    text += own.empty() ? "  this circuit applies nothing\n" : own;
    text +=
        others.empty() ? "  no other element moves\n" : "  and elements that this circuit does not feed:\n" + others;
    return text;
}

} // namespace

std::string bench_words(const model::AirBench& bench, const std::string& file) {
    const Air air = air_of(bench);
    return fmt::format("Air of {:g} °C around {:.1f} kPa; hose and nozzle {:g} dm³/(s bar); {}: {}.",
                       bench.temperature_c, air.ambient_pa / 1e3, bench.hose_conductance, words_begin(bench),
                       file.empty() ? "defaults, common practice, no source" : "bench file " + file);
}

std::string air_cautions(double supply_gauge_pa) {
    std::string text(caution_line());
    if (supply_gauge_pa >= model::psi(30).si()) {
        text += "A US rule allows air for cleaning below 30 psi only (29 CFR 1910.242(b)). An air check is no "
                "cleaning, but "
                "the\ndanger to the body is the same.\n";
    }
    return text;
}

std::string chart_text(const AirSetup& setup, const ExpectedChart& chart) {
    const auto& map = setup.map;
    DesignNotes reasons(map);
    const auto rows = cells_of(map, chart, reasons);
    std::string text = unit_line(setup.map);
    text += fmt::format("What {} shows with air of {} at the regulator, all other ports open.\n", of_what_unit(setup),
                        pressure_text(setup.supply_gauge_pa));
    text += "A row is the port under air: its own gauge, and at each other port what is heard and normal L/min.\n\n";
    const std::size_t columns = map.ports.size() + 1;
    const std::size_t most = (widest_line - label_width) / cell_width;
    const std::size_t parts = (columns + most - 1) / most;
    for (std::size_t part = 0; part < parts; ++part) {
        const std::size_t first = columns * part / parts, last = columns * (part + 1) / parts;
        text += table_part(map, chart, rows, first, last) + '\n';
    }
    text += fmt::format("· nothing heard   = another mouth of the same circuit   [n] by design, see below\n"
                        "{}. Without a number: what sound seals let by.\n\n",
                        words_begin(setup.bench));
    const std::string list = reasons.list();
    if (!list.empty()) text += list + '\n';
    if (!chart.converged) text += "NOT BALANCED in at least one case: do not trust these figures.\n";
    return text + footer(setup, false);
}

std::string row_text(const AirSetup& setup, const ExpectedRow& row) {
    const auto& map = setup.map;
    DesignNotes reasons(map);
    std::string text = unit_line(setup.map);
    text += fmt::format("What {} shows with air of {} into {}, all other ports open.\n", of_what_unit(setup),
                        pressure_text(row.supply_gauge_pa), port_words(map, row.into));
    text += fmt::format("The gauge at {} reads {}; {} L/min go in.\n\n", map.ports[at(row.into)].id,
                        pressure_text(row.port_gauge_pa), flow_text(normal_lpm(row.supply_kgps)));
    text += fmt::format("{:18} {:8} {:>6}  {:>20}\n", "port", "sounds", "L/min", "gauge if plugged");
    for (const auto& there : row.at) {
        const std::string why = there.same_circuit ? "the same circuit" : reasons.mark(there.by_design);
        const std::string line = fmt::format("{:18} {:8} {:>6}  {:>20}  {}", clipped(port_words(map, there.port), 18),
                                             model::word(there.word), flow_text(normal_lpm(there.flow_kgps)),
                                             pressure_text(there.plugged_gauge_pa), why);
        text += line.substr(0, line.find_last_not_of(' ') + 1) + '\n';
    }
    const std::string line = fmt::format("{:18} {:8} {:>6}  {:>20}  {}", "inside the case", model::word(row.case_word),
                                         flow_text(normal_lpm(row.case_kgps)), "", reasons.mark(row.case_by_design));
    text += line.substr(0, line.find_last_not_of(' ') + 1) + "\n\n";
    const std::string list = reasons.list();
    if (!list.empty()) text += list + '\n';
    return text + footer(setup, false);
}

std::string case_text(const AirSetup& setup, const AirCase& air) {
    std::string text = unit_line(setup.map);
    text += fmt::format("Air of {} into {}, {}.\n", pressure_text(setup.supply_gauge_pa),
                        port_words(setup.map, air.into), setup.holes.empty() ? "all seals sound" : holes_words(setup));
    text += fmt::format("{} L/min go in.\n\n", flow_text(normal_lpm(setup.unit->supply_flow_kgps())));
    text += port_lines(setup, air) + '\n' + circuit_lines(setup) + '\n' + leak_lines(setup) + '\n';
    if (air.time) text += time_lines(setup, air) + '\n';
    return text + solve_line(setup) + footer(setup, air.time.has_value());
}

std::string leak_down_text(const LeakDownRig& rig, double reading_gauge_pa, const LeakDownAnswer& answer) {
    std::string text =
        fmt::format("Supply {}, orifice {}, second gauge {}: {:.3g} % lost.\n", pressure_text(rig.supply_gauge_pa),
                    hole_text(rig.orifice_diameter_m), pressure_text(reading_gauge_pa), 100 * answer.loss);
    if (answer.area_m2 > 0) {
        text += fmt::format("The leak is as large as a {} of {}, {:.3g} mm²; {} L/min pass.\n",
                            rig.law == LeakDownLaw::ideal ? "hole" : "sharp-edged hole", hole_text(answer.diameter_m),
                            answer.area_m2 * 1e6, flow_text(normal_lpm(answer.flow_kgps)));
        text += fmt::format("It is {:.3g} times the orifice in area.\n",
                            answer.area_m2 / circle_area(rig.orifice_diameter_m));
    } else {
        text += "There is no leak that this orifice can tell.\n";
    }
    text += rig.law == LeakDownLaw::ideal
                ? "Both holes reckoned as ideal ones of one coefficient, as leak-down tables are made.\n"
                : "Orifice reckoned as a short drilled hole (coefficient 0.82), leak as a sharp edge (0.61 rising to "
                  "0.85 with the\npressure).\n";
    return text + "A percentage means nothing without the size of the orifice and the supply.\n";
}

std::string calibration_text(const BenchInUse& bench, double supply_gauge_pa, const std::vector<BlownHole>& blown,
                             const Calibration& calibration) {
    std::string text =
        fmt::format("Drilled holes blown at {} through the bench's hose:\n\n", pressure_text(supply_gauge_pa));
    text += fmt::format("{:>20} {:>8}  {:8} {}\n", "hole", "L/min", "heard", "with these thresholds");
    for (const auto& hole : blown) {
        text += fmt::format("{:>20} {:>8}  {:8} {}\n", hole_text(hole.diameter_m), flow_text(hole.trial.flow_lpm),
                            model::word(hole.trial.word), model::word(heard(hole.trial.flow_lpm, calibration.hearing)));
    }
    text += '\n';
    for (std::size_t i = 0; i < calibration.hearing.from_lpm.size(); ++i) {
        const auto& between = calibration.between_lpm[i];
        text += fmt::format("{:6} from {:>6.3g} L/min, {}\n", model::word(static_cast<Heard>(i + 1)),
                            calibration.hearing.from_lpm[i],
                            between ? fmt::format("placed between {} and {} by the trials", flow_text((*between)[0]),
                                                  flow_text((*between)[1]))
                                    : std::string("no trial on both sides of it: as it was, or as far as the trials "
                                                  "push it"));
    }
    for (const auto& remark : calibration.remarks)
        text += fmt::format("Remark: {}.\n", remark);
    return text + wrapped("Before: " + bench_words(bench.bench, bench.file), 0) + '\n' + air_cautions(supply_gauge_pa);
}

} // namespace ringland::viewer
