// What the shop's jobs say taken together.
#include <map>

#include <fmt/format.h>

#include "store_session.h"

namespace ringland::diagnosis::records {

using soci::into;
using soci::use;

namespace {

/// A comeback is named by hand, or is the same number on the same unit within a year.
constexpr const char* by_unit =
    "select unit, count(*), sum(done), sum(case when comeback_of <> '' or exists (select 1 from listing as earlier "
    "where earlier.number = listing.number and earlier.unit = listing.unit and listing.number <> '' "
    "and earlier.opened_at < listing.opened_at and earlier.opened_at >= listing.year_before) then 1 else 0 end), "
    "coalesce(avg(case when done = 1 and hours >= 0 then hours end), 0.0) "
    "from listing group by unit order by 2 desc, unit";

constexpr const char* by_seal = "select unit, seal, max(name), sum(damaged) from found{} group by unit, seal "
                                "having sum(damaged) > 0 order by 4 desc, 1, 2";
/// Of all units, in the order of the jobs as the table lies, so that nothing is sorted.
constexpr const char* by_looked =
    "select unit, count(*) from (select n, max(unit) as unit from found group by n) as part "
    "group by unit";

/// Of all units, or of one.
std::vector<SealStatistics> seals_of(soci::session& sql, const std::string* unit) {
    SealStatistics line;
    long long count = 0;
    std::map<std::string, long> looked;
    soci::statement jobs = (sql.prepare << by_looked, into(line.unit), into(count));
    jobs.execute();
    while (jobs.fetch())
        looked[line.unit] = static_cast<long>(count);
    std::vector<SealStatistics> list;
    soci::statement seals(sql);
    if (unit != nullptr) seals.exchange(use(*unit));
    for (auto* text : {&line.unit, &line.seal, &line.name})
        seals.exchange(into(*text));
    seals.exchange(into(count));
    seals.alloc();
    seals.prepare(fmt::format(fmt::runtime(by_seal), unit == nullptr ? "" : " where unit = :unit"));
    seals.define_and_bind();
    seals.execute();
    while (seals.fetch()) {
        line.failed = static_cast<long>(count);
        line.jobs = looked[line.unit];
        list.push_back(line);
    }
    return list;
}

} // namespace

Statistics Store::statistics() {
    return guarded(*impl_, [&] {
        Statistics result;
        UnitStatistics line;
        long long jobs = 0, done = 0, comebacks = 0;
        soci::statement statement = (impl_->sql.prepare << by_unit, into(line.unit), into(jobs), into(done),
                                     into(comebacks), into(line.mean_hours));
        statement.execute();
        while (statement.fetch()) {
            line.jobs = static_cast<long>(jobs);
            line.done = static_cast<long>(done);
            line.comebacks = static_cast<long>(comebacks);
            result.units.push_back(line);
        }
        result.seals = seals_of(impl_->sql, nullptr);
        return result;
    });
}

std::vector<SealStatistics> Store::failures_of(std::string_view unit) {
    const std::string name(unit);
    return guarded(*impl_, [&] { return seals_of(impl_->sql, &name); });
}

} // namespace ringland::diagnosis::records
