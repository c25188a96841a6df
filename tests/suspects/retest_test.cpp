// The retest against an enumeration that knows nothing of its formulas: every state before the repair, every state that
// the repair can make of it, one by one.
#include <cmath>
#include <map>
#include <numeric>
#include <set>

#include <doctest/doctest.h>

#include "../../diagnosis/retest.h"
#include "../../model-data/job_entries.h"
#include "../../model-data/map_io.h"

using namespace ringland;
using diagnosis::suspects::Posterior;
using diagnosis::suspects::Weigher;

namespace {

model::UnitMap wren() {
    auto read = model::read_map(RINGLAND_SOURCE_DIR "/assets-demo/wren-three.toml");
    REQUIRE(read.map.has_value());
    return *read.map;
}

model::Reading heard(const std::string& into, const std::vector<std::pair<std::string, model::Heard>>& words) {
    model::Reading reading;
    reading.into = into;
    for (const auto& [at, word] : words) {
        model::Seen seen;
        seen.at = at;
        seen.word = word;
        reading.seen.push_back(seen);
    }
    return reading;
}

double all(const std::vector<double>& list) { return std::accumulate(list.begin(), list.end(), 0.0); }

/// A state: which seals are at fault (indices), or one of the others.
struct Key {
    std::set<std::size_t> seals;
    bool rig = false, unmapped = false;
    bool operator<(const Key& o) const { return std::tie(seals, rig, unmapped) < std::tie(o.seals, o.rig, o.unmapped); }
};

/// Step 2 and 3 of retest.h by drawing every outcome of the repair. Sizes are kept apart for single seals.
struct Enumerated {
    double gone = 0, sound = 0, unmapped = 0;
    std::map<std::size_t, double> seal;
};

Enumerated enumerate(const Posterior& prior, const Posterior& first, const Posterior& second,
                     const std::vector<std::size_t>& seal_of, const std::vector<bool>& renewed,
                     const std::vector<bool>& about) {
    const std::size_t seals = renewed.size();
    // Likelihood of a state, and how a single fault is spread over its sizes and mechanisms, by prior and by first.
    std::vector<double> odds(seals, 0);
    std::vector<std::vector<std::size_t>> entries(seals);
    for (std::size_t i = 0; i < prior.singles.size(); ++i) {
        odds[seal_of[prior.singles[i].fault]] += prior.singles[i].weight / prior.sound;
        entries[seal_of[prior.singles[i].fault]].push_back(i);
    }
    const auto single_likelihood = [&](std::size_t seal, const Posterior& spread) {
        double weight = 0, sum = 0;
        for (const std::size_t i : entries[seal]) {
            weight += spread.singles[i].weight;
            sum += spread.singles[i].weight * second.singles[i].weight / prior.singles[i].weight;
        }
        return weight > 0 ? sum / weight : 0;
    };
    std::map<std::set<std::size_t>, double> pair_likelihood;
    std::map<std::set<std::size_t>, double> old;
    for (std::size_t i = 0; i < prior.pairs.size(); ++i) {
        const std::set<std::size_t> both{seal_of[prior.pairs[i].first], seal_of[prior.pairs[i].second]};
        pair_likelihood[both] = second.pairs[i].weight / prior.pairs[i].weight;
        old[both] += first.pairs[i].weight;
    }
    for (std::size_t i = 0; i < first.singles.size(); ++i)
        old[{seal_of[first.singles[i].fault]}] += first.singles[i].weight;
    old[{}] += first.sound + all(first.rig); // the rig is drawn anew below
    const double rig_odds = all(prior.rig) / prior.sound;

    std::map<Key, double> drawn; // before the retest
    for (const auto& [faults, chance] : old) {
        std::set<std::size_t> left;
        for (const std::size_t s : faults) {
            if (!renewed[s]) left.insert(s);
        }
        // Everything that the repair may add: nothing, one new fault, two; at most two faults in all, the rig alone.
        std::vector<std::pair<Key, double>> outcomes{{{left, false, false}, 1.0}};
        if (left.empty()) outcomes.push_back({{{}, true, false}, rig_odds});
        for (std::size_t r = 0; r < seals; ++r) {
            if (!renewed[r]) continue;
            auto with_r = left;
            with_r.insert(r);
            if (with_r.size() <= 2) outcomes.push_back({{with_r, false, false}, odds[r]});
            for (std::size_t q = r + 1; q < seals && left.empty(); ++q) {
                if (renewed[q]) outcomes.push_back({{{r, q}, false, false}, odds[r] * odds[q]});
            }
        }
        // Two that are left have no room for a third.
        if (left.size() == 2) outcomes.resize(1);
        double sum = 0;
        for (const auto& outcome : outcomes)
            sum += outcome.second;
        for (const auto& outcome : outcomes)
            drawn[outcome.first] += chance * outcome.second / sum;
    }
    drawn[{{}, false, true}] += first.unmapped;

    Enumerated result;
    double sum = 0;
    for (const auto& [key, chance] : drawn) {
        double likelihood = second.sound / prior.sound;
        if (key.unmapped) likelihood = second.unmapped / prior.unmapped;
        if (key.rig) likelihood = all(second.rig) / all(prior.rig);
        if (key.seals.size() == 1)
            likelihood = single_likelihood(*key.seals.begin(), renewed[*key.seals.begin()] ? prior : first);
        if (key.seals.size() == 2) likelihood = pair_likelihood.at(key.seals);
        const double weight = chance * likelihood;
        sum += weight;
        bool open = key.unmapped;
        for (const std::size_t s : key.seals) {
            result.seal[s] += weight;
            open = open || about[s];
        }
        if (!open) result.gone += weight;
        if (key.unmapped) result.unmapped += weight;
        if (key.seals.empty() && !key.rig && !key.unmapped) result.sound += weight;
    }
    result.gone /= sum;
    result.sound /= sum;
    result.unmapped /= sum;
    for (auto& [s, chance] : result.seal)
        chance /= sum;
    return result;
}

} // namespace

TEST_CASE("after a repair every chance is that of the enumeration of all states") {
    const model::UnitMap map = wren();
    Weigher weigher(map, {}, {});
    static_cast<void>(weigher.weigh({}));
    const Posterior prior = weigher.posterior();
    using H = model::Heard;
    const model::AirCheck before{{heard("P2", {{"P5", H::strong}, {"P4", H::nothing}, {"P3", H::faint}})}, {}, {}};
    static_cast<void>(weigher.weigh(before));
    const Posterior first = weigher.posterior();
    const model::AirCheck after{{heard("P2", {{"P5", H::faint}, {"P4", H::nothing}})}, {}, {}};
    static_cast<void>(weigher.weigh(after));
    const Posterior second = weigher.posterior();
    std::vector<std::size_t> seal_of;
    for (const auto& fault : weigher.tables().faults())
        seal_of.push_back(fault.seal);
    for (const unsigned renewed_bits : {0U, 1U, 6U, 21U, 4095U}) {
        for (const bool tested : {false, true}) {
            CAPTURE(renewed_bits);
            CAPTURE(tested);
            std::vector<bool> renewed, about;
            for (std::size_t s = 0; s < map.seals.size(); ++s) {
                renewed.push_back((renewed_bits >> s & 1U) != 0);
                about.push_back(renewed.back() || s % 3 == 0);
            }
            const Posterior& d2 = tested ? second : prior;
            const auto got = diagnosis::after_repair(prior, first, d2, seal_of, renewed, about);
            const auto expected = enumerate(prior, first, d2, seal_of, renewed, about);
            CHECK(got.gone == doctest::Approx(expected.gone).epsilon(1e-9));
            CHECK(got.sound == doctest::Approx(expected.sound).epsilon(1e-9));
            CHECK(got.unmapped == doctest::Approx(expected.unmapped).epsilon(1e-9));
            for (std::size_t s = 0; s < map.seals.size(); ++s) {
                CAPTURE(s);
                const auto found = expected.seal.find(s);
                CHECK(got.seal_now[s] ==
                      doctest::Approx(found == expected.seal.end() ? 0 : found->second).epsilon(1e-9));
            }
        }
    }
}

TEST_CASE("the demo job: the worn ring is cleared, what differed is told, and the fault is likely gone") {
    const auto read = model::read_job_file(RINGLAND_SOURCE_DIR "/assets-demo/larch-five-job.json");
    REQUIRE(read.job.has_value());
    const auto map = model::read_map_text(read.job->map_toml, "map").map;
    REQUIRE(map.has_value());
    Weigher weigher(*map, {}, {});
    const auto retest = diagnosis::retest(weigher, *read.job);
    CHECK(retest.has_before);
    CHECK(retest.has_after);
    REQUIRE(!retest.seals.empty());
    CHECK(map->seals[retest.seals[0].seal].id == "R3");
    CHECK(retest.seals[0].before > 0.9);
    CHECK(retest.seals[0].renewed);
    CHECK(retest.seals[0].cleared);
    CHECK(retest.gone > 0.9);
    CHECK(retest.gone > retest.gone_by_parts);
    std::size_t louder = 0;
    for (const auto& row : retest.rows) {
        CHECK(row.after_is == diagnosis::Against::as_expected);
        if (row.before_is == diagnosis::Against::more) ++louder;
    }
    CHECK(louder >= 2);

    SUBCASE("a leak that is still there keeps the fault") {
        model::Job job = *read.job;
        for (auto& check : job.checks) {
            if (check.purpose == model::CheckPurpose::retest) check.readings = job.checks.front().readings;
        }
        const auto again = diagnosis::retest(weigher, job);
        CHECK(again.gone < 0.05);
        CHECK(!again.seals[0].cleared);
        CHECK(again.rows.front().after.has_value());
    }
    SUBCASE("without a retest only the parts count") {
        model::Job job = *read.job;
        job.checks.resize(1);
        const auto none = diagnosis::retest(weigher, job);
        CHECK(!none.has_after);
        CHECK(none.gone == doctest::Approx(retest.gone_by_parts));
    }
}
