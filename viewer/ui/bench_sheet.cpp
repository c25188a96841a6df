// The air bench: what the shop's air is like, what its ears call faint, and the leak-down reckoner.
#include "panels.h"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include "../../diagnosis/airflow/leak_down.h"
#include "words.h"
#include "writer.h"

namespace ringland::viewer {

namespace {

using namespace diagnosis::airflow;

/// Drilled holes that a shop can make: small twist drills, mm.
constexpr std::array<double, 9> trial_holes_mm{0.2, 0.3, 0.5, 0.7, 1.0, 1.4, 2.0, 2.5, 3.0};
constexpr double drilled_cd = 0.82;
constexpr double psi_in_bar = 0.06894757293168361;

/// Flow through a drilled hole held against the nozzle, by the bench's hose.
double trial_lpm(const model::AirBench& bench, double supply_gauge, double hole_mm) {
    const Air air = air_of(bench);
    FlowNetwork network(air);
    const int source = network.add_held_node("regulator", air.ambient_pa + supply_gauge);
    const int open = network.add_held_node("open air", air.ambient_pa);
    const int nozzle = network.add_node("nozzle");
    network.add_element("hose", Law::conductance(bench.hose_conductance * 1e-8, bench.hose_critical_ratio), source,
                        nozzle);
    const int hole =
        network.add_element("hole", Law::round_hole(circle_area(hole_mm * 1e-3), drilled_cd), nozzle, open);
    network.finish();
    network.solve();
    return normal_lpm(network.flow_kgps(hole));
}

/// A name, a figure and a slider; true where the bench is to change.
bool bench_slider(PanelContext& c, Writer& out, const char* label, std::string_view name, const std::string& figure,
                  double& value, double low, double high, double step) {
    Widgets& w = c.w;
    const float words = Widgets::measure(w.fonts.strong, figure).x;
    w.line(w.fonts.body, w.colours.ink, out.at(), out.width() - words - w.px(8), name);
    w.text(w.fonts.strong, w.colours.ink, {out.at().x + out.width() - words, out.at().y}, 0, figure);
    out.advance(w.fonts.body->FontSize);
    const auto move = w.slider(label, out.at(), {out.width(), w.px(size::target)}, value, low, high, step);
    out.advance(w.px(size::target));
    value = move.value;
    return move.changed;
}

void write_bench(PanelContext& c, Writer& out) {
    model::AirBench bench = c.session().document.bench;
    const bool metric = c.session().view.units == UnitSystem::bar_mm;
    out.text(c.w.fonts.title, c.w.colours.ink, c.tr("The air of this shop"));
    out.note(c.tr("Kept for every unit. Measure them once: common practice stands in until then, no source."));
    bool changed = bench_slider(c, out, "slider temperature", c.tr("Temperature of air and unit"),
                                metric ? c.tr.number(bench.temperature_c, 0) + " °C"
                                       : c.tr.number(bench.temperature_c * 1.8 + 32, 0) + " °F",
                                bench.temperature_c, -20, 50, 1);
    changed = bench_slider(c, out, "slider altitude",
                           bench.local_pressure_kpa ? c.tr("Altitude (a barometer figure is given and wins)")
                                                    : c.tr("Altitude of the shop"),
                           metric ? c.tr.number(bench.altitude_m, 0) + " m"
                                  : c.tr.number(bench.altitude_m / 0.3048, 0) + " ft",
                           bench.altitude_m, 0, 3000, 50) ||
              changed;
    changed = bench_slider(
                  c, out, "slider hose", c.tr("Hose and nozzle, sonic conductance"),
                  metric ? filled(c.tr("{0} L/min per bar"), c.tr.number(bench.hose_conductance * 60, 0))
                         : filled(c.tr("{0} L/min per psi"), c.tr.number(bench.hose_conductance * 60 * psi_in_bar, 2)),
                  bench.hose_conductance, 0.1, 4, 0.05) ||
              changed;
    out.note(filled(c.tr("The air around has {0}. Open into the air this nozzle blows {1} at {2}."),
                    metric ? c.tr.number(air_of(bench).ambient_pa / 1e5, 3) + " bar"
                           : c.tr.number(air_of(bench).ambient_pa / 1e5 / psi_in_bar, 2) + " psi",
                    flow_words(c.tr, bench.hose_conductance * 60 *
                                         (supply_gauge_pa(c.session().document) + air_of(bench).ambient_pa) / 1e5 *
                                         std::sqrt(normal_temperature_k / air_of(bench).temperature_k)),
                    gauge_words(c.tr, supply_gauge_pa(c.session().document), c.session().view.units)));
    if (changed) c.commands.emplace_back(command::SetAirBench{bench});
}

void write_trials(PanelContext& c, Writer& out) {
    Widgets& w = c.w;
    const model::AirBench& bench = c.session().document.bench;
    const double supply = supply_gauge_pa(c.session().document);
    out.text(w.fonts.title, w.colours.ink, c.tr("What do you call faint?"));
    out.note(filled(c.tr("Hold the nozzle against a drilled hole at {0} and say what you hear. Two or three holes a "
                         "word are enough."),
                    gauge_words(c.tr, supply, c.session().view.units)));
    std::vector<Trial> trials;
    const float row = w.px(46), side = w.px(126), gap = w.px(4);
    const float wide = (out.width() - side - 3 * gap) / 4;
    for (std::size_t i = 0; i < trial_holes_mm.size(); ++i) {
        const int key = static_cast<int>(i);
        const double lpm = trial_lpm(bench, supply, trial_holes_mm[i]);
        const auto said = c.transient.trials.find(key);
        if (said != c.transient.trials.end()) trials.push_back({lpm, said->second});
        w.line(w.fonts.strong, w.colours.ink, {out.at().x, out.at().y + w.px(5)}, side - gap,
               length_words(c.tr, model::mm(trial_holes_mm[i]), c.session().view.units));
        w.line(w.fonts.note, w.colours.second_ink, {out.at().x, out.at().y + w.px(22)}, side - gap,
               flow_words(c.tr, lpm));
        for (int k = 0; k < 4; ++k) {
            const Heard word = static_cast<Heard>(k);
            const ImVec2 at{out.at().x + side + static_cast<float>(k) * (wide + gap), out.at().y};
            const bool chosen = said != c.transient.trials.end() && said->second == word;
            if (w.button(fmt::format("trial {} {}", i + 1, model::word(word)), c.tr.word(word), at,
                         {wide, w.px(size::target)}, chosen ? ButtonStyle::chosen : ButtonStyle::plain)) {
                if (chosen)
                    c.transient.trials.erase(key);
                else
                    c.transient.trials[key] = word;
            }
        }
        out.advance(row);
    }
    out.gap(1);
    const Calibration found = calibrate(trials, {bench.heard_from_lpm}, c.tr);
    const auto& from = found.hearing.from_lpm;
    const float top = out.at().y;
    out.body(filled(c.tr("faint from {0}, clear from {1}, strong from {2}"), flow_words(c.tr, from[0]),
                    flow_words(c.tr, from[1]), flow_words(c.tr, from[2])));
    for (const auto& remark : found.remarks)
        out.note(remark);
    out.mark("text hearing", top);
    const float take = w.button_width(c.tr("Take these")), clear = w.button_width(c.tr("Forget the trials"));
    Flow flow{out.at(), out.width(), w.px(size::target), w.px(size::unit)};
    const bool new_ones = !trials.empty() && from != bench.heard_from_lpm;
    if (w.button("Take these", c.tr("Take these"), flow.next(take), {take, w.px(size::target)},
                 new_ones ? ButtonStyle::primary : ButtonStyle::plain, new_ones)) {
        model::AirBench after = bench;
        after.heard_from_lpm = from;
        c.commands.emplace_back(command::SetAirBench{after});
    }
    if (w.button("Forget the trials", c.tr("Forget the trials"), flow.next(clear), {clear, w.px(size::target)},
                 ButtonStyle::plain, !trials.empty()))
        c.transient.trials.clear();
    out.advance(flow.height());
    out.gap(2);
}

void write_leak_down(PanelContext& c, Writer& out) {
    Widgets& w = c.w;
    Transient& t = c.transient;
    const UnitSystem units = c.session().view.units;
    if (t.leak_supply_pa <= 0) {
        t.leak_supply_pa = supply_gauge_pa(c.session().document);
        t.leak_reading_pa = 0.5 * t.leak_supply_pa;
    }
    const bool psi = units == UnitSystem::psi_inch;
    const double si = model::PressureDimension::units[psi ? 0 : 2].si_per_unit;
    out.text(w.fonts.title, w.colours.ink, c.tr("Leak-down"));
    out.note(c.tr("Two gauges with a drilled orifice between them, the second one at the port."));
    double supply = t.leak_supply_pa / si, reading = t.leak_reading_pa / si;
    bench_slider(c, out, "slider leak supply", c.tr("First gauge, before the orifice"),
                 gauge_words(c.tr, t.leak_supply_pa, units), supply, 0, psi ? 120 : 8, psi ? 1 : 0.05);
    bench_slider(c, out, "slider leak reading", c.tr("Second gauge, at the port"),
                 gauge_words(c.tr, t.leak_reading_pa, units), reading, 0, psi ? 120 : 8, psi ? 0.5 : 0.02);
    bench_slider(c, out, "slider orifice", c.tr("Orifice between them"),
                 length_words(c.tr, model::mm(t.orifice_mm), units), t.orifice_mm, 0.3, 3, 0.05);
    t.leak_supply_pa = supply * si;
    t.leak_reading_pa = std::min(reading * si, t.leak_supply_pa);
    LeakDownRig rig;
    rig.supply_gauge_pa = t.leak_supply_pa;
    rig.orifice_diameter_m = t.orifice_mm * 1e-3;
    rig.air = air_of(c.session().document.bench);
    std::string why;
    const auto answer = leak_of_reading(rig, t.leak_reading_pa, why, c.tr);
    const float top = out.at().y;
    if (answer) {
        out.text(w.fonts.answer, w.colours.ink,
                 answer->diameter_m > 0 ? filled(c.tr("Leak: a hole of {0}"),
                                                 length_words(c.tr, model::mm(answer->diameter_m * 1e3), units))
                                        : c.tr("No leak"));
        out.body(filled(c.tr("{0:.0f} % is lost; {1} flow; effective area {2}."), answer->loss * 100,
                        flow_words(c.tr, normal_lpm(answer->flow_kgps)),
                        psi ? c.tr.number(answer->effective_area_m2 / (0.0254 * 0.0254), 5) + " in²"
                            : c.tr.number(answer->effective_area_m2 * 1e6, 2) + " mm²"));
    } else {
        out.body(why);
    }
    out.mark("text leak-down", top);
    out.note(
        c.tr("Sharp-edged hole; bleeds and other healthy leaks of the circuit are in it. A percentage says nothing "
             "without the orifice and the pressure."));
    out.gap(2);
}

} // namespace

void draw_air_bench(PanelContext& c, const ImVec2& at, const ImVec2& extent) {
    Widgets& w = c.w;
    const float pad = w.px(size::padding), gap = w.px(4 * size::unit);
    if (w.begin_region("air bench", at, extent, w.colours.panel, true)) {
        const ImVec2 origin = ImGui::GetCursorScreenPos();
        const bool two = extent.x > w.px(860);
        const float wide =
            std::min(w.px(560), two ? (extent.x - 2 * pad - gap) / 2 - w.px(6) : extent.x - 2 * pad - w.px(10));
        Writer left(c, {origin.x + pad, origin.y + pad}, wide);
        write_trials(c, left);
        Writer right(c, two ? ImVec2{origin.x + pad + wide + gap, origin.y + pad} : left.at(), wide);
        write_bench(c, right);
        right.gap(2);
        write_leak_down(c, right);
        w.content_ends_at({origin.x + pad, std::max(left.at().y, right.at().y)});
    }
    w.end_region();
}

} // namespace ringland::viewer
