#include "commands.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <glm/geometric.hpp>
#include <glm/trigonometric.hpp>

#include <fmt/format.h>

#include "../../model-data/map_io.h"
#include "camera.h"
#include "ride.h"

namespace ringland::viewer {

namespace {

namespace cmd = command;

template <class Thing> bool holds(const std::vector<Thing>& list, const std::string& id) {
    return model::find(list, id) != nullptr;
}

template <class Thing> std::vector<std::string> ids_of(const std::vector<Thing>& list) {
    std::vector<std::string> ids;
    for (const auto& thing : list)
        ids.push_back(thing.id);
    return ids;
}

/// "no port is called P33: P3 may be meant", or with the whole list where nothing is near.
std::string no_such(const Translator& tr, std::string_view kind_of, const std::string& id,
                    const std::vector<std::string>& known) {
    const std::string kind = tr(kind_of), near = model::nearest_word(id, known);
    if (!near.empty()) return filled(tr("no {0} is called {1}: {2} may be meant"), kind, id, near);
    if (known.empty()) return filled(tr("no {0} is called {1}: this unit has none"), kind, id);
    const std::size_t shown = std::min<std::size_t>(known.size(), 24);
    return filled(tr("no {0} is called {1}: there are {2}{3}"), kind, id,
                  fmt::format("{}", fmt::join(known.begin(), known.begin() + static_cast<std::ptrdiff_t>(shown), ", ")),
                  shown < known.size() ? ", ..." : "");
}

} // namespace

/// Carries one command out on a workbench.
struct Workbench::Carrier {
    Workbench& bench;
    double now_s;

    [[nodiscard]] const Document& document() const { return bench.session_.document; }
    [[nodiscard]] View& view() const { return bench.session_.view; }

    std::string done() const {
        ++bench.revision_;
        return {};
    }
    /// The current reading, begun where there is none.
    model::Reading& begun(model::AirCheck& check) const {
        if (current_reading(document()) == nullptr) {
            // One that was set up and never used leaves nothing behind.
            if (!check.readings.empty() && check.readings.back().seen.empty() && !check.readings.back().applied)
                check.readings.pop_back();
            check.readings.emplace_back().into = document().air_into;
        }
        return check.readings.back();
    }
    std::string unknown_port(const std::string& port) const { return bench.unknown({model::SubjectKind::port, port}); }
    /// Puts the camera where a hand moved it, out of any flight.
    std::string place(const Camera& camera) const {
        view().flight = {camera, camera, now_s, 0};
        return done();
    }

    std::string operator()(const cmd::OpenMap& c) const { return bench.open_map(c.path, now_s); }

    std::string operator()(const cmd::AirInto& c) const {
        if (c.port.empty()) return bench.change_ports("", document().came_out, bench.tr_("take the air off"), now_s);
        if (auto why = unknown_port(c.port); !why.empty()) return why;
        const std::string out = document().came_out == c.port ? "" : document().came_out;
        return bench.change_ports(c.port, out, filled(bench.tr_("air into {0}"), c.port), now_s);
    }
    std::string operator()(const cmd::CameOut& c) const {
        if (c.port.empty())
            return bench.change_ports(document().air_into, "", bench.tr_("take back where it came out"), now_s);
        if (auto why = unknown_port(c.port); !why.empty()) return why;
        if (c.port == document().air_into) {
            return filled(bench.tr_("{0} gets the air: say at which other port it came out"), c.port);
        }
        return bench.change_ports(document().air_into, c.port, filled(bench.tr_("came out of {0}"), c.port), now_s);
    }
    std::string operator()(const cmd::SwapDirection&) const {
        if (document().air_into.empty() || document().came_out.empty()) {
            return bench.tr_("both ports are needed before the direction can be swapped");
        }
        return bench.change_ports(document().came_out, document().air_into, bench.tr_("swap direction"), now_s);
    }
    std::string operator()(const cmd::Saw& c) const {
        if (document().air_into.empty()) return bench.tr_("say first where the air went in");
        if (c.at != model::open_case) {
            if (auto why = unknown_port(c.at); !why.empty()) return why;
        }
        model::AirCheck check = document().check;
        model::Reading& reading = begun(check);
        auto& seen = reading.seen;
        seen.erase(std::remove_if(seen.begin(), seen.end(), [&](const model::Seen& s) { return s.at == c.at; }),
                   seen.end());
        if (c.seen) {
            seen.push_back(*c.seen);
            seen.back().at = c.at;
        }
        if (document().supply) reading.pressure = document().supply;
        return bench.change_check(std::move(check),
                                  c.seen ? filled(bench.tr_("seen at {0}"), c.at)
                                         : filled(bench.tr_("take back what was seen at {0}"), c.at),
                                  now_s);
    }
    std::string operator()(const cmd::PlugPort& c) const {
        if (document().air_into.empty()) return bench.tr_("say first where the air goes in");
        if (auto why = unknown_port(c.port); !why.empty()) return why;
        model::AirCheck check = document().check;
        auto& plugged = begun(check).plugged;
        plugged.erase(std::remove(plugged.begin(), plugged.end(), c.port), plugged.end());
        if (c.on) plugged.push_back(c.port);
        return bench.change_check(std::move(check),
                                  filled(c.on ? bench.tr_("close {0}") : bench.tr_("open {0}"), c.port), now_s);
    }
    std::string operator()(const cmd::Felt& c) const {
        if (document().air_into.empty()) return bench.tr_("say first where the air goes in");
        model::AirCheck check = document().check;
        begun(check).applied = c.applied;
        return bench.change_check(std::move(check), bench.tr_("how it applied"), now_s);
    }
    std::string operator()(const cmd::BeginReading& c) const { return bench.set_up(c.reading, now_s); }
    std::string operator()(const cmd::DropReading& c) const {
        model::AirCheck check = document().check;
        if (c.number < 1 || c.number > static_cast<int>(check.readings.size()))
            return filled(bench.tr_("there is no reading {0}: there are {1}"), c.number, check.readings.size());
        check.readings.erase(check.readings.begin() + (c.number - 1));
        return bench.change_check(std::move(check), filled(bench.tr_("drop reading {0}"), c.number), now_s);
    }
    std::string operator()(const cmd::LookedAt& c) const {
        if (c.seal != model::the_rig) {
            if (auto why = bench.unknown({model::SubjectKind::seal, c.seal}); !why.empty()) return why;
        }
        model::AirCheck check = document().check;
        auto& looks = check.looks;
        looks.erase(std::remove_if(looks.begin(), looks.end(), [&](const model::Look& l) { return l.seal == c.seal; }),
                    looks.end());
        if (c.found) looks.push_back({c.seal, *c.found, {}, {}});
        return bench.change_check(std::move(check), filled(bench.tr_("looked at {0}"), c.seal), now_s);
    }
    std::string operator()(const cmd::Complained& c) const {
        model::AirCheck check = document().check;
        auto& list = check.complaints;
        list.erase(std::remove_if(list.begin(), list.end(),
                                  [&](const model::Complaint& said) {
                                      return said.range == c.complaint.range && said.symptom == c.complaint.symptom;
                                  }),
                   list.end());
        if (c.on) list.push_back(c.complaint);
        return bench.change_check(
            std::move(check), c.on ? bench.tr_("what the driver felt") : bench.tr_("take back what the driver felt"),
            now_s);
    }
    std::string operator()(const cmd::SetSupply& c) const {
        if (c.pressure && !(c.pressure->si() >= 0 && c.pressure->si() <= most_supply_pa))
            return view().units == UnitSystem::bar_mm
                       ? bench.tr_("the pressure at the regulator is a figure from 0 to 10 bar")
                       : bench.tr_("the pressure at the regulator is a figure from 0 to 145 psi");
        Document after = document();
        after.supply = c.pressure;
        const std::string why =
            bench.change_document(std::move(after), bench.tr_("pressure at the regulator"), now_s, true);
        if (!bench.done_.empty()) bench.done_.back().open = bench.done_.back().open && !c.settled;
        return why;
    }
    std::string operator()(const cmd::SetAirBench& c) const {
        auto read = model::read_bench_text(model::write_bench_text(c.bench), bench.tr_("air bench"));
        if (!read.bench) return model::first_errors(read.faults, bench.tr_);
        Document after = document();
        after.bench = c.bench;
        return bench.change_document(std::move(after), bench.tr_("air bench"), now_s, false);
    }
    std::string operator()(const cmd::EditJob& c) const {
        Document after = document();
        if (auto why = apply(bench.tr_, after, c.edit); !why.empty()) return why;
        const std::string why = bench.change_document(std::move(after), edit_name(bench.tr_, c.edit), now_s, true);
        if (!bench.done_.empty()) bench.done_.back().open = bench.done_.back().open && !edit_settled(c.edit);
        return why;
    }
    std::string operator()(const cmd::WhatIf& c) const {
        if (!(c.hole_mm >= 0 && c.hole_mm <= most_hole_mm)) return bench.tr_("the hole is a figure from 0 to 10 mm");
        view().what_if_mm = c.hole_mm;
        derive_air(bench.derived_, bench.session_, false);
        return done();
    }
    std::string operator()(const cmd::ShowSheet& c) const {
        view().sheet = c.sheet;
        if (c.sheet == Sheet::check && !bench.derived_.weighed) bench.ask_desk();
        return done();
    }
    std::string operator()(const cmd::ClearPorts&) const {
        if (!view().alone.empty()) {
            view().alone.clear();
            static_cast<void>(done());
        }
        return bench.change_ports("", "", bench.tr_.meant("step to undo", "clear"), now_s);
    }

    std::string operator()(const cmd::ShowView& c) const {
        if (c.viewpoint == Viewpoint::follow && !bench.derived_.air) {
            return bench.tr_(
                "there is no way of the air to follow yet: say where the air went in and where it came out");
        }
        view().sheet = Sheet::drawing;
        bench.remember_view(now_s);
        const auto& left = view().left[static_cast<std::size_t>(c.viewpoint)];
        if (c.viewpoint == view().viewpoint || !left) {
            view().left[static_cast<std::size_t>(c.viewpoint)].reset();
            bench.fly_to_view(c.viewpoint, now_s, flight_s);
            return done();
        }
        view().viewpoint = c.viewpoint;
        view().section = left->section;
        fly_to(view().flight, left->camera, now_s, flight_s);
        return done();
    }
    std::string operator()(const cmd::Explode& c) const {
        if (!(c.apart >= 0 && c.apart <= 1))
            return bench.tr_("how far apart is a number from 0, together, to 1, all free");
        if (c.apart == view().apart) return {};
        // The frame of the view grows and shrinks with the unit, and what a hand has turned stays turned.
        const Viewpoint viewpoint = view().viewpoint;
        const Camera framed = named_camera(bench.session_, bench.derived_, viewpoint, bench.aspect_);
        const Camera now = camera_at(view().flight, now_s);
        view().apart = c.apart;
        view().taking = {};
        bench.forget_views();
        const Camera frames = named_camera(bench.session_, bench.derived_, viewpoint, bench.aspect_);
        if (view().flight.to == framed && view().flight.turn_deg_per_s == 0 && now == framed) return place(frames);
        if (view().flight.to == framed && view().flight.turn_deg_per_s == 0) {
            view().flight.to = frames;
            return done();
        }
        Camera moved = now;
        moved.distance = std::clamp(now.distance * frames.distance / framed.distance, nearest_mm, farthest_mm);
        moved.target += frames.target - framed.target;
        const double turn = view().flight.turn_deg_per_s;
        const std::string why = place(moved);
        view().flight.turn_deg_per_s = turn;
        return why;
    }
    std::string operator()(const cmd::TakeOff& c) const {
        if (view().taking.to <= 0) bench.plan_way_in();
        const double all = bench.derived_.way_in.steps();
        if (all == 0) return bench.tr_("there is no way in to show: choose a seal first, or make the air check");
        if (!(c.steps >= 0 && c.steps <= all))
            return filled(bench.tr_("steps of the way in are a number from 0 to {0}"), all);
        const double from = taken_at(view().taking, now_s);
        view().sheet = Sheet::drawing;
        view().apart = 0;
        view().taking = {from, c.steps, now_s, view().reduced_motion ? 0 : take_off_s};
        if (from == c.steps) view().taking.duration_s = 0;
        bench.forget_views();
        // The eye steps back as the row grows.
        bench.fly_to_view(Viewpoint::bench, now_s, view().taking.duration_s);
        return done();
    }
    std::string operator()(const cmd::Isolate& c) const {
        if (c.circuits.size() > 2) return bench.tr_("one circuit or two can be shown alone");
        for (const auto& circuit : c.circuits) {
            if (auto why = bench.unknown({model::SubjectKind::circuit, circuit}); !why.empty()) return why;
        }
        view().alone = c.circuits;
        if (c.circuits.size() == 2 && c.circuits[0] == c.circuits[1]) view().alone.pop_back();
        return done();
    }
    std::string operator()(const cmd::SetTurntable& c) const {
        if (c.on && view().reduced_motion)
            return bench.tr_("less motion is on: the unit is turned by hand, or less motion put off");
        Camera camera = camera_at(view().flight, now_s);
        view().flight = {camera, camera, now_s, 0, nullptr, c.on ? turntable_deg_per_s : 0};
        if (c.on) view().sheet = Sheet::drawing;
        return done();
    }
    std::string operator()(const cmd::Ride&) const {
        if (!bench.derived_.air)
            return bench.tr_(
                "there is no way of the air to ride along yet: say where the air went in and where it came out");
        view().sheet = Sheet::drawing;
        view().alone.clear();
        view().apart = 0;
        view().taking = {};
        const Camera from = camera_at(view().flight, now_s);
        bench.fly_to_view(Viewpoint::follow, now_s, 0);
        if (view().reduced_motion) return done(); // the whole of the way at once
        view().flight = ride_along(bench.session_, bench.derived_, from, view().flight.to, bench.aspect_, now_s);
        return done();
    }
    std::string operator()(const cmd::Stay&) const {
        if (!in_flight(view().flight, now_s)) return {};
        return place(camera_at(view().flight, now_s));
    }
    std::string operator()(const cmd::SetDimensions& c) const {
        view().dimensions = c.on;
        return done();
    }
    std::string operator()(const cmd::SetSection& c) const {
        view().section = c.on;
        return done();
    }
    std::string operator()(const cmd::SetLying& c) const {
        if (view().lying == c.lying) return {};
        bench.forget_views();
        // The eye keeps its subject while the unit is turned over, then goes to where the named view looks from now.
        const glm::dmat4 turn = lying_matrix(c.lying) * glm::transpose(lying_matrix(view().lying));
        Camera from = camera_at(view().flight, now_s);
        from.target = glm::dvec3(turn * glm::dvec4(from.target, 1));
        view().lying = c.lying;
        view().flight = {from, from, now_s, 0};
        fly_to(view().flight, named_camera(bench.session_, bench.derived_, view().viewpoint, bench.aspect_), now_s,
               flight_s);
        return done();
    }
    std::string operator()(const cmd::Orbit& c) const {
        if (!std::isfinite(c.azimuth_deg) || !std::isfinite(c.elevation_deg))
            return bench.tr_("a turn is a number of degrees");
        Camera camera = camera_at(view().flight, now_s);
        camera.azimuth_deg = std::remainder(camera.azimuth_deg + c.azimuth_deg, 360.0);
        camera.elevation_deg =
            std::clamp(camera.elevation_deg + c.elevation_deg, -elevation_limit_deg, elevation_limit_deg);
        return place(camera);
    }
    std::string operator()(const cmd::Pan& c) const {
        if (!(std::abs(c.right_mm) < farthest_mm) || !(std::abs(c.up_mm) < farthest_mm))
            return bench.tr_("that is too far to the side");
        Camera camera = camera_at(view().flight, now_s);
        const glm::dmat4 seen = glm::transpose(view_matrix(camera));
        const glm::dvec3 target = camera.target + c.right_mm * glm::dvec3(seen[0]) + c.up_mm * glm::dvec3(seen[1]);
        if (glm::length(target) > farthest_mm) return bench.tr_("that is too far to the side");
        camera.target = target;
        return place(camera);
    }
    std::string operator()(const cmd::Zoom& c) const {
        if (!std::isfinite(c.factor) || c.factor <= 0) return bench.tr_("a zoom factor is a number above 0");
        Camera camera = camera_at(view().flight, now_s);
        camera.distance = std::clamp(camera.distance * c.factor, nearest_mm, farthest_mm);
        return place(camera);
    }
    std::string operator()(const cmd::Focus& c) const {
        if (auto why = bench.unknown(c.subject); !why.empty()) return why;
        const Camera now = camera_at(view().flight, now_s);
        fly_to(view().flight, focus_camera(bench.session_, bench.derived_, c.subject, now, bench.aspect_), now_s,
               flight_s);
        return done();
    }
    std::string operator()(const cmd::Select& c) const {
        if (auto why = bench.unknown(c.subject); !why.empty()) return why;
        view().selected = c.subject;
        derive_air(bench.derived_, bench.session_, false);
        return done();
    }
    std::string operator()(const cmd::ShowSuspect& c) const {
        if (!bench.derived_.answer)
            return bench.tr_("there is no suspect yet: say where the air went in and where it came out");
        std::vector<std::string> suspects;
        for (const auto& divider : bench.derived_.answer->seals)
            suspects.push_back(divider.seal);
        if (std::find(suspects.begin(), suspects.end(), c.seal) == suspects.end()) {
            return no_such(bench.tr_, model::marked("suspect of this question"), c.seal, suspects);
        }
        bench.remember_view(now_s);
        view().left[static_cast<std::size_t>(Viewpoint::stack)].reset();
        view().suspect = c.seal;
        derive_answer(bench.derived_, bench.session_);
        derive_air(bench.derived_, bench.session_, false);
        bench.fly_to_view(Viewpoint::stack, now_s, flight_s);
        return done();
    }
    std::string operator()(const cmd::SetTheme& c) const {
        view().theme = c.theme;
        return done();
    }
    std::string operator()(const cmd::SetUnits& c) const {
        view().units = c.units;
        if (bench.derived_.weighed) bench.ask_desk(); // its reasons name figures
        return done();
    }
    std::string operator()(const cmd::SetLanguage& c) const {
        if (!is_language(c.language))
            return no_such(bench.tr_, model::marked("language"), c.language, language_codes());
        view().language = c.language;
        bench.use_translator(translator_of(c.language));
        return done();
    }
    std::string operator()(const cmd::SetTextScale& c) const {
        if (!(c.scale >= least_text_scale && c.scale <= most_text_scale))
            return bench.tr_("the text scale is a number from 1 to 2.5");
        view().text_scale = c.scale;
        return done();
    }
    std::string operator()(const cmd::SetReducedMotion& c) const {
        view().reduced_motion = c.on;
        return done();
    }
    std::string operator()(const cmd::Undo&) const { return bench.step_through(true, now_s); }
    std::string operator()(const cmd::Redo&) const { return bench.step_through(false, now_s); }
};

void Workbench::use_translator(Translator tr) {
    tr_ = std::move(tr);
    if (derived_.weighed) ask_desk(); // its reasons are words
}

std::string Workbench::dispatch(const Command& command, double now_s) {
    std::string why = std::visit(Carrier{*this, now_s}, command);
    if (session_.view.reduced_motion) {
        // No move of any kind: the eye is at once where it was to go.
        Flight& flight = session_.view.flight;
        flight.duration_s = 0;
        flight.ride.reset();
        flight.turn_deg_per_s = 0;
    }
    return why;
}

std::string Workbench::change_ports(std::string air_into, std::string came_out, std::string name, double now_s) {
    if (session_.document.air_into == air_into && session_.document.came_out == came_out) return {};
    const bool swapped = session_.document.air_into == came_out && session_.document.came_out == air_into;
    Document after = session_.document;
    after.air_into = std::move(air_into);
    after.came_out = std::move(came_out);
    if (!swapped) session_.view.suspect.clear();
    return change_document(std::move(after), std::move(name), now_s, false);
}

/// Takes an air check over if it keeps the rules that a file must keep.
std::string Workbench::change_check(model::AirCheck check, std::string name, double now_s) {
    const auto faults = model::check_readings(check, session_.document.map, "air check");
    if (model::has_error(faults)) {
        const auto first = std::find_if(faults.begin(), faults.end(),
                                        [](const model::Fault& f) { return f.severity == model::Severity::error; });
        return fmt::format("{}: {}", first->what.in(tr_), first->right.in(tr_));
    }
    Document after = session_.document;
    after.check = std::move(check);
    keep_check(after);
    return change_document(std::move(after), std::move(name), now_s, false);
}

std::string Workbench::set_up(const model::Reading& reading, double now_s) {
    if (auto why = unknown({model::SubjectKind::port, reading.into}); !why.empty()) return why;
    Document after = session_.document;
    if (!after.check.readings.empty() && after.check.readings.back().seen.empty() &&
        !after.check.readings.back().applied)
        after.check.readings.pop_back();
    after.check.readings.push_back(reading);
    after.air_into = reading.into;
    after.came_out.clear();
    const auto faults = model::check_readings(after.check, after.map, "air check");
    if (model::has_error(faults))
        return fmt::format("{}: {}", faults.front().what.in(tr_), faults.front().right.in(tr_));
    keep_check(after);
    return change_document(std::move(after), filled(tr_("set up a reading into {0}"), reading.into), now_s, false);
}

/// Has the readings weighed anew; what was weighed before is stale at once.
void Workbench::ask_desk() {
    derived_.weighed.reset();
    const Document& d = session_.document;
    model::AirCheck check = d.check;
    // A reading that was only set up says nothing.
    check.readings.erase(std::remove_if(check.readings.begin(), check.readings.end(),
                                        [](const model::Reading& r) { return r.seen.empty() && !r.applied; }),
                         check.readings.end());
    if (check.readings.empty() && check.looks.empty() && check.complaints.empty() &&
        session_.view.sheet != Sheet::check)
        return;
    desk_->ask({weighed_map(), d.bench, d.priors, std::move(check), session_.view.units == UnitSystem::bar_mm, tr_});
    if (auto weighed = desk_->take()) derived_.weighed = std::move(weighed);
}

/// Puts a changed document in place as one step to undo, or as more of the step before.
std::string Workbench::change_document(Document after, std::string name, double now_s, bool merges) {
    if (after == session_.document) return {};
    taken_back_job_.clear();
    remember_view(now_s);
    Document before = std::exchange(session_.document, std::move(after));
    document_changed(before, now_s);
    undone_.clear();
    ++revision_;
    if (merges && !done_.empty() && done_.back().open && done_.back().name == name) {
        done_.back().after = session_.document;
        return {};
    }
    done_.push_back({std::move(name), std::move(before), session_.document, merges});
    if (done_.size() > most_undo_steps) done_.erase(done_.begin());
    return {};
}

std::string Workbench::step_through(bool back, double now_s) {
    auto& from = back ? done_ : undone_;
    if (from.empty()) return back ? tr_("there is nothing to undo") : tr_("there is nothing to redo");
    Step step = std::move(from.back());
    from.pop_back();
    if (!back) taken_back_job_.clear();
    if (back && !step.opens && step.before.job.id.empty() && !step.after.job.id.empty())
        taken_back_job_ = step.after.job.id;
    remember_view(now_s);
    const Document before = std::exchange(session_.document, back ? step.before : step.after);
    if (before.air_into != session_.document.air_into || before.came_out != session_.document.came_out)
        session_.view.suspect.clear();
    document_changed(before, now_s);
    (back ? undone_ : done_).push_back(std::move(step));
    ++revision_;
    return {};
}

std::string Workbench::unknown(const model::Subject& subject) const {
    const model::UnitMap& map = session_.document.map;
    switch (subject.kind) {
    case model::SubjectKind::none:
        return {};
    case model::SubjectKind::part:
        return holds(map.parts, subject.id) ? "" : no_such(tr_, model::marked("part"), subject.id, ids_of(map.parts));
    case model::SubjectKind::seal:
        return holds(map.seals, subject.id) ? "" : no_such(tr_, model::marked("seal"), subject.id, ids_of(map.seals));
    case model::SubjectKind::circuit:
        return holds(map.circuits, subject.id)
                   ? ""
                   : no_such(tr_, model::marked("circuit"), subject.id, ids_of(map.circuits));
    case model::SubjectKind::port:
        return holds(map.ports, subject.id) ? "" : no_such(tr_, model::marked("port"), subject.id, ids_of(map.ports));
    }
    return {};
}

bool Workbench::work_on() {
    if (auto weighed = desk_->take()) {
        derived_.weighed = std::move(weighed);
        ++revision_;
        return true;
    }
    if (work_beside() || look_ahead()) return true;
    if (session_.view.sheet != Sheet::chart || !continue_chart(derived_, session_)) return false;
    ++revision_;
    return true;
}

std::optional<std::string> Workbench::undo_name() const {
    if (done_.empty()) return {};
    return done_.back().name;
}

std::optional<std::string> Workbench::redo_name() const {
    if (undone_.empty()) return {};
    return undone_.back().name;
}

Command port_clicked(const Session& session, const std::string& port) {
    const Document& document = session.document;
    if (port == document.air_into) return cmd::AirInto{""};
    if (port == document.came_out) return cmd::CameOut{""};
    if (document.air_into.empty()) return cmd::AirInto{port};
    return cmd::CameOut{port};
}

} // namespace ringland::viewer
