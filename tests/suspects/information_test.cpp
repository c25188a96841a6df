// What a test tells, held against its definition, against the laws that it must keep, and against textbook channels.
#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <vector>

#include <doctest/doctest.h>

#include "../../diagnosis/suspects/information.h"
#include "../model/random_map.h"

using namespace ringland;
using diagnosis::suspects::Candidates;
using diagnosis::suspects::class_weights;
using diagnosis::suspects::entropy_bits;
using diagnosis::suspects::information_bits;
using diagnosis::suspects::log_sum;
using diagnosis::suspects::normalised;
using diagnosis::suspects::Outlook;

namespace {

/// Candidates and tests at random; now and then a weight or a chance is nought.
struct Case {
    Candidates candidates;
    std::vector<Outlook> tests;
};

std::vector<double> shares(tests::RandomMap& dice, std::size_t count) {
    std::vector<double> list;
    for (std::size_t k = 0; k < count; ++k)
        list.push_back(dice.chance(15) ? 0 : std::pow(dice.figure(0, 1), 3));
    list[static_cast<std::size_t>(dice.number(0, static_cast<int>(count) - 1))] += 0.01;
    const double sum = std::accumulate(list.begin(), list.end(), 0.0);
    for (double& share : list)
        share /= sum;
    return list;
}

Case random_case(std::uint64_t seed, std::size_t tests) {
    tests::RandomMap dice(seed);
    Case c;
    const auto count = static_cast<std::size_t>(dice.number(1, 12));
    c.candidates.classes = static_cast<std::size_t>(dice.number(1, 6));
    c.candidates.weight = shares(dice, count);
    for (std::size_t k = 0; k < count; ++k)
        c.candidates.class_of.push_back(
            static_cast<std::size_t>(dice.number(0, static_cast<int>(c.candidates.classes) - 1)));
    for (std::size_t t = 0; t < tests; ++t) {
        Outlook outlook;
        outlook.outcomes = static_cast<std::size_t>(dice.number(1, 5));
        for (std::size_t k = 0; k < count; ++k) {
            const auto row = shares(dice, outlook.outcomes);
            outlook.chance.insert(outlook.chance.end(), row.begin(), row.end());
        }
        c.tests.push_back(std::move(outlook));
    }
    return c;
}

/// Minus the sum of p log2 p, as it is written in books.
double plain_entropy(const std::vector<double>& p) {
    const double all = std::accumulate(p.begin(), p.end(), 0.0);
    double h = 0;
    for (const double x : p) {
        if (x > 0) h -= x / all * std::log2(x / all);
    }
    return h;
}

/// The candidates after an outcome by the rule of Bayes, and how likely that outcome was.
struct After {
    Candidates candidates;
    double chance = 0;
};
After after(const Candidates& before, const Outlook& outlook, std::size_t outcome) {
    After a{before, 0};
    for (std::size_t k = 0; k < before.weight.size(); ++k) {
        a.candidates.weight[k] *= outlook.chance[k * outlook.outcomes + outcome];
        a.chance += a.candidates.weight[k];
    }
    for (double& w : a.candidates.weight)
        w = a.chance > 0 ? w / a.chance : 0;
    return a;
}

/// The definition: entropy of the class now, less what is expected of it once the outcome is known.
double by_definition(const Candidates& candidates, const Outlook& outlook) {
    double bits = plain_entropy(class_weights(candidates));
    for (std::size_t o = 0; o < outlook.outcomes; ++o) {
        const After a = after(candidates, outlook, o);
        if (a.chance > 0) bits -= a.chance * plain_entropy(class_weights(a.candidates));
    }
    return bits;
}

double of_outcome_entropy(const Candidates& candidates, const Outlook& outlook) {
    std::vector<double> chance;
    for (std::size_t o = 0; o < outlook.outcomes; ++o)
        chance.push_back(after(candidates, outlook, o).chance);
    return plain_entropy(chance);
}

/// Two or more equally likely things of which a channel's input is one.
Candidates inputs(const std::vector<double>& weight) {
    Candidates c;
    c.weight = weight;
    c.classes = weight.size();
    for (std::size_t k = 0; k < weight.size(); ++k)
        c.class_of.push_back(k);
    return c;
}

double of_coin(double p) { return -p * std::log2(p) - (1 - p) * std::log2(1 - p); }

constexpr double slack = 1e-12;
constexpr std::uint64_t trials = 2000;

} // namespace

TEST_CASE("information: it is what its definition says, and keeps within what there is to know") {
    double largest = 0;
    for (std::uint64_t seed = 1; seed <= trials; ++seed) {
        CAPTURE(seed);
        const Case c = random_case(seed, 1);
        const double bits = information_bits(c.candidates, c.tests[0]);
        REQUIRE(std::abs(bits - std::max(0.0, by_definition(c.candidates, c.tests[0]))) < slack);
        const auto classes = class_weights(c.candidates);
        const double entropy = entropy_bits(classes);
        REQUIRE(std::abs(entropy - plain_entropy(classes)) < slack);
        const auto possible = std::count_if(classes.begin(), classes.end(), [](double w) { return w > 0; });
        REQUIRE(bits >= 0);
        REQUIRE(bits <= entropy + slack);
        REQUIRE(entropy <= std::log2(double(possible)) + slack);
        REQUIRE(bits <= of_outcome_entropy(c.candidates, c.tests[0]) + slack);
        largest = std::max(largest, bits);
    }
    CHECK(largest > 1); // the cases are not all of the empty kind
}

TEST_CASE(
    "information: a test that all candidates foresee alike tells nothing, and one that shows the class tells all") {
    for (std::uint64_t seed = 1; seed <= trials; ++seed) {
        CAPTURE(seed);
        Case c = random_case(seed, 1);
        Outlook& alike = c.tests[0];
        for (std::size_t k = alike.outcomes; k < alike.chance.size(); ++k)
            alike.chance[k] = alike.chance[k - alike.outcomes];
        REQUIRE(information_bits(c.candidates, alike) < slack);
        Outlook shows;
        shows.outcomes = c.candidates.classes;
        for (const std::size_t k : c.candidates.class_of) {
            for (std::size_t o = 0; o < shows.outcomes; ++o)
                shows.chance.push_back(o == k ? 1 : 0);
        }
        REQUIRE(std::abs(information_bits(c.candidates, shows) - plain_entropy(class_weights(c.candidates))) < slack);
    }
}

TEST_CASE("information: two tests together tell what one tells, and then what the other still tells") {
    bool more_than_both = false;
    for (std::uint64_t seed = 1; seed <= trials; ++seed) {
        CAPTURE(seed);
        const Case c = random_case(seed, 2);
        const Outlook &a = c.tests[0], &b = c.tests[1];
        const Outlook both = diagnosis::suspects::together(a, b);
        REQUIRE(both.outcomes == a.outcomes * b.outcomes);
        const double of_a = information_bits(c.candidates, a), of_b = information_bits(c.candidates, b);
        const double of_both = information_bits(c.candidates, both);
        // The chain rule (Cover and Thomas, Elements of Information Theory, section 2.5), with the candidates after
        // each outcome of the first worked out in this test.
        double chain = of_a;
        for (std::size_t o = 0; o < a.outcomes; ++o) {
            const After now = after(c.candidates, a, o);
            if (now.chance > 0) chain += now.chance * by_definition(now.candidates, b);
        }
        REQUIRE(std::abs(of_both - chain) < slack);
        REQUIRE(of_both >= std::max(of_a, of_b) - slack);
        more_than_both = more_than_both || of_both > of_a + of_b + 1e-3;
        // In either order.
        REQUIRE(std::abs(of_both - information_bits(c.candidates, diagnosis::suspects::together(b, a))) < slack);
        // Where every candidate is a class of its own, two tests have no more to tell than each by itself.
        const auto own = inputs(c.candidates.weight);
        REQUIRE(information_bits(own, both) <= information_bits(own, a) + information_bits(own, b) + slack);
    }
    CHECK(
        more_than_both); // two tests can tell more together of a class than each by itself: such cases were among them
}

TEST_CASE("information: outcomes or classes that are not told apart tell no more") {
    for (std::uint64_t seed = 1; seed <= trials; ++seed) {
        CAPTURE(seed);
        const Case c = random_case(seed, 1);
        const Outlook& fine = c.tests[0];
        const double bits = information_bits(c.candidates, fine);
        if (fine.outcomes > 1) {
            Outlook coarse;
            coarse.outcomes = fine.outcomes - 1;
            for (std::size_t k = 0; k < c.candidates.weight.size(); ++k) {
                const auto row = fine.chance.begin() + static_cast<std::ptrdiff_t>(k * fine.outcomes);
                coarse.chance.push_back(row[0] + row[1]);
                coarse.chance.insert(coarse.chance.end(), row + 2, row + static_cast<std::ptrdiff_t>(fine.outcomes));
            }
            REQUIRE(information_bits(c.candidates, coarse) <= bits + slack);
        }
        Candidates joined = c.candidates;
        for (std::size_t& k : joined.class_of)
            k = k == 1 ? 0 : k;
        REQUIRE(information_bits(joined, fine) <= bits + slack);
        REQUIRE(bits <= information_bits(inputs(c.candidates.weight), fine) + slack);
    }
}

TEST_CASE("information: textbook channels") {
    // Binary symmetric channel and binary erasure channel: Cover and Thomas, Elements of Information Theory, sections
    // 7.1.4 and 7.1.5: capacities 1 − H(p) and 1 − α, both reached by inputs alike.
    for (const double p : {1e-9, 0.01, 0.11, 0.25, 0.4999}) {
        CAPTURE(p);
        const Outlook symmetric{2, {1 - p, p, p, 1 - p}}, erasure{3, {1 - p, p, 0, 0, p, 1 - p}};
        CHECK(information_bits(inputs({0.5, 0.5}), symmetric) == doctest::Approx(1 - of_coin(p)).epsilon(1e-10));
        CHECK(information_bits(inputs({0.5, 0.5}), erasure) == doctest::Approx(1 - p).epsilon(1e-12));
        // Inputs that are not alike: H(q(1 − p) + p(1 − q)) − H(p), and (1 − α) H(q).
        for (const double q : {0.02, 0.3, 0.8}) {
            CHECK(std::abs(information_bits(inputs({q, 1 - q}), symmetric) -
                           (of_coin(q * (1 - p) + p * (1 - q)) - of_coin(p))) < slack);
            CHECK(std::abs(information_bits(inputs({q, 1 - q}), erasure) - (1 - p) * of_coin(q)) < slack);
        }
    }
    // One error in a hundred leaves 0.081 bits of doubt a symbol, so 919 of 1000 get through: value from memory of
    // Shannon, A Mathematical Theory of Communication, 1948, section 12.
    CHECK(std::round(1000 * information_bits(inputs({0.5, 0.5}), {2, {0.99, 0.01, 0.01, 0.99}})) == 919);
    // A printed table of two things that hang together, example 2.2.1 of Cover and Thomas (answers from memory of it):
    // H(X) 7/4, H(Y) 2, H(X|Y) 11/8, so 3/8 bits of the one in the other.
    const std::vector<double> table{1 / 8.0,  1 / 16.0, 1 / 32.0, 1 / 32.0, 1 / 16.0, 1 / 8.0, 1 / 32.0, 1 / 32.0,
                                    1 / 16.0, 1 / 16.0, 1 / 16.0, 1 / 16.0, 1 / 4.0,  0,       0,        0};
    Outlook rows{4, table};
    for (double& chance : rows.chance)
        chance *= 4; // every row of it adds up to a quarter
    const auto y = inputs({0.25, 0.25, 0.25, 0.25});
    CHECK(entropy_bits(class_weights(y)) == doctest::Approx(2).epsilon(1e-12));
    CHECK(of_outcome_entropy(y, rows) == doctest::Approx(1.75).epsilon(1e-12));
    CHECK(information_bits(y, rows) == doctest::Approx(0.375).epsilon(1e-12));
    // The noisy typewriter: 26 letters, each comes out as itself or the next: log2 13 (ibid., section 7.1.3).
    Outlook typewriter;
    typewriter.outcomes = 26;
    typewriter.chance.assign(26 * 26, 0);
    for (std::size_t k = 0; k < 26; ++k)
        typewriter.chance[k * 26 + k] = typewriter.chance[k * 26 + (k + 1) % 26] = 0.5;
    CHECK(information_bits(inputs(std::vector<double>(26, 1 / 26.0)), typewriter) ==
          doctest::Approx(std::log2(13.0)).epsilon(1e-12));
}

TEST_CASE("information: logarithms of what no number holds, and nothing at all") {
    const double never = -std::numeric_limits<double>::infinity();
    CHECK(log_sum({}) == never);
    CHECK(log_sum(std::vector<double>{never, never}) == never);
    CHECK(log_sum(std::vector<double>{-5000, -5000}) == doctest::Approx(-5000 + std::log(2.0)).epsilon(1e-15));
    CHECK(log_sum(std::vector<double>{5000, never}) == 5000);
    const auto w = normalised(std::vector<double>{-9000, never, -9000 + std::log(3.0)});
    CHECK(w[0] == doctest::Approx(0.25).epsilon(1e-12));
    CHECK(w[1] == 0);
    CHECK(w[2] == doctest::Approx(0.75).epsilon(1e-12));
    for (const double share : normalised(std::vector<double>{never, never, never, never}))
        CHECK(share == 0.25);
    CHECK(normalised({}).empty());
    CHECK(entropy_bits({}) == 0);
    CHECK(entropy_bits(std::vector<double>{0, 0}) == 0);
    CHECK(entropy_bits(std::vector<double>{7, 7, 7, 7}) == doctest::Approx(2).epsilon(1e-15)); // need not add up to 1
    CHECK(information_bits({}, {}) == 0);
    CHECK(information_bits(inputs({1}), {}) == 0);
    // Sums of many figures against long double.
    for (std::uint64_t seed = 1; seed <= 200; ++seed) {
        tests::RandomMap dice(seed);
        std::vector<double> logs;
        for (int k = dice.number(1, 40); k > 0; --k)
            logs.push_back(dice.figure(-60, 5));
        long double sum = 0;
        for (const double l : logs)
            sum += std::exp(static_cast<long double>(l));
        CAPTURE(seed);
        CHECK(std::abs(log_sum(logs) - static_cast<double>(std::log(sum))) < 1e-13);
    }
}
