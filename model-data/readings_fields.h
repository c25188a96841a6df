// Every key of a readings file, once: reader, checks and writer all walk these tables. Private to model-data.
#pragma once

#include "map_fields.h"
#include "readings.h"

namespace ringland::model {

/// What the key `word` may say: a word of Heard, in the same order, or that none was right.
enum class WordSaid { nothing, faint, clear, strong, not_sure };
template <> struct EnumNames<WordSaid> {
    static constexpr std::array<std::string_view, 5> words{"nothing", "faint", "clear", "strong", "not sure"};
};

/// A Seen as its table in a file says it.
struct SeenTable {
    std::string at;
    std::optional<WordSaid> word;
    std::optional<GaugePressure> pressure;
    std::optional<double> flow_lpm, applies_after_s;

    SeenTable() = default;
    explicit SeenTable(const Seen& seen)
        : at(seen.at), pressure(seen.pressure), flow_lpm(seen.flow_lpm), applies_after_s(seen.applies_after_s) {
        if (seen.word) word = static_cast<WordSaid>(*seen.word);
        if (seen.not_sure) word = WordSaid::not_sure;
    }
    [[nodiscard]] Seen seen(SourceSpot where) const {
        Seen out;
        out.at = at;
        out.not_sure = word == WordSaid::not_sure;
        if (word && !out.not_sure) out.word = static_cast<Heard>(*word);
        out.pressure = pressure;
        out.flow_lpm = flow_lpm;
        out.applies_after_s = applies_after_s;
        out.where = where;
        return out;
    }
};

template <> struct Table<Reading> {
    static constexpr std::string_view key = "reading", word = "reading";
    template <class T, class V> static void fields(T& t, V&& see) {
        see(t.into, Field{.key = "into", .says = "Port that got the air", .role = Role::port, .required = true});
        see(t.pressure, Field{.key = "pressure", .says = "At the regulator, gauge", .high = 145, .above_low = true});
        see(t.plugged,
            Field{.key = "plugged", .says = "Ports closed by hand or plug; all others are open", .role = Role::port});
        see(t.applied, Field{.key = "applied", .says = "How the element of the port under air felt"});
        see(t.wet, Field{.key = "wet", .says = "Oil was put in before"});
        see(t.shaft_turned_deg,
            Field{.key = "shaft_turned_deg", .says = "Turned from where it stood before", .low = -360, .high = 360});
        see(t.pushed, Field{.key = "pushed", .says = "The shaft was held through its end play"});
        see(t.plate_resnugged, Field{.key = "plate_resnugged", .says = "The bolts of the test plate were drawn again"});
        see(t.note, Field{.key = "note", .says = "Free remark", .role = Role::text});
    }
};

template <> struct Table<SeenTable> {
    static constexpr std::string_view key = "seen", word = "[[reading.seen]]";
    template <class T, class V> static void fields(T& t, V&& see) {
        see(t.at, Field{.key = "at", .says = "Port, or \"case\"", .role = Role::port, .required = true});
        see(t.word, Field{.key = "word", .says = "What was heard there"});
        see(t.pressure, Field{.key = "pressure", .says = "On a gauge that closes the port, gauge", .high = 145});
        see(t.flow_lpm,
            Field{.key = "flow_lpm", .says = "Out of the open port, normal litres a minute", .high = 10000});
        see(t.applies_after_s,
            Field{.key = "applies_after_s", .says = "The element of this blocked port applied so late", .high = 600});
    }
};

template <> struct Table<Look> {
    static constexpr std::string_view key = "look", word = "look";
    template <class T, class V> static void fields(T& t, V&& see) {
        see(t.seal,
            Field{.key = "seal", .says = "Seal that was looked at, or \"rig\"", .role = Role::seal, .required = true});
        see(t.found, Field{.key = "found", .says = "How it was found", .required = true});
        see(t.note, Field{.key = "note", .says = "Free remark", .role = Role::text});
    }
};

template <> struct Table<Complaint> {
    static constexpr std::string_view key = "complaint", word = "complaint";
    template <class T, class V> static void fields(T& t, V&& see) {
        see(t.range, Field{.key = "range", .says = "Range in which it shows, by id or name", .required = true});
        see(t.symptom, Field{.key = "symptom", .says = "What the driver feels", .required = true});
        see(t.absent, Field{.key = "absent", .says = "He was asked, and this does not show in this range"});
        see(t.hot_only, Field{.key = "hot_only", .says = "Only with hot oil"});
        see(t.starts_in, Field{.key = "starts_in", .says = "Range that it feels like instead"});
        see(t.note, Field{.key = "note", .says = "Free remark", .role = Role::text});
    }
};

class FaultBook;

/// The checks of check_readings(), with faults at the places of the file.
void check_readings(const AirCheck& check, const UnitMap& map, FaultBook& book);

} // namespace ringland::model
