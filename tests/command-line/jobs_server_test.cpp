// `ringland jobs` on a PostgreSQL server that runs, from two benches, and while it is away.
#include <string>

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "../records/places.h"
#include "run_ringland.h"

namespace {

using namespace ringland::test;
using nlohmann::json;

/// One bench of the shop: its own place for what waits, the same server.
struct ShopBench {
    const Bench& bench;
    std::string environment;

    ShopBench(const Bench& b, const std::string& name, const std::string& where)
        : bench(b), environment(fmt::format("XDG_CONFIG_HOME=/no/such/folder XDG_DATA_HOME=$PWD/{} "
                                            "RINGLAND_RECORDS='{}'",
                                            name, where)) {}
    [[nodiscard]] Ran tried(const std::string& arguments) const { return bench.run("jobs " + arguments, environment); }
    [[nodiscard]] std::string done(const std::string& arguments) const {
        const Ran ran = tried(arguments);
        CAPTURE(arguments);
        CHECK(ran.err == "");
        REQUIRE_MESSAGE(ran.exit == 0, ran.err);
        return ran.out;
    }
    [[nodiscard]] json answer(const std::string& arguments) const { return json::parse(done(arguments + " --json")); }
};

} // namespace

TEST_CASE("jobs: two benches work on one job by a server, and it is the same job at both") {
    const Folder folder;
    Server server(folder);
    const std::string where = server.database("shop");
    const Bench bench;
    const ShopBench one(bench, "one", where), two(bench, "two", where);
    static_cast<void>(one.done("new assets-demo/larch-five.toml --number 1042 --complaint 'slips in 3rd' --who one"));
    CHECK(two.answer("add-reading 1042 --into P3 --saw P4=strong")["stands"] == "weigh");
    CHECK(one.answer("find 1042 R3 damaged --seen cut")["stands"] == "renew");
    CHECK(two.answer("renew 1042 R3")["stands"] == "close-up");
    CHECK(one.done("show 1042") == two.done("show 1042"));
    CHECK(has(one.done("show 1042"), "P4 COAST strong"));
    CHECK(one.answer("list slips --seal R3")["jobs"].size() == 1);
    CHECK(two.answer("statistics")["seals"][0]["seal"] == "R3");
    const json history = two.answer("history 1042");
    REQUIRE(history["changes"].size() == 4);
    // Read past the program: it is the server that has it.
    CHECK(server.sql("shop", "select count(*) from ringland.change") == "4");
    CHECK(server.sql("shop", "select number from ringland.listing") == "1042");

    // The server goes away and comes back: nothing is lost, and nothing is there twice.
    server.stop(true);
    const Ran away = one.tried("edit 1042 note 'drum is at bench 2'");
    CHECK(away.exit == 0);
    CHECK(has(away.err, "1 change(s) wait"));
    CHECK_FALSE(has(away.err + away.out, Server::password));
    CHECK(has(one.tried("show 1042").out, "drum is at bench 2"));
    server.start();
    CHECK(has(one.tried("list").out, "1042")); // sends what waits
    CHECK(has(two.done("show 1042"), "drum is at bench 2"));
    CHECK(server.sql("shop", "select count(*) from ringland.change") == "5");
    CHECK(one.answer("history 1042") == two.answer("history 1042"));

    // To another shop by file, from the server into a file of SQLite.
    CHECK(two.answer("export -o all.json")["jobs"] == 1);
    const ShopBench other(bench, "other", "other.sqlite");
    CHECK(has(other.done("import all.json"), "5 new change(s)"));
    CHECK(other.done("show 1042") == two.done("show 1042"));
}

TEST_CASE("jobs: a wrong password is said, without the password, and nothing waits for it") {
    const Folder folder;
    Server server(folder);
    std::string where = server.database("shop");
    where.replace(where.find(Server::password), std::string(Server::password).size(), "a-wrong-word");
    const Bench bench;
    const ShopBench one(bench, "one", where);
    const Ran ran = one.tried("list");
    CHECK(ran.exit == 1);
    CHECK(has(ran.err, "password"));
    CHECK_FALSE(has(ran.err + ran.out, "a-wrong-word"));
    CHECK_FALSE(has(ran.err, "wait"));
}
