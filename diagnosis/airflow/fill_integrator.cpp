#include "fill_integrator.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <memory>

#include <cvode/cvode.h>
#include <fmt/format.h>
#include <nvector/nvector_serial.h>
#include <sundials/sundials_context.h>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunmatrix/sunmatrix_dense.h>

namespace ringland::diagnosis::airflow {

namespace {

/// Beyond a contact by more than this share of the way from begin to end, a piston cannot still be in front of it.
constexpr double contact_slack = 1e-6;
constexpr long most_steps_between_samples = 50'000;

/// Where hardly any pressure drives it, flow through a wide hole answers to millionths of a pascal. With the usual
/// accuracy of the Newton iteration (0.1 of the error of a step) its leavings there feed themselves: order 5 was seen
/// to walk in steps of microseconds for seconds. Ten times the accuracy and order 4 take fewer steps in all.
constexpr double newton_share = 0.01;
constexpr int most_order = 4;

/// Room of CVODE, given back in the right order.
struct Solver {
    SUNContext context = nullptr;
    N_Vector state = nullptr;
    SUNMatrix matrix = nullptr;
    SUNLinearSolver linear = nullptr;
    void* cvode = nullptr;

    Solver() = default;
    Solver(const Solver&) = delete;
    Solver& operator=(const Solver&) = delete;
    ~Solver() {
        if (cvode) CVodeFree(&cvode);
        if (linear) SUNLinSolFree(linear);
        if (matrix) SUNMatDestroy(matrix);
        if (state) N_VDestroy(state);
        if (context) SUNContext_Free(&context);
    }
};

class Integration {
public:
    Integration(FillEquations& equations, const FlowNetwork& network, const FillPlan& plan)
        : equations_(equations), network_(network), plan_(plan), ambient_pa_(network.air().ambient_pa),
          rt_(network.factors().rt) {}

    FillRun run() {
        if (!plausible() || !set_up()) return std::move(run_);
        const bool changes = plan_.after != nullptr && plan_.change_s < plan_.end_s;
        bool changed = !changes;
        sample(0);
        for (int k = 1; k <= intervals_; ++k) {
            const double target = k == intervals_ ? plan_.end_s : k * plan_.sample_s;
            if (!changed && plan_.change_s <= target) {
                if (!go_to(std::max(plan_.change_s, 0.0))) return std::move(run_);
                equations_.take_laws(*plan_.after);
                changed = true;
                if (!begin_anew()) return std::move(run_);
            }
            if (!go_to(target)) return std::move(run_);
            sample(target);
        }
        finish();
        return std::move(run_);
    }

private:
    bool fail(std::string trouble) {
        run_.trouble = std::move(trouble);
        return false;
    }

    bool plausible() {
        const auto positive = [](double x) { return std::isfinite(x) && x > 0; };
        if (!positive(plan_.end_s)) return fail("the time to watch must be more than 0 s");
        if (!positive(plan_.sample_s)) return fail("the distance of the samples must be more than 0 s");
        if (std::isnan(plan_.change_s)) return fail("when the trigger is let go must be a number");
        if (!(plan_.relative_tolerance >= 1e-12 && plan_.relative_tolerance <= 1e-3))
            return fail("the relative tolerance must lie between 1e-12 and 1e-3");
        const double intervals = std::ceil(plan_.end_s / plan_.sample_s - 1e-9);
        if (intervals >= most_fill_samples)
            return fail(fmt::format("{} s in steps of {} s are more than {} samples", plan_.end_s, plan_.sample_s,
                                    most_fill_samples));
        intervals_ = std::max(1, static_cast<int>(intervals));
        return true;
    }

    bool set_up() {
        const auto count = static_cast<sunindextype>(equations_.state_count());
        if (SUNContext_Create(nullptr, &solver_.context) != 0) return no_memory();
        solver_.state = N_VNew_Serial(count, solver_.context);
        solver_.matrix = SUNDenseMatrix(count, count, solver_.context);
        if (!solver_.state || !solver_.matrix) return no_memory();
        solver_.linear = SUNLinSol_Dense(solver_.state, solver_.matrix, solver_.context);
        solver_.cvode = CVodeCreate(CV_BDF, solver_.context);
        if (!solver_.linear || !solver_.cvode) return no_memory();
        fill_start();
        set_scales();
        void* const cvode = solver_.cvode;
        const int contacts = 2 * equations_.piston_count();
        directions_.resize(at(contacts));
        roots_.resize(at(contacts));
        contacts_met_.assign(at(equations_.piston_count()), 0);
        const bool good = CVodeInit(cvode, &rates, 0, solver_.state) == CV_SUCCESS &&
                          CVodeSetErrHandlerFn(cvode, &note_error, this) == CV_SUCCESS &&
                          CVodeWFtolerances(cvode, &weights) == CV_SUCCESS &&
                          CVodeSetUserData(cvode, this) == CV_SUCCESS &&
                          CVodeSetNonlinConvCoef(cvode, newton_share) == CV_SUCCESS &&
                          CVodeSetMaxOrd(cvode, most_order) == CV_SUCCESS &&
                          CVodeSetMaxNumSteps(cvode, most_steps_between_samples) == CV_SUCCESS &&
                          CVodeSetLinearSolver(cvode, solver_.linear, solver_.matrix) == CV_SUCCESS &&
                          CVodeSetJacFn(cvode, &slopes) == CV_SUCCESS &&
                          (contacts == 0 || CVodeRootInit(cvode, contacts, &pushes) == CV_SUCCESS) &&
                          CVodeSetNoInactiveRootWarn(cvode) == CV_SUCCESS;
        if (!good) return no_memory();
        set_directions();
        return true;
    }

    bool no_memory() { return fail("the integrator could not be set up: " + error_); }

    void fill_start() {
        const auto now = state();
        std::fill(now.begin(), now.end(), 0.0);
        const int unknowns = equations_.unknown_count();
        assert(plan_.start_pa.empty() || static_cast<int>(plan_.start_pa.size()) == unknowns);
        for (int i = 0; i < unknowns; ++i)
            now[at(i)] = plan_.start_pa.empty() ? ambient_pa_ : plan_.start_pa[at(i)];
        for (int k = 0; k < equations_.piston_count(); ++k)
            equations_.set_contact(k, contact_at(equations_.push(k, now)));
        stored_at_start_ = equations_.stored(now);
        run_.pressure_pa.resize(at(unknowns));
        run_.stroke.resize(at(equations_.piston_count()));
        run_.time_s.reserve(at(intervals_ + 1));
        for (auto& trace : run_.pressure_pa)
            trace.reserve(at(intervals_ + 1));
        for (auto& trace : run_.stroke)
            trace.reserve(at(intervals_ + 1));
    }

    /// What errors are measured by: the span of all pressures that there are, so that a breath of air is followed as
    /// closely as ten bar are, and the air that such a span moves.
    void set_scales() {
        double lowest = ambient_pa_, highest = ambient_pa_;
        const auto see = [&](double pressure) {
            lowest = std::min(lowest, pressure);
            highest = std::max(highest, pressure);
        };
        for (const double pressure : state().first(at(equations_.unknown_count())))
            see(pressure);
        for (int node = 0; node < network_.node_count(); ++node) {
            if (network_.unknown(node) < 0) see(network_.pressure_pa(node));
        }
        // Below this the rounding of a pressure would be taken for an error of the method.
        const double span = std::max(plan_.relative_tolerance * (highest - lowest), 1e-12 * highest);
        pressure_tolerance_ = span;
        mass_tolerance_ = span / ambient_pa_ * equations_.mass_scale_kg();
    }

    [[nodiscard]] static Contact contact_at(double push) {
        return push <= 0 ? Contact::stop : push < 1 ? Contact::moving : Contact::end;
    }

    [[nodiscard]] std::span<double> state() {
        return {N_VGetArrayPointer(solver_.state), at(equations_.state_count())};
    }

    /// A contact counts only when it is met from the side on which the piston is.
    void set_directions() {
        if (directions_.empty()) return;
        for (int k = 0; k < equations_.piston_count(); ++k) {
            const Contact contact = equations_.contact(k);
            directions_[2 * at(k)] = contact == Contact::stop ? 1 : -1;
            directions_[2 * at(k) + 1] = contact == Contact::end ? -1 : 1;
        }
        CVodeSetRootDirection(solver_.cvode, directions_.data());
    }

    bool begin_anew() {
        steps_before_ += steps_so_far();
        if (CVodeReInit(solver_.cvode, time_, solver_.state) != CV_SUCCESS) return no_memory();
        set_directions();
        return true;
    }

    [[nodiscard]] long steps_so_far() const {
        long steps = 0;
        CVodeGetNumSteps(solver_.cvode, &steps);
        return steps;
    }

    bool go_to(double target) {
        while (time_ < target) {
            const int result = CVode(solver_.cvode, target, solver_.state, &time_, CV_NORMAL);
            if (result == CV_TOO_CLOSE) { // the trigger and a sample, a rounding apart
                time_ = target;
                return true;
            }
            if (result < 0) return fail(fmt::format("the integration stopped at {:.6f} s: {}", time_, error_));
            if (!meet_contacts(result == CV_ROOT_RETURN)) return false;
        }
        return true;
    }

    bool meet_contacts(bool at_root) {
        bool any = false;
        if (at_root) CVodeGetRootInfo(solver_.cvode, roots_.data());
        for (int k = 0; k < equations_.piston_count(); ++k) {
            const Contact from = equations_.contact(k);
            Contact to = from;
            // The root search gives the sign of the rate: upwards through begin, downwards through end, ...
            if (at_root) {
                if (roots_[2 * at(k)] != 0) to = roots_[2 * at(k)] > 0 ? Contact::moving : Contact::stop;
                if (roots_[2 * at(k) + 1] != 0) to = roots_[2 * at(k) + 1] > 0 ? Contact::end : Contact::moving;
            }
            // ... and a contact that was only grazed inside a step is seen here.
            const double push = equations_.push(k, state());
            if (to == from && (push < -contact_slack || push > 1 + contact_slack ||
                               (push > contact_slack && push < 1 - contact_slack)))
                to = contact_at(push);
            if (to == from) continue;
            any = true;
            equations_.set_contact(k, to);
            run_.events.push_back({time_, k, from, to});
            if (++contacts_met_[at(k)] > most_contacts_of_a_piston) {
                return fail(fmt::format("a piston swings between its contacts: {} of them by {:.6f} s",
                                        most_contacts_of_a_piston, time_));
            }
        }
        return !any || begin_anew();
    }

    void sample(double time) {
        const auto now = state();
        run_.time_s.push_back(time);
        for (int i = 0; i < equations_.unknown_count(); ++i)
            run_.pressure_pa[at(i)].push_back(now[at(i)]);
        for (int k = 0; k < equations_.piston_count(); ++k)
            run_.stroke[at(k)].push_back(equations_.stroke_share(k, now));
    }

    void finish() {
        const auto now = state();
        run_.steps = steps_before_ + steps_so_far();
        const double in = now[at(equations_.unknown_count() + FillEquations::gross_in)];
        const double out = in - now[at(equations_.unknown_count() + FillEquations::net_in)];
        // Where next to nothing moved, rounding is all that there is to see.
        const double moved = std::max({in, out, 1e-6 * equations_.mass_scale_kg()});
        const double missing = std::abs(equations_.missing_kg(stored_at_start_, now));
        run_.mass_error = missing / moved;
        run_.completed = true;
    }

    // What CVODE calls.

    static std::span<double> values(N_Vector vector) {
        return {N_VGetArrayPointer(vector), static_cast<std::size_t>(N_VGetLength(vector))};
    }
    static int weights(N_Vector y, N_Vector weight, void* self) {
        const auto& integration = *static_cast<Integration*>(self);
        const auto out = values(weight), now = values(y);
        const std::size_t unknowns = at(integration.equations_.unknown_count());
        std::fill_n(out.begin(), unknowns, 1 / integration.pressure_tolerance_);
        for (std::size_t i = unknowns; i < out.size(); ++i) {
            const double unit = i == unknowns + FillEquations::swept_work ? integration.rt_ : 1;
            out[i] = 1 / (integration.plan_.relative_tolerance * std::abs(now[i]) + unit * integration.mass_tolerance_);
        }
        return 0;
    }
    static int rates(realtype, N_Vector y, N_Vector rate, void* self) {
        return static_cast<Integration*>(self)->equations_.rates(values(y), values(rate)) ? 0 : 1;
    }
    static int slopes(realtype, N_Vector y, N_Vector, SUNMatrix matrix, void* self, N_Vector, N_Vector, N_Vector) {
        const auto size = static_cast<std::size_t>(SUNDenseMatrix_LData(matrix));
        return static_cast<Integration*>(self)->equations_.slopes(values(y), {SUNDenseMatrix_Data(matrix), size}) ? 0
                                                                                                                  : 1;
    }
    static int pushes(realtype, N_Vector y, realtype* out, void* self) {
        const FillEquations& equations = static_cast<Integration*>(self)->equations_;
        const std::span<double> contacts{out, 2 * at(equations.piston_count())};
        for (int k = 0; k < equations.piston_count(); ++k) {
            contacts[2 * at(k)] = equations.push(k, values(y));
            contacts[2 * at(k) + 1] = contacts[2 * at(k)] - 1;
        }
        return 0;
    }
    /// Instead of printing.
    static void note_error(int, const char*, const char*, char* message, void* self) {
        static_cast<Integration*>(self)->error_ = message;
    }

    FillEquations& equations_;
    const FlowNetwork& network_;
    const FillPlan& plan_;
    double ambient_pa_, rt_;
    Solver solver_;
    FillRun run_;
    std::string error_;
    std::vector<int> directions_, roots_, contacts_met_;
    int intervals_ = 0;
    double pressure_tolerance_ = 0, mass_tolerance_ = 0;
    double time_ = 0, stored_at_start_ = 0;
    long steps_before_ = 0;
};

} // namespace

FillRun integrate(FillEquations& equations, const FlowNetwork& network, const FillPlan& plan) {
    return Integration(equations, network, plan).run();
}

} // namespace ringland::diagnosis::airflow
