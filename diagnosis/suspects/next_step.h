// What to do next: the reading or look that tells most about which part to pull, for the minutes that it takes.
//
// Telling is information in the strict sense (information.h): the entropy of "which part comes off" now, less what is
// expected of it afterwards, over the outcomes that the hypotheses foresee. A reading is heard at several ports at
// once; the four that tell most are counted together, all others for nothing, so a figure is never too large.
//
// The first question is which part to pull first, and of two faults either will do. While it is open, nothing is asked
// that tells of a second fault only; when nothing more can be said of it, steps are about a second fault.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "likelihood.h"
#include "weigh.h"

namespace ringland::diagnosis::suspects {

struct NextStep {
    enum class Kind {
        listen, ///< air into a port, all others open, listen at every one
        gauge,  ///< air into a port, a gauge on another
        timed,  ///< air into a port, another closed: how long until its element applies
        wet,    ///< the same reading again with oil in the circuit
        turn,   ///< with the shaft turned
        push,   ///< with the shaft pushed through its end play
        resnug, ///< with the plate's bolts snugged anew
        rig,    ///< prove hose and plate
        look    ///< at a seal, without full teardown
    } kind = Kind::listen;
    int into = -1;            ///< port
    std::vector<int> plugged; ///< ports
    std::vector<int> watch;   ///< ports, the most telling first
    int seal = -1;            ///< to look at
    double supply_gauge_pa = 0;
    double bits = 0, minutes = 0;
    std::string words; ///< what to do, in one sentence
};

struct Advice {
    std::vector<NextStep> steps; ///< by bits per minute, the best first
    double entropy_bits = 0;     ///< of what the steps are about, now
    bool exhausted = false;      ///< nothing left tells more than a trifle of which part to pull first
    bool second = false;         ///< so the steps are about whether another part has to come off as well
    bool stopped = false;        ///< asked to stop before it was done: no steps
};

/// The steps that are worth anything after this air check, at most `most`. Goes on from the weigher's last weighing.
/// `stop` is asked now and then; where it says true, the work ends at once. Sentences in the
/// language of the translator.
[[nodiscard]] Advice advise(Weigher& weigher, const model::AirCheck& check, std::size_t most = 5,
                            const std::function<bool()>& stop = {}, const model::Translator& tr = {});

/// The step as a reading to be filled in: ports to plug, ports to listen at, the change of the test.
[[nodiscard]] model::Reading reading_of(const model::UnitMap& map, const NextStep& step);

/// Below this a step tells a trifle, bits.
inline constexpr double trifle_bits = 0.03;
/// Hypotheses of less weight are left out when a step is chosen: of one fault, of two.
inline constexpr double least_weight = 1e-5, least_pair_weight = 5e-4;

} // namespace ringland::diagnosis::suspects
