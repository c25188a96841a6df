// The shop's jobs, remembered: SQLite by default, PostgreSQL for several benches, one code path of SQL.
//
// A job is saved as entries (model-data/job_entries.h), and every change of one is kept for ever in an append-only
// history: who, when, which bench, and each entry as it became. The state of a job is the last put of each of its
// entries, so two windows can work on one job and none of them overwrites what the other entered elsewhere in it.
// Writing one change is one transaction and may be repeated: its id says that it is there already.
//
// A server that is away does not stop the work: changes go to a queue in a local file and are sent, in order and each
// once, when it is back. Nothing here needs a window, and nothing is global.
#pragma once

#include <cstddef>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "../../model-data/job.h"
#include "../../model-data/phrase.h"

namespace ringland::diagnosis::records {

/// Where records are kept: a file of SQLite, or "postgresql://..." (libpq's connection string).
struct Place {
    std::string where;
    std::string bench; ///< name of this bench for the history; empty: the host's name
};
/// RINGLAND_RECORDS, or `ringland/records.sqlite` in XDG_DATA_HOME, or in .local/share of the home folder.
[[nodiscard]] Place usual_place();

/// True where nothing was entered, or all of it was taken back: no list has such a job, and none is loaded.
[[nodiscard]] inline bool is_nothing(const model::Job& job) {
    model::Job nothing;
    nothing.id = job.id;
    return job == nothing;
}

/// What of a job a list shows.
struct JobLine {
    std::string id, number, customer, unit, complaint, who;
    std::string opened_at, changed_at; ///< UTC
    model::JobStep stands{};
    bool done = false;
    std::string found; ///< seals found damaged, "R3, L1"
    friend bool operator==(const JobLine&, const JobLine&) = default;
};

/// All that is given must hold. Words are found in number, customer, complaint, conclusion, findings and notes, each as
/// the beginning of a word, without regard to case.
struct Search {
    std::string words;
    std::string unit;        ///< name of the unit, whole
    std::string seal;        ///< id: found damaged there
    std::string from, until; ///< days "2031-05-04", of opening
    bool open_only = false;
    std::size_t most = 50;
};

/// One change of the history.
struct Change {
    std::string id, job, at, who, bench, label;
    /// An entry as it became; no content: it was taken out.
    struct Entry {
        std::string kind, id;
        std::optional<std::string> content; ///< JSON
    };
    std::vector<Entry> entries;
};

struct SealStatistics {
    std::string unit, seal, name;
    long failed = 0; ///< jobs in which it was found damaged
    long jobs = 0;   ///< jobs of this unit with a finding
};
struct UnitStatistics {
    std::string unit;
    long jobs = 0, done = 0, comebacks = 0;
    double mean_hours = 0; ///< from opened to done; 0 where none is done
};
struct Statistics {
    std::vector<UnitStatistics> units; ///< by count
    std::vector<SealStatistics> seals; ///< by failures
};

/// What saving did.
struct Saved {
    bool waiting = false; ///< the server is away: it stands in the queue
    /// Entries that somebody else changed since this window last saw them; the put of this window stands now, and the
    /// history has both.
    std::vector<std::string> also_changed;
};

/// Throws Trouble where the records cannot be used: what happened, in words for a person, without a password.
class Trouble : public std::exception {
public:
    explicit Trouble(model::Phrase text) : text_(std::move(text)), what_(text_.english()) {}
    /// In English; text() in any language.
    [[nodiscard]] const char* what() const noexcept override { return what_.c_str(); }
    [[nodiscard]] const model::Phrase& text() const { return text_; }

private:
    model::Phrase text_;
    std::string what_;
};

class Records {
public:
    /// Opens, makes or migrates. A server that is away is no trouble where a queue can be kept; a file that is none of
    /// ours, one from a newer program, a folder that cannot be written in are.
    explicit Records(const Place& place);
    ~Records();
    Records(Records&&) noexcept;
    Records& operator=(Records&&) noexcept;

    /// Saves what differs between two states of one job (before: as it was last saved or loaded; empty at first) as one
    /// change. The same difference saved again changes nothing. Does nothing where nothing differs.
    Saved save(const model::Job& before, const model::Job& after, std::string_view label);
    [[nodiscard]] std::optional<model::Job> load(std::string_view id);
    /// The newest first.
    [[nodiscard]] std::vector<JobLine> search(const Search& search);
    [[nodiscard]] std::size_t count();
    /// Every change of a job, the oldest first.
    [[nodiscard]] std::vector<Change> history(std::string_view job);
    [[nodiscard]] Statistics statistics();
    /// How often which seal of a unit was found damaged, and in how many jobs something was found: for the priors.
    [[nodiscard]] std::vector<SealStatistics> failures_of(std::string_view unit);

    /// All jobs with their history as JSON text; and back, without doubles. Returns how many changes were new.
    [[nodiscard]] std::string export_json(const Search& search);
    std::size_t import_json(std::string_view text);
    /// One line a job, RFC 4180, UTF-8.
    [[nodiscard]] std::string export_csv(const Search& search);

    /// A figure that changes whenever a change is saved, here or at another bench: to see that a list is out of date
    /// without reading it. Nothing else can be told from it.
    [[nodiscard]] long long state();

    /// The server is away now; how many changes wait for it.
    [[nodiscard]] bool away() const;
    [[nodiscard]] std::size_t waiting() const;
    /// Tries to send what waits; true where nothing waits any more.
    bool send_waiting();

private:
    struct Impl;
    std::unique_ptr<Impl> impl_;
};

} // namespace ringland::diagnosis::records
