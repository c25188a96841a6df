// Fields to write in, by the toolkit's own editor of text: caret, selection, clipboard.
#include "widgets.h"

#include <algorithm>
#include <array>
#include <cstring>

#include <imgui_internal.h>
#include <imgui_stdlib.h>

namespace ringland::viewer {

namespace {

/// The toolkit's editor does not wrap. Blanks and line breaks are one byte each, so a text is wrapped by choosing,
/// blank by blank, which of the two stands there: the caret stays where it is.
void wrap(char* text, std::size_t length, ImFont* font, float width) {
    float x = 0;
    std::size_t word = 0, blank = length;
    const float space = Widgets::measure(font, " ").x;
    for (std::size_t i = 0; i <= length; ++i) {
        const bool at_blank = i == length || text[i] == ' ' || text[i] == '\n';
        if (!at_blank) continue;
        const float wide = Widgets::measure(font, std::string_view(text + word, i - word)).x;
        if (blank != length && x + wide > width) {
            text[blank] = '\n';
            x = wide;
        } else {
            if (blank != length) text[blank] = ' ';
            x += wide;
        }
        x += space;
        blank = i;
        word = i + 1;
    }
}

void as_written(std::string& text) { std::replace(text.begin(), text.end(), '\n', ' '); }

struct Wrapping {
    ImFont* font;
    float width;
};

int on_edit(ImGuiInputTextCallbackData* data) {
    if (data->EventFlag == ImGuiInputTextFlags_CallbackCharFilter) {
        if (data->EventChar == '\n' || data->EventChar == '\t') data->EventChar = ' ';
        return 0;
    }
    const auto* how = static_cast<const Wrapping*>(data->UserData);
    wrap(data->Buf, static_cast<std::size_t>(data->BufTextLen), how->font, how->width);
    data->BufDirty = true;
    return 0;
}

struct EditorKey {
    Key key;
    ImGuiKey_ toolkit;
};
constexpr std::array<EditorKey, 10> editor_keys{{{Key::left, ImGuiKey_LeftArrow},
                                                 {Key::right, ImGuiKey_RightArrow},
                                                 {Key::up, ImGuiKey_UpArrow},
                                                 {Key::down, ImGuiKey_DownArrow},
                                                 {Key::page_up, ImGuiKey_PageUp},
                                                 {Key::page_down, ImGuiKey_PageDown},
                                                 {Key::home, ImGuiKey_Home},
                                                 {Key::end, ImGuiKey_End},
                                                 {Key::backspace, ImGuiKey_Backspace},
                                                 {Key::del, ImGuiKey_Delete}}};
constexpr std::array<std::pair<char, ImGuiKey_>, 6> editor_letters{
    {{'A', ImGuiKey_A}, {'C', ImGuiKey_C}, {'V', ImGuiKey_V}, {'X', ImGuiKey_X}, {'Y', ImGuiKey_Y}, {'Z', ImGuiKey_Z}}};

} // namespace

float Widgets::field_height(float width, std::string_view text, int least_lines) const {
    const float pad = px(size::unit);
    std::string shown(text);
    wrap(shown.data(), shown.size(), fonts.body, width - 2 * pad - px(2));
    const auto lines = std::max<std::ptrdiff_t>(least_lines, 1 + std::count(shown.begin(), shown.end(), '\n'));
    const float needed = static_cast<float>(lines) * fonts.body->FontSize + 2 * px(12);
    return std::max(px(size::target), needed);
}

Widgets::FieldMove Widgets::field(const std::string& label, const ImVec2& at, float width, std::string& text,
                                  int least_lines, std::string_view hint) {
    const ImVec2 extent{width, field_height(width, text, least_lines)};
    note(label, at, extent);
    record(Placed::Kind::target, label, at, extent);
    frame_focus(label, at, extent);
    const bool asked = press_ == label;
    const float pad = px(size::unit);
    ImGui::PushStyleColor(ImGuiCol_FrameBg, colours.raised);
    ImGui::PushStyleColor(ImGuiCol_Border, last_writing_ == label ? colours.action : colours.border);
    ImGui::PushStyleColor(ImGuiCol_Text, colours.ink);
    ImGui::PushStyleColor(ImGuiCol_TextSelectedBg, faded(colours.action, 0.3F));
    ImGui::PushStyleVar(ImGuiStyleVar_FramePadding, ImVec2{pad, px(12)});
    ImGui::PushStyleVar(ImGuiStyleVar_FrameRounding, px(size::radius));
    ImGui::PushStyleVar(ImGuiStyleVar_FrameBorderSize, px(last_writing_ == label ? 2.0F : 1.0F));
    ImGui::PushStyleVar(ImGuiStyleVar_ChildRounding, px(size::radius));
    ImGui::PushFont(fonts.body);
    ImGui::SetCursorScreenPos(at);
    if (asked) ImGui::SetKeyboardFocusHere();
    Wrapping wrapping{fonts.body, width - 2 * pad - px(2)};
    std::string shown = text;
    wrap(shown.data(), shown.size(), wrapping.font, wrapping.width);
    FieldMove move;
    ImGui::InputTextMultiline(("##" + label).c_str(), &shown, extent,
                              ImGuiInputTextFlags_CallbackEdit | ImGuiInputTextFlags_CallbackCharFilter |
                                  ImGuiInputTextFlags_CtrlEnterForNewLine | ImGuiInputTextFlags_NoHorizontalScroll,
                              on_edit, &wrapping);
    const bool active = ImGui::IsItemActive();
    if (active) writing_ = label;
    ImGui::PopFont();
    ImGui::PopStyleVar(4);
    ImGui::PopStyleColor(4);
    as_written(shown);
    move.changed = shown != text;
    // The toolkit does not tell where a key took the hand away between two frames.
    if (move.changed) edited_ = label;
    move.settled = !active && edited_ == label;
    if (move.settled) edited_.clear();
    text = std::move(shown);
    if (text.empty() && !hint.empty())
        line(fonts.body, colours.second_ink, {at.x + pad, at.y + px(12)}, width - 2 * pad, hint);
    return move;
}

void Widgets::stop_writing() {
    if (last_writing_.empty()) return;
    ImGui::ClearActiveID();
}

void Widgets::write_next(int step) {
    focus_ = last_writing_;
    stop_writing();
    move_focus("", step);
    if (focus_.rfind("field ", 0) == 0) press_ = focus_;
}

bool Widgets::field_key(const input::KeyPress& press) {
    ImGuiIO& io = ImGui::GetIO();
    io.KeyCtrl = press.ctrl;
    io.KeyShift = press.shift;
    io.KeyAlt = press.alt;
    for (const auto& [key, toolkit] : editor_keys) {
        if (key != press.key) continue;
        io.KeyMap[toolkit] = toolkit;
        io.KeysDown[toolkit] = true;
        return true;
    }
    if (press.key == Key::letter && press.ctrl) {
        for (const auto& [letter, toolkit] : editor_letters) {
            if (letter != press.character) continue;
            io.KeyMap[toolkit] = toolkit;
            io.KeysDown[toolkit] = true;
            return true;
        }
    }
    return false;
}

} // namespace ringland::viewer
