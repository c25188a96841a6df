// The keys that the answers about the road need: oil, gear sets, members that elements join, spares.
#include <doctest/doctest.h>

#include "faults_said.h"
#include "small_readings_map.h"

using namespace ringland::model;
using namespace ringland::tests;

namespace {

const std::string begin = "[unit]\nname = \"Bench three\"\n[[stack]]\nrow = \"pump end | Low | Top | drum end\"\n"
                          "[[port]]\ncircuit = \"Low\"\n[[port]]\ncircuit = \"Top\"\n";
const std::string set = "[[gear-set]]\nid = \"front\"\nsun = \"sun\"\ncarrier = \"carrier\"\nring = \"output\"\n"
                        "sun-teeth = 26\nring-teeth = 78\nplanets = \"double\"\n";

std::string faults_of(const std::string& more) { return all_of(read_map_text(begin + more, "t").faults); }

} // namespace

TEST_CASE("oil, gear sets and spares are read as they were written") {
    const auto read = read_map_text(
        begin + set +
            "[oil]\nviscosity-40 = 34\nviscosity-100 = 7.4\ndensity = 850\ncold-c = -10\nhot-c = 95\nline-pressure_psi "
            "= 90\n"
            "pump-volume_cm3 = 18\npump-share = 0.85\nidle-rpm = 650\ndriving-rpm = 2000\n"
            "[[element]]\nkind = \"clutch\"\napplied-by = [\"Low\"]\njoins = [\"sun\", \"input\"]\none-way = true\n"
            "[[range]]\nname = \"1st\"\nratio = 3\nline-pressure_bar = 8\n"
            "[[part]]\nid = \"pump\"\nkind = \"pump\"\n"
            "[[spare]]\nname = \"Pump gasket\"\nwith = [\"pump\"]\nbreaks = true\n"
            "[[clearance]]\nname = \"Pin travel\"\nkind = \"servo-pin\"\nsizes-mm = [41.5, 42]\n",
        "t");
    REQUIRE_MESSAGE(read.map.has_value(), all_of(read.faults));
    const auto& map = *read.map;
    CHECK(map.oil.viscosity_100 == 7.4);
    CHECK(map.oil.line_pressure == psi(90));
    CHECK(map.oil.pump_share == 0.85);
    CHECK(map.gear_sets.at(0).planets == Planets::double_);
    CHECK(map.gear_sets[0].ring_teeth == 78);
    CHECK(map.elements.at(0).joins == std::vector<std::string>{"sun", "input"});
    CHECK(map.elements[0].one_way);
    CHECK(map.ranges.at(0).ratio == 3.0);
    CHECK(map.ranges[0].line_pressure->si() == doctest::Approx(8e5));
    CHECK(map.spares.at(0).breaks);
    CHECK(map.spares[0].quantity == 1);
    CHECK(map.clearances.at(0).kind == ClearanceKind::servo_pin);
    CHECK(map.clearances[0].sizes_mm == std::vector<double>{41.5, 42});
}

TEST_CASE("what cannot be in a gear train or an oil is told with what would be right") {
    const std::string clutch = "[[element]]\nid = \"c\"\nkind = \"clutch\"\napplied-by = [\"Low\"]\n";
    CHECK(
        holds(faults_of(set + clutch + "joins = [\"sn\", \"input\"]\n"), "no gear set has a member \"sn\": \"sun\"?"));
    CHECK(holds(faults_of(set + clutch + "joins = [\"sun\"]\n"), "\"c\" joins 1 members: two members"));
    CHECK(holds(faults_of(set + clutch + "joins = [\"sun\", \"sun\"]\n"), "joins a member to itself"));
    CHECK(holds(faults_of(set + clutch + "turns-with = \"drum\"\n"), "no gear set has a member \"drum\""));
    CHECK(
        faults_of(clutch + "joins = [\"anything\", \"input\"]\n").empty()); // no gear sets, nothing to hold it against
    CHECK(holds(faults_of("[[gear-set]]\nsun = \"a\"\ncarrier = \"a\"\nring = \"b\"\n"), "two members"));
    CHECK(
        holds(faults_of("[[gear-set]]\nsun = \"a\"\ncarrier = \"c\"\nring = \"b\"\nsun-teeth = 78\nring-teeth = 26\n"),
              "no more teeth than its sun"));
    CHECK(holds(faults_of("[oil]\nviscosity-40 = 7\nviscosity-100 = 34\n"), "as thick at 100"));
    CHECK(holds(faults_of("[oil]\ncold-c = 90\nhot-c = 20\n"), "hot is colder than cold"));
    CHECK(holds(faults_of("[oil]\nidle-rpm = 2000\ndriving-rpm = 600\n"), "slower on the road"));
    CHECK(holds(faults_of("[oil]\npump-share = 1.2\n"), "1 at most"));
    CHECK(holds(faults_of("[oil]\nviscosity = 1\n"), "viscosity-40?"));
    CHECK(holds(faults_of("[[oil]]\nhot-c = 90\n"), "one table [oil]"));
    CHECK(holds(faults_of(clutch + "chamber-inner-diameter_mm = 90\nchamber-outer-diameter_mm = 80\n"),
                "the chamber of \"c\" is wider inside"));
}
