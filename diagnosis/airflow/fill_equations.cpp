#include "fill_equations.h"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace ringland::diagnosis::airflow {

FillEquations::FillEquations(const FlowNetwork& network, const std::vector<double>& volume_m3,
                             const std::vector<FillPiston>& pistons, double exponent)
    : rt_(network.factors().rt), ambient_pa_(network.air().ambient_pa), exponent_(exponent),
      factors_(network.factors()), unknowns_(network.unknown_count()) {
    assert(static_cast<int>(volume_m3.size()) == network.node_count() && exponent > 0);
    dead_m3_.resize(at(unknowns_));
    unknown_of_node_.resize(at(network.node_count()));
    for (int node = 0; node < network.node_count(); ++node) {
        const int unknown = network.unknown(node);
        unknown_of_node_[at(node)] = unknown;
        if (unknown < 0) continue;
        assert(volume_m3[at(node)] > 0);
        dead_m3_[at(unknown)] = volume_m3[at(node)];
    }
    for (const FillPiston& given : pistons) {
        assert(given.begins_n > 0 && given.ends_n > given.begins_n && given.stroke_m >= 0);
        Piston piston;
        piston.stroke_m = given.stroke_m;
        piston.begins_n = given.begins_n;
        piston.range_n = given.ends_n - given.begins_n;
        for (const FillPiston::Face& face : given.faces) {
            const int unknown = unknown_of_node_[at(face.node)];
            piston.held_n -= face.area_m2 * ambient_pa_;
            if (unknown < 0) {
                piston.held_n += face.area_m2 * network.pressure_pa(face.node);
                continue;
            }
            // A release side is emptied by the stroke: what it holds beyond its dead volume is there at the stop.
            if (face.area_m2 < 0) dead_m3_[at(unknown)] -= face.area_m2 * piston.stroke_m;
            const auto same = std::find_if(piston.faces.begin(), piston.faces.end(),
                                           [&](const Face& other) { return other.unknown == unknown; });
            if (same != piston.faces.end())
                same->area_m2 += face.area_m2;
            else
                piston.faces.push_back({unknown, face.area_m2});
        }
        pistons_.push_back(std::move(piston));
    }
    contact_.assign(pistons_.size(), Contact::stop);
    take_laws(network);
    moving_.reserve(pistons_.size());
    pressure_.resize(at(unknowns_));
    volume_.resize(at(unknowns_));
    spread_.resize(at(unknowns_));
    own_velocity_.resize(pistons_.size());
    rate_.resize(at(state_count()));
    velocity_.resize(pistons_.size());
    force_.resize(pistons_.size());
    triangle_.resize(pistons_.size() * pistons_.size());
}

void FillEquations::take_laws(const FlowNetwork& network) {
    links_.clear();
    for (const FlowNetwork::Element& element : network.elements()) {
        Link link{element.law, network.unknown(element.first), network.unknown(element.second),
                  network.pressure_pa(element.first), network.pressure_pa(element.second)};
        const bool between_held = link.first < 0 && link.second < 0;
        if (element.law.kind() != Law::Kind::closed && element.first != element.second && !between_held)
            links_.push_back(link);
    }
}

double FillEquations::push(int piston, std::span<const double> state) const {
    const Piston& p = pistons_[at(piston)];
    double force = p.held_n - p.begins_n;
    for (const Face& face : p.faces)
        force += face.area_m2 * state[at(face.unknown)];
    return force / p.range_n;
}

double FillEquations::stroke_share(int piston, std::span<const double> state) const {
    switch (contact(piston)) {
    case Contact::stop:
        return 0;
    case Contact::end:
        return 1;
    case Contact::moving:
        break;
    }
    return std::clamp(push(piston, state), 0.0, 1.0);
}

double FillEquations::volume_m3(int unknown, std::span<const double> state) const {
    double volume = dead_m3_[at(unknown)];
    for (int k = 0; k < piston_count(); ++k) {
        for (const Face& face : pistons_[at(k)].faces) {
            if (face.unknown == unknown) volume += face.area_m2 * pistons_[at(k)].stroke_m * stroke_share(k, state);
        }
    }
    return volume;
}

double FillEquations::stored(std::span<const double> state) const {
    double sum = 0;
    for (int i = 0; i < unknowns_; ++i)
        sum += state[at(i)] * volume_m3(i, state);
    return sum / exponent_;
}

double FillEquations::missing_kg(double stored_at_start, std::span<const double> state) const {
    // W dp + n p dW = n R T ṁ dt, summed over all nodes and divided by n: d(Σ p W)/n + (1 − 1/n) Σ p dW = R T Σ ṁ dt.
    const double work = (1 - 1 / exponent_) * state[at(unknowns_ + swept_work)];
    return (stored(state) - stored_at_start + work) / rt_ - state[at(unknowns_ + net_in)];
}

double FillEquations::mass_scale_kg() const {
    double volume = 0;
    for (const double v : dead_m3_)
        volume += v;
    return ambient_pa_ * volume / rt_;
}

void FillEquations::prepare(std::span<const double> state) {
    moving_.clear();
    std::copy(dead_m3_.begin(), dead_m3_.end(), volume_.begin());
    for (int k = 0; k < piston_count(); ++k) {
        const Piston& piston = pistons_[at(k)];
        // While it moves the share is not held between 0 and 1: the equations stay smooth up to the contact and a
        // hair beyond it, where the integrator looks for the exact instant.
        double share = 0;
        if (contact(k) == Contact::moving) {
            moving_.push_back(k);
            share = push(k, state);
        } else if (contact(k) == Contact::end) {
            share = 1;
        }
        for (const Face& face : piston.faces)
            volume_[at(face.unknown)] += face.area_m2 * piston.stroke_m * share;
    }
    for (int i = 0; i < unknowns_; ++i)
        spread_[at(i)] = exponent_ * pressure_[at(i)] / volume_[at(i)];
    factor();
}

void FillEquations::factor() {
    const std::size_t count = moving_.size();
    for (std::size_t k = 0; k < count; ++k) {
        const Piston& one = pistons_[at(moving_[k])];
        for (std::size_t l = 0; l <= k; ++l) {
            const Piston& other = pistons_[at(moving_[l])];
            double sum = 0;
            for (const Face& face : one.faces) {
                for (const Face& facing : other.faces) {
                    if (face.unknown == facing.unknown)
                        sum += face.area_m2 * facing.area_m2 * spread_[at(face.unknown)];
                }
            }
            triangle_[k * count + l] = (k == l ? 1 : 0) + std::sqrt(one.compliance() * other.compliance()) * sum;
        }
    }
    // Cholesky: the matrix is one plus a positive semidefinite one, so no diagonal falls below 1.
    for (std::size_t k = 0; k < count; ++k) {
        for (std::size_t l = 0; l <= k; ++l) {
            double sum = triangle_[k * count + l];
            for (std::size_t m = 0; m < l; ++m)
                sum -= triangle_[k * count + m] * triangle_[l * count + m];
            triangle_[k * count + l] = k == l ? std::sqrt(sum) : sum / triangle_[l * count + l];
        }
    }
}

void FillEquations::divide(std::span<double> rate) {
    const std::size_t count = moving_.size();
    for (int i = 0; i < unknowns_; ++i)
        rate[at(i)] /= volume_[at(i)];
    for (std::size_t k = 0; k < count; ++k) {
        const Piston& piston = pistons_[at(moving_[k])];
        double sum = 0;
        for (const Face& face : piston.faces)
            sum += face.area_m2 * rate[at(face.unknown)];
        force_[k] = sum * std::sqrt(piston.compliance());
    }
    for (std::size_t k = 0; k < count; ++k) {
        for (std::size_t l = 0; l < k; ++l)
            force_[k] -= triangle_[k * count + l] * force_[l];
        force_[k] /= triangle_[k * count + k];
    }
    for (std::size_t k = count; k-- > 0;) {
        for (std::size_t l = k + 1; l < count; ++l)
            force_[k] -= triangle_[l * count + k] * force_[l];
        force_[k] /= triangle_[k * count + k];
    }
    for (std::size_t k = 0; k < count; ++k) {
        const Piston& piston = pistons_[at(moving_[k])];
        velocity_[k] = force_[k] * std::sqrt(piston.compliance());
        for (const Face& face : piston.faces)
            rate[at(face.unknown)] -= spread_[at(face.unknown)] * face.area_m2 * velocity_[k];
    }
}

bool FillEquations::rates(std::span<const double> state, std::span<double> rate) {
    for (int i = 0; i < unknowns_; ++i) {
        pressure_[at(i)] = state[at(i)];
        // Nothing comes near this: the integrator only tries it on the way.
        if (!(pressure_[at(i)] > 1e-3 * ambient_pa_)) return false;
    }
    prepare(state);
    if (std::any_of(volume_.begin(), volume_.end(), [](double v) { return !(v > 0); })) return false;
    std::fill(rate.begin(), rate.end(), 0.0);
    double net = 0, gross = 0;
    for (const Link& link : links_) {
        const double first = link.first < 0 ? link.first_pa : pressure_[at(link.first)];
        const double second = link.second < 0 ? link.second_pa : pressure_[at(link.second)];
        const double flow = link.law.through(factors_, first, second).flow_kgps;
        if (link.first >= 0) rate[at(link.first)] -= flow;
        if (link.second >= 0) rate[at(link.second)] += flow;
        if (link.first < 0 || link.second < 0) {
            const double in = link.first < 0 ? flow : -flow;
            net += in;
            gross += std::max(in, 0.0);
        }
    }
    const auto pressures = rate.first(at(unknowns_));
    for (double& r : pressures)
        r *= exponent_ * rt_;
    divide(pressures);
    double work = 0;
    for (std::size_t k = 0; k < moving_.size(); ++k) {
        for (const Face& face : pistons_[at(moving_[k])].faces)
            work += pressure_[at(face.unknown)] * face.area_m2 * velocity_[k];
    }
    rate[at(unknowns_ + net_in)] = net;
    rate[at(unknowns_ + gross_in)] = gross;
    rate[at(unknowns_ + swept_work)] = work;
    return true;
}

bool FillEquations::slopes(std::span<const double> state, std::span<double> by_column) {
    if (!rates(state, rate_)) return false;
    const std::size_t rows = at(state_count());
    std::fill(by_column.begin(), by_column.end(), 0.0);
    const auto entry = [&](int row, int column) -> double& { return by_column[at(column) * rows + at(row)]; };
    // First the slopes of n R T ṁ by each pressure.
    for (const Link& link : links_) {
        const double first = link.first < 0 ? link.first_pa : pressure_[at(link.first)];
        const double second = link.second < 0 ? link.second_pa : pressure_[at(link.second)];
        const Through through = link.law.through(factors_, first, second);
        const double per_first = through.per_first * exponent_ * rt_, per_second = through.per_second * exponent_ * rt_;
        if (link.first >= 0) {
            entry(link.first, link.first) -= per_first;
            if (link.second >= 0) entry(link.first, link.second) -= per_second;
        }
        if (link.second >= 0) {
            entry(link.second, link.second) += per_second;
            if (link.first >= 0) entry(link.second, link.first) += per_first;
        }
        if (link.first >= 0 && link.second >= 0) continue;
        const int unknown = link.first < 0 ? link.second : link.first;
        const double flow_in = link.first < 0 ? through.flow_kgps : -through.flow_kgps;
        const double per_unknown = link.first < 0 ? through.per_second : -through.per_first;
        entry(unknowns_ + net_in, unknown) += per_unknown;
        if (flow_in > 0) entry(unknowns_ + gross_in, unknown) += per_unknown;
    }
    // Then what a pressure changes in the volumes, and in n p dW/dt: M ∂f/∂p = ∂(n R T ṁ)/∂p − (∂M/∂p) f.
    for (std::size_t k = 0; k < moving_.size(); ++k) {
        const Piston& piston = pistons_[at(moving_[k])];
        for (const Face& face : piston.faces) {
            for (const Face& pushed : piston.faces) {
                entry(face.unknown, pushed.unknown) -=
                    face.area_m2 * piston.compliance() * pushed.area_m2 * rate_[at(face.unknown)];
            }
            entry(face.unknown, face.unknown) -= exponent_ * face.area_m2 * velocity_[k];
        }
    }
    std::copy(velocity_.begin(), velocity_.end(), own_velocity_.begin());
    for (int column = 0; column < unknowns_; ++column) {
        divide(by_column.subspan(at(column) * rows, at(unknowns_)));
        double& work = entry(unknowns_ + swept_work, column);
        for (std::size_t k = 0; k < moving_.size(); ++k) {
            for (const Face& face : pistons_[at(moving_[k])].faces) {
                work += pressure_[at(face.unknown)] * face.area_m2 * velocity_[k];
                if (face.unknown == column) work += face.area_m2 * own_velocity_[k];
            }
        }
    }
    return true;
}

} // namespace ringland::diagnosis::airflow
