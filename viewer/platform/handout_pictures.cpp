#include "handout_pictures.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include <glm/geometric.hpp>
#include <glm/matrix.hpp>

#include "../app/camera.h"
#include "context.h"
#include "picture.h"

namespace ringland::viewer {
namespace {

/// The other port of a circuit than none.
std::string port_of_circuit(const model::UnitMap& map, const std::string& circuit) {
    for (const auto& port : map.ports) {
        if (port.circuit == circuit) return port.id;
    }
    return {};
}

void give(Workbench& bench, const Command& command) {
    const std::string why = bench.dispatch(command, 0);
    if (!why.empty()) throw std::runtime_error(why);
}

/// Projects points of unit space onto the picture that was just painted.
struct Onto {
    const Workbench& bench;
    double width, height;

    [[nodiscard]] Camera camera() const { return camera_at(bench.session().view.flight, 1e9); }
    void mark(HandoutPicture& on, const glm::dvec3& point, const std::string& text, const glm::dvec2& towards,
              bool main = false) const {
        const auto at = project(point, camera(), bench.session().view.lying, {0, 0, width, height});
        if (at.z <= 0 || text.empty()) return;
        const double x = at.x / width, y = at.y / height;
        constexpr double rim = 0.02;
        if (x < rim || x > 1 - rim || y < rim || y > 1 - rim) return;
        on.marks.push_back({x, y, towards.x, towards.y, text, main});
    }
    /// The point of a turned surface that looks at the eye.
    [[nodiscard]] glm::dvec3 near_side(double x, const model::Vec3& axis, double radius) const {
        const glm::dmat4 back = glm::inverse(lying_matrix(bench.session().view.lying));
        const glm::dvec3 eye{back * glm::dvec4(eye_of(camera()), 1)};
        glm::dvec3 side{0, eye.y - axis.y, eye.z - axis.z};
        const double length = glm::length(side);
        side = length > 1e-9 ? side / length : glm::dvec3{0, 0, 1};
        return glm::dvec3{x, axis.y, axis.z} + side * radius;
    }
    /// The point of a turned surface on the plane of the cut that is lower on the picture, or the upper one.
    [[nodiscard]] glm::dvec3 cut_edge(double x, const model::Vec3& axis, double radius, bool lower) const {
        const glm::dvec3 a{x, axis.y, axis.z + radius}, b{x, axis.y, axis.z - radius};
        const auto on = [&](const glm::dvec3& p) {
            return project(p, camera(), bench.session().view.lying, {0, 0, width, height}).y;
        };
        return (on(a) > on(b)) == lower ? a : b;
    }
};

HandoutPicture painted(Workbench& bench, int width, int height) {
    PictureSpec spec;
    spec.width = width;
    spec.height = height;
    spec.title = spec.labels = spec.legend = false;
    spec.ground = PictureGround::white;
    spec.line_weight = print_line_weight;
    Image image = PicturePainter(bench, spec).paint();
    HandoutPicture picture;
    picture.pixels = {image.width, image.height, std::move(image.rgba)};
    return picture;
}

const model::SealPlace* place_of(const model::Layout& layout, const std::string& seal) {
    for (const auto& place : layout.seals) {
        if (place.seal == seal) return &place;
    }
    return nullptr;
}

/// The stack with that seal, where it is one of a stack.
const model::StackPlace* stack_of(const model::Layout& layout, const std::string& seal) {
    for (const auto& stack : layout.stacks) {
        for (const auto& ring : stack.rings) {
            if (ring.seal == seal) return &stack;
        }
    }
    return nullptr;
}

void mark_overview(const Translator& tr, const Onto& onto, const model::Seal* seal, const SealPorts& ports,
                   HandoutPicture& picture) {
    const auto& layout = onto.bench.derived().layout;
    const auto& map = onto.bench.session().document.map;
    if (seal != nullptr) {
        if (const auto* place = place_of(layout, seal->id)) onto.mark(picture, place->at, seal->id, {0.6, 0.8}, true);
    }
    for (const auto& port : layout.ports) {
        if (port.port != ports.from && port.port != ports.to) continue;
        const auto* p = model::find(map.ports, port.port);
        if (p == nullptr) continue;
        onto.mark(picture, port.at, p->id + ' ' + model::port_label(map, *p),
                  {port.port == ports.from ? 0.8 : -0.8, -0.5});
    }
    const auto& housing = layout.housing;
    if (housing.x1 > housing.x0)
        onto.mark(picture, {housing.x0, 0, -0.6 * housing.bell_radius}, tr("engine end"), {-0.4, 0.9});
}

void mark_near(const Translator& tr, const Onto& onto, const model::Seal& seal, HandoutPicture& picture) {
    const auto& layout = onto.bench.derived().layout;
    const auto& map = onto.bench.session().document.map;
    const auto* stack = stack_of(layout, seal.id);
    if (stack == nullptr) {
        const auto* place = place_of(layout, seal.id);
        if (place == nullptr) return;
        onto.mark(picture, place->at, seal.id, {0.6, 0.8}, true);
        return;
    }
    for (const auto& ring : stack->rings) {
        const bool main = ring.seal == seal.id;
        onto.mark(picture, onto.cut_edge(ring.x, stack->axis, stack->bore_radius, true), ring.seal, {0, 1}, main);
    }
    for (const auto& annulus : stack->annuli) {
        if (annulus.circuit != seal.between[0] && annulus.circuit != seal.between[1]) continue;
        onto.mark(picture, onto.cut_edge((annulus.x0 + annulus.x1) / 2, stack->axis, stack->recess_radius, false),
                  model::circuit_name(map, annulus.circuit), {annulus.circuit == seal.between[0] ? -0.5 : 0.5, -0.9});
    }
    const auto* ends = model::find(map.stacks, stack->stack);
    if (ends == nullptr || stack->rings.empty()) return;
    const double pitch = stack->rings.size() > 1 ? stack->rings[1].x - stack->rings[0].x : 12;
    onto.mark(picture, onto.near_side(stack->rings.front().x - pitch, stack->axis, stack->carrier_radius),
              tr.map_word(ends->first_end), {-0.8, 0.6});
    onto.mark(picture, onto.near_side(stack->rings.back().x + pitch, stack->axis, stack->carrier_radius),
              tr.map_word(ends->second_end), {0.8, 0.6});
}

} // namespace

SealPorts ports_beside(const model::UnitMap& map, const model::Job& job, const model::Seal& seal) {
    SealPorts ports{port_of_circuit(map, seal.between[0]), port_of_circuit(map, seal.between[1])};
    // A lip or ball is shown in the direction that it should hold back, else as the readings went.
    if (!seal.faces.empty() && seal.faces == seal.between[1]) std::swap(ports.from, ports.to);
    if (!seal.faces.empty()) return ports;
    const auto* check = model::last_check(job, model::CheckPurpose::before);
    if (check == nullptr) return ports;
    for (const auto& entry : check->readings) {
        for (const auto& seen : entry.reading.seen) {
            const bool heard = seen.word && *seen.word != model::Heard::nothing;
            if (entry.reading.into == ports.from && seen.at == ports.to && heard) return ports;
            if (entry.reading.into == ports.to && seen.at == ports.from && heard) return {ports.to, ports.from};
        }
    }
    return ports;
}

std::vector<HandoutPicture> handout_pictures(const Translator& tr, const model::Job& job, const std::string& seal_id,
                                             int height) {
    // Readings are not drawn, and a workbench would weigh them.
    model::Job plain = job;
    plain.checks.assign(1, model::JobCheck{});
    plain.checks[0].id = "picture";
    Workbench bench;
    const double wide = 1.38, narrow = 1.02;
    bench.set_aspect(narrow);
    if (const std::string why = bench.open_job(plain, 0); !why.empty()) throw std::runtime_error(why);
    const auto& map = bench.session().document.map;
    const model::Seal* seal = model::find(map.seals, seal_id);
    const SealPorts ports = seal == nullptr ? SealPorts{} : ports_beside(map, job, *seal);

    const OffscreenContext context;
    std::vector<HandoutPicture> pictures;
    const auto pixels = [height](double aspect) { return static_cast<int>(std::lround(height * aspect)); };
    if (!ports.from.empty()) give(bench, command::AirInto{ports.from});
    if (!ports.from.empty() && !ports.to.empty()) give(bench, command::CameOut{ports.to});
    if (seal != nullptr && bench.derived().suspect != seal->id) {
        if (bench.dispatch(command::ShowSuspect{seal->id}, 0) != std::string{})
            give(bench, command::Select{{model::SubjectKind::seal, seal->id}});
    }
    give(bench, command::ShowView{Viewpoint::bench});
    pictures.push_back(painted(bench, pixels(seal == nullptr ? 2.2 : narrow), height));
    pictures.back().caption =
        seal == nullptr
            ? tr("The unit as it lies on the bench.")
            : filled(tr("The unit as it lies on the bench, its case shown as glass. {0} is the place."), seal->id);
    mark_overview(tr, {bench, double(pictures.back().pixels.width), double(height)}, seal, ports, pictures.back());
    if (seal == nullptr) return pictures;

    bench.set_aspect(wide);
    give(bench, command::ShowView{Viewpoint::stack});
    pictures.push_back(painted(bench, pixels(wide), height));
    pictures.back().caption =
        bench.derived().air ? filled(tr("{0} from near. The arrows show the way that the air took past it."), seal->id)
                            : filled(tr("{0} from near."), seal->id);
    mark_near(tr, {bench, double(pictures.back().pixels.width), double(height)}, *seal, pictures.back());
    return pictures;
}

} // namespace ringland::viewer
