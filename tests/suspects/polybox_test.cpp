// The published circuit of three multipliers and two adders through the candidates and the entropy of the weighing.
//
// M1: X = A·C, M2: Y = B·D, M3: Z = C·E, A1: F = X + Y, A2: G = Y + Z, with A 3, B 2, C 2, D 3, E 3. Sound it shows F
// 12 and G 12; F 10 and G 12 are seen. de Kleer and Williams, Diagnosing Multiple Faults, Artificial Intelligence 32,
// 1987; the minimal diagnoses stand in the slides of MIT course 16.412 as well.
#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <map>
#include <set>
#include <vector>

#include <doctest/doctest.h>

#include "../../diagnosis/suspects/information.h"

using namespace ringland::diagnosis::suspects;

namespace {

enum Part : unsigned { a1 = 1, a2 = 2, m1 = 4, m2 = 8, m3 = 16 };
constexpr unsigned all_sets = 32;
enum Point : std::size_t { X, Y, Z, F, G };
constexpr std::size_t points = 5;
using Seen = std::map<Point, std::size_t>;

/// A part at fault gives any whole number below this, each as likely as another.
constexpr std::size_t any = 32;
constexpr std::size_t values = 2 * any; ///< what an adder can show

/// What a set of parts at fault makes of the circuit: the chance of what was seen, and of each value at each point
/// then.
struct Outcome {
    double of_seen = 0;
    std::array<std::array<double, values>, points> at{};
};

Outcome propagate(unsigned faulty, const Seen& seen) {
    Outcome out;
    const auto first = [&](unsigned part) { return faulty & part ? std::size_t{0} : std::size_t{6}; };
    const auto last = [&](unsigned part) { return faulty & part ? any - 1 : std::size_t{6}; };
    const auto chance = [&](unsigned part, std::size_t shown, std::size_t sound) {
        if (faulty & part) return shown < any ? 1.0 / any : 0.0;
        return shown == sound ? 1.0 : 0.0;
    };
    const auto agrees = [&](Point point, std::size_t value) {
        const auto known = seen.find(point);
        return known == seen.end() || known->second == value;
    };
    for (std::size_t x = first(m1); x <= last(m1); ++x) {
        for (std::size_t y = first(m2); y <= last(m2); ++y) {
            for (std::size_t z = first(m3); z <= last(m3); ++z) {
                if (!agrees(X, x) || !agrees(Y, y) || !agrees(Z, z)) continue;
                std::array<double, values> f{}, g{};
                double of_f = 0, of_g = 0;
                for (std::size_t v = 0; v < values; ++v) {
                    f[v] = agrees(F, v) ? chance(a1, v, x + y) : 0;
                    g[v] = agrees(G, v) ? chance(a2, v, y + z) : 0;
                    of_f += f[v];
                    of_g += g[v];
                }
                const double weight = chance(m1, x, 6) * chance(m2, y, 6) * chance(m3, z, 6);
                const double world = weight * of_f * of_g;
                if (world <= 0) continue;
                out.of_seen += world;
                out.at[X][x] += world;
                out.at[Y][y] += world;
                out.at[Z][z] += world;
                for (std::size_t v = 0; v < values; ++v) {
                    out.at[F][v] += weight * f[v] * of_g;
                    out.at[G][v] += weight * g[v] * of_f;
                }
            }
        }
    }
    for (auto& list : out.at) {
        for (double& share : list)
            share /= out.of_seen > 0 ? out.of_seen : 1;
    }
    return out;
}

/// Candidates with their sets of parts, and what each would show at every point.
struct Diagnosis {
    std::vector<unsigned> sets;
    Candidates candidates;
    std::array<Outlook, points> probe;
};

/// `prior` of a set, and what its weight is multiplied with once something was seen, from the chance of that.
template <class Prior, class Likelihood>
Diagnosis diagnose(const Seen& seen, std::size_t most_parts, Prior&& prior, Likelihood&& likelihood) {
    Diagnosis d;
    for (Outlook& outlook : d.probe)
        outlook.outcomes = values;
    std::vector<double> logs;
    for (unsigned set = 0; set < all_sets; ++set) {
        if (static_cast<std::size_t>(std::popcount(set)) > most_parts) continue;
        const Outcome out = propagate(set, seen);
        d.candidates.class_of.push_back(d.sets.size());
        d.sets.push_back(set);
        logs.push_back(std::log(prior(set)) + std::log(likelihood(out.of_seen)));
        for (std::size_t p = 0; p < points; ++p)
            d.probe[p].chance.insert(d.probe[p].chance.end(), out.at[p].begin(), out.at[p].end());
    }
    d.candidates.classes = d.sets.size();
    d.candidates.weight = normalised(logs);
    return d;
}

/// None, one or two parts, all small and alike; seen is possible or it is not.
Diagnosis possible(const Seen& seen, std::size_t most_parts = 2) {
    return diagnose(
        seen, most_parts, [](unsigned set) { return std::pow(0.001, std::popcount(set)); },
        [](double chance) { return chance > 0 ? 1.0 : 0.0; });
}

/// Sets of weight no part of which has weight.
std::set<unsigned> minimal(const Diagnosis& d) {
    std::set<unsigned> found;
    const auto has_weight = [&](unsigned set) {
        const auto at = std::find(d.sets.begin(), d.sets.end(), set);
        return at != d.sets.end() && d.candidates.weight[static_cast<std::size_t>(at - d.sets.begin())] > 0;
    };
    for (const unsigned set : d.sets) {
        if (!has_weight(set)) continue;
        bool least = true;
        for (unsigned part = (set - 1) & set; set != 0; part = (part - 1) & set) {
            if (has_weight(part)) least = false;
            if (part == 0) break;
        }
        if (least) found.insert(set);
    }
    return found;
}

/// The cost of the authors' program: over the diagnoses of the fewest parts, Σ n log2 n where n of them foresee the
/// same value. A diagnosis counts as foreseeing a value where the circuit gives it. With N diagnoses alike in weight
/// the outcome's entropy is log2 N − Σ n log2 n / N, and the outcome is all there is to be told.
double cost(const Seen& seen, Point point) {
    Diagnosis d = possible(seen);
    std::size_t fewest = 5;
    for (const unsigned set : minimal(d))
        fewest = std::min(fewest, static_cast<std::size_t>(std::popcount(set)));
    Candidates few;
    Outlook probe;
    probe.outcomes = values;
    for (std::size_t k = 0; k < d.sets.size(); ++k) {
        if (d.candidates.weight[k] <= 0 || static_cast<std::size_t>(std::popcount(d.sets[k])) != fewest) continue;
        few.class_of.push_back(few.weight.size());
        few.weight.push_back(1);
        const auto row = d.probe[point].chance.begin() + static_cast<std::ptrdiff_t>(k * values);
        probe.chance.insert(probe.chance.end(), row, row + static_cast<std::ptrdiff_t>(values));
    }
    few.classes = few.weight.size();
    const double count = static_cast<double>(few.classes);
    for (double& w : few.weight)
        w /= count;
    // Every one of them settles every value here: the case is one of counting.
    for (const double chance : probe.chance)
        CHECK((std::abs(chance) < 1e-12 || std::abs(chance - 1) < 1e-12));
    return count * (std::log2(count) - information_bits(few, probe));
}

} // namespace

TEST_CASE("polybox: the minimal diagnoses are the published four") {
    CHECK(minimal(possible({})) == std::set<unsigned>{0});
    CHECK(minimal(possible({{F, 12}, {G, 12}})) == std::set<unsigned>{0});
    CHECK(minimal(possible({{F, 10}})) == std::set<unsigned>{a1, m1, m2});
    CHECK(minimal(possible({{F, 10}, {G, 12}})) == std::set<unsigned>{a1, m1, a2 | m2, m2 | m3});
    // More parts at fault bring no further minimal one.
    CHECK(minimal(possible({{F, 10}, {G, 12}}, 5)) == std::set<unsigned>{a1, m1, a2 | m2, m2 | m3});
}

TEST_CASE("polybox: X is measured next") {
    const Diagnosis d = possible({{F, 10}, {G, 12}});
    const double of_x = information_bits(d.candidates, d.probe[X]);
    CHECK(of_x > 0.9); // it parts {A1} from {M1}, which share nearly all weight
    for (const Point other : {Y, Z, F, G})
        CHECK(information_bits(d.candidates, d.probe[other]) < 0.1);
    // What has been measured tells nothing more.
    CHECK(information_bits(d.candidates, d.probe[F]) < 1e-12);
    CHECK(information_bits(d.candidates, d.probe[G]) < 1e-12);
}

TEST_CASE("polybox: the costs that the authors' program prints") {
    // Forbus and de Kleer, Building Problem Solvers, 1993, the printed run polyex.txt that comes with its programs.
    const double alike3 = 3 * std::log2(3.0); // printed as 4.7548876
    CHECK(alike3 == doctest::Approx(4.7548876).epsilon(1e-7));
    const Seen first{{F, 10}};
    for (const Point point : {X, Y, G})
        CHECK(cost(first, point) == doctest::Approx(2.0).epsilon(1e-12));
    for (const Point point : {Z, F})
        CHECK(cost(first, point) == doctest::Approx(4.7548876).epsilon(1e-7));
    const Seen second{{F, 10}, {G, 12}};
    CHECK(std::abs(cost(second, X)) < 1e-12);
    for (const Point point : {Y, Z, F, G})
        CHECK(cost(second, point) == doctest::Approx(2.0).epsilon(1e-12));
}

TEST_CASE("polybox: the posterior of all sets of parts, and what each measurement leaves of its entropy") {
    // Not printed anywhere: reckoned apart from this program with the model named above, faults independent and each
    // of 0.01, all 32 sets of parts; six digits.
    struct Row {
        Seen seen;
        double entropy;
        std::array<double, points> left;
    };
    const std::vector<Row> rows{
        {{}, 0.403966, {0.327258, 0.327258, 0.327258, 0.216306, 0.216306}},
        {{{F, 10}}, 1.812058, {0.861184, 0.861184, 1.735350, 1.812058, 0.763493}},
        {{{F, 10}, {G, 12}}, 1.057198, {0.020725, 1.053016, 1.054885, 1.057198, 1.057198}},
    };
    const auto prior = [](unsigned set) {
        return std::pow(0.01, std::popcount(set)) * std::pow(0.99, 5 - std::popcount(set));
    };
    for (const Row& row : rows) {
        const Diagnosis d = diagnose(row.seen, 5, prior, [](double chance) { return chance; });
        const double entropy = entropy_bits(class_weights(d.candidates));
        CHECK(std::abs(entropy - row.entropy) < 1e-6);
        for (std::size_t p = 0; p < points; ++p) {
            CAPTURE(p);
            CHECK(std::abs(entropy - information_bits(d.candidates, d.probe[p]) - row.left[p]) < 1e-6);
        }
        if (row.seen.size() == 2) {
            const auto weight = [&](unsigned set) { return d.candidates.weight[set]; };
            CHECK(std::abs(weight(a1) - 0.496857) < 1e-6);
            CHECK(std::abs(weight(m1) - 0.496857) < 1e-6);
            CHECK(std::abs(weight(a1 | m1) - 0.005019) < 1e-6);
        }
    }
}
