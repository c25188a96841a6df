// The page for a browser: opened in a headless one without a network.
#include <cstdlib>

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "../../viewer/handout/handout_html.h"
#include "../demo_job.h"
#include "said.h"

using namespace ringland;
using namespace ringland::test;
using ringland::tests::demo_job;
using viewer::Exit;

namespace {

nlohmann::json opened(const std::filesystem::path& file, const char* more = "") {
    return nlohmann::json::parse(
        said(fmt::format("RINGLAND_NPM='{}/npm' node '{}/tests/handout/page.mjs' '{}' '{}' {}", RINGLAND_BINARY_DIR,
                         RINGLAND_SOURCE_DIR, file.string(), file.parent_path().string(), more)));
}

void holds_all_it_needs(const nlohmann::json& page) {
    CHECK(page["asked"].empty());
    CHECK(page["complaints"].empty());
    CHECK(page["foreign"] == 0);
    for (const auto& over : page["over_the_edge"])
        CHECK(over == 0);
}

} // namespace

TEST_CASE("the page asks the network for nothing, fits phones and desks, and its model turns under a drag") {
    REQUIRE(viewer::has_model_script());
    const auto file = fresh_folder("browser") / "page.html";
    viewer::HandoutOptions options;
    options.file = file.string();
    options.shop = "Millrace Gearbox Works (invented)";
    REQUIRE(viewer::make_handout(demo_job(), options) == Exit::answered);
    const auto page = opened(file);
    holds_all_it_needs(page);
    CHECK(page["turned"].get<double>() > 0.3); // radians
    CHECK(page["looks_other"] == true);
    CHECK(page["bytes_of_picture"].get<int>() > 40000); // an empty ground is far smaller
    const std::string text = page["text"];
    for (const char* fact : {"Ring 3 of 5 on the input shaft", "3rd from the pump end · 3rd from the drum end",
                             "R3 was found damaged", "LF-R-103", "at all 132 places"})
        CHECK_MESSAGE(text.find(fact) != std::string::npos, fact);
}

TEST_CASE("what somebody types is text and never part of the page") {
    model::Job job = demo_job();
    const std::string bad = "\"><script>alert(1)</script><img src=x onerror=alert(2)></style><!--&lt;'";
    job.head.customer = job.head.number = job.head.complaint = job.head.conclusion = job.head.who = bad;
    job.findings[0].seen = bad;
    job.renewed[0].note = bad;
    job.renewed[5].what = job.renewed[5].part_number = bad;
    const auto file = fresh_folder("hostile") / "page.html";
    viewer::HandoutOptions options;
    options.file = file.string();
    options.shop = bad;
    options.no_model = true;
    REQUIRE(viewer::make_handout(job, options) == Exit::answered);
    const std::string html = bytes_of(file);
    CHECK(html.find("<script") == std::string::npos);
    CHECK(html.find("<img src=x") == std::string::npos);
    const auto page = opened(file, "no-model");
    holds_all_it_needs(page);
    CHECK(page["scripts"] == 0);
    const std::string text = page["text"];
    std::size_t seen = 0;
    for (auto at = text.find(bad); at != std::string::npos; at = text.find(bad, at + 1))
        ++seen;
    CHECK(seen >= 8);
}

TEST_CASE("escaping and base64 are those of their standards") {
    CHECK(viewer::html_escaped("a<b>&\"'c\x01") == "a&lt;b&gt;&amp;&quot;&#39;c");
    // RFC 4648, section 10.
    const std::pair<const char*, const char*> known[] = {{"", ""},
                                                         {"f", "Zg=="},
                                                         {"fo", "Zm8="},
                                                         {"foo", "Zm9v"},
                                                         {"foob", "Zm9vYg=="},
                                                         {"fooba", "Zm9vYmE="},
                                                         {"foobar", "Zm9vYmFy"}};
    for (const auto& one : known)
        CHECK(viewer::base64(one.first) == one.second);
}
