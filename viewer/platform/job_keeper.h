// Keeps the session's job in the shop's records, beside the window: no frame waits for a disk or a server.
//
// Whatever changed since the last look is one change in the records, named as undo names it. Letters that are still
// being written wait until the hand rests for a moment; everything else is saved at once.
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "../app/commands.h"
#include "../app/job_shelf.h"

namespace ringland::viewer {

/// How long letters wait for the next one before they are saved, and at most.
inline constexpr double letters_rest_s = 0.7, letters_most_s = 3;
/// How often the records are asked whether another window or bench has saved: the list that is looked at, the open job.
inline constexpr double look_again_s = 3;

/// What another window or bench made of the open job.
struct Elsewhere {
    model::Job base, now;     ///< as this window knew the records, and as they are
    std::string label, bench; ///< of the last change
};

class JobKeeper {
public:
    /// `wake` is called from the thread when something new can be taken. The records are opened in the thread, so that
    /// the window does not wait for them.
    explicit JobKeeper(diagnosis::records::Place place, std::function<void()> wake = {});
    /// Saves what is still to be saved.
    ~JobKeeper();
    JobKeeper(const JobKeeper&) = delete;
    JobKeeper& operator=(const JobKeeper&) = delete;

    /// Looks whether the job has changed since the last look. Cheap where it has not. `taken_back` is a job whose first
    /// entry was taken back: it leaves the lists of the records, not their history. So does a job that holds nothing.
    void keep(const Document& document, const std::string& label, const std::string& taken_back = {});
    /// The language of its remarks from now on.
    void speak(const Translator& tr);
    /// Asks for the jobs that fit; the answer comes as a page. While it is looked at, it comes again whenever anything
    /// was saved, here or at another bench.
    void ask(const diagnosis::records::Search& search);
    /// Nobody looks at the page any more.
    void look_away();
    /// Asks for a job; it comes by `take_opened`.
    void open(const std::string& id);

    /// The newest page; nothing before the first answer.
    [[nodiscard]] std::shared_ptr<const ShelfPage> page() const;
    /// A job that was asked for, once. It counts as saved.
    [[nodiscard]] std::optional<model::Job> take_opened();
    /// What somebody else made of the open job, once. It counts as taken over into the session.
    [[nodiscard]] std::optional<Elsewhere> take_elsewhere();
    /// What the shop has found on the unit that is open, the open job left out; once after each change of unit or job.
    [[nodiscard]] std::optional<std::vector<diagnosis::records::SealStatistics>> take_failures();
    /// What a person should be told, once: that nothing is kept and why, or that somebody else changed the same thing.
    [[nodiscard]] std::string take_remark();
    /// True once after anything came that a frame should show.
    [[nodiscard]] bool take_news();
    /// Waits until everything so far is saved; true where it is. For the end of the program, and for tests.
    bool settle(double at_most_s);

private:
    struct Impl;
    std::unique_ptr<Impl> impl_;
};

} // namespace ringland::viewer
