#include "job_keeper.h"

#include <algorithm>
#include <chrono>
#include <condition_variable>
#include <deque>
#include <mutex>
#include <thread>
#include <utility>

#include <fmt/format.h>

#include "../../model-data/job_entries.h"

namespace ringland::viewer {

namespace {

namespace records = diagnosis::records;
using Clock = std::chrono::steady_clock;

constexpr double again_after_s = 3; ///< a save that failed

std::chrono::duration<double> seconds(double s) { return std::chrono::duration<double>(s); }

/// The job without what is written letter by letter: where two of these are equal, only letters changed.
model::Job without_letters(model::Job job) {
    job.head.number.clear();
    job.head.customer.clear();
    job.head.complaint.clear();
    job.head.who.clear();
    job.head.conclusion.clear();
    for (auto& finding : job.findings)
        finding.seen.clear();
    for (auto& measurement : job.measurements)
        measurement.value = {};
    return job;
}

/// True where nobody has entered anything yet: such a job is not worth a place in the records.
bool is_empty(const model::Job& job) {
    const auto& h = job.head;
    const bool any_reading = std::any_of(job.checks.begin(), job.checks.end(), [](const model::JobCheck& c) {
        return !c.readings.empty() || !c.looks.empty() || !c.complaints.empty() || c.turns_freely.has_value() ||
               !c.note.empty();
    });
    return !any_reading && job.ticks.empty() && job.findings.empty() && job.measurements.empty() &&
           job.renewed.empty() && job.notes.empty() && h.number.empty() && h.customer.empty() && h.complaint.empty() &&
           h.conclusion.empty();
}

struct Save {
    model::Job after;
    std::string label;
    std::shared_ptr<const Elsewhere> adopted = nullptr; ///< no save: the session has taken this over
};

} // namespace

struct JobKeeper::Impl {
    records::Place place;
    std::function<void()> wake;

    mutable std::mutex mutex;
    std::condition_variable changed, done;
    std::deque<Save> saves;
    std::optional<Save> letters; ///< still being written
    Clock::time_point letters_last, letters_first;
    std::optional<records::Search> asked;
    std::optional<records::Search> watched; ///< what the page that is looked at was asked for
    bool job_on = false;                    ///< a job stands in the session: others may work on it
    Clock::time_point look_at;              ///< when it is looked next whether page and job still hold
    std::shared_ptr<const Elsewhere> elsewhere;
    std::optional<std::string> to_open;
    std::shared_ptr<const ShelfPage> page;
    std::optional<model::Job> opened;
    std::string remark;
    Translator speaks;                      ///< remarks, from now on
    std::optional<std::string> unit_wanted; ///< its failures are asked for
    std::optional<std::vector<records::SealStatistics>> failures;
    std::string unit_seen, job_seen; ///< that failures were asked for last
    bool ends = false, busy = false, news = false;

    model::Job seen;         ///< at the last look
    model::Job saved;        ///< as this session had it when it was saved last; of the thread
    model::Job known;        ///< the same job as the records had it at the last look; of the thread
    long long state = 0;     ///< of the records, when the page was read; of the thread
    long long job_state = 0; ///< of the records, when the job was looked at; of the thread
    bool trouble_told = false;
    std::thread thread; ///< the last member: it begins when all others are there

    explicit Impl(records::Place p, std::function<void()> w) : place(std::move(p)), wake(std::move(w)) {
        thread = std::thread([this] { run(); });
    }

    /// `say` makes the words by the translator of now.
    template <class Say> void tell(const Say& say) {
        const std::lock_guard lock(mutex);
        remark = say(speaks);
    }

    [[nodiscard]] Clock::time_point letters_due() const {
        return std::min(letters_last + std::chrono::duration_cast<Clock::duration>(seconds(letters_rest_s)),
                        letters_first + std::chrono::duration_cast<Clock::duration>(seconds(letters_most_s)));
    }
    [[nodiscard]] bool looks() const { return watched || job_on; }
    /// Sleeps until there is something to be done; false at the end.
    bool wait_for_work(std::unique_lock<std::mutex>& lock) {
        while (true) {
            if (!saves.empty() || to_open || asked || unit_wanted) return true;
            if (letters && (ends || Clock::now() >= letters_due())) {
                saves.push_back(std::move(*letters));
                letters.reset();
                return true;
            }
            if (ends) return false;
            if (looks() && Clock::now() >= look_at) return true;
            auto until = Clock::time_point::max();
            if (letters) until = letters_due();
            if (looks()) until = std::min(until, look_at);
            // Until the end of time would overflow on its way into the system's clock.
            if (until == Clock::time_point::max())
                changed.wait(lock);
            else
                changed.wait_until(lock, until);
        }
    }

    /// One thing to do.
    struct Task {
        std::optional<Save> save;
        std::optional<std::string> open;
        std::optional<records::Search> search;
        std::optional<std::string> unit;
        std::optional<records::Search> watch; ///< searched again where anything was saved since
        bool look_at_job = false;
    };
    /// What is to be done next, by how much it hurts to lose it.
    Task next_task() {
        Task task;
        if (!saves.empty()) {
            task.save = std::move(saves.front());
            saves.pop_front();
        } else if (to_open) {
            task.open = std::exchange(to_open, std::nullopt);
        } else if (asked) {
            task.search = std::exchange(asked, std::nullopt);
        } else if (unit_wanted) {
            task.unit = std::exchange(unit_wanted, std::nullopt);
        } else {
            task.watch = watched;
            task.look_at_job = job_on;
            look_at = Clock::now() + std::chrono::duration_cast<Clock::duration>(seconds(look_again_s));
        }
        return task;
    }

    void run() {
        std::optional<records::Records> shop;
        std::unique_lock lock(mutex);
        while (wait_for_work(lock)) {
            busy = true;
            const Task task = next_task();
            const auto page_before = page;
            const auto elsewhere_before = elsewhere;
            lock.unlock();
            work(shop, task);
            lock.lock();
            busy = false;
            const bool came = task.open || task.search || task.unit || !remark.empty() || page != page_before ||
                              elsewhere != elsewhere_before;
            news = news || came;
            if (wake && (came || task.save)) wake();
            done.notify_all();
        }
    }

    void work(std::optional<records::Records>& shop, const Task& task) {
        if (task.save && task.save->adopted) {
            adopt(*task.save->adopted);
            return;
        }
        try {
            if (!shop) shop.emplace(place);
            if (task.save) {
                keep_one(*shop, *task.save);
            } else if (task.open) {
                auto job = shop->load(*task.open);
                if (!job) tell([](const Translator& tr) { return tr("That job is not in the records any more."); });
                if (job) saved = known = *job;
                const std::lock_guard lock(mutex);
                opened = std::move(job);
            } else if (task.search) {
                read_page(*shop, *task.search);
            } else if (task.unit) {
                auto before = failures_without_own(shop->failures_of(*task.unit));
                const std::lock_guard lock(mutex);
                failures = std::move(before);
            } else {
                if (task.watch && page_is_old(*shop)) read_page(*shop, *task.watch);
                if (task.look_at_job) look_at_job(*shop);
            }
            trouble_told = false;
        } catch (const records::Trouble& trouble) {
            in_trouble(trouble.text(), task.save, task.search ? task.search : task.watch, task.open.has_value());
        }
    }

    /// The state is read first: what is saved meanwhile is seen at the next look.
    void read_page(records::Records& shop, const records::Search& search) {
        state = shop.state();
        auto found = std::make_shared<ShelfPage>();
        found->search = search;
        found->lines = shop.search(search);
        found->total = shop.count();
        found->statistics = shop.statistics();
        found->away = shop.away();
        found->waiting = shop.waiting();
        const std::lock_guard lock(mutex);
        page = std::move(found);
    }
    [[nodiscard]] bool page_is_old(records::Records& shop) {
        const long long now = shop.state();
        const std::lock_guard lock(mutex);
        return now != state || (page && page->away != shop.away());
    }

    /// Whether somebody else has changed the job that was saved here last.
    void look_at_job(records::Records& shop) {
        if (saved.id.empty() || shop.away()) return;
        const long long now = shop.state();
        if (now == job_state) return;
        const auto job = shop.load(saved.id);
        job_state = now;
        if (!job || *job == known) return;
        const auto history = shop.history(saved.id);
        const std::lock_guard lock(mutex);
        // What was not taken yet is part of this.
        const bool more = elsewhere && elsewhere->now.id == job->id;
        auto came = std::make_shared<Elsewhere>(Elsewhere{more ? elsewhere->base : known, *job, {}, {}});
        if (!history.empty()) {
            came->label = history.back().label;
            came->bench = history.back().bench;
        }
        elsewhere = std::move(came);
        known = *job;
    }
    /// The session has what came from elsewhere: what is saved from now on differs from that. So does what still waits
    /// to be saved, though it was written down before.
    void adopt(const Elsewhere& came) {
        const auto with_theirs = [&](model::Job& job) {
            if (job.id == came.now.id) job = model::merged(job, came.base, came.now);
        };
        with_theirs(saved);
        const std::lock_guard lock(mutex);
        if (letters) with_theirs(letters->after);
        for (Save& save : saves)
            with_theirs(save.after);
    }

    /// What this job found itself is no experience from before it.
    [[nodiscard]] std::vector<records::SealStatistics>
    failures_without_own(std::vector<records::SealStatistics> failures_of_unit) const {
        for (auto& line : failures_of_unit) {
            const bool own = std::any_of(saved.findings.begin(), saved.findings.end(), [&](const auto& f) {
                return f.seal == line.seal && f.found == model::Found::damaged;
            });
            if (own && line.failed > 0) --line.failed;
            if (!saved.findings.empty() && line.jobs > 0) --line.jobs;
        }
        failures_of_unit.erase(std::remove_if(failures_of_unit.begin(), failures_of_unit.end(),
                                              [](const auto& line) { return line.failed <= 0; }),
                               failures_of_unit.end());
        return failures_of_unit;
    }

    void keep_one(records::Records& shop, const Save& save) {
        // Nothing is left of a job that never got here.
        if (saved.id != save.after.id && records::is_nothing(save.after)) return;
        // Another job stands in the session: the one before is complete as it was saved last.
        const model::Job before = saved.id == save.after.id ? saved : model::Job{};
        const records::Saved what = shop.save(before, save.after, save.label);
        known = before.id.empty() ? save.after : model::merged(save.after, before, known);
        saved = save.after;
        if (!what.also_changed.empty())
            tell([&](const Translator& tr) {
                return filled(tr("Another window had changed this meanwhile ({0}). What you entered stands; the job's "
                                 "history has both."),
                              what.also_changed.front());
            });
    }

    /// Said once until something works again. What could not be saved is tried again, until the program ends.
    void in_trouble(const model::Phrase& trouble, const std::optional<Save>& save,
                    const std::optional<records::Search>& search, bool wanted_job) {
        const std::lock_guard lock(mutex);
        const std::string what = trouble.in(speaks);
        if (save && !letters && !ends) {
            letters = save;
            letters_first = letters_last =
                Clock::now() + std::chrono::duration_cast<Clock::duration>(seconds(again_after_s));
        }
        if (search) {
            auto empty = std::make_shared<ShelfPage>();
            empty->search = *search;
            empty->trouble = what;
            page = std::move(empty);
        } else if (wanted_job) {
            remark = what;
        } else if (!trouble_told) {
            const Translator& tr = speaks;
            remark = filled(
                tr("Jobs cannot be kept just now: {0}. What you enter stays in this window, and is saved as soon "
                   "as that works again."),
                what);
            trouble_told = true;
        }
    }
};

JobKeeper::JobKeeper(records::Place place, std::function<void()> wake)
    : impl_(std::make_unique<Impl>(std::move(place), std::move(wake))) {}

JobKeeper::~JobKeeper() {
    {
        const std::lock_guard lock(impl_->mutex);
        impl_->ends = true;
    }
    impl_->changed.notify_all();
    impl_->thread.join();
}

void JobKeeper::keep(const Document& document, const std::string& label, const std::string& taken_back) {
    Impl& im = *impl_;
    const model::Job& now = document.job;
    const std::string& unit = document.map.unit.name;
    if (!unit.empty() && (unit != im.unit_seen || now.id != im.job_seen)) {
        im.unit_seen = unit;
        im.job_seen = now.id;
        const std::lock_guard lock(im.mutex);
        im.unit_wanted = unit;
        im.changed.notify_all();
    }
    if (now == im.seen) return;
    const bool same_job = now.id == im.seen.id;
    const bool only_letters = same_job && without_letters(now) == without_letters(im.seen);
    const std::string before = std::exchange(im.seen, now).id;
    const std::lock_guard lock(im.mutex);
    if (!im.job_on && !now.id.empty())
        im.look_at = Clock::now() + std::chrono::duration_cast<Clock::duration>(seconds(look_again_s));
    im.job_on = !now.id.empty();
    // Letters of the job that was open before are saved with that job.
    if (im.letters && im.letters->after.id != now.id) {
        im.saves.push_back(std::move(*im.letters));
        im.letters.reset();
        im.changed.notify_all();
    }
    // Another map stands in the session: the job that was kept stays as it is. Or its first entry was taken back.
    const bool taken_back_now = now.id.empty() && !before.empty() && taken_back == before;
    if ((now.id.empty() && !taken_back_now) || (is_empty(now) && !same_job && !taken_back_now)) return;
    if (is_empty(now)) {
        Save nothing_left;
        nothing_left.after.id = before;
        const Translator& tr = im.speaks;
        nothing_left.label = tr("take back");
        im.letters.reset();
        im.saves.push_back(std::move(nothing_left));
    } else if (only_letters) {
        if (!im.letters) im.letters_first = Clock::now();
        im.letters_last = Clock::now();
        im.letters = Save{now, label};
    } else {
        im.letters.reset(); // they are in this one
        im.saves.push_back({now, label});
    }
    im.changed.notify_all();
}

void JobKeeper::speak(const Translator& tr) {
    const std::lock_guard lock(impl_->mutex);
    impl_->speaks = tr;
}

void JobKeeper::ask(const records::Search& search) {
    const std::lock_guard lock(impl_->mutex);
    impl_->asked = impl_->watched = search;
    impl_->look_at = Clock::now() + std::chrono::duration_cast<Clock::duration>(seconds(look_again_s));
    impl_->changed.notify_all();
}

void JobKeeper::look_away() {
    const std::lock_guard lock(impl_->mutex);
    impl_->watched.reset();
}

void JobKeeper::open(const std::string& id) {
    const std::lock_guard lock(impl_->mutex);
    impl_->to_open = id;
    impl_->changed.notify_all();
}

std::shared_ptr<const ShelfPage> JobKeeper::page() const {
    const std::lock_guard lock(impl_->mutex);
    return impl_->page;
}

std::optional<model::Job> JobKeeper::take_opened() {
    const std::lock_guard lock(impl_->mutex);
    auto job = std::exchange(impl_->opened, std::nullopt);
    if (job) impl_->seen = *job;
    return job;
}

std::optional<Elsewhere> JobKeeper::take_elsewhere() {
    const std::lock_guard lock(impl_->mutex);
    const auto came = std::exchange(impl_->elsewhere, nullptr);
    if (came == nullptr) return std::nullopt;
    Save taken;
    taken.adopted = came;
    impl_->saves.push_back(std::move(taken));
    impl_->changed.notify_all();
    return *came;
}

std::optional<std::vector<records::SealStatistics>> JobKeeper::take_failures() {
    const std::lock_guard lock(impl_->mutex);
    return std::exchange(impl_->failures, std::nullopt);
}

std::string JobKeeper::take_remark() {
    const std::lock_guard lock(impl_->mutex);
    return std::exchange(impl_->remark, {});
}

bool JobKeeper::take_news() {
    const std::lock_guard lock(impl_->mutex);
    return std::exchange(impl_->news, false);
}

bool JobKeeper::settle(double at_most_s) {
    std::unique_lock lock(impl_->mutex);
    if (impl_->letters) {
        impl_->saves.push_back(std::move(*impl_->letters));
        impl_->letters.reset();
        impl_->changed.notify_all();
    }
    return impl_->done.wait_for(lock, seconds(at_most_s), [&] {
        return impl_->saves.empty() && !impl_->asked && !impl_->to_open && !impl_->unit_wanted && !impl_->busy;
    });
}

} // namespace ringland::viewer
