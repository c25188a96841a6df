// The rules of an air check, the same for one from a file and one from the window.
#include <algorithm>
#include <set>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "field_checks.h"
#include "map_faults.h"
#include "readings_fields.h"
#include "spoken_names.h"

namespace ringland::model {

namespace {

/// 10 bar, in the figure that stands for it in each unit.
constexpr std::array<double, 3> most_pressure{145, 1000, 10};

/// Holds each key by itself against the bounds of its field; a visitor for the tables.
class KeyCheck {
public:
    KeyCheck(FaultBook& book, std::string path, SourceSpot where)
        : book_(book), path_(std::move(path)), where_(where) {}

    void operator()(const std::string& text, const Field& field) {
        if (text.empty()) {
            if (field.required)
                complain(field,
                         {phrase("{0} is not said", field.key), Phrase::as_is(fmt::format("{} = \"...\"", field.key))});
            return;
        }
        if (field.role != Role::text) return; // a name is held against the map
        if (auto found = complaint_about_text(text, field)) complain(field, std::move(*found));
    }
    void operator()(const std::optional<GaugePressure>& pressure, const Field& field) {
        if (!pressure) return;
        const double most = most_pressure[static_cast<std::size_t>(pressure->unit)];
        if (auto found = complaint_about_figure(pressure->value, field.low, most, field, pressure->measure().suffix))
            complain(field, std::move(*found));
    }
    void operator()(const std::optional<double>& value, const Field& field) {
        if (!value) return;
        if (auto found = complaint_about_figure(*value, field.low, field.high, field, {}))
            complain(field, std::move(*found));
    }
    void operator()(const std::vector<std::string>& list, const Field& field) {
        if (list.size() > limits::things_per_list)
            complain(field, {phrase("{0} has {1} entries", field.key, list.size()),
                             phrase("{0} at most", limits::things_per_list)});
    }
    template <class Other> void operator()(const Other&, const Field&) {}

private:
    void complain(const Field& field, FieldComplaint found) {
        book_.error(fmt::format("{}/{}", path_, field.key), where_, std::move(found.what), std::move(found.right));
    }

    FaultBook& book_;
    std::string path_;
    SourceSpot where_;
};

class ReadingsChecker {
public:
    ReadingsChecker(const UnitMap& map, FaultBook& book) : names_(map), book_(book) {
        for (const auto& port : map.ports)
            ports_.insert(port.id);
        for (const auto& seal : map.seals)
            seals_.insert(seal.id);
        for (const auto& range : map.ranges)
            ranges_.insert(range.id);
    }

    void check(const AirCheck& check) {
        limit(check.readings.size(), Table<Reading>::key, {}, {});
        limit(check.looks.size(), Table<Look>::key, {}, {});
        for (std::size_t i = 0; i < check.readings.size() && !book_.full(); ++i)
            check_reading(check.readings[i], path_of(Table<Reading>::key, i));
        for (std::size_t i = 0; i < check.looks.size() && !book_.full(); ++i)
            check_look(check.looks[i], path_of(Table<Look>::key, i));
        limit(check.complaints.size(), Table<Complaint>::key, {}, {});
        for (std::size_t i = 0; i < check.complaints.size() && !book_.full(); ++i)
            check_complaint(check.complaints[i], path_of(Table<Complaint>::key, i));
    }

private:
    void limit(std::size_t count, std::string_view key, const std::string& path, SourceSpot where) {
        if (count <= limits::things_per_list) return;
        book_.error(path.empty() ? std::string(key) : fmt::format("{}/{}", path, key), where,
                    phrase("there are {0} of {1}", count, key), phrase("{0} at most", limits::things_per_list));
    }
    void check_reading(const Reading& reading, const std::string& path) {
        where_ = reading.where;
        Table<Reading>::fields(reading, KeyCheck(book_, path, where_));
        check_port(reading.into, path + "/into");
        std::set<std::string_view> plugged;
        for (std::size_t k = 0; k < reading.plugged.size() && !book_.full(); ++k)
            check_plugged(reading, reading.plugged[k], fmt::format("{}/plugged/{}", path, k), plugged);
        limit(reading.seen.size(), Table<SeenTable>::key, path, where_);
        std::set<std::string_view> seen_at;
        for (std::size_t k = 0; k < reading.seen.size() && !book_.full(); ++k)
            check_seen(reading, reading.seen[k], fmt::format("{}/seen/{}", path, k), plugged, seen_at);
        if (reading.seen.empty() && !reading.applied && !book_.spoilt(path + "/seen")) {
            book_.warning(book_.spot(path, reading.where), phrase("this reading does not say what came of it"),
                          phrase("[[reading.seen]] for each port where you listened, or applied"));
        }
    }
    /// A port of the map by its id. What only a person understands is told as the id that is meant.
    void check_port(const std::string& text, const std::string& path) {
        if (text.empty() || ports_.count(text) != 0) return;
        complain(path, names_.complaint_about_port(text));
    }
    void complain(const std::string& path, FieldComplaint found) {
        book_.error(path, where_, std::move(found.what), std::move(found.right));
    }
    void check_plugged(const Reading& reading, const std::string& port, const std::string& path,
                       std::set<std::string_view>& plugged) {
        if (port.empty()) return book_.error(path, where_, phrase("an entry of plugged is empty"), phrase("a port"));
        check_port(port, path);
        if (ports_.count(port) == 0) return;
        if (port == reading.into)
            return book_.error(path, where_, phrase("{0} gets the air and is plugged", port), phrase("one of the two"));
        if (!plugged.insert(port).second)
            book_.error(path, where_, phrase("{0} is plugged twice", port), phrase("name it once"));
    }
    void check_seen(const Reading& reading, const Seen& seen, const std::string& path,
                    const std::set<std::string_view>& plugged, std::set<std::string_view>& seen_at) {
        where_ = seen.where;
        const SeenTable table(seen);
        Table<SeenTable>::fields(table, KeyCheck(book_, path, where_));
        check_one_figure(seen, path);
        const std::string at = path + "/at";
        const bool of_case = seen.at == open_case;
        if (seen.at.empty()) return;
        if (!of_case && ports_.count(seen.at) == 0) return complain(at, names_.complaint_about_port(seen.at));
        if (!seen_at.insert(seen.at).second) {
            book_.error(
                at, where_, phrase("{0} is seen twice in this reading", seen.at),
                phrase("one [[reading.seen]] for each port; another pull of the trigger is another [[reading]]"));
            return;
        }
        const bool by_ear = seen.word || seen.not_sure || seen.flow_lpm;
        if (seen.at == reading.into && (by_ear || seen.applies_after_s)) {
            book_.error(at, where_, phrase("{0} gets the air: only its gauge can be read there", seen.at),
                        phrase("pressure_psi; how its own element felt stands in applied"));
        } else if (plugged.count(seen.at) != 0 && by_ear) {
            book_.error(at, where_, phrase("{0} is plugged, so no air comes out there", seen.at),
                        phrase("pressure_psi on a gauge, applies_after_s, or a port that is not plugged"));
        } else if (of_case && (seen.pressure || seen.applies_after_s)) {
            book_.error(at, where_, phrase("the open case has no gauge and no element"), phrase("word or flow_lpm"));
        }
    }
    void check_one_figure(const Seen& seen, const std::string& path) {
        std::vector<std::string> given;
        std::string last;
        const auto count = [&](bool there, std::string_view key, std::string shown_key) {
            // A key with a fault in it is there all the same.
            if (!there && !book_.spoilt(fmt::format("{}/{}", path, key))) return;
            given.push_back(std::move(shown_key));
            last = key;
        };
        count(seen.word || seen.not_sure, "word", "word");
        if (seen.word && seen.not_sure) given.emplace_back("not sure");
        count(seen.pressure.has_value(), "pressure",
              fmt::format("pressure_{}", seen.pressure ? seen.pressure->measure().suffix : "psi"));
        count(seen.flow_lpm.has_value(), "flow_lpm", "flow_lpm");
        count(seen.applies_after_s.has_value(), "applies_after_s", "applies_after_s");
        if (given.size() > 1) {
            book_.error(fmt::format("{}/{}", path, last), where_, phrase("{0} are given together", and_list(given)),
                        phrase("one of them; each pull of the trigger is a [[reading]] of its own"));
        } else if (given.empty()) {
            book_.error(
                path, where_, phrase("this does not say what was seen"),
                phrase("word, pressure_psi, flow_lpm or applies_after_s; a port that was not tested is left out"));
        }
    }
    /// Of two or more.
    [[nodiscard]] static Phrase and_list(const std::vector<std::string>& words) {
        return phrase("{0} and {1}", fmt::format("{}", fmt::join(words.begin(), words.end() - 1, ", ")), words.back());
    }
    void check_look(const Look& look, const std::string& path) {
        where_ = look.where;
        Table<Look>::fields(look, KeyCheck(book_, path, where_));
        if (look.seal.empty() || look.seal == the_rig || seals_.count(look.seal) != 0) return;
        complain(path + "/seal", names_.complaint_about_seal(look.seal));
    }
    void check_complaint(const Complaint& complaint, const std::string& path) {
        where_ = complaint.where;
        Table<Complaint>::fields(complaint, KeyCheck(book_, path, where_));
        for (const auto& [range, key] :
             {std::pair{&complaint.range, "/range"}, std::pair{&complaint.starts_in, "/starts_in"}}) {
            if (!range->empty() && ranges_.count(*range) == 0)
                complain(path + key, names_.complaint_about_range(*range));
        }
        if (!complaint.starts_in.empty() && complaint.symptom != Symptom::wrong_gear) {
            complain(path + "/starts_in", {phrase("only a wrong gear starts in another range"),
                                           phrase("symptom = \"wrong-gear\", or leave starts_in out")});
        }
    }

    SpokenNames names_;
    FaultBook& book_;
    std::set<std::string, std::less<>> ports_, seals_, ranges_;
    SourceSpot where_; ///< of the thing under check
};

} // namespace

void check_readings(const AirCheck& check, const UnitMap& map, FaultBook& book) {
    ReadingsChecker(map, book).check(check);
}

std::vector<Fault> check_readings(const AirCheck& check, const UnitMap& map, const std::string& file) {
    FaultBook book(file);
    check_readings(check, map, book);
    return book.take();
}

} // namespace ringland::model
