#include "gear_train.h"

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>
#include <fmt/format.h>
#include <fmt/ranges.h>

namespace ringland::diagnosis::gears {

namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr double nothing = 1e-9; ///< of speeds and torques of order 1
/// All subsets of the one-way clutches that are on are tried.
constexpr std::size_t most_one_way = 10, most_sets = 60;
constexpr Index input = 0, output = 1, frame = 2;

/// A system of equations in the speeds; rows are added and tried.
struct System {
    std::vector<VectorXd> rows;
    std::vector<double> right;
    void add(VectorXd row, double value = 0) {
        rows.push_back(std::move(row));
        right.push_back(value);
    }
    void pop() {
        rows.pop_back();
        right.pop_back();
    }
};

/// All solutions: one of them, and the directions in which the others lie.
struct Solution {
    bool consistent = false;
    VectorXd one;
    MatrixXd free;
    /// The value of a linear form where all solutions agree on it.
    [[nodiscard]] std::optional<double> value(const VectorXd& form) const {
        if (free.cols() > 0 && (form.transpose() * free).cwiseAbs().maxCoeff() > nothing) return std::nullopt;
        return form.dot(one);
    }
};

Solution solve(const System& system, Index members) {
    MatrixXd a(static_cast<Index>(system.rows.size()), members);
    VectorXd b(a.rows());
    for (Index i = 0; i < a.rows(); ++i) {
        a.row(i) = system.rows[static_cast<std::size_t>(i)].transpose();
        b[i] = system.right[static_cast<std::size_t>(i)];
    }
    const Eigen::FullPivLU<MatrixXd> lu(a);
    Solution solution;
    solution.one = lu.solve(b);
    solution.consistent = (a * solution.one - b).cwiseAbs().maxCoeff() < nothing;
    solution.free = lu.dimensionOfKernel() > 0 ? MatrixXd(lu.kernel()) : MatrixXd(members, 0);
    return solution;
}

} // namespace

struct GearTrain::Impl {
    std::vector<std::string> members{std::string(model::input_member), std::string(model::output_member),
                                     std::string(model::case_member)};
    std::vector<model::Phrase> missing;
    std::vector<VectorXd> sets; ///< one equation each
    struct Join {
        bool known = false, one_way = false, always = false;
        VectorXd difference; ///< first less second
    };
    std::vector<Join> joins; ///< by element

    [[nodiscard]] Index index() const { return static_cast<Index>(members.size()); }
    Index member(const std::string& name) {
        const auto found = std::find(members.begin(), members.end(), name);
        if (found != members.end()) return static_cast<Index>(found - members.begin());
        members.push_back(name);
        return index() - 1;
    }
    [[nodiscard]] VectorXd unit(Index at) const { return VectorXd::Unit(index(), at); }

    explicit Impl(const model::UnitMap& map) {
        if (map.gear_sets.empty())
            missing.push_back(model::phrase("gear sets: [[gear-set]] with sun, carrier, ring and their teeth"));
        if (map.gear_sets.size() > most_sets) missing.push_back(model::phrase("no more than {0} gear sets", most_sets));
        for (const auto& set : map.gear_sets) {
            for (const auto* name : {&set.sun, &set.carrier, &set.ring})
                static_cast<void>(member(*name));
            if (!set.sun_teeth || !set.ring_teeth)
                missing.push_back(model::phrase("teeth of gear set {0}: sun-teeth and ring-teeth", set.id));
        }
        std::size_t one_way = 0;
        std::vector<std::string> no_joins;
        for (const auto& element : map.elements) {
            const bool always = element.kind == model::ElementKind::one_way_clutch;
            one_way += element.one_way || always ? 1U : 0U;
            if (element.joins.size() != 2) {
                no_joins.push_back(element.id);
                continue;
            }
            for (const auto& name : element.joins)
                static_cast<void>(member(name));
        }
        if (!no_joins.empty())
            missing.push_back(model::phrase("joins of {0}: the two members that each joins",
                                            fmt::format("{}", fmt::join(no_joins, ", "))));
        if (one_way > most_one_way) missing.push_back(model::phrase("no more than {0} one-way clutches", most_one_way));
        if (!missing.empty()) return;
        for (const auto& set : map.gear_sets)
            sets.push_back(equation(set));
        joins.reserve(map.elements.size());
        for (const auto& element : map.elements) {
            const bool always = element.kind == model::ElementKind::one_way_clutch;
            joins.push_back({true, element.one_way || always, always,
                             unit(member(element.joins[0])) - unit(member(element.joins[1]))});
        }
    }

    /// Zs ωs ± Zr ωr = (Zs ± Zr) ωc, plus with one planet, minus with two: the train value of the set turned about its
    /// carrier (Willis; in every textbook of machine design, so Shigley's under "planetary gear trains": value from
    /// memory). Divided by the teeth of the ring.
    VectorXd equation(const model::GearSet& set) {
        const double sun = double(*set.sun_teeth) / double(*set.ring_teeth);
        const double ring = set.planets == model::Planets::single ? 1.0 : -1.0;
        return sun * unit(member(set.sun)) + ring * unit(member(set.ring)) - (sun + ring) * unit(member(set.carrier));
    }

    /// What the elements that are on leave open: equations, and one-way clutches that may hold or overrun.
    struct Question {
        System equations;
        std::vector<std::size_t> one_way;
    };
    [[nodiscard]] Question question(const std::vector<bool>& on) const {
        Question q;
        q.equations.add(unit(frame));
        for (const auto& set : sets)
            q.equations.add(set);
        for (std::size_t e = 0; e < joins.size(); ++e) {
            if (!on[e] && !joins[e].always) continue;
            if (joins[e].one_way)
                q.one_way.push_back(e);
            else
                q.equations.add(joins[e].difference);
        }
        return q;
    }

    /// Solutions in which some of the one-way clutches hold and all others overrun at a speed that is known: the
    /// corners of what is possible. Where there is no corner, nothing is possible.
    [[nodiscard]] std::vector<Solution> corners(const Question& q) const {
        std::vector<Solution> list;
        for (std::size_t holds = 0; holds < (std::size_t{1} << q.one_way.size()); ++holds) {
            System system = q.equations;
            for (std::size_t k = 0; k < q.one_way.size(); ++k) {
                if ((holds >> k & 1U) != 0) system.add(joins[q.one_way[k]].difference);
            }
            Solution solution = solve(system, index());
            const bool possible =
                solution.consistent && std::all_of(q.one_way.begin(), q.one_way.end(), [&](std::size_t e) {
                    const auto slip = solution.value(joins[e].difference);
                    return slip && *slip > -nothing;
                });
            if (possible) list.push_back(std::move(solution));
        }
        return list;
    }
    [[nodiscard]] bool possible(Question q, Index turns, double speed) const {
        q.equations.add(unit(turns), speed);
        return !corners(q).empty();
    }

    /// Equilibrium of every member, with one unit of torque at the input, as torque of each element and of the load.
    void add_torques(const std::vector<bool>& on, Turning& turning) const {
        std::vector<std::size_t> carry;
        for (std::size_t e = 0; e < joins.size(); ++e) {
            if ((on[e] || joins[e].always) && !turning.overruns[e]) carry.push_back(e);
        }
        const Index unknowns = static_cast<Index>(sets.size() + carry.size()) + 2;
        MatrixXd a = MatrixXd::Zero(index(), unknowns);
        Index column = 0;
        for (const auto& set : sets)
            a.col(column++) = set;
        for (const std::size_t e : carry)
            a.col(column++) = joins[e].difference;
        a.col(column++) = -unit(output); // of the train on the output: what the load takes
        a.col(column) = unit(frame);
        const Eigen::FullPivLU<MatrixXd> lu(a);
        const VectorXd torque = lu.solve(-unit(input));
        const MatrixXd open = lu.dimensionOfKernel() > 0 ? MatrixXd(lu.kernel()) : MatrixXd(unknowns, 0);
        for (std::size_t k = 0; k < carry.size(); ++k) {
            const Index at = static_cast<Index>(sets.size() + k);
            if (open.cols() > 0 && open.row(at).cwiseAbs().maxCoeff() > nothing) continue;
            turning.torque[carry[k]] = torque[at];
        }
        turning.output_torque = torque[unknowns - 2];
    }

    [[nodiscard]] Turning turn(const std::vector<bool>& on) const {
        Turning turning;
        turning.speed.resize(members.size());
        turning.slip.resize(joins.size());
        turning.torque.resize(joins.size());
        turning.overruns.assign(joins.size(), false);
        Question q = question(on);
        q.equations.add(unit(input), 1);
        const std::vector<Solution> all = corners(q);
        if (all.empty()) {
            turning.drive = Drive::binds;
            return turning;
        }
        const Solution* state = nullptr;
        if (possible(q, output, 0)) {
            Question rolls = question(on);
            turning.drive = possible(std::move(rolls), output, 1) ? Drive::free : Drive::output_held;
        } else {
            // The output turns one way only; the load holds it back as far as the one-way clutches let it.
            turning.drive = Drive::drives;
            const auto turns = [&](const Solution& s) { return std::abs(s.one[output]); };
            state = &*std::min_element(all.begin(), all.end(),
                                       [&](const Solution& a, const Solution& b) { return turns(a) < turns(b); });
            turning.ratio = 1 / state->one[output];
        }
        // With the output free, what the elements say without it.
        const Solution alone = solve(q.equations, index());
        const Solution& said = state != nullptr ? *state : alone;
        for (Index m = 0; m < index(); ++m)
            turning.speed[static_cast<std::size_t>(m)] = said.value(unit(m));
        for (std::size_t e = 0; e < joins.size(); ++e) {
            turning.slip[e] = said.value(joins[e].difference);
            const bool active = on[e] || joins[e].always;
            turning.overruns[e] = active && joins[e].one_way && turning.slip[e] && *turning.slip[e] > nothing;
        }
        if (state != nullptr) add_torques(on, turning);
        return turning;
    }
};

GearTrain::GearTrain(const model::UnitMap& map) : impl_(std::make_unique<Impl>(map)) {}
GearTrain::~GearTrain() = default;
GearTrain::GearTrain(GearTrain&&) noexcept = default;
GearTrain& GearTrain::operator=(GearTrain&&) noexcept = default;

bool GearTrain::known() const { return impl_->missing.empty(); }
const std::vector<model::Phrase>& GearTrain::missing() const { return impl_->missing; }
const std::vector<std::string>& GearTrain::members() const { return impl_->members; }
Turning GearTrain::turn(const std::vector<bool>& on) const { return impl_->turn(on); }

} // namespace ringland::diagnosis::gears
