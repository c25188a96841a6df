#include "user_bench.h"

#include <cstdlib>
#include <system_error>

namespace ringland::viewer {

namespace fs = std::filesystem;

fs::path bench_of_user() {
    const auto folder = [](const char* variable) {
        const char* value = std::getenv(variable);
        const fs::path path(value == nullptr ? "" : value);
        return path.is_absolute() ? path : fs::path(); // the XDG rules pass over a relative one
    };
    fs::path config = folder("XDG_CONFIG_HOME");
    if (config.empty()) {
        const fs::path home = folder("HOME");
        if (home.empty()) return {};
        config = home / ".config";
    }
    return config / "ringland" / "bench.toml";
}

ChosenBench choose_bench(const std::string& named) {
    fs::path file = named;
    if (named.empty()) {
        file = bench_of_user();
        std::error_code error;
        if (file.empty() || !fs::exists(file, error)) return {model::AirBench{}, {}, {}};
    }
    auto read = model::read_bench(file);
    return {std::move(read.bench), std::move(read.faults), file.string()};
}

} // namespace ringland::viewer
