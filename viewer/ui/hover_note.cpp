#include "hover_note.h"

#include <algorithm>
#include <string>

#include "words.h"

namespace ringland::viewer {

namespace {} // namespace

std::optional<Rect> draw_hover_note(PanelContext& c, const Viewport& drawing, const model::Subject& hover,
                                    const std::vector<PlacedLabel>& labels) {
    if (hover.kind == model::SubjectKind::none) return std::nullopt;
    const Widgets& w = c.w;
    auto said = subject_words(c.tr, c.session(), hover);
    if (const std::string air = air_words(c.tr, c.session(), c.derived(), hover); !air.empty())
        said.detail += (said.detail.empty() ? "" : "\n") + air;
    w.note_beside(said.title);
    w.note_beside(said.detail);
    const float pad = w.px(size::unit);
    const float widest = std::min(w.px(340), static_cast<float>(drawing.width) - 2 * pad);
    said.title = Widgets::wrapped(w.fonts.strong, widest, said.title);
    said.detail = Widgets::wrapped(w.fonts.note, widest, said.detail);
    const ImVec2 title = Widgets::measure(w.fonts.strong, said.title);
    const ImVec2 detail = Widgets::measure(w.fonts.note, said.detail);
    const bool more = !said.detail.empty();
    const glm::dvec2 extent{std::max(title.x, more ? detail.x : 0) + 2 * pad,
                            title.y + (more ? detail.y + w.px(2) : 0) + 2 * pad};
    std::vector<LabelKeep> keep;
    keep.reserve(labels.size());
    for (const auto& label : labels) {
        if (label.place.shown) keep.push_back({label.place.box, label.key == suspect_label ? 1e3 : 1.0});
    }
    const ImVec2 mouse = ImGui::GetIO().MousePos;
    const LabelBox box = beside_pointer({mouse.x, mouse.y}, extent,
                                        {drawing.x, drawing.y, drawing.x + drawing.width, drawing.y + drawing.height},
                                        keep, double(w.px(14)));
    const ImVec2 at{static_cast<float>(box.x0), static_cast<float>(box.y0)},
        end{static_cast<float>(box.x1), static_cast<float>(box.y1)};
    ImDrawList* list = ImGui::GetForegroundDrawList();
    list->AddRectFilled(at, end, u32(w.colours.raised), w.px(size::radius));
    list->AddRect(at, end, u32(w.colours.rule), w.px(size::radius), 0, w.px(1));
    list->AddText(w.fonts.strong, w.fonts.strong->FontSize, {at.x + pad, at.y + pad}, u32(w.colours.ink),
                  said.title.c_str());
    if (more) {
        list->AddText(w.fonts.note, w.fonts.note->FontSize, {at.x + pad, at.y + pad + title.y + w.px(2)},
                      u32(w.colours.second_ink), said.detail.c_str());
    }
    return Rect{box.x0, box.y0, box.x1 - box.x0, box.y1 - box.y0};
}

} // namespace ringland::viewer
