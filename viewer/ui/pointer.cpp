#include "pointer.h"

#include <cmath>

#include <glm/trigonometric.hpp>

namespace ringland::viewer {

namespace {

constexpr double turn_deg_per_point = 0.32;
constexpr double zoom_per_notch = 0.88;
constexpr float click_points = 4;
constexpr double double_click_s = 0.35;

} // namespace

bool Pointer::follow(PanelContext& c, const Viewport& drawing, const model::Subject& hover, bool shift, double now_s,
                     double pixels_per_point) {
    const ImGuiIO& io = ImGui::GetIO();
    const ImVec2 at{static_cast<float>(drawing.x), static_cast<float>(drawing.y)};
    const ImVec2 extent{static_cast<float>(drawing.width), static_cast<float>(drawing.height)};
    ImGui::SetCursorScreenPos(at);
    ImGui::InvisibleButton("drawing", extent,
                           ImGuiButtonFlags_MouseButtonLeft | ImGuiButtonFlags_MouseButtonRight |
                               ImGuiButtonFlags_MouseButtonMiddle);
    const bool on = ImGui::IsItemHovered() || ImGui::IsItemActive();
    const float reach = click_points * static_cast<float>(pixels_per_point);

    if (button_ < 0 && ImGui::IsItemHovered()) {
        for (int b = 0; b < 3; ++b) {
            if (!ImGui::IsMouseClicked(b)) continue;
            button_ = b;
            moved_ = false;
            panning_ = b != 0 || shift;
            pressed_at_ = io.MousePos;
        }
    }
    if (button_ >= 0) {
        const float dx = io.MousePos.x - pressed_at_.x, dy = io.MousePos.y - pressed_at_.y;
        ImVec2 move = io.MouseDelta;
        if (!moved_ && std::hypot(dx, dy) > reach) {
            moved_ = true;
            move = {dx, dy};
        }
        if (moved_ && (move.x != 0 || move.y != 0)) {
            const double points = 1 / pixels_per_point;
            if (panning_) {
                const double seen_mm =
                    2 * c.session().view.flight.to.distance * std::tan(glm::radians(field_of_view_deg / 2));
                const double mm = seen_mm / drawing.height;
                c.commands.emplace_back(command::Pan{-double(move.x) * mm, double(move.y) * mm});
            } else {
                c.commands.emplace_back(command::Orbit{-double(move.x) * points * turn_deg_per_point,
                                                       double(move.y) * points * turn_deg_per_point});
            }
        }
        if (!io.MouseDown[button_]) {
            if (!moved_ && button_ == 0) clicked(c, hover, now_s, reach);
            button_ = -1;
            moved_ = false;
        }
    }
    if (ImGui::IsItemHovered() && io.MouseWheel != 0) {
        c.commands.emplace_back(command::Zoom{std::pow(zoom_per_notch, double(io.MouseWheel))});
    }
    return on;
}

void Pointer::clicked(PanelContext& c, const model::Subject& subject, double now_s, float reach) {
    const bool again = now_s - last_click_s_ < double_click_s &&
                       std::hypot(pressed_at_.x - last_click_at_.x, pressed_at_.y - last_click_at_.y) <= 1.5F * reach;
    last_click_s_ = again ? -1 : now_s;
    last_click_at_ = pressed_at_;
    if (again) {
        if (subject.kind != model::SubjectKind::none) c.commands.emplace_back(command::Focus{subject});
        return;
    }
    if (subject.kind == model::SubjectKind::port)
        c.commands.push_back(port_clicked(c.session(), subject.id));
    else if (!(subject == c.session().view.selected))
        c.commands.emplace_back(command::Select{subject});
}

} // namespace ringland::viewer
