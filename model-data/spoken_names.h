// What a person calls a port or a seal, found in the map. Private to model-data.
#pragma once

#include <functional>
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "field_checks.h"
#include "unit_map.h"

namespace ringland::model {

/// Letters of ASCII made small.
[[nodiscard]] std::string lower_case(std::string_view text);

/// Ports by id, label, or name or tag of their circuit, seals by id or name: the first of these that fits counts.
/// Letters of ASCII may be large or small; an id that is written exactly as the map has it goes before all else.
class SpokenNames {
public:
    explicit SpokenNames(const UnitMap& map);

    /// The id of what is meant; empty where that is nothing, or more than one thing.
    [[nodiscard]] std::string port(std::string_view typed) const;
    /// A port, or `open_case` for the open case, which is also the sump.
    [[nodiscard]] std::string port_or_case(std::string_view typed) const;
    [[nodiscard]] std::string seal(std::string_view typed) const;
    /// A range, by id or name.
    [[nodiscard]] std::string range(std::string_view typed) const;

    /// Why a word is no id of a port or seal. Takes its time to look for what is near.
    [[nodiscard]] FieldComplaint complaint_about_port(std::string_view typed) const;
    [[nodiscard]] FieldComplaint complaint_about_seal(std::string_view typed) const;
    [[nodiscard]] FieldComplaint complaint_about_range(std::string_view typed) const;

private:
    /// Words of one sort, each with the ids of what it may mean, in the order of the map.
    using Sort = std::map<std::string, std::vector<std::string>, std::less<>>;
    struct Names {
        std::string_view word;          ///< for sentences
        std::vector<Sort> sorts;        ///< the best first; the first one is exact
        std::vector<std::string> shown; ///< how each is told to a person who asks for what is not there
        std::vector<std::string> words; ///< all, as the map writes them
    };
    /// What the word means in the best sort that has it; none where no sort has.
    [[nodiscard]] static const std::vector<std::string>* look_up(const Names& names, std::string_view typed);
    [[nodiscard]] static std::string only(const std::vector<std::string>* ids);
    [[nodiscard]] static FieldComplaint complaint(const Names& names, std::string_view typed);

    Names ports_, seals_, ranges_;
    std::vector<std::string> sump_words_;
    Sort without_port_; ///< names of circuits that no port leads into
};

} // namespace ringland::model
