// The window's job in the records: kept beside the frames, found again by search, opened in another window.
#include <algorithm>
#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <optional>
#include <thread>

#include <doctest/doctest.h>

#include "../../viewer/platform/job_keeper.h"
#include "../demo_maps.h"
#include "real_loop.h"

using namespace ringland;
using namespace ringland::tests;
using namespace ringland::viewer;
namespace records = ringland::diagnosis::records;

namespace {

struct Shop {
    std::filesystem::path folder;
    Shop() {
        folder = std::filesystem::temp_directory_path() / ("ringland-keeper-" + model::new_id());
        std::filesystem::create_directories(folder);
    }
    ~Shop() { std::filesystem::remove_all(folder); }
    Shop(const Shop&) = delete;
    Shop& operator=(const Shop&) = delete;
    [[nodiscard]] records::Place place() const { return {(folder / "records.sqlite").string(), "test bench"}; }
};

model::Seen heard(model::Heard word) {
    model::Seen seen;
    seen.word = word;
    return seen;
}

void find_strong_leak(RealLoop& w) {
    w.loop->dispatch(command::AirInto{"P3"}, w.now_s);
    w.loop->dispatch(command::Saw{"P4", heard(model::Heard::strong)}, w.now_s);
    w.frame();
}

} // namespace

TEST_CASE("job keeper: every command is in the records, letters together, each change named as undo names it") {
    const Shop shop;
    std::string id;
    {
        RealLoop w(demo);
        JobKeeper keeper(shop.place());
        w.loop->use_keeper(&keeper);
        find_strong_leak(w);
        id = w.document().job.id;
        for (const char* text : {"s", "sl", "sli", "slips"}) {
            w.loop->dispatch(command::EditJob{job_edit::Write{job_edit::Field::complaint, text, false}}, w.now_s);
            w.frame();
        }
        w.loop->dispatch(command::EditJob{job_edit::Find{"R3", model::Found::damaged}}, w.now_s);
        w.frame();
        REQUIRE(keeper.settle(20));
        records::Records shelf(shop.place());
        const auto kept = shelf.load(id);
        REQUIRE(kept);
        CHECK(*kept == w.document().job);
    }
    records::Records shelf(shop.place());
    const auto history = shelf.history(id);
    REQUIRE(history.size() >= 2);
    CHECK(history.size() <= 3); // the letters wait for the next thing, so they are one change with it, or one alone
    CHECK(history.front().label == "seen at P4");
    CHECK(history.back().label == "found R3 damaged");
    CHECK(history.back().bench == "test bench");
}

TEST_CASE("job keeper: what is still being written is saved when the window closes") {
    const Shop shop;
    std::string id;
    {
        RealLoop w(demo);
        JobKeeper keeper(shop.place());
        w.loop->use_keeper(&keeper);
        find_strong_leak(w);
        w.loop->dispatch(command::EditJob{job_edit::Write{job_edit::Field::number, "77", false}}, w.now_s);
        w.frame();
        id = w.document().job.id;
    }
    records::Records shelf(shop.place());
    const auto kept = shelf.load(id);
    REQUIRE(kept);
    CHECK(kept->head.number == "77");
}

TEST_CASE("job keeper: a job is found by its words and opened, and goes on in the records as the same job") {
    const Shop shop;
    std::string id;
    {
        RealLoop w(demo);
        JobKeeper keeper(shop.place());
        w.loop->use_keeper(&keeper);
        find_strong_leak(w);
        w.loop->dispatch(command::EditJob{job_edit::Write{job_edit::Field::customer, "Invented Haulage"}}, w.now_s);
        w.frame();
        id = w.document().job.id;
    }
    RealLoop w(small_demo);
    JobKeeper keeper(shop.place());
    w.loop->use_keeper(&keeper);
    w.loop->dispatch(command::ShowSheet{Sheet::records}, w.now_s);
    w.frame();
    REQUIRE(keeper.settle(20));
    w.frame();
    w.frame();
    REQUIRE(w.interface.items().count("job " + id) == 1);
    w.press("field find job");
    for (const char c : std::string("haul"))
        w.loop->event(input::Text{static_cast<unsigned>(c)});
    w.frame();
    w.frame();
    REQUIRE(keeper.settle(20));
    w.frame();
    w.frame();
    w.loop->event(input::KeyPress{Key::enter, true});
    w.frame();
    w.frame();
    w.press("job " + id);
    REQUIRE(keeper.settle(20));
    w.frame();
    CHECK(w.document().map.unit.name == "Larch Five");
    CHECK(w.document().job.id == id);
    CHECK(w.bench.session().view.sheet == Sheet::job);
    CHECK(w.document().check.readings.size() == 1);
    w.loop->dispatch(command::EditJob{job_edit::Note{"seen again"}}, w.now_s);
    w.frame();
    REQUIRE(keeper.settle(20));
    records::Records shelf(shop.place());
    CHECK(shelf.count() == 1);
    REQUIRE(shelf.load(id));
    CHECK(shelf.load(id)->notes.size() == 1);
    CHECK(shelf.load(id)->head.customer == "Invented Haulage");
}

TEST_CASE("job keeper: what the shop found before speaks in the weighing, this job's own finding does not") {
    const Shop shop;
    {
        records::Records shelf(shop.place());
        Workbench bench;
        std::string why;
        REQUIRE(bench.open(demo, why));
        for (int i = 0; i < 7; ++i) {
            REQUIRE(bench.dispatch(command::EditJob{job_edit::Begin{}}, 0).empty());
            REQUIRE(bench.dispatch(command::EditJob{job_edit::Find{"R2", model::Found::damaged}}, 0).empty());
            shelf.save({}, bench.session().document.job, "found R2 damaged");
        }
    }
    RealLoop w(demo);
    JobKeeper keeper(shop.place());
    w.loop->use_keeper(&keeper);
    w.frame();
    REQUIRE(keeper.settle(20));
    w.frame();
    REQUIRE(w.bench.shop().size() == 1);
    CHECK(w.bench.shop()[0].seal == "R2");
    CHECK(w.bench.shop()[0].failed == 7);
    CHECK(w.bench.shop()[0].jobs == 7);
    w.loop->dispatch(command::EditJob{job_edit::Find{"R3", model::Found::damaged}}, w.now_s);
    w.frame();
    REQUIRE(keeper.settle(20));
    w.frame();
    CHECK(w.bench.shop().size() == 1);
}

TEST_CASE("job keeper: records that cannot be used are said once, and the work goes on") {
    RealLoop w(demo);
    JobKeeper keeper({"/proc/no-such-folder/records.sqlite", "test bench"});
    w.loop->use_keeper(&keeper);
    find_strong_leak(w);
    REQUIRE(keeper.settle(20));
    w.frame();
    CHECK(w.loop->notice().find("Jobs cannot be kept") == 0);
    w.loop->dispatch(command::EditJob{job_edit::Find{"R3", model::Found::damaged}}, w.now_s);
    w.frame();
    CHECK(w.document().job.findings.size() == 1);
}

TEST_CASE(
    "job keeper: another map, another job and undo leave a job that was kept as it is, unsaved letters included") {
    const Shop shop;
    RealLoop w(demo);
    JobKeeper keeper(shop.place());
    w.loop->use_keeper(&keeper);
    find_strong_leak(w);
    const std::string first = w.document().job.id;
    w.loop->dispatch(command::EditJob{job_edit::Write{job_edit::Field::number, "7", false}}, w.now_s);
    w.frame();
    w.loop->dispatch(command::OpenMap{small_demo}, w.now_s);
    w.frame();
    REQUIRE(keeper.settle(20));
    records::Records shelf(shop.place());
    const auto holds = [&] {
        const auto kept = shelf.load(first);
        REQUIRE(kept);
        CHECK(kept->head.number == "7");
        REQUIRE(kept->checks.size() == 1);
        CHECK(kept->checks[0].readings.size() == 1);
    };
    holds();
    w.loop->dispatch(command::Undo{}, w.now_s); // back on the first unit and its job
    w.frame();
    CHECK(w.document().job.id == first);
    w.loop->dispatch(command::EditJob{job_edit::Begin{}}, w.now_s);
    w.loop->dispatch(command::EditJob{job_edit::Note{"the next unit"}}, w.now_s);
    w.frame();
    REQUIRE(keeper.settle(20));
    holds();
    CHECK(shelf.count() == 2);
}

TEST_CASE("job keeper: what could not be saved is saved once the records can be used again") {
    const Shop shop;
    const auto folder = shop.folder / "shelf";
    std::ofstream(folder) << "no folder";
    const records::Place place{(folder / "records.sqlite").string(), "test bench"};
    RealLoop w(demo);
    JobKeeper keeper(place);
    w.loop->use_keeper(&keeper);
    find_strong_leak(w);
    REQUIRE(keeper.settle(20));
    w.frame();
    CHECK(w.loop->notice().find("Jobs cannot be kept") == 0);
    std::filesystem::remove(folder);
    std::filesystem::create_directories(folder);
    std::optional<model::Job> kept;
    for (int i = 0; i < 150 && !kept; ++i) {
        std::this_thread::sleep_for(std::chrono::milliseconds(100));
        if (!std::filesystem::exists(place.where)) continue;
        records::Records shelf(place);
        kept = shelf.load(w.document().job.id);
    }
    REQUIRE(kept);
    CHECK(*kept == w.document().job);
}

TEST_CASE("job keeper: a first entry that is taken back leaves no job in the lists, and comes back with redo") {
    const Shop shop;
    RealLoop w(demo);
    JobKeeper keeper(shop.place());
    w.loop->use_keeper(&keeper);
    find_strong_leak(w);
    const std::string id = w.document().job.id;
    REQUIRE(keeper.settle(20));
    records::Records shelf(shop.place());
    CHECK(shelf.count() == 1);
    w.loop->dispatch(command::Undo{}, w.now_s);
    w.frame();
    CHECK(w.document().job.id.empty());
    REQUIRE(keeper.settle(20));
    CHECK(shelf.count() == 0);
    CHECK_FALSE(shelf.load(id));
    CHECK(shelf.history(id).size() == 2); // nothing is thrown away
    w.loop->dispatch(command::Redo{}, w.now_s);
    w.frame();
    REQUIRE(keeper.settle(20));
    REQUIRE(shelf.load(id));
    CHECK(*shelf.load(id) == w.document().job);
    // Letter by letter as well: nothing is left, nothing is listed.
    w.loop->dispatch(command::Undo{}, w.now_s);
    w.frame();
    w.loop->dispatch(command::EditJob{job_edit::Write{job_edit::Field::number, "7"}}, w.now_s);
    w.frame();
    REQUIRE(keeper.settle(20));
    CHECK(shelf.count() == 1);
    w.loop->dispatch(command::EditJob{job_edit::Write{job_edit::Field::number, ""}}, w.now_s);
    w.frame();
    REQUIRE(keeper.settle(20));
    CHECK(shelf.count() == 0);
}

TEST_CASE("job keeper: a job that was opened is not taken back with the opening, nor by the way back and forth") {
    const Shop shop;
    std::string id;
    {
        RealLoop w(demo);
        JobKeeper keeper(shop.place());
        w.loop->use_keeper(&keeper);
        find_strong_leak(w);
        id = w.document().job.id;
    }
    RealLoop w(demo);
    JobKeeper keeper(shop.place());
    w.loop->use_keeper(&keeper);
    records::Records shelf(shop.place());
    keeper.open(id);
    REQUIRE(keeper.settle(20));
    w.frame();
    REQUIRE(w.document().job.id == id);
    w.loop->dispatch(command::Undo{}, w.now_s); // of the opening
    w.frame();
    CHECK(w.document().job.id.empty());
    REQUIRE(keeper.settle(20));
    CHECK(shelf.load(id));
    // Begun here, left for the same map anew, and back by undo and redo.
    find_strong_leak(w);
    const std::string second = w.document().job.id;
    CHECK(second != id);
    w.frame();
    for (const Command& step : {Command(command::OpenMap{demo}), Command(command::AirInto{"P5"}),
                                Command(command::Undo{}), Command(command::Undo{}), Command(command::Redo{})}) {
        w.loop->dispatch(step, w.now_s);
        w.frame();
    }
    CHECK(w.document().job.id.empty());
    REQUIRE(keeper.settle(20));
    CHECK(shelf.load(id));
    CHECK(shelf.load(second));
    CHECK(shelf.count() == 2);
}

TEST_CASE("job keeper: two windows on one job see what the other enters, and undo takes back one's own only") {
    const Shop shop;
    RealLoop one(demo), two(demo);
    JobKeeper keeper_one(shop.place()), keeper_two(shop.place());
    one.loop->use_keeper(&keeper_one);
    two.loop->use_keeper(&keeper_two);
    find_strong_leak(one);
    const std::string id = one.document().job.id;
    REQUIRE(keeper_one.settle(20));
    keeper_two.open(id);
    REQUIRE(keeper_two.settle(20));
    two.frame();
    REQUIRE(two.document().job.id == id);
    const auto enter = [](RealLoop& w, const JobEdit& edit) {
        w.loop->dispatch(command::EditJob{edit}, w.now_s);
        w.frame();
    };
    // Frames go on in a window until it holds what is waited for.
    const auto comes = [](RealLoop& w, const auto& holds) {
        for (int i = 0; i < 400 && !holds(); ++i) {
            std::this_thread::sleep_for(std::chrono::milliseconds(50));
            w.frame();
        }
        return holds();
    };
    const auto noted = [](const RealLoop& w, const std::string& text) {
        const auto& notes = w.document().job.notes;
        return std::any_of(notes.begin(), notes.end(), [&](const auto& note) { return note.text == text; });
    };

    enter(one, job_edit::Note{"by one"}); // not seen by two yet
    enter(two, job_edit::Find{"R3", model::Found::damaged});
    REQUIRE(keeper_two.settle(20));
    REQUIRE(comes(one, [&] { return !one.document().job.findings.empty(); }));
    CHECK(one.document().job.findings[0].seal == "R3");
    CHECK(one.loop->notice() == "Came from another window: found R3 damaged (test bench)");
    CHECK(noted(one, "by one"));
    REQUIRE(comes(two, [&] { return noted(two, "by one"); }));
    CHECK(two.document().job.findings.size() == 1);
    CHECK(two.document().job == one.document().job);

    // A reading of the other is in the check that is shown as well.
    two.loop->dispatch(command::AirInto{"P4"}, two.now_s);
    two.loop->dispatch(command::Saw{"P3", heard(model::Heard::clear)}, two.now_s);
    two.frame();
    REQUIRE(keeper_two.settle(20));
    REQUIRE(comes(one, [&] { return one.document().check.readings.size() == 2; }));
    CHECK(one.document().check.readings[1].into == "P4");

    // Undo here: the note goes, all of the other's stays; and so it is in the records.
    one.loop->dispatch(command::Undo{}, one.now_s);
    one.frame();
    CHECK_FALSE(noted(one, "by one"));
    CHECK(one.document().job.findings.size() == 1);
    CHECK(one.document().check.readings.size() == 2);
    REQUIRE(keeper_one.settle(20));
    records::Records shelf(shop.place());
    CHECK(*shelf.load(id) == one.document().job);
    REQUIRE(comes(two, [&] { return !noted(two, "by one"); }));

    // Both write in one field: the later save stands in both windows.
    enter(two, job_edit::Write{job_edit::Field::conclusion, "as two says"});
    REQUIRE(keeper_two.settle(20));
    enter(one, job_edit::Write{job_edit::Field::conclusion, "as one says"});
    REQUIRE(keeper_one.settle(20));
    REQUIRE(comes(two, [&] { return two.document().job.head.conclusion == "as one says"; }));
    CHECK(one.document().job.head.conclusion == "as one says");
    CHECK(shelf.load(id)->head.conclusion == "as one says");
    CHECK(*shelf.load(id) == two.document().job);
    // Nothing more comes or goes, and neither window has saved what the other did.
    const auto changes = shelf.history(id).size();
    std::this_thread::sleep_for(std::chrono::duration<double>(look_again_s + 0.7));
    one.frame();
    two.frame();
    CHECK(shelf.history(id).size() == changes);
    for (const auto& change : shelf.history(id))
        CHECK_MESSAGE(change.entries.size() <= 4, change.label); // the first: head, map, check and reading
}

TEST_CASE("job keeper: what another bench entered is not lost where the job is left and come back to by undo") {
    const Shop shop;
    RealLoop w(demo);
    JobKeeper keeper(shop.place());
    w.loop->use_keeper(&keeper);
    find_strong_leak(w);
    const std::string id = w.document().job.id;
    REQUIRE(keeper.settle(20));
    records::Records other({shop.place().where, "the other bench"});
    const auto kept = other.load(id);
    REQUIRE(kept);
    model::Job more = *kept;
    more.notes.push_back({model::new_id(), "", "", "from the other bench"});
    // It has come, and no frame has taken it yet, when another unit is opened.
    static_cast<void>(other.save(*kept, more, "note"));
    std::this_thread::sleep_for(std::chrono::duration<double>(look_again_s + 1.5));
    w.loop->dispatch(command::OpenMap{small_demo}, w.now_s);
    w.frame();
    REQUIRE(keeper.settle(20));
    w.loop->dispatch(command::Undo{}, w.now_s); // of the opening
    w.frame();
    REQUIRE(w.document().job.id == id);
    for (int i = 0; i < 200 && w.document().job.notes.empty(); ++i) {
        std::this_thread::sleep_for(std::chrono::milliseconds(50));
        w.frame();
    }
    CHECK(w.document().job.notes.size() == 1);
    REQUIRE(keeper.settle(20));
    CHECK(other.load(id)->notes.size() == 1);
}

TEST_CASE("job keeper: the list of jobs comes again when another bench saves, while it is looked at") {
    const Shop shop;
    RealLoop w(demo);
    JobKeeper keeper(shop.place());
    w.loop->use_keeper(&keeper);
    w.loop->dispatch(command::ShowSheet{Sheet::records}, w.now_s);
    w.frame();
    REQUIRE(keeper.settle(20));
    w.frame();
    REQUIRE(keeper.page());
    CHECK(keeper.page()->lines.empty());
    static_cast<void>(keeper.take_news());

    records::Records other({shop.place().where, "the other bench"});
    Workbench bench;
    std::string why;
    REQUIRE(bench.open(demo, why));
    REQUIRE(bench.dispatch(command::EditJob{job_edit::Note{"from the other bench"}}, 0).empty());
    static_cast<void>(other.save({}, bench.session().document.job, "note"));
    for (int i = 0; i < 200 && keeper.page()->lines.empty(); ++i)
        std::this_thread::sleep_for(std::chrono::milliseconds(50));
    REQUIRE(keeper.page()->lines.size() == 1);
    CHECK(keeper.take_news());
    w.frame();
    w.frame();
    CHECK(w.interface.items().count("job " + bench.session().document.job.id) == 1);
    // Where nothing was saved, nothing comes.
    const auto page = keeper.page();
    std::this_thread::sleep_for(std::chrono::duration<double>(look_again_s + 0.7));
    CHECK(keeper.page() == page);
    CHECK_FALSE(keeper.take_news());
    // Nobody looks: nobody asks.
    w.loop->dispatch(command::ShowSheet{Sheet::job}, w.now_s);
    w.frame();
    REQUIRE(bench.dispatch(command::EditJob{job_edit::Note{"more"}}, 0).empty());
    static_cast<void>(other.save({}, bench.session().document.job, "note"));
    std::this_thread::sleep_for(std::chrono::duration<double>(look_again_s + 0.7));
    CHECK(keeper.page() == page);
}
