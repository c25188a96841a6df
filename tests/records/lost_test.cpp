// Nothing is lost: the program is killed at any instant, the disk is full, the file is locked, two write at once.
#include <chrono>
#include <csignal>
#include <filesystem>
#include <fstream>
#include <random>
#include <set>
#include <sstream>
#include <thread>

#include <doctest/doctest.h>
#include <fcntl.h>
#include <fmt/format.h>
#include <sys/wait.h>
#include <unistd.h>

#include "laws.h"
#include "made_job.h"
#include "places.h"

using namespace ringland;
using namespace ringland::test;
using diagnosis::records::Records;
using diagnosis::records::Trouble;

namespace {

/// The writer as a process of its own; what it said goes to a file.
class Writer {
public:
    Writer(const std::vector<std::string>& words, std::string said) : said_(std::move(said)) {
        std::filesystem::remove(said_); // what another one said counts for nothing
        pid_ = fork();
        if (pid_ != 0) return;
        const int out = ::open(said_.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0666);
        dup2(out, 1);
        std::string program = RINGLAND_BINARY_DIR "/records_writer";
        std::vector<std::string> copy = words;
        std::vector<char*> list{program.data()};
        for (auto& word : copy)
            list.push_back(word.data());
        list.push_back(nullptr);
        execv(program.c_str(), list.data());
        _exit(127);
    }
    /// Until it has said something; at most ten seconds.
    void wait_for_a_word() const {
        std::error_code ignored;
        for (int i = 0; i < 20000; ++i) {
            const auto size = std::filesystem::file_size(said_, ignored);
            if (!ignored && size > 0) return;
            std::this_thread::sleep_for(std::chrono::microseconds(500));
        }
    }
    void kill() const { ::kill(pid_, SIGKILL); }
    int wait() const {
        int status = 0;
        waitpid(pid_, &status, 0);
        return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
    }
    /// Whole lines only: a line that was cut off was not said.
    [[nodiscard]] std::vector<std::string> said() const {
        std::ifstream file(said_);
        std::vector<std::string> lines;
        for (std::string line; std::getline(file, line) && !file.eof();)
            lines.push_back(line);
        return lines;
    }

private:
    std::string said_;
    pid_t pid_ = -1;
};

/// Another program that holds the file for so long.
class Lock {
public:
    Lock(const std::string& file, double seconds)
        : holder_([file, seconds] {
              static_cast<void>(shell(fmt::format(
                  "(echo 'begin immediate;'; echo '.shell touch \"{1}.held\"'; sleep {0}; echo 'rollback;') "
                  "| sqlite3 '{1}'",
                  seconds, file)));
          }) {
        for (int i = 0; i < 2000 && !std::filesystem::exists(file + ".held"); ++i)
            std::this_thread::sleep_for(std::chrono::milliseconds(10));
        REQUIRE(std::filesystem::remove(file + ".held"));
    }
    ~Lock() { holder_.join(); }
    Lock(const Lock&) = delete;
    Lock& operator=(const Lock&) = delete;

private:
    std::thread holder_;
};

std::multiset<std::string> notes_of(const model::Job& job) {
    std::multiset<std::string> texts;
    for (const auto& note : job.notes)
        texts.insert(note.text);
    return texts;
}

} // namespace

TEST_CASE("records: killed at 200 instants, every change that was acknowledged is there and no record is broken") {
    const Folder folder;
    const std::string file = folder.file("records.sqlite");
    std::mt19937 chance(17);
    const auto up_to = [&chance](int most) { return std::uniform_int_distribution<int>(0, most)(chance); };
    std::size_t acknowledged_in_all = 0, half_way = 0;
    model::Job job;
    std::multiset<std::string> before;
    for (int round = 0; round < 200; ++round) {
        CAPTURE(round);
        // A fresh job now and then: a long one takes longer to write.
        if (round % 10 == 0) {
            job = made_job();
            static_cast<void>(Records({file, "test"}).save({}, job, "opened"));
            before = notes_of(job);
        }
        const Writer writer({file, job.id, fmt::format("r{}", round), "1000"}, folder.file("said"));
        // One in five while it starts; the others in the middle of writing, on a slow machine too.
        if (round % 5 != 0) writer.wait_for_a_word();
        std::this_thread::sleep_for(std::chrono::microseconds(up_to(round % 5 == 0 ? 60000 : 15000)));
        writer.kill();
        REQUIRE(writer.wait() == -1);
        const auto said = writer.said();
        // The file is whole, every change has its entries, and every note of the history stands in its job.
        REQUIRE(sqlite(file, "pragma integrity_check; select count(*) from change where n not in (select change from "
                             "change_entry); select (select count(*) from change_entry where kind = 'note') - (select "
                             "count(*) from entry where kind = 'note')") == "ok\n0\n0");
        Records records({file, "test"});
        const auto after = notes_of(*records.load(job.id));
        for (const auto& text : before)
            REQUIRE(after.count(text) == 1);
        for (const auto& text : said)
            REQUIRE(after.count(text) == 1);
        const std::size_t expected = before.size() + said.size();
        REQUIRE(after.size() >= expected);
        REQUIRE(after.size() <= expected + 1); // one that was kept, and the kill came before it was said
        half_way += after.size() - expected;
        acknowledged_in_all += said.size();
        if (!said.empty()) {
            diagnosis::records::Search search;
            search.words = said.back();
            REQUIRE(records.search(search).size() == 1);
        }
        before = after;
    }
    // It did hit the writing, and not the start of the program only.
    CHECK(acknowledged_in_all > 200);
    MESSAGE("acknowledged " << acknowledged_in_all << ", kept but not yet said " << half_way);
}

TEST_CASE("records: a full disk is said, and all before it is there") {
    const Folder folder;
    const std::string file = folder.file("records.sqlite");
    const model::Job job = made_job();
    static_cast<void>(Records({file, "test"}).save({}, job, "opened"));
    const auto room = std::filesystem::file_size(file) + 60000;
    const Writer writer({file, job.id, "full", "5000", std::to_string(room)}, folder.file("said"));
    CHECK(writer.wait() == 1);
    auto said = writer.said();
    REQUIRE(said.size() > 1);
    CHECK(said.back().substr(0, 8) == "trouble:");
    MESSAGE(said.back());
    said.pop_back();
    CHECK(sqlite(file, "pragma integrity_check") == "ok");
    Records records({file, "test"});
    const auto after = notes_of(*records.load(job.id));
    CHECK(after.size() == job.notes.size() + said.size());
    for (const auto& text : said)
        CHECK(after.count(text) == 1);
    // With room again it goes on.
    model::Job now = *records.load(job.id), more = now;
    more.head.conclusion = "room again";
    static_cast<void>(records.save(now, more, "on"));
    CHECK(*records.load(job.id) == more);
}

TEST_CASE("records: two processes that write at once both complete, and nothing is there twice") {
    const Folder folder;
    const std::string file = folder.file("records.sqlite");
    const model::Job job = made_job();
    static_cast<void>(Records({file, "test"}).save({}, job, "opened"));
    const Writer one({file, job.id, "one", "80"}, folder.file("one"));
    const Writer two({file, job.id, "two", "80"}, folder.file("two"));
    CHECK(one.wait() == 0);
    CHECK(two.wait() == 0);
    const auto notes = notes_of(*Records({file, "test"}).load(job.id));
    CHECK(notes.size() == job.notes.size() + 160);
    for (int i = 0; i < 80; ++i) {
        CHECK(notes.count(fmt::format("one{}", "x" + std::to_string(i))) == 1);
        CHECK(notes.count(fmt::format("two{}", "x" + std::to_string(i))) == 1);
    }
    CHECK(Records({file, "test"}).history(job.id).size() == 161);
    CHECK(sqlite(file, "pragma integrity_check") == "ok");
}

TEST_CASE("records: a file locked by another program is waited for, then said, and nothing is lost") {
    const Folder folder;
    const std::string file = folder.file("records.sqlite");
    const model::Job job = made_job();
    Records records({file, "test"});
    static_cast<void>(records.save({}, job, "opened"));
    model::Job more = job;
    more.head.conclusion = "while it was locked";
    {
        const Lock lock(file, 1);
        static_cast<void>(records.save(job, more, "waited for"));
        CHECK(*records.load(job.id) == more);
    }
    model::Job later = more;
    later.head.conclusion = "too late";
    {
        const Lock lock(file, 10);
        CHECK(*records.load(job.id) == more); // reading goes on
        const auto begin = std::chrono::steady_clock::now();
        CHECK_THROWS_AS(static_cast<void>(records.save(more, later, "refused")), Trouble);
        CHECK(std::chrono::steady_clock::now() - begin > std::chrono::seconds(2));
    }
    CHECK(*records.load(job.id) == more);
    static_cast<void>(records.save(more, later, "again"));
    CHECK(*records.load(job.id) == later);
}

TEST_CASE("records: what cannot be used is said in words, and left as it is") {
    const Folder folder;
    const auto trouble = [](const std::string& where) {
        try {
            static_cast<void>(Records({where, "test"}).count());
        } catch (const Trouble& t) {
            return std::string(t.what());
        }
        return std::string();
    };
    const std::string text = folder.file("text.sqlite");
    std::ofstream(text) << "this is a letter, and no database at all; it is long enough to look like one";
    CHECK_FALSE(trouble(text).empty());
    std::ifstream again(text);
    std::ostringstream left;
    left << again.rdbuf();
    CHECK(left.str().substr(0, 16) == "this is a letter");
    // Somebody else's database.
    const std::string other = folder.file("other.sqlite");
    static_cast<void>(sqlite(other, "create table recipe (name text)"));
    CHECK_FALSE(trouble(other).empty());
    CHECK(sqlite(other, "select group_concat(name) from sqlite_master") == "recipe");
    // From a newer program.
    const std::string newer = folder.file("newer.sqlite");
    static_cast<void>(Records({newer, "test"}).count());
    static_cast<void>(sqlite(newer, "update meta set value = '999' where name = 'version'"));
    CHECK_FALSE(trouble(newer).empty());
    CHECK(sqlite(newer, "select value from meta where name = 'version'") == "999");
    // A folder that cannot be made, and a folder in place of the file.
    CHECK_FALSE(trouble(text + "/deeper/records.sqlite").empty());
    CHECK_FALSE(trouble(folder.path().string()).empty());
    // Nothing may be written there, whoever runs this: not even root writes in /proc.
    CHECK_FALSE(trouble("/proc/records.sqlite").empty());
    MESSAGE(trouble(text));
    MESSAGE(trouble(other));
    MESSAGE(trouble(newer));
    MESSAGE(trouble("/proc/records.sqlite"));
}

TEST_CASE("records: a file that may only be read says so when written, and is read") {
    const Folder folder;
    const std::string file = folder.file("records.sqlite");
    const model::Job job = made_job();
    static_cast<void>(Records({file, "test"}).save({}, job, "opened"));
    const std::string as_nobody = getuid() == 0 ? "setpriv --reuid=65534 --regid=65534 --clear-groups " : "";
    const auto ran = shell(fmt::format("chmod 555 '{0}'; chmod 444 '{0}'/records.sqlite*; {1} '{2}/records_writer' "
                                       "'{3}' {4} nobody 1; code=$?; chmod 777 '{0}'; chmod 644 '{0}'/records.sqlite*; "
                                       "exit $code",
                                       folder.path().string(), as_nobody, RINGLAND_BINARY_DIR, file, job.id));
    CHECK_MESSAGE(ran.exit == 1, ran.out);
    CHECK(ran.out.substr(0, 8) == "trouble:");
    MESSAGE(ran.out);
    CHECK(*Records({file, "test"}).load(job.id) == job);
}
