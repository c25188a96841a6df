// The customer's page from the window: the program itself is run beside it, as `ringland handout`.
//
// The page draws pictures with an interface of its own, and the toolkit's context is one for the whole process; a
// second process also leaves the window and what was entered alone whatever happens to it. It works in a folder of its
// own that nobody else can read; the page goes to its place only when it is whole, and replaces nothing there.
#pragma once

#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "../../model-data/air_bench.h"
#include "../../model-data/job.h"
#include "../app/session.h"
#include "../app/texts.h"

namespace ringland::viewer {

/// One page that is wanted.
struct PageOrder {
    model::Job job;
    model::AirBench bench;
    bool browser = false;        ///< HTML; else a PDF
    bool a4 = false;             ///< else letter
    std::string language = "en"; ///< of the page
    Translator tr;               ///< for what is told in the window
    UnitSystem units = UnitSystem::psi_inch;
    std::filesystem::path folder; ///< where it goes
    std::string name;             ///< without its ending
};

/// A page that takes longer is given up.
inline constexpr double page_takes_at_most_s = 180;

class PageMaker {
public:
    /// `program` is Ringland's own. `wake` is called from a thread when there is something to tell.
    explicit PageMaker(std::filesystem::path program, std::function<void()> wake = {});
    /// Waits for a page that is being made.
    ~PageMaker();
    PageMaker(const PageMaker&) = delete;
    PageMaker& operator=(const PageMaker&) = delete;

    /// Begins a page; empty, or why not.
    [[nodiscard]] std::string begin(PageOrder order);
    [[nodiscard]] bool busy() const;
    /// True while something waits to be told.
    [[nodiscard]] bool has_news() const;
    /// Where the page is, or why there is none; once.
    [[nodiscard]] std::optional<std::string> take_news();

private:
    struct Impl;
    std::unique_ptr<Impl> impl_;
};

/// The user's folder for documents: as XDG_DOCUMENTS_DIR or user-dirs.dirs say it, else HOME/Documents where that is
/// there, else the working folder.
[[nodiscard]] std::filesystem::path documents_folder();
/// "larch-five-2031-7": unit and number of the job, as a file may be called.
[[nodiscard]] std::string page_name(const Document& document);

} // namespace ringland::viewer
