// The rules of a map as a whole: what things say of each other.
#include <algorithm>
#include <set>
#include <unordered_map>

#include <fmt/format.h>

#include "map_faults.h"
#include "map_fields.h"
#include "texts.h"

namespace ringland::model {

namespace {

class Checker {
public:
    Checker(const UnitMap& map, FaultBook& book) : map_(map), book_(book) {}

    void run() {
        check_ids();
        check_sump();
        check_ports();
        for (std::size_t i = 0; i < map_.parts.size(); ++i)
            check_part(i);
        check_loop("on", marked("these parts carry each other in a circle: {0}"),
                   [](const Part& part) { return std::vector<std::string>{part.on}; });
        check_loop("after", marked("these parts wait for each other to come off: {0}"),
                   [](const Part& part) { return part.after; });
        if (map_.stacks.empty() && !book_.full()) {
            book_.error(SourceSpot{1, 1}, phrase("the map has no stack"),
                        phrase("[[stack]] with row = \"first end | circuit | second end\""));
        }
        for (std::size_t i = 0; i < map_.stacks.size(); ++i)
            check_stack(i);
        for (std::size_t i = 0; i < map_.seals.size(); ++i)
            check_seal(i);
        for (std::size_t i = 0; i < map_.passages.size(); ++i)
            check_passage(i);
        for (std::size_t i = 0; i < map_.by_design.size(); ++i)
            check_flow(i);
        for (std::size_t i = 0; i < map_.elements.size(); ++i)
            check_element(i);
        for (std::size_t i = 0; i < map_.gear_sets.size(); ++i)
            check_gear_set(i);
        check_members();
        check_oil();
        for (std::size_t i = 0; i < map_.clearances.size(); ++i)
            check_clearance(i);
    }

private:
    void complain(const std::string& path, Phrase what, Phrase right) {
        if (!book_.full()) book_.error(path, where_, std::move(what), std::move(right));
    }

    // The map as a whole.
    void check_ids() {
        struct First {
            std::string_view word;
            SourceSpot where;
        };
        std::unordered_map<std::string, First> first;
        for_each_list(map_, [&](const auto& list) {
            using T = typename std::decay_t<decltype(list)>::value_type;
            for (std::size_t i = 0; i < list.size(); ++i) {
                where_ = list[i].where;
                const std::string path = path_of(Table<T>::key, i, "id");
                if (list[i].id.empty()) {
                    complain(path, phrase("a {0} has no id", Phrase::of_marked(Table<T>::word)),
                             phrase("a short name that no other thing has"));
                    continue;
                }
                const auto [entry, fresh] = first.emplace(list[i].id, First{Table<T>::word, list[i].where});
                if (fresh) continue;
                complain(path, phrase("id {0} is used twice", shown(list[i].id)),
                         phrase("another id: a {0} in line {1} has this one", Phrase::of_marked(entry->second.word),
                                entry->second.where.line));
            }
        });
    }
    void check_sump() {
        for (std::size_t i = 0; i < map_.circuits.size(); ++i) {
            const auto& circuit = map_.circuits[i];
            where_ = circuit.where;
            const bool named = circuit.id == sump_id;
            const bool meant = circuit.kind == CircuitKind::sump;
            if (named == meant) continue;
            complain(path_of("circuit", i, "kind"),
                     named ? phrase("\"sump\" is the open case and can be nothing else")
                           : phrase("circuit {0} is of kind sump", shown(circuit.id)),
                     named ? phrase("kind = \"sump\", or another id")
                           : phrase("id = \"sump\": a unit has one open case"));
        }
        if (!find(map_.circuits, sump_id)) {
            where_ = map_.unit.where;
            complain("circuit/sump", phrase("the map has no circuit \"sump\""),
                     phrase("one of kind sump: every unit has an open case"));
        }
    }
    void check_ports() {
        std::set<std::string_view> reached;
        for (std::size_t i = 0; i < map_.ports.size(); ++i) {
            const auto& port = map_.ports[i];
            where_ = port.where;
            reached.insert(port.circuit);
            if (port.circuit == sump_id) {
                complain(path_of("port", i, "circuit"), phrase("port {0} leads into the sump", shown(port.id)),
                         phrase("a circuit that holds pressure: the sump is the open case"));
            }
        }
        if (map_.ports.empty() && !book_.full()) {
            book_.error(SourceSpot{1, 1}, phrase("the map has no port"),
                        phrase("[[port]] with circuit = \"...\" for each opening on the case face"));
        }
        for (std::size_t i = 0; i < map_.circuits.size() && !book_.full(); ++i) {
            const auto& circuit = map_.circuits[i];
            where_ = circuit.where;
            if (circuit.kind == CircuitKind::sump || circuit.id == sump_id || map_.ports.empty()) continue;
            const bool has_port = reached.count(circuit.id) != 0;
            const std::string path = path_of("circuit", i, "no-port");
            if (circuit.no_port && has_port) {
                complain(path, phrase("circuit {0} has a port and says that it has none", shown(circuit.id)),
                         phrase("leave no-port out, or the port"));
            } else if (!circuit.no_port && !has_port) {
                std::vector<std::string> others;
                for (const auto& other : map_.circuits) {
                    if (other.id == circuit.id) continue;
                    others.push_back(other.id);
                    if (!other.name.empty()) others.push_back(other.name);
                }
                const std::string near = nearest_word(circuit.name.empty() ? circuit.id : circuit.name, others);
                complain(
                    path,
                    phrase("no port leads into circuit {0}", shown(circuit.name.empty() ? circuit.id : circuit.name)),
                    near.empty() ? phrase("a [[port]] with that circuit, or no-port = true in its [[circuit]]")
                                 : phrase("a [[port]] with that circuit, or no-port = true in its [[circuit]]; or "
                                          "is \"{0}\" meant?",
                                          near));
            }
        }
    }
    void check_part(std::size_t i) {
        const auto& part = map_.parts[i];
        where_ = part.where;
        if (part.from && part.to && part.from->si() >= part.to->si()) {
            complain(path_of("part", i, "to"), phrase("part {0} ends before it begins", shown(part.id)),
                     phrase("to larger than from: both count from the engine end"));
        }
        if (part.inner_diameter && part.outer_diameter && part.inner_diameter->si() >= part.outer_diameter->si()) {
            complain(path_of("part", i, "inner-diameter"),
                     phrase("part {0} is wider inside than outside", shown(part.id)),
                     phrase("an inner diameter below the outer one"));
        }
    }
    /// Finds parts that need each other in a circle, and names one key of each circle.
    template <class Next> void check_loop(std::string_view key, std::string_view says, const Next& next) {
        std::unordered_map<std::string_view, std::size_t> index;
        for (std::size_t i = 0; i < map_.parts.size(); ++i)
            index.emplace(map_.parts[i].id, i);
        enum class Mark { fresh, open, done };
        std::vector<Mark> marks(map_.parts.size(), Mark::fresh);
        struct Step {
            std::size_t part;
            std::vector<std::string> next;
            std::size_t at;
        };
        for (std::size_t start = 0; start < map_.parts.size(); ++start) {
            if (marks[start] != Mark::fresh) continue;
            // An own stack, since a chain may be as long as the list.
            std::vector<Step> way{{start, next(map_.parts[start]), 0}};
            marks[start] = Mark::open;
            while (!way.empty()) {
                Step& step = way.back();
                if (step.at == step.next.size()) {
                    marks[step.part] = Mark::done;
                    way.pop_back();
                    continue;
                }
                const auto found = index.find(step.next[step.at++]);
                if (found == index.end() || marks[found->second] == Mark::done) continue;
                if (marks[found->second] == Mark::fresh) {
                    marks[found->second] = Mark::open;
                    way.push_back({found->second, next(map_.parts[found->second]), 0});
                    continue;
                }
                report_loop(way, found->second, key, says);
            }
        }
    }
    template <class Way>
    void report_loop(const Way& way, std::size_t closing, std::string_view key, std::string_view says) {
        std::vector<std::string> names;
        bool inside = false;
        for (const auto& step : way) {
            inside = inside || step.part == closing;
            if (inside) names.push_back(map_.parts[step.part].id);
        }
        const std::size_t shown_at_most = 6;
        std::string circle;
        for (std::size_t i = 0; i < std::min(names.size(), shown_at_most); ++i)
            circle += names[i] + " - ";
        if (names.size() > shown_at_most) circle += "... - ";
        where_ = map_.parts[way.back().part].where;
        complain(path_of("part", way.back().part, key),
                 Phrase::of_places(says, {Phrase::as_is(circle + names.front())}),
                 phrase("one \"{0}\" of them left out", key));
    }
    void check_stack(std::size_t i) {
        const auto& stack = map_.stacks[i];
        where_ = stack.where;
        const std::string circuits = path_of("stack", i, "circuits");
        const std::string name = shown(stack.id);
        // One word for a stack that says nothing, not three.
        const bool nothing = stack.circuits.empty() && stack.first_end.empty() && stack.second_end.empty();
        const Phrase right = phrase("row = \"first end | circuit | second end\"");
        if (stack.first_end.empty() && !nothing) {
            complain(path_of("stack", i, "first-end"), phrase("stack {0} does not name its first end", name), right);
        }
        if (stack.second_end.empty() && !nothing) {
            complain(path_of("stack", i, "second-end"), phrase("stack {0} does not name its second end", name), right);
        }
        if (stack.circuits.empty()) {
            complain(circuits, phrase("stack {0} has no circuit", name), right);
            return;
        }
        if (stack.circuits.size() > limits::circuits_per_stack) {
            complain(circuits, phrase("stack {0} has {1} circuits", name, stack.circuits.size()),
                     phrase("{0} at most", limits::circuits_per_stack));
            return;
        }
        if (book_.spoilt(circuits)) return;
        for (std::size_t k = 0; k < stack.circuits.size(); ++k) {
            const auto end = stack.circuits.begin() + static_cast<std::ptrdiff_t>(k);
            if (std::find(stack.circuits.begin(), end, stack.circuits[k]) == end) continue;
            complain(
                fmt::format("{}/{}", circuits, k),
                phrase("circuit {0} stands twice in this stack", shown(stack.circuits[k])),
                phrase("each circuit once: two grooves of one circuit need different circuits or different stacks"));
        }
        for (std::size_t end = 0; end < 2; ++end) {
            const auto& next = end == 0 ? stack.circuits.front() : stack.circuits.back();
            const std::string path = fmt::format("{}/{}", path_of("stack", i, "outside"), end);
            if (stack.outside[end].empty())
                complain(path, phrase("stack {0} does not say what lies outside", name),
                         phrase("a circuit, or \"sump\""));
            if (stack.outside[end] == next) {
                complain(path,
                         end == 0
                             ? phrase("the first seal of stack {0} would divide {1} from itself", name, shown(next))
                             : phrase("the last seal of stack {0} would divide {1} from itself", name, shown(next)),
                         phrase("another circuit outside, or this one left out of the row"));
                book_.spoil(path_of("stack", i, "seals"));
            }
        }
        check_stack_seals(i);
        check_stack_sizes(i);
    }
    void check_stack_seals(std::size_t i) {
        const auto& stack = map_.stacks[i];
        const std::string path = path_of("stack", i, "seals");
        if (book_.spoilt(path)) return;
        if (stack.seals.size() != stack.circuits.size() + 1) {
            return complain(path,
                            phrase("stack {0} has {1} circuits and {2} seals", shown(stack.id), stack.circuits.size(),
                                   stack.seals.size()),
                            phrase("{0} seals: one more than circuits", stack.circuits.size() + 1));
        }
        for (std::size_t k = 0; k < stack.seals.size(); ++k) {
            const Seal* seal = find(map_.seals, stack.seals[k]);
            if (!seal) continue; // said as a dangling reference
            const auto& before = k == 0 ? stack.outside[0] : stack.circuits[k - 1];
            const auto& behind = k == stack.circuits.size() ? stack.outside[1] : stack.circuits[k];
            const bool here = seal->stack == stack.id && seal->nth == static_cast<int>(k) + 1;
            if (!here) {
                complain(fmt::format("{}/{}", path, k),
                         phrase("seal {0} of stack {1} is {2}, which says that it stands elsewhere", k + 1,
                                shown(stack.id), shown(seal->id)),
                         phrase("relation = \"stack\", stack = \"{0}\" and nth = {1} in that seal", stack.id, k + 1));
            } else if (seal->between[0] != before || seal->between[1] != behind) {
                complain(fmt::format("{}/{}", path, k),
                         phrase("seal {0} does not divide its neighbours in the row", shown(seal->id)),
                         Phrase::as_is(fmt::format("between = [\"{}\", \"{}\"]", before, behind)));
            }
        }
    }
    void check_stack_sizes(std::size_t i) {
        const auto& stack = map_.stacks[i];
        if (stack.pitch && stack.ring_width && stack.pitch->si() <= stack.ring_width->si()) {
            complain(path_of("stack", i, "pitch"), phrase("the rings would lie in one another"),
                     phrase("a pitch larger than the ring width"));
        }
        if (stack.diameter && stack.groove_depth && 2 * stack.groove_depth->si() >= stack.diameter->si()) {
            complain(path_of("stack", i, "groove-depth"), phrase("the grooves would cut the shaft through"),
                     phrase("a groove depth below half of the diameter"));
        }
    }
    void check_seal(std::size_t i) {
        const auto& seal = map_.seals[i];
        where_ = seal.where;
        const auto key = [&](std::string_view k) { return path_of("seal", i, k); };
        const std::string name = shown(seal.id);
        if (book_.spoilt(path_of("seal", i))) return;
        if (!seal.stack.empty() || seal.nth != 0) {
            if (!check_seal_place(i)) return;
            if (seal.relation != Relation::stack) {
                complain(key("relation"),
                         phrase("seal {0} stands in a stack and says relation = \"{1}\"", name, word(seal.relation)),
                         phrase("relation = \"stack\", or no stack and nth"));
            }
        } else if (seal.relation == Relation::stack) {
            if (!book_.spoilt(key("relation")) && !book_.spoilt(key("kind")) && !book_.spoilt(key("stack"))) {
                complain(
                    key("relation"),
                    phrase("{0} {1} does not say in which stack it stands", Phrase::of_marked(word(seal.kind)), name),
                    phrase("stack = \"...\" and nth = ..., or relation = \"face\", \"shaft\" or \"drum\""));
            }
            return;
        }
        const bool given = !seal.between[0].empty() && !seal.between[1].empty();
        if (!given) {
            complain(key("between"), phrase("seal {0} does not say what it divides", name),
                     phrase("between = [\"one circuit\", \"the other\"]"));
            return;
        }
        if (seal.between[0] == seal.between[1]) {
            complain(key("between"), phrase("seal {0} divides {1} from itself", name, shown(seal.between[0])),
                     phrase("two different circuits"));
        } else if (!seal.faces.empty() && seal.faces != seal.between[0] && seal.faces != seal.between[1]) {
            complain(key("faces"), phrase("seal {0} faces {1}, which it does not touch", name, shown(seal.faces)),
                     phrase("\"{0}\" or \"{1}\"", seal.between[0], seal.between[1]));
        }
    }
    /// False when the place in the stack is wrong, so that nothing more can be said of the seal.
    bool check_seal_place(std::size_t i) {
        const auto& seal = map_.seals[i];
        const auto key = [&](std::string_view k) { return path_of("seal", i, k); };
        if (seal.stack.empty()) {
            complain(key("stack"), phrase("seal {0} has nth and no stack", shown(seal.id)),
                     Phrase::as_is("stack = \"...\""));
            return false;
        }
        std::size_t s = 0;
        while (s < map_.stacks.size() && map_.stacks[s].id != seal.stack)
            ++s;
        if (s == map_.stacks.size()) return false; // said as a dangling reference
        if (book_.spoilt(path_of("stack", s, "circuits")) || book_.spoilt(path_of("stack", s, "seals"))) return false;
        const auto& stack = map_.stacks[s];
        const auto seals = static_cast<int>(stack.circuits.size()) + 1;
        if (seal.nth < 1 || seal.nth > seals) {
            complain(key("nth"),
                     seal.nth == 0 ? phrase("seal {0} does not say which of its stack it is", shown(seal.id))
                                   : phrase("stack {0} has no seal {1}", shown(stack.id), seal.nth),
                     phrase("nth = 1 to {0}, counted from the {1}", seals, stack.first_end));
            return false;
        }
        const auto k = static_cast<std::size_t>(seal.nth) - 1;
        if (k < stack.seals.size() && stack.seals[k] != seal.id) {
            complain(key("nth"),
                     phrase("seal {0} of stack {1} is {2}, not {3}", seal.nth, shown(stack.id), shown(stack.seals[k]),
                            shown(seal.id)),
                     phrase("one seal in each place"));
            return false;
        }
        return true;
    }
    void check_passage(std::size_t i) {
        const auto& passage = map_.passages[i];
        where_ = passage.where;
        const Port* port = find(map_.ports, passage.port);
        if (!port || port->circuit == passage.circuit) return;
        complain(path_of("passage", i, "port"),
                 phrase("port {0} leads into {1}, not into {2}", shown(port->id), shown(port->circuit),
                        shown(passage.circuit)),
                 phrase("a port of the same circuit"));
    }
    void check_flow(std::size_t i) {
        const auto& flow = map_.by_design[i];
        where_ = flow.where;
        if (flow.from.empty() || flow.from != flow.to) return;
        complain(path_of("by-design", i, "to"), phrase("this flow leads from {0} to itself", shown(flow.from)),
                 phrase("another circuit, or \"sump\""));
    }
    void check_element(std::size_t i) {
        const auto& element = map_.elements[i];
        where_ = element.where;
        if (element.kind != ElementKind::one_way_clutch && element.applied_by.empty() && element.released_by.empty()) {
            complain(path_of("element", i, "applied-by"),
                     phrase("nothing applies {0} {1}", Phrase::of_marked(word(element.kind)), shown(element.id)),
                     phrase("applied-by = [\"circuit\"], or kind = \"one-way-clutch\""));
        }
        if (element.plate_inner_diameter && element.plate_outer_diameter &&
            element.plate_inner_diameter->si() >= element.plate_outer_diameter->si()) {
            complain(path_of("element", i, "plate-inner-diameter"),
                     phrase("the plates of {0} are wider inside than outside", shown(element.id)),
                     phrase("an inner diameter below the outer one"));
        }
        if (element.chamber_inner_diameter && element.chamber_outer_diameter &&
            element.chamber_inner_diameter->si() >= element.chamber_outer_diameter->si()) {
            complain(path_of("element", i, "chamber-inner-diameter"),
                     phrase("the chamber of {0} is wider inside than outside", shown(element.id)),
                     phrase("an inner diameter below the outer one"));
        }
    }
    void check_gear_set(std::size_t i) {
        const auto& set = map_.gear_sets[i];
        where_ = set.where;
        if (!set.sun.empty() && (set.sun == set.carrier || set.sun == set.ring || set.carrier == set.ring)) {
            complain(path_of("gear-set", i), phrase("two members of {0} have one name", shown(set.id)),
                     phrase("sun, carrier and ring of a set are three pieces"));
        }
        if (set.sun_teeth && set.ring_teeth && *set.sun_teeth >= *set.ring_teeth) {
            complain(path_of("gear-set", i, "ring-teeth"),
                     phrase("the ring of {0} has no more teeth than its sun", shown(set.id)),
                     phrase("more teeth on the ring than on the sun"));
        }
    }
    /// Members that elements join exist: "input", "output", "case", or a member of a gear set, where there are any.
    void check_members() {
        std::vector<std::string> members{std::string(input_member), std::string(output_member),
                                         std::string(case_member)};
        for (const auto& set : map_.gear_sets)
            members.insert(members.end(), {set.sun, set.carrier, set.ring});
        const auto check = [&](const std::string& member, const std::string& path) {
            if (map_.gear_sets.empty() || member.empty()) return;
            if (std::find(members.begin(), members.end(), member) != members.end()) return;
            const auto near = nearest_word(member, members);
            complain(path, phrase("no gear set has a member {0}", shown(member)),
                     near.empty() ? phrase("input, output, case, or a sun, carrier or ring of a [[gear-set]]")
                                  : phrase("\"{0}\"?", near));
        };
        for (std::size_t i = 0; i < map_.elements.size(); ++i) {
            const auto& element = map_.elements[i];
            where_ = element.where;
            if (!element.joins.empty() && (element.joins.size() != 2 || element.joins[0] == element.joins[1])) {
                complain(path_of("element", i, "joins"),
                         element.joins.size() == 2
                             ? phrase("{0} joins a member to itself", shown(element.id))
                             : phrase("{0} joins {1} members", shown(element.id), element.joins.size()),
                         phrase("two members, for example joins = [\"input\", \"sun\"], or [\"carrier\", \"case\"]"));
            }
            for (std::size_t k = 0; k < element.joins.size(); ++k)
                check(element.joins[k], fmt::format("{}/{}", path_of("element", i, "joins"), k));
            check(element.turns_with, path_of("element", i, "turns-with"));
        }
    }
    void check_oil() {
        const auto& oil = map_.oil;
        where_ = oil.where;
        if (oil.viscosity_40 && oil.viscosity_100 && *oil.viscosity_100 >= *oil.viscosity_40) {
            complain("oil/viscosity-100", phrase("the oil is as thick at 100 °C as at 40 °C, or thicker"),
                     phrase("a smaller figure at 100 °C"));
        }
        if (oil.cold_c && oil.hot_c && *oil.cold_c > *oil.hot_c)
            complain("oil/hot-c", phrase("hot is colder than cold"), phrase("hot-c above cold-c"));
        if (oil.idle_rpm && oil.driving_rpm && *oil.idle_rpm > *oil.driving_rpm)
            complain("oil/driving-rpm", phrase("the engine turns slower on the road than at idle"),
                     phrase("driving-rpm above idle-rpm"));
    }
    void check_clearance(std::size_t i) {
        const auto& clearance = map_.clearances[i];
        where_ = clearance.where;
        if (clearance.lower && clearance.upper && clearance.lower->si() > clearance.upper->si()) {
            complain(path_of("clearance", i, "lower"),
                     phrase("the lower limit of {0} lies above the upper", shown(clearance.name)),
                     phrase("lower not above upper"));
        }
    }

    const UnitMap& map_;
    FaultBook& book_;
    SourceSpot where_; ///< of the thing under check
};

} // namespace

void check_map(const UnitMap& map, FaultBook& book) {
    check_fields(map, book);
    Checker(map, book).run();
}

std::vector<Fault> validate(const UnitMap& map, const std::string& file) {
    FaultBook book(file);
    check_map(map, book);
    return book.take();
}

} // namespace ringland::model
