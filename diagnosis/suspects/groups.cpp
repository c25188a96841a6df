#include "groups.h"

#include <algorithm>
#include <optional>
#include <set>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace ringland::diagnosis::suspects {

namespace {

std::optional<std::size_t> index_of(const model::UnitMap& map, const std::string& part) {
    const auto found = std::find_if(map.parts.begin(), map.parts.end(), [&](const auto& p) { return p.id == part; });
    if (found == map.parts.end()) return {};
    return static_cast<std::size_t>(found - map.parts.begin());
}

void take_off(const model::UnitMap& map, std::size_t part, std::set<std::size_t>& off) {
    if (!off.insert(part).second) return;
    for (const auto& before : map.parts[part].after) {
        if (const auto index = index_of(map, before)) take_off(map, *index, off);
    }
}

/// Parts that come off for a seal: the part with which it is renewed, where one is named and the least of several; else
/// the part that it sits on.
std::set<std::size_t> parts_for(const model::UnitMap& map, const model::Seal& seal) {
    std::set<std::size_t> best;
    for (std::size_t p = 0; p < map.parts.size(); ++p) {
        const auto& renew = map.parts[p].renew;
        if (std::find(renew.begin(), renew.end(), seal.id) == renew.end()) continue;
        std::set<std::size_t> off;
        take_off(map, p, off);
        if (best.empty() || off.size() < best.size()) best = std::move(off);
    }
    if (!best.empty()) return best;
    std::string at = seal.at;
    if (const auto* stack = model::find(map.stacks, seal.stack); at.empty() && stack) at = stack->on;
    if (const auto part = index_of(map, at)) take_off(map, *part, best);
    return best;
}

std::string part_name(const model::Part& part) { return part.name.empty() ? part.id : part.name; }

} // namespace

std::vector<PullGroup> pull_groups(const model::UnitMap& map) {
    std::vector<PullGroup> groups;
    for (std::size_t s = 0; s < map.seals.size(); ++s) {
        const auto off = parts_for(map, map.seals[s]);
        std::vector<std::size_t> parts(off.begin(), off.end());
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

std::string group_words(const model::UnitMap& map, const PullGroup& group) {
    if (group.parts.empty()) return model::seal_name(map, map.seals[group.seals.front()]);
    // The last to come off is the one that no other of them waits for.
    std::vector<std::string> last, before;
    for (const std::size_t p : group.parts) {
        const bool waited_for = std::any_of(group.parts.begin(), group.parts.end(), [&](std::size_t other) {
            const auto& after = map.parts[other].after;
            return std::find(after.begin(), after.end(), map.parts[p].id) != after.end();
        });
        (waited_for ? before : last).push_back(part_name(map.parts[p]));
    }
    std::string words = fmt::format("{}", fmt::join(last, ", "));
    if (!before.empty()) words += fmt::format("; before it: {}", fmt::join(before, ", "));
    return words;
}

} // namespace ringland::diagnosis::suspects
