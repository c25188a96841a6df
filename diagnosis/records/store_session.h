// The connection of a store. Includes SOCI, so only for the store's own .cpp files.
#pragma once

#include <map>
#include <string>
#include <utility>

#include <soci/soci.h>

#include "schema.h"
#include "store.h"

namespace ringland::diagnosis::records {

struct Store::Impl {
    explicit Impl(std::string place);

    std::string where;
    Dialect dialect;
    soci::session sql;
    std::map<std::string, UnitNames> names; ///< by the map's hash, of the maps that were asked for last

    void open();
    void make_schema();
    void migrate();
    void derive_all();
    /// Words for a person out of what the database said. Throws Trouble, or Away where the server does not answer.
    [[noreturn]] void explain(const soci::soci_error& error);

    long long number_of(const std::string& job, bool make);
    [[nodiscard]] bool has_change(const std::string& id);
    std::vector<model::JobEntry> entries(long long job, bool with_map_text);
    std::string toml_of(const std::string& sha256);
    const UnitNames& names_of(const std::string& sha256);
    /// Writes the change and what follows from it; the caller has begun the transaction.
    void write(long long job, const FullChange& change);
    void write_maps(const FullChange& change);
    void put_entries(long long job, const FullChange& change);
    void write_words(long long job, const std::vector<std::string>& words);
    void write_derived(long long job, const std::string& id, const std::string& at);
    std::vector<FullChange> read_changes(const std::string& condition, const std::string& value);
};

/// Rolled back unless committed.
class Transaction {
public:
    explicit Transaction(Store::Impl& store) : store_(store) {
        // SQLite takes the lock for writing at once: a reader that becomes a writer could be refused without a wait.
        store_.sql << (store_.dialect.server ? "begin" : "begin immediate");
    }
    ~Transaction() {
        if (done_) return;
        try {
            store_.sql << "rollback";
        } catch (const std::exception&) { // the database has done it itself
        }
    }
    Transaction(const Transaction&) = delete;
    Transaction& operator=(const Transaction&) = delete;
    void commit() {
        store_.sql << "commit";
        done_ = true;
    }

private:
    Store::Impl& store_;
    bool done_ = false;
};

/// Runs `work`, and turns what the database complains of into words.
template <class Work> auto guarded(Store::Impl& store, Work&& work) {
    try {
        return std::forward<Work>(work)();
    } catch (const soci::soci_error& error) {
        store.explain(error);
    }
}

} // namespace ringland::diagnosis::records
