// What a hand does to the job: each edit is a plain value, carried out by the command EditJob.
//
// A job begins by itself with the first thing that is entered, so that nothing has to be filled in before the air goes
// on and nothing is lost that was entered without one.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "session.h"
#include "texts.h"

namespace ringland::viewer {

namespace job_edit {

/// The texts of a job's head.
enum class Field { number, customer, complaint, who, conclusion };

struct Write {
    Field field{};
    std::string text;
    bool settled = true; ///< the hand has left the field; until then all letters are one step to undo
    friend bool operator==(const Write&, const Write&) = default;
};
/// A step is over, though nothing in the job shows it; or it is not.
struct Tick {
    model::JobStep step{};
    bool over = true;
    friend bool operator==(const Tick&, const Tick&) = default;
};
/// The shafts turned freely both ways before this air check; nothing: not tried.
struct Turns {
    std::optional<bool> freely;
    friend bool operator==(const Turns&, const Turns&) = default;
};
/// What was found at a seal once it could be seen; nothing: taken back.
struct Find {
    std::string seal;
    std::optional<model::Found> found;
    friend bool operator==(const Find&, const Find&) = default;
};
/// What was seen there, in words. The seal has been found sound or damaged before.
struct Describe {
    std::string seal, text;
    bool settled = true;
    friend bool operator==(const Describe&, const Describe&) = default;
};
/// A picture file of a finding is named, or taken off it.
struct Photo {
    std::string seal, file;
    bool on = true;
    friend bool operator==(const Photo&, const Photo&) = default;
};
/// A figure held against a clearance of the map; nothing: taken back.
struct Measure {
    std::string clearance;
    std::optional<model::Length> value;
    bool settled = true;
    friend bool operator==(const Measure&, const Measure&) = default;
};
/// Which size of the selective part is in that sets a clearance; nothing: taken back. It has been measured before.
struct Fitted {
    std::string clearance;
    std::optional<model::Length> size;
    friend bool operator==(const Fitted&, const Fitted&) = default;
};
/// Renewed: a seal or part of the map, or anything by its name; none of it: taken back.
struct Renew {
    std::string what;
    int quantity = 1;
    std::string part_number; ///< empty: as the map has it
    friend bool operator==(const Renew&, const Renew&) = default;
};
struct Note {
    std::string text;
    friend bool operator==(const Note&, const Note&) = default;
};
/// Counted from 1.
struct DropNote {
    int number = 1;
    friend bool operator==(const DropNote&, const DropNote&) = default;
};
/// Another air check of the same unit begins; readings go into it from now on.
struct BeginCheck {
    model::CheckPurpose purpose{};
    friend bool operator==(const BeginCheck&, const BeginCheck&) = default;
};
/// Shows one of the air checks, counted from 1; readings go into it.
struct ShowCheck {
    int number = 1;
    friend bool operator==(const ShowCheck&, const ShowCheck&) = default;
};
/// A new job on the same unit; the one before stays as it is.
struct Begin {
    friend bool operator==(const Begin&, const Begin&) = default;
};

} // namespace job_edit

using JobEdit = std::variant<job_edit::Write, job_edit::Tick, job_edit::Turns, job_edit::Find, job_edit::Describe,
                             job_edit::Photo, job_edit::Measure, job_edit::Fitted, job_edit::Renew, job_edit::Note,
                             job_edit::DropNote, job_edit::BeginCheck, job_edit::ShowCheck, job_edit::Begin>;

/// Longest text of one field, bytes; and how many notes, photos and renewed things a job may have.
inline constexpr std::size_t most_job_text = 20000, most_job_things = 500;

/// Carries an edit out on a document; empty, or why it was refused, and then nothing has changed.
[[nodiscard]] std::string apply(const Translator& tr, Document& document, const JobEdit& edit);
/// The edit in words, for undo: "renew R3".
[[nodiscard]] std::string edit_name(const Translator& tr, const JobEdit& edit);
/// False while a field is still being written in.
[[nodiscard]] bool edit_settled(const JobEdit& edit);

/// Begins a job on the document's unit where there is none.
void begin_job(Document& document);
/// Brings the readings and looks of the document into its job.
void keep_check(Document& document);

/// The edit as words of a command line, and back; nothing where they say none.
[[nodiscard]] std::vector<std::string> edit_words(const JobEdit& edit);
[[nodiscard]] std::optional<JobEdit> parse_edit(const std::vector<std::string>& words);
/// What comes after "job", for messages.
inline constexpr std::string_view edit_forms =
    "write FIELD TEXT, tick STEP on|off, turns yes|no|not-tried, find SEAL sound|damaged|not-said, describe SEAL TEXT, "
    "photo SEAL FILE on|off, measure CLEARANCE FIGURE mm|in (or CLEARANCE none), renew WHAT QUANTITY [NUMBER], note "
    "TEXT, drop-note NUMBER, begin-check before|retest, show-check NUMBER or begin";

} // namespace ringland::viewer

namespace ringland::model {
template <> struct EnumNames<viewer::job_edit::Field> {
    static constexpr std::array<std::string_view, 5> words{"number", "customer", "complaint", "who", "conclusion"};
};
} // namespace ringland::model
