#include "store.h"

#include <algorithm>
#include <filesystem>

#include <fmt/format.h>

#include "place.h"
#include "store_session.h"

// The backend's own header would ask for the headers of the database; this is all of it that is needed.
extern "C" soci::backend_factory const* factory_sqlite3();

namespace ringland::diagnosis::records {
namespace {

bool has(std::string_view text, std::string_view part) { return text.find(part) != std::string_view::npos; }

/// True where nobody was asked, since the connection string cannot be read: waiting would not help.
bool unreadable(std::string_view message) {
    if (has(message, "connection to server") || has(message, "could not")) return false;
    for (const auto sign : {"invalid", "end of string reached", "unexpected character", "forbidden value", "missing"}) {
        if (has(message, sign)) return true;
    }
    return false;
}

/// True where a server answered and said no: the name, the password or the database is wrong.
bool refused_by_server(std::string_view message) {
    if (!has(message, "FATAL")) return unreadable(message);
    for (const auto busy : {"starting up", "shutting down", "too many", "recovery", "administrator command"}) {
        if (has(message, busy)) return false;
    }
    return true;
}

void make_folder_of(const std::string& file) {
    const auto folder = std::filesystem::path(file).parent_path();
    std::error_code error;
    if (!folder.empty()) std::filesystem::create_directories(folder, error);
    if (error) throw Trouble(model::phrase("cannot make the folder {0}: {1}", folder.string(), error.message()));
}

int figure(const std::string& text) {
    return !text.empty() && text.size() < 9 && text.find_first_not_of("0123456789") == std::string::npos
               ? std::stoi(text)
               : -1;
}

} // namespace

Store::Impl::Impl(std::string place) : where(std::move(place)) {
    dialect.server = is_server(where);
    if (where.empty())
        throw Trouble(model::phrase("no place is known to keep the records in: name one with --records"));
    if (dialect.server) {
        const model::Phrase wrong = complaint_about(where);
        if (!wrong.empty())
            throw Trouble(model::phrase("the connection string of the records cannot be read: {0}", wrong));
    } else {
        if (has(where, "://")) throw Trouble(model::phrase("records are a file, or postgresql://..."));
        if (has(where, "\"") || has(where, "'"))
            throw Trouble(model::phrase("the records' file has a quotation mark in its name"));
        if (std::filesystem::is_directory(where))
            throw Trouble(model::phrase("{0} is a folder; name the records' file in it", where));
        make_folder_of(where);
    }
}

void Store::Impl::open() {
    if (dialect.server) {
        // Found when it is asked for: it brings twenty libraries with it, which a shop without a server need not load.
        sql.open("postgresql", with_limits(where));
        sql << "set client_min_messages = warning";
        make_schema();
        sql << "set search_path = ringland";
        sql << "set client_encoding = 'UTF8'";
        // Every question is answered from an index within milliseconds: to begin other processes or to compile it first
        // takes longer than that.
        sql << "set max_parallel_workers_per_gather = 0";
        sql << "set jit = off";
    } else {
        sql.open(*factory_sqlite3(), fmt::format("dbname=\"{}\" timeout=5", where));
        int ours = 0, tables = 0;
        // In this order: another program that makes the file just now marks it before it makes a table.
        sql << "select count(*) from sqlite_master", soci::into(tables);
        sql << "pragma application_id", soci::into(ours);
        if (tables > 0 && ours != application_id)
            throw Trouble(model::phrase("{0} is a database of some other program", where));
        std::string mode;
        sql << "pragma journal_mode = wal", soci::into(mode);
        // Each commit is on the disk before it is called saved.
        sql << "pragma synchronous = full";
        if (tables == 0) sql << fmt::format("pragma application_id = {}", application_id);
    }
    migrate();
}

void Store::Impl::make_schema() {
    // Asked for first: somebody who may use the schema need not be allowed to make one.
    int there = 0;
    sql << "select count(*) from pg_namespace where nspname = 'ringland'", soci::into(there);
    if (there > 0) return;
    Transaction transaction(*this);
    // Two benches that make it at once would refuse each other.
    sql << fmt::format("select pg_advisory_xact_lock({})", application_id);
    sql << "create schema if not exists ringland";
    transaction.commit();
}

void Store::Impl::migrate() {
    const auto version = [this] {
        std::string text;
        sql << "select value from meta where name = 'version'", soci::into(text);
        return figure(text);
    };
    // The usual start only reads: a window opens while another one writes.
    int there = 0;
    sql << (dialect.server ? "select count(*) from pg_tables where schemaname = 'ringland' and tablename = 'meta'"
                           : "select count(*) from sqlite_master where name = 'meta'"),
        soci::into(there);
    if (there > 0 && version() == schema_version) return;
    Transaction transaction(*this);
    if (dialect.server) sql << fmt::format("select pg_advisory_xact_lock({})", application_id);
    sql << dialect.in_words("create table if not exists meta (name {text} primary key, value {text})");
    sql << "insert into meta (name, value) values ('version', '0') on conflict (name) do nothing";
    const int from = version();
    if (from < 0 || from > schema_version)
        throw Trouble(model::phrase("the records {0} were written by a newer program (version {1}; this one knows {2})",
                                    shown(where), from, schema_version));
    for (int to = from + 1; to <= schema_version; ++to) {
        for (const auto& step : steps_to(to))
            sql << dialect.in_words(step);
    }
    if (from > 0 && from < schema_version) derive_all();
    sql << fmt::format("update meta set value = '{}' where name = 'version'", schema_version);
    transaction.commit();
}

void Store::Impl::explain(const soci::soci_error& error) {
    const std::string said = scrubbed(error.get_error_message(), where);
    if (dialect.server) {
        bool alive = false;
        try {
            int one = 0;
            sql << "select 1", soci::into(one);
            alive = one == 1;
        } catch (const std::exception&) {
            alive = false;
        }
        if (!alive && !refused_by_server(said)) throw Away{said};
        throw Trouble(model::phrase("the records server {0} says: {1}", shown(where), said));
    }
    if (has(said, "locked") || has(said, "busy"))
        throw Trouble(
            model::phrase("{0} is being written by another program and was not free within 5 seconds; nothing "
                          "was saved just now",
                          where));
    if (has(said, "full") || has(said, "disk I/O"))
        throw Trouble(
            model::phrase("the disk of {0} is full or fails, and nothing was saved just now: make room there and "
                          "save again ({1})",
                          where, said));
    if (has(said, "readonly") || has(said, "unable to open"))
        throw Trouble(
            model::phrase("{0} cannot be written: the file or its folder is read-only, or is not there", where));
    if (has(said, "not a database")) throw Trouble(model::phrase("{0} is no records file", where));
    throw Trouble(model::phrase("the records {0} cannot be used: {1}", where, said));
}

Store::Store(const std::string& where) : impl_(std::make_unique<Impl>(where)) {
    guarded(*impl_, [this] { impl_->open(); });
}
Store::~Store() = default;
Store::Store(Store&&) noexcept = default;
Store& Store::operator=(Store&&) noexcept = default;

} // namespace ringland::diagnosis::records
