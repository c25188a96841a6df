// A job's own laws: steps, verdicts, ids of readings.
#include <doctest/doctest.h>

#include "../../model-data/job.h"

using namespace ringland::model;

namespace {

Reading into(const std::string& port, Heard word = Heard::strong) {
    Reading reading;
    reading.into = port;
    Seen seen;
    seen.at = "P9";
    seen.word = word;
    reading.seen.push_back(seen);
    return reading;
}

Measurement measured(Length value) {
    Measurement m;
    m.value = value;
    return m;
}

Clearance between(std::optional<Length> lower, std::optional<Length> upper) {
    Clearance clearance;
    clearance.lower = lower;
    clearance.upper = upper;
    return clearance;
}

constexpr Length inch(double value) { return {value, LengthDimension::Unit::in}; }

} // namespace

TEST_CASE("job: readings keep their ids when one is changed, added at the end, or dropped anywhere") {
    JobCheck entry;
    AirCheck check;
    check.readings = {into("P1"), into("P2"), into("P3")};
    take_over(entry, check);
    REQUIRE(entry.readings.size() == 3);
    const std::string a = entry.readings[0].id, b = entry.readings[1].id, c = entry.readings[2].id;
    CHECK(a != b);
    CHECK(b != c);
    check.readings[1] = into("P2", Heard::faint);
    check.readings.push_back(into("P4"));
    take_over(entry, check);
    CHECK(entry.readings[1].id == b);
    CHECK(entry.readings[1].reading.seen[0].word == Heard::faint);
    CHECK(entry.readings.size() == 4);
    const std::string d = entry.readings[3].id;
    check.readings.erase(check.readings.begin());
    take_over(entry, check);
    REQUIRE(entry.readings.size() == 3);
    CHECK(entry.readings[0].id == b);
    CHECK(entry.readings[1].id == c);
    CHECK(entry.readings[2].id == d);
    CHECK(air_check(entry) == check);
}

TEST_CASE("job: a figure is held against its limits across units, and on the limit is within") {
    const auto clearance = between(mm(0.254), inch(0.031)); // 0.010 in to 0.031 in
    CHECK(verdict(measured(inch(0.010)), clearance) == Verdict::within);
    CHECK(verdict(measured(mm(0.7874)), clearance) == Verdict::within); // 0.031 in exactly
    CHECK(verdict(measured(mm(0.25)), clearance) == Verdict::below);
    CHECK(verdict(measured(mm(0.79)), clearance) == Verdict::above);
    CHECK(verdict(measured(mm(5)), between({}, {})) == Verdict::no_limits);
    CHECK(verdict(measured(mm(5)), between({}, mm(4))) == Verdict::above);
    CHECK(verdict(measured(mm(5)), between(mm(4), {})) == Verdict::within);
}

TEST_CASE("job: it stands after the last step that is over; sound seals end no search, a reading that says nothing no "
          "check") {
    Job job;
    CHECK(where_it_stands(job) == JobStep::check);
    JobCheck before;
    AirCheck empty;
    empty.readings.emplace_back().into = "P1";
    take_over(before, empty);
    job.checks.push_back(before);
    CHECK(where_it_stands(job) == JobStep::check);
    AirCheck said;
    said.readings = {into("P1")};
    take_over(job.checks[0], said);
    CHECK(where_it_stands(job) == JobStep::weigh);
    Finding sound;
    sound.seal = "R1";
    sound.found = Found::sound;
    job.findings.push_back(sound);
    CHECK(where_it_stands(job) == JobStep::find);
    sound.seal = "R2";
    sound.found = Found::damaged;
    job.findings.push_back(sound);
    CHECK(where_it_stands(job) == JobStep::renew);
    JobCheck retest = job.checks[0];
    retest.purpose = CheckPurpose::retest;
    job.checks.push_back(retest);
    CHECK(where_it_stands(job) == JobStep::done);
    CHECK_FALSE(steps_over(job).back());
    job.ticks.push_back({JobStep::done, "", ""});
    CHECK(steps_over(job).back());
    CHECK(last_check(job, CheckPurpose::retest) == &job.checks[1]);
}

TEST_CASE("job: ids are 32 hexadecimal digits and differ; the time has the form that jobs keep") {
    const std::string one = new_id(), other = new_id();
    CHECK(one.size() == 32);
    CHECK(one.find_first_not_of("0123456789abcdef") == std::string::npos);
    CHECK(one != other);
    const std::string now = utc_now();
    CHECK(now.size() == 20);
    CHECK(now[10] == 'T');
    CHECK(now.back() == 'Z');
}
