// The files of a shop that a command works with, its air bench, its priors, its stock and its sign: the file that is
// named, else the shop's own, else the defaults.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "../../model-data/air_bench.h"
#include "../../model-data/priors.h"
#include "../../model-data/shop_sign.h"
#include "../../model-data/stock.h"

namespace ringland::viewer {

/// Where a shop keeps its bench file: `ringland/bench.toml` in the folder XDG_CONFIG_HOME, or in .config of the home
/// folder where that is not set. Empty where no home is known. The file need not be there.
[[nodiscard]] std::filesystem::path bench_of_user();
/// The same for its priors: `ringland/priors.toml`.
[[nodiscard]] std::filesystem::path priors_of_user();

/// The same for what lies on its shelf: `ringland/stock.toml`.
[[nodiscard]] std::filesystem::path stock_of_user();

/// The same for its name and sign: `ringland/shop.toml`.
[[nodiscard]] std::filesystem::path sign_of_user();

struct ChosenBench {
    std::optional<model::AirBench> bench; ///< nothing where a file was to be read and has an error
    std::vector<model::Fault> faults;
    std::string file; ///< empty: the defaults
};

/// `named` is the file of --bench, or empty. A shop's own file that is there and wrong is never passed over in silence.
[[nodiscard]] ChosenBench choose_bench(const std::string& named);

struct ChosenPriors {
    std::optional<model::Priors> priors; ///< nothing where a file was to be read and has an error
    std::vector<model::Fault> faults;
    std::string file; ///< empty: the defaults
};

/// `named` is the file of --priors, or empty; as for the bench.
[[nodiscard]] ChosenPriors choose_priors(const std::string& named);

struct ChosenStock {
    std::optional<model::Stock> stock; ///< nothing where there is no file, or it has an error
    std::vector<model::Fault> faults;
    std::string file; ///< empty: there is none
    bool good = true; ///< false where a file was to be read and has an error
};

/// `named` is the file of --stock, or empty; as for the bench, but a shop without one has no stock.
[[nodiscard]] ChosenStock choose_stock(const std::string& named);

struct ChosenSign {
    model::ShopSign sign; ///< empty where there is no file, or it has an error
    std::vector<model::Fault> faults;
    bool good = true; ///< false where a file has an error
};

/// The shop's own, where there is one.
[[nodiscard]] ChosenSign choose_sign();

} // namespace ringland::viewer
