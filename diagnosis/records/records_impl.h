// Which database is asked: the file, or the server with a file beside it. Private to the records.
#pragma once

#include <chrono>
#include <functional>
#include <memory>
#include <string>

#include "store.h"

namespace ringland::diagnosis::records {

/// A server that was away is tried again after so long.
inline constexpr std::chrono::seconds try_again_after{5};

struct Records::Impl {
    explicit Impl(const Place& place);

    std::string where, bench;
    bool server_wanted = false;
    std::unique_ptr<Store> server; ///< nothing while it is away
    std::unique_ptr<Store> file;   ///< the records themselves, or what stands beside the server; may be missing there
    std::string why_away;
    model::Phrase why_no_file;
    std::chrono::steady_clock::time_point tried{};

    /// Connects where it is time to, and sends what waits. True where the server answers.
    bool reach(bool at_once = false);
    bool send();
    void lost(const Away& away);
    Store& beside();
    /// Brings what the server has into the file beside it, for the time when it is away. A file that cannot be written
    /// is no reason to refuse what the server has taken.
    template <class Work> void remember(Work work) {
        if (file == nullptr) return;
        try {
            work(*file);
        } catch (const Trouble&) { // it is told when the file is needed
        }
    }

    /// Asks the server, or the file where there is none or it does not answer.
    template <class Work> auto ask(Work work) {
        if (server_wanted && reach()) {
            try {
                return work(*server);
            } catch (const Away& away) {
                lost(away);
            }
        }
        return work(beside());
    }
    /// Only the server, or only the file where there is none: for what must be whole.
    template <class Work> auto ask_whole(const model::Phrase& what, Work work) {
        if (!server_wanted) return work(*file);
        if (reach(true)) {
            try {
                return work(*server);
            } catch (const Away& away) {
                lost(away);
            }
        }
        throw Trouble(model::phrase("the records server is away, and {0} needs it", what));
    }
};

/// A text as it can stand in a column: UTF-8, without a zero byte.
[[nodiscard]] std::string clean(std::string text);

} // namespace ringland::diagnosis::records
