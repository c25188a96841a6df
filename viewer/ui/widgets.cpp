#include "widgets.h"

#include <algorithm>
#include <cfloat>
#include <cmath>

namespace ringland::viewer {

namespace {

const char* first(std::string_view s) { return s.data(); }
const char* last(std::string_view s) { return s.data() + s.size(); }
bool starts_with(const std::string& text, std::string_view prefix) {
    return text.compare(0, prefix.size(), prefix) == 0;
}

} // namespace

void Widgets::begin_frame(const Colours& frame_colours) {
    colours = frame_colours;
    items_.clear();
    layout_ = {};
    showing_ = std::move(show_);
    show_.clear();
    last_order_ = std::move(order_);
    order_.clear();
    last_sliders_ = std::move(sliders_);
    sliders_.clear();
    tooltip_.clear();
    last_writing_ = std::move(writing_);
    writing_.clear();
}

void Widgets::end_frame() {
    press_.clear();
    // A key is a pulse: the toolkit sees each press of it, however fast they come.
    ImGuiIO& io = ImGui::GetIO();
    std::fill(std::begin(io.KeysDown), std::end(io.KeysDown), false);
    io.KeyCtrl = io.KeyShift = io.KeyAlt = false;
    nudge_ = 0;
    focus_moved_ = false;
    if (tooltip_.empty()) return;
    note_beside(tooltip_);
    const float pad = px(size::unit), width = px(360);
    const std::string lines = wrapped(fonts.note, width, tooltip_);
    const ImVec2 needed = measure(fonts.note, lines);
    const ImVec2 extent{needed.x + 2 * pad, needed.y + 2 * pad};
    const ImVec2 screen = ImGui::GetIO().DisplaySize, mouse = ImGui::GetIO().MousePos;
    ImVec2 at{mouse.x + px(14), mouse.y + px(20)};
    if (at.y + extent.y > screen.y) at.y = mouse.y - extent.y - px(8);
    at.x = std::max(0.0F, std::min(at.x, screen.x - extent.x));
    at.y = std::max(0.0F, at.y);
    ImDrawList* list = ImGui::GetForegroundDrawList();
    list->AddRectFilled(at, {at.x + extent.x, at.y + extent.y}, u32(colours.ink), px(4));
    list->AddText(fonts.note, fonts.note->FontSize, {at.x + pad, at.y + pad}, u32(colours.panel), first(lines),
                  last(lines));
}

bool Widgets::begin_region(const char* name, const ImVec2& at, const ImVec2& extent, const ImVec4& ground, bool scrolls,
                           bool over_others) {
    region_ = name;
    const Rect place{at.x, at.y, extent.x, extent.y};
    layout_.regions.push_back({name, place, place, scrolls, over_others});
    ImGui::SetNextWindowPos(at);
    ImGui::SetNextWindowSize(extent);
    ImGui::PushStyleColor(ImGuiCol_WindowBg, ground);
    ImGui::PushStyleColor(ImGuiCol_ScrollbarBg, faded(ground, 0));
    ImGui::PushStyleColor(ImGuiCol_ScrollbarGrab, mix(ground, colours.second_ink, 0.35F));
    ImGui::PushStyleColor(ImGuiCol_ScrollbarGrabHovered, mix(ground, colours.second_ink, 0.6F));
    ImGui::PushStyleColor(ImGuiCol_ScrollbarGrabActive, colours.second_ink);
    ImGuiWindowFlags flags = ImGuiWindowFlags_NoDecoration | ImGuiWindowFlags_NoMove |
                             ImGuiWindowFlags_NoSavedSettings | ImGuiWindowFlags_NoNav |
                             ImGuiWindowFlags_NoFocusOnAppearing;
    // The toolkit puts a window with this flag behind all others when it is made, and leaves it there.
    if (!over_others) flags |= ImGuiWindowFlags_NoBringToFrontOnFocus;
    if (scrolls) flags = (flags & ~ImGuiWindowFlags_NoScrollbar) | ImGuiWindowFlags_HorizontalScrollbar;
    return ImGui::Begin(name, nullptr, flags);
}

void Widgets::end_region() {
    ImGui::End();
    ImGui::PopStyleColor(5);
    region_.clear();
}

void Widgets::content_ends_at(const ImVec2& corner) {
    const ImVec2 start = ImGui::GetCursorStartPos(), window = ImGui::GetWindowPos();
    ImGui::SetCursorPos(start);
    const ImVec2 scroll{ImGui::GetScrollX(), ImGui::GetScrollY()};
    if (!layout_.regions.empty()) {
        const ImVec2 top{window.x - scroll.x, window.y - scroll.y};
        layout_.regions.back().content = {top.x, top.y, corner.x - top.x, corner.y - top.y};
    }
    ImGui::Dummy({std::max(1.0F, corner.x - window.x + scroll.x - start.x),
                  std::max(1.0F, corner.y - window.y + scroll.y - start.y)});
}

bool Widgets::pressed(const std::string& label, const ImVec2& at, const ImVec2& extent, bool enabled,
                      std::string_view tip) {
    note(label, at, extent);
    record(Placed::Kind::target, label, at, extent);
    ImGui::SetCursorScreenPos(at);
    const bool clicked = ImGui::InvisibleButton(label.c_str(), extent) && enabled;
    hovered_ = ImGui::IsItemHovered();
    held_ = ImGui::IsItemActive() && enabled;
    if (hovered_ && !tip.empty()) tooltip(tip);
    if (!enabled) {
        hovered_ = false;
        return false;
    }
    frame_focus(label, at, extent);
    return clicked || press_ == label;
}

/// Takes its turn among what the keyboard reaches, with a frame around it where the keyboard is on it.
void Widgets::frame_focus(const std::string& label, const ImVec2& at, const ImVec2& extent) {
    order_.push_back(label);
    if (focus_ == label) {
        if (focus_moved_) {
            // Bring what is framed into sight.
            const ImVec2 low = ImGui::GetWindowDrawList()->GetClipRectMin(),
                         high = ImGui::GetWindowDrawList()->GetClipRectMax();
            if (at.y < low.y) ImGui::SetScrollY(ImGui::GetScrollY() - (low.y - at.y) - px(size::unit));
            if (at.y + extent.y > high.y)
                ImGui::SetScrollY(ImGui::GetScrollY() + at.y + extent.y - high.y + px(size::unit));
            if (at.x < low.x) ImGui::SetScrollX(ImGui::GetScrollX() - (low.x - at.x) - px(size::unit));
            if (at.x + extent.x > high.x)
                ImGui::SetScrollX(ImGui::GetScrollX() + at.x + extent.x - high.x + px(size::unit));
        }
        const float out = px(2.5F);
        ImGui::GetForegroundDrawList()->AddRect({at.x - out, at.y - out},
                                                {at.x + extent.x + out, at.y + extent.y + out}, u32(colours.action),
                                                px(size::radius) + out, 0, px(2.5F));
    }
}

bool Widgets::button(const std::string& label, std::string_view caption, const ImVec2& at, const ImVec2& extent,
                     ButtonStyle style, bool enabled, std::string_view tip) {
    const ImVec2 words = measure(fonts.strong, caption);
    const float pad = px(size::unit);
    const bool cut = words.x > extent.x - 2 * pad;
    const std::string full =
        cut ? std::string(caption) + (tip.empty() ? "" : ": ") + std::string(tip) : std::string(tip);
    const bool now = pressed(label, at, extent, enabled, full);
    ImVec4 ground = colours.raised, border = colours.rule, ink = colours.ink;
    float line_px = px(1);
    switch (style) {
    case ButtonStyle::plain:
        border = colours.border;
        break;
    case ButtonStyle::primary:
        ground = border = colours.action, ink = colours.on_action;
        break;
    case ButtonStyle::chosen:
        ground = mix(colours.raised, colours.action, 0.14F);
        border = colours.action;
        line_px = px(1.5F);
        break;
    case ButtonStyle::quiet:
        ground = faded(colours.panel, 0), border = faded(colours.panel, 0);
        break;
    }
    if (!enabled) {
        ink = mix(colours.panel, colours.second_ink, 0.55F);
        if (style != ButtonStyle::quiet) {
            ground = colours.panel;
            border = colours.rule;
        }
    } else if (held_) {
        ground = mix(ground.w > 0 ? ground : colours.panel, colours.ink, 0.16F);
    } else if (hovered_) {
        ground = mix(ground.w > 0 ? ground : colours.panel,
                     style == ButtonStyle::primary ? colours.raised : colours.action, 0.1F);
    }
    card(at, extent, ground, border, line_px);
    const float width = std::min(words.x, extent.x - 2 * pad);
    ImFont* font = style == ButtonStyle::quiet ? fonts.body : fonts.strong;
    line(font, ink, {at.x + (extent.x - width) / 2, at.y + (extent.y - words.y) / 2}, extent.x - 2 * pad, caption);
    return now;
}

Widgets::SliderMove Widgets::slider(const std::string& label, const ImVec2& at, const ImVec2& extent, double value,
                                    double low, double high, double step, double curve, std::string_view tip) {
    pressed(label, at, extent, true, tip);
    sliders_.insert(label);
    const bool active = ImGui::IsItemActive(), let_go = ImGui::IsItemDeactivated(), on = hovered_ || held_;
    const float knob = px(12), left = at.x + knob, room = extent.x - 2 * knob;
    const auto place = [&](double v) { return std::pow(std::clamp((v - low) / (high - low), 0.0, 1.0), 1 / curve); };
    const auto rounded = [&](double v) { return std::clamp(std::round(v / step) * step, low, high); };
    SliderMove move{value, false, let_go};
    if (active) {
        const double t = std::clamp(double((ImGui::GetIO().MousePos.x - left) / room), 0.0, 1.0);
        move.value = rounded(low + (high - low) * std::pow(t, curve));
    } else if (nudge_ != 0 && focus_ == label) {
        move.value = rounded(value + nudge_ * step * (curve > 1 && value > 20 * step ? 4 : 1));
        move.settled = true;
    }
    move.changed = std::abs(move.value - value) > 1e-9;

    ImDrawList* list = ImGui::GetWindowDrawList();
    const float y = at.y + extent.y / 2, x = left + room * static_cast<float>(place(move.value));
    list->AddRectFilled({left, y - px(2.5F)}, {left + room, y + px(2.5F)}, u32(colours.border), px(2.5F));
    list->AddRectFilled({left, y - px(2.5F)}, {x, y + px(2.5F)}, u32(colours.action), px(2.5F));
    list->AddCircleFilled({x, y}, knob, u32(on ? mix(colours.raised, colours.action, 0.15F) : colours.raised), 32);
    list->AddCircle({x, y}, knob, u32(colours.action), 32, px(2));
    return move;
}

bool Widgets::nudge_focused(int steps) {
    if (last_sliders_.count(focus_) == 0 && sliders_.count(focus_) == 0) return false;
    nudge_ = steps;
    return true;
}

float Widgets::button_width(std::string_view caption) const {
    return std::max(px(size::target), measure(fonts.strong, caption).x + 2 * px(1.5F * size::unit));
}

void Widgets::card(const ImVec2& at, const ImVec2& extent, const ImVec4& ground, const ImVec4& border,
                   float border_px) const {
    ImDrawList* list = ImGui::GetWindowDrawList();
    const ImVec2 end{at.x + extent.x, at.y + extent.y};
    if (ground.w > 0) list->AddRectFilled(at, end, u32(ground), px(size::radius));
    if (border.w > 0) list->AddRect(at, end, u32(border), px(size::radius), 0, border_px);
    if (ground.w > 0 || border.w > 0) record(Placed::Kind::card, "", at, extent);
}

void Widgets::record(Placed::Kind kind, std::string_view label, const ImVec2& at, const ImVec2& extent,
                     bool cut) const {
    layout_.things.push_back({kind, std::string(label), region_, {at.x, at.y, extent.x, extent.y}, cut});
}

float Widgets::text(ImFont* font, const ImVec4& ink, const ImVec2& at, float width, std::string_view words,
                    bool draw) const {
    if (words.empty()) return 0;
    const std::string lines = width > 0 ? wrapped(font, width, words) : std::string(words);
    const ImVec2 extent = measure(font, lines);
    if (draw) {
        ImGui::GetWindowDrawList()->AddText(font, font->FontSize, at, u32(ink), first(lines), last(lines));
        record(Placed::Kind::text, words, at, extent);
    }
    return extent.y;
}

std::string Widgets::wrapped(ImFont* font, float width, std::string_view words) {
    std::string lines;
    float x = 0;
    const float space = measure(font, " ").x;
    std::size_t i = 0;
    while (i < words.size()) {
        if (words[i] == '\n') {
            lines += '\n';
            x = 0;
            ++i;
            continue;
        }
        const std::size_t end = std::min(words.find_first_of(" \n", i), words.size());
        std::string_view word = words.substr(i, end - i);
        const float wide = measure(font, word).x;
        if (x > 0 && x + space + wide > width) {
            lines += '\n';
            x = 0;
        } else if (x > 0) {
            lines += ' ';
            x += space;
        }
        // A word wider than a line is broken where it must be.
        while (measure(font, word).x > width && word.size() > 1) {
            const char* stop = nullptr;
            font->CalcTextSizeA(font->FontSize, width, 0, first(word), last(word), &stop);
            const auto fits = std::max<std::size_t>(1, static_cast<std::size_t>(stop - first(word)));
            lines.append(word.substr(0, fits));
            lines += '\n';
            word.remove_prefix(fits);
        }
        lines.append(word);
        x += measure(font, word).x;
        i = end < words.size() && words[end] == ' ' ? end + 1 : end;
    }
    return lines;
}

bool Widgets::line(ImFont* font, const ImVec4& ink, const ImVec2& at, float width, std::string_view words) const {
    ImDrawList* list = ImGui::GetWindowDrawList();
    if (words.find_first_not_of(' ') == std::string_view::npos) return false;
    if (const ImVec2 whole = measure(font, words); whole.x <= width + 0.5F) {
        record(Placed::Kind::text, words, at, whole);
        list->AddText(font, font->FontSize, at, u32(ink), first(words), last(words));
        return false;
    }
    constexpr std::string_view dots = "…";
    record(Placed::Kind::text, words, at, {width, font->FontSize}, true);
    const float room = width - measure(font, dots).x;
    const char* end = nullptr;
    const ImVec2 part = font->CalcTextSizeA(font->FontSize, std::max(room, 1.0F), 0, first(words), last(words), &end);
    list->AddText(font, font->FontSize, at, u32(ink), first(words), end);
    list->AddText(font, font->FontSize, {at.x + part.x, at.y}, u32(ink), first(dots), last(dots));
    return true;
}

ImVec2 Widgets::measure(ImFont* font, std::string_view words) {
    return font->CalcTextSizeA(font->FontSize, FLT_MAX, 0, first(words), last(words));
}

Widgets::Lines Widgets::in_lines(ImFont* font, float width, std::size_t most, std::string_view words) {
    Lines lines;
    const std::string all = wrapped(font, width, words);
    std::size_t from = 0;
    while (from <= all.size()) {
        // What is too much for the last line is left on it, to be cut where it is drawn.
        const bool final = lines.words.size() + 1 == most;
        const std::size_t end = final ? all.size() : std::min(all.find('\n', from), all.size());
        std::string one = all.substr(from, end - from);
        std::replace(one.begin(), one.end(), '\n', ' ');
        lines.words.push_back(std::move(one));
        from = end + 1;
    }
    lines.height = static_cast<float>(lines.words.size()) * font->FontSize;
    return lines;
}

void Widgets::lines(ImFont* font, const ImVec4& ink, const ImVec2& at, float width, const Lines& lines) const {
    for (std::size_t i = 0; i < lines.words.size(); ++i)
        line(font, ink, {at.x, at.y + static_cast<float>(i) * font->FontSize}, width, lines.words[i]);
}

void Widgets::note(const std::string& label, const ImVec2& at, const ImVec2& extent) {
    if (label == showing_) ImGui::SetScrollY(ImGui::GetScrollY() + at.y - ImGui::GetWindowPos().y - px(3 * size::unit));
    // What is scrolled out of sight cannot be pressed, so it is not noted.
    const ImVec2 low = ImGui::GetWindowDrawList()->GetClipRectMin(),
                 high = ImGui::GetWindowDrawList()->GetClipRectMax();
    if (at.x < low.x - 1 || at.y < low.y - 1 || at.x + extent.x > high.x + 1 || at.y + extent.y > high.y + 1) return;
    items_[label] = {at.x, at.y, extent.x, extent.y};
}

void Widgets::move_focus(std::string_view prefix, int step) {
    std::vector<std::string> among;
    for (const auto& label : last_order_) {
        if (starts_with(label, prefix)) among.push_back(label);
    }
    if (among.empty()) return;
    const auto count = static_cast<std::ptrdiff_t>(among.size());
    const auto found = std::find(among.begin(), among.end(), focus_);
    std::ptrdiff_t at =
        found == among.end() ? (step > 0 ? 0 : count - 1) : (found - among.begin() + step + count) % count;
    focus_ = among[static_cast<std::size_t>(at)];
    focus_moved_ = true;
}

void Widgets::tooltip(std::string_view words) { tooltip_ = words; }

} // namespace ringland::viewer
