// The readings file: what is read, that the window meets the same rules, and that what is written reads back.
#include <doctest/doctest.h>

#include <algorithm>
#include <fstream>
#include <limits>
#include <sstream>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "../../model-data/readings.h"
#include "../../model-data/readings_fields.h"
#include "../../model-data/spoken_names.h"
#include "random_map.h"
#include "small_readings_map.h"

using namespace ringland::tests;

namespace {

const std::string demo_folder = RINGLAND_SOURCE_DIR "/assets-demo/";

std::string what_port(const std::string& typed, bool of_seen = false) {
    const std::string text = of_seen ? into_p1 + "[[reading.seen]]\nat = \"" + typed + "\"\nword = \"faint\"\n"
                                     : "[[reading]]\ninto = \"" + typed + "\"\napplied = \"soft\"\n";
    const auto result = read_readings_text(text, "r.toml", small_map());
    if (!result.check) return to_string(result.faults.at(0));
    const auto& reading = result.check->readings.at(0);
    return of_seen ? reading.seen.at(0).at : reading.into;
}

/// An air check with everything in it that one may have, on any map.
AirCheck random_check(RandomMap& random, const UnitMap& map) {
    const auto pressure = [&random](double low, double high) {
        const auto unit = static_cast<PressureDimension::Unit>(random.number(0, 2));
        return GaugePressure{random.figure(low, high), unit};
    };
    AirCheck check;
    for (int n = random.number(0, 6); n > 0; --n) {
        Reading reading;
        reading.into = random.one_of(map.ports).id;
        if (random.chance(60)) reading.pressure = pressure(0.001, 10);
        if (random.chance(30)) reading.applied = static_cast<Applied>(random.number(0, 2));
        reading.wet = random.chance(20);
        if (random.chance(20)) reading.shaft_turned_deg = random.figure(-360, 360);
        if (random.chance(20)) reading.pushed = static_cast<Pushed>(random.number(0, 1));
        reading.plate_resnugged = random.chance(20);
        if (random.chance(30)) reading.note = "two lines\nwith \"quotes\", \\ and a\ttab, ä";
        for (const auto& port : map.ports) {
            const bool blown = port.id == reading.into;
            const bool plugged = !blown && random.chance(20);
            if (plugged) reading.plugged.push_back(port.id);
            if (random.chance(40)) continue;
            Seen seen;
            seen.at = port.id;
            const int figure = blown ? 2 : plugged ? random.number(2, 3) : random.number(0, 4);
            if (figure == 0) seen.word = static_cast<Heard>(random.number(0, 3));
            if (figure == 1) seen.flow_lpm = random.figure(0, 10000);
            if (figure == 2) seen.pressure = pressure(0, 10);
            if (figure == 3) seen.applies_after_s = random.figure(0, 600);
            if (figure == 4) seen.not_sure = true;
            reading.seen.push_back(seen);
        }
        if (random.chance(50)) {
            Seen inside;
            inside.at = std::string(open_case);
            inside.word = static_cast<Heard>(random.number(0, 3));
            reading.seen.insert(reading.seen.begin(), inside);
        }
        if (reading.seen.empty()) reading.applied = Applied::thud;
        check.readings.push_back(std::move(reading));
    }
    while (random.chance(40)) {
        Look look;
        look.seal = random.one_of(map.seals).id;
        look.found = static_cast<Found>(random.number(0, 1));
        if (random.chance(50)) look.note = "behind the cover";
        check.looks.push_back(std::move(look));
    }
    while (!map.ranges.empty() && random.chance(40)) {
        Complaint complaint;
        complaint.range = random.one_of(map.ranges).id;
        complaint.symptom = static_cast<Symptom>(random.number(0, 6));
        complaint.absent = random.chance(30);
        complaint.hot_only = random.chance(30);
        if (complaint.symptom == Symptom::wrong_gear) complaint.starts_in = random.one_of(map.ranges).id;
        if (random.chance(50)) complaint.note = "on a hill";
        check.complaints.push_back(std::move(complaint));
    }
    return check;
}

} // namespace

TEST_CASE("every key of a readings file is read") {
    const auto result = read_readings_text("[[reading]]\n"
                                           "into = \"P1\"\n"
                                           "pressure_psi = 40\n"
                                           "plugged = [\"P3\", \"P4\"]\n"
                                           "applied = \"thud\"\n"
                                           "note = \"first\"\n"
                                           "  [[reading.seen]]\n"
                                           "  at = \"P2\"\n"
                                           "  word = \"strong\"\n"
                                           "  [[reading.seen]]\n"
                                           "  at = \"P3\"\n"
                                           "  applies_after_s = 0.4\n"
                                           "  [[reading.seen]]\n"
                                           "  at = \"P1\"\n"
                                           "  pressure_kpa = 240.5\n"
                                           "[[reading]]\n"
                                           "into = \"P2\"\n"
                                           "pressure_bar = 2.5\n"
                                           "wet = true\n"
                                           "shaft_turned_deg = -90\n"
                                           "pushed = \"in\"\n"
                                           "plate_resnugged = true\n"
                                           "  [[reading.seen]]\n"
                                           "  at = \"P1\"\n"
                                           "  flow_lpm = 45\n"
                                           "  [[reading.seen]]\n"
                                           "  at = \"P3\"\n"
                                           "  word = \"not sure\"\n"
                                           "  [[reading.seen]]\n"
                                           "  at = \"case\"\n"
                                           "  word = \"nothing\"\n"
                                           "[[look]]\n"
                                           "seal = \"R2\"\n"
                                           "found = \"damaged\"\n"
                                           "note = \"step\"\n",
                                           "r.toml", small_map());
    REQUIRE_MESSAGE(result.faults.empty(), all_of(result.faults));
    const AirCheck& check = *result.check;
    REQUIRE(check.readings.size() == 2);
    const Reading& first = check.readings[0];
    CHECK(first.into == "P1");
    CHECK(first.pressure == psi(40));
    CHECK(first.plugged == std::vector<std::string>{"P3", "P4"});
    CHECK(first.applied == Applied::thud);
    CHECK(first.note == "first");
    CHECK(first.where.line == 1);
    CHECK_FALSE(first.wet);
    REQUIRE(first.seen.size() == 3);
    CHECK(first.seen[0].at == "P2");
    CHECK(first.seen[0].word == Heard::strong);
    CHECK_FALSE(first.seen[0].not_sure);
    CHECK(first.seen[0].where.line == 7);
    CHECK(first.seen[1].applies_after_s == 0.4);
    CHECK(first.seen[2].pressure == GaugePressure{240.5, PressureDimension::Unit::kpa});
    const Reading& second = check.readings[1];
    CHECK(second.pressure == GaugePressure{2.5, PressureDimension::Unit::bar});
    CHECK(second.wet);
    CHECK(second.shaft_turned_deg == -90);
    CHECK(second.pushed == Pushed::in);
    CHECK(second.plate_resnugged);
    CHECK_FALSE(second.applied.has_value());
    REQUIRE(second.seen.size() == 3);
    CHECK(second.seen[0].flow_lpm == 45);
    CHECK(second.seen[1].not_sure);
    CHECK_FALSE(second.seen[1].word.has_value());
    CHECK(second.seen[2].at == open_case);
    CHECK(second.seen[2].word == Heard::nothing);
    REQUIRE(check.looks.size() == 1);
    CHECK(check.looks[0].seal == "R2");
    CHECK(check.looks[0].found == Found::damaged);
    CHECK(check.looks[0].note == "step");
}

TEST_CASE("a port is known by id, label or circuit, and what could mean two is asked back") {
    CHECK(what_port("P2") == "P2");
    CHECK(what_port("p2") == "P2");
    CHECK(what_port("lc") == "P1");
    CHECK(what_port("3RD") == "P3");
    CHECK(what_port("coast") == "P2");
    CHECK(what_port("CT") == "P2");
    CHECK(what_port("Low") == "r.toml:2:8: \"Low\" could mean P1 or P4: the id of the one that is meant");
    CHECK(what_port("Lube") ==
          "r.toml:2:8: no port leads into \"Lube\": one of P1 (LC), P2 (Coast), P3 (3rd) or P4 (Low)");
    CHECK(what_port("coats") == "r.toml:2:8: there is no port \"coats\": \"coast\"?");
    CHECK(what_port("qwertyuiop") ==
          "r.toml:2:8: there is no port \"qwertyuiop\": one of P1 (LC), P2 (Coast), P3 (3rd) or P4 (Low)");
    CHECK(holds(what_port("case"), "is the open case, and no port"));
    CHECK(what_port("Case", true) == "case");
    CHECK(what_port("sump", true) == "case");
    CHECK(what_port("open case", true) == "case");
    CHECK(what_port("coast", true) == "P2");
}

TEST_CASE("an id that is written exactly goes before one in other letters") {
    UnitMap map = small_map();
    map.ports[2].id = "p1";
    for (const std::string id : {"P1", "p1"}) {
        const auto result = read_readings_text("[[reading]]\ninto = \"" + id + "\"\napplied = \"soft\"\n", "r", map);
        REQUIRE_MESSAGE(result.check.has_value(), all_of(result.faults));
        CHECK(result.check->readings[0].into == id);
        CHECK(SpokenNames(map).port(id) == id);
    }
}

TEST_CASE("a seal is known by id or name") {
    const UnitMap map = small_map();
    const auto look = [&map](const std::string& typed) {
        const auto result = read_readings_text("[[look]]\nseal = \"" + typed + "\"\nfound = \"sound\"\n", "r", map);
        return result.check ? result.check->looks[0].seal : to_string(result.faults.at(0));
    };
    CHECK(look("R2") == "R2");
    CHECK(look("r2") == "R2");
    CHECK(look("MIDDLE ring") == "R2");
    CHECK(look("upper ring") == "r:2:8: \"upper ring\" could mean R3 or R4: the id of the one that is meant");
    CHECK(look("Midle ring") == "r:2:8: there is no seal \"Midle ring\": \"Middle ring\"?");
    CHECK(holds(look("qwertyuiop"), "there is no seal \"qwertyuiop\": one of R2, R3, R4 or R1"));
}

TEST_CASE("two readings of one setting that differ are no fault of the file") {
    const auto result = read_readings_text(good + into_p1 + "[[reading.seen]]\nat = \"P2\"\nword = \"nothing\"\n",
                                           "r.toml", small_map());
    REQUIRE_MESSAGE(result.faults.empty(), all_of(result.faults));
    CHECK(result.check->readings.size() == 2);
}

TEST_CASE("ten bar and 145 psi are the most, a gauge may stand at nought, and a gauge may be the plug") {
    const UnitMap map = small_map();
    for (const char* pressure : {"psi = 145", "bar = 10", "kpa = 1000", "psi = 0.001"}) {
        CAPTURE(pressure);
        const auto result =
            read_readings_text(fmt::format("[[reading]]\ninto = \"P1\"\npressure_{}\nplugged = [\"P2\"]\n"
                                           "[[reading.seen]]\nat = \"P2\"\npressure_psi = 0\n"
                                           "[[reading.seen]]\nat = \"P3\"\napplies_after_s = 0\n"
                                           "[[reading.seen]]\nat = \"P4\"\nflow_lpm = 0\n",
                                           pressure),
                               "r.toml", map);
        CHECK_MESSAGE(result.faults.empty(), all_of(result.faults));
    }
}

TEST_CASE("readings of the window meet the rules of a file") {
    const UnitMap map = small_map();
    const auto said = [&map](const AirCheck& check) { return all_of(check_readings(check, map, "window")); };
    AirCheck check;
    CHECK(said(check) == "");
    Reading reading;
    reading.into = "P1";
    reading.seen.emplace_back();
    reading.seen[0].at = "P2";
    reading.seen[0].word = Heard::faint;
    check.readings = {reading};
    CHECK(said(check) == "");

    AirCheck now = check;
    now.readings[0].into = "LC"; // a person's word is no id
    CHECK(said(now) == "window:0:0: \"LC\" is no id of a port: \"P1\"?\n");
    now.readings[0].into = "";
    CHECK(said(now) == "window:0:0: into is not said: into = \"...\"\n");
    now.readings[0].into = "P1\xff";
    CHECK(holds(said(now), "there is no port \"P1"));

    now = check;
    now.readings[0].seen[0].not_sure = true;
    CHECK(holds(said(now), "word and not sure are given together"));
    now.readings[0].seen[0].not_sure = false;
    now.readings[0].seen[0].pressure = psi(3);
    CHECK(holds(said(now), "word and pressure_psi are given together"));
    now.readings[0].seen[0].word.reset();
    CHECK(said(now) == "");
    now.readings[0].seen[0].pressure.reset();
    CHECK(holds(said(now), "does not say what was seen"));

    constexpr double nan = std::numeric_limits<double>::quiet_NaN(), infinity = std::numeric_limits<double>::infinity();
    for (const double figure : {nan, infinity, -infinity, -1.0, 1e300}) {
        CAPTURE(figure);
        now = check;
        now.readings[0].pressure = psi(figure);
        CHECK(holds(said(now), "pressure_psi is"));
        now = check;
        now.readings[0].shaft_turned_deg = figure == -1.0 ? -361 : figure;
        CHECK(holds(said(now), "shaft_turned_deg is"));
        for (int kind = 0; kind < 3; ++kind) {
            now = check;
            Seen& seen = now.readings[0].seen[0];
            seen.word.reset();
            if (kind == 0) seen.pressure = psi(figure);
            if (kind == 1) seen.flow_lpm = figure;
            if (kind == 2) seen.applies_after_s = figure;
            CHECK(has_error(check_readings(now, map, "window")));
        }
    }
    now = check;
    now.readings[0].plugged = {"P2"};
    CHECK(holds(said(now), "P2 is plugged"));
    now.readings[0].plugged.assign(3000, "P3");
    CHECK(holds(said(now), "plugged has 3000 entries: 2000 at most"));
    now = check;
    now.readings[0].seen.push_back(now.readings[0].seen[0]);
    CHECK(holds(said(now), "P2 is seen twice"));
    now = check;
    now.readings[0].note.assign(5000, 'x');
    CHECK(holds(said(now), "this text has 5000 bytes"));
    now = check;
    now.looks.push_back({"Middle ring", Found::sound, {}, {}});
    CHECK(said(now) == "window:0:0: \"Middle ring\" is no id of a seal: \"R2\"?\n");
}

TEST_CASE("300 random air checks on random maps read back equal") {
    RandomMap random(2027);
    std::size_t readings = 0;
    for (int round = 0; round < 300; ++round) {
        const UnitMap map = random.make(random.number(1, 3), 5);
        const AirCheck check = random_check(random, map);
        readings += check.readings.size();
        REQUIRE_MESSAGE(check_readings(check, map, "made").empty(), all_of(check_readings(check, map, "made")));
        const std::string text = write_readings_text(check);
        CAPTURE(text);
        const auto again = read_readings_text(text, "written", map);
        REQUIRE_MESSAGE(!has_error(again.faults), all_of(again.faults));
        CHECK(again.faults.empty() == (!check.readings.empty() || !check.looks.empty() || !check.complaints.empty()));
        REQUIRE(*again.check == check);
        CHECK(write_readings_text(*again.check) == text);
    }
    CHECK(readings > 500);
}

TEST_CASE("3000 damaged readings files neither crash the reader nor pass without an air check or an error") {
    RandomMap random(8);
    const UnitMap map = small_map();
    std::size_t read = 0, refused = 0;
    for (int round = 0; round < 3000; ++round) {
        std::string text = write_readings_text(random_check(random, map));
        for (int edits = random.number(1, 5); edits > 0 && !text.empty(); --edits) {
            const auto at = static_cast<std::size_t>(random.number(0, static_cast<int>(text.size()) - 1));
            const auto length = static_cast<std::size_t>(random.number(1, 20));
            switch (random.number(0, 4)) {
            case 0:
                text[at] = static_cast<char>(random.number(0, 255));
                break;
            case 1:
                text.erase(at, length);
                break;
            case 2:
                text.insert(at, text.substr(static_cast<std::size_t>(random.number(0, static_cast<int>(at))), length));
                break;
            case 3:
                text[at] = "[]{}=\"'\\#|.,-_0123456789\n"[random.number(0, 24)];
                break;
            default:
                if (random.chance(20)) text.resize(at);
                break;
            }
        }
        CAPTURE(text);
        const auto result = read_readings_text(text, "damaged", map);
        REQUIRE(result.check.has_value() != has_error(result.faults));
        if (!result.check) {
            ++refused;
            continue;
        }
        ++read;
        REQUIRE_FALSE(has_error(check_readings(*result.check, map, "again")));
        const auto again = read_readings_text(write_readings_text(*result.check), "again", map);
        REQUIRE_MESSAGE(again.check.has_value(), all_of(again.faults));
        REQUIRE(*again.check == *result.check);
    }
    // Both sides of the reader were tried.
    CHECK(read > 300);
    CHECK(refused > 300);
}

TEST_CASE("the demo air checks are good, say that they are invented, and are told from maps and benches") {
    const auto map = read_map(demo_folder + "larch-five.toml").map;
    REQUIRE(map.has_value());
    for (const std::string name : {"larch-five-readings.toml", "larch-five-two-faults.toml"}) {
        CAPTURE(name);
        const auto result = read_readings(demo_folder + name, *map);
        REQUIRE_MESSAGE(result.faults.empty(), all_of(result.faults));
        CHECK(holds(result.check->readings.at(0).note, "Invented"));
        CHECK(holds_readings(demo_folder + name));
        std::ifstream in(demo_folder + name);
        std::string line;
        std::getline(in, line);
        CHECK(holds(line, "invented air check"));
        // Air into Low comes out of Coast and the other way round: R3 stands between them.
        const auto cross = [&](const std::string& from, const std::string& to) {
            return std::any_of(result.check->readings.begin(), result.check->readings.end(), [&](const Reading& r) {
                return r.into == from && std::any_of(r.seen.begin(), r.seen.end(), [&](const Seen& s) {
                           return s.at == to && s.word == Heard::strong;
                       });
            });
        };
        CHECK(cross("P3", "P4"));
        CHECK(cross("P4", "P3"));
    }
    CHECK(find(map->seals, "R3")->between == std::array<std::string, 2>{"low", "coast"});
    CHECK_FALSE(holds_readings(demo_folder + "larch-five.toml"));
    CHECK_FALSE(holds_readings(demo_folder + "bench-example.toml"));
    CHECK_FALSE(holds_readings(demo_folder + "no-such-file.toml"));
}

TEST_CASE("the readings reference lists every key, and its example is read without a fault") {
    std::ifstream in(RINGLAND_SOURCE_DIR "/docs/readings-reference.md", std::ios::binary);
    std::stringstream stream;
    stream << in.rdbuf();
    const std::string page = stream.str(), open = "```toml\n";
    const auto begin = page.find(open);
    REQUIRE(begin != std::string::npos);
    const std::string example = page.substr(begin + open.size(), page.find("```\n", begin + 4) - begin - open.size());
    const auto map = read_map(demo_folder + "larch-five.toml").map;
    const auto result = read_readings_text(example, "page", *map);
    REQUIRE_MESSAGE(result.faults.empty(), all_of(result.faults));
    CHECK(result.check->readings.size() == 2);
    CHECK(result.check->looks.size() == 1);

    std::size_t keys = 0;
    const auto lists = [&](const auto&, const Field& field) {
        std::string key(field.key);
        if (key == "pressure") key += "_psi";
        if (field.required) key = "**" + key + "**";
        CHECK_MESSAGE(holds(page, "\n| " + key + " |"), key);
        ++keys;
    };
    Table<Reading>::fields(std::as_const(result.check->readings[0]), lists);
    const SeenTable seen;
    Table<SeenTable>::fields(seen, lists);
    Table<Look>::fields(std::as_const(result.check->looks[0]), lists);
    const Complaint complaint;
    Table<Complaint>::fields(complaint, lists);
    CHECK(keys == 23);
    for (const auto word : words_of<Symptom>())
        CHECK_MESSAGE(holds(page, fmt::format("`{}`", word)), word);
    for (const auto word : words_of<WordSaid>())
        CHECK_MESSAGE(holds(page, fmt::format("`{}`", word)), word);
}

TEST_CASE("what the driver felt is read, by id or name of the range, and its faults are told") {
    const auto map = read_map(demo_folder + "larch-five.toml").map;
    const auto felt =
        read_readings_text("[[complaint]]\nrange = \"2nd\"\nsymptom = \"slips\"\nhot_only = true\n"
                           "[[complaint]]\nrange = \"D1\"\nsymptom = \"wrong-gear\"\nstarts_in = \"3rd\"\n"
                           "[[complaint]]\nrange = \"reverse\"\nsymptom = \"drags\"\nabsent = true\n",
                           "r", *map);
    REQUIRE_MESSAGE(felt.faults.empty(), all_of(felt.faults));
    REQUIRE(felt.check->complaints.size() == 3);
    CHECK(felt.check->complaints[0].range == "D2");
    CHECK(felt.check->complaints[0].hot_only);
    CHECK(felt.check->complaints[1].starts_in == "D3");
    CHECK(felt.check->complaints[2].range == "R");
    CHECK(felt.check->complaints[2].absent);
    const auto fault = [&](const std::string& body) {
        return to_string(read_readings_text("[[complaint]]\n" + body, "r", *map).faults.at(0));
    };
    CHECK(fault("range = \"2d\"\nsymptom = \"slips\"\n") == "r:2:9: there is no range \"2d\": \"D2\"?");
    CHECK(holds(fault("range = \"2nd\"\nsymptom = \"sliips\"\n"), "slips?"));
    CHECK(holds(fault("symptom = \"slips\"\n"), "range is not said"));
    CHECK(holds(fault("range = \"2nd\"\nsymptom = \"slips\"\nstarts_in = \"1st\"\n"), "only a wrong gear"));
}
