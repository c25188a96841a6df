#include "oil_leak.h"

#include <cassert>

#include "../airflow/seal_leak.h"

namespace ringland::diagnosis::oil {

namespace {

OilLaw opening(const airflow::Law& air) {
    using Kind = airflow::Law::Kind;
    switch (air.kind()) {
    case Kind::sharp_hole: // its shape is the incompressible coefficient, which is that of oil
    case Kind::round_hole:
        return OilLaw::hole(air.size(), air.shape());
    case Kind::slot:
        return OilLaw::slot_of(air.size());
    case Kind::closed:
        return {};
    case Kind::conductance:
        break;
    }
    assert(air.kind() != Kind::conductance);
    return {};
}

} // namespace

OilLaw in_oil(const airflow::Law& air) {
    return air.is_one_way() ? opening(air).one_way(air.opens_pa()) : opening(air);
}

OilLaw sound_seal_in_oil(const model::UnitMap& map, const model::Seal& seal) {
    const airflow::SoundSeal sound = airflow::sound_seal(map, seal);
    if (seal.healthy_hole || seal.kind == model::SealKind::ring) return in_oil(sound.hole);
    if (seal.kind == model::SealKind::bushing) return in_oil(sound.film);
    return {};
}

OilLaw design_in_oil(const model::DesignFlow& flow) {
    if (flow.kind == model::DesignFlowKind::check_ball && flow.to == model::sump_id) return {};
    return in_oil(airflow::design_law(flow));
}

double slot_of_hole_m3(double hole_diameter_m, double supply_gauge_pa, const airflow::Air& air) {
    assert(hole_diameter_m >= 0 && supply_gauge_pa > 0);
    const airflow::AirFactors factors(air);
    const double high = air.ambient_pa + supply_gauge_pa, low = air.ambient_pa;
    const auto hole = airflow::Law::sharp_hole(airflow::circle_area(hole_diameter_m)).through(factors, high, low);
    const auto unit_slot = airflow::Law::slot(1, 1, 1).through(factors, high, low);
    return hole.flow_kgps / unit_slot.flow_kgps;
}

} // namespace ringland::diagnosis::oil
