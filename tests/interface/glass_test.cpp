// Glass: the order of the shapes does not show, what is inside stays to be seen, and near edges are crisper than far
// ones.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <string>
#include <vector>

#include "../../model-data/solids.h"
#include "../../viewer/app/camera.h"
#include "../../viewer/render/visible_lines.h"
#include "../demo_maps.h"
#include "real_loop.h"

using namespace ringland;
using namespace ringland::viewer;

namespace {

using Bytes = std::vector<std::uint8_t>;

/// Shapes of our own or of the demo unit, drawn straight into a frame.
struct ShapesStage {
    static constexpr int width = 480, height = 300;
    OffscreenContext context; // first: the others need it to their end
    ColourTarget target{width, height};
    Session session;
    Derived derived;
    FrameSpec spec;

    ShapesStage() {
        spec.width = width;
        spec.height = height;
        spec.drawing = {0, 0, width, height};
        spec.now_s = 10;
        derived.shapes_revision = 1;
        derived.layout.low = {-60, -60, -60};
        derived.layout.high = {60, 60, 60};
        session.view.section = false;
        session.view.lying = model::Lying::in_vehicle;
        Camera camera;
        camera.distance = 400;
        camera.azimuth_deg = 25;
        camera.elevation_deg = 30;
        session.view.flight.from = session.view.flight.to = camera;
    }
    void take_demo_unit() {
        Workbench bench;
        std::string why;
        REQUIRE_MESSAGE(bench.open(tests::demo, why), why);
        bench.set_aspect(static_cast<double>(width) / height);
        bench.dispatch(command::ShowView{Viewpoint::bench}, 0);
        session = bench.session();
        derived.shapes = bench.derived().shapes;
        derived.layout = bench.derived().layout;
    }
    void add(model::Material material, bool glass, double x0, double x1, double inner, double outer) {
        model::Soup soup;
        model::turn(soup, {}, model::trace_region({{x0, x1, inner, outer}}, {}), 64);
        model::Shape shape;
        shape.name = "shape " + std::to_string(derived.shapes.size());
        shape.subject = {model::SubjectKind::part, shape.name};
        shape.material = material;
        shape.glass = glass;
        shape.mesh = model::finish_mesh(soup, 30);
        derived.shapes.push_back(std::move(shape));
    }
    [[nodiscard]] Bytes draw(bool still, const model::Subject& look_at = {}) {
        Renderer renderer;
        spec.still = still;
        spec.hover = look_at;
        renderer.draw(target.framebuffer(), session, derived, spec);
        Bytes rgba(static_cast<std::size_t>(width) * height * 4);
        target.read(width, height, rgba.data());
        return rgba;
    }
};

/// Values of which two pictures differ by more than a number of 255ths.
int different(const Bytes& a, const Bytes& b, int more_than) {
    int count = 0;
    for (std::size_t i = 0; i < a.size(); ++i)
        count += std::abs(static_cast<int>(a[i]) - static_cast<int>(b[i])) > more_than;
    return count;
}

/// Glass before all that is solid, then the glass among itself the other way round.
void turn_glass_over(std::vector<model::Shape>& shapes) {
    const auto solids = std::stable_partition(shapes.begin(), shapes.end(), [](const auto& s) { return s.glass; });
    std::reverse(shapes.begin(), solids);
}

} // namespace

TEST_CASE("the picture does not depend on the order of the shapes of glass") {
    // Every wall rounds to a 255th once when it is blended, and five lie one behind the other here.
    constexpr int rounding = 3;
    for (const bool demo_unit : {true, false}) {
        ShapesStage stage;
        if (demo_unit) {
            stage.take_demo_unit();
        } else { // tubes that run through each other and around each other, of several materials
            stage.add(model::Material::steel, false, -70, 70, 0, 9);
            stage.add(model::Material::iron, true, -50, 30, 40, 46);
            stage.add(model::Material::aluminium, true, -20, 60, 34, 42);
            stage.add(model::Material::bronze, true, -40, 40, 20, 24);
            stage.add(model::Material::rubber, true, 10, 25, 12, 55);
        }
        for (const bool still : {true, false}) {
            CAPTURE(demo_unit);
            CAPTURE(still);
            const Bytes before = stage.draw(still);
            auto turned = stage.derived.shapes;
            turn_glass_over(turned);
            std::swap(turned, stage.derived.shapes);
            const Bytes after = stage.draw(still);
            std::swap(turned, stage.derived.shapes);
            // Where two walls run through each other, as the bosses and the ribs of the case do, single pixels have
            // both at the same depth: eight are let pass, with three values each.
            const int off = different(before, after, rounding);
            MESSAGE(off, " of ", before.size(), " values differ");
            CHECK(off < 3 * 8);
        }
    }
}

TEST_CASE("glass shows that it is there and does not hide what is inside") {
    ShapesStage stage;
    stage.add(model::Material::steel, false, -70, 70, 0, 16);
    const Bytes bare = stage.draw(true);
    stage.add(model::Material::aluminium, true, -60, 60, 44, 50);
    const Bytes cased = stage.draw(true);
    const auto at = [&](const Bytes& rgba, const glm::dvec3& place) {
        const auto p = project(place, stage.session.view.flight.to, stage.session.view.lying, stage.spec.drawing);
        const auto i = static_cast<std::size_t>((ShapesStage::height - 1 - static_cast<int>(p.y)) * ShapesStage::width +
                                                static_cast<int>(p.x)) *
                       4;
        return (rgba[i] + rgba[i + 1] + rgba[i + 2]) / 3.0;
    };
    // On the shaft the drawing keeps most of its contrast: light over dark side.
    const double contrast = at(bare, {0, 0, 16}) - at(bare, {0, 0, -16});
    const double kept = at(cased, {0, 0, 16}) - at(cased, {0, 0, -16});
    MESSAGE("of a contrast of ", contrast, " glass leaves ", kept);
    CHECK(contrast > 20);
    CHECK(kept > 0.5 * contrast);
    // Before paper the wall shows, and most of all where it turns away from the eye.
    const glm::dvec3 middle(45, 0, 30);
    const double there = at(bare, middle) - at(cased, middle);
    double most = 0;
    for (int degrees = -90; degrees <= 90; ++degrees) {
        const double angle = degrees * 3.14159265358979 / 180;
        const glm::dvec3 place(45, 49.4 * std::sin(angle), 49.4 * std::cos(angle));
        most = std::max(most, at(bare, place) - at(cased, place));
    }
    MESSAGE("the wall is darker than the paper by ", there, ", at its rim by ", most);
    CHECK(there > 4);
    CHECK(most > 2 * there);
}

TEST_CASE("edges behind glass are drawn once, faintly, and near ones again in full") {
    DepthPicture solids{100, 50, std::vector<float>(100 * 50, 1.0f)};
    DepthPicture with_glass = solids;
    for (std::size_t i = 0; i < with_glass.depth.size(); ++i) {
        if (i % 100 >= 50) with_glass.depth[i] = 0.3f;                  // a pane before the right half
        if (i % 100 < 10) solids.depth[i] = with_glass.depth[i] = 0.1f; // a wall before the left border
    }
    LineRule rule;
    rule.width = 200;
    rule.height = 100;
    rule.before_surface = 0;
    Sight sight; // device space is unit space, and depth is z
    sight.clip_from_unit = glm::mat4(1);
    std::vector<ShapeStyle> styles(2);
    styles[0].ink = styles[1].ink = {0, 0, 0, 0.5f};
    styles[1].kind = 2;
    VisibleLines lines;
    lines.place(
        {{glm::vec3(-1, 0.5f, 0), glm::vec3(1, 0.5f, 0), 0, 0}, {glm::vec3(-1, 0, 0), glm::vec3(1, 0, 0), 1, 0}},
        styles, sight, rule, 1);
    const auto found = lines.seen(solids, with_glass, 0.25f);
    REQUIRE(found.lines.size() == 3);
    CHECK(found.nearest_from == 2);
    const auto& solid = found.lines[0];
    const auto &far = found.lines[1], &near = found.lines[2];
    CHECK(solid.ink[3] > 100);
    CHECK(near.ink[3] == doctest::Approx(0.8 * solid.ink[3]).epsilon(0.02));
    CHECK(far.ink[3] == doctest::Approx(0.25 * near.ink[3]).epsilon(0.05));
    // The solid wall hides it from both, the pane from the second only.
    CHECK(far.from.x == doctest::Approx(20).epsilon(0.1));
    CHECK(far.to.x == doctest::Approx(200).epsilon(0.02));
    CHECK(near.from.x == doctest::Approx(20).epsilon(0.1));
    CHECK(near.to.x == doctest::Approx(100).epsilon(0.05));
}
