// Records as text: for another shop, for a spreadsheet, for safe keeping.
#include <algorithm>
#include <map>
#include <set>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "records_impl.h"
#include "sha256.h"

namespace ringland::diagnosis::records {
namespace {

using Json = nlohmann::ordered_json;

constexpr const char* marker = "ringland-records";
constexpr int export_version = 1;
constexpr std::size_t most_bytes = std::size_t{1} << 30;
constexpr int most_depth = 32;

std::string dumped(const Json& json, int indent) {
    return json.dump(indent, ' ', false, Json::error_handler_t::replace);
}

Json to_json(const FullChange& change) {
    Json json{{"id", change.id},       {"at", change.at},       {"who", change.who},
              {"bench", change.bench}, {"label", change.label}, {"entries", Json::array()}};
    for (const auto& entry : change.entries) {
        Json one{{"kind", entry.kind}, {"id", entry.id}, {"order", entry.order}, {"content", nullptr}};
        if (entry.content) one["content"] = Json::parse(*entry.content, nullptr, false);
        if (one["content"].is_discarded()) one["content"] = *entry.content;
        json["entries"].push_back(std::move(one));
    }
    return json;
}

/// A field of RFC 4180: quoted where it must be. What a spreadsheet would take for a formula gets a ' before it, which
/// such a program shows as text: nobody's complaint is to be carried out.
std::string csv_field(std::string text) {
    if (!text.empty() && std::string_view("=+-@\t\r").find(text.front()) != std::string_view::npos)
        text.insert(text.begin(), '\'');
    if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
    std::string out = "\"";
    for (const char c : text) {
        if (c == '"') out += '"';
        out += c;
    }
    return out + '"';
}

class Importer {
public:
    explicit Importer(std::string_view text) {
        if (const auto wrong = model::guard_json(text, most_bytes, most_depth))
            throw Trouble(model::phrase("this cannot be brought in: {0}", *wrong));
        json_ = Json::parse(text, nullptr, false);
        const auto mark = json_.is_object() ? json_.find(marker) : json_.end();
        if (!json_.is_object() || mark == json_.end() || !mark->is_number_integer())
            throw Trouble(
                model::phrase("this is no export of records: it does not begin with {0}", "{\"ringland-records\": 1"));
        if (*mark != export_version)
            throw Trouble(model::phrase("this export is of version {0}, and this program knows {1}", mark->dump(),
                                        export_version));
        read_maps();
        for (const auto& job : list_in(json_, "jobs"))
            read_job(job);
    }
    /// Everything was read before anything is written.
    std::vector<FullChange> changes;

private:
    static const Json& list_in(const Json& json, const char* key) {
        const auto at = json.is_object() ? json.find(key) : json.end();
        if (!json.is_object() || at == json.end() || !at->is_array())
            throw Trouble(model::phrase("this export is damaged: \"{0}\" should be a list", key));
        return *at;
    }
    static std::string text_in(const Json& json, const char* key, bool needed = true) {
        const auto at = json.is_object() ? json.find(key) : json.end();
        const bool there = json.is_object() && at != json.end() && at->is_string();
        const std::string text = there ? at->get<std::string>() : std::string();
        if (needed && (text.empty() || text.size() > model::job_limits::id_bytes || text != clean(text)))
            throw Trouble(model::phrase("this export is damaged: \"{0}\" is missing, or is no usable text", key));
        return clean(text);
    }

    void read_maps() {
        const auto maps = json_.find("maps");
        if (maps == json_.end() || !maps->is_object())
            throw Trouble(model::phrase("this export is damaged: it has no \"maps\""));
        for (const auto& item : maps->items()) {
            if (!item.value().is_string() || sha256(item.value().get_ref<const std::string&>()) != item.key())
                throw Trouble(model::phrase("this export is damaged: a unit map is not the one that its jobs name"));
            maps_[item.key()] = item.value().get<std::string>();
        }
    }
    void read_job(const Json& job) {
        const std::string id = text_in(job, "id");
        for (const auto& json : list_in(job, "changes")) {
            FullChange change;
            change.id = text_in(json, "id");
            change.job = id;
            change.at = text_in(json, "at");
            change.who = text_in(json, "who", false);
            change.bench = text_in(json, "bench", false);
            change.label = text_in(json, "label", false);
            std::set<std::pair<std::string, std::string>> seen;
            for (const auto& entry : list_in(json, "entries")) {
                read_entry(entry, change);
                const auto& last = change.entries.back();
                if (!seen.insert({last.kind, last.id}).second)
                    throw Trouble(model::phrase("this export is damaged: one change has the same entry twice"));
            }
            changes.push_back(std::move(change));
        }
    }
    void read_entry(const Json& json, FullChange& change) {
        FullChange::Entry entry;
        entry.kind = text_in(json, "kind");
        entry.id = text_in(json, "id");
        const auto order = json.find("order"), content = json.find("content");
        if (order == json.end() || !order->is_number() || content == json.end() ||
            !(content->is_object() || content->is_null()))
            throw Trouble(model::phrase("this export is damaged: an entry has no order or no content"));
        entry.order = order->get<double>();
        if (content->is_object()) entry.content = dumped(*content, -1);
        if (entry.kind == "map" && entry.content) {
            const auto at = maps_.find(map_named_in(*entry.content));
            if (at == maps_.end()) throw Trouble(model::phrase("this export is damaged: a job's unit map is missing"));
            change.maps.push_back({at->first, at->second});
        }
        change.entries.push_back(std::move(entry));
    }

    Json json_;
    std::map<std::string, std::string> maps_;
};

} // namespace

std::string clean(std::string text) {
    text.erase(std::remove(text.begin(), text.end(), '\0'), text.end());
    return Json::parse(dumped(Json(text), -1)).get<std::string>();
}

std::string Records::export_json(const Search& search) {
    return impl_->ask_whole(model::phrase("an export"), [&](Store& store) {
        std::vector<std::string> ids;
        for (const auto& line : store.search(search))
            ids.push_back(line.id);
        std::sort(ids.begin(), ids.end());
        Json maps = Json::object();
        std::string jobs;
        for (const auto& id : ids) {
            Json job{{"id", id}, {"changes", Json::array()}};
            for (const auto& change : store.changes(id)) {
                for (const auto& map : change.maps)
                    maps[map.sha256] = map.toml;
                job["changes"].push_back(to_json(change));
            }
            jobs += (jobs.empty() ? "\n" : ",\n") + dumped(job, -1);
        }
        // A line a job, put together as text: a shop's whole records as one JSON value would need many times the
        // memory.
        return fmt::format("{{\"{}\": {},\n\"maps\": {},\n\"jobs\": [{}\n]}}\n", marker, export_version,
                           dumped(maps, -1), jobs);
    });
}

std::size_t Records::import_json(std::string_view text) {
    const Importer importer(text);
    return impl_->ask_whole(model::phrase("bringing records in"),
                            [&](Store& store) { return store.apply(importer.changes); });
}

std::string Records::export_csv(const Search& search) {
    return impl_->ask_whole(model::phrase("an export"), [&](Store& store) {
        std::string out = "id,number,customer,unit,complaint,who,opened_at,changed_at,stands,done,found\r\n";
        for (const auto& line : store.search(search)) {
            const std::string stands(model::word(line.stands));
            const std::string done = line.done ? "yes" : "no";
            std::string row;
            for (const auto* field : {&line.id, &line.number, &line.customer, &line.unit, &line.complaint, &line.who,
                                      &line.opened_at, &line.changed_at, &stands, &done, &line.found})
                row += (field == &line.id ? "" : ",") + csv_field(*field);
            out += row + "\r\n";
        }
        return out;
    });
}

} // namespace ringland::diagnosis::records
