// One database with the records' tables, SQLite or PostgreSQL. Private to the records: records.cpp decides which is
// asked.
#pragma once

#include <functional>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "../../model-data/job_entries.h"
#include "records.h"

namespace ringland::diagnosis::records {

/// The server cannot be reached. Never leaves the records.
struct Away {
    std::string why;
};

/// A change with all that another database needs to take it.
struct FullChange {
    std::string id, job, at, who, bench, label;
    struct Entry {
        std::string kind, id;
        double order = 0;
        std::optional<std::string> content; ///< of a map: its file's name and sha256
    };
    std::vector<Entry> entries;
    struct Map {
        std::string sha256, toml;
    };
    std::vector<Map> maps;
};

/// Content of a map's entry as it is kept: the text apart, known by its hash.
[[nodiscard]] std::string map_out_of(const std::string& content, std::vector<FullChange::Map>& maps);
/// And back. `toml` gives the text of a hash.
[[nodiscard]] std::string map_into(const std::string& content,
                                   const std::function<std::string(const std::string&)>& toml);
/// The hash that a map's entry names; empty where it names none.
[[nodiscard]] std::string map_named_in(const std::string& content);

/// What is derived from a job for lists, search and statistics.
struct Derived {
    JobLine line;
    std::string comeback_of, year_before;
    std::vector<std::string> words; ///< sorted by bytes
    double hours = -1;              ///< from opened to done; negative: not known
    struct Found {
        std::string seal, name;
        bool damaged = false;
    };
    std::vector<Found> found;
};

/// Names that a unit map gives, read once for each map.
struct UnitNames {
    std::string unit;
    struct Seal {
        std::string id;
        std::string name;  ///< its own; may be empty
        std::string shown; ///< the same, or what and where it is
    };
    std::vector<Seal> seals;
};

[[nodiscard]] Derived derive(const model::Job& job, const UnitNames& names);

class Store {
public:
    /// A file of SQLite, or a server. Throws Trouble or Away.
    explicit Store(const std::string& where);
    ~Store();
    Store(Store&&) noexcept;
    Store& operator=(Store&&) noexcept;

    /// Makes a change out of two states of a job, against what stands here. `change` comes with its head filled in; its
    /// entries are set. Where `wait` is given it is also noted as waiting.
    void save(FullChange& change, const model::Job& before, const model::Job& after, Saved& saved, bool wait = false);
    /// Takes changes from elsewhere, and says how many were not here already. An entry that was changed later stays.
    std::size_t apply(const std::vector<FullChange>& changes);
    /// Takes the state of a job from a server, without its history.
    void adopt(std::string_view job, const std::vector<model::JobEntry>& entries);

    /// With the map's text. Empty where the job is not here.
    [[nodiscard]] std::vector<model::JobEntry> entries(std::string_view job);
    [[nodiscard]] std::vector<FullChange> changes(std::string_view job);
    [[nodiscard]] FullChange change(const std::string& id);
    [[nodiscard]] bool has_map(const std::string& sha256);

    [[nodiscard]] std::vector<JobLine> search(const Search& search);
    [[nodiscard]] std::size_t count();
    [[nodiscard]] long long state();
    [[nodiscard]] Statistics statistics();
    [[nodiscard]] std::vector<SealStatistics> failures_of(std::string_view unit);

    /// Ids of the changes that wait, in order.
    [[nodiscard]] std::vector<std::string> waiting();
    void sent(const std::string& change);

    struct Impl;

private:
    std::unique_ptr<Impl> impl_;
};

} // namespace ringland::diagnosis::records
