// A job walked through from first air to retest by the program itself, found again, and taken to another shop.
#include <algorithm>
#include <string>
#include <vector>

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "run_ringland.h"

namespace {

using namespace ringland::test;
using nlohmann::json;

/// No test may reach a shop's own records or bench.
constexpr const char* shop = "XDG_CONFIG_HOME=/no/such/folder XDG_DATA_HOME=$PWD RINGLAND_RECORDS=shop.sqlite";

Ran jobs(const Bench& bench, const std::string& arguments, const std::string& environment = shop) {
    return bench.run("jobs " + arguments, environment);
}

std::string done(const Bench& bench, const std::string& arguments, const std::string& environment = shop) {
    const Ran ran = jobs(bench, arguments, environment);
    CAPTURE(arguments);
    CHECK(ran.err == "");
    REQUIRE_MESSAGE(ran.exit == 0, ran.err);
    return ran.out;
}

json jobs_answer(const Bench& bench, const std::string& arguments) {
    return json::parse(done(bench, arguments + " --json"));
}

} // namespace

TEST_CASE("jobs: a job from first air to done, each step a call of its own") {
    const Bench bench;
    const json begun =
        jobs_answer(bench, "new assets-demo/larch-five.toml --number 1042 --complaint 'slips in 3rd' --who me");
    const std::string id = begun["job"];
    CHECK(id.size() == 32);
    CHECK(begun["stands"] == "check");
    CHECK(jobs_answer(bench, "add-reading 1042 --into P3 --saw P4=strong --saw reverse=31psi")["stands"] == "weigh");
    CHECK(has(jobs(bench, "add-reading 1042 --into P3 --saw P4=strong --saw P5=2lpm --saw P2=not-sure").out, "weigh"));
    CHECK(jobs_answer(bench, "add-reading 1042 assets-demo/larch-five-readings.toml")["change"] ==
          "4 readings and looks");
    CHECK(jobs_answer(bench, "tick 1042 take-apart")["stands"] == "find");
    CHECK(jobs_answer(bench, "find 1042 r3 damaged --seen 'cut in two' --photo r3.jpg")["stands"] == "renew");
    CHECK(jobs_answer(bench, "renew 1042 R3")["stands"] == "close-up");
    CHECK(jobs_answer(bench, "tick 1042 close-up")["stands"] == "retest");
    CHECK(jobs_answer(bench, "add-reading 1042 --into P3 --saw P4=nothing --retest")["stands"] == "done");
    CHECK(jobs_answer(bench, "edit 1042 write conclusion 'ring R3 was cut'")["change"] == "conclusion of the job");
    CHECK(jobs_answer(bench, "edit " + id.substr(0, 8) + " note 'drum is at bench 2'")["change"] == "note");
    CHECK(jobs_answer(bench, "tick " + id + " done")["stands"] == "done");

    const std::string text = done(bench, "show 1042");
    for (const char* fact : {"Job 1042", "Larch Five", "slips in 3rd", "R3 damaged: cut in two", "r3.jpg", "LF-R-103",
                             "ring R3 was cut", "drum is at bench 2", "retest", "P4 COAST strong", "[x] done"})
        CHECK_MESSAGE(has(text, fact), fact << " is not in\n" << text);

    const json list = jobs_answer(bench, "list");
    REQUIRE(list["jobs"].size() == 1);
    CHECK(list["total"] == 1);
    CHECK(list["jobs"][0]["id"] == id);
    CHECK(list["jobs"][0]["found"] == "R3");
    CHECK(list["jobs"][0]["done"] == true);
    CHECK(jobs_answer(bench, "list --open")["jobs"].empty());
    CHECK(jobs_answer(bench, "list SLIP cut --seal R3 --unit 'Larch Five'")["jobs"].size() == 1);
    CHECK(jobs_answer(bench, "list --until 2001-01-01")["jobs"].empty());

    const json history = jobs_answer(bench, "history 1042");
    REQUIRE(history["changes"].size() == 12);
    CHECK(history["changes"][0]["label"] == "new job");
    CHECK(history["changes"][0]["who"] == "me");
    CHECK(has(done(bench, "history 1042"), "12 change(s)"));
    const json statistics = jobs_answer(bench, "statistics");
    REQUIRE(statistics["units"].size() == 1);
    REQUIRE(statistics["seals"].size() == 1);
    CHECK(statistics["units"][0]["unit"] == "Larch Five");
    CHECK(statistics["units"][0]["done"] == 1);
    CHECK(statistics["seals"][0]["seal"] == "R3");
    CHECK(has(done(bench, "statistics"), "1 of 1 jobs"));
}

TEST_CASE("jobs: taken to another shop by file, whole and once") {
    const Bench bench;
    done(bench, "new assets-demo/larch-five.toml --number 7");
    done(bench, "add-reading 7 --into P3 --saw P4=strong");
    done(bench, "new assets-demo/wren-three.toml --number 70"); // another number that begins alike
    CHECK(jobs_answer(bench, "export -o all.json")["jobs"] == 2);
    const std::string other = std::string(shop) + " RINGLAND_RECORDS=other.sqlite";
    CHECK(has(done(bench, "import all.json", other), "3 new change(s)"));
    CHECK(has(done(bench, "import all.json", other), "all of it is here already"));
    CHECK(done(bench, "show 7", other) == done(bench, "show 7"));
    CHECK(done(bench, "history 7 --json", other) == done(bench, "history 7 --json"));
    // --records says the same as the environment, before the command or behind it.
    CHECK(done(bench, "--records other.sqlite list") == done(bench, "list --records other.sqlite"));
    // One job as a file of its own.
    bench.write("seven.json", done(bench, "show 7 --json"));
    CHECK(has(done(bench, "import seven.json --records third.sqlite"), "1 new change(s)"));
    CHECK(has(done(bench, "import seven.json --records third.sqlite"), "all of it is here already"));
    CHECK(done(bench, "show 7 --records third.sqlite") == done(bench, "show 7"));
    done(bench, "export -o all.csv");
    const std::string csv = read_file(bench.file("all.csv"));
    CHECK(has(csv, "Larch Five"));
    CHECK(std::count(csv.begin(), csv.end(), '\n') == 3);
}

TEST_CASE("jobs: without its server the work goes on, and the password is shown nowhere") {
    const Bench bench;
    const std::string away =
        std::string(shop) + " RINGLAND_RECORDS='postgresql://shop:secret-word@/shop?host=/no/such'";
    const Ran begun = jobs(bench, "new assets-demo/larch-five.toml --number 7", away);
    CHECK(begun.exit == 0);
    CHECK(has(begun.err, "1 change(s) wait"));
    const Ran read = jobs(bench, "add-reading 7 --into P3 --saw P4=strong", away);
    CHECK(read.exit == 0);
    CHECK(has(read.err, "2 change(s) wait"));
    CHECK(has(jobs(bench, "show 7", away).out, "P4 COAST strong"));
    const Ran refused = jobs(bench, "export -o all.json", away);
    CHECK(refused.exit == 1);
    CHECK(has(refused.err, "away"));
    for (const auto& ran : {begun, read, refused})
        CHECK_FALSE(has(ran.out + ran.err, "secret-word"));
    CHECK(bench.shell("grep -r --exclude='.std*' secret-word .").exit == 1);
}

TEST_CASE("jobs: what cannot be is said, with the right exit code, and changes nothing") {
    const Bench bench;
    done(bench, "new assets-demo/larch-five.toml --number 7");
    const auto everything = [&bench] {
        done(bench, "export -o everything.json");
        return read_file(bench.file("everything.json"));
    };
    const std::string before = everything();
    struct Wrong {
        std::string arguments, says;
        int exit;
    };
    const std::vector<Wrong> all{
        {"show 8", "no job \"8\"", 1},
        {"add-reading 7 --into P99 --saw P4=strong", "P99", 1},
        {"add-reading 7 --into P3 --saw P4=loud", "loud", 1},
        {"add-reading 7 --into P3 --saw P4", "no reading", 1},
        {"add-reading 7 --into 'P\"3' --saw P4=strong", "port", 1},
        {"add-reading 7", "--into", 2},
        {"add-reading 7 nothing.toml", "nothing.toml", 1},
        {"find 7 R99 damaged", "R99", 1},
        {"find 7 R3 broken", "broken", 2},
        {"tick 7 fly", "fly", 2},
        {"edit 7 fly away", "no edit", 2},
        {"edit 7 begin", "no edit", 2},
        {"renew 7 R3 --quantity 5000", "5000", 2},
        {"list --from yesterday", "2031-05-04", 2},
        {"new nothing.toml", "nothing.toml", 1},
        {"new assets-demo/larch-five.toml --comeback-of 99", "no job \"99\"", 1},
        {"import nothing.json", "nothing.json", 1},
        {"import assets-demo/larch-five.toml", "assets-demo/larch-five.toml", 1},
        {"export -o jobs.txt", ".csv", 2},
        {"export -o /no/such/folder/jobs.json", "/no/such/folder", 1},
        {"list --records /proc/nothing/r.sqlite", "/proc/nothing", 1},
        {"list --records assets-demo/larch-five.toml", "larch-five.toml", 1},
        {"", "subcommand", 2},
        {"fly", "fly", 2},
    };
    for (const auto& wrong : all) {
        CAPTURE(wrong.arguments);
        const Ran ran = jobs(bench, wrong.arguments);
        CHECK(ran.exit == wrong.exit);
        CHECK_MESSAGE(has(ran.err, wrong.says), ran.err);
        CHECK(ran.out == "");
    }
    const bool same = everything() == before;
    CHECK(same);
    // Two jobs of one number: both are named.
    done(bench, "new assets-demo/wren-three.toml --number 7");
    const Ran two = jobs(bench, "show 7");
    CHECK(two.exit == 1);
    CHECK(has(two.err, "fits 2 jobs"));
    CHECK(has(two.err, "Wren Three"));
}

TEST_CASE("jobs: help is there for each command, and each of its examples works in turn") {
    const Bench bench;
    int examples = 0;
    for (const char* command : {"", "new", "add-reading", "find", "renew", "tick", "edit", "list", "show", "history",
                                "statistics", "export", "import"}) {
        CAPTURE(std::string(command));
        const Ran help = jobs(bench, std::string(command) + " --help");
        CHECK(help.exit == 0);
        CHECK(help.err == "");
        // Examples name job 1042; the first one makes it anew, and there must be only one.
        for (const auto& example : examples_of(help.out)) {
            CAPTURE(example);
            if (example.rfind("jobs new", 0) == 0) CHECK(bench.shell("rm -f shop.sqlite*").exit == 0);
            const Ran ran = bench.run(example, shop);
            CHECK_MESSAGE(ran.exit == 0, ran.err);
            CHECK(ran.err == "");
            CHECK(ran.out != "");
            ++examples;
        }
    }
    CHECK(examples == 24);
}
