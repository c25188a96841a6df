#include "job_edit.h"

#include <algorithm>
#include <cmath>
#include <locale>
#include <sstream>
#include <utility>

#include <fmt/format.h>

#include "../../model-data/map_io.h"

namespace ringland::viewer {

namespace {

namespace edit = job_edit;
using model::find;

template <class Thing> auto by_id(std::vector<Thing>& list, const std::string& id) {
    return std::find_if(list.begin(), list.end(), [&](const Thing& thing) { return thing.id == id; });
}

std::string& text_of(model::JobHead& head, edit::Field field) {
    switch (field) {
    case edit::Field::number:
        return head.number;
    case edit::Field::customer:
        return head.customer;
    case edit::Field::complaint:
        return head.complaint;
    case edit::Field::who:
        return head.who;
    case edit::Field::conclusion:
        return head.conclusion;
    }
    return head.conclusion;
}

std::string too_long(const Translator& tr, const std::string& text) {
    if (text.size() <= most_job_text) return {};
    return filled(tr("that text is too long for a job: at most {0} letters"), most_job_text);
}

struct Applier {
    const Translator& tr;
    Document& d;

    [[nodiscard]] model::Job& job() const { return d.job; }
    [[nodiscard]] std::string no_seal(const std::string& seal) const {
        if (seal == model::the_rig || find(d.map.seals, seal) != nullptr) return {};
        return filled(tr("no seal of this unit is called {0}"), seal);
    }
    [[nodiscard]] auto finding(const std::string& seal) const {
        auto& list = job().findings;
        return std::find_if(list.begin(), list.end(), [&](const model::Finding& f) { return f.seal == seal; });
    }

    std::string operator()(const edit::Write& e) const {
        if (auto why = too_long(tr, e.text); !why.empty()) return why;
        text_of(job().head, e.field) = e.text;
        return {};
    }
    std::string operator()(const edit::Tick& e) const {
        auto& ticks = job().ticks;
        const auto at = std::find_if(ticks.begin(), ticks.end(), [&](const auto& t) { return t.step == e.step; });
        if (e.over && at == ticks.end()) ticks.push_back({e.step, model::utc_now(), job().head.who});
        if (!e.over && at != ticks.end()) ticks.erase(at);
        if (!e.over && model::steps_over(job())[static_cast<std::size_t>(e.step)])
            return tr("what was entered shows that this step is over: take that back first");
        return {};
    }
    std::string operator()(const edit::Turns& e) const {
        job().checks[d.check_at].turns_freely = e.freely;
        return {};
    }
    std::string operator()(const edit::Find& e) const {
        if (auto why = no_seal(e.seal); !why.empty()) return why;
        const auto at = finding(e.seal);
        if (!e.found) {
            if (at != job().findings.end()) job().findings.erase(at);
            return {};
        }
        if (at != job().findings.end()) {
            at->found = *e.found;
            return {};
        }
        job().findings.push_back({model::new_id(), e.seal, *e.found, "", {}, model::utc_now(), job().head.who});
        return {};
    }
    std::string operator()(const edit::Describe& e) const {
        if (auto why = too_long(tr, e.text); !why.empty()) return why;
        const auto at = finding(e.seal);
        if (at == job().findings.end()) return filled(tr("say first whether {0} is sound or damaged"), e.seal);
        at->seen = e.text;
        return {};
    }
    std::string operator()(const edit::Photo& e) const {
        const auto at = finding(e.seal);
        if (at == job().findings.end()) return filled(tr("say first whether {0} is sound or damaged"), e.seal);
        auto& photos = at->photos;
        photos.erase(std::remove(photos.begin(), photos.end(), e.file), photos.end());
        if (!e.on) return {};
        if (photos.size() >= most_job_things) return tr("that is more photos than a finding can have");
        photos.push_back(e.file);
        return {};
    }
    std::string operator()(const edit::Measure& e) const {
        if (find(d.map.clearances, e.clearance) == nullptr)
            return filled(tr("no clearance of this unit is called {0}"), e.clearance);
        auto& list = job().measurements;
        const auto at =
            std::find_if(list.begin(), list.end(), [&](const auto& m) { return m.clearance == e.clearance; });
        if (!e.value) {
            if (at != list.end()) list.erase(at);
            return {};
        }
        if (!(std::abs(e.value->si()) <= 10)) return tr("a measured length is a figure up to 10 m");
        if (at == list.end())
            list.push_back({model::new_id(), e.clearance, *e.value, model::utc_now(), job().head.who, "", {}});
        else
            at->value = *e.value;
        return {};
    }
    std::string operator()(const edit::Fitted& e) const {
        auto& list = job().measurements;
        const auto at =
            std::find_if(list.begin(), list.end(), [&](const auto& m) { return m.clearance == e.clearance; });
        if (at == list.end()) return filled(tr("measure {0} first"), e.clearance);
        if (e.size && !(e.size->si() >= 0 && e.size->si() <= 1)) return tr("a size is a figure up to 1 m");
        at->fitted = e.size;
        return {};
    }
    std::string operator()(const edit::Renew& e) const {
        if (e.what.empty()) return tr("say what was renewed");
        if (e.what.size() > 200) return tr("the name of what was renewed is too long: at most 200 letters");
        if (e.quantity < 0 || e.quantity > 999) return tr("a quantity is a whole number up to 999");
        auto& list = job().renewed;
        const auto at = std::find_if(list.begin(), list.end(), [&](const auto& r) { return r.what == e.what; });
        if (e.quantity == 0) {
            if (at != list.end()) list.erase(at);
            return {};
        }
        std::string part_number = e.part_number;
        if (const auto* seal = find(d.map.seals, e.what); seal != nullptr && part_number.empty())
            part_number = seal->part_number;
        if (at == list.end()) {
            if (list.size() >= most_job_things) return tr("that is more than a job can hold");
            list.push_back({model::new_id(), e.what, part_number, e.quantity, model::utc_now(), job().head.who, ""});
        } else {
            at->quantity = e.quantity;
            at->part_number = part_number;
        }
        return {};
    }
    std::string operator()(const edit::Note& e) const {
        if (e.text.empty()) return tr("the note is empty");
        if (auto why = too_long(tr, e.text); !why.empty()) return why;
        if (job().notes.size() >= most_job_things) return tr("that is more notes than a job can hold");
        job().notes.push_back({model::new_id(), model::utc_now(), job().head.who, e.text});
        return {};
    }
    std::string operator()(const edit::DropNote& e) const {
        if (e.number < 1 || e.number > static_cast<int>(job().notes.size()))
            return filled(tr("there is no note {0}: there are {1}"), e.number, job().notes.size());
        job().notes.erase(job().notes.begin() + (e.number - 1));
        return {};
    }
    std::string operator()(const edit::BeginCheck& e) const {
        if (job().checks.size() >= 100) return tr("that is more air checks than a job can hold");
        job().checks.push_back({model::new_id(), e.purpose, model::utc_now(), job().head.who, {}, "", {}, {}, {}});
        return show(job().checks.size() - 1);
    }
    std::string operator()(const edit::ShowCheck& e) const {
        if (e.number < 1 || e.number > static_cast<int>(job().checks.size()))
            return filled(tr("there is no air check {0}: there are {1}"), e.number, job().checks.size());
        return show(static_cast<std::size_t>(e.number - 1));
    }
    std::string operator()(const edit::Begin&) const {
        job() = {};
        d.check = {};
        d.check_at = 0;
        d.air_into.clear();
        d.came_out.clear();
        begin_job(d);
        return {};
    }
    [[nodiscard]] std::string show(std::size_t check) const {
        d.check_at = check;
        d.check = model::air_check(job().checks[check]);
        d.air_into.clear();
        d.came_out.clear();
        return {};
    }
};

struct Namer {
    const Translator& tr;

    std::string operator()(const edit::Write& e) const { return filled(tr("{0} of the job"), tr.word(e.field)); }
    std::string operator()(const edit::Tick& e) const {
        return filled(e.over ? tr("{0} is over") : tr("{0} is not over"), tr.word(e.step));
    }
    std::string operator()(const edit::Turns&) const { return tr("turns freely"); }
    std::string operator()(const edit::Find& e) const {
        return e.found ? filled(tr("found {0} {1}"), e.seal, tr.word(*e.found))
                       : filled(tr("take back the finding {0}"), e.seal);
    }
    std::string operator()(const edit::Describe& e) const { return filled(tr("what was seen at {0}"), e.seal); }
    std::string operator()(const edit::Photo& e) const { return filled(tr("photo of {0}"), e.seal); }
    std::string operator()(const edit::Measure& e) const { return filled(tr("measured {0}"), e.clearance); }
    std::string operator()(const edit::Fitted& e) const { return filled(tr("size that is in, {0}"), e.clearance); }
    std::string operator()(const edit::Renew& e) const {
        return filled(e.quantity == 0 ? tr("not renewed: {0}") : tr("renewed: {0}"), e.what);
    }
    std::string operator()(const edit::Note&) const { return tr("note"); }
    std::string operator()(const edit::DropNote&) const { return tr("drop a note"); }
    std::string operator()(const edit::BeginCheck& e) const {
        return e.purpose == model::CheckPurpose::retest ? tr("begin the retest") : tr("begin another air check");
    }
    std::string operator()(const edit::ShowCheck& e) const { return filled(tr("show air check {0}"), e.number); }
    std::string operator()(const edit::Begin&) const { return tr("begin a new job"); }
};

struct Settled {
    template <class Edit> bool operator()(const Edit&) const { return true; }
    bool operator()(const edit::Write& e) const { return e.settled; }
    bool operator()(const edit::Describe& e) const { return e.settled; }
    bool operator()(const edit::Measure& e) const { return e.settled; }
};

using Words = std::vector<std::string>;
std::string yes_no(bool on) { return on ? "on" : "off"; }

struct Speller {
    Words operator()(const edit::Write& e) const { return {"write", std::string(model::word(e.field)), e.text}; }
    Words operator()(const edit::Tick& e) const { return {"tick", std::string(model::word(e.step)), yes_no(e.over)}; }
    Words operator()(const edit::Turns& e) const {
        return {"turns", e.freely ? (*e.freely ? "yes" : "no") : "not-tried"};
    }
    Words operator()(const edit::Find& e) const {
        return {"find", e.seal, e.found ? std::string(model::word(*e.found)) : "not-said"};
    }
    Words operator()(const edit::Describe& e) const { return {"describe", e.seal, e.text}; }
    Words operator()(const edit::Photo& e) const { return {"photo", e.seal, e.file, yes_no(e.on)}; }
    static Words length(const char* verb, const std::string& clearance, const std::optional<model::Length>& value) {
        if (!value) return {verb, clearance, "none"};
        return {verb, clearance, fmt::format("{}", value->value), std::string(value->measure().suffix)};
    }
    Words operator()(const edit::Measure& e) const { return length("measure", e.clearance, e.value); }
    Words operator()(const edit::Fitted& e) const { return length("fitted", e.clearance, e.size); }
    Words operator()(const edit::Renew& e) const {
        Words words{"renew", e.what, fmt::format("{}", e.quantity)};
        if (!e.part_number.empty()) words.push_back(e.part_number);
        return words;
    }
    Words operator()(const edit::Note& e) const { return {"note", e.text}; }
    Words operator()(const edit::DropNote& e) const { return {"drop-note", fmt::format("{}", e.number)}; }
    Words operator()(const edit::BeginCheck& e) const { return {"begin-check", std::string(model::word(e.purpose))}; }
    Words operator()(const edit::ShowCheck& e) const { return {"show-check", fmt::format("{}", e.number)}; }
    Words operator()(const edit::Begin&) const { return {"begin"}; }
};

std::optional<double> figure(const std::string& text) {
    std::istringstream stream(text);
    stream.imbue(std::locale::classic());
    double value = 0;
    if (!(stream >> value) || stream.peek() != std::istringstream::traits_type::eof() || !std::isfinite(value))
        return {};
    return value;
}

std::optional<int> whole(const std::string& text) {
    const auto value = figure(text);
    if (!value || *value != std::floor(*value) || std::abs(*value) > 1e6) return {};
    return static_cast<int>(*value);
}

std::optional<bool> on_off(const std::string& text) {
    if (text != "on" && text != "off") return {};
    return text == "on";
}

std::optional<JobEdit> of_two(const Words& w) {
    const std::string &verb = w[0], &what = w[1];
    if (verb == "turns") {
        if (what == "not-tried") return edit::Turns{};
        if (what != "yes" && what != "no") return {};
        return edit::Turns{what == "yes"};
    }
    if (verb == "note") return edit::Note{what};
    if (verb == "drop-note" || verb == "show-check") {
        const auto number = whole(what);
        if (!number) return {};
        return verb == "drop-note" ? JobEdit(edit::DropNote{*number}) : JobEdit(edit::ShowCheck{*number});
    }
    if (verb == "begin-check") {
        const auto purpose = model::from_word<model::CheckPurpose>(what);
        if (purpose) return edit::BeginCheck{*purpose};
    }
    return {};
}

std::optional<JobEdit> of_three(const Words& w) {
    const std::string& verb = w[0];
    if (verb == "write") {
        const auto field = model::from_word<edit::Field>(w[1]);
        if (field) return edit::Write{*field, w[2]};
    } else if (verb == "tick") {
        const auto step = model::from_word<model::JobStep>(w[1]);
        const auto over = on_off(w[2]);
        if (step && over) return edit::Tick{*step, *over};
    } else if (verb == "find") {
        if (w[2] == "not-said") return edit::Find{w[1], {}};
        const auto found = model::from_word<model::Found>(w[2]);
        if (found) return edit::Find{w[1], found};
    } else if (verb == "describe") {
        return edit::Describe{w[1], w[2]};
    } else if (verb == "measure" && w[2] == "none") {
        return edit::Measure{w[1], {}};
    } else if (verb == "fitted" && w[2] == "none") {
        return edit::Fitted{w[1], {}};
    } else if (verb == "renew") {
        const auto quantity = whole(w[2]);
        if (quantity) return edit::Renew{w[1], *quantity, ""};
    }
    return {};
}

std::optional<JobEdit> of_four(const Words& w) {
    const std::string& verb = w[0];
    if (verb == "photo") {
        const auto on = on_off(w[3]);
        if (on) return edit::Photo{w[1], w[2], *on};
    } else if (verb == "measure" || verb == "fitted") {
        const auto value = figure(w[2]);
        if (!value || (w[3] != "mm" && w[3] != "in")) return {};
        const model::Length length{*value,
                                   w[3] == "mm" ? model::LengthDimension::Unit::mm : model::LengthDimension::Unit::in};
        return verb == "measure" ? JobEdit(edit::Measure{w[1], length}) : JobEdit(edit::Fitted{w[1], length});
    } else if (verb == "renew") {
        const auto quantity = whole(w[2]);
        if (quantity) return edit::Renew{w[1], *quantity, w[3]};
    }
    return {};
}

} // namespace

void begin_job(Document& document) {
    model::Job& job = document.job;
    if (!job.id.empty()) return;
    job.id = model::new_id();
    job.head.opened_at = model::utc_now();
    job.map_file = document.map_path;
    job.map_toml = model::write_map_text(document.map);
    job.checks.push_back({model::new_id(), model::CheckPurpose::before, model::utc_now(), "", {}, "", {}, {}, {}});
    document.check_at = 0;
}

void keep_check(Document& document) {
    begin_job(document);
    model::take_over(document.job.checks[document.check_at], document.check);
}

std::string apply(const Translator& tr, Document& document, const JobEdit& edit) {
    if (document.map.circuits.empty()) return tr("open the map of a unit first: a job is always on a unit");
    begin_job(document);
    return std::visit(Applier{tr, document}, edit);
}

std::string edit_name(const Translator& tr, const JobEdit& edit) { return std::visit(Namer{tr}, edit); }
bool edit_settled(const JobEdit& edit) { return std::visit(Settled{}, edit); }
std::vector<std::string> edit_words(const JobEdit& edit) { return std::visit(Speller{}, edit); }

std::optional<JobEdit> parse_edit(const std::vector<std::string>& words) {
    switch (words.size()) {
    case 1:
        if (words[0] == "begin") return edit::Begin{};
        return {};
    case 2:
        return of_two(words);
    case 3:
        return of_three(words);
    case 4:
        return of_four(words);
    default:
        return {};
    }
}

} // namespace ringland::viewer
