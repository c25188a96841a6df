// How a network is solved: the definitions of network.h, for the one source file of each medium that makes its network.
#pragma once

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <new>
#include <set>

#include <klu.h>

#include "network.h"

namespace ringland::diagnosis::flow {

inline constexpr int most_iterations = 200, most_halvings = 40, most_careful_iterations = 1000;
/// A start from a very different case can lead the line search into a crawl; from the open air it never does.
inline constexpr int most_warm_iterations = 25;
/// Asked of the iteration itself, so that the promises of the report are kept with room to spare.
inline constexpr double aim_mass = 1e-11, aim_pressure = 1e-11;

template <class Medium> struct Network<Medium>::Equations {
    std::vector<int> column_start, row;
    std::vector<double> value;
    /// Ends of an element, and its places in `value`: (first,first), (second,second), (first,second), (second,first);
    /// -1: held.
    struct Branch {
        std::size_t first, second;
        int unknown_first, unknown_second;
        std::array<int, 4> place;
    };
    std::vector<Branch> branch;
    std::vector<std::size_t> open; ///< elements that are not closed in this solve
    std::vector<int> diagonal;
    std::vector<double> imbalance, correction, start, start_rest;
    klu_common common{};
    klu_symbolic* symbolic = nullptr;
    klu_numeric* numeric = nullptr;

    Equations() = default;
    Equations(const Equations&) = delete;
    Equations& operator=(const Equations&) = delete;
    ~Equations() {
        if (numeric) klu_free_numeric(&numeric, &common);
        if (symbolic) klu_free_symbolic(&symbolic, &common);
    }

    [[nodiscard]] int place_of(int r, int c) const {
        const auto begin = row.begin() + column_start[static_cast<std::size_t>(c)];
        const auto end = row.begin() + column_start[static_cast<std::size_t>(c) + 1];
        return static_cast<int>(std::lower_bound(begin, end, r) - row.begin());
    }
};

template <class Medium> Network<Medium>::Network(const Fluid& fluid) : fluid_(fluid), factors_(fluid) {}
template <class Medium> Network<Medium>::~Network() = default;
template <class Medium> Network<Medium>::Network(Network&&) noexcept = default;
template <class Medium> Network<Medium>& Network<Medium>::operator=(Network&&) noexcept = default;

template <class Medium> Network<Medium>::Network(const Network& other)
    : fluid_(other.fluid_), factors_(other.factors_), names_(other.names_), pressure_(other.pressure_),
      rest_(other.rest_), unknown_(other.unknown_), elements_(other.elements_), flow_(other.flow_),
      unknowns_(other.unknowns_), report_(other.report_) {
    if (other.finished_) finish();
    flow_ = other.flow_;
}

template <class Medium> int Network<Medium>::add_node(std::string name) {
    assert(!finished_);
    names_.push_back(std::move(name));
    pressure_.push_back(fluid_.ambient_pa);
    rest_.push_back(0);
    unknown_.push_back(unknowns_++);
    return node_count() - 1;
}

template <class Medium> int Network<Medium>::add_held_node(std::string name, double pressure_pa) {
    assert(!finished_ && pressure_pa > 0);
    names_.push_back(std::move(name));
    pressure_.push_back(pressure_pa);
    rest_.push_back(0);
    unknown_.push_back(-1);
    return node_count() - 1;
}

template <class Medium> int Network<Medium>::add_element(std::string name, const Law& law, int first, int second) {
    assert(!finished_ && first >= 0 && second >= 0 && first < node_count() && second < node_count());
    elements_.push_back({std::move(name), law, first, second});
    return static_cast<int>(elements_.size()) - 1;
}

template <class Medium> void Network<Medium>::set_held_pressure(int node, double pressure_pa) {
    assert(unknown(node) < 0 && pressure_pa > 0);
    pressure_[static_cast<std::size_t>(node)] = pressure_pa;
    rest_[static_cast<std::size_t>(node)] = 0;
}

template <class Medium> void Network<Medium>::set_guess(int node, double pressure_pa) {
    assert(unknown(node) >= 0 && pressure_pa > 0);
    pressure_[static_cast<std::size_t>(node)] = pressure_pa;
    rest_[static_cast<std::size_t>(node)] = 0;
}

template <class Medium> void Network<Medium>::forget() {
    for (std::size_t n = 0; n < pressure_.size(); ++n) {
        if (unknown_[n] < 0) continue;
        pressure_[n] = fluid_.ambient_pa;
        rest_[n] = 0;
    }
}

template <class Medium> void Network<Medium>::finish() {
    assert(!finished_);
    finished_ = true;
    flow_.assign(elements_.size(), {});
    equations_ = std::make_unique<Equations>();
    Equations& e = *equations_;
    const auto n = static_cast<std::size_t>(unknowns_);
    std::vector<std::set<int>> rows(n);
    for (std::size_t i = 0; i < n; ++i)
        rows[i].insert(static_cast<int>(i));
    for (const Element& element : elements_) {
        const int i = unknown(element.first), j = unknown(element.second);
        if (i < 0 || j < 0) continue;
        rows[static_cast<std::size_t>(i)].insert(j);
        rows[static_cast<std::size_t>(j)].insert(i);
    }
    e.column_start.push_back(0);
    for (const auto& column : rows) {
        e.row.insert(e.row.end(), column.begin(), column.end());
        e.column_start.push_back(static_cast<int>(e.row.size()));
    }
    e.value.assign(e.row.size(), 0);
    for (std::size_t i = 0; i < n; ++i)
        e.diagonal.push_back(e.place_of(static_cast<int>(i), static_cast<int>(i)));
    for (const Element& element : elements_) {
        const int i = unknown(element.first), j = unknown(element.second);
        const bool both = i >= 0 && j >= 0;
        e.branch.push_back({static_cast<std::size_t>(element.first),
                            static_cast<std::size_t>(element.second),
                            i,
                            j,
                            {i >= 0 ? e.diagonal[static_cast<std::size_t>(i)] : -1,
                             j >= 0 ? e.diagonal[static_cast<std::size_t>(j)] : -1, both ? e.place_of(i, j) : -1,
                             both ? e.place_of(j, i) : -1}});
    }
    e.open.reserve(elements_.size());
    e.imbalance.assign(n, 0);
    e.correction.assign(n, 0);
    e.start.assign(n, 0);
    e.start_rest.assign(n, 0);
    if (n == 0) return;

    // The matrix is an M-matrix whose columns are dominated by their diagonal: elimination down the diagonal is stable
    // whatever the laws are, so the order found here on a matrix of the same sort serves every solve.
    for (std::size_t c = 0; c < n; ++c) {
        for (int k = e.column_start[c]; k < e.column_start[c + 1]; ++k)
            e.value[static_cast<std::size_t>(k)] =
                e.row[static_cast<std::size_t>(k)] == static_cast<int>(c) ? static_cast<double>(rows[c].size()) : -1;
    }
    klu_defaults(&e.common);
    e.common.btf = 0;
    e.common.scale = -1; // rows are alike, and their finite figures are checked below
    e.symbolic = klu_analyze(unknowns_, e.column_start.data(), e.row.data(), &e.common);
    if (e.symbolic) e.numeric = klu_factor(e.column_start.data(), e.row.data(), e.value.data(), e.symbolic, &e.common);
    if (!e.numeric) throw std::bad_alloc();
}

/// Flows and node balances at the pressures as they stand; gives the sum of squares of the imbalances.
template <class Medium> double Network<Medium>::evaluate() {
    Equations& e = *equations_;
    for (const std::size_t k : e.open) {
        const std::size_t i = e.branch[k].first, j = e.branch[k].second;
        flow_[k] = elements_[k].law.through(factors_, pressure_[i], pressure_[j],
                                            (pressure_[i] - pressure_[j]) + (rest_[i] - rest_[j]));
    }
    sum_up();
    double squares = 0;
    for (const double f : e.imbalance)
        squares += f * f;
    return squares;
}

/// Balances of the nodes and of the whole from the flows as they stand.
template <class Medium> void Network<Medium>::sum_up() {
    Equations& e = *equations_;
    double in = 0, out = 0, closure = 0;
    for (std::size_t n = 0; n < pressure_.size(); ++n) {
        if (unknown_[n] < 0) continue;
        const double lost = closure_kgps_per_pa * ((pressure_[n] - fluid_.ambient_pa) + rest_[n]);
        e.imbalance[static_cast<std::size_t>(unknown_[n])] = lost;
        closure += lost;
    }
    // What a held node gives is counted element by element: the open air both gives and takes where a node is below
    // ambient pressure, and both are flows.
    for (const std::size_t k : e.open) {
        const double flow = flow_[k].flow_kgps;
        const int i = e.branch[k].unknown_first, j = e.branch[k].unknown_second;
        if (i >= 0) e.imbalance[static_cast<std::size_t>(i)] += flow;
        if (j >= 0) e.imbalance[static_cast<std::size_t>(j)] -= flow;
        if (i < 0) (flow > 0 ? in : out) += std::abs(flow);
        if (j < 0) (flow > 0 ? out : in) += std::abs(flow);
    }
    double worst = 0;
    report_.worst_node = -1;
    for (std::size_t n = 0; n < pressure_.size(); ++n) {
        if (unknown_[n] < 0) continue;
        const double f = std::abs(e.imbalance[static_cast<std::size_t>(unknown_[n])]);
        if (f <= worst && report_.worst_node >= 0) continue;
        worst = f;
        report_.worst_node = static_cast<int>(n);
    }
    const double scale = std::max(in, 1e-30); // nothing goes in: nothing may move
    report_.supply_kgps = in;
    report_.mass_residual = worst / scale;
    report_.lost_mass = std::abs(in - out - closure) / scale;
}

/// One Newton correction into `correction`; false where the matrix has no inverse. `held_kgps_per_pa` ties every node
/// to where it is.
template <class Medium> bool Network<Medium>::step(double held_kgps_per_pa) {
    Equations& e = *equations_;
    std::fill(e.value.begin(), e.value.end(), 0.0);
    for (const int d : e.diagonal)
        e.value[static_cast<std::size_t>(d)] = closure_kgps_per_pa + held_kgps_per_pa;
    for (const std::size_t k : e.open) {
        const auto& place = e.branch[k].place;
        const Through& t = flow_[k];
        if (place[0] >= 0) e.value[static_cast<std::size_t>(place[0])] += t.per_first;
        if (place[1] >= 0) e.value[static_cast<std::size_t>(place[1])] -= t.per_second;
        if (place[2] >= 0) e.value[static_cast<std::size_t>(place[2])] += t.per_second;
        if (place[3] >= 0) e.value[static_cast<std::size_t>(place[3])] -= t.per_first;
    }
    if (!klu_refactor(e.column_start.data(), e.row.data(), e.value.data(), e.symbolic, e.numeric, &e.common))
        return false;
    for (std::size_t i = 0; i < e.correction.size(); ++i)
        e.correction[i] = -e.imbalance[i];
    if (!klu_solve(e.symbolic, e.numeric, unknowns_, 1, e.correction.data(), &e.common)) return false;

    report_.pressure_residual = 0;
    for (std::size_t n = 0; n < pressure_.size(); ++n) {
        if (unknown_[n] < 0) continue;
        const double share = std::abs(e.correction[static_cast<std::size_t>(unknown_[n])]) / pressure_[n];
        if (!std::isfinite(share)) return false;
        report_.pressure_residual = std::max(report_.pressure_residual, share);
    }
    return true;
}

/// Two numbers hold a pressure: what a sum loses of its digits is kept (Knuth's two-sum).
template <class Medium> void Network<Medium>::move(std::size_t node, double by_pa) {
    const double add = by_pa + rest_[node], sum = pressure_[node] + add;
    const double back = sum - pressure_[node];
    rest_[node] = (pressure_[node] - (sum - back)) + (add - back);
    pressure_[node] = sum;
}

/// Newton's method with a line search on the sum of squared imbalances; false where it did not come to both balances.
template <class Medium> bool Network<Medium>::iterate(double low, double high, int most) {
    Equations& e = *equations_;
    double squares = evaluate();
    for (int n = 1; n <= most; ++n) {
        ++report_.iterations;
        if (!step(0)) return false;
        if (within(aim_mass, aim_pressure)) return true;
        for (std::size_t k = 0; k < pressure_.size(); ++k) {
            if (unknown_[k] < 0) continue;
            e.start[static_cast<std::size_t>(unknown_[k])] = pressure_[k];
            e.start_rest[static_cast<std::size_t>(unknown_[k])] = rest_[k];
        }
        double share = 1;
        for (int halving = 0;; ++halving, share *= 0.5) {
            for (std::size_t k = 0; k < pressure_.size(); ++k) {
                if (unknown_[k] < 0) continue;
                const auto i = static_cast<std::size_t>(unknown_[k]);
                pressure_[k] = e.start[i];
                rest_[k] = e.start_rest[i];
                move(k, share * e.correction[i]);
                if (pressure_[k] < low || pressure_[k] > high) {
                    pressure_[k] = std::clamp(pressure_[k], low, high);
                    rest_[k] = 0;
                }
            }
            const double now = evaluate();
            if (now <= (1 - 1e-4 * share) * squares || halving == most_halvings) {
                squares = now;
                break;
            }
        }
    }
    return false;
}

/// Pressures apart from one another: where all are alike, wide holes tie the nodes so firmly together that the matrix
/// has no digits left for what ties them to the held ones.
template <class Medium> void Network<Medium>::spread(double low, double high) {
    for (std::size_t k = 0; k < pressure_.size(); ++k) {
        if (unknown_[k] < 0) continue;
        pressure_[k] = low + (high - low) * (unknown_[k] + 1) / (unknowns_ + 1);
        rest_[k] = 0;
    }
}

/// The last resort: check balls that open within a few pascals can bring the line search
/// on squares to a stand beside the answer. The imbalances are the slopes of a convex function (for oil exactly, for
/// air nearly), and what is left of the way downhill after a step tells whether it went too far: then the step is taken
/// back and the nodes are tied down, the more the oftener that happens, and less again after each good step.
template <class Medium> bool Network<Medium>::iterate_carefully(double low, double high) {
    Equations& e = *equations_;
    double tie = 0;  // as a share of what ties the whole network:
    double most = 0; // kg/s, over the span of pressures
    evaluate();
    for (int n = 1; n <= most_careful_iterations && tie < 1e12; ++n) {
        ++report_.iterations;
        most = std::max(most, report_.supply_kgps);
        if (!step(tie * most / std::max(high - low, 1e-6))) {
            tie = std::max(1e-4, 8 * tie);
            continue;
        }
        if (tie == 0 && within(aim_mass, aim_pressure)) return true;
        double downhill = 0;
        for (std::size_t k = 0; k < pressure_.size(); ++k) {
            if (unknown_[k] < 0) continue;
            const auto i = static_cast<std::size_t>(unknown_[k]);
            e.start[i] = pressure_[k];
            e.start_rest[i] = rest_[k];
            move(k, e.correction[i]);
            if (pressure_[k] < low || pressure_[k] > high) {
                pressure_[k] = std::clamp(pressure_[k], low, high);
                rest_[k] = 0;
            }
            // From here on what was really moved.
            e.correction[i] = (pressure_[k] - e.start[i]) + (rest_[k] - e.start_rest[i]);
            downhill -= e.imbalance[i] * e.correction[i];
        }
        evaluate();
        double uphill = 0;
        for (std::size_t i = 0; i < e.correction.size(); ++i)
            uphill += e.imbalance[i] * e.correction[i];
        if (uphill <= 0.1 * downhill) {
            tie = tie < 1e-6 ? 0 : tie / 8;
            continue;
        }
        for (std::size_t k = 0; k < pressure_.size(); ++k) {
            if (unknown_[k] < 0) continue;
            const auto i = static_cast<std::size_t>(unknown_[k]);
            pressure_[k] = e.start[i];
            rest_[k] = e.start_rest[i];
        }
        evaluate();
        tie = std::max(1e-4, 8 * tie);
    }
    // What the last digits allow may be less than what was aimed at and still keep the promise of the report.
    return step(0) && within(most_mass_residual, most_pressure_residual);
}

template <class Medium> bool Network<Medium>::within(double mass, double pressure) const {
    return report_.mass_residual < mass && report_.lost_mass < mass && report_.pressure_residual < pressure;
}

template <class Medium> void Network<Medium>::name_worst_element() {
    const Equations& e = *equations_;
    double worst = 0;
    report_.worst_element = elements_.empty() ? -1 : 0;
    const auto correction = [&](int node) {
        const int i = unknown(node);
        return i < 0 ? 0.0 : e.correction[static_cast<std::size_t>(i)];
    };
    for (std::size_t k = 0; k < elements_.size(); ++k) {
        const Through& t = flow_[k];
        const double change =
            std::abs(t.per_first * correction(elements_[k].first) + t.per_second * correction(elements_[k].second));
        if (change <= worst) continue;
        worst = change;
        report_.worst_element = static_cast<int>(k);
    }
}

template <class Medium> const SolveReport& Network<Medium>::solve() {
    assert(finished_);
    report_ = {};
    Equations& e = *equations_;
    e.open.clear();
    for (std::size_t k = 0; k < elements_.size(); ++k) {
        if (elements_[k].law.kind() == Law::Kind::closed)
            flow_[k] = {};
        else
            e.open.push_back(k);
    }
    // No node can be outside of the held pressures.
    double low = fluid_.ambient_pa, high = fluid_.ambient_pa;
    for (std::size_t n = 0; n < pressure_.size(); ++n) {
        if (unknown_[n] >= 0) continue;
        low = std::min(low, pressure_[n]);
        high = std::max(high, pressure_[n]);
    }
    for (std::size_t n = 0; n < pressure_.size(); ++n) {
        if (unknown_[n] < 0 || (pressure_[n] >= low && pressure_[n] <= high)) continue;
        pressure_[n] = std::clamp(pressure_[n], low, high);
        rest_[n] = 0;
    }
    if (unknowns_ == 0) {
        evaluate();
        report_.converged = true;
        return report_;
    }
    report_.converged = iterate(low, high, most_warm_iterations);
    if (!report_.converged) {
        forget();
        report_.converged = iterate(low, high, most_iterations) || iterate_carefully(low, high);
        if (!report_.converged) {
            spread(low, high);
            report_.converged = iterate_carefully(low, high);
        }
    }
    name_worst_element();
    return report_;
}

} // namespace ringland::diagnosis::flow
