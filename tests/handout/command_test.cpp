// The commands themselves: retest, handout, and the card of cover.
#include <algorithm>
#include <cstdlib>

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "said.h"

using namespace ringland::test;

namespace {

const std::string ringland_program = RINGLAND_BINARY_DIR "/ringland";
const std::string job_file = RINGLAND_SOURCE_DIR "/assets-demo/larch-five-job.json";

/// Exit code and all that was said.
std::pair<int, std::string> tried(const std::string& arguments) {
    std::string text = said(fmt::format("'{}' {} 2>&1; echo \"exit $?\"", ringland_program, arguments));
    const auto at = text.rfind("exit ");
    return {std::stoi(text.substr(at + 5)), text.substr(0, at)};
}

} // namespace

TEST_CASE("retest answers in words and for programs") {
    const auto words = tried(fmt::format("retest '{}'", job_file));
    CHECK(words.first == 0);
    for (const char* part :
         {"R3     Ring 3 of 5 on the input shaft", "renewed, cleared", "128 more places", "The fault is gone: 94 %"})
        CHECK_MESSAGE(words.second.find(part) != std::string::npos, part);
    const auto json = nlohmann::json::parse(said(fmt::format("'{}' retest '{}' --json", ringland_program, job_file)));
    CHECK(json["rows"].size() == 132);
    CHECK(json["seals"][0]["id"] == "R3");
    CHECK(json["seals"][0]["cleared"] == true);
    CHECK(json["gone"].get<double>() > json["gone_by_parts"].get<double>());
    CHECK(json["has_after"] == true);
    const auto louder = std::count_if(json["rows"].begin(), json["rows"].end(),
                                      [](const nlohmann::json& row) { return row["before_is"] == "more"; });
    CHECK(louder == 3);
}

TEST_CASE("handout makes what its ending says, and refuses what it cannot make") {
    const auto folder = fresh_folder("command");
    const auto page = folder / "page.html";
    const auto made =
        tried(fmt::format("handout '{}' -o '{}' --language es --units bar-mm --no-model", job_file, page.string()));
    CAPTURE(made.second);
    CHECK(made.first == 0);
    CHECK(bytes_of(page).find("lang=\"es\"") != std::string::npos);
    CHECK(bytes_of(page).find("<script") == std::string::npos);
    CHECK(tried(fmt::format("handout '{}' -o '{}/page.odt'", job_file, folder.string())).first == 2);
    CHECK(tried(fmt::format("handout '{}' -o '{}/page.pdf' --paper napkin", job_file, folder.string())).first == 2);
    CHECK(tried(fmt::format("handout '{}' -o '{}/page.pdf' --language xx", job_file, folder.string())).first == 2);
    CHECK(tried(fmt::format("handout '{}/nowhere.json' -o '{}/page.pdf'", folder.string(), folder.string())).first ==
          1);
    CHECK(tried(fmt::format("handout '{}' -o '{}/page.pdf'", RINGLAND_SOURCE_DIR "/assets-demo/larch-five.toml",
                            folder.string()))
              .first == 1);
    CHECK(!std::filesystem::exists(folder / "page.pdf"));
}

TEST_CASE("cover prints its card into a PDF and nothing else") {
    const auto folder = fresh_folder("card-command");
    const std::string map = RINGLAND_SOURCE_DIR "/assets-demo/wren-three.toml";
    CHECK(tried(fmt::format("cover '{}' --card '{}/card.pdf' --units bar-mm", map, folder.string())).first == 0);
    CHECK(pdf_text(folder / "card.pdf").find("1.74 mm") != std::string::npos);
    const auto text = tried(fmt::format("cover '{}' --card", map));
    CHECK(text.first == 0);
    CHECK(text.second.find("BENCH CARD") != std::string::npos);
    CHECK(tried(fmt::format("cover '{}' --card card.txt", map)).first == 2);
}
