#include "complaints.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace ringland::diagnosis::road {

namespace {

constexpr double least = 0.005; ///< probability of a suspect that is named

/// Too little force, too much, or a bang.
int sort_of(model::Symptom symptom) {
    using model::Symptom;
    if (symptom == Symptom::slips || symptom == Symptom::late || symptom == Symptom::no_drive) return 0;
    return symptom == Symptom::harsh ? 2 : 1;
}

std::string range_name(const model::Range& range) { return range.name.empty() ? range.id : range.name; }

int port_of(const model::UnitMap& map, const std::string& circuit) {
    for (std::size_t p = 0; p < map.ports.size(); ++p) {
        if (map.ports[p].circuit == circuit) return static_cast<int>(p);
    }
    return -1;
}

} // namespace

std::size_t range_index(const model::UnitMap& map, const std::string& id) {
    return static_cast<std::size_t>(
        std::find_if(map.ranges.begin(), map.ranges.end(), [&](const auto& r) { return r.id == id; }) -
        map.ranges.begin());
}

std::string complaint_words(const model::UnitMap& map, const model::Complaint& complaint, const model::Translator& tr) {
    const auto name = [&](const std::string& id) {
        const auto* range = model::find(map.ranges, id);
        return range == nullptr ? id : range_name(*range);
    };
    const std::string symptom = complaint.symptom == model::Symptom::wrong_gear && !complaint.starts_in.empty()
                                    ? model::filled(tr("starts in {0}"), name(complaint.starts_in))
                                    : tr(symptom_words(complaint.symptom));
    const std::string text =
        model::filled(complaint.absent ? tr("{0}: not \"{1}\"") : tr("{0}: {1}"), name(complaint.range), symptom);
    return complaint.hot_only ? model::filled(tr("{0} when hot"), text) : text;
}

double chance(const model::UnitMap& map, const model::Complaint& complaint, const std::vector<Effect>& felt,
              const Softness& softness) {
    double best = softness.anyway;
    bool shows = false;
    for (const Effect& effect : felt) {
        if (sort_of(effect.symptom) != sort_of(complaint.symptom)) continue;
        const bool other_gear = complaint.symptom == model::Symptom::wrong_gear && !complaint.starts_in.empty() &&
                                effect.feels_like && map.ranges[*effect.feels_like].id != complaint.starts_in;
        double told = effect.symptom == complaint.symptom && !other_gear ? softness.same : softness.kin;
        double counts = 1;
        if (effect.sure == Sure::hole_only || effect.sure == Sure::slot_only) counts /= 2;
        if (complaint.hot_only && effect.oil != Oil::hot) counts /= 2;
        told = softness.anyway + counts * (told - softness.anyway);
        best = std::max(best, told);
        shows = true;
    }
    if (!complaint.absent) return best;
    // Called good. The surer it would show, the more that says.
    if (!shows) return 1 - softness.anyway;
    const double weight = (best - softness.anyway) / (softness.same - softness.anyway);
    return (1 - softness.anyway) + weight * (softness.missed - (1 - softness.anyway));
}

Complaints::Complaints(const model::UnitMap& map, std::vector<double> sizes_mm)
    : road_(map), sizes_mm_(std::move(sizes_mm)) {}

void Complaints::speak(const model::Translator& tr) {
    tr_ = tr;
    road_.speak(tr);
}

const std::vector<Effect>& Complaints::felt(const Key& key, std::size_t size) {
    auto [at, fresh] = felt_.try_emplace(key);
    if (fresh) {
        at->second.resize(sizes_mm_.size());
        // From the largest down: what a hole does not do, a smaller one does not.
        for (std::size_t i = sizes_mm_.size(); i-- > 0;) {
            at->second[i] = road_.felt({key.seal, sizes_mm_[i], key.both_ways}, key.range, key.cold);
            if (at->second[i].empty()) break;
        }
    }
    return at->second[size];
}

double Complaints::log_ratio(const std::vector<model::Complaint>& complaints, std::size_t seal, std::size_t size,
                             bool both_ways) {
    const model::UnitMap& map = road_.map();
    double sum = 0;
    const std::vector<Effect> none;
    for (const auto& complaint : complaints) {
        const auto& effects = felt({range_index(map, complaint.range), seal, both_ways, complaint.hot_only}, size);
        sum += std::log(chance(map, complaint, effects) / chance(map, complaint, none));
    }
    return sum;
}

ComplaintAnswer Complaints::rank(const std::vector<model::Complaint>& complaints, const model::Priors& priors,
                                 bool metric) {
    const model::UnitMap& map = road_.map();
    ComplaintAnswer answer;
    answer.missing = road_.missing();
    answer.assumed = road_.assumed();
    if (map.ranges.empty()) return answer;
    std::vector<double> size_chance;
    double all_sizes = 0;
    for (const double mm : sizes_mm_) {
        const double z = std::log(mm / priors.size_median_mm) / priors.size_spread;
        size_chance.push_back(std::exp(-z * z / 2));
        all_sizes += size_chance.back();
    }
    double all = 1; // no seal at fault
    for (std::size_t s = 0; s < map.seals.size(); ++s) {
        const auto& seal = map.seals[s];
        const double fails =
            std::clamp(priors.kind[static_cast<std::size_t>(seal.kind)].fails * seal.prior.value_or(1), 0.0, 0.5);
        ComplaintSuspect suspect;
        suspect.seal = s;
        double most = 0, best = 0;
        for (std::size_t i = 0; i < sizes_mm_.size(); ++i) {
            const double log = log_ratio(complaints, s, i);
            const double part = size_chance[i] / all_sizes * std::exp(log);
            suspect.probability += fails / (1 - fails) * part;
            best = std::max(best, log);
            if (part <= most) continue;
            most = part;
            suspect.hole_mm = sizes_mm_[i];
        }
        all += suspect.probability;
        // One that the complaints speak against or say nothing of is no suspect of theirs.
        if (best > 0)
            answer.suspects.push_back(suspect);
        else
            answer.other_seals += suspect.probability;
    }
    answer.other_seals /= all;
    for (auto& suspect : answer.suspects)
        suspect.probability /= all;
    answer.no_seal = 1 / all;
    std::stable_sort(answer.suspects.begin(), answer.suspects.end(),
                     [](const auto& a, const auto& b) { return a.probability > b.probability; });
    answer.tests = tests_of(complaints, answer.suspects);
    const auto small = std::find_if(answer.suspects.begin(), answer.suspects.end(),
                                    [](const auto& s) { return s.probability < least; });
    for (auto rest = small; rest != answer.suspects.end(); ++rest)
        answer.other_seals += rest->probability;
    answer.suspects.erase(small, answer.suspects.end());
    for (auto& suspect : answer.suspects)
        suspect.told = told(complaints, {suspect.seal, suspect.hole_mm}, metric);
    return answer;
}

Told Complaints::told(const std::vector<model::Complaint>& complaints, const Leak& leak, bool metric) {
    const model::UnitMap& map = road_.map();
    Told told;
    for (const auto& complaint : complaints) {
        const std::size_t range = range_index(map, complaint.range);
        const auto answer = road_.ask(leak, range, metric);
        const auto& effects = answer.ranges.front().effects;
        const Effect* kin = nullptr;
        for (const Effect& effect : effects) {
            if (sort_of(effect.symptom) == sort_of(complaint.symptom) && kin == nullptr) kin = &effect;
        }
        std::string said = complaint_words(map, complaint, tr_) + ". ";
        if (effects.empty())
            said += tr_("With this leak the range is good.");
        else if (kin == nullptr || kin->symptom != complaint.symptom)
            said +=
                model::filled(tr_("With this leak it {0}."), answer.ranges.front().words) + (kin != nullptr ? " " : "");
        if (kin != nullptr) said += kin->reason;
        (complaint.absent == (kin == nullptr) ? told.fits : told.against).push_back(std::move(said));
    }
    return told;
}

std::vector<AirTest> Complaints::tests_of(const std::vector<model::Complaint>& complaints,
                                          const std::vector<ComplaintSuspect>& suspects) const {
    const model::UnitMap& map = road_.map();
    std::vector<AirTest> tests;
    for (const auto& suspect : suspects) {
        const auto& seal = map.seals[suspect.seal];
        // Air goes in where the oil stood in the range that is complained of; a lip is blown from the side that it
        // holds.
        std::size_t from = 0;
        const auto circuits = circuits_of(map, seal);
        for (const auto& complaint : complaints) {
            const Exposure exposure = road_.chart().exposure(range_index(map, complaint.range), circuits);
            if (complaint.absent || (exposure != Exposure::first_alone && exposure != Exposure::second_alone)) continue;
            from = exposure == Exposure::first_alone ? 0 : 1;
            break;
        }
        if (!seal.faces.empty()) from = seal.faces == seal.between[0] ? 0 : 1;
        AirTest test;
        test.into = port_of(map, seal.between[from]);
        if (test.into < 0) {
            from = 1 - from;
            test.into = port_of(map, seal.between[from]);
        }
        if (test.into < 0) continue;
        const int watch = port_of(map, seal.between[1 - from]);
        auto same = std::find_if(tests.begin(), tests.end(), [&](const AirTest& t) { return t.into == test.into; });
        if (same == tests.end()) same = tests.insert(tests.end(), std::move(test));
        same->seals.push_back(suspect.seal);
        same->probability += suspect.probability;
        if (std::find(same->watch.begin(), same->watch.end(), watch) == same->watch.end()) same->watch.push_back(watch);
    }
    std::stable_sort(tests.begin(), tests.end(),
                     [](const AirTest& a, const AirTest& b) { return a.probability > b.probability; });
    return tests;
}

} // namespace ringland::diagnosis::road
