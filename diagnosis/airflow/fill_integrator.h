// Filling integrated over time: CVODE between contacts, a fresh start at each.
//
// At a contact (a piston leaves its stop, reaches the end of its stroke, and back) the volumes stay as they are while
// their rates bend; so CVODE finds the instant by its root search and begins anew from there. The trigger that is let
// go is such an instant too.
#pragma once

#include <string>
#include <vector>

#include "fill_equations.h"

namespace ringland::diagnosis::airflow {

/// How long, how finely, and what changes on the way.
struct FillPlan {
    double end_s = 0;
    double sample_s = 0.01;
    double relative_tolerance = 1e-8;   ///< of a step, as a share of the span of all pressures
    double change_s = 0;                ///< when the laws become those of `after`
    const FlowNetwork* after = nullptr; ///< nothing: they stay as they are
    std::vector<double> start_pa;       ///< by unknown; empty: the ambient pressure everywhere
};

/// A piston came to another contact.
struct FillEvent {
    double time_s = 0;
    int piston = 0;
    Contact from = Contact::stop, to = Contact::stop;
};

struct FillRun {
    std::vector<double> time_s;
    std::vector<std::vector<double>> pressure_pa; ///< by unknown, then by sample
    std::vector<std::vector<double>> stroke;      ///< share of the stroke, by piston, then by sample
    std::vector<FillEvent> events;
    bool completed = false;
    std::string trouble;
    long steps = 0;
    double mass_error =
        0; ///< share of what went in (or out, if that is more), or of a millionth of what the volumes hold
};

/// Most samples of a run, and most contacts of one piston in it: a piston that comes to so many is reported as trouble.
inline constexpr int most_fill_samples = 200'000, most_contacts_of_a_piston = 200;

/// Integrates from the start to the end of the plan. Takes the equations as they are, and leaves them at the end.
[[nodiscard]] FillRun integrate(FillEquations& equations, const FlowNetwork& network, const FillPlan& plan);

} // namespace ringland::diagnosis::airflow
