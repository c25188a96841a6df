#include "search_order.h"

#include <algorithm>
#include <cstdint>
#include <limits>
#include <numeric>

#include "../suspects/groups.h"

namespace ringland::diagnosis::plan {

namespace {

constexpr double none_left = 1e-12; ///< chances below this are rounding

/// All that must come off at once to reach some of the suspects.
struct Pull {
    std::vector<std::size_t> parts;
    double minutes = 0;
};

struct Suspect {
    std::size_t seal = 0;
    double chance = 0;              ///< of all suspects together 1
    std::vector<std::size_t> pulls; ///< each of them reaches it
    double look_minutes = -1;       ///< negative: no look, or none that is worth its minutes beside the pull
};

/// The suspects with every way to reach them.
class Problem {
public:
    Problem(const model::UnitMap& map, const std::vector<double>& chance, double misses, SearchOrder& answer)
        : map_(map), misses_(std::clamp(misses, 0.0, 1.0)) {
        double sum = 0;
        for (std::size_t s = 0; s < chance.size(); ++s) {
            if (!(chance[s] > 0)) continue;
            Suspect suspect{s, chance[s], pulls_to(map.seals[s]), -1};
            const double nearest = nearest_pull(suspect);
            // A look that takes as long as the pull lets see no more than the pull does.
            if (const auto look = map.seals[s].look_minutes; look && *look < nearest) suspect.look_minutes = *look;
            if (suspect.pulls.empty() && suspect.look_minutes < 0) {
                answer.unplaced.push_back(s);
                continue;
            }
            sum += suspect.chance;
            suspects_.push_back(std::move(suspect));
        }
        for (auto& suspect : suspects_)
            suspect.chance /= sum;
        for (std::size_t i = 0; i < suspects_.size(); ++i)
            if (suspects_[i].look_minutes >= 0) looks_.push_back(i);
        for (std::size_t p = 0; p < map.parts.size(); ++p) {
            const bool used = std::any_of(pulls_.begin(), pulls_.end(), [p](const Pull& pull) {
                return std::binary_search(pull.parts.begin(), pull.parts.end(), p);
            });
            if (used && !map.parts[p].minutes) answer.untimed.push_back(p);
        }
    }

    [[nodiscard]] std::size_t size() const { return pulls_.size() + looks_.size(); }
    [[nodiscard]] const std::vector<Pull>& pulls() const { return pulls_; }
    [[nodiscard]] const std::vector<Suspect>& suspects() const { return suspects_; }
    [[nodiscard]] const std::vector<std::size_t>& looks() const { return looks_; } ///< suspects that can be looked at
    [[nodiscard]] double misses() const { return misses_; }
    [[nodiscard]] double minutes(std::size_t part) const {
        return map_.parts[part].minutes.value_or(suspects::untimed_minutes);
    }
    [[nodiscard]] std::size_t parts() const { return map_.parts.size(); }

    /// Carries out jobs (pulls first, then looks, by number) one after another. A job that shows nothing new is left
    /// out.
    void carry_out(const std::vector<std::size_t>& order, SearchOrder& answer) const {
        std::vector<bool> off(parts(), false), opened(suspects_.size(), false), looked(suspects_.size(), false);
        answer.steps.clear();
        answer.expected_minutes = answer.worst_minutes = 0;
        double found = 0;
        for (const std::size_t job : order) {
            if (found >= 1) break;
            SearchStep step;
            if (job < pulls_.size()) {
                for (const std::size_t p : pulls_[job].parts) {
                    if (off[p]) continue;
                    off[p] = true;
                    step.parts.push_back(p);
                    step.minutes += minutes(p);
                }
                if (step.parts.empty()) continue;
                for (std::size_t i = 0; i < suspects_.size(); ++i) {
                    if (opened[i] || !reached(suspects_[i], off)) continue;
                    opened[i] = true;
                    step.seals.push_back(suspects_[i].seal);
                    step.finds += suspects_[i].chance * (looked[i] ? misses_ : 1);
                }
            } else {
                const std::size_t i = looks_[job - pulls_.size()];
                if (opened[i]) continue;
                looked[i] = true;
                step.kind = SearchStep::Kind::look;
                step.seals.push_back(suspects_[i].seal);
                step.minutes = suspects_[i].look_minutes;
                step.finds = suspects_[i].chance * (1 - misses_);
            }
            answer.expected_minutes += (1 - found) * step.minutes;
            answer.worst_minutes += step.minutes;
            found = std::min(1.0, found + step.finds);
            if (1 - found < none_left) found = 1;
            step.minutes_so_far = answer.worst_minutes;
            step.found_so_far = found;
            answer.steps.push_back(std::move(step));
        }
    }

    /// No order does better: every part is shared out evenly among the pulls that need it, and every pull among its
    /// suspects, so that all are independent and the rule of Smith gives their best order.
    [[nodiscard]] double bound() const {
        std::vector<double> shared(parts(), 0), share(pulls_.size(), 0), suspects_of(pulls_.size(), 0);
        for (const Pull& pull : pulls_)
            for (const std::size_t p : pull.parts)
                ++shared[p];
        for (std::size_t w = 0; w < pulls_.size(); ++w)
            for (const std::size_t p : pulls_[w].parts)
                share[w] += minutes(p) / shared[p];
        for (const Suspect& suspect : suspects_)
            for (const std::size_t w : suspect.pulls)
                ++suspects_of[w];
        struct Job {
            double chance, minutes;
        };
        std::vector<Job> jobs;
        jobs.reserve(suspects_.size());
        for (const Suspect& suspect : suspects_) {
            double least = suspect.look_minutes >= 0 ? suspect.look_minutes : std::numeric_limits<double>::infinity();
            for (const std::size_t w : suspect.pulls)
                least = std::min(least, share[w] / suspects_of[w]);
            jobs.push_back({suspect.chance, least});
        }
        std::sort(jobs.begin(), jobs.end(),
                  [](const Job& a, const Job& b) { return a.chance * b.minutes > b.chance * a.minutes; });
        double time = 0, expected = 0;
        for (const Job& job : jobs)
            expected += job.chance * (time += job.minutes);
        return expected;
    }

private:
    std::vector<std::size_t> pulls_to(const model::Seal& seal) {
        std::vector<std::size_t> list;
        for (auto way : suspects::ways_to(map_, seal)) {
            way.erase(std::remove_if(way.begin(), way.end(),
                                     [&](std::size_t p) { return map_.parts[p].kind == model::PartKind::case_; }),
                      way.end());
            if (way.empty()) continue;
            const auto same =
                std::find_if(pulls_.begin(), pulls_.end(), [&](const Pull& pull) { return pull.parts == way; });
            list.push_back(static_cast<std::size_t>(same - pulls_.begin()));
            if (same != pulls_.end()) continue;
            double minutes_of_way = 0;
            for (const std::size_t p : way)
                minutes_of_way += minutes(p);
            pulls_.push_back({std::move(way), minutes_of_way});
        }
        return list;
    }
    [[nodiscard]] double nearest_pull(const Suspect& suspect) const {
        double nearest = std::numeric_limits<double>::infinity();
        for (const std::size_t w : suspect.pulls)
            nearest = std::min(nearest, pulls_[w].minutes);
        return nearest;
    }
    [[nodiscard]] bool reached(const Suspect& suspect, const std::vector<bool>& off) const {
        return std::any_of(suspect.pulls.begin(), suspect.pulls.end(), [&](std::size_t w) {
            const auto& parts = pulls_[w].parts;
            return std::all_of(parts.begin(), parts.end(), [&](std::size_t p) { return off[p]; });
        });
    }

    const model::UnitMap& map_;
    double misses_;
    std::vector<Pull> pulls_;
    std::vector<Suspect> suspects_;
    std::vector<std::size_t> looks_;
};

/// The least expectation over all sets of jobs.
class ExactSearch {
public:
    explicit ExactSearch(const Problem& problem) : problem_(problem), pulls_(problem.pulls().size()) { measure_sets(); }

    std::vector<std::size_t> find() {
        const std::uint32_t sets = 1u << problem_.size();
        expected_.assign(sets, 0);
        next_.assign(sets, nothing);
        for (std::uint32_t set = sets; set-- > 0;)
            best_of(set);
        std::vector<std::size_t> order;
        for (std::uint32_t set = 0; next_[set] != nothing; set |= 1u << next_[set])
            order.push_back(next_[set]);
        return order;
    }

private:
    static constexpr std::uint8_t nothing = 0xff;

    /// For every set of pulls: minutes and number of the parts that are off after it, what it has found, and which
    /// looks it makes needless.
    void measure_sets() {
        const std::uint32_t sets = 1u << pulls_;
        minutes_.assign(sets, 0);
        count_.assign(sets, 0);
        // Parts by the set of pulls that need them; what lies wholly outside a set is what that set leaves on.
        for (std::size_t p = 0; p < problem_.parts(); ++p) {
            std::uint32_t users = 0;
            for (std::size_t w = 0; w < pulls_; ++w) {
                const auto& parts = problem_.pulls()[w].parts;
                if (std::binary_search(parts.begin(), parts.end(), p)) users |= 1u << w;
            }
            if (users == 0) continue;
            minutes_[users] += problem_.minutes(p);
            ++count_[users];
        }
        for (std::size_t w = 0; w < pulls_; ++w) {
            for (std::uint32_t set = 0; set < sets; ++set) {
                if ((set & (1u << w)) == 0) continue;
                minutes_[set] += minutes_[set ^ (1u << w)];
                count_[set] += count_[set ^ (1u << w)];
            }
        }
        const std::uint32_t all = sets - 1;
        std::vector<double> minutes(sets);
        std::vector<int> count(sets);
        for (std::uint32_t set = 0; set < sets; ++set) {
            minutes[set] = minutes_[all] - minutes_[all & ~set];
            count[set] = count_[all] - count_[all & ~set];
        }
        minutes_.swap(minutes);
        count_.swap(count);
        found_.assign(sets, 0);
        needless_.assign(sets, 0);
        const auto& looks = problem_.looks();
        for (std::uint32_t set = 0; set < sets; ++set) {
            for (std::size_t i = 0; i < problem_.suspects().size(); ++i) {
                const auto& suspect = problem_.suspects()[i];
                if (std::none_of(suspect.pulls.begin(), suspect.pulls.end(),
                                 [&](std::size_t w) { return covers(set, w); }))
                    continue;
                found_[set] += suspect.chance;
                const auto look = std::find(looks.begin(), looks.end(), i);
                if (look != looks.end()) needless_[set] |= 1u << static_cast<std::size_t>(look - looks.begin());
            }
        }
    }
    [[nodiscard]] bool covers(std::uint32_t set, std::size_t pull) const {
        return count_[set | (1u << pull)] == count_[set];
    }
    void best_of(std::uint32_t set) {
        const auto& looks = problem_.looks();
        const std::uint32_t off = set & ((1u << pulls_) - 1), looked = set >> pulls_;
        double left = 1 - found_[off];
        for (std::size_t l = 0; l < looks.size(); ++l)
            if ((looked & ~needless_[off] & (1u << l)) != 0)
                left -= problem_.suspects()[looks[l]].chance * (1 - problem_.misses());
        if (left < none_left) return;
        double best = std::numeric_limits<double>::infinity();
        const auto consider = [&](std::size_t job, double minutes) {
            const double expected = left * minutes + expected_[set | (1u << job)];
            // Of equal ones the first stays: an order that does not hang on rounding.
            if (expected >= best - 1e-9) return;
            best = expected;
            next_[set] = static_cast<std::uint8_t>(job);
        };
        for (std::size_t w = 0; w < pulls_; ++w)
            if (!covers(off, w)) consider(w, minutes_[off | (1u << w)] - minutes_[off]);
        for (std::size_t l = 0; l < looks.size(); ++l)
            if (((looked | needless_[off]) & (1u << l)) == 0)
                consider(pulls_ + l, problem_.suspects()[looks[l]].look_minutes);
        if (next_[set] != nothing) expected_[set] = best;
    }

    const Problem& problem_;
    std::size_t pulls_;
    std::vector<double> minutes_, found_; ///< by set of pulls
    std::vector<int> count_;
    std::vector<std::uint32_t> needless_;
    std::vector<double> expected_; ///< by set of all jobs
    std::vector<std::uint8_t> next_;
};

/// By chance over minutes, step after step; what lies on the way of a step comes before it.
class Greedy {
public:
    explicit Greedy(const Problem& problem) : problem_(problem), taken_(problem.size(), false) {}

    std::vector<std::size_t> find() {
        extend(nullptr);
        return std::move(order_);
    }

private:
    /// Goes on until all that lies within the pull is done, or all where there is none.
    void extend(const Pull* within) {
        while (true) {
            std::size_t best = problem_.size();
            double best_rate = 0;
            problem_.carry_out(order_, trial_);
            const std::size_t steps_before = trial_.steps.size();
            for (std::size_t job = 0; job < problem_.size(); ++job) {
                if (taken_[job] || (within != nullptr && !lies_within(job, *within))) continue;
                order_.push_back(job);
                problem_.carry_out(order_, trial_);
                order_.pop_back();
                if (trial_.steps.size() == steps_before) continue;
                const double rate = trial_.steps.back().finds / std::max(trial_.steps.back().minutes, 1e-6);
                if (rate <= best_rate) continue;
                best_rate = rate;
                best = job;
            }
            if (best == problem_.size()) return;
            taken_[best] = true;
            if (best < problem_.pulls().size()) extend(&problem_.pulls()[best]);
            order_.push_back(best);
        }
    }
    [[nodiscard]] bool lies_within(std::size_t job, const Pull& pull) const {
        if (job >= problem_.pulls().size()) return false;
        const auto& parts = problem_.pulls()[job].parts;
        return std::includes(pull.parts.begin(), pull.parts.end(), parts.begin(), parts.end());
    }

    const Problem& problem_;
    std::vector<bool> taken_;
    std::vector<std::size_t> order_;
    SearchOrder trial_;
};

/// The greedy order, then every step moved by up to so many places as long as that helps.
std::vector<std::size_t> good_order(const Problem& problem) {
    constexpr std::size_t farthest = 6, most_rounds = 3;
    std::vector<std::size_t> order = Greedy(problem).find();
    SearchOrder trial;
    problem.carry_out(order, trial);
    double least = trial.expected_minutes;
    bool better = true;
    for (std::size_t round = 0; round < most_rounds && better; ++round) {
        better = false;
        for (std::size_t from = 0; from < order.size(); ++from) {
            for (std::size_t to = from > farthest ? from - farthest : 0;
                 to < std::min(order.size(), from + farthest + 1); ++to) {
                std::vector<std::size_t> moved = order;
                moved.erase(moved.begin() + static_cast<std::ptrdiff_t>(from));
                moved.insert(moved.begin() + static_cast<std::ptrdiff_t>(to), order[from]);
                problem.carry_out(moved, trial);
                if (trial.expected_minutes >= least - 1e-9) continue;
                least = trial.expected_minutes;
                order = std::move(moved);
                better = true;
            }
        }
    }
    return order;
}

} // namespace

SearchOrder search_order(const model::UnitMap& map, const std::vector<double>& chance, double look_misses) {
    SearchOrder answer;
    const Problem problem(map, chance, look_misses, answer);
    answer.exact = problem.size() <= most_exact_steps;
    problem.carry_out(answer.exact ? ExactSearch(problem).find() : good_order(problem), answer);
    answer.at_least_minutes = answer.exact ? answer.expected_minutes : problem.bound();
    return answer;
}

} // namespace ringland::diagnosis::plan
