#include "user_state.h"

#include <array>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <locale>
#include <optional>
#include <sstream>
#include <system_error>

#include <fmt/format.h>

#include "../../model-data/whole_file.h"

namespace ringland::viewer {

namespace fs = std::filesystem;

namespace {

constexpr std::size_t most_bytes = 4096; ///< a larger file is none of ours

std::string unquoted(std::string_view text) {
    const auto blank = [](char c) { return c == ' ' || c == '\t' || c == '\r'; };
    while (!text.empty() && blank(text.front()))
        text.remove_prefix(1);
    while (!text.empty() && blank(text.back()))
        text.remove_suffix(1);
    if (text.size() >= 2 && text.front() == '"' && text.back() == '"') text = text.substr(1, text.size() - 2);
    return std::string(text);
}

void take(UserState& state, const std::string& key, const std::string& value) {
    if (key == "tour_seen") state.tour_seen = value == "true";
    if (key == "reduced_motion") state.reduced_motion = value == "true";
    if (key == "theme") state.theme = model::from_word<Theme>(value).value_or(state.theme);
    if (key == "language" && is_language(value)) state.language = value;
    if (key == "units") state.units = model::from_word<UnitSystem>(value).value_or(state.units);
    if (key == "sheet") state.sheet = model::from_word<Sheet>(value).value_or(state.sheet);
    if (key == "job" && value.size() == 32 && value.find_first_not_of("0123456789abcdef") == std::string::npos)
        state.job = value;
    if (key == "text_scale") {
        std::istringstream stream(value);
        stream.imbue(std::locale::classic());
        double scale = 0;
        if (stream >> scale && scale >= least_text_scale && scale <= most_text_scale) state.text_scale = scale;
    }
}

} // namespace

fs::path state_of_user() {
    const auto folder = [](const char* variable) {
        const char* value = std::getenv(variable);
        const fs::path path(value == nullptr ? "" : value);
        return path.is_absolute() ? path : fs::path(); // the XDG rules pass over a relative one
    };
    fs::path state = folder("XDG_STATE_HOME");
    if (state.empty()) {
        const fs::path home = folder("HOME");
        if (home.empty()) return {};
        state = home / ".local" / "state";
    }
    return state / "ringland" / "window.toml";
}

UserState parse_state(std::string_view text) {
    UserState state;
    if (text.size() > most_bytes) return state;
    while (!text.empty()) {
        const std::size_t end = std::min(text.find('\n'), text.size());
        const std::string_view line = text.substr(0, end);
        text.remove_prefix(std::min(end + 1, text.size()));
        const std::size_t equals = line.find('=');
        if (line.empty() || line.front() == '#' || equals == std::string_view::npos) continue;
        take(state, unquoted(line.substr(0, equals)), unquoted(line.substr(equals + 1)));
    }
    return state;
}

std::string state_text(const UserState& state) {
    return fmt::format("# How the window is liked; Ringland writes this anew. Away with it, and all is as at the first "
                       "start.\ntour_seen = {}\nreduced_motion = {}\ntheme = \"{}\"\nunits = \"{}\"\ntext_scale = "
                       "{}\nlanguage = \"{}\"\njob = \"{}\"\nsheet = \"{}\"\n",
                       state.tour_seen, state.reduced_motion, model::word(state.theme), model::word(state.units),
                       state.text_scale, state.language, state.job, model::word(state.sheet));
}

UserState read_state(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    std::string text(most_bytes + 1, '\0');
    in.read(text.data(), static_cast<std::streamsize>(text.size()));
    text.resize(static_cast<std::size_t>(std::max<std::streamsize>(0, in.gcount())));
    return parse_state(text);
}

std::string write_state(const fs::path& file, const UserState& state) {
    std::error_code error;
    fs::create_directories(file.parent_path(), error);
    const std::string text = state_text(state);
    return model::write_whole_file(file, text.data(), text.size());
}

UserState state_of(const Session& session) {
    const View& view = session.view;
    return {false,         view.reduced_motion,     view.theme, view.units, view.text_scale,
            view.language, session.document.job.id, view.sheet};
}

std::vector<Command> commands_of(const UserState& state) {
    return {command::SetReducedMotion{state.reduced_motion}, command::SetTheme{state.theme},
            command::SetUnits{state.units}, command::SetTextScale{state.text_scale},
            command::SetLanguage{state.language.empty() ? language_of_environment() : state.language}};
}

} // namespace ringland::viewer
