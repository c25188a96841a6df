// check by the program itself: readings beside their map, priors, and the shop's own files.
#include <cstdlib>
#include <filesystem>
#include <string>

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include "../../viewer/platform/user_bench.h"
#include "answer.h"

namespace {

using namespace ringland::test;
using nlohmann::json;

/// Sets a variable of the environment while it lives.
class Variable {
public:
    Variable(const char* name, const std::string& value) : name_(name) {
        const char* before = std::getenv(name);
        if (before != nullptr) before_ = before;
        ::setenv(name, value.c_str(), 1);
    }
    ~Variable() {
        if (before_.empty())
            ::unsetenv(name_);
        else
            ::setenv(name_, before_.c_str(), 1);
    }
    Variable(const Variable&) = delete;
    Variable& operator=(const Variable&) = delete;

private:
    const char* name_;
    std::string before_;
};

} // namespace

TEST_CASE("check holds readings against their map") {
    const Bench bench;
    const Ran good = bench.run("check " + larch + " --readings " + larch_readings +
                               " --readings assets-demo/larch-five-two-faults.toml");
    CHECK(good.exit == 0);
    CHECK(good.err == "");
    CHECK(has(good.out, larch_readings + ": good: 4 readings, 0 looks\n"));
    CHECK(has(good.out, "two-faults.toml: good: 4 readings, 1 look\n"));
    CHECK_FALSE(has(good.out, "warning"));

    const std::string bad =
        bench.write("bad.toml", "[[reading]]\ninto = \"P3\"\npressure_psi = 500\nplugged = [\"P3\"]\n"
                                "[[reading.seen]]\nat = \"P44\"\nword = \"strong\"\n");
    const Ran ran = bench.run("check " + larch + " --readings " + bad);
    CHECK(ran.exit == 1);
    CHECK(ran.err == "");
    CHECK(has(ran.out, "bad.toml:3:16: pressure_psi is 500: 145 at most\n"));
    CHECK(has(ran.out, "bad.toml:4:12: P3 gets the air and is plugged: one of the two\n"));
    CHECK(has(ran.out, "bad.toml:6:6: there is no port \"P44\": \"P4\"?\n"));
    CHECK(has(ran.out, "bad.toml: 3 errors, 0 warnings\n"));
    // A map of another unit has other ports: wren-three has no P12 to blow into.
    const std::string other = bench.write("other.toml", "[[reading]]\ninto = \"P12\"\napplied = \"thud\"\n");
    CHECK(bench.run("check " + larch + " --readings " + other).exit == 0);
    CHECK(bench.run("check assets-demo/wren-three.toml --readings " + other).exit == 1);
}

TEST_CASE("check --readings as JSON") {
    const Bench bench;
    const Ran ran = bench.run("check --json " + larch + " --readings " + larch_readings);
    CHECK(ran.exit == 0);
    const json answer = json::parse(ran.out);
    CHECK(answer["maps"][0]["good"] == true);
    REQUIRE(answer["readings"].size() == 1);
    CHECK(answer["readings"][0]["file"] == larch_readings);
    CHECK(answer["readings"][0]["good"] == true);
    CHECK(answer["readings"][0]["faults"].empty());
    CHECK(answer["readings"][0]["readings"] == 4);
    CHECK(answer["readings"][0]["looks"] == 0);
    CHECK_FALSE(json::parse(bench.run("check --json " + larch).out).contains("readings"));
}

TEST_CASE("readings need one map, and a good one") {
    const Bench bench;
    const Ran alone = bench.run("check " + larch_readings);
    CHECK(alone.exit == 1);
    CHECK(has(alone.out, "no map is named with them: ringland check MAP --readings " + larch_readings));
    const Ran two = bench.run("check " + larch + " assets-demo/wren-three.toml --readings " + larch_readings);
    CHECK(two.exit == 2);
    CHECK(has(two.err, "--readings with 2 maps: name the one map that they are of"));
    for (const char* map : {"missing.toml", "assets-demo/bench-example.toml"}) {
        CAPTURE(map);
        const Ran no_map = bench.run(std::string("check ") + map + " --readings " + larch_readings);
        CHECK(no_map.exit == 1);
        CHECK(has(no_map.err, "is not looked at"));
    }
    const Ran missing = bench.run("check " + larch + " --readings missing.toml");
    CHECK(missing.exit == 1);
    CHECK(has(missing.out, "missing.toml:0:0: there is no such file"));
}

TEST_CASE("check looks over priors files") {
    const Bench bench;
    const std::string good = bench.write("good.toml", "[kind.ring]\nfails = 0.1\n");
    const std::string bad = bench.write("bad.toml", "[priors]\nenough = 2\n[kind.ring]\nhole = 0.5\n");
    const Ran one = bench.run("check " + good);
    CHECK(one.exit == 0);
    CHECK(one.out == "good.toml: good: priors\n");
    const Ran two = bench.run("check --json " + good + " " + bad);
    CHECK(two.exit == 1);
    const json maps = json::parse(two.out)["maps"];
    CHECK(maps[0]["priors"] == true);
    CHECK(maps[1]["good"] == false);
    CHECK(maps[1]["faults"].size() == 2);
    CHECK(maps[1]["faults"][1]["line"] == 3);
}

TEST_CASE(
    "priors are those that are named, else the shop's own, else the defaults; a wrong file is never passed over") {
    using namespace ringland;
    const Bench bench;
    const std::string folder = bench.file("").string();
    const Variable config("XDG_CONFIG_HOME", folder);
    const std::string own = bench.file("ringland/priors.toml").string();
    CHECK(viewer::priors_of_user() == own);
    CHECK(viewer::bench_of_user() == bench.file("ringland/bench.toml"));

    const auto defaults = viewer::choose_priors("");
    REQUIRE(defaults.priors.has_value());
    CHECK(*defaults.priors == model::Priors{});
    CHECK(defaults.file == "");

    std::filesystem::create_directory(bench.file("ringland"));
    bench.write("ringland/priors.toml", "[priors]\nmisheard = 0.125\n");
    const auto of_shop = viewer::choose_priors("");
    REQUIRE(of_shop.priors.has_value());
    CHECK(of_shop.priors->misheard == 0.125);
    CHECK(of_shop.file == own);

    bench.write("named.toml", "[priors]\nmisheard = 0.25\n");
    const auto named = viewer::choose_priors(bench.file("named.toml").string());
    REQUIRE(named.priors.has_value());
    CHECK(named.priors->misheard == 0.25);

    bench.write("ringland/priors.toml", "[priors]\nmisheard = 7\n");
    const auto wrong = viewer::choose_priors("");
    CHECK_FALSE(wrong.priors.has_value());
    CHECK(model::has_error(wrong.faults));
    {
        const Variable home("HOME", folder);
        const Variable relative("XDG_CONFIG_HOME", "not/absolute");
        CHECK(viewer::priors_of_user() == bench.file(".config/ringland/priors.toml"));
    }
}
