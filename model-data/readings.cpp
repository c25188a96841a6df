// From TOML text to an air check and back.
#include "readings.h"

#include <fmt/format.h>

#include "field_reader.h"
#include "field_writer.h"
#include "readings_fields.h"
#include "spoken_names.h"
#include "toml_document.h"

namespace ringland::model {

namespace {

constexpr FileKind readings_file{marked("a readings file"), marked("[[reading]] and the port that got the air"),
                                 1u << 20};
constexpr std::string_view reference = marked("readings reference");

class ReadingsReader {
public:
    ReadingsReader(const toml::table& root, FaultBook& book) : root_(root), book_(book) {}

    AirCheck read() {
        AirCheck check;
        const std::string reading(Table<Reading>::key), look(Table<Look>::key), complaint(Table<Complaint>::key);
        each(root_.get(reading), reading, reading, [&](const toml::table& table, const std::string& path) {
            check.readings.push_back(read_reading(table, path));
        });
        each(root_.get(look), look, look, [&](const toml::table& table, const std::string& path) {
            check.looks.push_back(read_thing<Look>(table, path));
        });
        each(root_.get(complaint), complaint, complaint, [&](const toml::table& table, const std::string& path) {
            check.complaints.push_back(read_thing<Complaint>(table, path));
        });
        const std::vector<std::string> known{reading, look, complaint};
        for (const auto& [key, node] : root_) {
            if (std::find(known.begin(), known.end(), key.str()) != known.end()) continue;
            const auto near = nearest_word(key.str(), known);
            book_.warning(spot_of(key.source()), phrase("a readings file has nothing called {0}", shown(key.str())),
                          near.empty() ? phrase("it has [[reading]], [[look]] and [[complaint]]")
                                       : phrase("{0}?", fmt::format("[[{}]]", near)));
        }
        // A map or a bench by mistake is an error; a file with nothing in it yet is an air check that begins.
        if (!root_.contains(reading) && !root_.contains(look) && !root_.contains(complaint)) {
            const Phrase what = phrase("the file has no [[reading]]");
            const Phrase right = phrase("[[reading]] with into = \"P1\", the port that got the air");
            if (root_.empty())
                book_.warning(SourceSpot{1, 1}, what, right);
            else
                book_.error(SourceSpot{1, 1}, what, right);
        }
        return check;
    }

private:
    /// Calls for each table of a list; `name` is how a person writes it. A list that is none is a fault.
    template <class Call>
    void each(const toml::node* node, const std::string& path, const std::string& name, Call&& call) {
        if (!node) return;
        book_.place(path, spot_of(node->source()));
        const auto* array = node->as_array();
        if (!array) {
            return book_.error(path, spot_of(node->source()), phrase("{0} is {1}", name, type_words(*node)),
                               phrase("[[{0}]] with two brackets", name));
        }
        if (array->size() > limits::things_per_list) {
            return book_.error(path, spot_of(array->source()), phrase("there are {0} of [[{1}]]", array->size(), name),
                               phrase("{0} at most", limits::things_per_list));
        }
        std::size_t index = 0;
        for (const auto& entry : *array) {
            if (const auto* table = entry.as_table()) {
                call(*table, path_of(path, index++));
            } else {
                book_.error(spot_of(entry.source()), phrase("an entry of {0} is {1}", name, type_words(entry)),
                            Phrase::as_is(fmt::format("[[{}]]", name)));
            }
        }
    }
    template <class T> T read_thing(const toml::table& table, const std::string& path) {
        T thing;
        FieldReader reader(table, path, Table<T>::word, book_);
        Table<T>::fields(thing, reader);
        if constexpr (std::is_same_v<T, Reading>) reader.knows(Table<SeenTable>::key);
        if constexpr (!std::is_same_v<T, SeenTable>) thing.where = spot_of(table.source());
        reader.finish(reference);
        return thing;
    }
    Reading read_reading(const toml::table& table, const std::string& path) {
        Reading reading = read_thing<Reading>(table, path);
        const std::string seen(Table<SeenTable>::key);
        each(table.get(seen), path + "/" + seen, "reading.seen",
             [&](const toml::table& entry, const std::string& entry_path) {
                 reading.seen.push_back(read_thing<SeenTable>(entry, entry_path).seen(spot_of(entry.source())));
             });
        return reading;
    }

    const toml::table& root_;
    FaultBook& book_;
};

/// Puts ids in place of what the bench says; what is not understood stays, for the check to complain of.
void resolve(AirCheck& check, const UnitMap& map) {
    const SpokenNames names(map);
    const auto put = [](std::string& text, std::string id) {
        if (!id.empty()) text = std::move(id);
    };
    for (auto& reading : check.readings) {
        put(reading.into, names.port(reading.into));
        for (auto& port : reading.plugged)
            put(port, names.port(port));
        for (auto& seen : reading.seen)
            put(seen.at, names.port_or_case(seen.at));
    }
    for (auto& look : check.looks)
        if (look.seal != the_rig) put(look.seal, names.seal(look.seal));
    for (auto& complaint : check.complaints) {
        put(complaint.range, names.range(complaint.range));
        put(complaint.starts_in, names.range(complaint.starts_in));
    }
}

} // namespace

ReadReadingsResult read_readings_text(std::string_view toml, std::string file, const UnitMap& map) {
    toml::table root;
    if (auto fault = parse_document(toml, file, readings_file, root)) return {std::nullopt, {std::move(*fault)}};
    FaultBook book(std::move(file));
    AirCheck check = ReadingsReader(root, book).read();
    resolve(check, map);
    check_readings(check, map, book);
    ReadReadingsResult result;
    result.faults = book.take();
    if (!has_error(result.faults)) result.check = std::move(check);
    return result;
}

ReadReadingsResult read_readings(const std::filesystem::path& path, const UnitMap& map) {
    std::string text;
    if (auto fault = read_file_text(path, readings_file, text)) return {std::nullopt, {std::move(*fault)}};
    return read_readings_text(text, path.string(), map);
}

namespace {
/// Nothing where there is an error.
std::optional<AirCheck> parse_unchecked(std::string_view toml) {
    toml::table root;
    if (parse_document(toml, "reading", readings_file, root)) return {};
    FaultBook book("reading");
    AirCheck check = ReadingsReader(root, book).read();
    if (has_error(book.take())) return {};
    return check;
}
} // namespace

std::optional<Reading> parse_reading(std::string_view toml) {
    auto check = parse_unchecked(toml);
    if (!check || check->readings.size() != 1) return {};
    return std::move(check->readings.front());
}

std::optional<Complaint> parse_complaint(std::string_view toml) {
    auto check = parse_unchecked(toml);
    if (!check || check->complaints.size() != 1) return {};
    return std::move(check->complaints.front());
}

bool holds_readings(const std::filesystem::path& path) {
    std::string text;
    toml::table root;
    if (read_file_text(path, readings_file, text) || parse_document(text, path.string(), readings_file, root))
        return false;
    return (root.contains(Table<Reading>::key) || root.contains(Table<Look>::key) ||
            root.contains(Table<Complaint>::key)) &&
           !root.contains(Table<UnitInfo>::key);
}

std::string write_readings_text(const AirCheck& check) {
    std::string out = "# An air check for Ringland: each pull of the trigger, and what came out where.\n";
    FieldWriter write(out);
    for (const auto& reading : check.readings) {
        out += "\n[[reading]]\n";
        Table<Reading>::fields(reading, write);
        for (const auto& seen : reading.seen) {
            out += "[[reading.seen]]\n";
            const SeenTable table(seen);
            Table<SeenTable>::fields(table, write);
        }
    }
    for (const auto& look : check.looks) {
        out += "\n[[look]]\n";
        Table<Look>::fields(look, write);
    }
    for (const auto& complaint : check.complaints) {
        out += "\n[[complaint]]\n";
        Table<Complaint>::fields(complaint, write);
    }
    return out;
}

} // namespace ringland::model
