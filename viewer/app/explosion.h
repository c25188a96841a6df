// Taken apart along the axis: how far every shape moves, in the order in which the parts come off. No OpenGL.
//
// The case stays where it is. What comes out of its front stands in a row before it, the first part off farthest away;
// what comes out of its back stands behind it. A drum has its pistons and packs beside it on the side on which they go
// in, and the rings of a stack stand free beyond the end of the shaft over which they come off.
#pragma once

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "../../model-data/layout.h"
#include "../../model-data/shapes.h"

namespace ringland::viewer {

/// How one thing moves.
struct Move {
    double way_mm = 0; ///< along x when all is apart
    double begin = 0;  ///< share of the whole at which it sets out
    // Part after part: what it goes along with first, and what then makes it leave that.
    double carried_mm = 0; ///< of the way, with the part that it sits in or is
    int carrier = -1;      ///< that part, by its place in Explosion::order; -1: never comes off
    int own = -1;          ///< the part or ring that leaves it, by its place in Explosion::order and then ::rings
    friend bool operator==(const Move&, const Move&) = default;
};

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
    std::vector<std::string> rings;     ///< that come off their stack
    std::vector<Hull> hulls;            ///< of everything that moves
    double front = 0, back = 0;         ///< the ends of the case along x
};

/// How far apart the unit is: all of it by one share, or part after part.
class Apartness {
public:
    /// Together.
    Apartness() = default;
    /// Everything by a share, 0 together, 1 all free.
    static Apartness of_all(double share);
    /// The parts come off one after the other, and then these rings together; `done` counts steps, 1.5: the first is
    /// off, the second on half its way. They stand in a row before the case, close to one another, the first one off
    /// farthest away.
    static Apartness of_steps(const Explosion& explosion, const std::vector<std::string>& parts,
                              const std::vector<std::string>& rings, double done);

    [[nodiscard]] bool any() const { return share_ > 0; }
    /// 0 together to 1: for what fades or turns as the unit comes apart.
    [[nodiscard]] double share() const { return share_; }
    /// Along x.
    [[nodiscard]] double moved_mm(const Move& move) const;
    /// How far a thing of a list has moved; what is not in it stays.
    [[nodiscard]] double shift_mm(const std::map<std::string, Move>& list, std::string_view id) const;
    /// Whether a part of Explosion::order is on its way or off; where all move at once, all are.
    [[nodiscard]] bool leaves(std::size_t place) const { return gone_.empty() ? any() : gone_[place] > 0; }

private:
    void line_up(const Explosion& explosion, const std::vector<std::string>& parts,
                 const std::vector<std::string>& rings);
    double share_ = 0;
    std::vector<double> gone_;    ///< by place in order and then rings; empty: all move at once
    std::vector<double> carried_; ///< by place in order: the way to its place in the row
};

/// Up to here the drillings fade, and beyond they are gone.
inline constexpr double drillings_fade_until = 0.1;

[[nodiscard]] Explosion plan_explosion(const model::UnitMap& map, const model::Layout& layout,
                                       const std::vector<model::Shape>& shapes);

} // namespace ringland::viewer
