#include "groups.h"

#include <algorithm>
#include <set>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "../divide.h"

namespace ringland::diagnosis::suspects {

namespace {

void take_off(const model::UnitMap& map, std::size_t part, std::set<std::size_t>& off) {
    if (!off.insert(part).second) return;
    for (const auto& before : map.parts[part].after) {
        const std::size_t index = index_of(map.parts, before);
        if (index < map.parts.size()) take_off(map, index, off);
    }
}

double minutes_of(const model::UnitMap& map, const std::vector<std::size_t>& parts) {
    double minutes = 0;
    for (const std::size_t p : parts)
        minutes += map.parts[p].minutes.value_or(untimed_minutes);
    return minutes;
}

std::string part_name(const model::Part& part) { return part.name.empty() ? part.id : part.name; }

} // namespace

std::vector<std::vector<std::size_t>> ways_to(const model::UnitMap& map, const model::Seal& seal) {
    std::vector<std::vector<std::size_t>> ways;
    const auto add = [&](std::size_t part) {
        std::set<std::size_t> off;
        take_off(map, part, off);
        ways.emplace_back(off.begin(), off.end());
    };
    for (std::size_t p = 0; p < map.parts.size(); ++p) {
        const auto& renew = map.parts[p].renew;
        if (std::find(renew.begin(), renew.end(), seal.id) != renew.end()) add(p);
    }
    if (ways.empty()) {
        std::string at = seal.at;
        if (const auto* stack = model::find(map.stacks, seal.stack); at.empty() && stack) at = stack->on;
        const std::size_t part = index_of(map.parts, at);
        if (part < map.parts.size()) add(part);
    }
    std::stable_sort(ways.begin(), ways.end(), [&](const auto& a, const auto& b) {
        const double minutes_a = minutes_of(map, a), minutes_b = minutes_of(map, b);
        return minutes_a != minutes_b ? minutes_a < minutes_b : a.size() < b.size();
    });
    return ways;
}

std::vector<PullGroup> pull_groups(const model::UnitMap& map) {
    std::vector<PullGroup> groups;
    for (std::size_t s = 0; s < map.seals.size(); ++s) {
        auto ways = ways_to(map, map.seals[s]);
        std::vector<std::size_t> parts = ways.empty() ? std::vector<std::size_t>() : std::move(ways.front());
        const auto same = std::find_if(groups.begin(), groups.end(),
                                       [&](const PullGroup& g) { return !parts.empty() && g.parts == parts; });
        if (same != groups.end()) {
            same->seals.push_back(s);
            continue;
        }
        PullGroup group{std::move(parts), {s}, 0};
        for (const std::size_t p : group.parts)
            group.minutes += map.parts[p].minutes.value_or(0);
        groups.push_back(std::move(group));
    }
    return groups;
}

std::string group_words(const model::UnitMap& map, const PullGroup& group, const model::Translator& tr) {
    if (group.parts.empty()) return seal_title(map.seals[group.seals.front()], tr);
    // The last to come off is the one that no other of them waits for.
    std::vector<std::string> last, before;
    for (const std::size_t p : group.parts) {
        const bool waited_for = std::any_of(group.parts.begin(), group.parts.end(), [&](std::size_t other) {
            const auto& after = map.parts[other].after;
            return std::find(after.begin(), after.end(), map.parts[p].id) != after.end();
        });
        (waited_for ? before : last).push_back(tr.map_word(part_name(map.parts[p])));
    }
    std::string words = fmt::format("{}", fmt::join(last, ", "));
    if (!before.empty())
        words = model::filled(tr("{0}; before it: {1}"), words, fmt::format("{}", fmt::join(before, ", ")));
    return words;
}

} // namespace ringland::diagnosis::suspects
