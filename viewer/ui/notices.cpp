#include "notices.h"

#include <algorithm>
#include <utility>

namespace ringland::viewer {

double reading_time_s(const std::string& words) {
    return std::clamp(3.0 + 0.09 * static_cast<double>(words.size()), 5.0, 15.0);
}

void Notices::add(std::string words, std::string action) {
    if (words.empty()) return;
    list_.erase(std::remove_if(list_.begin(), list_.end(), [&](const Notice& n) { return n.words == words; }),
                list_.end());
    list_.push_back({std::move(words), std::move(action), -1});
    if (list_.size() > most) list_.erase(list_.begin());
}

void Notices::pass(double now_s) {
    list_.erase(std::remove_if(list_.begin(), list_.end(),
                               [&](const Notice& n) { return n.until_s >= 0 && n.until_s <= now_s; }),
                list_.end());
    for (Notice& notice : list_) {
        if (notice.until_s < 0) notice.until_s = now_s + reading_time_s(notice.words);
    }
}

void Notices::drop(std::size_t i) {
    if (i < list_.size()) list_.erase(list_.begin() + static_cast<std::ptrdiff_t>(i));
}

double Notices::next_change_s() const {
    double least = std::numeric_limits<double>::infinity();
    for (const Notice& notice : list_)
        least = std::min(least, std::max(notice.until_s, 0.0));
    return least;
}

} // namespace ringland::viewer
