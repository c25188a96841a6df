// Why a suspect is one, in words: what a change of the test did speaks for the seals that it can change, and against
// the others. Which mechanism answers to which change is common practice, no source.
#include <algorithm>
#include <string>

#include <doctest/doctest.h>

#include "../../diagnosis/road/complaints.h"
#include "../../diagnosis/suspects/reasons.h"
#include "../../model-data/map_io.h"

using namespace ringland;
using namespace ringland::diagnosis;

namespace {

model::Reading words(const std::string& into, const std::string& at, model::Heard heard) {
    model::Reading made;
    made.into = into;
    model::Seen seen;
    seen.at = at;
    seen.word = heard;
    made.seen.push_back(seen);
    return made;
}

bool begins(const std::vector<std::string>& lines, const std::string& with) {
    return std::any_of(lines.begin(), lines.end(),
                       [&](const auto& line) { return line.compare(0, with.size(), with) == 0; });
}

} // namespace

TEST_CASE("reasons: what turning the shaft changed speaks for a ring and against a piston lip") {
    const auto read = model::read_map(std::string(RINGLAND_SOURCE_DIR) + "/assets-demo/larch-five.toml");
    REQUIRE(read.map);
    const auto& map = *read.map;
    suspects::Weigher weigher(map, {}, {});
    model::AirCheck check;
    check.readings.push_back(words("P3", "P4", model::Heard::strong));
    check.readings.push_back(words("P3", "P4", model::Heard::nothing));
    check.readings.back().shaft_turned_deg = 90;
    const auto weighed = weigher.weigh(check);
    const auto suspect_at = [&](const std::string& seal) {
        for (const auto& suspect : weighed.suspects) {
            if (suspect.seals.size() == 1 && map.seals[suspect.seals.front()].id == seal) return suspect;
        }
        FAIL(seal, " is no suspect");
        return suspects::Suspect{};
    };
    const auto ring = suspect_at("R3");
    CHECK(ring.mechanism[static_cast<std::size_t>(model::Mechanism::joint)] > 0.5);
    const std::string line = "Shaft turned, air into P3 LOW: P4 COAST went from strong to nothing, ";
    const auto for_ring = suspects::reasons_for(weigher, check, ring, false);
    CHECK(begins(for_ring.for_it, line + "as a joint gap does."));
    CHECK_FALSE(begins(for_ring.against_it, "Shaft turned"));
    const auto for_lip = suspects::reasons_for(weigher, check, suspect_at("L1"), false);
    CHECK(begins(for_lip.against_it, line + "but nothing in L1 is a joint gap."));
    CHECK_FALSE(begins(for_lip.for_it, "Shaft turned"));
    // The changed reading is not held against the plain hole that made the first.
    const auto blown = [](const std::vector<std::string>& lines) {
        return std::count_if(lines.begin(), lines.end(),
                             [](const auto& l) { return l.compare(0, 11, "Air into P3") == 0; });
    };
    CHECK(blown(for_ring.for_it) == 1);
    CHECK(blown(for_ring.against_it) == 0);
    // The same word twice tells of no change.
    check.readings.back().seen.front().word = model::Heard::strong;
    const auto again = weigher.weigh(check);
    CHECK_FALSE(begins(suspects::reasons_for(weigher, check, again.suspects.front(), false).for_it, "Shaft turned"));
}

TEST_CASE("reasons: what the driver says stands beside what the air says, for the seal and against it") {
    const auto read = model::read_map(std::string(RINGLAND_SOURCE_DIR) + "/assets-demo/larch-five.toml");
    REQUIRE(read.map);
    const auto& map = *read.map;
    suspects::Weigher weigher(map, {}, {});
    model::AirCheck check;
    check.readings.push_back(words("P3", "P4", model::Heard::strong));
    // A cross-leak of two circuits shows where exactly one of them is on (the road's own reasoning).
    model::Complaint slips, good;
    slips.range = "D3";
    slips.symptom = model::Symptom::slips;
    good.range = "D2";
    good.symptom = model::Symptom::slips;
    good.absent = true;
    check.complaints = {slips, good};
    const auto weighed = weigher.weigh(check);
    const auto& ring = weighed.suspects.front();
    REQUIRE(ring.seals.size() == 1);
    REQUIRE(map.seals[ring.seals.front()].id == "R3");
    const auto reasons = suspects::reasons_for(weigher, check, ring, false);
    CHECK(begins(reasons.for_it, "Air into P3"));
    CHECK(begins(reasons.for_it, "The driver says, 3rd: slips."));
    // R3 makes 2nd slip too, so that 2nd is good speaks against it.
    CHECK(begins(reasons.against_it, "The driver says, 2nd: not \"slips\"."));
    // The weight of a sentence is that of the complaint alone.
    const auto told = weigher.told(check.complaints, ring, false, 100);
    CHECK(told.fits.empty());
    CHECK(told.against.empty());
    // Without complaints nothing is said of a driver.
    check.complaints.clear();
    const auto silent = weigher.weigh(check);
    CHECK_FALSE(begins(suspects::reasons_for(weigher, check, silent.suspects.front(), false).for_it, "The driver"));
}
