// What is wrong with many cases: all are counted, the first are kept in words. A doctest assertion for each of a
// million figures would take longer than what it asserts, and print a book when a law is broken.
#pragma once

#include <string>
#include <utility>

namespace ringland::tests {

class Complaints {
public:
    void add(std::string complaint) {
        if (++count_ <= 10) first_ += "\n" + std::move(complaint);
    }
    /// Complains unless it holds. `words` makes the complaint and is not called otherwise.
    template <class Words> void unless(bool holds, const Words& words) {
        ++looked_at_;
        if (holds) return;
        if (count_ < 10)
            add(words());
        else
            ++count_;
    }
    [[nodiscard]] long count() const { return count_; }
    [[nodiscard]] long looked_at() const { return looked_at_; }
    [[nodiscard]] const std::string& first() const { return first_; }

private:
    long count_ = 0, looked_at_ = 0;
    std::string first_;
};

} // namespace ringland::tests
