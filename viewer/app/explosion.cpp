#include "explosion.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>

#include "space_box.h"

namespace ringland::viewer {

namespace {

using model::PartKind;
using model::SubjectKind;

constexpr double gap_mm = 16, row_gap_mm = 34; // in a row of one part, and from part to part
constexpr double step_gap_mm = 46;             // from part to part where they come off step by step
/// The last part to come off sets out when the first one has gone so much of its way.
constexpr double last_begins = 0.3;

SpaceBox box_of(const model::Mesh& mesh) {
    SpaceBox box;
    for (const auto& p : mesh.positions)
        box.add(p);
    return box;
}

/// What moves as one piece.
struct Body {
    std::string key;
    double x0 = std::numeric_limits<double>::max(), x1 = std::numeric_limits<double>::lowest();
    double along = 0;   ///< the way it goes
    double carried = 0; ///< of that, with its cluster
    int rank = -1;      ///< of its cluster
    SpaceBox box;
    void add(const SpaceBox& more) {
        box.add(more);
        x0 = box.low.x;
        x1 = box.high.x;
    }
};

/// A part with what comes out of it, as a row along x: `ahead` from the nearest to the farthest towards the engine,
/// `behind` likewise towards the tail.
struct Cluster {
    std::size_t host = 0;
    std::vector<std::size_t> ahead, behind;
    int line = 1, rank = 0;
    bool to_front = true;
    double x0 = 0, x1 = 0; ///< of the row, the host where it was
};

bool stays_with_case(PartKind kind) {
    switch (kind) {
    case PartKind::case_:
    case PartKind::test_plate:
    case PartKind::valve_body:
    case PartKind::pan:
    case PartKind::servo:
    case PartKind::accumulator:
        return true;
    default:
        return false;
    }
}

class Planner {
public:
    Planner(const model::UnitMap& map, const model::Layout& layout, const std::vector<model::Shape>& shapes)
        : map_(map), layout_(layout), shapes_(shapes), body_of_shape_(shapes.size(), none) {}

    Explosion plan() {
        out_.front = layout_.housing.x0;
        out_.back = layout_.housing.x1;
        out_.shapes.resize(shapes_.size());
        out_.spans.assign(shapes_.size(), 0);
        rank_parts();
        for (std::size_t s = 0; s < shapes_.size(); ++s)
            take(s);
        make_clusters();
        for (auto& cluster : clusters_)
            spread(cluster);
        for (int line : lines_) {
            line_up(line, true);
            line_up(line, false);
        }
        tell();
        return std::move(out_);
    }

private:
    static constexpr std::size_t none = std::numeric_limits<std::size_t>::max();

    /// Parts in the order in which they come off: the author's order, `after` first of all.
    void rank_parts() {
        std::set<std::string> off;
        while (out_.order.size() < map_.parts.size()) {
            const auto may = std::find_if(map_.parts.begin(), map_.parts.end(), [&](const model::Part& part) {
                return off.count(part.id) == 0 && std::all_of(part.after.begin(), part.after.end(), [&](const auto& a) {
                           return off.count(a) > 0 || model::find(map_.parts, a) == nullptr;
                       });
            });
            const auto& next = may != map_.parts.end()
                                   ? *may
                                   : *std::find_if(map_.parts.begin(), map_.parts.end(), [&](const auto& p) {
                                         return off.count(p.id) == 0; // a ring of `after`: the map's order decides
                                     });
            off.insert(next.id);
            out_.order.push_back(next.id);
        }
    }
    [[nodiscard]] int rank_of(const std::string& part) const {
        const auto at = std::find(out_.order.begin(), out_.order.end(), part);
        return static_cast<int>(at - out_.order.begin());
    }

    std::size_t body(const std::string& key) {
        for (std::size_t b = 0; b < bodies_.size(); ++b) {
            if (bodies_[b].key == key) return b;
        }
        bodies_.emplace_back().key = key;
        return bodies_.size() - 1;
    }

    [[nodiscard]] bool of_case(const std::string& part) const {
        const auto* found = model::find(map_.parts, part);
        return found != nullptr ? stays_with_case(found->kind) : part.empty();
    }

    /// "LOW piston" and "LOW friction plates" move apart from their drum; anything else with its part. Empty: the case.
    [[nodiscard]] std::string key_of(const model::Shape& shape) const {
        for (std::size_t c = 0; c < layout_.clutches.size(); ++c) {
            const std::string base = clutch_base(c);
            if (shape.name.rfind(base + " ", 0) != 0) continue;
            const auto what = [&](std::string_view word) {
                return shape.name.find(word, base.size()) != std::string::npos;
            };
            if (what("piston")) return base + " piston";
            if (what("plate") || what("pack")) return base + " pack";
            if (what("spring") || what("snap ring")) return base + " spring";
        }
        if (shape.subject.kind == SubjectKind::part) return of_case(shape.subject.id) ? "" : shape.subject.id;
        // A part that the map does not name; whatever else has no name belongs to the case.
        const bool implied = shape.name.rfind("drum", 0) == 0 || shape.name.rfind("shaft", 0) == 0 ||
                             shape.name.rfind("support", 0) == 0;
        return implied ? shape.name : "";
    }

    [[nodiscard]] std::string carrier_of(const model::StackPlace& place) const {
        const auto* stack = model::find(map_.stacks, place.stack);
        if (stack != nullptr && model::find(map_.parts, stack->on) != nullptr) return stack->on;
        return place.carrier_rotates ? "shaft" : "support";
    }
    [[nodiscard]] static std::string drum_key(const model::DrumPlace& drum) {
        return drum.part.empty() ? "drum" : drum.part;
    }
    [[nodiscard]] std::string clutch_base(std::size_t index) const {
        const auto& clutch = layout_.clutches[index];
        return clutch.element.empty() ? "clutch " + std::to_string(index) : clutch.element;
    }

    /// Which body holds a place inside: the piston of a clutch, or a part.
    [[nodiscard]] std::string holder_of(const model::SealPlace& place, const model::Seal& seal) const {
        if (place.ring_radius > 0) {
            for (std::size_t c = 0; c < layout_.clutches.size(); ++c) {
                const auto& clutch = layout_.clutches[c];
                const double low = std::min(clutch.chamber_x0, clutch.piston_x1),
                             high = std::max(clutch.chamber_x1, clutch.piston_x1);
                if (std::abs(place.ring_centre.y - clutch.axis.y) + std::abs(place.ring_centre.z - clutch.axis.z) > 1)
                    continue;
                if (place.ring_centre.x > low - 0.5 && place.ring_centre.x < high + 0.5)
                    return clutch_base(c) + " piston";
            }
        }
        return of_case(seal.at) ? "" : seal.at;
    }

    void take(std::size_t s) {
        const auto& shape = shapes_[s];
        const SpaceBox box = box_of(shape.mesh);
        if (box.empty()) return;
        std::string key;
        switch (shape.subject.kind) {
        case SubjectKind::port:
            return;
        case SubjectKind::seal: {
            const auto* seal = model::find(map_.seals, shape.subject.id);
            if (seal == nullptr) return;
            if (seal->relation == model::Relation::stack) {
                key = "ring " + seal->id;
                break;
            }
            const auto place = std::find_if(layout_.seals.begin(), layout_.seals.end(),
                                            [&](const auto& p) { return p.seal == seal->id; });
            if (place != layout_.seals.end()) key = holder_of(*place, *seal);
            follow(s, key);
            return;
        }
        case SubjectKind::circuit:
            take_circuit(s, box);
            return;
        case SubjectKind::part:
        case SubjectKind::none:
            key = key_of(shape);
            break;
        }
        if (key.empty()) return;
        const std::size_t b = body(key);
        bodies_[b].add(box);
        body_of_shape_[s] = b;
        line_of_body_.resize(bodies_.size(), 1);
        const auto* part = model::find(map_.parts, shape.subject.id);
        if (part != nullptr) line_of_body_[b] = std::max(1, part->line);
    }

    /// The oil in a groove goes with the shaft, that in a chamber with the drum.
    void take_circuit(std::size_t s, const SpaceBox& box) {
        const auto inside = [](double a, double b, double low, double high) { return a > low - 1 && b < high + 1; };
        for (const auto& stack : layout_.stacks) {
            if (inside(box.low.x, box.high.x, stack.x0, stack.x1) &&
                box.high.z - stack.axis.z < stack.bore_radius + 1 && stack.axis.z - box.low.z < stack.bore_radius + 1)
                return follow(s, carrier_of(stack));
        }
        for (const auto& clutch : layout_.clutches) {
            if (!inside(box.low.x, box.high.x, clutch.chamber_x0, clutch.chamber_x1)) continue;
            if (clutch.drum_index < 0) return;
            return follow(s, drum_key(layout_.drums[static_cast<std::size_t>(clutch.drum_index)]));
        }
        for (const auto& servo : layout_.servos) {
            if (std::abs((box.low.x + box.high.x) / 2 - servo.inner.x) < 1 &&
                box.high.x - box.low.x < 2.5 * servo.radius)
                return;
        }
        out_.spans[s] = 1;
    }
    /// Moves as a body does without making it longer.
    void follow(std::size_t s, const std::string& key) {
        if (!key.empty()) followers_.emplace_back(s, key);
    }

    [[nodiscard]] std::size_t known(const std::string& key) const {
        for (std::size_t b = 0; b < bodies_.size(); ++b) {
            if (bodies_[b].key == key) return b;
        }
        return none;
    }

    [[nodiscard]] double middle(std::size_t b) const { return (bodies_[b].x0 + bodies_[b].x1) / 2; }

    /// A part comes out on the side of the first part that must be off before it, and that on the side where it is.
    [[nodiscard]] bool goes_to_front(const std::string& key, int depth = 0) const {
        const auto* part = model::find(map_.parts, key);
        if (part != nullptr && depth < 40) {
            for (const auto& before : part->after) {
                if (!of_case(before) && model::find(map_.parts, before) != nullptr)
                    return goes_to_front(before, depth + 1);
            }
        }
        const std::size_t b = known(key);
        return b == none || middle(b) < (layout_.housing.x0 + layout_.housing.x1) / 2;
    }

    void make_clusters() {
        line_of_body_.resize(bodies_.size(), 1);
        std::set<std::size_t> beside;
        const auto put = [&](Cluster& cluster, const std::string& key, bool ahead) {
            const std::size_t b = known(key);
            if (b == none || b == cluster.host || !beside.insert(b).second) return;
            (ahead ? cluster.ahead : cluster.behind).push_back(b);
        };
        std::vector<Cluster> made;
        // Packs and pistons first, so that they do not become rows of their own.
        const auto add_clutches = [&](Cluster& cluster, int drum_index) {
            for (std::size_t c = 0; c < layout_.clutches.size(); ++c) {
                const auto& clutch = layout_.clutches[c];
                if (clutch.drum_index != drum_index) continue;
                for (const auto* what : {" piston", " spring", " pack"})
                    put(cluster, clutch_base(c) + what, !clutch.towards_tail);
            }
        };
        for (std::size_t d = 0; d < layout_.drums.size(); ++d) {
            const std::size_t host = known(drum_key(layout_.drums[d]));
            if (host == none) continue;
            Cluster cluster;
            cluster.host = host;
            add_clutches(cluster, static_cast<int>(d));
            made.push_back(std::move(cluster));
        }
        for (std::size_t c = 0; c < layout_.clutches.size(); ++c) { // in the case itself
            const auto& clutch = layout_.clutches[c];
            const std::size_t host = known(clutch_base(c) + " piston");
            if (clutch.drum_index >= 0 || host == none || beside.count(host) > 0) continue;
            Cluster cluster;
            cluster.host = host;
            for (const auto* what : {" spring", " pack"})
                put(cluster, clutch_base(c) + what, !clutch.towards_tail);
            made.push_back(std::move(cluster));
        }
        const auto cluster_of = [&](std::size_t b) -> Cluster& {
            const auto found = std::find_if(made.begin(), made.end(), [&](const Cluster& c) { return c.host == b; });
            if (found != made.end()) return *found;
            made.emplace_back().host = b;
            return made.back();
        };
        for (const auto& stack : layout_.stacks) {
            const std::size_t carrier = known(carrier_of(stack));
            auto rings = stack.rings;
            std::sort(rings.begin(), rings.end(), [](const auto& a, const auto& b) { return a.x < b.x; });
            const bool ahead = carrier == none || stack.x0 - bodies_[carrier].x0 <= bodies_[carrier].x1 - stack.x1;
            if (!ahead) std::reverse(rings.begin(), rings.end());
            // Nearest first: the ring that is farthest from the end comes off last.
            std::reverse(rings.begin(), rings.end());
            for (const auto& ring : rings) {
                const std::size_t b = known("ring " + ring.seal);
                if (b == none) continue;
                ring_gap_[b] = std::max(8.0, 0.5 * stack.bore_radius);
                if (carrier == none) {
                    beside.insert(b);
                    continue;
                }
                put(cluster_of(carrier), bodies_[b].key, ahead);
            }
        }
        for (std::size_t b = 0; b < bodies_.size(); ++b) {
            if (beside.count(b) == 0) static_cast<void>(cluster_of(b));
        }
        for (auto& cluster : made) {
            if (beside.count(cluster.host) > 0) continue;
            const std::string& key = bodies_[cluster.host].key;
            cluster.line = line_of_body_[cluster.host];
            cluster.rank = rank_of(key);
            if (model::find(map_.parts, key) == nullptr) {
                for (const auto s : shapes_of(cluster.host)) {
                    const auto& subject = shapes_[s].subject;
                    if (subject.kind == SubjectKind::part && !of_case(subject.id)) cluster.rank = rank_of(subject.id);
                }
            }
            std::string part = key;
            for (const auto s : shapes_of(cluster.host)) {
                const auto& subject = shapes_[s].subject;
                if (subject.kind == SubjectKind::part && !of_case(subject.id)) part = subject.id;
            }
            cluster.to_front = goes_to_front(part);
            clusters_.push_back(cluster);
            if (std::find(lines_.begin(), lines_.end(), cluster.line) == lines_.end()) lines_.push_back(cluster.line);
        }
    }
    [[nodiscard]] std::vector<std::size_t> shapes_of(std::size_t b) const {
        std::vector<std::size_t> found;
        for (std::size_t s = 0; s < body_of_shape_.size(); ++s) {
            if (body_of_shape_[s] == b) found.push_back(s);
        }
        return found;
    }

    [[nodiscard]] double gap_of(std::size_t b) const {
        const auto ring = ring_gap_.find(b);
        return ring == ring_gap_.end() ? gap_mm : ring->second;
    }

    void spread(Cluster& cluster) {
        const Body& host = bodies_[cluster.host];
        cluster.x0 = host.x0;
        cluster.x1 = host.x1;
        for (const auto b : cluster.ahead) {
            auto& moved = bodies_[b];
            moved.along = std::min(0.0, cluster.x0 - gap_of(b) - moved.x1);
            cluster.x0 = moved.x0 + moved.along;
        }
        for (const auto b : cluster.behind) {
            auto& moved = bodies_[b];
            moved.along = std::max(0.0, cluster.x1 + gap_of(b) - moved.x0);
            cluster.x1 = moved.x1 + moved.along;
        }
    }

    /// Rows of one shaft line that leave the case on one side, the last one off nearest to it.
    void line_up(int line, bool front) {
        std::vector<Cluster*> row;
        for (auto& cluster : clusters_) {
            if (cluster.line == line && cluster.to_front == front) row.push_back(&cluster);
        }
        std::stable_sort(row.begin(), row.end(), [&](const Cluster* a, const Cluster* b) {
            if (a->rank != b->rank) return a->rank > b->rank;
            return front ? middle(a->host) > middle(b->host) : middle(a->host) < middle(b->host);
        });
        // Rings at the end of a row would hide behind the drum beside them.
        const auto gap_beside = [&](const std::vector<std::size_t>& list) {
            return !list.empty() && ring_gap_.count(list.back()) > 0 ? 2 * row_gap_mm : row_gap_mm;
        };
        double next = front ? layout_.housing.x0 : layout_.housing.x1, gap = row_gap_mm;
        for (auto* cluster : row) {
            const double inner = std::max(gap, gap_beside(front ? cluster->behind : cluster->ahead));
            const double by =
                front ? std::min(0.0, next - inner - cluster->x1) : std::max(0.0, next + inner - cluster->x0);
            next = front ? cluster->x0 + by : cluster->x1 + by;
            gap = gap_beside(front ? cluster->ahead : cluster->behind);
            const auto carry = [&](std::size_t b) {
                bodies_[b].along += by;
                bodies_[b].carried = by;
                bodies_[b].rank = cluster->rank;
            };
            carry(cluster->host);
            for (const auto* list : {&cluster->ahead, &cluster->behind}) {
                for (const auto b : *list)
                    carry(b);
            }
        }
    }

    [[nodiscard]] static bool reaches(const SpaceBox& body, const SpaceBox& thing) {
        const glm::dvec3 at = (thing.low + thing.high) * 0.5;
        return at.y > body.low.y - 3 && at.y < body.high.y + 3 && at.z > body.low.z - 3 && at.z < body.high.z + 3;
    }

    /// What makes a body leave the part in which it sits: the piston for all that belongs to its clutch, a ring itself.
    [[nodiscard]] std::vector<int> own_places() {
        std::vector<int> own(bodies_.size(), -1);
        const auto part_of = [&](std::size_t b) {
            for (const auto s : shapes_of(b)) {
                const auto& subject = shapes_[s].subject;
                if (subject.kind == SubjectKind::part && !of_case(subject.id)) return rank_of(subject.id);
            }
            return -1;
        };
        for (std::size_t b = 0; b < bodies_.size(); ++b) {
            const std::string& key = bodies_[b].key;
            if (key.rfind("ring ", 0) == 0) {
                own[b] = static_cast<int>(out_.order.size() + out_.rings.size());
                out_.rings.push_back(key.substr(5));
            }
        }
        for (std::size_t c = 0; c < layout_.clutches.size(); ++c) {
            const std::size_t piston = known(clutch_base(c) + " piston");
            if (piston == none) continue;
            for (const auto* what : {" piston", " spring", " pack"}) {
                if (const std::size_t b = known(clutch_base(c) + what); b != none) own[b] = part_of(piston);
            }
        }
        return own;
    }

    /// The farther it goes, the sooner it sets out: so nothing runs into what went before it.
    void tell() {
        double farthest = 1e-9;
        for (const auto& each : bodies_)
            farthest = std::max(farthest, std::abs(each.along));
        const auto own = own_places();
        const auto move_of = [&](std::size_t b) {
            const Body& body = bodies_[b];
            return Move{body.along, body.along == 0 ? 0 : last_begins * (1 - std::abs(body.along) / farthest),
                        body.carried, body.rank, own[b]};
        };
        for (std::size_t s = 0; s < shapes_.size(); ++s) {
            if (body_of_shape_[s] != none) out_.shapes[s] = move_of(body_of_shape_[s]);
        }
        for (const auto& [s, key] : followers_) {
            const std::size_t b = known(key);
            // What lies outside of a body does not hang on it: a plug of the case that the map counts to a shaft.
            if (b == none || !reaches(bodies_[b].box, box_of(shapes_[s].mesh))) continue;
            out_.shapes[s] = move_of(b);
        }
        for (std::size_t s = 0; s < shapes_.size(); ++s) {
            const auto& subject = shapes_[s].subject;
            if (subject.kind == SubjectKind::seal) out_.seals.emplace(subject.id, out_.shapes[s]);
            if (subject.kind == SubjectKind::part && body_of_shape_[s] != none &&
                bodies_[body_of_shape_[s]].key == subject.id)
                out_.parts[subject.id] = out_.shapes[s];
        }
        for (std::size_t b = 0; b < bodies_.size(); ++b) {
            if (bodies_[b].along == 0 || bodies_[b].box.empty()) continue;
            const auto &low = bodies_[b].box.low, &high = bodies_[b].box.high;
            out_.hulls.push_back({low.x, high.x, (low.y + high.y) / 2, (low.z + high.z) / 2,
                                  std::max(high.y - low.y, high.z - low.z) / 2, move_of(b)});
        }
        for (const auto& stack : layout_.stacks) {
            if (const std::size_t b = known(carrier_of(stack)); b != none) out_.stacks[stack.stack] = move_of(b);
        }
    }

    const model::UnitMap& map_;
    const model::Layout& layout_;
    const std::vector<model::Shape>& shapes_;
    std::vector<Body> bodies_;
    std::vector<int> line_of_body_;
    std::vector<std::size_t> body_of_shape_;
    std::vector<std::pair<std::size_t, std::string>> followers_;
    std::map<std::size_t, double> ring_gap_;
    std::vector<Cluster> clusters_;
    std::vector<int> lines_;
    Explosion out_;
};

} // namespace

Apartness Apartness::of_all(double share) {
    Apartness all;
    all.share_ = std::clamp(share, 0.0, 1.0);
    return all;
}

Apartness Apartness::of_steps(const Explosion& explosion, const std::vector<std::string>& parts,
                              const std::vector<std::string>& rings, double done) {
    Apartness steps;
    steps.share_ = std::clamp(done, 0.0, 1.0);
    steps.gone_.assign(explosion.order.size() + explosion.rings.size(), 0);
    const auto let_go = [&](const std::vector<std::string>& list, std::size_t offset, const std::string& id,
                            double gone) {
        const auto at = std::find(list.begin(), list.end(), id);
        if (at == list.end()) return;
        // Sets out and comes to rest softly: each is a move of its own.
        const double t = std::clamp(gone, 0.0, 1.0);
        steps.gone_[offset + static_cast<std::size_t>(at - list.begin())] = t * t * (3 - 2 * t);
    };
    steps.line_up(explosion, parts, rings);
    for (std::size_t i = 0; i < parts.size(); ++i)
        let_go(explosion.order, 0, parts[i], done - static_cast<double>(i));
    for (const auto& ring : rings)
        let_go(explosion.rings, explosion.order.size(), ring, done - static_cast<double>(parts.size()));
    return steps;
}

void Apartness::line_up(const Explosion& explosion, const std::vector<std::string>& parts,
                        const std::vector<std::string>& rings) {
    carried_.assign(explosion.order.size(), 0);
    const auto place_of = [](const std::vector<std::string>& list, const std::string& id) {
        return static_cast<int>(std::find(list.begin(), list.end(), id) - list.begin());
    };
    const auto leaves_its_part = [&](int own) {
        if (own < 0) return false;
        const auto at = static_cast<std::size_t>(own);
        const bool ring = at >= explosion.order.size();
        const auto& id = ring ? explosion.rings[at - explosion.order.size()] : explosion.order[at];
        const auto& list = ring ? rings : parts;
        return std::find(list.begin(), list.end(), id) != list.end();
    };
    double front = explosion.front, back = explosion.back;
    for (auto part = parts.rbegin(); part != parts.rend(); ++part) { // the last one off stands nearest to the case
        const int place = place_of(explosion.order, *part);
        double low = std::numeric_limits<double>::max(), high = std::numeric_limits<double>::lowest();
        bool to_front = true;
        for (const auto& hull : explosion.hulls) {
            if (hull.move.carrier != place) continue;
            const double spread = leaves_its_part(hull.move.own) ? hull.move.way_mm - hull.move.carried_mm : 0;
            low = std::min({low, hull.x0, hull.x0 + spread});
            high = std::max({high, hull.x1, hull.x1 + spread});
            to_front = hull.move.carried_mm <= 0;
        }
        if (low > high) continue; // stays with the case
        const double by =
            to_front ? std::min(0.0, front - step_gap_mm - high) : std::max(0.0, back + step_gap_mm - low);
        carried_[static_cast<std::size_t>(place)] = by;
        (to_front ? front : back) = (to_front ? low : high) + by;
    }
}

double Apartness::moved_mm(const Move& move) const {
    if (share_ <= 0) return 0;
    if (!gone_.empty()) {
        const auto gone = [&](int place) { return place < 0 ? 0.0 : gone_[static_cast<std::size_t>(place)]; };
        const double carried = move.carrier < 0 ? 0 : carried_[static_cast<std::size_t>(move.carrier)];
        return carried * gone(move.carrier) + (move.way_mm - move.carried_mm) * gone(move.own);
    }
    const double t = std::clamp((share_ - move.begin) / (1 - move.begin), 0.0, 1.0);
    return move.way_mm * t * (2 - t); // sets out at once, and comes to rest softly
}

double Apartness::shift_mm(const std::map<std::string, Move>& list, std::string_view id) const {
    if (!any()) return 0;
    const auto found = list.find(std::string(id));
    return found == list.end() ? 0 : moved_mm(found->second);
}

Explosion plan_explosion(const model::UnitMap& map, const model::Layout& layout,
                         const std::vector<model::Shape>& shapes) {
    return Planner(map, layout, shapes).plan();
}

} // namespace ringland::viewer
