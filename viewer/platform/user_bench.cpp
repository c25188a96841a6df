#include "user_bench.h"

#include <cstdlib>
#include <system_error>

namespace ringland::viewer {

namespace fs = std::filesystem;

namespace {

fs::path file_of_user(const char* name) {
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
    return config / "ringland" / name;
}

/// The file that is named, else the shop's own where it is there, else none.
fs::path file_in_use(const std::string& named, const fs::path& of_user) {
    if (!named.empty()) return named;
    std::error_code error;
    return !of_user.empty() && fs::exists(of_user, error) ? of_user : fs::path();
}

} // namespace

fs::path bench_of_user() { return file_of_user("bench.toml"); }
fs::path priors_of_user() { return file_of_user("priors.toml"); }
fs::path stock_of_user() { return file_of_user("stock.toml"); }
fs::path sign_of_user() { return file_of_user("shop.toml"); }

ChosenBench choose_bench(const std::string& named) {
    const fs::path file = file_in_use(named, bench_of_user());
    if (file.empty()) return {model::AirBench{}, {}, {}};
    auto read = model::read_bench(file);
    return {std::move(read.bench), std::move(read.faults), file.string()};
}

ChosenPriors choose_priors(const std::string& named) {
    const fs::path file = file_in_use(named, priors_of_user());
    if (file.empty()) return {model::Priors{}, {}, {}};
    auto read = model::read_priors(file);
    return {std::move(read.priors), std::move(read.faults), file.string()};
}

ChosenStock choose_stock(const std::string& named) {
    const fs::path file = file_in_use(named, stock_of_user());
    if (file.empty()) return {};
    auto read = model::read_stock(file);
    const bool good = read.stock.has_value();
    return {std::move(read.stock), std::move(read.faults), file.string(), good};
}

ChosenSign choose_sign() {
    const fs::path file = file_in_use("", sign_of_user());
    if (file.empty()) return {};
    auto read = model::read_shop_sign(file);
    const bool good = read.sign.has_value();
    return {std::move(read.sign).value_or(model::ShopSign{}), std::move(read.faults), good};
}

} // namespace ringland::viewer
