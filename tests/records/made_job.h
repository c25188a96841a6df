// A job with one of everything in it, invented, for the tests of the records.
#pragma once

#include <fstream>
#include <sstream>
#include <string>

#include "../../model-data/job.h"

namespace ringland::test {

inline std::string demo_map_text(const std::string& name = "larch-five") {
    std::ifstream file(std::string(RINGLAND_SOURCE_DIR) + "/assets-demo/" + name + ".toml");
    std::ostringstream text;
    text << file.rdbuf();
    return text.str();
}

inline model::JobReading made_reading(const std::string& into, const std::string& at, model::Heard word) {
    model::JobReading entry;
    entry.id = model::new_id();
    entry.reading.into = into;
    model::Seen seen;
    seen.at = at;
    seen.word = word;
    entry.reading.seen.push_back(seen);
    return entry;
}

/// Every field of every kind of entry holds something.
inline model::Job made_job() {
    using namespace model;
    Job job;
    job.id = new_id();
    job.head = {"1042",
                "Invented Customer, Señora Muñoz",
                "slips in 3rd when hot; \"bangs\" into reverse",
                "first bench",
                "2031-05-04T09:30:00Z",
                "ring R3 was cut",
                "00112233445566778899aabbccddeeff"};
    job.map_toml = demo_map_text();
    job.map_file = "larch-five.toml";
    job.ticks.push_back({JobStep::weigh, "2031-05-04T10:00:00Z", "first bench"});
    JobCheck check;
    check.id = new_id();
    check.at = "2031-05-04T09:40:00Z";
    check.who = "first bench";
    check.turns_freely = false;
    check.note = "cold";
    check.readings.push_back(made_reading("P3", "P4", Heard::strong));
    JobReading full = made_reading("P4", "P3", Heard::clear);
    full.reading.pressure = GaugePressure{2.4, PressureDimension::Unit::bar};
    full.reading.plugged = {"P1", "P2"};
    full.reading.applied = Applied::soft;
    full.reading.wet = true;
    full.reading.shaft_turned_deg = -90.1;
    full.reading.pushed = Pushed::out;
    full.reading.plate_resnugged = true;
    full.reading.note = "again";
    Seen gauge, flow, time, unsure;
    gauge.at = "P5";
    gauge.pressure = psi(31.1);
    flow.at = "case";
    flow.flow_lpm = 45.3;
    time.at = "P6";
    time.applies_after_s = 0.1;
    unsure.at = "P7";
    unsure.not_sure = true;
    full.reading.seen.insert(full.reading.seen.end(), {gauge, flow, time, unsure});
    check.readings.push_back(full);
    check.looks.push_back({new_id(), {"R3", Found::damaged, "through the window", {}}});
    job.checks.push_back(check);
    JobCheck again;
    again.id = new_id();
    again.purpose = CheckPurpose::retest;
    again.at = "2031-05-05T09:40:00Z";
    again.readings.push_back(made_reading("P3", "P4", Heard::nothing));
    job.checks.push_back(again);
    job.findings.push_back(
        {new_id(), "R3", Found::damaged, "cut", {"a b.jpg", "c.jpg"}, "2031-05-04T11:00:00Z", "first bench"});
    job.findings.push_back({new_id(), "L1", Found::sound, "", {}, "", ""});
    job.measurements.push_back({new_id(), "C1", Length{0.055, LengthDimension::Unit::in}, "2031-05-04T11:30:00Z",
                                "first bench", "with a feeler", mm(2.8)});
    job.renewed.push_back({new_id(), "R3", "LF-R-103", 2, "2031-05-04T12:00:00Z", "first bench", "whole row"});
    job.notes.push_back({new_id(), "2031-05-04T12:00:00Z", "first bench", "bench 2 has the drum"});
    return job;
}

/// The same with one note more.
inline model::Job with_note(model::Job job, const std::string& text) {
    job.notes.push_back({model::new_id(), "2031-05-06T08:00:00Z", "first bench", text});
    return job;
}

} // namespace ringland::test
