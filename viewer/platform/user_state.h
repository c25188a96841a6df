// How a person likes the window, and whether the tour was seen: kept from start to start in a small file of his own.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "../app/commands.h"

namespace ringland::viewer {

struct UserState {
    bool tour_seen = false;
    bool reduced_motion = false;
    Theme theme = Theme::light;
    UnitSystem units = UnitSystem::psi_inch;
    double text_scale = 1;
    std::string language; ///< by its code; empty: as the environment asks
    std::string job;      ///< id of the job that was open; empty: none
    Sheet sheet = Sheet::drawing;
    friend bool operator==(const UserState&, const UserState&) = default;
};

/// Where it is kept: `ringland/window.toml` in the folder XDG_STATE_HOME, or in .local/state of the home folder where
/// that is not set. Empty where no home is known. The file need not be there.
[[nodiscard]] std::filesystem::path state_of_user();

/// One `key = value` a line. What is missing, unknown or wrong is as at the first start: nothing here is worth a word.
[[nodiscard]] UserState parse_state(std::string_view text);
[[nodiscard]] std::string state_text(const UserState& state);

[[nodiscard]] UserState read_state(const std::filesystem::path& file);
/// Empty, or why it could not be written.
[[nodiscard]] std::string write_state(const std::filesystem::path& file, const UserState& state);

/// What of a session is kept; the tour is not in it.
[[nodiscard]] UserState state_of(const Session& session);
/// The commands that bring a fresh view to it; its job and sheet come with the job.
[[nodiscard]] std::vector<Command> commands_of(const UserState& state);

} // namespace ringland::viewer
