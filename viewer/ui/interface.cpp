#include "interface.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <deque>
#include <utility>

#include <backends/imgui_impl_opengl3.h>
#include <fmt/format.h>
#include <imgui.h>

#include "../app/actions.h"
#include "fonts.h"
#include "hover_note.h"
#include "key_names.h"
#include "overlay.h"
#include "panels.h"
#include "pointer.h"
#include "widgets.h"
#include "words.h"

namespace ringland::viewer {

namespace {

/// Letters of the map that a Latin face does not hold at once.
std::string letters_of(const Document& document) {
    const model::UnitMap& map = document.map;
    std::string letters = map.unit.name;
    const auto add = [&](const auto& list) {
        for (const auto& thing : list)
            letters += thing.name;
    };
    add(map.circuits);
    add(map.parts);
    add(map.stacks);
    add(map.seals);
    for (const auto& stack : map.stacks)
        letters += stack.first_end + stack.second_end;
    for (const auto& port : map.ports)
        letters += port.label;
    for (const auto& flow : map.by_design)
        letters += flow.reason;
    const model::JobHead& head = document.job.head;
    letters += head.number + head.customer + head.complaint + head.who + head.conclusion;
    for (const auto& finding : document.job.findings)
        letters += finding.seen;
    for (const auto& note : document.job.notes)
        letters += note.text;
    return letters;
}

std::string letters_key(const Document& document) { return document.map_path + "\n" + document.job.id; }

void append_utf8(std::string& text, unsigned codepoint) {
    const auto put = [&](unsigned byte) { text += static_cast<char>(static_cast<unsigned char>(byte)); };
    if (codepoint < 0x80) {
        put(codepoint);
        return;
    }
    if (codepoint >= 0x800) {
        if (codepoint >= 0x10000) {
            put(0xF0U | ((codepoint >> 18U) & 0x07U));
            put(0x80U | ((codepoint >> 12U) & 0x3FU));
        } else {
            put(0xE0U | (codepoint >> 12U));
        }
        put(0x80U | ((codepoint >> 6U) & 0x3FU));
    } else {
        put(0xC0U | (codepoint >> 6U));
    }
    put(0x80U | (codepoint & 0x3FU));
}

} // namespace

struct Interface::Impl {
    ImFontAtlas atlas;
    ImGuiContext* context = nullptr;
    double pixels_per_point;
    double fonts_scale = 0;
    std::string fonts_for; ///< map and job whose letters are in the atlas
    std::string written;   ///< letters that were typed and that the atlas did not hold
    bool texture_stale = true, backend = false;
    Widgets widgets;
    Transient transient;
    Pointer pointer;
    std::deque<InputEvent> queue;
    bool shift = false;
    bool tour_wanted = false;
    std::shared_ptr<const ShelfPage> shelf;
    double last_s = 0;

    explicit Impl(double scale) : context(ImGui::CreateContext(&atlas)), pixels_per_point(scale) {
        ImGui::SetCurrentContext(context);
        ImGuiIO& io = ImGui::GetIO();
        io.IniFilename = nullptr;
        io.LogFilename = nullptr;
        io.BackendFlags |= ImGuiBackendFlags_RendererHasVtxOffset;
    }
    ~Impl() {
        ImGui::SetCurrentContext(context);
        if (backend) ImGui_ImplOpenGL3_Shutdown();
        ImGui::DestroyContext(context);
    }
    Impl(const Impl&) = delete;
    Impl& operator=(const Impl&) = delete;

    void prepare(const Session& session, int width, int height, double now_s);
    void load(double scale, const Document& document);
    void take_events(PanelContext& c);
    void key(PanelContext& c, const input::KeyPress& press);
    void act(PanelContext& c, const Action& action);
    void writing_key(const input::KeyPress& press);
    void search_key(PanelContext& c, const input::KeyPress& press, const std::string& name);
    void text(PanelContext& c, unsigned codepoint);
    void press(PanelContext& c);
    bool step_back();
    DrawingRoom overlay(const Workbench& bench, OverlaySpec spec);
    std::vector<PlacedLabel> labels;
    std::optional<Rect> note; ///< at the pointer
    LabelMemory label_memory;
    double label_flight_s = -1; ///< of the flight whose goal the memory is for
    Camera label_goal;
};

void Interface::Impl::load(double scale, const Document& document) {
    widgets.fonts = load_fonts(atlas, scale, letters_of(document) + written);
    fonts_scale = scale;
    fonts_for = letters_key(document);
    texture_stale = true;
}

void Interface::Impl::prepare(const Session& session, int width, int height, double now_s) {
    ImGui::SetCurrentContext(context);
    const double scale = pixels_per_point * session.view.text_scale;
    if (scale != fonts_scale || fonts_for != letters_key(session.document)) load(scale, session.document);
    widgets.scale = static_cast<float>(scale);
    ImGuiIO& io = ImGui::GetIO();
    io.DisplaySize = {static_cast<float>(width), static_cast<float>(height)};
    io.DeltaTime = static_cast<float>(std::clamp(now_s - last_s, 1e-4, 1.0));
    last_s = now_s;
    ImGuiStyle& style = ImGui::GetStyle();
    style.WindowPadding = style.ItemSpacing = {0, 0};
    style.WindowMinSize = {1, 1};
    style.WindowBorderSize = 0;
    style.WindowRounding = 0;
    style.ScrollbarSize = widgets.px(10);
    style.ScrollbarRounding = widgets.px(5);
    style.AntiAliasedLinesUseTex = false;
    widgets.begin_frame(colours_of(session.view.theme));
}

void Interface::Impl::take_events(PanelContext& c) {
    ImGuiIO& io = ImGui::GetIO();
    // A press and a release must fall into different frames, and a move after a press into the next one, or the toolkit
    // would see neither.
    std::array<bool, 3> button_changed{};
    bool any_button = false;
    while (!queue.empty()) {
        const InputEvent event = queue.front();
        if (const auto* move = std::get_if<input::MouseMove>(&event)) {
            if (any_button) return;
            io.MousePos = {static_cast<float>(move->x), static_cast<float>(move->y)};
        } else if (const auto* button = std::get_if<input::MouseButton>(&event)) {
            if (button->button >= 0 && button->button < 3) {
                const auto b = static_cast<std::size_t>(button->button);
                if (button_changed[b]) return;
                button_changed[b] = any_button = true;
                io.MouseDown[b] = button->down;
                shift = button->shift;
                widgets.drop_focus();
            }
        } else if (const auto* wheel = std::get_if<input::MouseWheel>(&event)) {
            io.MouseWheel += static_cast<float>(wheel->y);
            io.MouseWheelH += static_cast<float>(wheel->x);
        } else if (const auto* press = std::get_if<input::KeyPress>(&event)) {
            // Commands of earlier keys must have taken effect before the next one is understood.
            if (!c.commands.empty()) return;
            if (widgets.writing() && press->down) {
                queue.pop_front();
                writing_key(*press);
                return; // the toolkit takes letters before keys: what follows waits for the next frame
            }
            if (press->down) key(c, *press);
        } else if (const auto* letter = std::get_if<input::Text>(&event)) {
            if (!c.commands.empty()) return;
            if (widgets.writing()) {
                std::string one;
                append_utf8(one, letter->codepoint);
                if (widgets.lacks_letter(letter->codepoint) && written.find(one) == std::string::npos) {
                    written += one;
                    fonts_scale = 0; // loads them anew
                }
                io.AddInputCharacter(letter->codepoint);
            } else {
                text(c, letter->codepoint);
            }
        } else if (std::holds_alternative<input::FocusLost>(event)) {
            for (bool& down : io.MouseDown)
                down = false;
        }
        queue.pop_front();
    }
}

void Interface::Impl::key(PanelContext& c, const input::KeyPress& press_of) {
    transient.search.eat_letter = false;
    if (transient.search.open) {
        search_key(c, press_of, key_name(press_of));
        return;
    }
    if (press_of.key == Key::digit && !press_of.ctrl && !press_of.alt) {
        if (transient.typed.size() < 6) transient.typed += press_of.character;
        return;
    }
    const std::string name = key_name(press_of);
    if (name == "Escape" && step_back()) return;
    if ((name == "Left" || name == "Right") && widgets.nudge_focused(name == "Right" ? 1 : -1)) return;
    if (const Action* what = action_of_key(name)) {
        act(c, *what);
        // The letter that the key writes comes after it.
        transient.search.eat_letter = transient.search.open && !press_of.ctrl;
    }
}

/// While a field is being written in, keys belong to it; what leaves it leaves it as it is written.
void Interface::Impl::writing_key(const input::KeyPress& press_of) {
    if (press_of.key == Key::enter || press_of.key == Key::escape) {
        widgets.stop_writing();
    } else if (press_of.key == Key::tab) {
        widgets.write_next(press_of.shift ? -1 : 1);
    } else {
        widgets.field_key(press_of);
    }
}

/// While something is being typed every key belongs to it.
void Interface::Impl::search_key(PanelContext& c, const input::KeyPress& press_of, const std::string& name) {
    auto& search = transient.search;
    const Action* what = action_of_key(name);
    if (name == "Escape" || (press_of.ctrl && what != nullptr && what->act == InterfaceAct::search)) {
        turn_search(transient, false);
    } else if (name == "Enter") {
        take_found(c);
    } else if (name == "Down" || name == "Tab") {
        ++search.at; // the panel keeps it within what was found
    } else if (name == "Up" || name == "Shift+Tab") {
        if (search.at > 0) --search.at;
    } else if (name == "Home") {
        search.at = 0;
    } else if (name == "Ctrl+Backspace" || name == "Delete") {
        search.typed.clear();
    } else if (name == "Backspace") {
        // A letter beyond ASCII is several bytes.
        while (!search.typed.empty() && (static_cast<unsigned char>(search.typed.back()) & 0xC0U) == 0x80U)
            search.typed.pop_back();
        if (!search.typed.empty()) search.typed.pop_back();
        search.at = 0;
    }
}

void Interface::Impl::text(PanelContext& c, unsigned codepoint) {
    auto& search = transient.search;
    if (std::exchange(search.eat_letter, false)) return;
    if (!search.open) {
        // On many keyboards the slash is no key of its own.
        if (codepoint == '/') act(c, action("search-too"));
        return;
    }
    if (codepoint < 0x20 || codepoint == 0x7F || search.typed.size() > 80) return;
    append_utf8(search.typed, codepoint);
    search.at = 0;
}

bool Interface::Impl::step_back() {
    if (!transient.typed.empty())
        transient.typed.clear();
    else if (transient.help_open)
        transient.help_open = false;
    else if (transient.lying_open)
        transient.lying_open = false;
    else if (transient.more_open)
        transient.more_open = false;
    else if (!widgets.focus().empty())
        widgets.drop_focus();
    else
        return false;
    return true;
}

void Interface::Impl::act(PanelContext& c, const Action& what) {
    switch (what.act) {
    case InterfaceAct::next_port:
        widgets.move_focus("port ", 1);
        break;
    case InterfaceAct::previous_port:
        widgets.move_focus("port ", -1);
        break;
    case InterfaceAct::next_control:
        widgets.move_focus("", 1);
        break;
    case InterfaceAct::previous_control:
        widgets.move_focus("", -1);
        break;
    case InterfaceAct::press:
        press(c);
        break;
    case InterfaceAct::erase_digit:
        if (!transient.typed.empty()) transient.typed.pop_back();
        break;
    default:
        c.act(what);
        break;
    }
}

void Interface::Impl::press(PanelContext& c) {
    if (transient.typed.empty()) {
        widgets.press_focused();
        return;
    }
    const std::string typed = std::move(transient.typed);
    transient.typed.clear();
    if (const std::string port = port_of_number(c.map(), typed); !port.empty()) {
        c.commands.push_back(port_clicked(c.session(), port));
    } else {
        transient.notices.add(filled(c.tr("No port has the number {0}."), typed));
    }
}

const std::vector<PlacedLabel>& Interface::labels() const { return impl_->labels; }

std::optional<Rect> Interface::pointer_note() const { return impl_->note; }

/// Writes on the drawing, and says what of it is left for the subject of a view.
DrawingRoom Interface::Impl::overlay(const Workbench& bench, OverlaySpec spec) {
    const Fonts& f = widgets.fonts;
    const OverlayFonts fonts{f.note, f.body, f.strong, f.title, f.answer};
    spec.pixels_per_point = pixels_per_point;
    std::vector<std::string> words;
    spec.written = &words;
    const Viewport& drawing = spec.drawing;
    ImDrawList* list = ImGui::GetBackgroundDrawList();
    const ImVec2 low{static_cast<float>(drawing.x), static_cast<float>(drawing.y)};
    list->PushClipRect(low, {low.x + static_cast<float>(drawing.width), low.y + static_cast<float>(drawing.height)});
    const Session& session = bench.session();
    const Flight& flight = session.view.flight;
    if (spec.remembers && flight.duration_s > 0 && (flight.start_s != label_flight_s || !(flight.to == label_goal))) {
        // Labels take the places that they will have when the camera is there, and so arrive with it.
        label_flight_s = flight.start_s;
        label_goal = flight.to;
        label_memory = {};
        OverlaySpec there = spec;
        there.now_s = flight.start_s + flight.duration_s;
        there.written = nullptr;
        ImDrawList unseen(ImGui::GetDrawListSharedData());
        unseen._ResetForNewFrame();
        unseen.PushTextureID(atlas.TexID);
        unseen.PushClipRectFullScreen();
        draw_overlay(&unseen, fonts, session, bench.derived(), there, bench.translator(), &label_memory);
    }
    LabelMemory on_the_way = label_memory;
    const bool flies = in_flight(flight, spec.now_s) && flight.turn_deg_per_s == 0;
    LabelMemory* memory = !spec.remembers ? nullptr : (flies ? &on_the_way : &label_memory);
    std::vector<LabelBox> standing;
    labels = draw_overlay(list, fonts, session, bench.derived(), spec, bench.translator(), memory, &standing);
    list->PopClipRect();
    for (auto& line : words)
        widgets.note_beside(std::move(line));
    DrawingRoom room;
    room.height_points = drawing.height / (pixels_per_point * session.view.text_scale);
    for (const auto& box : standing) {
        room.taken.push_back({(box.x0 - drawing.x) / drawing.width, (box.y0 - drawing.y) / drawing.height,
                              (box.x1 - drawing.x) / drawing.width, (box.y1 - drawing.y) / drawing.height});
    }
    return room;
}

Interface::Interface(double pixels_per_point) : impl_(std::make_unique<Impl>(pixels_per_point)) {}

Interface::~Interface() = default;

void Interface::feed(const InputEvent& event) { impl_->queue.push_back(event); }

InterfaceFrame Interface::frame(const Workbench& bench, int width, int height, double now_s,
                                const model::Subject& hover) {
    Impl& im = *impl_;
    Widgets& w = im.widgets;
    im.prepare(bench.session(), width, height, now_s);
    InterfaceFrame result;
    PanelContext c{w, bench, result.commands, im.transient, bench.translator()};
    c.shelf = im.shelf.get();
    if (std::exchange(im.tour_wanted, false)) c.act(action("tour"));
    im.transient.hover = hover;
    im.transient.pointed = {};
    im.take_events(c);
    // What a command of this frame changes is not done yet: the tour looks at the next one.
    if (im.transient.tour && result.commands.empty()) im.transient.tour->watch(bench);
    ImGui::NewFrame();

    const WindowPlan plan = plan_window(c, static_cast<float>(width), static_cast<float>(height));
    c.alone = plan.column_extent.x <= 0;
    result.drawing = plan.drawing;
    result.room = bench.session().view.room;
    const Viewport& d = plan.drawing;
    const ImVec2 at{static_cast<float>(d.x), static_cast<float>(d.y)};
    const ImVec2 extent{static_cast<float>(d.width), static_cast<float>(d.height)};
    const Sheet sheet = bench.session().view.sheet;
    if (sheet != Sheet::records) im.transient.jobs_asked = false;
    if (sheet == Sheet::drawing) {
        if (w.begin_region("drawing", at, extent, faded(w.colours.panel, 0), false)) {
            result.pointer_on_drawing = im.pointer.follow(c, d, hover, im.shift, now_s, im.pixels_per_point);
            result.dragging = im.pointer.dragging();
        }
        w.end_region();
    } else if (sheet == Sheet::check) {
        draw_air_check(c, at, extent);
    } else if (sheet == Sheet::chart) {
        draw_chart(c, at, extent);
    } else if (sheet == Sheet::network) {
        draw_network(c, at, extent);
    } else if (sheet == Sheet::road) {
        draw_road(c, at, extent);
    } else if (sheet == Sheet::plan) {
        draw_plan(c, at, extent);
    } else if (sheet == Sheet::job) {
        draw_job(c, at, extent);
    } else if (sheet == Sheet::records) {
        draw_records(c, at, extent);
    } else {
        draw_air_bench(c, at, extent);
    }
    result.pointer_x = double(ImGui::GetIO().MousePos.x);
    result.pointer_y = double(ImGui::GetIO().MousePos.y);

    draw_bar(c, {0, 0}, {static_cast<float>(width), plan.bar});
    if (plan.column_extent.x > 0) draw_column(c, plan.column_at, plan.column_extent);
    if (plan.strip > 0)
        draw_strip(c, {0, static_cast<float>(height) - plan.strip}, {static_cast<float>(width), plan.strip});
    if (plan.tour > 0)
        draw_tour(c, {0, static_cast<float>(height) - plan.strip - plan.tour}, {static_cast<float>(width), plan.tour},
                  d, now_s);
    const float said = draw_notices(c, at, extent, now_s);
    draw_menus(c, at, {extent.x, extent.y - said});
    if (sheet == Sheet::drawing) {
        OverlaySpec labels;
        labels.drawing = d;
        labels.now_s = now_s;
        labels.hover = hover;
        labels.remembers = true;
        result.room = im.overlay(bench, labels);
    }
    im.note.reset();
    if (result.pointer_on_drawing && !im.pointer.dragging()) im.note = draw_hover_note(c, d, hover, im.labels);
    w.end_frame();
    ImGui::Render();
    result.pointed = im.transient.pointed;
    result.ask_jobs = std::exchange(im.transient.ask_jobs, std::nullopt);
    result.open_job = std::exchange(im.transient.open_job, std::nullopt);
    result.save_picture = std::exchange(im.transient.save_picture, std::nullopt);
    result.make_page = std::exchange(im.transient.make_page, std::nullopt);
    result.print_plan = std::exchange(im.transient.print_plan, false);
    if (std::exchange(im.transient.keep_sign, false)) result.keep_sign = im.transient.sign;
    result.next_change_s = im.transient.notices.next_change_s();
    result.tour_ended = std::exchange(im.transient.tour_ended, false);
    result.again = !im.queue.empty() || !result.commands.empty() || std::exchange(im.transient.look_again, false);
    return result;
}

InterfaceFrame Interface::picture_frame(const Workbench& bench, int width, int height, double now_s,
                                        const PictureParts& parts) {
    Impl& im = *impl_;
    im.prepare(bench.session(), width, height, now_s);
    ImGui::NewFrame();
    InterfaceFrame result;
    result.drawing = {0, 0, double(width), double(height)};
    OverlaySpec written;
    written.drawing = result.drawing;
    written.now_s = now_s;
    written.title = parts.title;
    written.labels = parts.labels;
    written.legend = parts.legend;
    written.plates = parts.plates;
    result.room = im.overlay(bench, written);
    im.widgets.end_frame();
    ImGui::Render();
    return result;
}

void Interface::draw() {
    ImGui::SetCurrentContext(impl_->context);
    const ImVec2 whole = ImGui::GetIO().DisplaySize;
    draw_part(0, 0, static_cast<int>(whole.x), static_cast<int>(whole.y));
}

void Interface::draw_part(int x, int y, int width, int height) {
    Impl& im = *impl_;
    ImGui::SetCurrentContext(im.context);
    ImDrawData* data = ImGui::GetDrawData();
    if (data == nullptr) return;
    if (!im.backend || im.texture_stale) {
        if (!im.backend) {
            im.backend = ImGui_ImplOpenGL3_Init("#version 330");
            ImGui_ImplOpenGL3_NewFrame();
        } else {
            ImGui_ImplOpenGL3_DestroyFontsTexture();
            ImGui_ImplOpenGL3_CreateFontsTexture();
        }
        ImGui::GetIO().Fonts->ClearTexData(); // the driver has its own
        im.texture_stale = false;
    }
    // The frame was built before its texture was made, or made anew at another scale: the commands still name the old
    // one.
    for (int list = 0; list < data->CmdListsCount; ++list) {
        for (ImDrawCmd& command : data->CmdLists[list]->CmdBuffer)
            command.TextureId = ImGui::GetIO().Fonts->TexID;
    }
    const ImVec2 pos = data->DisplayPos, extent = data->DisplaySize;
    data->DisplayPos = {pos.x + static_cast<float>(x), pos.y + static_cast<float>(y)};
    data->DisplaySize = {static_cast<float>(width), static_cast<float>(height)};
    ImGui_ImplOpenGL3_RenderDrawData(data);
    data->DisplayPos = pos;
    data->DisplaySize = extent;
}

void Interface::set_shop_sign(const model::ShopSign& sign) { impl_->transient.sign = sign; }
void Interface::show_notice(const std::string& text, const std::string& action) {
    impl_->transient.notices.add(text, action);
}
void Interface::set_shelf(std::shared_ptr<const ShelfPage> page) { impl_->shelf = std::move(page); }
void Interface::start_tour() { impl_->tour_wanted = true; }

const std::map<std::string, Rect>& Interface::items() const { return impl_->widgets.items(); }
const LayoutRecord& Interface::layout() const { return impl_->widgets.layout(); }

} // namespace ringland::viewer
