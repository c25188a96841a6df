// The session: one plain value that says everything a window shows.
//
// Two parts. The document is what the rebuilder entered: saved and undoable. The view is how he looks at it: saved, not
// undoable. Nothing else remembers. What follows from these (layout, answer, air path) is in derived.h and is never
// edited; what lasts only as long as a hand hovers stays in its panel. All change goes through commands.h.
#pragma once

#include <array>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include <glm/vec3.hpp>

#include "../../model-data/air_bench.h"
#include "../../model-data/job.h"
#include "../../model-data/priors.h"
#include "../../model-data/readings.h"
#include "../../model-data/shapes.h"
#include "../../model-data/unit_map.h"

namespace ringland::viewer {

/// Saved and undoable.
struct Document {
    std::string map_path;
    model::UnitMap map;
    std::string air_into;                       ///< port id, or empty
    std::string came_out;                       ///< port id, or empty
    model::AirCheck check;                      ///< readings so far; the last one is current while its air is still on
    std::optional<model::GaugePressure> supply; ///< at the regulator; absent: the map's figure, or the bench's
    model::AirBench bench;
    model::Priors priors;
    model::Job job;           ///< begins with the first thing that is entered; without an id there is none yet
    std::size_t check_at = 0; ///< which air check of the job `check` is; the job has it as well (job_edit.h)
    friend bool operator==(const Document&, const Document&) = default;
};

enum class Viewpoint { bench, section, stack, follow };
/// What stands in the middle of the window.
enum class Sheet {
    drawing,
    check,   ///< the air check: what came out where, who is suspected, what is next
    chart,   ///< what a healthy unit shows, every port into every other
    network, ///< pressures and flows of the case as it is set
    bench,   ///< the shop's air: temperature, hose, what is called faint; and leak-down
    road,    ///< what the leak does with hot oil, range by range, and what the driver complains of
    plan,    ///< the way in: what comes off, what is renewed, the way back
    job,     ///< the job: complaint, air checks, findings, measurements, parts, retest
    records  ///< the jobs of the shop
};
enum class Theme { light, dark };
enum class UnitSystem { psi_inch, bar_mm };

/// Where the eye is, in world space (unit space turned by how the unit lies): it looks from `distance` mm at `target`.
struct Camera {
    glm::dvec3 target{0};
    double distance = 1000;
    double azimuth_deg = -35;  ///< about world z, 0 looks along -y... see camera.h for the exact frame
    double elevation_deg = 20; ///< above the horizon
    friend bool operator==(const Camera& a, const Camera& b) {
        return a.target == b.target && a.distance == b.distance && a.azimuth_deg == b.azimuth_deg &&
               a.elevation_deg == b.elevation_deg;
    }
};

/// Where the camera is so long after a ride began; in between it goes straight.
struct RideStop {
    double at_s = 0;
    Camera camera;
};

/// A move of the camera that began at a time and can be interrupted at any instant.
struct Flight {
    Camera from, to;
    double start_s = 0;
    double duration_s = 0; ///< 0: the camera stands at `to`
    /// On the way it passes these, in the order of time; the last lies before the end.
    std::shared_ptr<const std::vector<RideStop>> ride = nullptr;
    double turn_deg_per_s = 0; ///< once there it goes round, as on a turntable
};

/// The room that named views have in the drawing, beside what stands on it.
struct DrawingRoom {
    /// A box that is taken, in shares of the drawing's width and height from its top left.
    struct Taken {
        double x0 = 0, y0 = 0, x1 = 0, y1 = 0;
        friend bool operator==(const Taken&, const Taken&) = default;
    };
    double height_points = 720; ///< of the drawing, in points as letters have them
    std::vector<Taken> taken;   ///< by title, legend and the mark of the engine end
    friend bool operator==(const DrawingRoom&, const DrawingRoom&) = default;
};

/// How many steps of the way in are done in the drawing, on its way from one number to another.
struct Taking {
    double from = 0, to = 0;
    double start_s = 0;
    double duration_s = 0; ///< 0: it stands at `to`
    friend bool operator==(const Taking&, const Taking&) = default;
};

/// Saved, not undoable.
struct View {
    Sheet sheet = Sheet::drawing;
    Viewpoint viewpoint = Viewpoint::bench;
    bool section = false; ///< half cut open
    model::Lying lying = model::Lying::belly_up;
    Flight flight;
    model::Subject selected; ///< looked at, without being part of the question
    std::string suspect;     ///< which of the dividing seals is shown, by id; empty: the first
    double what_if_mm = 2;   ///< hole that is imagined in the seal that is shown, equivalent diameter; 0: it is sound
    Theme theme = Theme::light;
    UnitSystem units = UnitSystem::psi_inch;
    std::string language = "en";    ///< by its code; texts.h knows which there are
    double text_scale = 1;          ///< 1 to 2.5
    bool reduced_motion = false;    ///< views change at once, and the air stands still
    DrawingRoom room;               ///< what named views frame for
    Taking taking;                  ///< the way in, part after part; nothing of it while `apart` is not 0
    double apart = 0;               ///< how far the unit is taken apart along its axis: 0 together, 1 all free
    std::vector<std::string> alone; ///< circuits that are shown alone, one or two; empty: everything is shown
    bool dimensions = false;        ///< of the ring that is shown, with arrows
    /// Where a hand left the camera in each view, so that coming back finds it there.
    struct Left {
        Camera camera;
        bool section = false;
    };
    std::array<std::optional<Left>, 4> left;
};

struct Session {
    Document document;
    View view;
};

/// The reading that is being made: the last one, while its air is on. Nothing before the first word of it.
[[nodiscard]] const model::Reading* current_reading(const Document& document);
/// What was seen at a port in it.
[[nodiscard]] const model::Seen* seen_at(const Document& document, const std::string& port);
/// The word of it at the port where it came out.
[[nodiscard]] std::optional<model::Heard> seen_word(const Document& document);

} // namespace ringland::viewer

// Words of the text form of commands and of the command line.
namespace ringland::model {
template <> struct EnumNames<viewer::Viewpoint> {
    static constexpr std::array<std::string_view, 4> words{"bench", "section", "stack", "follow"};
};
template <> struct EnumNames<viewer::Sheet> {
    static constexpr std::array<std::string_view, 9> words{"drawing", "air-check", "chart", "network", "air-bench",
                                                           "road",    "plan",      "job",   "records"};
};
template <> struct EnumNames<viewer::Theme> {
    static constexpr std::array<std::string_view, 2> words{"light", "dark"};
};
template <> struct EnumNames<viewer::UnitSystem> {
    static constexpr std::array<std::string_view, 2> words{"psi-inch", "bar-mm"};
};
} // namespace ringland::model
