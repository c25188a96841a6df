// The unit as it really is, and an ear that is not the engine's.
//
// Nothing here uses what the engine assumes: every leak and hole is off by ten per cent, the thresholds of the ear by
// thirty, one word in twenty is its neighbour, a gauge is three per cent off, and times come from the filling of the
// unit, integrated, and not from the engine's quick reckoning.
#pragma once

#include <array>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "../../../diagnosis/airflow/heard.h"
#include "../../../diagnosis/airflow/unit_air.h"
#include "../../../diagnosis/suspects/next_step.h"
#include "../../../model-data/priors.h"
#include "dice.h"

namespace ringland::tests {

struct Fault {
    std::size_t seal = 0;
    double mm = 0;
};

/// What is wrong with a unit and its rig.
struct Trouble {
    std::vector<Fault> faults;
    int rig = -1;                                     ///< of Tables::rig_faults, with this leak
    double rig_mm = 0;                                ///< of the plate's gasket; a hose lets a drawn share arrive
    std::optional<std::array<std::string, 2>> wall{}; ///< a crack that is not on the map, between these circuits
    double wall_mm = 0;
};

class Truth {
public:
    Truth(const model::UnitMap& map, std::span<const diagnosis::suspects::RigFault> rig, const Trouble& trouble,
          Dice& dice);

    /// Does what a step asks for and writes down what came of it: a reading, or a look.
    void carry_out(const diagnosis::suspects::NextStep& step, double supply_pa, model::AirCheck& check);

private:
    struct Broken {
        std::size_t seal = 0;
        double mm = 0;
        model::Mechanism mechanism{};
    };
    [[nodiscard]] model::Heard hear(double lpm);
    [[nodiscard]] bool finds_damage(bool damaged) { return dice_.uniform() < (damaged ? 0.9 : 0.03); }
    /// The faults as the change of the test leaves them.
    void set_faults(diagnosis::suspects::NextStep::Kind change);
    void listen_everywhere(model::Reading& reading);

    model::UnitMap map_; ///< with the crack, as its last seal
    Dice& dice_;
    diagnosis::airflow::UnitAir unit_;
    diagnosis::airflow::Hearing hearing_;
    std::vector<Broken> broken_;
    int plate_ = -1;
    double plate_mm_ = 0;
    bool hose_ = false;
};

} // namespace ringland::tests
