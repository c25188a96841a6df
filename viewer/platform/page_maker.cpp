#include "page_maker.h"

#include <algorithm>
#include <array>
#include <cerrno>
#include <chrono>
#include <csignal>
#include <cstdlib>
#include <cstring>
#include <fstream>
#include <iterator>
#include <mutex>
#include <system_error>
#include <thread>
#include <utility>
#include <vector>

#include <fcntl.h>
#include <poll.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <fmt/format.h>

#include "../../model-data/job_entries.h"
#include "../../model-data/whole_file.h"
#include "save_picture.h"

extern char** environ;

namespace ringland::viewer {

namespace fs = std::filesystem;

namespace {

using Clock = std::chrono::steady_clock;

/// Of what the program says, no more than this is listened to.
constexpr std::size_t most_said = 65536;

/// A folder that only this user can read, gone again at the end.
struct OwnFolder {
    fs::path path;
    OwnFolder() {
        std::error_code error;
        std::string name = (fs::temp_directory_path(error) / "ringland-page-XXXXXX").string();
        if (!error && ::mkdtemp(name.data()) != nullptr) path = name;
    }
    ~OwnFolder() {
        std::error_code error;
        if (!path.empty()) fs::remove_all(path, error);
    }
    OwnFolder(const OwnFolder&) = delete;
    OwnFolder& operator=(const OwnFolder&) = delete;
};

/// How a program ended, and what it said meanwhile.
struct Ended {
    std::string why_not; ///< it could not be run at all
    int status = -1;     ///< as waitpid has it
    std::string said;    ///< on its error stream
    bool too_long = false;
};

/// Reads what the child says until it is silent for good; false where that takes too long.
bool listen(int pipe, Clock::time_point until, std::string& said) {
    std::array<char, 4096> part{};
    while (true) {
        const auto left = std::chrono::duration_cast<std::chrono::milliseconds>(until - Clock::now()).count();
        if (left <= 0) return false;
        pollfd ready{pipe, POLLIN, 0};
        const int count = ::poll(&ready, 1, static_cast<int>(std::min<long long>(left, 1000)));
        if (count == 0 || (count < 0 && errno == EINTR)) continue;
        const auto size = count < 0 ? -1 : ::read(pipe, part.data(), part.size());
        if (size < 0 && errno == EINTR) continue;
        if (size <= 0) return true;
        if (said.size() < most_said) said.append(part.data(), static_cast<std::size_t>(size));
    }
}

Ended run(const fs::path& program, std::vector<std::string> words) {
    Ended ended;
    std::array<int, 2> ends{};
    if (::pipe2(ends.data(), O_CLOEXEC) != 0) {
        ended.why_not = std::strerror(errno);
        return ended;
    }
    words.insert(words.begin(), program.string());
    std::vector<char*> pointers;
    pointers.reserve(words.size() + 1);
    for (auto& word : words)
        pointers.push_back(word.data());
    pointers.push_back(nullptr);
    posix_spawn_file_actions_t actions{};
    ::posix_spawn_file_actions_init(&actions);
    ::posix_spawn_file_actions_addopen(&actions, STDIN_FILENO, "/dev/null", O_RDONLY, 0);
    ::posix_spawn_file_actions_addopen(&actions, STDOUT_FILENO, "/dev/null", O_WRONLY, 0);
    ::posix_spawn_file_actions_adddup2(&actions, ends[1], STDERR_FILENO);
    pid_t child = 0;
    const int error = ::posix_spawn(&child, pointers[0], &actions, nullptr, pointers.data(), environ);
    ::posix_spawn_file_actions_destroy(&actions);
    ::close(ends[1]);
    if (error != 0) {
        ended.why_not = fmt::format("{}: {}", program.string(), std::strerror(error));
    } else {
        const auto until = Clock::now() + std::chrono::duration_cast<Clock::duration>(
                                              std::chrono::duration<double>(page_takes_at_most_s));
        ended.too_long = !listen(ends[0], until, ended.said);
        if (ended.too_long) ::kill(child, SIGKILL);
        while (::waitpid(child, &ended.status, 0) < 0 && errno == EINTR) {
        }
    }
    ::close(ends[0]);
    return ended;
}

/// The last line that the program said, without its own name.
std::string last_line(std::string said) {
    while (!said.empty() && (said.back() == '\n' || said.back() == '\r'))
        said.pop_back();
    const auto begin = said.rfind('\n');
    std::string line = begin == std::string::npos ? said : said.substr(begin + 1);
    constexpr std::string_view name = "ringland handout: ";
    if (line.compare(0, name.size(), name) == 0) line.erase(0, name.size());
    return line;
}

std::string why_no_page(const Translator& tr, const Ended& ended) {
    if (!ended.why_not.empty()) return filled(tr("the program for it could not be started: {0}"), ended.why_not);
    if (ended.too_long) return filled(tr("it took more than {0:.0f} s"), page_takes_at_most_s);
    const std::string line = last_line(ended.said);
    if (WIFSIGNALED(ended.status))
        return filled(tr("its program ended by itself (signal {0})"), WTERMSIG(ended.status));
    return line.empty() ? tr("its program gave no reason") : line;
}

/// Makes a page and puts it in its place; what is to be told.
std::string made(const fs::path& program, PageOrder order) {
    const Translator& tr = order.tr;
    const auto none = [&](const std::string& why) { return filled(tr("No customer's page was made: {0}"), why); };
    const OwnFolder folder;
    if (folder.path.empty()) return none(tr("there is no room for it in the folder for temporary files"));
    const fs::path job = folder.path / "job.json", bench = folder.path / "bench.toml",
                   page = folder.path / (order.browser ? "page.html" : "page.pdf");
    // The shapes of the unit lie beside its map.
    std::error_code error;
    if (!order.job.map_file.empty()) order.job.map_file = fs::absolute(order.job.map_file, error).string();
    const std::string bench_text = model::write_bench_text(order.bench);
    for (const std::string& why : {model::write_job_file(job, order.job),
                                   model::write_whole_file(bench, bench_text.data(), bench_text.size())}) {
        if (!why.empty()) return none(why);
    }
    const Ended ended = run(program, {"handout", job.string(), "-o", page.string(), "--bench", bench.string(),
                                      "--paper", order.a4 ? "a4" : "letter", "--language", order.language, "--units",
                                      std::string(model::word(order.units))});
    const bool well = WIFEXITED(ended.status) && WEXITSTATUS(ended.status) == 0;
    std::ifstream input(page, std::ios::binary);
    const std::string bytes((std::istreambuf_iterator<char>(input)), {});
    if (bytes.empty() || !ended.why_not.empty() || ended.too_long || !WIFEXITED(ended.status))
        return none(why_no_page(tr, ended));
    const fs::path file = free_name(order.folder, order.name, page.extension().string());
    const std::string why = model::write_whole_file(file, bytes.data(), bytes.size());
    if (!why.empty()) return none(why);
    return well ? filled(tr("Customer's page saved: {0}"), file.string())
                : filled(tr("Customer's page saved: {0}. Note: {1}"), file.string(), last_line(ended.said));
}

} // namespace

struct PageMaker::Impl {
    fs::path program;
    std::function<void()> wake;
    mutable std::mutex mutex;
    bool busy = false;
    std::optional<std::string> news;
    std::thread thread;
};

PageMaker::PageMaker(fs::path program, std::function<void()> wake) : impl_(std::make_unique<Impl>()) {
    impl_->program = std::move(program);
    impl_->wake = std::move(wake);
}

PageMaker::~PageMaker() {
    if (impl_->thread.joinable()) impl_->thread.join();
}

std::string PageMaker::begin(PageOrder order) {
    Impl& im = *impl_;
    if (busy()) return order.tr("One page is being made already; it takes some seconds.");
    if (im.thread.joinable()) im.thread.join();
    im.busy = true;
    im.thread = std::thread([&im, wanted = std::move(order)]() mutable {
        std::string words = made(im.program, std::move(wanted));
        {
            const std::lock_guard lock(im.mutex);
            im.news = std::move(words);
            im.busy = false;
        }
        if (im.wake) im.wake();
    });
    return {};
}

bool PageMaker::busy() const {
    const std::lock_guard lock(impl_->mutex);
    return impl_->busy;
}

bool PageMaker::has_news() const {
    const std::lock_guard lock(impl_->mutex);
    return impl_->news.has_value();
}

std::optional<std::string> PageMaker::take_news() {
    const std::lock_guard lock(impl_->mutex);
    return std::exchange(impl_->news, std::nullopt);
}

fs::path documents_folder() { return folder_of_user("XDG_DOCUMENTS_DIR", "Documents"); }

std::string page_name(const Document& document) {
    std::string name = document.map.unit.id.empty() ? "unit" : document.map.unit.id;
    if (!document.job.head.number.empty()) name += "-" + document.job.head.number;
    constexpr std::size_t longest = 80;
    for (char& c : name) {
        const bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' ||
                           c == '_' || c == '.' || static_cast<unsigned char>(c) >= 0x80;
        if (!plain) c = '-';
    }
    if (name.size() > longest) {
        std::size_t end = longest;
        while (end > 0 && (static_cast<unsigned char>(name[end]) & 0xC0U) == 0x80U)
            --end; // not in the middle of a letter
        name.resize(end);
    }
    return name;
}

} // namespace ringland::viewer
