// What a workbench does when another map, job or question stands in its session.
#include <algorithm>
#include <utility>

#include "../../diagnosis/records/shop_priors.h"
#include "../../model-data/job_entries.h"
#include "../../model-data/map_io.h"
#include "camera.h"
#include "commands.h"

namespace ringland::viewer {

bool Workbench::open(const std::string& path, std::string& why) {
    why = open_map(path, 0);
    return why.empty();
}

std::string Workbench::open_map(const std::string& path, double now_s) {
    auto read = model::read_map(path);
    faults_ = std::move(read.faults);
    ++revision_;
    if (!read.map) return model::first_errors(faults_, tr_);

    const bool first = session_.document.map.ports.empty();
    Document before = std::exchange(
        session_.document,
        Document{path, std::move(*read.map), "", "", {}, {}, session_.document.bench, session_.document.priors, {}, 0});
    opened(std::move(before), filled(tr_("open {0}"), session_.document.map.unit.name), first, now_s);
    return {};
}

std::string Workbench::open_job(const model::Job& job, double now_s) {
    auto read = model::read_map_text(job.map_toml, job.map_file.empty() ? tr_("map of the job") : job.map_file);
    if (!read.map) return model::first_errors(read.faults, tr_);
    if (job.checks.empty()) return tr_("the job has no air check");
    faults_.clear();
    ++revision_;
    const bool first = session_.document.map.ports.empty();
    const std::size_t last = job.checks.size() - 1;
    Document before = std::exchange(session_.document, Document{job.map_file,
                                                                std::move(*read.map),
                                                                "",
                                                                "",
                                                                model::air_check(job.checks[last]),
                                                                {},
                                                                session_.document.bench,
                                                                session_.document.priors,
                                                                job,
                                                                last});
    opened(std::move(before), filled(tr_("open the job {0}"), job.head.number), first, now_s);
    return {};
}

bool Workbench::take_over(const model::Job& base, const model::Job& theirs, double now_s) {
    const auto joined = [&](Document& d) {
        if (d.job.id != theirs.id || d.check_at >= d.job.checks.size()) return;
        model::Job job = model::merged(d.job, base, theirs);
        if (job.checks.empty()) return;
        const std::string& shown = d.job.checks[d.check_at].id;
        const auto at = std::find_if(job.checks.begin(), job.checks.end(),
                                     [&](const model::JobCheck& check) { return check.id == shown; });
        const auto place = at != job.checks.end() ? at : job.checks.end() - 1;
        d.check_at = static_cast<std::size_t>(place - job.checks.begin());
        d.check = model::air_check(*place);
        d.job = std::move(job);
    };
    // Another job may stand in the session by now: Undo goes back to this one all the same.
    for (auto* steps : {&done_, &undone_}) {
        for (Step& step : *steps) {
            joined(step.before);
            joined(step.after);
        }
    }
    Document before = session_.document;
    joined(session_.document);
    if (session_.document == before) return false;
    document_changed(before, now_s);
    ++revision_;
    return true;
}

/// Another map or job stands in the session.
void Workbench::opened(Document before, std::string name, bool first, double now_s) {
    document_changed(before, now_s);
    ports_in_use_ = false;
    taken_back_job_.clear();
    // The program starts with a map: there is nothing to go back to before it.
    if (first) return;
    done_.push_back({std::move(name), std::move(before), session_.document, false, true});
    undone_.clear();
}

void Workbench::document_changed(const Document& before, double now_s) {
    const bool other_map = before.map_path != session_.document.map_path || !(before.map == session_.document.map);
    const bool had_answer = derived_.answer.has_value();
    forget_side_answers(before, other_map);
    if (other_map) {
        const unsigned long revision = derived_.shapes_revision;
        session_.view.selected = {};
        session_.view.suspect.clear();
        session_.view.alone.clear();
        session_.view.apart = 0;
        session_.view.taking = {};
        forget_views();
        session_.view.lying = session_.document.map.unit.lying;
        derived_ = derive(session_);
        derived_.shapes_revision = revision + 1;
        forget_outlook();
        weighed_map_.reset();
        if (before.map.unit.name != session_.document.map.unit.name) shop_.clear();
        ask_desk();
    } else {
        const bool other_bench = !(before.bench == session_.document.bench);
        const bool same_question =
            before.air_into == session_.document.air_into && before.came_out == session_.document.came_out;
        if (other_bench) derived_.unit_air.emplace(session_.document.map, session_.document.bench);
        if (!same_question) derive_answer(derived_, session_);
        derive_air(derived_, session_, other_bench);
        if (other_bench || !(before.check == session_.document.check)) ask_desk();
        if (same_question) return; // the eye stays where it is
        // These two follow the question.
        session_.view.left[static_cast<std::size_t>(Viewpoint::stack)].reset();
        session_.view.left[static_cast<std::size_t>(Viewpoint::follow)].reset();
    }
    if (derived_.answer && !derived_.answer->same_circuit) {
        fly_to_view(derived_.suspect.empty() ? Viewpoint::section : Viewpoint::stack, now_s, other_map ? 0 : flight_s);
    } else if (other_map) {
        fly_to_view(Viewpoint::bench, now_s, 0);
    } else if (had_answer || (session_.document.air_into.empty() && session_.document.came_out.empty())) {
        fly_to_view(Viewpoint::bench, now_s, flight_s);
    }
}

void Workbench::set_shop(std::vector<diagnosis::records::SealStatistics> failures) {
    shop_ = std::move(failures);
    weighed_map_.reset();
    derived_.retested.reset();
    retest_asked_ = false;
    ++revision_;
    if (derived_.weighed || desk_->working()) ask_desk();
}

std::shared_ptr<const model::UnitMap> Workbench::weighed_map() {
    const Document& d = session_.document;
    if (!weighed_map_) {
        namespace records = diagnosis::records;
        weighed_map_ = std::make_shared<const model::UnitMap>(
            shop_.empty() ? d.map : records::with_shares(d.map, records::shop_shares(d.map, d.priors, shop_)));
    }
    return weighed_map_;
}

bool Workbench::compares_tests() const {
    const model::Job& job = session_.document.job;
    if (job.id.empty()) return false;
    return model::last_check(job, model::CheckPurpose::retest) != nullptr ||
           model::where_it_stands(job) >= model::JobStep::retest;
}

/// What was worked out beside the window and no longer holds. The order of the ports stays while one is in use.
void Workbench::forget_side_answers(const Document& before, bool other_map) {
    const Document& now = session_.document;
    const bool other_bench = !(before.bench == now.bench) || !(before.priors == now.priors);
    if (other_map || other_bench || before.job.id != now.job.id || before.job.checks != now.job.checks ||
        before.job.findings != now.job.findings || before.job.renewed != now.job.renewed) {
        derived_.retested.reset();
        retest_asked_ = false;
    }
    if (other_map || other_bench) {
        full_check_ready_.reset();
        full_check_asked_ = false;
    }
    ports_in_use_ = !now.check.readings.empty() || !now.air_into.empty();
}

/// Asks for what the shown sheet wants, and takes what has come; true where that shows.
bool Workbench::work_beside() {
    bool shows = false;
    if (auto retested = side_->retest.take(); retested && retest_asked_) {
        derived_.retested = std::move(retested);
        shows = true;
    }
    if (auto full = side_->full_check.take(); full && full_check_asked_) full_check_ready_ = std::move(full);
    if (full_check_ready_ && !ports_in_use_) {
        derived_.full_check = std::exchange(full_check_ready_, nullptr);
        shows = true;
    }
    if (shows) ++revision_;
    const Document& d = session_.document;
    const Sheet sheet = session_.view.sheet;
    if (!retest_asked_ && (sheet == Sheet::job || sheet == Sheet::check) && compares_tests()) {
        model::Job job;
        job.checks = d.job.checks;
        job.findings = d.job.findings;
        job.renewed = d.job.renewed;
        retest_asked_ = true;
        side_->retest.ask({weighed_map(), d.bench, d.priors, std::move(job)});
        shows = true;
    }
    if (!full_check_asked_ && sheet == Sheet::check && !d.map.ports.empty() &&
        d.map.ports.size() <= most_ports_of_full_check && d.map.seals.size() <= most_seals_of_full_check) {
        full_check_asked_ = true;
        side_->full_check.ask({weighed_map(), d.bench});
        shows = true;
    }
    return shows;
}

/// Keeps the camera of the view that is left, where a hand has moved it.
void Workbench::remember_view(double now_s) {
    View& view = session_.view;
    const Camera named = named_camera(session_, derived_, view.viewpoint, aspect_);
    auto& left = view.left[static_cast<std::size_t>(view.viewpoint)];
    if (view.flight.to == named && view.flight.turn_deg_per_s == 0)
        left.reset();
    else
        left = View::Left{camera_at(view.flight, now_s), view.section};
}

/// What a view shows has changed: where a hand left it says nothing any more.
void Workbench::forget_views() {
    for (auto& left : session_.view.left)
        left.reset();
}

void Workbench::fly_to_view(Viewpoint viewpoint, double now_s, double duration_s) {
    session_.view.viewpoint = viewpoint;
    session_.view.section = looks_into_section(session_, derived_, viewpoint);
    fly_to(session_.view.flight, named_camera(session_, derived_, viewpoint, aspect_), now_s, duration_s);
}

} // namespace ringland::viewer
