// What the author left open is filled in here, by rules that give the same ids every time.
#include <algorithm>
#include <set>
#include <unordered_map>

#include <fmt/format.h>

#include "map_faults.h"
#include "map_fields.h"
#include "spoken_names.h"

namespace ringland::model {

namespace {

constexpr std::size_t longest_id = 40;

/// An id made from a name: lower case, each run of other characters to one hyphen. Empty where nothing is left.
std::string id_from(std::string_view name) {
    std::string id;
    for (const char c : lower_case(name)) {
        const bool fits = (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '_';
        if (fits)
            id += c;
        else if (!id.empty() && id.back() != '-')
            id += '-';
    }
    id.resize(std::min(id.size(), longest_id - 5)); // room to tell equal ones apart
    while (!id.empty() && id.back() == '-')
        id.pop_back();
    return id;
}

std::string_view trimmed(std::string_view text) {
    const auto begin = text.find_first_not_of(" \t\r\n");
    if (begin == std::string_view::npos) return {};
    return text.substr(begin, text.find_last_not_of(" \t\r\n") - begin + 1);
}

/// Names by which one list is spoken of. An id as written goes before an id in other case, and that before a name.
class Names {
public:
    void add(std::string_view id, std::string_view name) {
        ids_.insert(std::string(id));
        note(any_case_, lower_case(id), id);
        if (!name.empty()) note(names_, lower_case(name), id);
    }
    [[nodiscard]] bool has_id(const std::string& id) const { return ids_.count(id) != 0; }
    /// The id meant, empty where none is. `several` tells that a name fits more than one thing.
    [[nodiscard]] std::string find(const std::string& text, bool& several) const {
        if (has_id(text)) return text;
        const std::string lower = lower_case(trimmed(text));
        for (const auto* table : {&any_case_, &names_}) {
            const auto found = table->find(lower);
            if (found == table->end()) continue;
            if (!found->second.empty()) return found->second;
            several = true;
        }
        return {};
    }

private:
    /// A word that fits two things is kept, but stands for none.
    static void note(std::unordered_map<std::string, std::string>& table, const std::string& word,
                     std::string_view id) {
        const auto [entry, fresh] = table.emplace(word, id);
        if (!fresh && entry->second != id) entry->second.clear();
    }
    std::set<std::string> ids_;
    std::unordered_map<std::string, std::string> any_case_, names_;
};

class Completion {
public:
    Completion(UnitMap& map, const std::vector<StackShort>& shorts, FaultBook& book)
        : map_(map), shorts_(shorts), book_(book) {}

    void run() {
        for_each_list(map_, [&](auto& list) {
            for (auto& thing : list) {
                if (!thing.id.empty()) taken_.insert(thing.id);
            }
        });
        if (map_.unit.id.empty()) map_.unit.id = id_from(map_.unit.name);
        if (map_.unit.id.empty()) map_.unit.id = "unit";
        name_circuits();
        for (std::size_t i = 0; i < shorts_.size(); ++i)
            read_row(i);
        circuits_of_lists();
        add_sump();
        give_ids(map_.parts, "part");
        give_ids(map_.stacks, "stack");
        give_ids(map_.elements, "element");
        give_ids(map_.gear_sets, "gear-set");
        give_ids(map_.ranges, "range");
        give_ids(map_.clearances, "clearance");
        give_ids(map_.spares, "spare");
        for (std::size_t i = 0; i < map_.ports.size(); ++i) {
            if (map_.ports[i].id.empty()) map_.ports[i].id = fresh_id(fmt::format("P{}", i + 1));
        }
        give_ids(map_.passages, "passage");
        give_ids(map_.by_design, "flow");
        complete_seals();
        resolve_all();
    }

private:
    std::string fresh_id(std::string wish) {
        std::string id = wish;
        for (int n = 2; !taken_.insert(id).second; ++n)
            id = fmt::format("{}-{}", wish, n);
        return id;
    }
    template <class T> static std::string_view name_of(const T& thing) {
        if constexpr (requires { thing.name; })
            return thing.name;
        else if constexpr (requires { thing.label; })
            return thing.label;
        else
            return {};
    }
    template <class T> void give_ids(std::vector<T>& list, std::string_view word) {
        for (std::size_t i = 0; i < list.size(); ++i) {
            if (!list[i].id.empty()) continue;
            std::string wish = id_from(name_of(list[i]));
            if (wish.empty()) wish = fmt::format("{}-{}", word, i + 1);
            list[i].id = fresh_id(std::move(wish));
        }
    }

    // Circuits.
    void name_circuits() {
        give_ids(map_.circuits, "circuit");
        for (const auto& circuit : map_.circuits)
            circuits_.add(circuit.id, circuit.name);
    }
    static bool is_sump(std::string_view text) { return lower_case(trimmed(text)) == sump_id; }

    /// The circuit of a row: a known one, or one that comes into being here.
    std::string circuit_of_row(std::string_view text, SourceSpot where) {
        if (is_sump(text)) return std::string(sump_id);
        bool several = false;
        const auto known = circuits_.find(std::string(text), several);
        // A name of two circuits is left as it is, for the check of references to complain of.
        if (!known.empty() || several) return known.empty() ? std::string(text) : known;
        Circuit circuit;
        circuit.name = std::string(trimmed(text));
        std::string wish = id_from(text);
        if (wish.empty()) wish = fmt::format("circuit-{}", map_.circuits.size() + 1);
        circuit.id = fresh_id(std::move(wish));
        circuit.where = where;
        circuits_.add(circuit.id, circuit.name);
        map_.circuits.push_back(std::move(circuit));
        return map_.circuits.back().id;
    }
    void read_row(std::size_t index) {
        const std::string& row = shorts_[index].row;
        Stack& stack = map_.stacks[index];
        const std::string path = path_of("stack", index, "row");
        if (!book_.stands(path)) return;
        book_.place(path_of("stack", index, "circuits") + "/row", book_.spot(path));
        for (const auto key : {"first-end", "second-end", "circuits"}) {
            if (book_.stands(path_of("stack", index, key))) {
                book_.error(path_of("stack", index, key), {}, phrase("{0} and row are both given", key),
                            phrase("one of the two: row says it all"));
            }
        }
        if (book_.spoilt(path)) return spoil_row(index);
        std::vector<std::string> words;
        std::string_view rest = row;
        for (;;) {
            const auto bar = rest.find('|');
            words.emplace_back(trimmed(rest.substr(0, bar)));
            if (bar == std::string_view::npos) break;
            rest.remove_prefix(bar + 1);
        }
        const Phrase right = phrase("first end | circuit | circuit | second end");
        if (words.size() < 3) {
            book_.error(path, {},
                        words.size() < 2 ? phrase("this row has no ends")
                                         : phrase("this row has no circuit between its ends"),
                        right);
            return spoil_row(index);
        }
        if (words.size() - 2 > limits::circuits_per_stack) {
            book_.error(path, {}, phrase("this row has {0} circuits", words.size() - 2),
                        phrase("{0} at most", limits::circuits_per_stack));
            return spoil_row(index);
        }
        if (words.front().empty() || words.back().empty()) {
            book_.error(path, {},
                        words.front().empty() ? phrase("the first end of this row has no name")
                                              : phrase("the second end of this row has no name"),
                        right);
            return spoil_row(index);
        }
        if (const auto gap = std::find(words.begin(), words.end(), ""); gap != words.end()) {
            book_.error(path, {}, phrase("nothing stands between bar {0} and the next", gap - words.begin()),
                        phrase("a circuit between every two bars"));
            return spoil_row(index);
        }
        stack.first_end = words.front();
        stack.second_end = words.back();
        stack.circuits.assign(words.begin() + 1, words.end() - 1);
    }
    void spoil_row(std::size_t index) {
        map_.stacks[index].circuits.clear();
        for (const auto key : {"circuits", "first-end", "second-end", "seals"})
            book_.spoil(path_of("stack", index, key));
    }
    void circuits_of_lists() {
        for (std::size_t i = 0; i < map_.stacks.size(); ++i) {
            auto& circuits = map_.stacks[i].circuits;
            if (circuits.size() > limits::circuits_per_stack || book_.spoilt(path_of("stack", i, "circuits"))) continue;
            const bool of_row = book_.stands(path_of("stack", i, "row"));
            for (std::size_t k = 0; k < circuits.size(); ++k) {
                const std::string path = fmt::format("{}/{}", path_of("stack", i, "circuits"), k);
                if (book_.spoilt(path) || trimmed(circuits[k]).empty()) continue;
                const auto where = book_.spot(of_row ? path_of("stack", i, "row") : path, map_.stacks[i].where);
                if (of_row) book_.place(path, where);
                circuits[k] = circuit_of_row(circuits[k], where);
            }
        }
    }
    void add_sump() {
        if (circuits_.has_id(std::string(sump_id))) {
            // Its name says what it is; an author who names it need not say it twice.
            for (std::size_t i = 0; i < map_.circuits.size(); ++i) {
                auto& circuit = map_.circuits[i];
                if (circuit.id != sump_id) continue;
                if (!book_.stands(path_of("circuit", i, "kind"))) circuit.kind = CircuitKind::sump;
            }
            return;
        }
        Circuit sump;
        sump.id = fresh_id(std::string(sump_id));
        sump.name = "Sump";
        sump.kind = CircuitKind::sump;
        sump.no_port = true;
        sump.where = map_.unit.where;
        circuits_.add(sump.id, sump.name);
        map_.circuits.push_back(std::move(sump));
    }

    // Seals.
    [[nodiscard]] std::string seal_key(std::size_t i, std::string_view key) const { return path_of("seal", i, key); }

    void complete_seals() {
        Names stacks;
        for (const auto& stack : map_.stacks)
            stacks.add(stack.id, stack.name);
        resolve_outsides();
        // Which seal of the file stands where: by stack and nth, by the list of its stack, or by the id that it would
        // get.
        std::vector<std::vector<std::size_t>> claimed(map_.stacks.size());
        constexpr std::size_t nobody = static_cast<std::size_t>(-1);
        for (std::size_t s = 0; s < map_.stacks.size(); ++s) {
            if (!map_.stacks[s].circuits.empty()) claimed[s].assign(map_.stacks[s].circuits.size() + 1, nobody);
        }
        const std::size_t written = map_.seals.size();
        for (std::size_t i = 0; i < written; ++i) {
            Seal& seal = map_.seals[i];
            place_by_list(seal, i);
            if (seal.stack.empty()) continue;
            bool several = false;
            if (const auto id = stacks.find(seal.stack, several); !id.empty()) seal.stack = id;
            const auto s = index_of_stack(seal.stack);
            if (!book_.stands(seal_key(i, "relation"))) seal.relation = Relation::stack;
            if (!s || claimed[*s].empty() || seal.nth < 1 || static_cast<std::size_t>(seal.nth) > claimed[*s].size())
                continue;
            std::size_t& place = claimed[*s][static_cast<std::size_t>(seal.nth) - 1];
            if (place != nobody) {
                book_.error(seal_key(i, book_.stands(seal_key(i, "nth")) ? "nth" : "id"), seal.where,
                            phrase("seal {0} of stack \"{1}\" is described twice", seal.nth, seal.stack),
                            phrase("once; the other stands in line {0}", map_.seals[place].where.line));
                book_.spoil(path_of("seal", i));
                continue;
            }
            place = i;
        }
        std::size_t count = 0;
        for (std::size_t s = 0; s < map_.stacks.size(); ++s) {
            complete_stack(s, claimed[s], nobody, count);
        }
        for (std::size_t i = 0; i < written; ++i)
            complete_other(map_.seals[i], i);
    }
    void resolve_outsides() {
        for (auto& stack : map_.stacks) {
            for (auto& outside : stack.outside) {
                bool several = false;
                if (const auto id = circuits_.find(outside, several); !id.empty()) outside = id;
            }
        }
    }
    [[nodiscard]] std::optional<std::size_t> index_of_stack(std::string_view id) const {
        for (std::size_t s = 0; s < map_.stacks.size(); ++s) {
            if (map_.stacks[s].id == id) return s;
        }
        return std::nullopt;
    }
    /// A seal with an id alone belongs where that id stands in the list of a stack, or where the id would be made.
    void place_by_list(Seal& seal, std::size_t index) {
        if (seal.id.empty() || seal.nth != 0 || book_.spoilt(seal_key(index, "stack")) ||
            book_.spoilt(seal_key(index, "nth")))
            return;
        const bool between = book_.stands(seal_key(index, "between"));
        std::size_t count = 0;
        for (const auto& stack : map_.stacks) {
            const std::size_t seals = stack.circuits.empty() ? 0 : stack.circuits.size() + 1;
            for (std::size_t k = 0; k < seals; ++k) {
                ++count;
                const bool listed = k < stack.seals.size() && stack.seals[k] == seal.id;
                const bool implied = stack.seals.empty() && !between && seal.id == fmt::format("R{}", count);
                if (!listed && !implied) continue;
                if (!seal.stack.empty() && seal.stack != stack.id && lower_case(seal.stack) != lower_case(stack.name))
                    continue;
                seal.stack = stack.id;
                seal.nth = static_cast<int>(k) + 1;
                return;
            }
        }
    }
    /// `count` runs through the seals of all stacks, so that a made id tells its place and stays when others get ids.
    void complete_stack(std::size_t index, const std::vector<std::size_t>& claimed, std::size_t nobody,
                        std::size_t& count) {
        const std::string path = path_of("stack", index, "seals");
        const std::size_t seals = claimed.size();
        if (seals == 0) return;
        const std::vector<std::string> listed = map_.stacks[index].seals;
        if (book_.spoilt(path)) return;
        if (!listed.empty() && listed.size() != seals) {
            book_.error(path, map_.stacks[index].where,
                        phrase("this stack has {0} circuits and lists {1} seals", seals - 1, listed.size()),
                        phrase("{0} seals: one more than circuits", seals));
            return;
        }
        std::vector<std::string> ids;
        for (std::size_t k = 0; k < seals; ++k) {
            ++count;
            std::size_t at = claimed[k];
            if (at == nobody) {
                Seal made;
                made.where = map_.stacks[index].where;
                if (book_.stands(path_of("stack", index, "row")))
                    made.where = book_.spot(path_of("stack", index, "row"));
                map_.seals.push_back(std::move(made));
                at = map_.seals.size() - 1;
            }
            Seal& seal = map_.seals[at];
            if (seal.id.empty()) seal.id = k < listed.size() ? listed[k] : std::string{};
            if (seal.id.empty()) seal.id = fresh_id(fmt::format("R{}", count));
            taken_.insert(seal.id);
            if (k < listed.size() && listed[k] != seal.id) {
                book_.error(fmt::format("{}/{}", path, k), map_.stacks[index].where,
                            phrase("seal {0} of this stack is \"{1}\" here and \"{2}\" in line {3}", k + 1, listed[k],
                                   seal.id, seal.where.line),
                            phrase("the same id in both places"));
            }
            fill_from_stack(seal, at, index, k);
            ids.push_back(seal.id);
        }
        map_.stacks[index].seals = std::move(ids);
    }
    void fill_from_stack(Seal& seal, std::size_t seal_index, std::size_t stack_index, std::size_t k) {
        const Stack& stack = map_.stacks[stack_index];
        seal.stack = stack.id;
        seal.nth = static_cast<int>(k) + 1;
        const bool written = book_.stands(path_of("seal", seal_index));
        const std::array<std::string, 2> implied{k == 0 ? stack.outside[0] : stack.circuits[k - 1],
                                                 k == stack.circuits.size() ? stack.outside[1] : stack.circuits[k]};
        if (written && book_.stands(seal_key(seal_index, "between"))) check_between(seal, seal_index, implied);
        seal.between = implied;
        if (!written) seal.relation = Relation::stack;
        if (shorts_.size() <= stack_index) return;
        if (!seal.material && !book_.stands(seal_key(seal_index, "material")))
            seal.material = shorts_[stack_index].material;
        const bool joint_said = written && book_.stands(seal_key(seal_index, "joint"));
        if (!joint_said && seal.kind == SealKind::ring && shorts_[stack_index].joint)
            seal.joint = *shorts_[stack_index].joint;
    }
    /// The author may say the two circuits as well; they must then be the two of that place, in either order.
    void check_between(const Seal& seal, std::size_t index, const std::array<std::string, 2>& implied) {
        std::array<std::string, 2> said;
        for (std::size_t i = 0; i < 2; ++i) {
            bool several = false;
            said[i] = circuits_.find(seal.between[i], several);
        }
        if (said == implied || (said[0] == implied[1] && said[1] == implied[0])) return;
        book_.error(seal_key(index, "between"), seal.where,
                    phrase("seal {0} of stack \"{1}\" does not divide these two", seal.nth, seal.stack),
                    phrase("between = [\"{0}\", \"{1}\"], or leave it out", implied[0], implied[1]));
    }
    void complete_other(Seal& seal, std::size_t index) {
        if (seal.id.empty()) {
            std::string wish = id_from(seal.name);
            if (wish.empty()) wish = fmt::format("{}-{}", word(seal.kind), index + 1);
            seal.id = fresh_id(std::move(wish));
        }
        if (!seal.stack.empty()) return;
        if (!book_.stands(seal_key(index, "kind"))) {
            book_.error(seal_key(index, "kind"), seal.where, phrase("seal \"{0}\" has no kind", seal.id),
                        phrase("kind = \"lip\", for example; a ring of a stack says stack and nth instead"));
            book_.spoil(seal_key(index, "relation"));
        }
        if (!book_.stands(seal_key(index, "relation"))) seal.relation = usual_relation(seal, index);
    }
    Relation usual_relation(const Seal& seal, std::size_t index) {
        switch (seal.kind) {
        case SealKind::gasket_bridge:
            return Relation::face;
        case SealKind::plug:
        case SealKind::tube:
            return Relation::shaft;
        case SealKind::lip:
        case SealKind::d_ring:
        case SealKind::o_ring:
        case SealKind::check_ball:
            return Relation::drum;
        case SealKind::wall:
            book_.error(seal_key(index, "relation"), seal.where,
                        phrase("wall \"{0}\" does not say where it stands", seal.id),
                        phrase("relation = \"face\", \"shaft\" or \"drum\""));
            return Relation::face;
        case SealKind::ring:
        case SealKind::bushing:
            break;
        }
        return Relation::stack;
    }

    // References by name become ids.
    void resolve_all() {
        add_names("circuit", map_.circuits);
        add_names("part", map_.parts);
        add_names("stack", map_.stacks);
        add_names("seal", map_.seals);
        add_names("port", map_.ports);
        add_names("element", map_.elements);
        for_each_list(map_, [&](auto& list) {
            using T = typename std::decay_t<decltype(list)>::value_type;
            for (std::size_t i = 0; i < list.size(); ++i) {
                Table<T>::fields(list[i], [&](auto& value, const Field& field) {
                    resolve(value, field, path_of(Table<T>::key, i, field.key));
                });
            }
        });
    }
    template <class T> void add_names(const std::string& key, const std::vector<T>& list) {
        for (const auto& thing : list)
            names_[key].add(thing.id, name_of(thing));
    }
    static std::vector<std::string> lists_of(Role role) {
        switch (role) {
        case Role::circuit:
            return {"circuit"};
        case Role::part:
            return {"part"};
        case Role::stack:
            return {"stack"};
        case Role::seal:
            return {"seal"};
        case Role::port:
            return {"port"};
        case Role::element:
            return {"element"};
        case Role::element_or_part:
            return {"element", "part"};
        case Role::part_or_stack:
            return {"part", "stack"};
        case Role::element_part_or_stack:
            return {"element", "part", "stack"};
        default:
            return {};
        }
    }
    void resolve_text(std::string& text, Role role, const std::string& path) {
        if (text.empty()) return;
        const auto lists = lists_of(role);
        for (const auto& list : lists) {
            if (names_[list].has_id(text)) return;
        }
        for (const auto& list : lists) {
            bool several = false;
            const auto id = names_[list].find(text, several);
            if (!id.empty()) {
                text = id;
                return;
            }
            if (several) {
                book_.error(path, {},
                            phrase("more than one {0} is called \"{1}\"", Phrase::of_marked(list), text.substr(0, 60)),
                            phrase("the id of the one that is meant"));
                return;
            }
        }
    }
    template <class Value> void resolve(Value& value, const Field& field, const std::string& path) {
        if (field.role < Role::circuit) return;
        if constexpr (std::is_same_v<Value, std::string>) {
            resolve_text(value, field.role, path);
        } else if constexpr (std::is_same_v<Value, std::vector<std::string>> ||
                             std::is_same_v<Value, std::array<std::string, 2>>) {
            for (std::size_t i = 0; i < value.size(); ++i)
                resolve_text(value[i], field.role, fmt::format("{}/{}", path, i));
        }
    }

    UnitMap& map_;
    const std::vector<StackShort>& shorts_;
    FaultBook& book_;
    std::set<std::string> taken_;
    Names circuits_;
    std::unordered_map<std::string, Names> names_;
};

} // namespace

void complete(UnitMap& map, const std::vector<StackShort>& stack_shorts, FaultBook& book) {
    Completion(map, stack_shorts, book).run();
}

} // namespace ringland::model
