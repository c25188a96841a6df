// Pictures by what they mean: at the place where a thing stands, the thing is what a hand gets hold of.
#include <doctest/doctest.h>

#include "../interface/real_loop.h"

using namespace ringland;
using model::Subject;
using model::SubjectKind;
using ringland::tests::RealLoop;
namespace command = ringland::viewer::command;

namespace {

std::string map_file(const char* unit) { return std::string(RINGLAND_SOURCE_DIR "/assets-demo/") + unit + ".toml"; }

void check_ports(RealLoop& w) {
    for (const auto& port : w.document().map.ports) {
        CAPTURE(port.id);
        CHECK(w.hover(w.port(port.id)) == Subject{SubjectKind::port, port.id});
    }
}

/// Every ring in its own close-up, and again as a neighbour in the close-up of each ring beside it.
int check_rings(RealLoop& w) {
    int checked = 0;
    for (const auto& stack : w.bench.derived().layout.stacks) {
        for (std::size_t i = 0; i < stack.rings.size(); ++i) {
            const std::string& subject = stack.rings[i].seal;
            CAPTURE(subject);
            w.loop->dispatch(command::Select{{SubjectKind::seal, subject}}, w.now_s);
            w.loop->dispatch(command::ShowView{viewer::Viewpoint::stack}, w.now_s);
            w.rest();
            for (std::size_t k = i > 0 ? i - 1 : 0; k < std::min(i + 2, stack.rings.size()); ++k) {
                const std::string& ring = stack.rings[k].seal;
                CAPTURE(ring);
                CHECK(w.hover(w.ring(ring)) == Subject{SubjectKind::seal, ring});
                ++checked;
            }
        }
    }
    return checked;
}

} // namespace

TEST_CASE("every port of the bench view is under the pointer where it stands") {
    for (const char* unit : {"larch-five", "wren-three", "heron-shift"}) {
        CAPTURE(unit);
        RealLoop w(map_file(unit));
        REQUIRE(w.document().map.ports.size() >= 5);
        check_ports(w);
    }
}

TEST_CASE("every ring of the stack close-up is under the pointer where it stands") {
    RealLoop larch(map_file("larch-five"));
    CHECK(check_rings(larch) == 9 + 2 * (4 + 3)); // five rings and four, and both neighbours of each pair
}

TEST_CASE("every ring of the other units is under the pointer where it stands") {
    for (const char* unit : {"wren-three", "heron-shift"}) {
        CAPTURE(unit);
        RealLoop w(map_file(unit));
        CHECK(check_rings(w) >= 4);
    }
}
