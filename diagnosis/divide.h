// What divides two circuits: the first question of the bench.
//
// Works on the graph of circuits and seals alone. "Directly" means one seal with these two circuits on its two sides.
// The ways round are chains of failed seals through other circuits (never through the sump: air that reaches the open
// case is gone); a flow by design in the right direction costs no failed seal.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "../model-data/texts.h"
#include "../model-data/unit_map.h"

namespace ringland::diagnosis {

/// Where a seal sits in its stack, counted from both ends.
struct StackPosition {
    std::string stack;
    std::string stack_name;
    int count = 0; ///< seals in the stack
    int nth_from_first_end = 0;
    std::string first_end;
    int nth_from_second_end = 0; ///< nth_from_first_end + nth_from_second_end == count + 1
    std::string second_end;
};

/// A seal with the two circuits of the question on its two sides.
struct Divider {
    std::string seal;
    std::string name;
    model::SealKind kind{};
    model::Relation relation{};
    bool one_way = false;   ///< a lip or check ball: lets air by in one direction only when it fails
    bool against_it = true; ///< one_way only: the asked direction is the one that it holds back
    std::optional<StackPosition> position;
};

enum class Direction { asked, reverse };

/// A flow that a healthy unit shows between the two circuits.
struct DesignPassage {
    Direction direction = Direction::asked;
    std::string id;
    std::string reason;
};

/// A chain that also explains air from one circuit in the other.
struct WayRound {
    std::vector<std::string> circuits;  ///< from the asked circuit to the other, both included
    std::vector<std::string> seals;     ///< those that must have failed, in order
    std::vector<std::string> by_design; ///< flows by design that it uses
};

struct PortCircuit {
    std::string port;
    std::string circuit;
};

struct DivideAnswer {
    PortCircuit from, to;
    bool same_circuit = false;
    std::vector<Divider> seals; ///< stack first, then face, shaft, drum; in map order within each
    std::vector<DesignPassage> by_design;
    std::vector<WayRound> ways_round; ///< only where no seal divides them directly: all with the fewest failed seals
    bool ways_round_cut_off = false;  ///< more exist than are listed
};

/// At most this many ways round are listed.
inline constexpr std::size_t most_ways_round = 64;

/// The seals between the circuits of two ports. Ports must exist in the map (programmer's error otherwise).
[[nodiscard]] DivideAnswer divide(const model::UnitMap& map, const std::string& from_port, const std::string& to_port);

/// The same for two circuit ids.
[[nodiscard]] DivideAnswer divide_circuits(const model::UnitMap& map, const std::string& from, const std::string& to);

/// Position of a seal in its stack, or nothing for a seal of another relation.
[[nodiscard]] std::optional<StackPosition> stack_position(const model::UnitMap& map, const model::Seal& seal);

/// "Ring 3 of 5 on the input shaft", or for a seal outside a stack its name and kind.
[[nodiscard]] std::string headline(const model::UnitMap& map, const Divider& divider, const model::Translator& tr = {});
/// "3rd from the pump end · 3rd from the drum end"; empty for a seal outside a stack.
/// Name of a seal, or its id and kind: "R3 ring".
[[nodiscard]] std::string seal_title(const model::Seal& seal, const model::Translator& tr = {});
[[nodiscard]] std::string both_ends(const StackPosition& position);
/// "3rd", "21st", "112th".
[[nodiscard]] std::string ordinal(int n);

/// The answer as JSON with the field names that docs/command-line.md lists.
[[nodiscard]] std::string to_json(const model::UnitMap& map, const DivideAnswer& answer);

} // namespace ringland::diagnosis
