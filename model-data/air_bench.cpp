#include "air_bench.h"

#include <fmt/format.h>

#include "field_checks.h"
#include "field_reader.h"
#include "field_writer.h"
#include "toml_document.h"

namespace ringland::model {

/// Every key of a bench file; the reader, the check and the writer walk it.
template <> struct Table<AirBench> {
    static constexpr std::string_view key = "bench", word = "bench";
    template <class T, class V> static void fields(T& t, V&& see) {
        see(t.name, Field{.key = "name", .says = "Name of the bench"});
        see(t.note, Field{.key = "note", .says = "Free remark", .role = Role::text});
        see(t.pressure, Field{.key = "pressure",
                              .says = "At the regulator where a map names none, gauge",
                              .high = 150,
                              .above_low = true});
        see(t.temperature_c,
            Field{.key = "temperature_c", .says = "Of the air and the unit, °C", .low = -40, .high = 80});
        see(t.altitude_m, Field{.key = "altitude_m",
                                .says = "Above the sea, m; sets the local pressure by the standard atmosphere",
                                .low = -500,
                                .high = 6000});
        see(t.local_pressure_kpa, Field{.key = "local-pressure_kpa",
                                        .says = "Of a barometer that is not reduced to sea level, absolute; wins over "
                                                "the altitude",
                                        .low = 40,
                                        .high = 120});
        see(t.hose_conductance,
            Field{.key = "hose-conductance",
                  .says = "Regulator, hose and nozzle together as one part by ISO 6358: conductance, dm³/(s bar)",
                  .high = 100,
                  .above_low = true});
        see(t.hose_critical_ratio,
            Field{.key = "hose-critical-ratio", .says = "Critical pressure ratio of that part", .high = 0.9});
        see(t.towel_share, Field{.key = "towel-share",
                                 .says = "Share of the flow that a towel over an open port lets through",
                                 .high = 1,
                                 .above_low = true});
        see(t.heard_from_lpm, Field{.key = "heard-from_lpm",
                                    .says = "Least flow that sounds faint, clear, strong, normal L/min",
                                    .high = 10000,
                                    .above_low = true});
    }
};

namespace {

/// Holds the figures of a bench against the bounds of their keys; a visitor for Table<AirBench>::fields.
class BenchChecker {
public:
    explicit BenchChecker(FaultBook& book) : book_(book) {}

    void operator()(const std::string& text, const Field& field) {
        if (!text.empty()) complain(path_to(field), complaint_about_text(text, field));
    }
    void operator()(const GaugePressure& pressure, const Field& field) {
        const auto& unit = pressure.measure();
        complain(path_to(field),
                 complaint_about_figure(pressure.value, bound_in<PressureDimension>(field.low, unit),
                                        bound_in<PressureDimension>(field.high, unit), field, unit.suffix));
    }
    void operator()(const double& value, const Field& field) { figure(value, field, path_to(field)); }
    void operator()(const std::optional<double>& value, const Field& field) {
        if (value) figure(*value, field, path_to(field));
    }
    void operator()(const std::array<double, 3>& figures, const Field& field) {
        for (std::size_t i = 0; i < figures.size(); ++i)
            figure(figures[i], field, fmt::format("{}/{}", path_to(field), i));
        for (std::size_t i = 1; i < figures.size(); ++i) {
            // Written so that a figure that is none does not pass for ascending.
            if (figures[i] > figures[i - 1]) continue;
            book_.error(fmt::format("{}/{}", path_to(field), i), {},
                        phrase("{0} is {1} after {2}", field.key, figures[i], figures[i - 1]),
                        phrase("each word begins at more than the one before: faint, clear, strong"));
        }
    }

private:
    static std::string path_to(const Field& field) { return fmt::format("{}/{}", Table<AirBench>::key, field.key); }
    void figure(double value, const Field& field, const std::string& path) {
        complain(path, complaint_about_figure(value, field.low, field.high, field, {}));
    }
    void complain(const std::string& path, std::optional<FieldComplaint> found) {
        if (found) book_.error(path, {}, std::move(found->what), std::move(found->right));
    }

    FaultBook& book_;
};

/// Writes each key with what it says in front.
class BenchWriter {
public:
    explicit BenchWriter(std::string& out) : out_(out), write_(out) {}
    template <class Value> void operator()(const Value& value, const Field& field) {
        const std::size_t before = out_.size();
        write_(value, field);
        if (out_.size() > before) out_.insert(before, fmt::format("# {}\n", field.says));
    }

private:
    std::string& out_;
    FieldWriter write_;
};

/// The table [bench], or nothing and a fault.
const toml::table* find_bench(const toml::table& root, FaultBook& book) {
    const std::string key(Table<AirBench>::key);
    for (const auto& [other, node] : root) {
        if (other.str() == key) continue;
        book.warning(spot_of(other.source()), phrase("a bench file has nothing called {0}", shown(other.str())),
                     nearest_word(other.str(), {key}).empty() ? phrase("it has [bench] only")
                                                              : phrase("{0}?", "[bench]"));
    }
    const auto* node = root.get(key);
    if (!node) {
        book.error(SourceSpot{1, 1}, phrase("the file has no [bench]"),
                   phrase("[bench] with at least one figure under it"));
        return nullptr;
    }
    const auto* table = node->as_table();
    if (!table) {
        book.error(spot_of(node->source()), phrase("{0} is {1}", key, type_words(*node)), phrase("one table [bench]"));
    }
    return table;
}

} // namespace

ReadBenchResult read_bench_text(std::string_view toml, std::string file) {
    toml::table root;
    if (auto fault = parse_document(toml, file, bench_file, root)) return {std::nullopt, {std::move(*fault)}};
    FaultBook book(std::move(file));
    AirBench bench;
    if (const auto* table = find_bench(root, book)) {
        FieldReader reader(*table, std::string(Table<AirBench>::key), Table<AirBench>::word, book);
        Table<AirBench>::fields(bench, reader);
        reader.finish();
        Table<AirBench>::fields(std::as_const(bench), BenchChecker(book));
    }
    ReadBenchResult result;
    result.faults = book.take();
    if (!has_error(result.faults)) result.bench = std::move(bench);
    return result;
}

ReadBenchResult read_bench(const std::filesystem::path& path) {
    std::string text;
    if (auto fault = read_file_text(path, bench_file, text)) return {std::nullopt, {std::move(*fault)}};
    return read_bench_text(text, path.string());
}

bool holds_bench(const std::filesystem::path& path) {
    std::string text;
    toml::table root;
    if (read_file_text(path, bench_file, text) || parse_document(text, path.string(), bench_file, root)) return false;
    return root.contains(Table<AirBench>::key) && !root.contains(Table<UnitInfo>::key);
}

std::string write_bench_text(const AirBench& bench) {
    std::string out = "# An air bench for Ringland. Figures that nobody measured here are common practice, no source.\n"
                      "[bench]\n";
    Table<AirBench>::fields(bench, BenchWriter(out));
    return out;
}

} // namespace ringland::model
