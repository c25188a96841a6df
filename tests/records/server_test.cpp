// A server that goes away and comes back: work goes on, and everything is sent once. And its password is nowhere.
#include <chrono>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <set>
#include <thread>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "laws.h"
#include "made_job.h"
#include "places.h"

using namespace ringland;
using namespace ringland::test;
using diagnosis::records::Records;
using diagnosis::records::Saved;
using diagnosis::records::Trouble;
using model::Job;

namespace {

std::size_t files_that_hold(const std::filesystem::path& folder, const std::string& text) {
    std::size_t count = 0;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(folder)) {
        if (!entry.is_regular_file()) continue;
        std::ifstream file(entry.path(), std::ios::binary);
        const std::string bytes{std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
        count += bytes.find(text) != std::string::npos ? 1 : 0;
    }
    return count;
}

} // namespace

TEST_CASE("records on a server: it goes away and comes back, nothing is lost and nothing is there twice") {
    const Folder folder;
    Server server(folder);
    const std::string where = server.database("shop");
    folder.as_bench("bench-one");
    Records here({where, "one"});
    Job job = made_job();
    CHECK_FALSE(here.save({}, job, "opened").waiting);
    std::size_t changes = 1;
    for (int round = 0; round < 3; ++round) {
        CAPTURE(round);
        server.stop(round != 1);
        for (int i = 0; i < 3; ++i) {
            const Job more = with_note(job, fmt::format("away{}n{}", round, i));
            const Saved saved = here.save(job, more, "note");
            CHECK(saved.waiting);
            ++changes;
            job = more;
        }
        CHECK(here.away());
        CHECK(here.waiting() == 3);
        CHECK(*here.load(job.id) == job);
        {
            // The program starts while the server is away, on the same bench.
            Records again({where, "one"});
            CHECK(again.away());
            CHECK(again.waiting() == 3);
            REQUIRE(again.load(job.id));
            CHECK(*again.load(job.id) == job);
            diagnosis::records::Search search;
            search.words = fmt::format("away{}n2", round);
            CHECK(again.search(search).size() == 1);
        }
        CHECK_FALSE(here.send_waiting());
        server.start();
        CHECK(here.send_waiting());
        CHECK(here.waiting() == 0);
        CHECK_FALSE(here.away());
        CHECK(*here.load(job.id) == job);
    }
    // It comes back by itself with the next change, the waiting ones first.
    server.stop(false);
    Job last = with_note(job, "last but one");
    CHECK(here.save(job, last, "note").waiting);
    server.start();
    std::this_thread::sleep_for(std::chrono::milliseconds(5300)); // it is not asked more often than that
    const Job very_last = with_note(last, "last");
    CHECK_FALSE(here.save(last, very_last, "note").waiting);
    CHECK(here.waiting() == 0);
    changes += 2;

    folder.as_bench("bench-two");
    Records there({where, "two"});
    CHECK(*there.load(job.id) == very_last);
    const auto history = there.history(job.id);
    CHECK(history.size() == changes);
    std::set<std::string> ids;
    for (const auto& change : history)
        ids.insert(change.id);
    CHECK(ids.size() == changes);
    CHECK(history.back().entries.at(0).content->find("last") != std::string::npos);
}

TEST_CASE("records on a server: two benches, one of them cut off, and both have everything in the end") {
    const Folder folder;
    Server server(folder);
    const std::string where = server.database("shop");
    folder.as_bench("bench-two");
    Records two({where, "two"});
    folder.as_bench("bench-one");
    Records one({where, "one"});
    const Job job = made_job();
    static_cast<void>(one.save({}, job, "opened"));
    const Job seen = *two.load(job.id);
    server.stop(true);
    const Job by_one = with_note(job, "by one"), by_two = with_note(seen, "by two");
    CHECK(one.save(job, by_one, "one").waiting);
    CHECK(two.save(seen, by_two, "two").waiting);
    const Job new_job = made_job();
    CHECK(two.save({}, new_job, "new while away").waiting);
    server.start();
    CHECK(two.send_waiting());
    CHECK(one.send_waiting());
    CHECK(one.load(job.id)->notes.size() == job.notes.size() + 2);
    CHECK(*one.load(job.id) == *two.load(job.id));
    CHECK(*one.load(new_job.id) == new_job);
    CHECK(one.count() == 2);
}

TEST_CASE("records on a server: the password is in no message, no file and no record") {
    const Folder folder;
    Server server(folder);
    const std::string where = server.database("shop"), password = Server::password;
    const auto message_of = [](const std::string& place) {
        try {
            Records records({place, "one"});
            static_cast<void>(records.save({}, made_job(), "opened"));
            static_cast<void>(records.count());
        } catch (const Trouble& trouble) {
            return std::string(trouble.what());
        }
        return std::string();
    };
    folder.as_bench("good");
    CHECK(message_of(where).empty());
    const std::string host = folder.file("server");
    const std::vector<std::string> wrong{
        fmt::format("postgresql://shop:{}@/nowhere?host={}", password, host),
        fmt::format("postgresql://shop:{}@/shop?host={}&fly=yes", password, host),
        fmt::format("postgresql://shop:{}@localhost:99999999/shop", password),
        fmt::format("postgresql://shop:{}@[/shop", password),
        fmt::format("postgresql:///shop?host={}&user=shop&password={}x", host, password),
        fmt::format("postgresql://shop:{}@/shop?host={}/nothing", password, host)};
    int told = 0;
    for (std::size_t i = 0; i < wrong.size(); ++i) {
        folder.as_bench(fmt::format("wrong{}", i));
        const std::string message = message_of(wrong[i]);
        MESSAGE(message);
        told += message.empty() ? 0 : 1;
        CHECK(message.find(password) == std::string::npos);
    }
    CHECK(told == 5); // all but the last: a server that is not there is waited for
    // The server keeps its own form of it; the bench keeps none.
    for (const auto& entry : std::filesystem::directory_iterator(folder.path())) {
        if (entry.path().filename() == "server") continue;
        CHECK(files_that_hold(entry.path(), password) == 0);
    }
    CHECK(server.sql("shop", "select count(*) from ringland.change_entry where content like '%" + password + "%'") ==
          "0");
}

TEST_CASE(
    "records on a server: without a place for what waits it works as long as the server is there, and then says so") {
    const Folder folder;
    Server server(folder);
    const std::string where = server.database("shop");
    // A file stands where the folder should be made: nobody can write there, whoever runs this.
    std::ofstream(folder.file("no-folder")) << "in the way";
    setenv("XDG_DATA_HOME", folder.file("no-folder").c_str(), 1);
    Records records({where, "one"});
    const Job job = made_job(), more = with_note(job, "more");
    static_cast<void>(records.save({}, job, "opened"));
    CHECK(*records.load(job.id) == job);
    server.stop(true);
    std::string said;
    try {
        static_cast<void>(records.save(job, more, "note"));
    } catch (const Trouble& trouble) {
        said = trouble.what();
    }
    CHECK(said.find("is away") != std::string::npos);
    CHECK(said.find("no-folder") != std::string::npos);
    CHECK(said.find(Server::password) == std::string::npos);
    CHECK_THROWS_AS(Records({where, "one"}), Trouble);
    server.start();
    CHECK(records.send_waiting());
    static_cast<void>(records.save(job, more, "note"));
    CHECK(*records.load(job.id) == more);
}
