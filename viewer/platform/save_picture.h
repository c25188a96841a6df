// The window's own pictures: where they go, and how they are called.
#pragma once

#include <filesystem>
#include <string>

#include "../app/commands.h"

namespace ringland::viewer {

/// The user's folder of a kind: as an environment variable of that name or user-dirs.dirs say it, else its usual name
/// below HOME where that is there, else the working folder.
[[nodiscard]] std::filesystem::path folder_of_user(const std::string& variable, const char* usual);
/// NAME with its ending in a folder; with -2, -3 and so on where that is taken: nothing replaces anything.
[[nodiscard]] std::filesystem::path free_name(const std::filesystem::path& folder, const std::string& name,
                                              const std::string& ending);

/// The user's folder for pictures: as XDG_PICTURES_DIR or user-dirs.dirs say it, else HOME/Pictures where that is
/// there, else the working folder.
[[nodiscard]] std::filesystem::path pictures_folder();

/// "larch-five-stack.png" in a folder; with -2, -3 and so on where that is taken: no picture replaces another.
[[nodiscard]] std::filesystem::path free_picture_name(const std::filesystem::path& folder, const Session& session);

/// Draws the window's session as `ringland picture` draws it, in the current OpenGL context, 16:9 and of that height,
/// and writes it into the user's folder. What is to be told: where it is, or why there is none.
[[nodiscard]] std::string save_picture(const Workbench& bench, int height, double window_aspect);

} // namespace ringland::viewer
