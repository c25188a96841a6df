// Faults of one map while it is read: where each key stands, and what has been complained about already.
//
// The checks run on the finished map, so that a map made by the program meets the same rules as one from a file; this
// is what lets them still point at the exact line and column. A path is "seal/3/between/1".
#pragma once

#include <map>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "fault.h"
#include "unit_map.h"

namespace ringland::model {

/// Words joined as "a, b or c".
[[nodiscard]] Phrase either(const std::vector<std::string>& words);
[[nodiscard]] Phrase either(const std::vector<Phrase>& words);

/// A text of the file in quotes as a sentence may hold it: short, and on one line.
[[nodiscard]] std::string shown(std::string_view text);

/// Path of a thing in its list, and of a key in that thing.
[[nodiscard]] std::string path_of(std::string_view list, std::size_t index);
[[nodiscard]] std::string path_of(std::string_view list, std::size_t index, std::string_view key);

class FaultBook {
public:
    explicit FaultBook(std::string file) : file_(std::move(file)) {}

    /// Remembers where a key or value stands.
    void place(const std::string& path, SourceSpot spot) { spots_[path] = spot; }
    /// True when the file has that key.
    [[nodiscard]] bool stands(const std::string& path) const { return spots_.count(path) != 0; }
    /// The spot of a path or of the nearest one above it; `otherwise` where the file has neither.
    [[nodiscard]] SourceSpot spot(const std::string& path, SourceSpot otherwise = {}) const;

    void error(SourceSpot at, Phrase what, Phrase right);
    void warning(SourceSpot at, Phrase what, Phrase right);
    /// An error at a path, which then counts as spoilt. Nothing is said twice about one path or what lies under it.
    void error(const std::string& path, SourceSpot otherwise, Phrase what, Phrase right);
    void spoil(const std::string& path) { spoilt_.insert(path); }
    /// True when the path or one above it has been complained about.
    [[nodiscard]] bool spoilt(const std::string& path) const;
    /// True when so much is wrong that no more is written down.
    [[nodiscard]] bool full() const { return faults_.size() >= most_; }

    /// All faults in the order of the file. The book is empty afterwards.
    [[nodiscard]] std::vector<Fault> take();

private:
    static constexpr std::size_t most_ = 500;
    void add(SourceSpot at, Severity severity, Phrase what, Phrase right);

    std::string file_;
    std::map<std::string, SourceSpot> spots_;
    std::set<std::string> spoilt_;
    std::vector<Fault> faults_;
    std::size_t left_out_ = 0;
};

/// Fills in what the author left open: ids, circuits named only in a row, the sump, seals of stacks, references by
/// name.
struct StackShort;
void complete(UnitMap& map, const std::vector<StackShort>& stack_shorts, FaultBook& book);

/// The part of check_map that looks at each key by itself.
void check_fields(const UnitMap& map, FaultBook& book);

/// The checks of validate(), with faults at the places of the file.
void check_map(const UnitMap& map, FaultBook& book);

} // namespace ringland::model
