#include "likelihood.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace ringland::diagnosis::suspects {

namespace {

constexpr double psi = 6894.757293168361;
/// Share of figures that are plainly wrong: read off the wrong gauge, written down wrongly.
constexpr double blunder = 0.02;
/// A word that is two steps off is a mistake of the port, not of the ear.
constexpr double floor_chance = 0.002;

double normal_cdf(double x) { return 0.5 * std::erfc(-x / std::sqrt(2.0)); }

double normal_density(double x, double mean, double deviation) {
    const double z = (x - mean) / deviation;
    return std::exp(-0.5 * z * z) / (deviation * std::sqrt(2 * M_PI));
}

/// Standard deviation of the logarithm of a predicted flow.
double flow_deviation(double flow, double sound, const model::Priors& priors) {
    const double share = flow > 0 ? std::clamp(sound / flow, 0.0, 1.0) : 1;
    return std::hypot(priors.flow_error, priors.sound_error * share);
}

/// Figures that are spread over a stretch with a share of blunders.
double with_blunders(double density, double stretch) { return (1 - blunder) * density + blunder / stretch; }

double gauge_likelihood(double seen_pa, const Predicted& p, const Errors& e) {
    const double supply = std::max(e.supply_gauge_pa, psi);
    // A gauge between two restrictions stands at f = c²/(1 + c²) of the supply, with c the ratio of the two; an error
    // of c's logarithm moves it by 2 f (1 − f).
    const double f = std::clamp(p.gauge_pa / supply, 0.0, 1.0);
    const bool as_sound = std::abs(p.gauge_pa - p.sound_gauge_pa) < 0.02 * supply;
    const double model = 2 * f * (1 - f) * (as_sound ? e.priors.sound_error : e.priors.flow_error) * supply;
    const double gauge = std::max(e.priors.gauge_error * p.gauge_pa, e.priors.gauge_least_psi * psi);
    return with_blunders(normal_density(seen_pa, p.gauge_pa, std::hypot(model, gauge)), supply);
}

double flow_likelihood(double seen_lpm, const Predicted& p, const Errors& e) {
    // Below what a meter tells, all flows are one.
    constexpr double least = 0.1, stretch = 8; // e-folds
    const double deviation = std::hypot(0.15, flow_deviation(p.flow_lpm, p.sound_lpm, e.priors));
    return with_blunders(
        normal_density(std::log(std::max(seen_lpm, least)), std::log(std::max(p.flow_lpm, least)), deviation), stretch);
}

double time_likelihood(double seen_s, double predicted_s, const Errors& e) {
    constexpr double stretch = 6;
    const double deviation = std::hypot(e.priors.time_error, 0.25);
    if (seen_s >= longest_wait_s) {
        const double later =
            std::isfinite(predicted_s) ? normal_cdf(std::log(predicted_s / longest_wait_s) / deviation) : 1;
        return with_blunders(later, stretch);
    }
    if (!std::isfinite(predicted_s)) return blunder / stretch;
    return with_blunders(
        normal_density(std::log(std::max(seen_s, 0.02)), std::log(std::max(predicted_s, 0.02)), deviation), stretch);
}

} // namespace

std::array<double, 4> word_chances(double flow_lpm, double sound_lpm, const std::array<double, 3>& heard_from_lpm,
                                   const model::Priors& priors) {
    constexpr double least = 1e-3;
    const double flow = std::max(flow_lpm, least), deviation = flow_deviation(flow, sound_lpm, priors);
    std::array<double, 5> below{0, 0, 0, 0, 1};
    for (std::size_t k = 0; k < 3; ++k)
        below[k + 1] = normal_cdf(std::log(heard_from_lpm[k] / flow) / deviation);
    std::array<double, 4> true_word{}, heard{};
    for (std::size_t k = 0; k < 4; ++k)
        true_word[k] = below[k + 1] - below[k];
    for (std::size_t k = 0; k < 4; ++k) {
        const double aside = k == 0 || k == 3 ? priors.misheard : priors.misheard / 2;
        heard[k] += (1 - priors.misheard) * true_word[k];
        if (k > 0) heard[k - 1] += aside * true_word[k];
        if (k < 3) heard[k + 1] += aside * true_word[k];
    }
    for (double& chance : heard)
        chance = (chance + floor_chance) / (1 + 4 * floor_chance);
    return heard;
}

double log_likelihood(const model::Seen& seen, const Predicted& predicted, const Errors& errors) {
    if (seen.not_sure) return 0;
    if (seen.word) {
        const auto chances =
            word_chances(predicted.flow_lpm, predicted.sound_lpm, errors.heard_from_lpm, errors.priors);
        return std::log(chances[static_cast<std::size_t>(*seen.word)]);
    }
    if (seen.pressure) return std::log(gauge_likelihood(seen.pressure->si(), predicted, errors) * psi);
    if (seen.flow_lpm) return std::log(flow_likelihood(*seen.flow_lpm, predicted, errors));
    if (seen.applies_after_s) return std::log(time_likelihood(*seen.applies_after_s, predicted.apply_s, errors));
    return 0;
}

double log_likelihood(model::Applied felt, double apply_s, const Errors& errors) {
    const double deviation = std::hypot(errors.priors.time_error, 0.25);
    const double thud = std::isfinite(apply_s) ? normal_cdf(std::log(thud_within_s / apply_s) / deviation) : 0;
    const double soft = std::isfinite(apply_s) ? normal_cdf(std::log(soft_within_s / apply_s) / deviation) - thud : 0;
    const std::array<double, 3> chance{thud, soft, 1 - thud - soft};
    return std::log((1 - 2 * errors.priors.misheard) * chance[static_cast<std::size_t>(felt)] +
                    2 * errors.priors.misheard / 3);
}

double log_likelihood_unmapped(const model::Seen& seen, const Errors& errors) {
    constexpr std::array<double, 4> words{0.55, 0.15, 0.15, 0.15};
    if (seen.not_sure) return 0;
    if (seen.word) return std::log(words[static_cast<std::size_t>(*seen.word)]);
    if (seen.pressure) return std::log(psi / std::max(errors.supply_gauge_pa, psi));
    if (seen.flow_lpm) return std::log(1.0 / 8);
    if (seen.applies_after_s) return std::log(1.0 / 6);
    return 0;
}

} // namespace ringland::diagnosis::suspects
