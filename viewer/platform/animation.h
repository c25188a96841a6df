// The moving air as a film that begins again without a jump: an animated WebP, or numbered PNG files.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "picture.h"

namespace ringland::viewer {

struct FilmSpec {
    double seconds = 2;
    double frames_per_second = 20;
};

inline constexpr double least_film_s = 0.2, most_film_s = 30;
inline constexpr double least_film_rate = 2, most_film_rate = 60;
/// A film's frames are drawn in one piece.
inline constexpr int film_max_width = 1920, film_max_height = 1088;

/// How far the air has come in each frame, points: whole arrow spacings over the film, so that the frame after the last
/// is the first; near the air's own pace, and slow enough that the eye sees which way it goes.
struct FilmPlan {
    std::vector<double> travel_points;
    int frame_ms = 50; ///< how long each is shown
};
[[nodiscard]] FilmPlan plan_film(const FilmSpec& spec, double speed_points_per_s, double spacing_points);

/// Draws one frame of a film.
using FramePainter = std::function<Image(double travel_points)>;

/// An animated WebP without loss that runs for ever; error text, empty on success. Title and description go into its
/// XMP. The file is complete or absent.
[[nodiscard]] std::string write_webp(const std::string& file, const FilmPlan& plan, const FramePainter& paint,
                                     const std::vector<PictureText>& texts = {});

/// "air-%03d.png": one place for the number, with or without a width of at most two digits. Nothing where it has none
/// or more than that.
struct NumberedName {
    std::string before, after;
    int width = 0;
    [[nodiscard]] std::string at(int number) const;
};
[[nodiscard]] std::optional<NumberedName> numbered_name(const std::string& file);

/// One PNG for each frame, numbered from 0; error text, empty on success.
[[nodiscard]] std::string write_sequence(const NumberedName& name, const FilmPlan& plan, const FramePainter& paint,
                                         const std::vector<PictureText>& texts = {});

} // namespace ringland::viewer
