#include "save_picture.h"

#include <cstdlib>
#include <exception>
#include <fstream>
#include <system_error>

#include <fmt/format.h>

#include "picture.h"
#include "picture_text.h"

namespace ringland::viewer {

namespace fs = std::filesystem;

namespace {

fs::path of_environment(const char* variable) {
    const char* value = std::getenv(variable);
    return value == nullptr ? "" : value;
}

/// `XDG_PICTURES_DIR="$HOME/Pictures"` of a user-dirs.dirs; only whole paths and those below $HOME count there.
fs::path of_user_dirs(const fs::path& file, const fs::path& home, const std::string& variable) {
    std::ifstream input(file);
    fs::path found;
    const std::string key = variable + "=\"";
    for (std::string line; std::getline(input, line);) {
        if (line.compare(0, key.size(), key) != 0) continue;
        std::string value = line.substr(key.size(), line.rfind('"') - key.size());
        constexpr std::string_view below_home = "$HOME/";
        if (value.compare(0, below_home.size(), below_home) == 0)
            found = home / value.substr(below_home.size());
        else if (fs::path(value).is_absolute())
            found = value;
    }
    return found;
}

} // namespace

fs::path folder_of_user(const std::string& variable, const char* usual) {
    std::error_code error;
    const fs::path home = of_environment("HOME");
    fs::path config = of_environment("XDG_CONFIG_HOME");
    if (!config.is_absolute()) config = home / ".config";
    for (const fs::path& folder :
         {of_environment(variable.c_str()), of_user_dirs(config / "user-dirs.dirs", home, variable), home / usual}) {
        if (folder.is_absolute() && fs::is_directory(folder, error)) return folder;
    }
    fs::path here = fs::current_path(error);
    return error ? fs::path(".") : here;
}

fs::path free_name(const fs::path& folder, const std::string& name, const std::string& ending) {
    std::error_code error;
    fs::path file = folder / (name + ending);
    for (int number = 2; fs::exists(file, error); ++number)
        file = folder / fmt::format("{}-{}{}", name, number, ending);
    return file;
}

fs::path pictures_folder() { return folder_of_user("XDG_PICTURES_DIR", "Pictures"); }
fs::path free_picture_name(const fs::path& folder, const Session& session) {
    return free_name(folder, fmt::format("{}-{}", session.document.map.unit.id, model::word(session.view.viewpoint)),
                     ".png");
}

std::string save_picture(const Workbench& bench, int height, double window_aspect) {
    const Translator& tr = bench.translator();
    const Session& session = bench.session();
    if (session.document.map_path.empty()) return tr("There is no unit to make a picture of: open a map first.");
    PictureSpec spec;
    spec.height = height;
    spec.width = height * 16 / 9;
    const fs::path file = free_picture_name(pictures_folder(), session);
    try {
        const Image image = picture_of_window(bench, spec, window_aspect);
        const std::string why = write_png(file.string(), image, picture_texts(session, bench.derived(), tr));
        if (!why.empty()) return why;
    } catch (const std::exception& error) {
        return filled(tr("No picture could be made: {0}"), error.what());
    }
    return filled(tr("Picture saved: {0} ({1}x{2})"), file.string(), spec.width, spec.height);
}

} // namespace ringland::viewer
