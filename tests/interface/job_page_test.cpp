// The customer's page made from the window by the program beside it.
#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <optional>
#include <string>
#include <thread>

#include <doctest/doctest.h>

#include "../../model-data/job_entries.h"
#include "../../viewer/app/outlook.h"
#include "../../viewer/platform/page_maker.h"
#include "../../viewer/platform/user_bench.h"
#include "../demo_job.h"
#include "real_loop.h"

using namespace ringland;
using namespace ringland::tests;
using namespace ringland::viewer;
namespace fs = std::filesystem;

namespace {

const fs::path program = RINGLAND_BINARY_DIR "/ringland";

/// A home of its own: documents and temporary files go there, and no shop's own files are read. Other tests make pages
/// at the same time.
struct Home {
    fs::path folder = fs::temp_directory_path() / ("ringland-page-test-" + model::new_id());
    fs::path documents = folder / "My documents";
    std::string tmpdir;
    Home() {
        fs::create_directories(documents);
        setenv("XDG_DOCUMENTS_DIR", documents.c_str(), 1);
        setenv("XDG_CONFIG_HOME", (folder / "config").c_str(), 1);
        if (const char* before = std::getenv("TMPDIR")) tmpdir = before;
        setenv("TMPDIR", folder.c_str(), 1);
    }
    ~Home() {
        unsetenv("XDG_DOCUMENTS_DIR");
        unsetenv("XDG_CONFIG_HOME");
        if (tmpdir.empty())
            unsetenv("TMPDIR");
        else
            setenv("TMPDIR", tmpdir.c_str(), 1);
        std::error_code ignored;
        fs::remove_all(folder, ignored);
    }
    Home(const Home&) = delete;
    Home& operator=(const Home&) = delete;
};

std::string bytes_of(const fs::path& file) {
    std::ifstream input(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(input), {}};
}

/// Folders in which a page is being made.
std::size_t work_folders() {
    std::size_t count = 0;
    for (const auto& entry : fs::directory_iterator(fs::temp_directory_path()))
        count += entry.path().filename().string().compare(0, 14, "ringland-page-") == 0 && entry.is_directory() &&
                         entry.path().filename().string().compare(0, 19, "ringland-page-test-") != 0
                     ? 1
                     : 0;
    return count;
}

/// Frames go on while the page is made; what was told at its end.
std::string told(RealLoop& w, PageMaker& maker) {
    unsigned long frames = 0;
    for (int i = 0; i < 12000 && maker.busy(); ++i) { // a frame takes the news as soon as there is some
        std::this_thread::sleep_for(std::chrono::milliseconds(10));
        if (i % 20 == 0) {
            w.frame();
            ++frames;
        }
    }
    REQUIRE_FALSE(maker.busy());
    CHECK(frames > 0); // nobody waited for it
    w.frame();
    return w.loop->notice();
}

void see(RealLoop& w, const std::string& label) {
    for (int i = 0; i < 80 && w.interface.items().count(label) == 0; ++i) {
        w.loop->event(input::MouseMove{900, 400});
        w.loop->event(input::MouseWheel{0, -2});
        w.frame();
        w.frame();
    }
}

} // namespace

TEST_CASE(
    "customer's page: from the button to a file in the documents, in a process of its own, twice without replacing") {
    const Home home;
    RealLoop w(demo);
    PageMaker maker(program);
    w.loop->use_page_maker(&maker);
    REQUIRE(w.bench.open_job(demo_job(), w.now_s).empty());
    const std::size_t before = work_folders();
    // By the key, as the search offers it: the sheet opens where the page is chosen.
    w.key(Key::letter, 'H', true);
    CHECK(w.view().sheet == Sheet::job);
    see(w, "Make the customer's page");
    w.press("page A4");
    w.press("Make the customer's page");
    CHECK(w.loop->notice() == "The customer's page is being made ...");
    w.press("Make the customer's page");
    CHECK(w.loop->notice().find("being made already") != std::string::npos);
    const std::string words = told(w, maker);
    const fs::path file = home.documents / (page_name(w.document()) + ".pdf");
    CHECK(words == "Customer's page saved: " + file.string());
    CHECK(bytes_of(file).compare(0, 5, "%PDF-") == 0);
    const std::string first = bytes_of(file);

    w.press("page For a browser");
    w.press("page Español");
    w.press("Make the customer's page");
    const fs::path page = home.documents / (page_name(w.document()) + ".html");
    CHECK(told(w, maker) == "Customer's page saved: " + page.string());
    CHECK(bytes_of(page).find("lang=\"es\"") != std::string::npos);

    w.press("page To print (PDF)");
    w.press("Make the customer's page");
    CHECK(told(w, maker) ==
          "Customer's page saved: " + (home.documents / (page_name(w.document()) + "-2.pdf")).string());
    CHECK(bytes_of(file) == first);
    CHECK(work_folders() == before); // nothing of the job is left lying about
    CHECK(w.document().job == demo_job());
}

TEST_CASE("customer's page: why there is none is said, whatever happened to the program") {
    const Home home;
    const auto with = [&](const fs::path& what, const std::function<void(PageOrder&)>& spoil) {
        PageMaker maker(what);
        PageOrder order;
        order.job = demo_job();
        order.folder = home.documents;
        order.name = "page";
        spoil(order);
        REQUIRE(maker.begin(std::move(order)).empty());
        for (int i = 0; i < 12000 && maker.busy(); ++i)
            std::this_thread::sleep_for(std::chrono::milliseconds(10));
        const auto news = maker.take_news();
        REQUIRE(news);
        CHECK(news->compare(0, 27, "No customer's page was made") == 0);
        return *news;
    };
    const auto script = [&](const std::string& text) {
        const fs::path file = home.folder / "program";
        std::ofstream(file) << "#!/bin/sh\n" << text << '\n';
        fs::permissions(file, fs::perms::owner_all);
        return file;
    };
    const auto nothing = [](PageOrder&) {};
    CHECK(with(home.folder / "not there", nothing).find("could not be started") != std::string::npos);
    CHECK(with(script("kill -KILL $$"), nothing).find("signal 9") != std::string::npos);
    CHECK(with(script("echo 'ringland handout: no ink' >&2; exit 1"), nothing).find(": no ink") != std::string::npos);
    CHECK(with(script("exit 0"), nothing).find("gave no reason") != std::string::npos);
    // The program's own words: a map that is none.
    CHECK(with(program, [](PageOrder& order) { order.job.map_toml = "[unit"; }).find(":1:") != std::string::npos);
    CHECK(with(program, [](PageOrder& order) { order.folder = "/no/such/folder"; }).find("/no/such/folder") !=
          std::string::npos);
    CHECK(fs::is_empty(home.documents));
}

TEST_CASE("customer's page: a window that closes waits for it") {
    const Home home;
    {
        PageMaker maker(program);
        PageOrder order;
        order.job = demo_job();
        order.folder = home.documents;
        order.name = "page";
        REQUIRE(maker.begin(std::move(order)).empty());
    }
    CHECK(bytes_of(home.documents / "page.pdf").compare(0, 5, "%PDF-") == 0);
}

TEST_CASE("customer's page: without a job the key says so") {
    RealLoop w(demo);
    w.key(Key::letter, 'H', true);
    CHECK(w.view().sheet == Sheet::drawing);
    w.frame();
    const auto& things = w.interface.layout().things;
    CHECK(std::any_of(things.begin(), things.end(), [](const Placed& thing) {
        return thing.label.find("There is no job to make a page of") != std::string::npos;
    }));
}

TEST_CASE("customer's page: its file is called by unit and number, whatever is written there") {
    Document document;
    document.map.unit.id = "larch-five";
    CHECK(page_name(document) == "larch-five");
    document.job.head.number = "../2031/7 a\\b";
    CHECK(page_name(document) == "larch-five-..-2031-7-a-b");
    document.job.head.number = std::string(300, 'x');
    CHECK(page_name(document).size() == 80);
    document.job.head.number.clear();
    for (int i = 0; i < 100; ++i)
        document.job.head.number += "ñ";
    const std::string name = page_name(document);
    CHECK(name.size() <= 80);
    CHECK((static_cast<unsigned char>(name.back()) & 0xC0U) == 0x80U);
    CHECK(name.substr(name.size() - 2) == "ñ");
}

TEST_CASE("the shop's name is written in the window, kept in its file, and stands at the head of the page") {
    const Home home;
    RealLoop w(demo);
    PageMaker maker(program);
    w.loop->use_page_maker(&maker);
    w.loop->use_sign(sign_of_user(), choose_sign().sign);
    REQUIRE(w.bench.open_job(demo_job(), w.now_s).empty());
    w.key(Key::letter, 'J');
    see(w, "Make the customer's page");
    w.press("field shop name");
    w.frame();
    for (const char c : std::string("Millrace Works"))
        w.loop->event(input::Text{static_cast<unsigned>(c)});
    w.frame();
    w.frame();
    CHECK_FALSE(fs::exists(sign_of_user())); // not letter by letter
    w.key(Key::enter);
    w.frame();
    w.frame();
    CHECK(choose_sign().sign.name == "Millrace Works");
    w.press("page For a browser");
    w.press("Make the customer's page");
    static_cast<void>(told(w, maker));
    CHECK(bytes_of(home.documents / (page_name(w.document()) + ".html")).find("Millrace Works") != std::string::npos);
    // A file that cannot be read is said to be wrong, and is no sign.
    std::ofstream(sign_of_user()) << "[shop\n";
    CHECK_FALSE(choose_sign().good);
    CHECK(choose_sign().sign == model::ShopSign{});
}

TEST_CASE("the way in as a work sheet: from the button to a PDF in the documents, twice without replacing") {
    const Home home;
    RealLoop w(demo);
    w.bench.dispatch(command::Select{{model::SubjectKind::seal, "R3"}}, w.now_s);
    w.bench.dispatch(command::ShowSheet{Sheet::plan}, w.now_s);
    for (int i = 0; i < 200; ++i) {
        w.frame();
        if (w.bench.derived().way && w.bench.derived().way->plan.proof) break;
    }
    REQUIRE(w.bench.derived().way);
    w.press("print work sheet");
    const fs::path file = home.documents / (page_name(w.document()) + "-work-sheet.pdf");
    CHECK(w.loop->notice() == "Work sheet saved: " + file.string());
    CHECK(bytes_of(file).compare(0, 5, "%PDF-") == 0);
    w.press("print work sheet");
    CHECK(fs::exists(home.documents / (page_name(w.document()) + "-work-sheet-2.pdf")));
    fs::permissions(home.documents, fs::perms::owner_read | fs::perms::owner_exec);
    if (std::ofstream(home.documents / "probe")) return; // the superuser may write anywhere
    w.press("print work sheet");
    CHECK(w.loop->notice().find("No work sheet was made: ") == 0);
}
