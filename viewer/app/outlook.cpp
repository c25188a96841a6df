#include "outlook.h"

#include <algorithm>

#include "../../diagnosis/suspects/tables.h"
#include "commands.h"

namespace ringland::viewer {

namespace {

namespace plan = diagnosis::plan;
namespace road = diagnosis::road;

plan::PlanQuestion plan_question(const WayQuestion& question) {
    plan::PlanQuestion asked;
    asked.tr = question.tr;
    if (question.asked.chance.empty()) asked.seals = question.asked.seals;
    asked.chance = question.asked.chance;
    asked.look_misses = question.look_misses;
    if (!question.stock.items.empty()) asked.stock = &question.stock;
    return asked;
}

void work_on_way(const WayQuestion& question, const Desk<WayQuestion, Way>::Put& put) {
    const auto asked = plan_question(question);
    if (put(std::make_shared<Way>(Way{question, plan::plan(*question.map, asked)})))
        put(std::make_shared<Way>(Way{question, plan::plan(*question.map, asked, question.bench)}));
}

/// Keeps the road of a unit: what was solved of the sound one serves every question.
class Traveller {
public:
    void work_on(const RoadQuestion& question, const Desk<RoadQuestion, OnTheRoad>::Put& put) {
        if (!road_ || map_ != question.map) {
            road_.emplace(*question.map);
            map_ = question.map;
            complaints_.reset();
        }
        road_->speak(question.tr);
        OnTheRoad there;
        there.asked = question;
        if (question.leak) {
            there.answer = road_->ask(*question.leak, std::nullopt, question.metric);
            if (!put(std::make_shared<OnTheRoad>(there))) return;
            there.borders = road_->borders(*question.leak);
        }
        if (!question.complaints.empty()) {
            if (!complaints_) complaints_.emplace(*map_, grid());
            complaints_->speak(question.tr);
            there.fits = complaints_->rank(question.complaints, question.priors, question.metric);
        }
        there.whole = true;
        put(std::make_shared<OnTheRoad>(std::move(there)));
    }

private:
    /// The sizes that weighing sums over.
    static std::vector<double> grid() {
        std::vector<double> sizes;
        sizes.reserve(diagnosis::suspects::size_count);
        for (std::size_t i = 0; i < diagnosis::suspects::size_count; ++i)
            sizes.push_back(diagnosis::suspects::size_mm(i));
        return sizes;
    }

    std::optional<road::Road> road_;
    std::optional<road::Complaints> complaints_;
    std::shared_ptr<const model::UnitMap> map_;
};

} // namespace

Asked asked_for(const Session& session, const Derived& derived) {
    const auto& map = session.document.map;
    const auto place = [&](const std::string& seal) -> std::optional<std::size_t> {
        for (std::size_t s = 0; s < map.seals.size(); ++s) {
            if (map.seals[s].id == seal) return s;
        }
        return {};
    };
    Asked asked;
    const auto& selected = session.view.selected;
    if (selected.kind == model::SubjectKind::seal) {
        if (const auto s = place(selected.id)) asked.seals = {*s};
        return asked;
    }
    if (derived.weighed && (!derived.weighed->check.readings.empty() || !derived.weighed->check.complaints.empty())) {
        const auto& chance = derived.weighed->weighing.seal_probability;
        asked.chance.assign(chance.size(), 0);
        for (std::size_t s = 0; s < chance.size(); ++s) {
            if (chance[s] < least_chance_shown) continue;
            asked.chance[s] = chance[s];
            asked.seals.push_back(s);
        }
        std::stable_sort(asked.seals.begin(), asked.seals.end(),
                         [&](std::size_t a, std::size_t b) { return chance[a] > chance[b]; });
        if (!asked.seals.empty()) return asked;
        asked.chance.clear();
    }
    if (const auto s = place(derived.suspect)) asked.seals = {*s};
    return asked;
}

Asked asked_by_job(const Session& session, const Derived& derived) {
    Asked asked;
    const auto& seals = session.document.map.seals;
    for (const auto& finding : session.document.job.findings) {
        for (std::size_t s = 0; s < seals.size(); ++s) {
            if (finding.found == model::Found::damaged && seals[s].id == finding.seal) asked.seals.push_back(s);
        }
    }
    return asked.seals.empty() ? asked_for(session, derived) : asked;
}

namespace {

const diagnosis::suspects::Suspect* suspect_alone(const Derived& derived, std::size_t seal) {
    if (!derived.weighed) return nullptr;
    for (const auto& suspect : derived.weighed->weighing.suspects) {
        if (suspect.seals.size() == 1 && suspect.seals.front() == seal) return &suspect;
    }
    return nullptr;
}

/// By the readings, a lip that leaks both ways is likelier cut than worn or folded.
bool is_cut_through(const Derived& derived, std::size_t seal) {
    const auto* alone = suspect_alone(derived, seal);
    return alone != nullptr && !leaks_one_way(*alone);
}

std::optional<std::size_t> leaking_seal(const RoadQuestion& question) {
    return question.leak ? std::optional(question.leak->seal) : std::nullopt;
}

} // namespace

std::optional<double> hole_read_mm(const Derived& derived, std::size_t seal) {
    const auto* alone = suspect_alone(derived, seal);
    return alone == nullptr ? std::nullopt : std::optional(alone->hole_mm);
}

Outlook::Outlook(bool threaded, const std::function<void()>& wake)
    : way([](const WayQuestion& question, const auto& put, const auto&) { work_on_way(question, put); }, threaded,
          wake),
      road([traveller = std::make_shared<Traveller>()](const RoadQuestion& question, const auto& put,
                                                       const auto&) { traveller->work_on(question, put); },
           threaded, wake) {}

struct Workbench::Ahead {
    std::shared_ptr<Outlook> outlook = std::make_shared<Outlook>();
    std::optional<WayQuestion> way;
    std::optional<RoadQuestion> road;
    model::Stock stock;
};

Workbench::Ahead& Workbench::ahead() {
    if (!ahead_) ahead_ = std::make_shared<Ahead>();
    return *ahead_;
}

void Workbench::use_outlook(std::shared_ptr<Outlook> outlook) { ahead().outlook = std::move(outlook); }

void Workbench::forget_outlook() {
    if (!ahead_) return;
    ahead_->way.reset();
    ahead_->road.reset();
}

/// Asks for the way in and the road where a sheet shows them, and takes what has come; true where that
/// shows. What was worked out for another question is forgotten at once.
bool Workbench::look_ahead() {
    const View& view = session_.view;
    const bool of_job = view.sheet == Sheet::job;
    if (!ahead_ && view.sheet != Sheet::plan && view.sheet != Sheet::road && !of_job) return false;
    Ahead& my = ahead();
    bool shows = false;
    const Document& d = session_.document;
    const Asked asked = of_job ? asked_by_job(session_, derived_) : asked_for(session_, derived_);
    if (view.sheet == Sheet::plan || of_job) {
        WayQuestion question{weighed_map(), d.bench, my.stock, d.priors.look_misses, asked, tr_};
        if (asked.seals.empty()) {
            shows = std::exchange(derived_.way, nullptr) != nullptr;
            my.way.reset();
        } else if (!my.way || !(*my.way == question)) {
            derived_.way.reset();
            my.way = question;
            my.outlook->way.ask(std::move(question));
            shows = true;
        }
    }
    if (view.sheet == Sheet::road || of_job) {
        RoadQuestion question{weighed_map(), std::nullopt, {}, d.priors, view.units == UnitSystem::bar_mm, tr_};
        if (!of_job) question.complaints = d.check.complaints;
        if (!asked.seals.empty()) {
            // A job holds what was heard, and nothing imagined.
            const std::size_t seal = asked.seals.front();
            const auto hole = of_job ? hole_read_mm(derived_, seal) : std::optional(view.what_if_mm);
            if (hole) question.leak = road::Leak{seal, *hole, is_cut_through(derived_, seal)};
        }
        if (!question.leak && question.complaints.empty()) {
            shows = std::exchange(derived_.road, nullptr) != nullptr || shows;
            my.road.reset();
        } else if (!my.road || !(*my.road == question)) {
            // While the hole is dragged the last answer for this seal stays in sight; it says for which hole it is.
            if (!my.road || leaking_seal(*my.road) != leaking_seal(question) || my.road->map != question.map)
                derived_.road.reset();
            my.road = question;
            my.outlook->road.ask(std::move(question));
            shows = true;
        }
    }
    if (auto way = my.outlook->way.take(); way && my.way && way->asked == *my.way) {
        derived_.way = std::move(way);
        if (!of_job) take_way_in(derived_.way->plan.teardown);
        shows = true;
    }
    if (auto there = my.outlook->road.take(); there && my.road && there->asked == *my.road) {
        derived_.road = std::move(there);
        shows = true;
    }
    if (shows) ++revision_;
    return shows;
}

/// The steps that the drawing shows; where they are others than before, the unit is together again.
void Workbench::take_way_in(const diagnosis::plan::Teardown& teardown) {
    const auto& map = session_.document.map;
    WayIn way;
    for (const auto& step : teardown.steps)
        way.parts.push_back(map.parts[step.part].id);
    for (const std::size_t seal : teardown.seals) {
        if (map.seals[seal].relation == model::Relation::stack) way.rings.push_back(map.seals[seal].id);
    }
    if (way == derived_.way_in) return;
    derived_.way_in = std::move(way);
    session_.view.taking = {};
}

/// For what is asked now, at once: what comes off is quickly said, and a session that is replayed does not wait.
void Workbench::plan_way_in() {
    const WayQuestion question{
        weighed_map(), {}, {}, session_.document.priors.look_misses, asked_for(session_, derived_), tr_};
    if (question.asked.seals.empty()) return;
    take_way_in(plan::plan(*question.map, plan_question(question)).teardown);
}

void Workbench::set_stock(const model::Stock& stock) {
    ahead().stock = stock;
    ++revision_;
}

} // namespace ringland::viewer
