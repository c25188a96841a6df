// Taken apart along the axis: how far every shape moves, in the order in which the parts come off. No OpenGL.
//
// The case stays where it is. What comes out of its front stands in a row before it, the first part off farthest away;
// what comes out of its back stands behind it. A drum has its pistons and packs beside it on the side on which they go
// in, and the rings of a stack stand free beyond the end of the shaft over which they come off.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "../../model-data/layout.h"
#include "../../model-data/shapes.h"

namespace ringland::viewer {

/// How one thing moves.
struct Move {
    double way_mm = 0; ///< along x when all is apart
    double begin = 0;  ///< share of the whole at which it sets out
    friend bool operator==(const Move&, const Move&) = default;
};

/// Millimetres that a thing has moved when the unit is so far apart, 0 to 1.
[[nodiscard]] double moved_mm(const Move& move, double apart);

/// A round about a line along x that holds a body: for framing.
struct Hull {
    double x0 = 0, x1 = 0, y = 0, z = 0, radius = 0;
    Move move;
};

struct Explosion {
    std::vector<Move> shapes;           ///< in the order of the shapes
    std::vector<char> spans;            ///< 1: runs from part to part (a drilling), so it is only there in one piece
    std::map<std::string, Move> seals;  ///< by id
    std::map<std::string, Move> parts;  ///< by id; those of the case are left out
    std::map<std::string, Move> stacks; ///< what carries the rings, by id of the stack
    std::vector<std::string> order;     ///< parts in the order in which they come off, the first one first
    std::vector<Hull> hulls;            ///< of everything that moves
};

/// How far a thing of a list has moved; what is not in it stays.
[[nodiscard]] double shift_mm(const std::map<std::string, Move>& list, const std::string& id, double apart);

/// Up to here the drillings fade, and beyond they are gone.
inline constexpr double drillings_fade_until = 0.1;

[[nodiscard]] Explosion plan_explosion(const model::UnitMap& map, const model::Layout& layout,
                                       const std::vector<model::Shape>& shapes);

} // namespace ringland::viewer
