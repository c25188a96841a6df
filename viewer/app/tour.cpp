#include "tour.h"

#include <algorithm>

#include <fmt/format.h>

namespace ringland::viewer {

namespace {

enum Step : std::size_t { first_port, second_port, answer, how_much, next_step, turn, end };
static_assert(end + 1 == Tour::count);

std::string name_of(const model::UnitMap& map, const std::string& port) {
    const auto* found = model::find(map.ports, port);
    return found == nullptr ? port : fmt::format("{} {}", found->id, model::port_label(map, *found));
}

} // namespace

std::optional<Tour> Tour::of(const Workbench& bench) {
    const model::UnitMap& map = bench.session().document.map;
    // Two ports with a ring of a stack and other seals between them show the most; any seal between them will do.
    std::optional<Tour> best;
    std::size_t best_worth = 0;
    for (const auto& a : map.ports) {
        for (const auto& b : map.ports) {
            if (a.id == b.id) continue;
            const auto divided = diagnosis::divide(map, a.id, b.id);
            if (divided.same_circuit || divided.seals.empty()) continue;
            Tour tour;
            tour.into_ = a.id;
            tour.out_ = b.id;
            const bool ring = divided.seals.front().position.has_value();
            const std::size_t worth =
                std::min<std::size_t>(divided.seals.size(), 3) + (ring ? 10 : 0) + (divided.by_design.empty() ? 5 : 0);
            if (worth <= best_worth) continue;
            best_worth = worth;
            best = tour;
        }
    }
    return best;
}

void Tour::enter(const Workbench& bench) { camera_ = bench.session().view.flight.to; }

bool Tour::done(const Workbench& bench) const {
    const Document& d = bench.session().document;
    const Camera& now = bench.session().view.flight.to;
    switch (step_) {
    case first_port:
        return d.air_into == into_;
    case second_port:
        return !d.air_into.empty() && !d.came_out.empty();
    case how_much:
        return seen_word(d).has_value();
    case next_step:
        return bench.session().view.sheet == Sheet::check;
    case turn:
        return bench.session().view.sheet == Sheet::drawing && bench.session().view.flight.duration_s == 0 &&
               (now.azimuth_deg != camera_.azimuth_deg || now.elevation_deg != camera_.elevation_deg);
    default:
        return false;
    }
}

void Tour::watch(const Workbench& bench) {
    while (!over() && done(bench)) {
        ++step_;
        enter(bench);
    }
}

void Tour::go_on(const Workbench& bench) {
    if (!only_read()) return;
    ++step_;
    enter(bench);
}

bool Tour::only_read() const { return step_ == answer || step_ == end; }

std::string Tour::title(const Workbench& bench) const {
    const Translator& tr = bench.translator();
    const model::UnitMap& map = bench.session().document.map;
    switch (step_) {
    case first_port:
        return filled(tr("Put the air into {0}"), name_of(map, into_));
    case second_port:
        return filled(tr("It came out of {0}"), name_of(map, out_));
    case answer:
        return tr("This divides the two");
    case how_much:
        return tr("How much came out?");
    case next_step:
        return tr("The next step");
    case turn:
        return tr("Turn the unit");
    default:
        return tr("That is all");
    }
}

std::string Tour::words(const Workbench& bench) const {
    const Translator& tr = bench.translator();
    const Document& d = bench.session().document;
    switch (step_) {
    case first_port:
        return tr("Click this port, here or in the list of ports.");
    case second_port:
        return tr("Air came out at a second port. Click that one.");
    case answer:
        return bench.derived().suspect.empty()
                   ? tr("Here stands what lies between the two ports.")
                   : filled(tr("{0} lies between them: counted from both ends, and outlined on the drawing."),
                            bench.derived().suspect);
    case how_much:
        return filled(tr("Say what you heard at {0}: press a word, for example strong."),
                      d.came_out.empty() ? out_ : d.came_out);
    case next_step:
        return tr("Press Air check: it weighs what you heard, names the suspects, and sets up the next reading.");
    case turn:
        return bench.session().view.sheet == Sheet::drawing
                   ? tr("Drag on the drawing to turn it. The wheel goes nearer.")
                   : tr("Press Stack to come back to the drawing, then drag on it to turn it.");
    default:
        return tr("Find takes you anywhere by typing, F1 lists all keys, and More has this tour again.");
    }
}

TourAim Tour::aim() const {
    switch (step_) {
    case first_port:
        return {"port " + into_, {model::SubjectKind::port, into_}, false};
    case second_port:
        return {"port " + out_, {model::SubjectKind::port, out_}, false};
    case answer:
        return {"text answer", {}, false};
    case how_much:
        return {"saw strong", {}, false};
    case next_step:
        return {"The air check: what came out where, suspects, next step", {}, false};
    case turn:
        return {"", {}, true};
    default:
        return {"Find what to do by typing it", {}, false};
    }
}

} // namespace ringland::viewer
