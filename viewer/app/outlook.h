// What lies ahead of the job: the way in to the suspects, and what the leak does on the road. Worked out beside the
// window (desk.h); questions are values, so that an answer is never shown for another question than it was given for.
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <vector>

#include "../../diagnosis/plan/plan.h"
#include "../../diagnosis/road/complaints.h"
#include "../../diagnosis/road/road.h"
#include "../../diagnosis/road/verdict.h"
#include "derived.h"
#include "desk.h"
#include "session.h"

namespace ringland::viewer {

/// The seals that plan and road are about.
struct Asked {
    /// By the place in the map, the likeliest first.
    std::vector<std::size_t> seals;
    /// By seal of the map, where the readings say how likely each is; empty: one seal was chosen.
    std::vector<double> chance;
    friend bool operator==(const Asked&, const Asked&) = default;
};
/// The seal that is selected; else the suspects of the readings; else the suspect of the question; else none.
[[nodiscard]] Asked asked_for(const Session& session, const Derived& derived);

/// For the job: the seals that were found damaged; where none was, as above.
[[nodiscard]] Asked asked_by_job(const Session& session, const Derived& derived);
/// The hole that the readings make likeliest in a seal that is at fault alone.
[[nodiscard]] std::optional<double> hole_read_mm(const Derived& derived, std::size_t seal);

struct WayQuestion {
    std::shared_ptr<const model::UnitMap> map; ///< the same pointer: the same unit
    model::AirBench bench;
    model::Stock stock;
    double look_misses = 0;
    Asked asked;
    model::Translator tr; ///< sentences in its language
    friend bool operator==(const WayQuestion&, const WayQuestion&) = default;
};
/// The plan; at first without the retest that proves it, which takes longer.
struct Way {
    WayQuestion asked;
    diagnosis::plan::PlanAnswer plan;
};

struct RoadQuestion {
    std::shared_ptr<const model::UnitMap> map;
    std::optional<diagnosis::road::Leak> leak; ///< none: only what fits the complaints
    std::vector<model::Complaint> complaints;
    model::Priors priors;
    bool metric = false;  ///< sentences in bar and mm, else psi and inches
    model::Translator tr; ///< sentences in its language
    friend bool operator==(const RoadQuestion&, const RoadQuestion&) = default;
};
/// At first without borders and complaints, which take longer.
struct OnTheRoad {
    RoadQuestion asked;
    std::optional<diagnosis::road::RoadAnswer> answer;    ///< where a seal was asked about
    std::vector<diagnosis::road::BorderStep> borders;     ///< of that seal
    std::optional<diagnosis::road::ComplaintAnswer> fits; ///< where there are complaints
    bool whole = false;                                   ///< nothing more comes
};

/// Both desks. `wake` is called from a thread when something new can be taken.
struct Outlook {
    explicit Outlook(bool threaded = false, const std::function<void()>& wake = {});

    Desk<WayQuestion, Way> way;
    Desk<RoadQuestion, OnTheRoad> road;
};

} // namespace ringland::viewer
