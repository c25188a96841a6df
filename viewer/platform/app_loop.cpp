#include "app_loop.h"

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <filesystem>
#include <limits>
#include <string_view>
#include <system_error>
#include <utility>

#include <epoxy/gl.h>
#include <fmt/format.h>

#include "../../model-data/map_io.h"
#include "../../model-data/whole_file.h"
#include "../app/outlook.h"
#include "../handout/work_sheet.h"
#include "colour_target.h"
#include "job_keeper.h"
#include "page_maker.h"
#include "save_picture.h"
#include "typed_words.h"

namespace ringland::viewer {
namespace {

constexpr double air_frame_s = 1.0 / 30;
constexpr double rest_after_s = 0.2;
/// A full drawing that takes longer than this makes movement jerk: it is then drawn in haste.
constexpr double slow_drawing_s = 0.03;
/// As much of a full drawing is made in one frame: between two of them the hand is heard.
constexpr double slice_s = 0.02;

double steady_now_s() {
    return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

bool same(const Viewport& a, const Viewport& b) {
    return a.x == b.x && a.y == b.y && a.width == b.width && a.height == b.height;
}

bool is_photo(const std::filesystem::path& file) {
    const std::string ending = lower(file.extension().string());
    constexpr std::array<std::string_view, 7> endings{".jpg", ".jpeg", ".png", ".webp", ".heic", ".tif", ".tiff"};
    return std::find(endings.begin(), endings.end(), ending) != endings.end();
}

} // namespace

bool AppLoop::Standpoint::same_as(const Standpoint& other) const {
    return camera == other.camera && section == other.section && lying == other.lying &&
           shapes_revision == other.shapes_revision && apart == other.apart && taken == other.taken &&
           same(drawing, other.drawing);
}

double seconds_to_next_frame(const Pace& pace) {
    if (pace.frames_owed > 0 || pace.flying) return 0;
    double wait_s = std::max(0.0, pace.panels_in_s);
    if (pace.air_moves)
        wait_s = std::min(wait_s, std::max(0.0, air_frame_s - pace.since_frame_s));
    else if (pace.unsettled)
        wait_s = std::min(wait_s, std::max(0.0, rest_after_s - pace.since_change_s));
    return wait_s;
}

void reframe(Workbench& bench, double aspect_before, double aspect, const DrawingRoom& room, double now_s) {
    const Session& session = bench.session();
    const Sheet sheet = session.view.sheet;
    const Viewpoint viewpoint = session.view.viewpoint;
    const bool section = session.view.section;
    const bool at_named_view =
        session.view.flight.to == named_camera(session, bench.derived(), viewpoint, aspect_before);
    bench.set_aspect(aspect);
    bench.set_room(room);
    if (!at_named_view) return;
    // Long past, so that the camera is there already.
    bench.dispatch(command::ShowView{viewpoint}, now_s - 10);
    if (bench.session().view.section != section) bench.dispatch(command::SetSection{section}, now_s - 10);
    // To frame anew is no wish to see the drawing.
    if (bench.session().view.sheet != sheet) bench.dispatch(command::ShowSheet{sheet}, now_s);
}

AppLoop::AppLoop(Workbench& bench, Renderer& renderer, Interface& interface, double pixels_per_point)
    : bench_(bench), renderer_(renderer), interface_(interface), pixels_per_point_(pixels_per_point),
      revision_seen_(bench.revision()) {}

AppLoop::~AppLoop() = default;

void AppLoop::event(const InputEvent& event) {
    interface_.feed(event);
    frames_owed_ = 3;
    if (!std::holds_alternative<input::MouseMove>(event)) hand_active_ = true;
    const auto* button = std::get_if<input::MouseButton>(&event);
    const auto* key = std::get_if<input::KeyPress>(&event);
    if ((button != nullptr && button->down) || (key != nullptr && key->down) ||
        std::holds_alternative<input::MouseWheel>(event))
        hand_pressed_ = true;
    pointer_came_ = pointer_came_ || std::holds_alternative<input::MouseMove>(event) ||
                    std::holds_alternative<input::MouseButton>(event);
}

void AppLoop::dispatch(const Command& command, double now_s) {
    carry_out(command, now_s);
    frames_owed_ = 3;
}

void AppLoop::drop(const std::string& path, double now_s) {
    const Translator& tr = bench_.translator();
    const std::filesystem::path file(path);
    frames_owed_ = 3;
    if (is_photo(file)) {
        take_photo(path, now_s);
        return;
    }
    if (file.extension() != ".toml") {
        notice_ =
            filled(tr("{0} is no map of a unit: a map is a text file that ends in .toml. Drag one of these here."),
                   file.filename().string());
        interface_.show_notice(notice_);
        return;
    }
    const bool had_unit = !bench_.session().document.map.circuits.empty();
    const std::string why = bench_.dispatch(command::OpenMap{path}, now_s);
    if (!why.empty()) {
        notice_ = filled(tr("{0} was not opened. {1}"), file.filename().string(), why);
        interface_.show_notice(notice_);
        return;
    }
    interface_.show_notice(filled(tr("{0} is open."), bench_.session().document.map.unit.name), had_unit ? "undo" : "");
}

/// A photo belongs to the finding at the seal that is selected.
void AppLoop::take_photo(const std::string& path, double now_s) {
    const Translator& tr = bench_.translator();
    const model::Subject& selected = bench_.session().view.selected;
    const std::string name = std::filesystem::path(path).filename().string();
    if (selected.kind != model::SubjectKind::seal) {
        notice_ = filled(tr("{0} belongs to a finding: select the seal that it shows, then drag it here again."), name);
        interface_.show_notice(notice_);
        return;
    }
    const std::string why = bench_.dispatch(command::EditJob{job_edit::Photo{selected.id, path, true}}, now_s);
    notice_ = why.empty() ? filled(tr("{0} is noted with {1}. The file stays where it is."), name, selected.id) : why;
    interface_.show_notice(notice_, why.empty() ? "undo" : "");
}

/// True where the interface has something new to show.
bool AppLoop::carry_out(const Command& command, double now_s) {
    const unsigned long before = bench_.revision();
    const std::string why = bench_.dispatch(command, now_s);
    if (!why.empty()) {
        notice_ = why;
        interface_.show_notice(why);
    }
    return !why.empty() || bench_.revision() != before;
}

void AppLoop::ask_frame() { frames_owed_ = std::max(frames_owed_, 1); }

Pace AppLoop::pace(double now_s) const {
    Pace pace;
    pace.frames_owed = frames_owed_;
    const View& view = bench_.session().view;
    pace.flying = in_flight(view.flight, now_s) || in_motion(view.taking, now_s);
    pace.air_moves = bench_.derived().air.has_value() && view.sheet == Sheet::drawing && !view.reduced_motion &&
                     now_s - last_act_s_ < air_runs_s;
    pace.panels_in_s = panels_change_s_ - now_s;
    pace.unsettled = unsettled_;
    pace.since_frame_s = now_s - last_frame_s_;
    pace.since_change_s = now_s - last_move_s_;
    return pace;
}

double AppLoop::next_frame_in_s(double now_s) const { return seconds_to_next_frame(pace(now_s)); }
bool AppLoop::frame_due(double now_s) const { return next_frame_in_s(now_s) <= 0; }

/// Builds the interface and carries out what it asks for; where that changed something it is built a second time, so
/// that the answer to a click stands in the same frame as the click.
InterfaceFrame AppLoop::build_interface(int width, int height, double now_s) {
    tell_remarks();
    InterfaceFrame built;
    for (int pass = 0; pass < 2; ++pass) {
        built = interface_.frame(bench_, width, height, now_s, hover_);
        if (built.save_picture) picture_wanted_ = built.save_picture;
        tour_ended_ = tour_ended_ || built.tour_ended;
        bool changed = false;
        for (const auto& command : built.commands)
            changed = carry_out(command, now_s) || changed;
        changed = keep_job(built, now_s) || changed;
        changed = make_page(built) || changed;
        changed = print_plan(built) || changed;
        keep_sign(built);
        drawing_ = built.drawing;
        const double aspect = drawing_.height > 0 ? drawing_.width / drawing_.height : aspect_;
        if (std::abs(aspect - aspect_) > 1e-9 || !(built.room == bench_.session().view.room)) {
            reframe(bench_, aspect_ > 0 ? aspect_ : 16.0 / 9.0, aspect, built.room, now_s);
            aspect_ = aspect;
            changed = true;
        }
        if (!changed) break;
    }
    panels_change_s_ = built.next_change_s;
    return built;
}

/// Warnings of a map and of its shapes do not stop anybody, but they are said once, when the map is opened.
void AppLoop::tell_remarks() {
    const Translator& tr = bench_.translator();
    if (shapes_told_ == bench_.derived().shapes_revision) return;
    shapes_told_ = bench_.derived().shapes_revision;
    auto remarks = bench_.faults();
    remarks.insert(remarks.end(), bench_.derived().shape_faults.begin(), bench_.derived().shape_faults.end());
    if (remarks.empty()) return;
    notice_ = remarks.size() == 1 ? model::to_string(remarks.front(), tr)
                                  : filled(tr("{0} remarks on this map; the first: {1}"), remarks.size(),
                                           model::to_string(remarks.front(), tr));
    interface_.show_notice(notice_);
}

/// What was entered goes into the records, and what came from there into the
/// session; true where that shows.
bool AppLoop::keep_job(const InterfaceFrame& built, double now_s) {
    if (keeper_ == nullptr) return false;
    keeper_->speak(bench_.translator());
    keeper_->keep(bench_.session().document, bench_.undo_name().value_or(bench_.translator()("take back")),
                  bench_.taken_back_job());
    if (built.ask_jobs) keeper_->ask(*built.ask_jobs);
    if (bench_.session().view.sheet != Sheet::records) keeper_->look_away();
    if (built.open_job) keeper_->open(*built.open_job);
    bool shows = false;
    if (const auto came = keeper_->take_elsewhere(); came && bench_.take_over(came->base, came->now, now_s)) {
        const Translator& tr = bench_.translator();
        notice_ = filled(tr("Came from another window: {0} ({1})"), came->label, came->bench);
        interface_.show_notice(notice_);
        shows = true;
    }
    auto page = keeper_->page();
    shows = shows || page != page_;
    page_ = page;
    interface_.set_shelf(std::move(page));
    if (auto failures = keeper_->take_failures(); failures && !(failures->empty() && bench_.shop().empty())) {
        bench_.set_shop(std::move(*failures));
        shows = true;
    }
    if (const auto job = keeper_->take_opened()) {
        notice_ = bench_.open_job(*job, now_s);
        if (notice_.empty())
            carry_out(command::ShowSheet{Sheet::job}, now_s);
        else
            interface_.show_notice(notice_);
        shows = true;
    }
    if (const std::string remark = keeper_->take_remark(); !remark.empty()) {
        notice_ = remark;
        interface_.show_notice(remark);
        shows = true;
    }
    if (shows) frames_owed_ = std::max(frames_owed_, 2);
    return shows;
}

/// Has the customer's page made where that was asked for, and tells what came of it; true where that shows.
bool AppLoop::make_page(const InterfaceFrame& built) {
    const Translator& tr = bench_.translator();
    std::optional<std::string> words;
    if (page_maker_ != nullptr) words = page_maker_->take_news();
    if (built.make_page && page_maker_ == nullptr) words = tr("This window has no program to make pages with.");
    if (built.make_page && page_maker_ != nullptr) {
        const Document& d = bench_.session().document;
        PageOrder order{d.job,
                        d.bench,
                        built.make_page->browser,
                        built.make_page->a4,
                        built.make_page->language,
                        tr,
                        bench_.session().view.units,
                        documents_folder(),
                        page_name(d)};
        // What the shop has found before counts on the page as it does in the window.
        if (!bench_.shop().empty()) order.job.map_toml = model::write_map_text(*bench_.weighed_map());
        const std::string why = page_maker_->begin(std::move(order));
        words = why.empty() ? tr("The customer's page is being made ...") : why;
    }
    if (!words) return false;
    notice_ = *words;
    interface_.show_notice(notice_);
    frames_owed_ = std::max(frames_owed_, 2);
    return true;
}

/// Writes the way in that is shown as a work sheet where that was asked for; true where that shows.
bool AppLoop::print_plan(const InterfaceFrame& built) {
    const auto& way = bench_.derived().way;
    if (!built.print_plan || way == nullptr) return false;
    const Session& session = bench_.session();
    const auto file = free_name(documents_folder(), page_name(session.document) + "-work-sheet", ".pdf");
    const bool metric = session.view.units == UnitSystem::bar_mm;
    const std::string why = write_work_sheet(file.string(), bench_.translator(), *way->asked.map, way->plan,
                                             {metric ? PaperSize::a4 : PaperSize::letter, session.view.units});
    const Translator& tr = bench_.translator();
    notice_ = why.empty() ? filled(tr("Work sheet saved: {0}"), file.string())
                          : filled(tr("No work sheet was made: {0}"), why);
    interface_.show_notice(notice_);
    frames_owed_ = std::max(frames_owed_, 2);
    return true;
}

void AppLoop::use_sign(const std::filesystem::path& file, const model::ShopSign& sign) {
    sign_file_ = file;
    interface_.set_shop_sign(sign);
}

void AppLoop::keep_sign(const InterfaceFrame& built) {
    if (!built.keep_sign || sign_file_.empty()) return;
    std::error_code error;
    std::filesystem::create_directories(sign_file_.parent_path(), error);
    const std::string text = model::write_shop_sign_text(*built.keep_sign);
    const std::string why = model::write_whole_file(sign_file_, text.data(), text.size());
    if (why.empty()) return;
    const Translator& tr = bench_.translator();
    notice_ = filled(tr("The name of the shop could not be kept: {0}"), why);
    interface_.show_notice(notice_);
    frames_owed_ = std::max(frames_owed_, 2);
}

void AppLoop::note_changes(double now_s) {
    if (hand_active_) last_act_s_ = now_s;
    hand_active_ = false;
    if (bench_.revision() == revision_seen_) return;
    revision_seen_ = bench_.revision();
    last_act_s_ = now_s;
    frames_owed_ = std::max(frames_owed_, 2);
}

/// The first frame ever is no move: nothing was there to move.
void AppLoop::note_move(double now_s) {
    const View& view = bench_.session().view;
    const Standpoint now{
        camera_at(view.flight, now_s), view.section, view.lying, bench_.derived().shapes_revision, view.apart,
        taken_at(view.taking, now_s),  drawing_};
    if (now.same_as(standpoint_)) return;
    standpoint_ = now;
    if (drawings_drawn_ > 0) last_move_s_ = now_s;
}

void AppLoop::draw_drawing(unsigned framebuffer, int width, int height, double now_s) {
    note_move(now_s);
    const Pace now = pace(now_s);
    // While the view moves, a drawing in full quality would come too late where it takes long. What only changes its
    // colours is drawn in full quality over the old one, a slice at a time.
    const bool moving = now.flying || now.since_change_s < rest_after_s;
    const bool still = !moving || !slow_;
    // Another sheet stands over the drawing: what was drawn last stays below it.
    const bool covered =
        kept_ && bench_.session().view.sheet != Sheet::drawing && kept_->width() == width && kept_->height() == height;
    const bool unchanged =
        covered || (kept_ && !now.flying && !now.air_moves && kept_for_.revision == bench_.revision() &&
                    kept_for_.hover == hover_ && same(kept_for_.drawing, drawing_) && kept_for_.width == width &&
                    kept_for_.height == height && kept_for_.still == still && kept_for_.finished);
    if (!unchanged) {
        if (!kept_ || kept_->width() != width || kept_->height() != height) {
            kept_.reset();
            kept_ = std::make_unique<ColourTarget>(width, height);
        }
        FrameSpec spec;
        spec.width = width;
        spec.height = height;
        spec.drawing = drawing_;
        spec.pixels_per_point = pixels_per_point_;
        spec.now_s = now_s;
        spec.air_travel_points = air_travel_points_;
        spec.still = still;
        spec.slice_s = slow_ ? slice_s : 0;
        spec.hover = hover_;
        const double begin_s = steady_now_s();
        const unsigned long before = renderer_.figures().finished;
        const bool finished = renderer_.draw(kept_->framebuffer(), bench_.session(), bench_.derived(), spec);
        if (still) {
            glFinish();
            full_took_s_ += steady_now_s() - begin_s;
        }
        if (renderer_.figures().finished != before) {
            // The first one also compiles and uploads; it says nothing of the next.
            slow_ = before == 0 || full_took_s_ > slow_drawing_s;
        }
        if (finished || !still) full_took_s_ = 0;
        kept_for_ = {bench_.revision(), hover_, drawing_, width, height, finished, still};
        ++drawings_drawn_;
    }
    unsettled_ = !covered && (!kept_for_.still || !kept_for_.finished);
    kept_->copy_to(framebuffer);
}

void AppLoop::update_hover(const InterfaceFrame& built) {
    // While the view moves under a resting pointer, what it points at is asked when the view rests.
    const View& view = bench_.session().view;
    const bool moving =
        in_flight(view.flight, last_frame_s_) || in_motion(view.taking, last_frame_s_) || last_move_s_ == last_frame_s_;
    if (moving && !pointer_came_) return;
    pointer_came_ = false;
    model::Subject now;
    if (built.pointer_on_drawing && !built.dragging) now = renderer_.pick(built.pointer_x, built.pointer_y);
    if (!built.pointer_on_drawing) now = built.pointed;
    if (now == hover_) return;
    hover_ = now;
    frames_owed_ = std::max(frames_owed_, 2);
}

void AppLoop::frame(unsigned framebuffer, int width, int height, double now_s) {
    if (frames_owed_ > 0) --frames_owed_;
    // Carried on from frame to frame, so that a change of speed is no jump. A long gap is a window that was at rest.
    const double gone_s = std::clamp(now_s - last_frame_s_, 0.0, 0.1);
    if (pace(now_s).air_moves) // not while a drawing at rest gets its last slices
        air_travel_points_ += gone_s * air_pace(shown_lpm(bench_.session(), bench_.derived())).speed_points_per_s;
    if (bench_.work_on()) frames_owed_ = std::max(frames_owed_, 1);
    // A ride and a turntable end at the first touch; what that touch asked for comes first.
    const Flight before = bench_.session().view.flight;
    const InterfaceFrame built = build_interface(width, height, now_s);
    const Flight& after = bench_.session().view.flight;
    if (std::exchange(hand_pressed_, false) && goes_by_itself(before, now_s) && goes_by_itself(after, now_s) &&
        after.start_s == before.start_s)
        dispatch(command::Stay{}, now_s);
    note_changes(now_s);
    draw_drawing(framebuffer, width, height, now_s);
    last_frame_s_ = now_s;
    glBindFramebuffer(GL_FRAMEBUFFER, framebuffer);
    glViewport(0, 0, width, height);
    interface_.draw();
    if (picture_wanted_) {
        notice_ = save_picture(bench_, *std::exchange(picture_wanted_, std::nullopt), aspect_);
        interface_.show_notice(notice_);
        frames_owed_ = 3;
        glBindFramebuffer(GL_FRAMEBUFFER, framebuffer);
    }
    update_hover(built);
    if (built.again) frames_owed_ = std::max(frames_owed_, 1);
    ++frames_drawn_;
}

} // namespace ringland::viewer
