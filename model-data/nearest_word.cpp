#include <algorithm>
#include <cstddef>
#include <numeric>

#include "map_io.h"

namespace ringland::model {

namespace {

/// Longer words are no slips of the finger, and comparing them costs time.
constexpr std::size_t longest_word = 64;

char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

/// Letters to insert, drop, change or swap with the next to make one word of the other; case counts nothing.
std::size_t edit_distance(std::string_view a, std::string_view b) {
    std::vector<std::size_t> before(b.size() + 1), last(b.size() + 1), row(b.size() + 1);
    std::iota(last.begin(), last.end(), std::size_t{0});
    for (std::size_t i = 1; i <= a.size(); ++i) {
        row[0] = i;
        for (std::size_t j = 1; j <= b.size(); ++j) {
            const bool same = lower(a[i - 1]) == lower(b[j - 1]);
            row[j] = std::min({last[j] + 1, row[j - 1] + 1, last[j - 1] + (same ? 0u : 1u)});
            const bool swapped =
                i > 1 && j > 1 && lower(a[i - 1]) == lower(b[j - 2]) && lower(a[i - 2]) == lower(b[j - 1]);
            if (swapped) row[j] = std::min(row[j], before[j - 2] + 1);
        }
        before.swap(last);
        last.swap(row);
    }
    return last[b.size()];
}

} // namespace

std::string nearest_word(std::string_view typed, const std::vector<std::string>& known) {
    if (typed.empty() || typed.size() > longest_word) return {};
    std::string nearest;
    std::size_t least = 0;
    for (const auto& word : known) {
        if (word.empty() || word.size() > longest_word) continue;
        const std::size_t distance = edit_distance(typed, word);
        // Half of the letters may be wrong in a short word, a third in a long one.
        const std::size_t letters = std::max(typed.size(), word.size());
        const std::size_t allowed = letters <= 4 ? letters / 2 : std::max<std::size_t>(2, letters / 3);
        if (distance > allowed || distance >= letters) continue;
        if (nearest.empty() || distance < least) {
            nearest = word;
            least = distance;
        }
    }
    return nearest;
}

} // namespace ringland::model
