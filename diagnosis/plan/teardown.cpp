#include "teardown.h"

#include <algorithm>
#include <array>
#include <limits>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "../divide.h"
#include "../suspects/groups.h"

namespace ringland::diagnosis::plan {

namespace {

using Ways = std::vector<std::vector<std::size_t>>;

/// Beyond so many combinations of ways the nearest way of each seal is taken, one seal after the other.
constexpr double most_combinations = 20000;

double cost(const model::Part& part) { return part.minutes.value_or(suspects::untimed_minutes); }

/// The ways to a seal. The case is what everything is taken out of, so it is no step of any of them.
Ways ways_outside_the_case(const model::UnitMap& map, const model::Seal& seal) {
    Ways ways = suspects::ways_to(map, seal);
    for (auto& way : ways)
        way.erase(std::remove_if(way.begin(), way.end(),
                                 [&](std::size_t p) { return map.parts[p].kind == model::PartKind::case_; }),
                  way.end());
    ways.erase(std::remove_if(ways.begin(), ways.end(), [](const auto& way) { return way.empty(); }), ways.end());
    return ways;
}

/// Chooses one way for each seal, so that all of them together take the least minutes, and of those the least parts.
class WayChooser {
public:
    WayChooser(const model::UnitMap& map, const std::vector<Ways>& ways, std::vector<bool> off)
        : map_(map), ways_(ways), off_(std::move(off)), chosen_(ways.size(), 0), best_(ways.size(), 0) {}

    /// Index of the way of each seal; true where it was proved to be the least.
    bool choose(std::vector<std::size_t>& way) {
        double combinations = 1;
        for (std::size_t i = 0; i < ways_.size(); ++i) {
            if (ways_[i].size() == 1)
                for (const std::size_t p : ways_[i].front())
                    off_[p] = true;
            else if (!ways_[i].empty()) {
                open_.push_back(i);
                combinations *= static_cast<double>(ways_[i].size());
            }
        }
        const bool all = combinations <= most_combinations;
        if (all)
            search(0, 0, 0);
        else
            for (const std::size_t i : open_)
                best_[i] = nearest(i);
        way = best_;
        return all;
    }

private:
    void search(std::size_t at, double minutes, std::size_t parts) {
        if (minutes > least_minutes_ || (minutes == least_minutes_ && parts >= least_parts_)) return;
        if (at == open_.size()) {
            least_minutes_ = minutes;
            least_parts_ = parts;
            best_ = chosen_;
            return;
        }
        const Ways& ways = ways_[open_[at]];
        for (std::size_t w = 0; w < ways.size(); ++w) {
            std::vector<std::size_t> fresh;
            double more = 0;
            for (const std::size_t p : ways[w]) {
                if (off_[p]) continue;
                fresh.push_back(p);
                more += cost(map_.parts[p]);
                off_[p] = true;
            }
            chosen_[open_[at]] = w;
            search(at + 1, minutes + more, parts + fresh.size());
            for (const std::size_t p : fresh)
                off_[p] = false;
        }
    }
    std::size_t nearest(std::size_t seal) {
        const auto more = [&](const std::vector<std::size_t>& way) {
            double minutes = 0;
            for (const std::size_t p : way)
                minutes += off_[p] ? 0 : cost(map_.parts[p]);
            return minutes;
        };
        const auto least = std::min_element(ways_[seal].begin(), ways_[seal].end(),
                                            [&](const auto& a, const auto& b) { return more(a) < more(b); });
        for (const std::size_t p : *least)
            off_[p] = true;
        return static_cast<std::size_t>(least - ways_[seal].begin());
    }

    const model::UnitMap& map_;
    const std::vector<Ways>& ways_;
    std::vector<bool> off_;
    std::vector<std::size_t> open_, chosen_, best_;
    double least_minutes_ = std::numeric_limits<double>::infinity();
    std::size_t least_parts_ = 0;
};

/// Puts jobs, each a set of parts, into one order of steps.
class StepOrder {
public:
    explicit StepOrder(const model::UnitMap& map) : map_(map), off_(map.parts.size(), false) {}

    std::vector<std::size_t> order(std::vector<std::vector<std::size_t>> jobs, bool as_given) {
        while (!jobs.empty()) {
            auto next = jobs.begin();
            if (!as_given)
                next = std::min_element(jobs.begin(), jobs.end(),
                                        [&](const auto& a, const auto& b) { return more(a) < more(b); });
            take_off_all(*next);
            jobs.erase(next);
        }
        return std::move(steps_);
    }

private:
    [[nodiscard]] double more(const std::vector<std::size_t>& job) const {
        double minutes = 0;
        for (const std::size_t p : job)
            minutes += off_[p] ? 0 : cost(map_.parts[p]);
        return minutes;
    }
    /// From the parts that no other of them waits for, so that what leads to each comes off just before it.
    void take_off_all(const std::vector<std::size_t>& job) {
        for (const std::size_t p : job) {
            const bool waited_for = std::any_of(job.begin(), job.end(), [&](std::size_t other) {
                const auto& after = map_.parts[other].after;
                return std::find(after.begin(), after.end(), map_.parts[p].id) != after.end();
            });
            if (!waited_for) take_off(p);
        }
    }
    void take_off(std::size_t part) {
        if (part >= off_.size() || off_[part] || map_.parts[part].kind == model::PartKind::case_) return;
        off_[part] = true;
        for (const auto& before : map_.parts[part].after)
            take_off(index_of(map_.parts, before));
        steps_.push_back(part);
    }

    const model::UnitMap& map_;
    std::vector<bool> off_;
    std::vector<std::size_t> steps_;
};

/// What the steps renew beside what was asked for.
class Renewals {
public:
    Renewals(const model::UnitMap& map, Teardown& plan) : map_(map), plan_(plan) {}

    void find(const std::vector<std::optional<std::size_t>>& uncovered_at) {
        for (std::size_t i = 0; i < plan_.seals.size(); ++i)
            add(plan_.seals[i], Why::asked, uncovered_at[i]);
        for (std::size_t i = 0; i < plan_.steps.size(); ++i) {
            for (const auto& what : map_.parts[plan_.steps[i].part].renew)
                for (std::size_t s = 0; s < map_.seals.size(); ++s)
                    if (map_.seals[s].id == what) add(s, Why::with_part, i);
        }
        const std::vector<std::size_t> moved = moved_at(map_, plan_.steps);
        for (std::size_t s = 0; s < map_.seals.size(); ++s)
            add_parted(s, moved);
        std::sort(plan_.renews.begin(), plan_.renews.end(),
                  [](const auto& a, const auto& b) { return a.seal < b.seal; });
        for (const auto& renewed : plan_.renews)
            if (renewed.why != Why::asked && renewed.step) plan_.steps[*renewed.step].disturbs.push_back(renewed.seal);
    }

private:
    void add_parted(std::size_t s, const std::vector<std::size_t>& moved) {
        using model::SealKind;
        const auto& seal = map_.seals[s];
        const std::size_t never = plan_.steps.size();
        const auto step_of = [&](const std::string& part) {
            const std::size_t p = index_of(map_.parts, part);
            return p < moved.size() ? moved[p] : never;
        };
        if (const auto* stack = model::find(map_.stacks, seal.stack); stack && seal.kind != SealKind::wall) {
            const std::size_t step = std::min(step_of(stack->on), step_of(stack->bore));
            if (step < never) add(s, Why::stack, step);
        }
        if (seal.kind != SealKind::o_ring && seal.kind != SealKind::gasket_bridge) return;
        for (std::size_t i = 0; i < plan_.steps.size(); ++i)
            if (map_.parts[plan_.steps[i].part].id == seal.at) add(s, Why::parted, i);
    }
    /// The first reason counts, asked before all others.
    void add(std::size_t seal, Why why, std::optional<std::size_t> step) {
        const bool there =
            std::any_of(plan_.renews.begin(), plan_.renews.end(), [&](const RenewedSeal& r) { return r.seal == seal; });
        if (!there) plan_.renews.push_back({seal, why, step});
    }

    const model::UnitMap& map_;
    Teardown& plan_;
};

void say_what_is_missing(const model::UnitMap& map, const model::Translator& tr, Teardown& plan) {
    if (map.parts.empty()) {
        plan.missing.push_back(tr("The map has no parts, so nothing is known of what comes off; add a [[part]] with "
                                  "after and minutes for each. What is renewed and the retest stand all the same."));
        return;
    }
    for (const std::size_t s : plan.unplaced) {
        const auto& seal = map.seals[s];
        const auto* part = model::find(map.parts, seal.at);
        if (part && part->kind == model::PartKind::case_)
            plan.missing.push_back(
                model::filled(tr("{0} is in the case itself, from which everything is taken: no part that "
                                 "comes off leads to it."),
                              seal_title(seal, tr)));
        else
            plan.missing.push_back(
                model::filled(tr("The map does not say on which part {0} sits: add at = \"...\" to it, or "
                                 "name it under renew of a part."),
                              seal_title(seal, tr)));
    }
    if (plan.untimed.empty()) return;
    std::vector<std::string> names;
    names.reserve(plan.untimed.size());
    for (const std::size_t p : plan.untimed)
        names.push_back(tr.map_word(part_name(map, p)));
    plan.missing.push_back(model::filled(
        names.size() == 1 ? tr("The map gives no minutes for {0}: the sum is without it, so it takes longer.")
                          : tr("The map gives no minutes for {0}: the sum is without them, so it takes longer."),
        fmt::format("{}", fmt::join(names, ", "))));
}

bool is_off(const std::vector<std::size_t>& way, const std::vector<bool>& off) {
    return std::all_of(way.begin(), way.end(), [&](std::size_t p) { return off[p]; });
}

} // namespace

std::string_view word(Why why) {
    static constexpr std::array<std::string_view, 4> words{"asked", "stack", "with-part", "parted"};
    return words[static_cast<std::size_t>(why)];
}

std::string part_name(const model::UnitMap& map, std::size_t part) {
    return map.parts[part].name.empty() ? map.parts[part].id : map.parts[part].name;
}

std::vector<std::size_t> moved_at(const model::UnitMap& map, const std::vector<Step>& steps) {
    std::vector<std::size_t> own(map.parts.size(), steps.size());
    for (std::size_t i = 0; i < steps.size(); ++i)
        own[steps[i].part] = i;
    std::vector<std::size_t> moved = own;
    for (std::size_t p = 0; p < map.parts.size(); ++p) {
        std::size_t carrier = p;
        for (std::size_t hops = 0; hops < map.parts.size() && carrier < map.parts.size(); ++hops) {
            moved[p] = std::min(moved[p], own[carrier]);
            carrier = map.parts[carrier].on.empty() ? map.parts.size() : index_of(map.parts, map.parts[carrier].on);
        }
    }
    return moved;
}

Teardown tear_down(const model::UnitMap& map, const Target& target, const model::Translator& tr) {
    Teardown plan;
    std::vector<std::size_t> wanted;
    for (const std::size_t s : target.seals)
        if (std::find(wanted.begin(), wanted.end(), s) == wanted.end()) wanted.push_back(s);
    plan.seals = wanted;
    std::sort(plan.seals.begin(), plan.seals.end());
    if (!target.in_this_order) wanted = plan.seals;

    StepOrder parts_order(map);
    std::vector<bool> by_part(map.parts.size(), false);
    std::vector<std::vector<std::size_t>> jobs;
    for (const std::size_t p : target.parts) {
        StepOrder one(map);
        jobs.push_back(one.order({{p}}, true));
        for (const std::size_t q : jobs.back())
            by_part[q] = true;
    }
    std::vector<Ways> ways;
    ways.reserve(wanted.size());
    for (const std::size_t s : wanted)
        ways.push_back(ways_outside_the_case(map, map.seals[s]));
    std::vector<std::size_t> way;
    plan.least = WayChooser(map, ways, by_part).choose(way);
    for (std::size_t i = 0; i < wanted.size(); ++i) {
        if (ways[i].empty())
            plan.unplaced.push_back(wanted[i]);
        else if (std::find(jobs.begin(), jobs.end(), ways[i][way[i]]) == jobs.end())
            jobs.push_back(ways[i][way[i]]);
    }

    std::vector<bool> off(map.parts.size(), false);
    std::vector<std::optional<std::size_t>> uncovered_at(plan.seals.size());
    for (const std::size_t p : parts_order.order(std::move(jobs), target.in_this_order)) {
        const auto& part = map.parts[p];
        Step step;
        step.part = p;
        step.minutes = part.minutes;
        step.tools = part.tools;
        step.caution = part.caution;
        plan.minutes += part.minutes.value_or(0);
        step.minutes_so_far = plan.minutes;
        if (!part.minutes) plan.untimed.push_back(p);
        off[p] = true;
        for (std::size_t i = 0; i < wanted.size(); ++i) {
            auto& at = uncovered_at[static_cast<std::size_t>(
                std::lower_bound(plan.seals.begin(), plan.seals.end(), wanted[i]) - plan.seals.begin())];
            if (at || std::none_of(ways[i].begin(), ways[i].end(), [&](const auto& w) { return is_off(w, off); }))
                continue;
            at = plan.steps.size();
            step.uncovers.push_back(wanted[i]);
        }
        std::sort(step.uncovers.begin(), step.uncovers.end());
        plan.steps.push_back(std::move(step));
    }
    Renewals(map, plan).find(uncovered_at);
    std::sort(plan.unplaced.begin(), plan.unplaced.end());
    say_what_is_missing(map, tr, plan);
    return plan;
}

} // namespace ringland::diagnosis::plan
