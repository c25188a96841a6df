// What a moving frame leaves out, how it is filled in at rest, and that nobody waits for it.
#include <doctest/doctest.h>

#include <chrono>
#include <cmath>
#include <optional>
#include <set>
#include <string>
#include <thread>
#include <vector>

#include <epoxy/gl.h>
#include <glm/geometric.hpp>

#include "../../viewer/platform/picture.h"
#include "../../viewer/render/front_faces.h"
#include "../../viewer/render/quick_scene.h"
#include "../../viewer/render/renderer.h"
#include "../../viewer/render/visible_lines.h"
#include "../demo_maps.h"
#include "real_loop.h"

using namespace ringland;
using namespace ringland::viewer;

namespace {

using Bytes = std::vector<std::uint8_t>;

/// The demo unit drawn straight into a frame, without panels.
struct UnitStage {
    static constexpr int width = 640, height = 360;
    OffscreenContext context; // first: the others need it to their end
    Workbench bench;
    Renderer renderer;
    ColourTarget target{width, height};
    FrameSpec spec;

    explicit UnitStage(Viewpoint viewpoint) {
        std::string why;
        REQUIRE_MESSAGE(bench.open(tests::demo, why), why);
        bench.set_aspect(static_cast<double>(width) / height);
        bench.dispatch(command::ShowView{viewpoint}, 0);
        spec.width = width;
        spec.height = height;
        spec.drawing = {0, 0, width, height};
        spec.now_s = 10;
    }
    /// True when the picture is finished.
    bool draw(Renderer& by, bool still, double slice_s = 0) {
        spec.still = still;
        spec.slice_s = slice_s;
        return by.draw(target.framebuffer(), bench.session(), bench.derived(), spec);
    }
    bool draw(bool still, double slice_s = 0) { return draw(renderer, still, slice_s); }
    [[nodiscard]] Bytes pixels() const {
        Bytes rgba(static_cast<std::size_t>(width) * height * 4);
        target.read(width, height, rgba.data());
        return rgba;
    }
    /// What a program that was never moved shows.
    [[nodiscard]] Bytes at_once() {
        Renderer fresh;
        REQUIRE(draw(fresh, true));
        return pixels();
    }
    /// As many slices as it takes, each as short as can be; what is seen meanwhile is checked against `meanwhile`.
    int finish(const Bytes& meanwhile) {
        for (int slices = 1; slices < 500; ++slices) {
            if (draw(true, 1e-9)) return slices;
            if (pixels() != meanwhile) FAIL("a half finished picture was seen after slice ", slices);
        }
        FAIL("it does not come to an end");
        return 0;
    }
    void turn(double degrees) {
        spec.now_s += 10;
        bench.dispatch(command::Orbit{degrees, 0}, spec.now_s - 5);
    }
};

/// Pixels of one picture that are not of the colour behind everything, and those of only one of two.
struct Outlines {
    int either = 0, one_only = 0;
};
Outlines compare(const Bytes& a, const Bytes& b) {
    const auto stands_out = [](const Bytes& rgba, std::size_t i) { // before pure magenta, and glass before it does not
        return std::min(rgba[i], rgba[i + 2]) - rgba[i + 1] < 64;
    };
    Outlines found;
    for (std::size_t i = 0; i < a.size(); i += 4) {
        const bool in_a = stands_out(a, i), in_b = stands_out(b, i);
        found.either += in_a || in_b;
        found.one_only += in_a != in_b;
    }
    return found;
}

/// A tube about the x axis.
model::Shape tube_shape(double x0, double x1, double inner, double outer, model::SectionRule rule) {
    constexpr int steps = 48;
    const auto at = [](double x, double r, int k) {
        const double angle = 6.283185307179586 * (k % steps) / steps;
        return glm::vec3(x, r * std::cos(angle), r * std::sin(angle));
    };
    std::vector<glm::vec3> corners;
    const double ring[4][2] = {{x0, outer}, {x1, outer}, {x1, inner}, {x0, inner}};
    for (int i = 0; i < 4; ++i) {
        const double *a = ring[i], *b = ring[(i + 1) % 4];
        for (int k = 0; k < steps; ++k) {
            const glm::vec3 quad[4] = {at(a[0], a[1], k), at(b[0], b[1], k), at(b[0], b[1], k + 1),
                                       at(a[0], a[1], k + 1)};
            for (const int c : {0, 2, 1, 0, 3, 2})
                corners.push_back(quad[c]);
        }
    }
    model::Shape shape;
    shape.section = rule;
    shape.mesh = model::finish_mesh(corners, 30);
    return shape;
}

using Triangle = std::array<std::uint32_t, 3>;

std::multiset<Triangle> triangles_of(const FaceLists& lists, const FaceLists::Range& range) {
    std::multiset<Triangle> found;
    for (std::size_t i = range.first; i < range.first + range.count; i += 3)
        found.insert({lists.indices[i], lists.indices[i + 1], lists.indices[i + 2]});
    return found;
}

} // namespace

TEST_CASE("a moving picture has the outline of the one at rest") {
    // Into the cut, and from behind, where nothing is open. Glass has no outline to speak of.
    for (const double from_deg : {0.0, 150.0}) {
        UnitStage stage(Viewpoint::section);
        stage.turn(from_deg);
        stage.spec.even_ground = FrameSpec::EvenGround{{1, 0, 1}, 0};
        stage.draw(true);
        const Bytes rest = stage.pixels();
        stage.turn(0.5);
        stage.draw(false);
        const Outlines turned = compare(rest, stage.pixels());
        stage.turn(-0.5);
        stage.draw(false);
        const Outlines same = compare(rest, stage.pixels());
        MESSAGE("of ", same.either, " pixels ", same.one_only, " are in one outline only; ", turned.one_only,
                " after half a degree");
        REQUIRE(same.either > 20000);
        CHECK(same.one_only < same.either / 100);
        CHECK(turned.one_only > same.one_only); // it does see a difference where there is one
    }
}

/// Mean difference of two pictures, in steps of 255, where a mask picture differs from another by much.
struct Difference {
    double mean = 0;
    int pixels = 0;
};
Difference difference(const Bytes& a, const Bytes& b, const Bytes& mask_a, const Bytes& mask_b) {
    const auto off = [](const Bytes& one, const Bytes& other, std::size_t i) {
        int sum = 0;
        for (std::size_t k = 0; k < 3; ++k)
            sum += std::abs(static_cast<int>(one[i + k]) - static_cast<int>(other[i + k]));
        return sum;
    };
    Difference found;
    double sum = 0;
    for (std::size_t i = 0; i < a.size(); i += 4) {
        if (off(mask_a, mask_b, i) < 60) continue;
        ++found.pixels;
        sum += off(a, b, i) / 3.0;
    }
    found.mean = sum / std::max(found.pixels, 1);
    return found;
}

TEST_CASE("a moving picture has the colours of the one at rest, and what is asked about shows through in both") {
    for (const auto viewpoint : {Viewpoint::bench, Viewpoint::section, Viewpoint::stack}) {
        UnitStage stage(viewpoint);
        const Bytes black(static_cast<std::size_t>(UnitStage::width) * UnitStage::height * 4, 0);
        stage.draw(true);
        const Bytes rest = stage.pixels();
        stage.turn(0.01);
        stage.draw(false);
        const Bytes moving = stage.pixels();
        const auto all = difference(rest, moving, rest, black);
        MESSAGE("mean difference ", all.mean);
        CHECK(all.pixels > 100'000);
        CHECK(all.mean < 8); // the soft shade in the corners comes at rest
        if (viewpoint != Viewpoint::bench) continue;
        stage.spec.hover = {model::SubjectKind::circuit, stage.bench.session().document.map.circuits.front().id};
        stage.draw(true);
        const Bytes touched_rest = stage.pixels();
        stage.turn(0.01);
        stage.draw(false);
        const auto still = difference(touched_rest, rest, touched_rest, rest);
        const auto differs = difference(touched_rest, stage.pixels(), touched_rest, rest);
        MESSAGE("where it shows it shows by ", still.mean, " on ", still.pixels, " pixels, moving off by ",
                differs.mean);
        CHECK(still.pixels > 300);
        CHECK(differs.mean < 0.75 * still.mean); // lines are inked over it, at rest it goes over them
    }
}

TEST_CASE("what is finished in slices is the picture drawn at once") {
    for (const auto viewpoint : {Viewpoint::bench, Viewpoint::section}) {
        UnitStage stage(viewpoint);
        stage.draw(true);
        stage.turn(25);
        stage.draw(false);
        const Bytes moving = stage.pixels();
        const int slices = stage.finish(moving);
        const Bytes rest = stage.pixels();
        CHECK(slices > 5); // short ones, so that the hand is heard between them
        CHECK(rest != moving);
        CHECK(rest == stage.at_once());
        // Once it is finished nothing more is done.
        const auto before = stage.renderer.figures().finished;
        CHECK(stage.draw(true, 1e-9));
        CHECK(stage.renderer.figures().finished == before);
        CHECK(stage.pixels() == rest);
    }
}

TEST_CASE("a view that nothing was shown of is shown in haste before its slices") {
    UnitStage stage(Viewpoint::bench);
    stage.draw(true);
    const Bytes before = stage.pixels();
    stage.turn(25);
    CHECK_FALSE(stage.draw(true, 1e-9));
    const Bytes shown = stage.pixels();
    CHECK(shown != before);
    stage.finish(shown);
    const Bytes rest = stage.pixels();
    CHECK(rest == stage.at_once());
}

TEST_CASE("what only changes colours leaves the old picture until the new one is finished") {
    UnitStage stage(Viewpoint::section);
    stage.draw(true);
    const Bytes plain = stage.pixels();
    stage.spec.hover = {model::SubjectKind::seal, "R3"};
    stage.finish(plain);
    const Bytes touched = stage.pixels();
    CHECK(touched != plain);
    CHECK(touched == stage.at_once());
}

TEST_CASE("slices that are broken off leave nothing behind") {
    UnitStage stage(Viewpoint::section);
    stage.draw(true);
    for (int broken_after = 1; broken_after < 16; broken_after += 3) {
        stage.turn(7);
        stage.draw(false);
        for (int i = 0; i < broken_after; ++i)
            REQUIRE_FALSE(stage.draw(true, 1e-9));
        // Another colour, then another view, then another half.
        stage.spec.hover = {model::SubjectKind::seal, broken_after % 2 == 0 ? "R3" : "R2"};
        REQUIRE_FALSE(stage.draw(true, 1e-9));
        stage.turn(-3);
        stage.draw(false);
        stage.finish(stage.pixels());
        const Bytes rest = stage.pixels(); // before the other picture goes to the same place
        CHECK(rest == stage.at_once());
    }
}

/// Marks where labels and their leaders are.
void mark_labels(const std::vector<PlacedLabel>& labels, int width, int height, std::vector<char>& marked) {
    const auto mark = [&](double x0, double y0, double x1, double y1) {
        for (int y = std::max(0, static_cast<int>(y0) - 6); y <= std::min(height - 1, static_cast<int>(y1) + 6); ++y) {
            for (int x = std::max(0, static_cast<int>(x0) - 6); x <= std::min(width - 1, static_cast<int>(x1) + 6); ++x)
                marked[static_cast<std::size_t>(y * width + x)] = 1;
        }
    };
    for (const auto& label : labels) {
        if (!label.place.shown) continue;
        mark(label.place.box.x0, label.place.box.y0, label.place.box.x1, label.place.box.y1);
        mark(std::min(label.anchor.x, label.place.joint.x), std::min(label.anchor.y, label.place.joint.y),
             std::max(label.anchor.x, label.place.joint.x), std::max(label.anchor.y, label.place.joint.y));
    }
}

TEST_CASE("the window at rest shows what the picture shows, and then draws no more") {
    // Labels apart: in the window they keep the places from which they came, and a picture places them afresh.
    std::vector<char> marked(static_cast<std::size_t>(tests::RealLoop::width) * tests::RealLoop::height, 0);
    Bytes shown(static_cast<std::size_t>(tests::RealLoop::width) * tests::RealLoop::height * 4);
    std::optional<Workbench> bench;
    {
        tests::RealLoop w(tests::demo);
        w.now_s += 1;
        w.loop->dispatch(command::Orbit{30, 5}, w.now_s);
        const auto before = w.loop->drawings_drawn();
        const double began_s = w.now_s;
        int frames = 0;
        for (; w.loop->next_frame_in_s(w.now_s) < 100; ++frames) {
            REQUIRE(frames < 200);
            w.now_s += std::max(1.0 / 60, w.loop->next_frame_in_s(w.now_s));
            w.loop->frame(w.target.framebuffer(), w.width, w.height, w.now_s);
        }
        CHECK(w.now_s - began_s < 2); // of its own clock: the flight, the wait and the slices
        CHECK(w.loop->drawings_drawn() > before);
        CHECK(w.pass(5) == 0);
        w.target.read(w.width, w.height, shown.data());
        bench.emplace(w.bench);
        mark_labels(w.interface.labels(), w.width, w.height, marked);
        Interface afresh(1);
        afresh.frame(w.bench, w.width, w.height, 1e9, {});
        mark_labels(afresh.labels(), w.width, w.height, marked);
    }
    CHECK(std::count(marked.begin(), marked.end(), 1) < 0.1 * static_cast<double>(marked.size()));
    PictureSpec spec;
    spec.width = tests::RealLoop::width;
    spec.height = tests::RealLoop::height;
    spec.with_interface = true;
    const Image image = make_picture(*bench, spec);
    int different = 0;
    for (int y = 0; y < spec.height; ++y) {
        for (int x = 0; x < spec.width; ++x) {
            const auto a = static_cast<std::size_t>((y * spec.width + x) * 4);
            const auto b = static_cast<std::size_t>(((spec.height - 1 - y) * spec.width + x) * 4);
            bool same = true;
            for (std::size_t k = 0; k < 3; ++k)
                same = same && image.rgba[a + k] == shown[b + k];
            different += !same && marked[static_cast<std::size_t>(y * spec.width + x)] == 0;
        }
    }
    CHECK(different == 0);
}

TEST_CASE("the number of pixels follows the time and does not swing") {
    Sharpness sharpness;
    sharpness.expect(1280 * 720);
    const double first = sharpness.share();
    for (int i = 0; i < 200; ++i)
        sharpness.took((Sharpness::slow_ms + Sharpness::spare_ms) / 2);
    CHECK(sharpness.share() == first);
    sharpness.took(10 * Sharpness::slow_ms); // one hiccup
    for (int i = 0; i < 60; ++i)
        sharpness.took((Sharpness::slow_ms + Sharpness::spare_ms) / 2);
    CHECK(sharpness.share() == first);
    for (int i = 0; i < 20; ++i)
        sharpness.took(2 * Sharpness::slow_ms);
    const double slow = sharpness.share();
    CHECK(slow < first);
    int changes = 0;
    double before = slow;
    for (int i = 0; i < 400; ++i) {
        sharpness.took(Sharpness::spare_ms / 2);
        changes += sharpness.share() != before;
        before = sharpness.share();
    }
    CHECK(sharpness.share() == 1);
    CHECK(changes <= static_cast<int>(Sharpness::shares.size()));
}

TEST_CASE("a moving frame is given every triangle that faces the eye once, and no other") {
    const std::vector<model::Shape> shapes{tube_shape(-60, 60, 30, 40, model::SectionRule::cut),
                                           tube_shape(-80, 80, 2, 20, model::SectionRule::whole)};
    const Edges edges(shapes);
    const FrontFaces faces(shapes, 0);
    for (const double side : {0.0, 1.0, -1.0}) {
        for (const float eye_y : {300.0f, -300.0f}) {
            Sight sight;
            sight.eye = {120, eye_y, 200};
            sight.side = side;
            sight.clip_from_unit = glm::mat4(0);
            sight.clip_from_unit[3][3] = 1; // sees everything
            FaceLists lists;
            faces.collect(lists, sight, edges.boxes());
            std::multiset<Triangle> got;
            for (const auto* range : {&lists.foremost, &lists.cut, &lists.cut_through, &lists.whole})
                got.merge(triangles_of(lists, *range));
            std::multiset<Triangle> wanted;
            std::uint32_t base = 0;
            for (const auto& shape : shapes) {
                const auto& mesh = shape.mesh;
                for (std::size_t t = 0; t < mesh.triangles.size(); t += 3) {
                    const auto* i = &mesh.triangles[t];
                    const auto &a = mesh.positions[i[0]], &b = mesh.positions[i[1]], &c = mesh.positions[i[2]];
                    if (glm::dot(glm::cross(b - a, c - a), sight.eye - a) <= 0) continue;
                    const bool gone = shape.section == model::SectionRule::cut && side != 0 && a.y * side >= 0 &&
                                      b.y * side >= 0 && c.y * side >= 0 &&
                                      (a.y * side > 0 || b.y * side > 0 || c.y * side > 0);
                    if (!gone) wanted.insert({base + i[0], base + i[1], base + i[2]});
                }
                base += static_cast<std::uint32_t>(mesh.positions.size());
            }
            CHECK(wanted.size() > 100);
            CHECK(got == wanted);
            CHECK(triangles_of(lists, lists.inside).empty() == (side == 0 || eye_y * side < 0));
        }
    }
    // Fewer triangles, and still a tube.
    const FrontFaces coarse(shapes, 0.5);
    Sight sight;
    sight.eye = {120, 300, 200};
    sight.clip_from_unit = glm::mat4(0);
    sight.clip_from_unit[3][3] = 1;
    FaceLists fine_lists, coarse_lists;
    faces.collect(fine_lists, sight, edges.boxes());
    coarse.collect(coarse_lists, sight, edges.boxes());
    CHECK(coarse_lists.indices.size() < fine_lists.indices.size());
    CHECK(coarse_lists.indices.size() * 8 > fine_lists.indices.size());
}

TEST_CASE("the first moving frames draw all there is, and soon fewer triangles that look the same") {
    UnitStage s(Viewpoint::bench);
    const auto turned = [&](double degrees) {
        s.bench.dispatch(command::Orbit{degrees, 0}, s.spec.now_s);
        s.spec.now_s += 10;
        s.draw(false);
        return s.renderer.figures().triangles;
    };
    s.draw(false); // with the shadow, whose triangles count as well
    const auto all = turned(0.01);
    CHECK(all > 60'000); // about half of the unit faces the eye
    auto fewer = all;
    for (int frame = 1; frame < 500 && fewer > all * 9 / 10; ++frame) {
        std::this_thread::sleep_for(std::chrono::milliseconds(20));
        fewer = turned(frame % 2 == 1 ? 0.01 : -0.01);
    }
    CHECK(fewer < all * 9 / 10);
    CHECK(fewer > all / 4);
}

TEST_CASE("a moving picture that is drawn only once is the same to the pixel, and so is the next one") {
    for (const auto viewpoint : {Viewpoint::bench, Viewpoint::section, Viewpoint::stack}) {
        UnitStage kept(viewpoint);
        CHECK(kept.draw(false));
        const Bytes wanted = kept.pixels();
        UnitStage once(viewpoint);
        for (const bool only_once : {true, true, false}) {
            glClearColor(1, 0, 1, 1);
            glBindFramebuffer(GL_FRAMEBUFFER, once.target.framebuffer());
            glClear(GL_COLOR_BUFFER_BIT);
            once.spec.only_once = only_once;
            CHECK(once.draw(false));
            CHECK((once.pixels() == wanted));
        }
    }
}

TEST_CASE("a level of detail is made once for a view and not with its frames") {
    for (const auto viewpoint : {Viewpoint::bench, Viewpoint::stack}) {
        UnitStage stage(viewpoint);
        const auto moving = [&](int frames) {
            for (int i = 0; i < frames; ++i) {
                stage.turn(0.5);
                CHECK(stage.draw(false));
                std::this_thread::sleep_for(std::chrono::milliseconds(10));
            }
            return stage.renderer.figures().levels_made;
        };
        const auto at_first = moving(40); // time enough for a coarser one to come
        CHECK(at_first >= 1);
        CHECK(at_first <= 2);
        CHECK(moving(20) == at_first);
    }
}

TEST_CASE("of a line the parts that stand free are drawn") {
    DepthPicture picture{100, 50, std::vector<float>(100 * 50, 1.0f)};
    for (std::size_t y = 0; y < 50; ++y) {
        for (std::size_t x = 40; x < 60; ++x)
            picture.depth[y * 100 + x] = 0.1f; // a wall across the middle, near the eye
    }
    LineRule rule;
    rule.width = 200;
    rule.height = 100;
    rule.before_surface = 0;
    Sight sight; // device space is unit space, and depth is z
    sight.clip_from_unit = glm::mat4(1);
    const std::vector<ShapeStyle> styles(1);
    VisibleLines lines;
    lines.place({{glm::vec3(-0.8f, 0, 0), glm::vec3(0.8f, 0, 0), 0, 0}}, styles, sight, rule);
    const auto behind = lines.seen(picture);
    REQUIRE(behind.size() == 2);
    CHECK(behind[0].from.x == doctest::Approx(20).epsilon(0.1));
    CHECK(behind[0].to.x == doctest::Approx(80).epsilon(0.05));
    CHECK(behind[1].from.x == doctest::Approx(120).epsilon(0.05));
    CHECK(behind[1].to.x == doctest::Approx(180).epsilon(0.02));
    lines.place({{glm::vec3(-0.8f, 0, -0.9f), glm::vec3(0.8f, 0, -0.9f), 0, 0}}, styles, sight, rule);
    CHECK(lines.seen(picture).size() == 1); // before the wall
    lines.place({{glm::vec3(-0.1f, 0, 0), glm::vec3(0.1f, 0, 0), 0, 0}}, styles, sight, rule);
    CHECK(lines.seen(picture).empty());

    // Short steps that follow each other are one line where they run straight, and not where they turn.
    std::vector<LineInstance> steps;
    for (int i = 0; i < 6; ++i) {
        const auto x = static_cast<float>(i) * 0.02f;
        steps.push_back({glm::vec3(x - 0.9f, 0.5f, -0.95f), glm::vec3(x - 0.88f, 0.5f, -0.95f), 0, 0});
        steps.back().from = i > 0 ? steps[static_cast<std::size_t>(i) - 1].to : steps.back().from;
    }
    lines.place(steps, styles, sight, rule);
    const auto straight = lines.seen(picture);
    REQUIRE(straight.size() == 1);
    CHECK(straight[0].to.x == doctest::Approx(22).epsilon(0.05));
    steps.push_back({steps.back().to, steps.back().to + glm::vec3(0, 0.1f, 0), 0, 0});
    lines.place(steps, styles, sight, rule);
    CHECK(lines.seen(picture).size() == 2);
}
