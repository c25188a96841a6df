// What is worked out beside the window: the retest against the first test, and the order of a full air check.
#include <algorithm>
#include <chrono>
#include <thread>

#include <doctest/doctest.h>

#include "../../diagnosis/airflow/expected.h"
#include "../../diagnosis/suspects/coverage.h"
#include "../../viewer/app/commands.h"
#include "../../viewer/app/retest_words.h"
#include "../demo_job.h"
#include "opened.h"

using namespace ringland;
using namespace ringland::tests;
using namespace ringland::viewer;
namespace cmd = ringland::viewer::command;

namespace {

void work(Workbench& bench) {
    while (bench.work_on()) {
    }
}

/// Works on until it holds, or for some seconds.
template <class Holds> bool waited(Workbench& bench, Holds holds) {
    for (int i = 0; i < 4000 && !holds(); ++i) {
        std::this_thread::sleep_for(std::chrono::milliseconds(5));
        bench.work_on();
    }
    return holds();
}

} // namespace

TEST_CASE("side desks: the retest comes as the engine has it, and never for another state of the job") {
    Workbench bench;
    const model::Job job = demo_job();
    REQUIRE(bench.open_job(job, 0).empty());
    work(bench);
    CHECK_FALSE(bench.derived().retested); // nobody looks at it
    carry_out(bench, cmd::ShowSheet{Sheet::job});
    work(bench);
    REQUIRE(bench.derived().retested);
    const auto& document = bench.session().document;
    diagnosis::suspects::Weigher weigher(document.map, document.bench, document.priors);
    const auto retest = diagnosis::retest(weigher, job);
    CHECK(bench.derived().retested->trouble.empty());
    CHECK(bench.derived().retested->retest.gone == retest.gone);
    CHECK(bench.derived().retested->retest.rows.size() == retest.rows.size());
    CHECK(retest.gone > 0.9);

    // A damaged seal more that was not renewed is another question; what was worked out is gone at once.
    const auto renewed = diagnosis::renewed_seals(document.map, job);
    const auto old_one = static_cast<std::size_t>(std::find(renewed.begin(), renewed.end(), false) - renewed.begin());
    REQUIRE(old_one < renewed.size());
    carry_out(bench, cmd::EditJob{job_edit::Find{document.map.seals[old_one].id, model::Found::damaged}});
    CHECK_FALSE(bench.derived().retested);
    work(bench);
    REQUIRE(bench.derived().retested);
    CHECK(bench.derived().retested->retest.gone < retest.gone - 0.01);
    carry_out(bench, cmd::Undo{});
    CHECK_FALSE(bench.derived().retested);
    work(bench);
    REQUIRE(bench.derived().retested);
    CHECK(bench.derived().retested->retest.gone == retest.gone);
    // The customer's name changes nothing of it.
    carry_out(bench, cmd::EditJob{job_edit::Write{job_edit::Field::customer, "Invented Haulage"}});
    CHECK(bench.derived().retested);
}

TEST_CASE("side desks: readings that do not fit the map are said, not weighed") {
    Workbench bench;
    model::Job job = demo_job();
    job.checks.front().readings.front().reading.into = "P99";
    REQUIRE(bench.open_job(job, 0).empty());
    carry_out(bench, cmd::ShowSheet{Sheet::job});
    work(bench);
    REQUIRE(bench.derived().retested);
    CHECK(bench.derived().retested->trouble.english().find("P99") != std::string::npos);
}

TEST_CASE("side desks: a job without a retest is not compared before it is time") {
    Workbench bench;
    std::string why;
    REQUIRE(bench.open(demo, why));
    carry_out(bench, cmd::ShowSheet{Sheet::job});
    CHECK_FALSE(bench.compares_tests());
    carry_out(bench, cmd::AirInto{"P3"});
    carry_out(bench, saw("P4", model::Heard::strong));
    CHECK_FALSE(bench.compares_tests());
    work(bench);
    CHECK_FALSE(bench.derived().retested);
    carry_out(bench, cmd::EditJob{job_edit::Renew{"R3", 1, ""}});
    carry_out(bench, cmd::EditJob{job_edit::Tick{model::JobStep::close_up, true}});
    CHECK(bench.compares_tests());
    carry_out(bench, cmd::ShowSheet{Sheet::job});
    work(bench);
    REQUIRE(bench.derived().retested);
    const auto& retest = bench.derived().retested->retest;
    CHECK_FALSE(retest.has_after);
    CHECK(retest.gone == retest.gone_by_parts);
    CHECK(gone_words({}, retest).find("by the parts that were renewed alone") != std::string::npos);
}

TEST_CASE("side desks: the ports stand in the order of the shortest check, and stay while one is in use") {
    const auto desks = std::make_shared<SideDesks>(true);
    Workbench bench;
    bench.use_side_desks(desks);
    std::string why;
    REQUIRE(bench.open(demo, why));
    const auto& map = bench.session().document.map;
    carry_out(bench, cmd::ShowSheet{Sheet::check});
    bench.work_on(); // asks
    carry_out(bench, cmd::AirInto{"P3"});
    REQUIRE(waited(bench, [&] { return !desks->full_check.working(); }));
    bench.work_on();
    CHECK_FALSE(bench.derived().full_check); // it is there, and waits
    carry_out(bench, cmd::ClearPorts{});
    REQUIRE(waited(bench, [&] { return bench.derived().full_check != nullptr; }));
    const FullCheck& full = *bench.derived().full_check;

    diagnosis::suspects::Tables tables(map, bench.session().document.bench);
    const auto coverage =
        diagnosis::suspects::cover(tables, diagnosis::airflow::usual_gauge_pa(map, bench.session().document.bench));
    REQUIRE(full.shortest == coverage.shortest.size());
    for (std::size_t i = 0; i < full.shortest; ++i)
        CHECK(full.order[i] == static_cast<std::size_t>(coverage.shortest[i]));
    auto sorted = full.order;
    std::sort(sorted.begin(), sorted.end());
    REQUIRE(sorted.size() == map.ports.size());
    for (std::size_t i = 0; i < sorted.size(); ++i)
        CHECK(sorted[i] == i);
    CHECK(full.shortest < map.ports.size());

    // The order is fixed from the first entry on, whatever happens to the bench meanwhile.
    carry_out(bench, cmd::AirInto{"P3"});
    carry_out(bench, saw("P4", model::Heard::strong));
    const auto before = bench.derived().full_check;
    model::AirBench deaf = bench.session().document.bench;
    deaf.heard_from_lpm = {5, 20, 60};
    carry_out(bench, cmd::SetAirBench{deaf});
    bench.work_on();
    static_cast<void>(waited(bench, [&] { return !desks->full_check.working(); }));
    bench.work_on();
    CHECK(bench.derived().full_check == before);
}

TEST_CASE("retest words: the last test counts, and what is wrong is not plain") {
    using diagnosis::Against;
    diagnosis::RetestRow row;
    row.before.emplace();
    row.before_is = Against::more;
    CHECK(judged_words({}, row) == "not tested again");
    row.after.emplace();
    row.after_is = Against::more;
    CHECK(judged_words({}, row) == "still more than a good unit");
    CHECK(is_wrong(row));
    row.before_is = Against::as_expected;
    CHECK(judged_words({}, row) == "more than a good unit");
    row.before_is = Against::more;
    row.after_is = Against::as_expected;
    CHECK(judged_words({}, row) == "as a good unit now");
    CHECK_FALSE(is_wrong(row));
    CHECK_FALSE(is_plain(row));
    row.before_is = Against::as_expected;
    CHECK(is_plain(row));
    row.after_is = Against::less;
    CHECK(judged_words({}, row) == "less than a good unit");
    CHECK(is_wrong(row));
}
