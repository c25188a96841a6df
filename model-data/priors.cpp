#include "priors.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "field_checks.h"
#include "field_reader.h"
#include "field_writer.h"
#include "toml_document.h"

namespace ringland::model {

namespace {

constexpr Field chance(std::string_view key, std::string_view says, double high) {
    return {.key = key, .says = says, .high = high};
}
constexpr Field spread(std::string_view key, std::string_view says) {
    return {.key = key, .says = says, .high = 3, .above_low = true};
}
constexpr Field minutes(std::string_view key, std::string_view says) {
    return {.key = key, .says = says, .high = 1000, .above_low = true};
}

constexpr std::array<std::string_view, mechanism_count> mechanism_says{
    "Share: cut, crack, missing piece; the same wet or dry, at any angle",
    "Share: lip or ball that leaks in the direction that it holds back",
    "Share: joint gap, worn bore, bushing; changes with the angle of the shaft",
    "Share: step in the groove wall; changes when the shaft is pushed through its end play",
    "Share: within tolerance but dry; oil seals it",
    "Share: gasket, plate, warp; changes with the bolts"};

} // namespace

/// Every key of a priors file; the reader, the check and the writer walk these two tables.
template <> struct Table<Priors> {
    static constexpr std::string_view key = "priors", word = "[priors]";
    template <class T, class V> static void fields(T& t, V&& see) {
        see(t.note, Field{.key = "note", .says = "Free remark", .role = Role::text});
        see(t.plate_fails, chance("plate-fails",
                                  "Probability that the gasket under the test plate leaks somewhere, or the plate is "
                                  "not snug",
                                  0.9));
        see(t.hose_fails, chance("hose-fails", "Probability that hose or nozzle leaks, or the regulator starves", 0.9));
        see(t.unmapped, chance("unmapped", "Probability of a fault that is not on the map", 0.9));
        see(t.size_median_mm, Field{.key = "size-median_mm",
                                    .says = "Half of all defects are smaller, as a sharp-edged hole",
                                    .high = 20,
                                    .above_low = true});
        see(t.size_spread, spread("size-spread", "Standard deviation of the logarithm of that size"));
        see(t.misheard, chance("misheard", "Probability that a word is one of its neighbours, mistaken", 0.5));
        see(t.flow_error,
            spread("flow-error", "Standard deviation of the logarithm of a computed flow through a defect"));
        see(t.sound_error, spread("sound-error", "The same for the leak of a sound seal"));
        see(t.gauge_error, Field{.key = "gauge-error",
                                 .says = "Standard deviation of what a gauge reads, as a share of it",
                                 .high = 0.5,
                                 .above_low = true});
        see(t.gauge_least_psi, Field{.key = "gauge-least_psi",
                                     .says = "That error is never taken as smaller than this, psi",
                                     .high = 20,
                                     .above_low = true});
        see(t.time_error, spread("time-error", "Standard deviation of the logarithm of a time"));
        see(t.look_misses, chance("look-misses", "Probability that a damaged seal looks sound", 0.5));
        see(t.look_alarms, chance("look-alarms", "Probability that a sound seal looks damaged", 0.5));
        see(t.minutes_reading, minutes("minutes-reading", "Minutes for one reading: air on, listen at every port"));
        see(t.minutes_plug, minutes("minutes-plug", "More minutes for a port that is plugged"));
        see(t.minutes_gauge, minutes("minutes-gauge", "More minutes for a gauge screwed into a port"));
        see(t.minutes_wet, minutes("minutes-wet", "More minutes to put oil in first"));
        see(t.minutes_turn, minutes("minutes-turn", "More minutes to turn the shaft"));
        see(t.minutes_push, minutes("minutes-push", "More minutes to push the shaft through its end play"));
        see(t.minutes_resnug, minutes("minutes-resnug", "More minutes to draw the bolts of the test plate again"));
        see(t.minutes_rig, minutes("minutes-rig", "Minutes to prove hose and plate"));
        see(t.enough, Field{.key = "enough",
                            .says = "Probability that the right part comes off, at which testing stops",
                            .low = 0.5,
                            .high = 0.9999});
    }
};

template <> struct Table<KindPrior> {
    static constexpr std::string_view key = "kind", word = "kind of seal";
    template <class T, class V> static void fields(T& t, V&& see) {
        see(t.fails, chance("fails", "Probability that one of them is at fault in a unit that is air checked", 0.5));
        for (std::size_t m = 0; m < mechanism_count; ++m)
            see(t.mechanism[m], chance(word_of(m), mechanism_says[m], 1));
    }
    static constexpr std::string_view word_of(std::size_t mechanism) {
        return model::word(static_cast<Mechanism>(mechanism));
    }
};

namespace {

constexpr FileKind priors_file{marked("a priors file"), "[priors]", 1u << 16};
constexpr std::string_view kinds_key = Table<KindPrior>::key;
/// Shares that are rounded may miss 1 by this much.
constexpr double share_slack = 0.01;

/// Holds the figures of one table against the bounds of their keys.
class PriorsCheck {
public:
    PriorsCheck(FaultBook& book, std::string path) : book_(book), path_(std::move(path)) {}

    void operator()(const std::string& text, const Field& field) {
        if (!text.empty()) complain(field, complaint_about_text(text, field));
    }
    void operator()(const double& value, const Field& field) {
        complain(field, complaint_about_figure(value, field.low, field.high, field, {}));
    }
    [[nodiscard]] bool good() const { return good_; }

private:
    void complain(const Field& field, std::optional<FieldComplaint> found) {
        const std::string path = fmt::format("{}/{}", path_, field.key);
        if (found) book_.error(path, {}, std::move(found->what), std::move(found->right));
        if (found || book_.spoilt(path)) good_ = false;
    }

    FaultBook& book_;
    std::string path_;
    bool good_ = true;
};

class PriorsReader {
public:
    PriorsReader(const toml::table& root, FaultBook& book) : root_(root), book_(book) {}

    Priors read() {
        Priors priors;
        const std::string key(Table<Priors>::key), kinds(kinds_key);
        for (const auto& [other, node] : root_) {
            if (other.str() == key || other.str() == kinds) continue;
            const auto near = nearest_word(other.str(), {key, kinds});
            book_.warning(spot_of(other.source()), phrase("a priors file has nothing called {0}", shown(other.str())),
                          near == key     ? phrase("{0}?", "[priors]")
                          : near == kinds ? phrase("{0}?", "[kind.ring]")
                                          : phrase("it has [priors] and tables as [kind.ring]"));
        }
        if (!root_.contains(key) && !root_.contains(kinds)) {
            book_.error(SourceSpot{1, 1}, phrase("the file has no [priors]"),
                        phrase("[priors] with at least one figure under it"));
            return priors;
        }
        if (const auto* table = table_of(root_, key, "priors", phrase("one table [priors]"))) {
            FieldReader reader(*table, key, Table<Priors>::word, book_);
            Table<Priors>::fields(priors, reader);
            reader.finish(marked("list of priors"));
            Table<Priors>::fields(std::as_const(priors), PriorsCheck(book_, key));
        }
        if (const auto* table = table_of(root_, kinds, "kind", phrase("tables as [kind.ring]")))
            read_kinds(*table, priors);
        return priors;
    }

private:
    const toml::table* table_of(const toml::table& parent, std::string_view key, std::string_view name,
                                const Phrase& right) {
        const auto* node = parent.get(key);
        if (!node) return nullptr;
        if (const auto* table = node->as_table()) return table;
        book_.error(spot_of(node->source()), phrase("{0} is {1}", name, type_words(*node)), right);
        return nullptr;
    }
    void read_kinds(const toml::table& kinds, Priors& priors) {
        const auto words = words_list<SealKind>();
        for (const auto& [key, node] : kinds) {
            if (from_word<SealKind>(key.str())) continue;
            const auto near = nearest_word(key.str(), words);
            book_.warning(spot_of(key.source()), phrase("there is no kind of seal {0}", shown(key.str())),
                          near.empty() ? phrase("one of {0}", either(words))
                                       : phrase("{0}?", fmt::format("[kind.{}]", near)));
        }
        for (std::size_t k = 0; k < words.size(); ++k) {
            const std::string name = fmt::format("{}.{}", kinds_key, words[k]);
            if (const auto* table = table_of(kinds, words[k], name, phrase("one table [{0}]", name)))
                read_kind(*table, words[k], priors.kind[k]);
        }
    }
    void read_kind(const toml::table& table, const std::string& kind, KindPrior& prior) {
        const std::string path = fmt::format("{}/{}", kinds_key, kind);
        // Shares belong together: where one is given, those left out are none.
        bool shares = false;
        for (const auto& mechanism : words_list<Mechanism>())
            shares = shares || table.contains(mechanism);
        if (shares) prior.mechanism.fill(0);
        FieldReader reader(table, path, Table<KindPrior>::word, book_);
        Table<KindPrior>::fields(prior, reader);
        reader.finish(marked("list of priors"));
        PriorsCheck check(book_, path);
        Table<KindPrior>::fields(std::as_const(prior), check);
        if (!check.good()) return;
        const double sum = std::accumulate(prior.mechanism.begin(), prior.mechanism.end(), 0.0);
        if (std::abs(sum - 1) > share_slack) {
            book_.error(path, {}, phrase("the shares of {0} add up to {1:.4g}", kind, sum),
                        phrase("1: {0} together", all_of(words_list<Mechanism>())));
            return;
        }
        // What was written in full digits stays as it is.
        if (std::abs(sum - 1) < 1e-9) return;
        for (double& share : prior.mechanism)
            share /= sum;
    }
    [[nodiscard]] static Phrase all_of(const std::vector<std::string>& words) {
        return phrase("{0} and {1}", fmt::format("{}", fmt::join(words.begin(), words.end() - 1, ", ")), words.back());
    }

    const toml::table& root_;
    FaultBook& book_;
};

/// Writes each key with what it says in front.
class PriorsWriter {
public:
    PriorsWriter(std::string& out, bool all) : out_(out), write_(out), all_(all) {}
    template <class Value> void operator()(const Value& value, const Field& field) {
        if constexpr (std::is_same_v<Value, double>) {
            if (!all_ && value == 0) return;
        }
        const std::size_t before = out_.size();
        write_(value, field);
        if (out_.size() > before) out_.insert(before, fmt::format("# {}\n", field.says));
    }

private:
    std::string& out_;
    FieldWriter write_;
    bool all_; ///< false: a figure of nought is left out
};

} // namespace

ReadPriorsResult read_priors_text(std::string_view toml, std::string file) {
    toml::table root;
    if (auto fault = parse_document(toml, file, priors_file, root)) return {std::nullopt, {std::move(*fault)}};
    FaultBook book(std::move(file));
    Priors priors = PriorsReader(root, book).read();
    ReadPriorsResult result;
    result.faults = book.take();
    if (!has_error(result.faults)) result.priors = std::move(priors);
    return result;
}

ReadPriorsResult read_priors(const std::filesystem::path& path) {
    std::string text;
    if (auto fault = read_file_text(path, priors_file, text)) return {std::nullopt, {std::move(*fault)}};
    return read_priors_text(text, path.string());
}

bool holds_priors(const std::filesystem::path& path) {
    std::string text;
    toml::table root;
    if (read_file_text(path, priors_file, text) || parse_document(text, path.string(), priors_file, root)) return false;
    return (root.contains(Table<Priors>::key) || root.contains(kinds_key)) && !root.contains(Table<UnitInfo>::key);
}

std::string write_priors_text(const Priors& priors) {
    std::string out =
        "# What is likely before anything was heard, and how far a reading can be trusted. Every figure here is "
        "common\n"
        "# practice, no source, until a shop puts its own in its place. A figure that is left out keeps its default.\n"
        "[priors]\n";
    Table<Priors>::fields(priors, PriorsWriter(out, true));
    out +=
        "\n# Kinds of seal: how often one fails, and in which way then. The shares of a kind add up to 1; one that is\n"
        "# left out while others stand there is none.\n";
    for (std::size_t k = 0; k < priors.kind.size(); ++k) {
        out += fmt::format("\n[{}.{}]\n", kinds_key, word(static_cast<SealKind>(k)));
        // `fails` always stands there; a share of nought does not.
        const std::size_t before = out.size();
        Table<KindPrior>::fields(priors.kind[k], PriorsWriter(out, false));
        if (priors.kind[k].fails == 0) out.insert(before, "fails = 0\n");
    }
    return out;
}

} // namespace ringland::model
