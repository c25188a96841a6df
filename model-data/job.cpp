#include "job.h"

#include <algorithm>
#include <ctime>
#include <random>

#include <fmt/format.h>

namespace ringland::model {

namespace {

bool has_readings(const Job& job, CheckPurpose purpose) {
    return std::any_of(job.checks.begin(), job.checks.end(), [&](const JobCheck& check) {
        return check.purpose == purpose &&
               std::any_of(check.readings.begin(), check.readings.end(), [](const JobReading& r) {
                   return !r.reading.seen.empty() || r.reading.applied.has_value();
               });
    });
}

/// Gives each entry of a list its value, and an id: by place where the value there stayed the same kind of thing, so
/// that one more word in a reading does not make it another reading.
template <class Entry, class Value>
void take_list(std::vector<Entry>& entries, const std::vector<Value>& values, Value Entry::*member) {
    // What was dropped from the middle: everything after it moved up by one, unchanged.
    if (entries.size() == values.size() + 1) {
        std::size_t same = 0;
        while (same < values.size() && entries[same].*member == values[same])
            ++same;
        const bool dropped = std::equal(values.begin() + static_cast<std::ptrdiff_t>(same), values.end(),
                                        entries.begin() + static_cast<std::ptrdiff_t>(same) + 1,
                                        [&](const Value& v, const Entry& e) { return e.*member == v; });
        if (dropped) entries.erase(entries.begin() + static_cast<std::ptrdiff_t>(same));
    }
    entries.resize(values.size());
    for (std::size_t i = 0; i < values.size(); ++i) {
        entries[i].*member = values[i];
        if (entries[i].id.empty()) entries[i].id = new_id();
    }
}

} // namespace

std::array<bool, job_step_count> steps_over(const Job& job) {
    std::array<bool, job_step_count> over{};
    const auto at = [&](JobStep step) -> bool& { return over[static_cast<std::size_t>(step)]; };
    for (const auto& tick : job.ticks)
        at(tick.step) = true;
    const bool damaged = std::any_of(job.findings.begin(), job.findings.end(),
                                     [](const Finding& f) { return f.found == Found::damaged; });
    at(JobStep::check) = at(JobStep::check) || has_readings(job, CheckPurpose::before);
    at(JobStep::find) = at(JobStep::find) || damaged;
    // What was found could be seen, so the unit was apart and the weighing over.
    at(JobStep::take_apart) = at(JobStep::take_apart) || !job.findings.empty();
    at(JobStep::weigh) = at(JobStep::weigh) || at(JobStep::take_apart);
    at(JobStep::renew) = at(JobStep::renew) || !job.renewed.empty();
    at(JobStep::retest) = at(JobStep::retest) || has_readings(job, CheckPurpose::retest);
    // A unit that is blown again after its repair was closed.
    at(JobStep::close_up) = at(JobStep::close_up) || has_readings(job, CheckPurpose::retest);
    return over;
}

JobStep where_it_stands(const Job& job) {
    const auto over = steps_over(job);
    std::size_t last = 0;
    for (std::size_t i = 0; i < job_step_count; ++i) {
        if (over[i]) last = i + 1;
    }
    return static_cast<JobStep>(std::min(last, job_step_count - 1));
}

AirCheck air_check(const JobCheck& check) {
    AirCheck result;
    for (const auto& reading : check.readings)
        result.readings.push_back(reading.reading);
    for (const auto& look : check.looks)
        result.looks.push_back(look.look);
    for (const auto& complaint : check.complaints)
        result.complaints.push_back(complaint.complaint);
    return result;
}

void take_over(JobCheck& entry, const AirCheck& check) {
    take_list(entry.readings, check.readings, &JobReading::reading);
    take_list(entry.looks, check.looks, &JobLook::look);
    take_list(entry.complaints, check.complaints, &JobComplaint::complaint);
}

const JobCheck* last_check(const Job& job, CheckPurpose purpose) {
    const auto at = std::find_if(job.checks.rbegin(), job.checks.rend(),
                                 [&](const JobCheck& check) { return check.purpose == purpose; });
    return at == job.checks.rend() ? nullptr : &*at;
}

Verdict verdict(const Measurement& measurement, const Clearance& clearance) {
    constexpr double on_the_limit_m = 1e-9;
    if (!clearance.lower && !clearance.upper) return Verdict::no_limits;
    const double value = measurement.value.si();
    if (clearance.lower && value < clearance.lower->si() - on_the_limit_m) return Verdict::below;
    if (clearance.upper && value > clearance.upper->si() + on_the_limit_m) return Verdict::above;
    return Verdict::within;
}

std::string new_id() {
    std::random_device device;
    std::string id;
    for (int i = 0; i < 4; ++i)
        id += fmt::format("{:08x}", device() & 0xFFFFFFFFU);
    return id;
}

std::string utc_now() {
    const std::time_t now = std::time(nullptr);
    std::tm parts{};
    gmtime_r(&now, &parts);
    return fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}Z", parts.tm_year + 1900, parts.tm_mon + 1, parts.tm_mday,
                       parts.tm_hour, parts.tm_min, parts.tm_sec);
}

} // namespace ringland::model
