#include "leak_down.h"

#include <cmath>

#include <fmt/format.h>

namespace ringland::diagnosis::airflow {

namespace {

/// The two holes of a rig with the air around them.
class Holes {
public:
    explicit Holes(const LeakDownRig& rig)
        : factors_(rig.air), supply_pa_(rig.air.ambient_pa + rig.supply_gauge_pa), ambient_pa_(rig.air.ambient_pa),
          orifice_(Law::round_hole(circle_area(rig.orifice_diameter_m),
                                   rig.law == LeakDownLaw::ideal ? 1 : Law::drilled_cd)),
          ideal_(rig.law == LeakDownLaw::ideal) {}

    [[nodiscard]] Law leak(double area_m2) const {
        return ideal_ ? Law::round_hole(area_m2, 1) : Law::sharp_hole(area_m2);
    }
    [[nodiscard]] Through through_orifice(double between_pa) const {
        return orifice_.through(factors_, supply_pa_, between_pa);
    }
    [[nodiscard]] Through out(const Law& leak, double between_pa) const {
        return leak.through(factors_, between_pa, ambient_pa_);
    }
    [[nodiscard]] double supply_pa() const { return supply_pa_; }
    [[nodiscard]] double ambient_pa() const { return ambient_pa_; }

private:
    AirFactors factors_;
    double supply_pa_, ambient_pa_;
    Law orifice_;
    bool ideal_;
};

/// What keeps the readings from being true; empty where they can be.
std::string complaint(const LeakDownRig& rig, double reading_gauge_pa, const model::Translator& tr) {
    constexpr double psi = 6894.757293168361;
    if (!std::isfinite(rig.supply_gauge_pa) || rig.supply_gauge_pa <= 0)
        return tr("there is no supply pressure: the first gauge must read more than 0");
    if (!std::isfinite(rig.orifice_diameter_m) || rig.orifice_diameter_m <= 0)
        return tr("there is no orifice between the gauges: its diameter must be more than 0");
    if (!std::isfinite(reading_gauge_pa) || reading_gauge_pa <= 0) {
        return tr("the second gauge reads nothing, so the leak is larger than this orifice can tell: use a larger "
                  "orifice, or look for an open port");
    }
    if (reading_gauge_pa > rig.supply_gauge_pa) {
        return model::filled(
            tr("the second gauge reads {0:.4g} psi and the first {1:.4g}: behind the orifice it can only "
               "be less; are the two mixed up, or is one out of zero?"),
            reading_gauge_pa / psi, rig.supply_gauge_pa / psi);
    }
    return {};
}

} // namespace

std::optional<LeakDownAnswer> leak_of_reading(const LeakDownRig& rig, double reading_gauge_pa, std::string& why,
                                              const model::Translator& tr) {
    why = complaint(rig, reading_gauge_pa, tr);
    if (!why.empty()) return std::nullopt;
    const Holes holes(rig);
    const double between_pa = holes.ambient_pa() + reading_gauge_pa;
    LeakDownAnswer answer;
    answer.loss = 1 - reading_gauge_pa / rig.supply_gauge_pa;
    if (reading_gauge_pa == rig.supply_gauge_pa) return answer;
    answer.flow_kgps = holes.through_orifice(between_pa).flow_kgps;
    // The flow of a hole is in proportion to its area, whatever its coefficient makes of the pressures.
    answer.effective_area_m2 = answer.flow_kgps / holes.out(Law::round_hole(1, 1), between_pa).flow_kgps;
    answer.area_m2 = answer.flow_kgps / holes.out(holes.leak(1), between_pa).flow_kgps;
    answer.diameter_m = circle_diameter(answer.area_m2);
    return answer;
}

double reading_of_leak(const LeakDownRig& rig, double leak_diameter_m) {
    if (!(leak_diameter_m > 0)) return rig.supply_gauge_pa;
    const Holes holes(rig);
    const Law leak = holes.leak(circle_area(leak_diameter_m));
    // More comes in than goes out at `low`, less at `high`. Newton's step where it stays between, else the middle.
    double low = holes.ambient_pa(), high = holes.supply_pa();
    double between_pa = (low + high) / 2;
    for (int step = 0; step < 200 && high - low > 4e-16 * high; ++step) {
        const Through in = holes.through_orifice(between_pa);
        const Through out = holes.out(leak, between_pa);
        const double gain = in.flow_kgps - out.flow_kgps;
        if (gain == 0) break;
        (gain > 0 ? low : high) = between_pa;
        const double slope = in.per_second - out.per_first;
        const double newton = between_pa - gain / slope;
        // Every third step halves what is left, since Newton alone may close in from one side only.
        between_pa = step % 3 != 2 && newton > low && newton < high ? newton : (low + high) / 2;
    }
    return between_pa - holes.ambient_pa();
}

} // namespace ringland::diagnosis::airflow
