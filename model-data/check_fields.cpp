// The rules of each key by itself, as the tables state them: texts, references, figures.
#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <unordered_map>

#include <fmt/format.h>

#include "field_checks.h"
#include "map_faults.h"
#include "map_fields.h"
#include "texts.h"
#include "toml_guard.h"

namespace ringland::model {

namespace {

std::size_t characters(std::string_view text) {
    return static_cast<std::size_t>(
        std::count_if(text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; }));
}

bool is_id(std::string_view id) {
    return !id.empty() && id.size() <= 40 && std::all_of(id.begin(), id.end(), [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '_';
    });
}

bool is_colour(std::string_view colour) {
    return colour.size() == 7 && colour[0] == '#' && std::all_of(colour.begin() + 1, colour.end(), [](char c) {
               return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'f') || (c >= 'A' && c <= 'F');
           });
}

/// One list of things that can be referred to.
struct Known {
    std::string_view word;
    std::set<std::string, std::less<>> ids;
    std::vector<std::string> spoken;          ///< ids and names, to find the nearest
    std::map<std::string, std::string> id_of; ///< of a spoken word
};

class FieldChecker {
public:
    FieldChecker(const UnitMap& map, FaultBook& book) : map_(map), book_(book) {}

    void run() {
        know("circuit", map_.circuits);
        know("part", map_.parts);
        know("stack", map_.stacks);
        know("seal", map_.seals);
        know("port", map_.ports);
        know("element", map_.elements);
        if (!book_.spoilt("unit")) check_fields(map_.unit, "unit", marked("the unit"), {});
        check_fields(map_.oil, "oil", marked("the oil"), {});
        for_each_list(map_, [&](const auto& list) {
            using T = typename std::decay_t<decltype(list)>::value_type;
            if (list.size() > limits::things_per_list) {
                book_.error(SourceSpot{}, phrase("the map has {0} of [[{1}]]", list.size(), Table<T>::key),
                            phrase("{0} at most", limits::things_per_list));
            }
            for (std::size_t i = 0; i < list.size() && !book_.full(); ++i) {
                check_fields(list[i], path_of(Table<T>::key, i), Table<T>::word, shown(list[i].id));
            }
        });
    }

private:
    template <class T> void know(const std::string& key, const std::vector<T>& list) {
        Known& known = known_[key];
        known.word = Table<T>::word;
        for (const auto& thing : list) {
            known.ids.insert(thing.id);
            known.spoken.push_back(thing.id);
            known.id_of.emplace(thing.id, thing.id);
            std::string_view name;
            if constexpr (requires { thing.name; }) name = thing.name;
            if constexpr (requires { thing.label; }) name = thing.label;
            if (!name.empty() && known.id_of.emplace(name, thing.id).second) known.spoken.emplace_back(name);
        }
    }
    template <class T>
    void check_fields(const T& thing, const std::string& path, std::string_view word, std::string name) {
        where_ = thing.where;
        word_ = word;
        name_ = std::move(name);
        Table<T>::fields(thing, [&](const auto& value, const Field& field) {
            const std::string key = fmt::format("{}/{}", path, field.key);
            if constexpr (std::is_same_v<T, Seal>) {
                // What a seal of a stack divides follows from the row, and faults of the row are said there.
                if (field.key == "between" && !thing.stack.empty() && !book_.stands(key)) return;
            }
            check(value, field, key);
        });
    }
    void complain(const std::string& path, Phrase what, Phrase right) {
        if (!book_.full()) book_.error(path, where_, std::move(what), std::move(right));
    }
    void check(const std::string& text, const Field& field, const std::string& path) {
        if (text.empty()) {
            // An id or a pair of circuits that is missing where it must stand has its own words elsewhere.
            if (field.required)
                complain(path,
                         name_.empty() ? phrase("{0} has no {1}", Phrase::of_marked(word_), field.key)
                                       : phrase("{0} {1} has no {2}", Phrase::of_marked(word_), name_, field.key),
                         phrase("add {0} = \"...\"", field.key));
            return;
        }
        if (auto found = complaint_about_text(text, field))
            return complain(path, std::move(found->what), std::move(found->right));
        check_role(text, field.role, field.key, path);
    }
    void check_role(const std::string& text, Role role, std::string_view key, const std::string& path) {
        switch (role) {
        case Role::id:
            if (!is_id(text))
                complain(path, phrase("{0} cannot be an id", shown(text)),
                         phrase("1 to 40 letters a-z or A-Z, digits, - or _"));
            return;
        case Role::tag:
            if (characters(text) > 4)
                complain(path, phrase("tag {0} is too long to print on a circuit", shown(text)),
                         phrase("two or three letters, four at most"));
            return;
        case Role::colour:
            if (!is_colour(text))
                complain(path, phrase("{0} is no colour", shown(text)),
                         phrase("six digits of 0-9 and a-f, for example \"#0072b2\""));
            return;
        case Role::shapes:
            return check_shapes(text, path);
        case Role::text:
        case Role::line:
        case Role::row:
            return;
        case Role::circuit:
            return check_reference(text, {"circuit"}, key, path);
        case Role::part:
            return check_reference(text, {"part"}, key, path);
        case Role::stack:
            return check_reference(text, {"stack"}, key, path);
        case Role::seal:
            return check_reference(text, {"seal"}, key, path);
        case Role::port:
            return check_reference(text, {"port"}, key, path);
        case Role::element:
            return check_reference(text, {"element"}, key, path);
        case Role::element_or_part:
            return check_reference(text, {"element", "part"}, key, path);
        case Role::part_or_stack:
            return check_reference(text, {"part", "stack"}, key, path);
        case Role::element_part_or_stack:
            return check_reference(text, {"element", "part", "stack"}, key, path);
        }
    }
    void check_shapes(const std::string& text, const std::string& path) {
        const bool outside = text.find_first_of("/\\:") != std::string::npos || text.find("..") != std::string::npos;
        const bool glb = text.size() > 4 && text.substr(text.size() - 4) == ".glb";
        if (outside)
            complain(path, phrase("{0} leaves the folder of the map", shown(text)),
                     phrase("the bare name of a .glb file that lies beside the map"));
        else if (!glb)
            complain(path, phrase("{0} is no .glb file", shown(text)),
                     phrase("the name of a .glb file that lies beside the map"));
    }
    void check_reference(const std::string& text, const std::vector<std::string>& lists, std::string_view key,
                         const std::string& path) {
        if (book_.full() || book_.spoilt(path)) return;
        std::vector<Phrase> words;
        std::vector<std::string> spoken;
        for (const auto& list : lists) {
            if (known_.at(list).ids.count(text) != 0) return;
            words.push_back(Phrase::of_marked(list));
            spoken.insert(spoken.end(), known_.at(list).spoken.begin(), known_.at(list).spoken.end());
        }
        const std::string near = nearest_word(text, spoken);
        Phrase right = phrase("the id or name of one that the map has");
        for (const auto& list : lists) {
            const auto& ids = known_.at(list).id_of;
            if (const auto found = ids.find(near); !near.empty() && found != ids.end()) {
                right = phrase("\"{0}\"?", found->second);
                break;
            }
        }
        complain(path, phrase("{0}: there is no {1} {2}", key, either(words), shown(text)), right);
    }
    void check_number(double value, double low, double high, const Field& field, std::string_view unit,
                      const std::string& path) {
        if (auto found = complaint_about_figure(value, low, high, field, unit))
            complain(path, std::move(found->what), std::move(found->right));
    }
    template <class Dimension>
    void check(const std::optional<Quantity<Dimension>>& quantity, const Field& field, const std::string& path) {
        if (!quantity) return;
        const auto& unit = quantity->measure();
        check_number(quantity->value, bound_in<Dimension>(field.low, unit), bound_in<Dimension>(field.high, unit),
                     field, unit.suffix, path);
    }
    void check(const std::optional<double>& value, const Field& field, const std::string& path) {
        if (value) check_number(*value, field.low, field.high, field, {}, path);
    }
    void check(const std::optional<int>& value, const Field& field, const std::string& path) {
        if (value) check_number(*value, field.low, field.high, field, {}, path);
    }
    void check(const int& value, const Field& field, const std::string& path) {
        // A place in a stack is absent from a seal that stands in none.
        if (field.key == "nth" && value == 0 && !book_.stands(path)) return;
        check_number(value, field.low, field.high, field, {}, path);
    }
    void check(const std::vector<std::string>& list, const Field& field, const std::string& path) {
        if (list.size() > limits::things_per_list) {
            return complain(path, phrase("this list has {0} entries", list.size()),
                            phrase("{0} at most", limits::things_per_list));
        }
        for (std::size_t i = 0; i < list.size() && !book_.full(); ++i)
            check_entry(list[i], field, fmt::format("{}/{}", path, i));
    }
    void check(const std::vector<double>& list, const Field& field, const std::string& path) {
        for (std::size_t i = 0; i < list.size() && !book_.full(); ++i)
            check_number(list[i], field.low, field.high, field, {}, fmt::format("{}/{}", path, i));
    }
    void check(const std::array<std::string, 2>& pair, const Field& field, const std::string& path) {
        // The pair of a seal is checked with the seal.
        for (std::size_t i = 0; i < 2; ++i) {
            if (!pair[i].empty() || book_.stands(fmt::format("{}/{}", path, i)))
                check_entry(pair[i], field, fmt::format("{}/{}", path, i));
        }
    }
    void check_entry(const std::string& text, const Field& field, const std::string& path) {
        if (text.empty())
            complain(path, phrase("an entry of {0} is empty", field.key), phrase("a name or id"));
        else
            check(text, field, path);
    }
    void check(const std::optional<std::array<double, 2>>& point, const Field& field, const std::string& path) {
        if (point) check_coordinates(*point, field, path);
    }
    void check(const std::vector<std::array<double, 3>>& points, const Field& field, const std::string& path) {
        if (points.size() > limits::things_per_list) {
            return complain(path, phrase("this line has {0} points", points.size()),
                            phrase("{0} at most", limits::things_per_list));
        }
        if (points.size() == 1)
            complain(path, phrase("one point makes no line"), phrase("two points or more, or none"));
        for (std::size_t i = 0; i < points.size() && !book_.full(); ++i)
            check_coordinates(points[i], field, fmt::format("{}/{}", path, i));
    }
    template <class Point> void check_coordinates(const Point& point, const Field& field, const std::string& path) {
        for (std::size_t i = 0; i < point.size(); ++i)
            check_number(point[i], field.low, field.high, field, {}, fmt::format("{}/{}", path, i));
    }
    void check(const bool&, const Field&, const std::string&) {}
    template <class Enum>
    requires std::is_enum_v<Enum>
    void check(const Enum&, const Field&, const std::string&) {}
    template <class Enum>
    requires std::is_enum_v<Enum>
    void check(const std::optional<Enum>&, const Field&, const std::string&) {}

    const UnitMap& map_;
    FaultBook& book_;
    std::unordered_map<std::string, Known> known_;
    SourceSpot where_;      ///< of the thing under check
    std::string_view word_; ///< what the thing under check is
    std::string name_;      ///< and which
};

} // namespace

std::optional<FieldComplaint> complaint_about_figure(double value, double low, double high, const Field& field,
                                                     std::string_view unit) {
    const std::string figure = fmt::format("{}{}{}", field.key, unit.empty() ? "" : "_", unit);
    if (!std::isfinite(value)) return FieldComplaint{phrase("{0} is not a figure", figure), phrase("a plain number")};
    if (field.above_low ? value <= low : value < low) {
        return FieldComplaint{phrase("{0} is {1}", figure, value),
                              field.above_low ? phrase("more than {0}", low) : phrase("not less than {0}", low)};
    }
    if (value > high) return FieldComplaint{phrase("{0} is {1}", figure, value), phrase("{0} at most", high)};
    return std::nullopt;
}

std::optional<FieldComplaint> complaint_about_text(const std::string& text, const Field& field) {
    if (text.size() > limits::text_bytes) {
        return FieldComplaint{phrase("this text has {0} bytes", text.size()),
                              phrase("{0} at most", limits::text_bytes)};
    }
    const bool lines = field.role == Role::text;
    const auto bad = [&](char c) {
        return (static_cast<unsigned char>(c) < 0x20 && !(lines && (c == '\n' || c == '\t' || c == '\r'))) || c == 0x7f;
    };
    if (!is_utf8(text)) return FieldComplaint{phrase("{0} is not UTF-8 text", field.key), phrase("text in UTF-8")};
    if (std::any_of(text.begin(), text.end(), bad)) {
        return FieldComplaint{phrase("{0} has a line break or a control character in it", field.key),
                              phrase("plain text on one line")};
    }
    return std::nullopt;
}

void check_fields(const UnitMap& map, FaultBook& book) { FieldChecker(map, book).run(); }

} // namespace ringland::model
