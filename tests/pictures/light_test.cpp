// Light and marks, measured in pixels: what is pale is still round, and a circuit's mark is on its cut faces too.
#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "../../viewer/app/camera.h"
#include "../../viewer/platform/picture.h"
#include "../../viewer/render/styles.h"
#include "demo.h"

using namespace ringland;
using namespace ringland::viewer;
using ringland::tests::demo_path;
using ringland::tests::picture_bench;

namespace {

constexpr int full_width = 1920, full_height = 1080;

/// A picture without words, and the brightness where a point of the unit is seen.
struct DrawnPicture {
    Workbench bench;
    Image image;
    DrawnPicture(const std::string& unit, const std::vector<std::string>& commands)
        : bench(picture_bench(demo_path(unit), commands, full_width, full_height)) {
        PictureSpec spec;
        spec.width = full_width;
        spec.height = full_height;
        spec.title = spec.labels = spec.legend = false;
        image = make_picture(bench, spec);
    }
    [[nodiscard]] double brightness(const glm::dvec3& at) const {
        const auto p = project(at, bench.session().view.flight.to, bench.session().view.lying,
                               Viewport{0, 0, double(full_width), double(full_height)});
        const int x = static_cast<int>(p.x), y = static_cast<int>(p.y);
        REQUIRE((x >= 0 && y >= 0 && x < full_width && y < full_height));
        const auto* rgba = &image.rgba[4 * (static_cast<std::size_t>(y) * full_width + static_cast<std::size_t>(x))];
        return 0.299 * rgba[0] + 0.587 * rgba[1] + 0.114 * rgba[2];
    }
};

} // namespace

TEST_CASE("parts that are pale because nobody asks about them are still round") {
    for (const std::string theme : {"light", "dark"}) {
        CAPTURE(theme);
        const DrawnPicture drawn("larch-five",
                                 {"air-into P3", "came-out P4", "show-view section", "set-theme " + theme});
        // The land of the other stack's support, between its last ring and its end.
        const auto& stack = drawn.bench.derived().layout.stacks.at(1);
        const double x = stack.rings.back().x + 7;
        std::vector<double> seen;
        for (int degrees = 40; degrees <= 140; degrees += 4) {
            const double a = degrees * std::numbers::pi / 180, r = stack.carrier_radius;
            seen.push_back(drawn.brightness(stack.axis + glm::dvec3(x, r * std::sin(a), -r * std::cos(a))));
        }
        std::sort(seen.begin(), seen.end());
        // The darkest and the brightest may be lines: what counts lies between.
        const double dark = seen[2], bright = seen[seen.size() - 3];
        CAPTURE(dark);
        CAPTURE(bright);
        CHECK(bright > 1.18 * dark);
        CHECK(bright < 243); // not burnt out
    }
}

TEST_CASE("the mark of a circuit is on its cut faces too") {
    const DrawnPicture drawn("larch-five", {"show-view section"});
    const auto& derived = drawn.bench.derived();
    int marked = 0, plain = 0;
    for (const auto& clutch : derived.layout.clutches) {
        if (clutch.drum_index < 0) continue;
        const auto* element = model::find(drawn.bench.session().document.map.elements, clutch.element);
        if (element == nullptr || element->applied_by.size() > 1) continue;
        // In the half of the drum that lies away from the drillings.
        std::vector<double> seen;
        for (double share = 0.2; share <= 0.8; share += 0.02) {
            const double r = clutch.piston_inner + (clutch.piston_outer - clutch.piston_inner) * share;
            seen.push_back(
                drawn.brightness(clutch.axis + glm::dvec3((clutch.chamber_x0 + clutch.chamber_x1) / 2, 0, r)));
        }
        std::sort(seen.begin(), seen.end());
        const bool dashed = circuit_look(derived, drawn.bench.session().document.map, clutch.circuit).dashed;
        CAPTURE(clutch.circuit);
        const double contrast = seen[seen.size() - 3] / std::max(1.0, seen[2]);
        (dashed ? marked : plain) += 1;
        CHECK((contrast > 1.15) == dashed);
    }
    MESSAGE(marked, " marked, ", plain, " plain");
    CHECK(marked >= 1);
    CHECK(plain >= 1);
}

TEST_CASE("springs are drawn in lighter ink than other parts, or their wire would close up") {
    const auto bench = picture_bench(demo_path("larch-five"), {"show-view section"}, full_width, full_height);
    const auto& shapes = bench.derived().shapes;
    const auto styles = style_shapes(bench.session(), bench.derived(), {}, ranks_by_size(shapes));
    float spring = 0, drum = 0;
    for (std::size_t i = 0; i < shapes.size(); ++i) {
        if (shapes[i].name.find("return spring") != std::string::npos) spring = std::max(spring, styles[i].ink[3]);
        if (shapes[i].name.find("front-drum") != std::string::npos) drum = styles[i].ink[3];
    }
    CHECK(spring > 0.2F);
    CHECK(spring < 0.6F * drum);
}
