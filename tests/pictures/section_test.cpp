// The section of a stack as a vector drawing: what is on it, and that nothing on it collides.
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <regex>
#include <set>

#include <unistd.h>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "../../viewer/platform/section_svg.h"
#include "demo.h"

using namespace ringland;
using namespace ringland::tests;
using namespace ringland::viewer;

namespace {

namespace fs = std::filesystem;

/// A map of one stack with so many circuits; the first is called by hard letters.
std::string long_stack(int circuits, const std::string& name) {
    std::string row = "pump end", ports;
    for (int i = 0; i < circuits; ++i) {
        const std::string circuit = i == 0 ? name : fmt::format("Circuit {}", i + 1);
        row += " | " + circuit;
        ports += fmt::format("[[port]]\ncircuit = '''{}'''\n", circuit);
    }
    return fmt::format("[unit]\nname = '''{} & <\"unit\"> 落葉松'''\n[[stack]]\nname = '''{}'''\nrow = '''{} | drum "
                       "end'''\n{}",
                       name, name, row, ports);
}

struct DrawnSection {
    std::string name;
    SectionPlan plan;
    std::string svg;
    PictureSpec spec;
    std::size_t rings;
    bool suspect;
};

DrawnSection draw(const std::string& path, const std::vector<std::string>& commands, PictureSpec spec) {
    auto bench = picture_bench(path, commands, spec.width, spec.height);
    const auto plan = plan_section(bench.session(), bench.derived(), spec);
    REQUIRE(plan);
    std::size_t rings = 0;
    bool suspect = false;
    for (const auto& stack : bench.derived().layout.stacks) {
        for (const auto& ring : stack.rings) {
            const bool here = std::any_of(plan->pieces.begin(), plan->pieces.end(),
                                          [&](const auto& piece) { return piece.id == "ring-" + ring.seal; });
            rings += here ? 1 : 0;
            suspect = suspect || (here && ring.seal == bench.derived().suspect);
        }
    }
    return {path, *plan, section_svg(*plan, spec, bench.session().view.theme), spec, rings, suspect};
}

fs::path own_file(const std::string& name) {
    return fs::temp_directory_path() / fmt::format("ringland-section-{}-{}", ::getpid(), name);
}

/// Sections of all demo units with and without a question, of long stacks and hard names, at several shapes of page.
std::vector<DrawnSection> all_drawn() {
    std::vector<DrawnSection> drawn;
    for (const auto& [width, height] :
         {std::pair{1920, 1080}, std::pair{640, 480}, std::pair{600, 1400}, std::pair{1600, 300}}) {
        PictureSpec spec;
        spec.width = width;
        spec.height = height;
        for (const auto& unit : demo_units())
            drawn.push_back(draw(demo_path(unit), {"show-view stack"}, spec));
        drawn.push_back(draw(demo_path("larch-five"), {"air-into P3", "came-out P4"}, spec));
        drawn.push_back(draw(demo_path("larch-five"), {"set-theme dark", "select seal R7"}, spec));
        drawn.push_back(draw(demo_path("heron-shift"), {"set-theme dark", "set-lying tail-down"}, spec));
        for (const int circuits : {1, 2, 14}) {
            const fs::path file = own_file("long.toml");
            std::ofstream(file) << long_stack(circuits, "Ütközés & <b>\"Q\"</b> 落葉松 'é'");
            drawn.push_back(draw(file.string(), {}, spec));
            fs::remove(file);
        }
    }
    return drawn;
}

std::vector<std::string> all_matches(const std::string& text, const char* pattern) {
    std::vector<std::string> found;
    const std::regex regex(pattern);
    for (std::sregex_iterator it(text.begin(), text.end(), regex), end; it != end; ++it)
        found.push_back((*it)[1]);
    return found;
}

double turn(const glm::dvec2& a, const glm::dvec2& b, const glm::dvec2& c) {
    return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
}
bool cross(const glm::dvec2& a, const glm::dvec2& b, const glm::dvec2& c, const glm::dvec2& d) {
    return turn(a, b, c) * turn(a, b, d) < 0 && turn(c, d, a) * turn(c, d, b) < 0;
}

/// What is wrong with the places of the labels; empty where nothing is.
std::vector<std::string> collisions(const SectionPlan& plan) {
    std::vector<std::string> wrong;
    for (std::size_t i = 0; i < plan.labels.size(); ++i) {
        const auto& a = plan.labels[i];
        if (a.box.x0 < 0 || a.box.y0 < 0 || a.box.x1 > plan.width || a.box.y1 > plan.height)
            wrong.push_back(a.id + " hangs over the page");
        if (!a.on && overlap(a.box, plan.drawing)) wrong.push_back(a.id + " lies on the drawing");
        for (const auto& cell : plan.legend) {
            const double width = 32 + wide_text_width(cell.name, 15);
            if (overlap(a.box, {cell.at.x, cell.at.y - 2, cell.at.x + width, cell.at.y + 20}))
                wrong.push_back(a.id + " and " + cell.id);
        }
        for (std::size_t j = 0; j < plan.labels.size(); ++j) {
            const auto& b = plan.labels[j];
            if (j < i && overlap(a.box, b.box)) wrong.push_back(a.id + " and " + b.id);
            for (std::size_t s = 0; j != i && s + 1 < b.leader.size(); ++s) {
                const glm::dvec2 from = b.leader[s], to = b.leader[s + 1];
                for (int step = 0; step <= 100; ++step) {
                    const glm::dvec2 p = from + (to - from) * (step / 100.0);
                    if (p.x > a.box.x0 && p.x < a.box.x1 && p.y > a.box.y0 && p.y < a.box.y1) {
                        wrong.push_back("the line of " + b.id + " through " + a.id);
                        break;
                    }
                }
                for (std::size_t t = 0; j < i && t + 1 < a.leader.size(); ++t) {
                    if (cross(from, to, a.leader[t], a.leader[t + 1]))
                        wrong.push_back("lines of " + a.id + " and " + b.id);
                }
            }
        }
    }
    return wrong;
}

} // namespace

TEST_CASE("the check of the section's labels finds what is wrong") {
    SectionPlan plan;
    plan.width = 100;
    plan.height = 100;
    SectionLabel a, b;
    a.id = "a";
    a.box = {10, 10, 30, 20};
    a.leader = {{5, 60}, {90, 62}};
    b.id = "b";
    b.box = {25, 15, 40, 30};
    b.leader = {{35, 90}, {35, 25}};
    plan.labels = {a, b};
    CHECK(collisions(plan) == std::vector<std::string>{"b and a", "lines of b and a"});
    plan.labels[1].box = {60, 55, 120, 70};
    CHECK(collisions(plan) ==
          std::vector<std::string>{"b hangs over the page", "the line of a through b", "lines of b and a"});
}

TEST_CASE("no label of a section touches another, the drawing or the border, and no leader crosses one") {
    for (const auto& drawn : all_drawn()) {
        CAPTURE(drawn.name);
        CAPTURE(drawn.spec.width);
        CAPTURE(drawn.spec.height);
        const auto wrong = collisions(drawn.plan);
        CHECK_MESSAGE(wrong.empty(), fmt::format("{}", fmt::join(wrong, "; ")));
        CHECK(drawn.plan.width / drawn.plan.height == doctest::Approx(double(drawn.spec.width) / drawn.spec.height));
    }
}

TEST_CASE("a section shows every ring with its place from both ends, every circuit, and the suspect alone outlined") {
    for (const auto& drawn : all_drawn()) {
        CAPTURE(drawn.name);
        const auto& pieces = drawn.plan.pieces;
        const auto count = [&](SectionFill fill) {
            return std::size_t(
                std::count_if(pieces.begin(), pieces.end(), [&](const auto& p) { return p.fill == fill; }));
        };
        CHECK(count(SectionFill::ring) == drawn.rings);
        CHECK(count(SectionFill::carrier) == 1);
        CHECK(count(SectionFill::bore) == 1);
        CHECK(count(SectionFill::circuit) >= drawn.rings + 1); // between each two, and outside of both ends
        std::size_t ring_labels = 0, suspects = 0, outlined = 0;
        for (const auto& label : drawn.plan.labels) {
            suspects += label.suspect ? 1 : 0;
            if (label.lines.size() != 3) continue;
            ++ring_labels;
            int first = 0, second = 0;
            REQUIRE(std::sscanf(label.lines[1].text.c_str(), "%d", &first) == 1);
            REQUIRE(std::sscanf(label.lines[2].text.c_str(), "%d", &second) == 1);
            CHECK(std::size_t(first + second) == drawn.rings + 1);
        }
        for (const auto& piece : pieces)
            outlined += piece.suspect ? 1 : 0;
        CHECK(ring_labels == drawn.rings);
        CHECK(suspects == (drawn.suspect ? 1 : 0));
        CHECK(outlined == suspects);
    }
}

TEST_CASE("rings sit in their grooves with the spaces of both circuits beside them, and never over them") {
    for (const auto& drawn : all_drawn()) {
        CAPTURE(drawn.name);
        const auto box_of = [](const SectionPiece& piece) {
            LabelBox box{1e9, 1e9, -1e9, -1e9};
            for (const auto& p : piece.outline)
                box = {std::min(box.x0, p.x), std::min(box.y0, p.y), std::max(box.x1, p.x), std::max(box.y1, p.y)};
            return box;
        };
        std::vector<LabelBox> rings;
        for (const auto& piece : drawn.plan.pieces) {
            if (piece.fill == SectionFill::ring) rings.push_back(box_of(piece));
        }
        for (const auto& piece : drawn.plan.pieces) {
            if (piece.id.compare(0, 6, "space-") != 0) continue;
            for (const auto& ring : rings) { // no corner of a space inside a ring
                for (const auto& p : piece.outline) {
                    const bool inside =
                        p.x > ring.x0 + 1e-6 && p.x < ring.x1 - 1e-6 && p.y > ring.y0 + 1e-6 && p.y < ring.y1 - 1e-6;
                    CHECK(!inside);
                }
            }
        }
        for (const auto& a : rings) {
            CHECK(a.y1 - a.y0 > 8); // can be seen
            for (const auto& b : rings)
                CHECK((&a == &b || !overlap(a, b)));
        }
    }
}

TEST_CASE("the SVG is well formed whatever the names, its ids are unique, and what it refers to is there") {
    int at = 0;
    for (const auto& drawn : all_drawn()) {
        CAPTURE(drawn.name);
        const auto ids = all_matches(drawn.svg, " id=\"([^\"]*)\"");
        const std::set<std::string> unique(ids.begin(), ids.end());
        CHECK(unique.size() == ids.size());
        CHECK(ids.size() > 10);
        for (const auto& used : all_matches(drawn.svg, "url\\(#([^)]*)\\)"))
            CHECK_MESSAGE(unique.count(used) == 1, used);
        const std::size_t texts = all_matches(drawn.svg, "<(text) ").size();
        std::size_t lines = drawn.plan.legend.size();
        for (const auto& label : drawn.plan.labels)
            lines += label.lines.size();
        CHECK(texts == lines);
        const fs::path file = own_file(fmt::format("{}.svg", at++));
        std::ofstream(file, std::ios::binary) << drawn.svg;
        CHECK(std::system(fmt::format("xmllint --noout --nonet '{}'", file.string()).c_str()) == 0);
        fs::remove(file);
    }
}

TEST_CASE("another program draws the words no wider than the room that was kept for them") {
    PictureSpec spec;
    const auto drawn = draw(demo_path("larch-five"), {"air-into P3", "came-out P4"}, spec);
    const fs::path file = own_file("words.svg"), png = own_file("words.png");
    std::ofstream(file, std::ios::binary) << drawn.svg;
    int measured = 0;
    for (const auto& label : drawn.plan.labels) {
        const auto command =
            fmt::format("rsvg-convert --export-id={} -o '{}' '{}'", label.id, png.string(), file.string());
        REQUIRE(std::system(command.c_str()) == 0);
        std::string error;
        const Image image = read_png(png.string(), error);
        REQUIRE_MESSAGE(error.empty(), error);
        CAPTURE(label.id);
        const double border = label.suspect ? 14 : 3; // its frame, and the edges of pixels
        CHECK(image.width <= (label.box.x1 - label.box.x0 + border));
        CHECK(image.height <= (label.box.y1 - label.box.y0 + border));
        ++measured;
    }
    CHECK(measured > 15);
    fs::remove(file);
    fs::remove(png);
}

TEST_CASE("title, labels and legend can be left out of a section, and the ground too") {
    PictureSpec spec;
    const std::vector<std::string> question{"air-into P3", "came-out P4"};
    const auto all = draw(demo_path("larch-five"), question, spec);
    CHECK(all.svg.find("id=\"ground\"") != std::string::npos);
    CHECK(all.svg.find("id=\"legend\"") != std::string::npos);
    spec.title = spec.labels = spec.legend = false;
    spec.ground = PictureGround::clear;
    const auto bare = draw(demo_path("larch-five"), question, spec);
    CHECK(bare.svg.find("<text") == std::string::npos);
    CHECK(bare.svg.find("id=\"ground\"") == std::string::npos);
    CHECK(bare.svg.find("id=\"legend\"") == std::string::npos);
    CHECK(bare.plan.pieces.size() == all.plan.pieces.size());
    const auto wide = [](const DrawnSection& d) { return (d.plan.drawing.x1 - d.plan.drawing.x0) / d.plan.width; };
    CHECK(wide(bare) > wide(all)); // the room goes to the drawing
    spec.ground = PictureGround::white;
    spec.line_weight = 2;
    const auto heavy = draw(demo_path("larch-five"), question, spec);
    CHECK(heavy.svg.find("fill=\"#ffffff\"/>") != std::string::npos);
    CHECK(heavy.svg.find("stroke-width=\"2.60\"") != std::string::npos);
}
