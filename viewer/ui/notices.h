// Notices: what the program has to say, for a while, without being in the way. Three at most; the oldest leaves first.
#pragma once

#include <cstddef>
#include <limits>
#include <string>
#include <vector>

namespace ringland::viewer {

struct Notice {
    std::string words;
    std::string action;  ///< id of what may be wanted now, or empty
    double until_s = -1; ///< below 0: its time begins with the next frame
};

class Notices {
public:
    static constexpr std::size_t most = 3;

    /// The same words again begin their time anew.
    void add(std::string words, std::string action = {});
    /// Lets go of those whose time is over; call it once a frame.
    void pass(double now_s);
    void drop(std::size_t i);
    void clear() { list_.clear(); }
    [[nodiscard]] const std::vector<Notice>& list() const { return list_; }
    /// When the next one leaves by itself; infinity where there is none.
    [[nodiscard]] double next_change_s() const;

private:
    std::vector<Notice> list_;
};

/// Long enough to be read twice.
[[nodiscard]] double reading_time_s(const std::string& words);

} // namespace ringland::viewer
