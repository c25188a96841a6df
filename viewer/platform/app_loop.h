// One turn of the program: events in, interface, commands, drawing. The window and the tests run the same loop; they
// differ only in where events come from and where the frame goes.
//
// The interface and the drawing are two layers. The drawing is by far the dearer one, so it is kept in a frame buffer
// of its own and drawn anew only when something in it changed: a pointer that moves over a panel costs a panel.
#pragma once

#include <filesystem>
#include <limits>
#include <memory>
#include <optional>
#include <string>
#include <utility>

#include "../app/commands.h"
#include "../render/renderer.h"
#include "../ui/interface.h"

namespace ringland::viewer {

class ColourTarget;
class JobKeeper;
class PageMaker;

/// How long the air runs after the last act of the hand; then it stands still, arrow heads and all.
inline constexpr double air_runs_s = 6;

/// What decides when the next frame is drawn.
struct Pace {
    int frames_owed = 0;       ///< after an event: the interface settles within three frames
    bool flying = false;       ///< the camera is on its way
    bool air_moves = false;    ///< an air path is shown and the hand was active within air_runs_s
    bool unsettled = false;    ///< the last frame was not in full quality: it is still to come
    double since_frame_s = 0;  ///< since the last frame began
    double since_change_s = 0; ///< since the view last moved
    double panels_in_s = std::numeric_limits<double>::infinity(); ///< until the panels change by themselves
};

/// Seconds until a frame is due: 0 now, infinity never. Frames owed and flights come as fast as the screen shows them,
/// air at 30 a second, full quality from 0.2 s after the last move on, slice by slice. An idle window is due no frame
/// at all.
[[nodiscard]] double seconds_to_next_frame(const Pace& pace);

/// Tells the workbench the shape of the drawing, and what of it is free. A camera that stood at a named view stands at
/// it again, framed anew; one that a hand has moved stays.
void reframe(Workbench& bench, double aspect_before, double aspect, const DrawingRoom& room, double now_s);

class AppLoop {
public:
    AppLoop(Workbench& bench, Renderer& renderer, Interface& interface, double pixels_per_point);
    ~AppLoop();
    AppLoop(const AppLoop&) = delete;
    AppLoop& operator=(const AppLoop&) = delete;

    /// Where jobs are kept; without one they last as long as the window.
    void use_keeper(JobKeeper* keeper) { keeper_ = keeper; }
    /// Who makes the customer's page; without one there is none.
    void use_page_maker(PageMaker* maker) { page_maker_ = maker; }
    /// Where the shop's name and sign are kept, and what they are; without it they are forgotten with the window.
    void use_sign(const std::filesystem::path& file, const model::ShopSign& sign);
    void event(const InputEvent& event);
    /// Carries out a command that comes from elsewhere than the interface: a dropped file, a script.
    void dispatch(const Command& command, double now_s);
    /// Opens a map that was dragged onto the window, takes a photo to the finding at the selected seal, or says why it
    /// is neither.
    void drop(const std::string& path, double now_s);
    /// Asks for a frame though nothing changed: the window was uncovered.
    void ask_frame();
    /// True while a frame is due at that time: after an event for a few frames, during a flight, while air moves.
    [[nodiscard]] bool frame_due(double now_s) const;
    /// Seconds until one is due; infinity where none is.
    [[nodiscard]] double next_frame_in_s(double now_s) const;
    /// Draws one frame into a framebuffer object (0: the window).
    void frame(unsigned framebuffer, int width, int height, double now_s);
    [[nodiscard]] unsigned long frames_drawn() const { return frames_drawn_; }
    /// Of these, frames for which the drawing itself was drawn anew.
    [[nodiscard]] unsigned long drawings_drawn() const { return drawings_drawn_; }
    [[nodiscard]] const model::Subject& hover() const { return hover_; }
    [[nodiscard]] const Viewport& drawing() const { return drawing_; }
    /// True once after the tour came to its end, or was skipped.
    [[nodiscard]] bool tour_ended() { return std::exchange(tour_ended_, false); }
    [[nodiscard]] const std::string& notice() const { return notice_; } ///< last refusal or remark, in words

private:
    /// From where the unit is seen: while it changes the view moves.
    struct Standpoint {
        Camera camera;
        bool section = false;
        model::Lying lying = model::Lying::belly_up;
        unsigned long shapes_revision = 0;
        double apart = 0, taken = 0;
        Viewport drawing;
        [[nodiscard]] bool same_as(const Standpoint& other) const;
    };
    /// What the kept drawing was drawn for.
    struct Drawn {
        unsigned long revision = 0;
        model::Subject hover;
        Viewport drawing;
        int width = 0, height = 0;
        bool finished = false; ///< in the quality that was asked for
        bool still = false;
    };

    [[nodiscard]] Pace pace(double now_s) const;
    void take_photo(const std::string& path, double now_s);
    bool carry_out(const Command& command, double now_s);
    InterfaceFrame build_interface(int width, int height, double now_s);
    void tell_remarks();
    bool keep_job(const InterfaceFrame& built, double now_s);
    bool make_page(const InterfaceFrame& built);
    bool print_plan(const InterfaceFrame& built);
    void keep_sign(const InterfaceFrame& built);
    void note_changes(double now_s);
    void draw_drawing(unsigned framebuffer, int width, int height, double now_s);
    void note_move(double now_s);
    void update_hover(const InterfaceFrame& built);

    Workbench& bench_;
    Renderer& renderer_;
    Interface& interface_;
    double pixels_per_point_;
    JobKeeper* keeper_ = nullptr;
    PageMaker* page_maker_ = nullptr;
    std::filesystem::path sign_file_;
    std::shared_ptr<const ShelfPage> page_; ///< that the interface has
    std::unique_ptr<ColourTarget> kept_;
    Drawn kept_for_;
    int frames_owed_ = 3;
    bool hand_active_ = false;  ///< an event other than a mere movement of the pointer came since the last frame
    bool hand_pressed_ = false; ///< a key, a button or the wheel, since the last frame
    bool unsettled_ = false;
    bool slow_ = true;          ///< a drawing in full quality takes longer than a moving picture can wait
    bool pointer_came_ = false; ///< the pointer did something since the last frame
    double full_took_s_ = 0;    ///< so far, for the drawing in full quality that is under way
    Standpoint standpoint_;
    double last_frame_s_ = -1e9, last_act_s_ = -1e9, last_move_s_ = -1e9;
    unsigned long frames_drawn_ = 0, drawings_drawn_ = 0;
    unsigned long revision_seen_ = 0;
    unsigned long shapes_told_ = ~0ul; ///< map whose remarks have been shown
    double air_travel_points_ = 0;
    double aspect_ = 0;
    model::Subject hover_;
    Viewport drawing_;
    std::optional<int> picture_wanted_; ///< height of a picture that is to be saved after this frame
    std::string notice_;
    double panels_change_s_ = std::numeric_limits<double>::infinity();
    bool tour_ended_ = false;
};

} // namespace ringland::viewer
