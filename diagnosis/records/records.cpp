#include "records.h"

#include <algorithm>

#include <unistd.h>

#include <fmt/format.h>

#include "place.h"
#include "records_impl.h"

namespace ringland::diagnosis::records {
namespace {

std::string host_name() {
    char name[256]{};
    return ::gethostname(name, sizeof name - 1) == 0 ? name : "";
}

} // namespace

Records::Impl::Impl(const Place& place)
    : where(place.where), bench(clean(place.bench.empty() ? host_name() : place.bench)),
      server_wanted(is_server(where)) {
    if (!server_wanted) {
        file = std::make_unique<Store>(where);
        return;
    }
    const auto queue = queue_file(where);
    try {
        file = std::make_unique<Store>(queue.string());
    } catch (const Trouble& trouble) {
        why_no_file = trouble.text();
    }
    if (!reach(true)) static_cast<void>(beside());
}

bool Records::Impl::reach(bool at_once) {
    const auto now = std::chrono::steady_clock::now();
    if (server == nullptr) {
        if (!at_once && now - tried < try_again_after) return false;
        tried = now;
        try {
            server = std::make_unique<Store>(where);
            why_away.clear();
        } catch (const Away& away) {
            lost(away);
            return false;
        }
    }
    return send();
}

bool Records::Impl::send() {
    if (file == nullptr) return true;
    try {
        for (const auto& id : file->waiting()) {
            const FullChange change = file->change(id);
            if (!change.id.empty()) server->apply({change});
            file->sent(id);
        }
    } catch (const Away& away) {
        lost(away);
        return false;
    }
    return true;
}

void Records::Impl::lost(const Away& away) {
    server.reset();
    why_away = away.why;
    tried = std::chrono::steady_clock::now();
}

Store& Records::Impl::beside() {
    if (file == nullptr)
        throw Trouble(
            model::phrase("the records server {0} is away ({1}), and changes cannot be kept here until it is back: "
                          "{2}",
                          shown(where), why_away, why_no_file));
    return *file;
}

Records::Records(const Place& place) : impl_(std::make_unique<Impl>(place)) {}
Records::~Records() = default;
Records::Records(Records&&) noexcept = default;
Records& Records::operator=(Records&&) noexcept = default;

Saved Records::save(const model::Job& before, const model::Job& after, std::string_view label) {
    Saved saved;
    if (before == after) return saved;
    FullChange change;
    change.id = model::new_id();
    change.job = after.id;
    change.at = model::utc_now();
    change.who = clean(after.head.who);
    change.bench = impl_->bench;
    change.label = clean(std::string(label));
    if (!impl_->server_wanted) {
        impl_->file->save(change, before, after, saved);
        return saved;
    }
    if (impl_->reach()) {
        try {
            impl_->server->save(change, before, after, saved);
            // So that the job is here when the server is not.
            if (!change.entries.empty()) impl_->remember([&](Store& file) { file.apply({change}); });
            return saved;
        } catch (const Away& away) {
            impl_->lost(away);
        }
    }
    // The same id: should the server have got it before it fell silent, it takes it once.
    impl_->beside().save(change, before, after, saved, true);
    saved.waiting = !change.entries.empty();
    return saved;
}

std::optional<model::Job> Records::load(std::string_view id) {
    bool from_server = false;
    const auto list = impl_->ask([&](Store& store) {
        from_server = &store == impl_->server.get();
        return store.entries(id);
    });
    if (list.empty()) return std::nullopt;
    if (from_server) impl_->remember([&](Store& file) { file.adopt(id, list); });
    auto job = model::job_from_entries(std::string(id), list);
    return is_nothing(job) ? std::nullopt : std::optional(std::move(job));
}

std::vector<JobLine> Records::search(const Search& search) {
    return impl_->ask([&](Store& store) { return store.search(search); });
}
std::size_t Records::count() {
    return impl_->ask([](Store& store) { return store.count(); });
}
long long Records::state() {
    return impl_->ask([](Store& store) { return store.state(); });
}
Statistics Records::statistics() {
    return impl_->ask([](Store& store) { return store.statistics(); });
}
std::vector<SealStatistics> Records::failures_of(std::string_view unit) {
    return impl_->ask([&](Store& store) { return store.failures_of(unit); });
}

std::vector<Change> Records::history(std::string_view job) {
    std::vector<Change> list;
    for (auto& full : impl_->ask([&](Store& store) { return store.changes(job); })) {
        Change change{full.id, full.job, full.at, full.who, full.bench, full.label, {}};
        for (auto& entry : full.entries)
            change.entries.push_back({entry.kind, entry.id, std::move(entry.content)});
        list.push_back(std::move(change));
    }
    return list;
}

bool Records::away() const { return impl_->server_wanted && impl_->server == nullptr; }
std::size_t Records::waiting() const {
    return impl_->server_wanted && impl_->file != nullptr ? impl_->file->waiting().size() : 0;
}
bool Records::send_waiting() {
    if (!impl_->server_wanted) return true;
    return impl_->reach(true) && waiting() == 0;
}

} // namespace ringland::diagnosis::records
