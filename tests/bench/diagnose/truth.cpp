#include "truth.h"

#include <algorithm>
#include <cmath>

#include "../../../diagnosis/airflow/filling.h"
#include "../../../diagnosis/airflow/seal_leak.h"

namespace ringland::tests {

namespace airflow = diagnosis::airflow;
using Kind = diagnosis::suspects::NextStep::Kind;

using diagnosis::suspects::RigFault;

namespace {

model::UnitMap with_wall(model::UnitMap map, const Trouble& trouble) {
    if (!trouble.wall) return map;
    model::Seal crack;
    crack.id = "not on the map";
    crack.kind = model::SealKind::wall;
    crack.relation = model::Relation::drum;
    crack.between = *trouble.wall;
    map.seals.push_back(std::move(crack));
    return map;
}

std::vector<std::array<int, 2>> neighbours(std::span<const RigFault> rig) {
    std::vector<std::array<int, 2>> pairs;
    for (const RigFault& fault : rig) {
        if (fault.kind == RigFault::Kind::plate) pairs.push_back({fault.first_port, fault.second_port});
    }
    return pairs;
}

/// How it failed, drawn from the shares of its kind.
model::Mechanism draw(const model::Seal& seal, Dice& dice) {
    const model::Priors priors;
    const auto& share = priors.kind[static_cast<std::size_t>(seal.kind)].mechanism;
    double left = dice.uniform();
    for (std::size_t m = 0; m < share.size(); ++m) {
        left -= share[m];
        if (left >= 0) continue;
        const auto mechanism = static_cast<model::Mechanism>(m);
        // A lip that faces neither side cannot leak one way.
        if (mechanism == model::Mechanism::one_way_lip && !airflow::fails_one_way(seal)) return model::Mechanism::hole;
        return mechanism;
    }
    return model::Mechanism::hole;
}

} // namespace

Truth::Truth(const model::UnitMap& map, std::span<const diagnosis::suspects::RigFault> rig, const Trouble& trouble,
             Dice& dice)
    : map_(with_wall(map, trouble)), dice_(dice), unit_(map_, {}, neighbours(rig)) {
    auto& network = unit_.network();
    for (int k = 0; k < static_cast<int>(network.elements().size()); ++k) {
        const auto& law = network.elements()[static_cast<std::size_t>(k)].law;
        if (law.kind() != airflow::Law::Kind::closed) network.set_law(k, law.scaled(std::exp(0.1 * dice.normal())));
    }
    for (double& from : hearing_.from_lpm)
        from *= std::exp(0.3 * dice.normal());
    std::sort(hearing_.from_lpm.begin(), hearing_.from_lpm.end());
    for (const Fault& f : trouble.faults)
        broken_.push_back({f.seal, f.mm * std::exp(0.05 * dice.normal()), draw(map.seals[f.seal], dice)});
    if (trouble.wall) broken_.push_back({map_.seals.size() - 1, trouble.wall_mm, model::Mechanism::hole});
    if (trouble.rig < 0) return;
    const bool hose = rig[static_cast<std::size_t>(trouble.rig)].kind == RigFault::Kind::hose;
    if (hose)
        unit_.set_hose_share(dice.size(0.1, 0.3));
    else
        plate_ = trouble.rig, plate_mm_ = trouble.rig_mm;
    hose_ = hose;
}

void Truth::set_faults(Kind change) {
    using model::Mechanism;
    unit_.clear_defects();
    for (const Broken& b : broken_) {
        const bool heals = (change == Kind::wet && b.mechanism == Mechanism::dry_film) ||
                           (change == Kind::resnug && b.mechanism == Mechanism::joint_face);
        const bool redraws = (change == Kind::turn && b.mechanism == Mechanism::joint) ||
                             (change == Kind::push && b.mechanism == Mechanism::groove_wall);
        double mm = b.mm;
        if (heals || (redraws && dice_.chance(0.3)))
            mm = 0;
        else if (redraws)
            mm = dice_.size(0.3, 1.5 * b.mm);
        unit_.set_defect(static_cast<int>(b.seal), mm * 1e-3, b.mechanism != Mechanism::one_way_lip);
    }
    if (plate_ >= 0) unit_.set_plate_leak(plate_, change == Kind::resnug ? 0 : plate_mm_ * 1e-3);
}

model::Heard Truth::hear(double lpm) {
    int word = static_cast<int>(airflow::heard(lpm, hearing_));
    if (dice_.uniform() < 0.05) word += dice_.uniform() < 0.5 ? 1 : -1;
    return static_cast<model::Heard>(std::clamp(word, 0, 3));
}

void Truth::listen_everywhere(model::Reading& reading) {
    for (std::size_t p = 0; p < map_.ports.size(); ++p) {
        const auto& id = map_.ports[p].id;
        const bool closed = std::find(reading.plugged.begin(), reading.plugged.end(), id) != reading.plugged.end();
        const bool seen =
            std::any_of(reading.seen.begin(), reading.seen.end(), [&](const auto& s) { return s.at == id; });
        if (id == reading.into || closed || seen) continue;
        model::Seen heard;
        heard.at = id;
        heard.word = hear(airflow::normal_lpm(unit_.port_flow_kgps(static_cast<int>(p))));
        reading.seen.push_back(heard);
    }
    model::Seen heard;
    heard.at = std::string(model::open_case);
    heard.word = hear(airflow::normal_lpm(unit_.sump_flow_kgps()));
    reading.seen.push_back(heard);
}

void Truth::carry_out(const diagnosis::suspects::NextStep& step, double supply_pa, model::AirCheck& check) {
    if (step.kind == Kind::look || step.kind == Kind::rig) {
        const bool of_seal = std::any_of(broken_.begin(), broken_.end(), [&](const auto& b) {
            return step.kind == Kind::look && b.seal == static_cast<std::size_t>(step.seal);
        });
        const bool damaged = step.kind == Kind::look ? of_seal : plate_ >= 0 || hose_;
        model::Look look;
        look.seal =
            step.kind == Kind::look ? map_.seals[static_cast<std::size_t>(step.seal)].id : std::string(model::the_rig);
        look.found = finds_damage(damaged) ? model::Found::damaged : model::Found::sound;
        check.looks.push_back(look);
        return;
    }
    model::Reading reading = diagnosis::suspects::reading_of(map_, step);
    set_faults(step.kind);
    // A port's hole is set anew with its state, so that the truth's own error of it is not kept: it is far from every
    // leak.
    unit_.set_all_ports(airflow::PortState::open);
    for (const int p : step.plugged)
        unit_.set_port(p, airflow::PortState::plugged);
    const bool closed = step.kind == Kind::gauge || step.kind == Kind::timed;
    const int watched = closed ? step.watch.front() : -1;
    if (closed) unit_.set_port(watched, airflow::PortState::plugged);
    unit_.blow_into(step.into, supply_pa);
    unit_.solve_cold();
    if (step.kind == Kind::gauge) {
        model::Seen seen;
        seen.at = map_.ports[static_cast<std::size_t>(watched)].id;
        const double pa = std::max(0.0, unit_.port_gauge_pa(watched) * (1 + 0.03 * dice_.normal()));
        seen.pressure = model::GaugePressure{pa / 1e5, model::PressureDimension::Unit::bar};
        reading.seen.push_back(seen);
    }
    if (step.kind == Kind::timed) {
        const auto& circuit = map_.ports[static_cast<std::size_t>(watched)].circuit;
        airflow::FillCase fill;
        fill.trigger_s = fill.end_s = diagnosis::suspects::longest_wait_s;
        fill.sample_s = 1;
        const auto trace = airflow::fill(map_, unit_, fill);
        model::Seen seen;
        seen.at = map_.ports[static_cast<std::size_t>(watched)].id;
        seen.applies_after_s = HUGE_VAL;
        for (const auto& piston : trace.pistons) {
            const auto& by = map_.elements[static_cast<std::size_t>(piston.element)].applied_by;
            if (std::find(by.begin(), by.end(), circuit) == by.end() || !piston.applied_s) continue;
            seen.applies_after_s = *piston.applied_s * std::exp(0.2 * dice_.normal());
        }
        reading.seen.push_back(seen);
    }
    listen_everywhere(reading);
    check.readings.push_back(std::move(reading));
}

} // namespace ringland::tests
