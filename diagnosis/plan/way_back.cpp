#include "way_back.h"

#include <algorithm>

#include <fmt/format.h>

namespace ringland::diagnosis::plan {

namespace {

using model::ClearanceKind;
using model::Joint;
using model::Material;
using model::PartKind;
using model::Seal;
using model::SealKind;

// What to mind when a seal is fitted: common practice, no source, all of it. The maker's information decides.

std::string ring_words(const Seal& seal, const model::Translator& tr) {
    if (seal.joint == Joint::solid)
        return tr(
            "Uncut ring: warm it in clean oil or hot water (80 to 100 °C, 175 to 210 °F), slide it over a cone with "
            "no sharp tool, then size it in a sleeve until it is cool and does not stand proud of the land.");
    const std::string centre =
        " " + tr("Centre it in its groove with assembly gel before the mating part goes over it.");
    if (seal.material == Material::peek || seal.material == Material::pai)
        return tr("Hard resin ring: open it just enough, or it cracks opposite the joint; snap the joint home and see "
                  "that it is free in the groove.") +
               centre;
    switch (seal.joint) {
    case Joint::hook:
        return tr("Hooked ring: spread it as little as possible, hook the ends fully, try every ring in its bore "
                  "first.") +
               centre;
    case Joint::scarf:
        return tr("Scarf ring: lay the ends over one another the right way round; reversed they leak.") + centre;
    case Joint::step:
        return tr("Step ring: both steps must lie in one another without a ridge.") + centre;
    default:
        return tr("Ring: spread it as little as possible, try it in its bore first.") + centre;
    }
}

std::string lip_words(const model::UnitMap& map, const Seal& seal, const model::Translator& tr) {
    const std::string faces = seal.faces.empty()
                                  ? tr("the lip faces the pressure that it holds back")
                                  : model::filled(tr("the lip faces {0}"), model::circuit_name(map, seal.faces));
    return model::filled(
        tr("Lip seal: {0}. Oil or petroleum jelly; cover splines and ring grooves with a cone or sleeve, "
           "help the lip in with a lip wire, never a screwdriver. The piston must then turn by hand."),
        faces);
}

std::string general_words(const model::UnitMap& map, const Seal& seal, const model::Translator& tr) {
    switch (seal.kind) {
    case SealKind::ring:
        return ring_words(seal, tr);
    case SealKind::lip:
        return lip_words(map, seal, tr);
    case SealKind::d_ring:
        return tr("D-ring: always new, oiled; the flat side lies in the groove.");
    case SealKind::o_ring:
        return tr("O-ring: always new, oiled, not twisted; past an edge or thread under a cover.");
    case SealKind::gasket_bridge:
        return tr("Gasket: always new; both faces clean and flat; bolts evenly in the maker's pattern to his torque.");
    case SealKind::plug:
        return tr("Plug: drive it square to depth and stake it, then air-check the bare part.");
    case SealKind::tube:
        return tr("Tube: press it to its depth stop; no compound near the holes.");
    case SealKind::bushing:
        return tr("Bushing: oil hole in line, drive it square to depth, size it. Before the rings.");
    case SealKind::check_ball:
        return tr("Check ball: ball and seat clean; it rattles when the part is shaken.");
    case SealKind::wall:
        return tr("Wall: another part, or a repair that is written into the record.");
    }
    return {};
}

class NoteMaker {
public:
    NoteMaker(const model::UnitMap& map, const model::Translator& tr, BackStep& step)
        : map_(map), tr_(tr), step_(step) {}

    void make() {
        std::vector<std::size_t> cut;
        for (const std::size_t s : step_.seals) {
            const Seal& seal = map_.seals[s];
            add(s, general_words(map_, seal, tr_), false);
            if (seal.kind == SealKind::ring && seal.joint != Joint::solid) cut.push_back(s);
        }
        if (cut.size() > 1)
            step_.notes.push_back(
                {cut, tr_("Joints of neighbouring rings stand staggered, a third of a turn apart."), false});
        for (const std::size_t s : step_.seals)
            if (!map_.seals[s].fit.empty()) add(s, map_.seals[s].fit, true);
    }

private:
    void add(std::size_t seal, std::string words, bool of_map) {
        const auto same = std::find_if(step_.notes.begin(), step_.notes.end(), [&](const FitNote& note) {
            return note.of_map == of_map && note.words == words;
        });
        if (same != step_.notes.end())
            same->seals.push_back(seal);
        else
            step_.notes.push_back({{seal}, std::move(words), of_map});
    }

    const model::UnitMap& map_;
    const model::Translator& tr_;
    BackStep& step_;
};

/// The first step at which work touches what a clearance is of; steps.size() where none does.
class Touched {
public:
    Touched(const model::UnitMap& map, const Teardown& teardown)
        : map_(map), never_(teardown.steps.size()), own_(map.parts.size(), never_),
          moved_(moved_at(map, teardown.steps)) {
        for (std::size_t i = 0; i < never_; ++i)
            own_[teardown.steps[i].part] = i;
    }

    [[nodiscard]] std::size_t at(const model::Clearance& clearance) const {
        if (const auto* element = model::find(map_.elements, clearance.of)) {
            // A brake sits in the case, from which everything is taken: what it holds says when it is touched.
            std::size_t first = own(element->around);
            if (const auto* part = model::find(map_.parts, element->at); part && part->kind != PartKind::case_)
                first = std::min(first, own(element->at));
            return first;
        }
        if (const auto* stack = model::find(map_.stacks, clearance.of))
            return std::min(moved(stack->on), moved(stack->bore));
        const std::size_t part = index_of(map_.parts, clearance.of);
        if (part == map_.parts.size()) return never_;
        if (clearance.kind == ClearanceKind::end_play) return loosened(part);
        if (clearance.kind == ClearanceKind::flatness && map_.parts[part].kind == PartKind::case_) return first_cover();
        return clearance.kind == ClearanceKind::bushing ? moved_[part] : own_[part];
    }

private:
    [[nodiscard]] std::size_t own(const std::string& part) const {
        const std::size_t p = index_of(map_.parts, part);
        return p < own_.size() ? own_[p] : never_;
    }
    [[nodiscard]] std::size_t moved(const std::string& part) const {
        const std::size_t p = index_of(map_.parts, part);
        return p < moved_.size() ? moved_[p] : never_;
    }
    /// End play goes as soon as one of the parts that hold the shaft in is off, those on the face of the case aside.
    [[nodiscard]] std::size_t loosened(std::size_t shaft) const {
        std::size_t first = never_;
        std::vector<bool> seen(own_.size(), false);
        std::vector<std::size_t> open{shaft};
        seen[shaft] = true;
        while (!open.empty()) {
            const auto& part = map_.parts[open.back()];
            if (!on_the_face(part.kind)) first = std::min(first, own_[open.back()]);
            open.pop_back();
            for (const auto& before : part.after) {
                const std::size_t p = index_of(map_.parts, before);
                if (p >= seen.size() || seen[p]) continue;
                seen[p] = true;
                open.push_back(p);
            }
        }
        return first;
    }
    static bool on_the_face(PartKind kind) {
        return kind == PartKind::test_plate || kind == PartKind::valve_body || kind == PartKind::pan ||
               kind == PartKind::servo || kind == PartKind::accumulator;
    }
    [[nodiscard]] std::size_t first_cover() const {
        std::size_t first = never_;
        for (std::size_t p = 0; p < own_.size(); ++p)
            if (map_.parts[p].kind == PartKind::test_plate || map_.parts[p].kind == PartKind::valve_body)
                first = std::min(first, own_[p]);
        return first;
    }

    const model::UnitMap& map_;
    std::size_t never_;
    std::vector<std::size_t> own_, moved_; ///< by part: first step that takes it off; that moves it
};

} // namespace

std::vector<Measure> measures(const model::UnitMap& map, const Teardown& teardown) {
    std::vector<Measure> list;
    const Touched touched(map, teardown);
    for (std::size_t c = 0; c < map.clearances.size(); ++c) {
        const std::size_t step = touched.at(map.clearances[c]);
        if (step == teardown.steps.size()) continue;
        Measure measure{c, step, false, false, false};
        switch (map.clearances[c].kind) {
        case ClearanceKind::end_play:
        case ClearanceKind::servo_pin:
            measure.before = measure.after = true;
            break;
        case ClearanceKind::ring_gap:
        case ClearanceKind::ring_side:
        case ClearanceKind::bushing:
        case ClearanceKind::flatness:
            measure.open = true;
            break;
        case ClearanceKind::pack:
        case ClearanceKind::other:
            measure.open = measure.after = true;
            break;
        }
        list.push_back(measure);
    }
    std::stable_sort(list.begin(), list.end(), [](const Measure& a, const Measure& b) { return a.step < b.step; });
    return list;
}

std::vector<BackStep> way_back(const model::UnitMap& map, const Teardown& teardown,
                               const std::vector<Measure>& measures, const model::Translator& tr) {
    std::vector<BackStep> back;
    back.reserve(teardown.steps.size());
    for (std::size_t i = teardown.steps.size(); i-- > 0;) {
        BackStep step;
        step.part = teardown.steps[i].part;
        step.caution = teardown.steps[i].caution;
        for (const auto& renewed : teardown.renews)
            if (renewed.step && *renewed.step == i) step.seals.push_back(renewed.seal);
        NoteMaker(map, tr, step).make();
        for (const Measure& measure : measures)
            if (measure.after && measure.step == i) step.clearances.push_back(measure.clearance);
        back.push_back(std::move(step));
    }
    return back;
}

std::vector<std::string> general_cautions(const model::UnitMap& map, const Teardown& teardown,
                                          const model::Translator& tr) {
    std::vector<std::string> list;
    const auto off = [&](auto&& test) {
        return std::any_of(teardown.steps.begin(), teardown.steps.end(),
                           [&](const Step& step) { return test(map.parts[step.part].kind); });
    };
    list.push_back(
        tr("Eye protection throughout. Shut the air off, let the pressure down and take the hose away before "
           "a bolt is touched."));
    if (off([](PartKind k) { return k == PartKind::servo || k == PartKind::accumulator; }))
        list.push_back(tr("Servo and accumulator covers stand under spring load: hold them in a press and let them up "
                          "slowly. Fingers clear of bands and pins."));
    if (off([](PartKind k) { return k == PartKind::piston || k == PartKind::drum; }))
        list.push_back(tr("Return springs and snap rings: seat the spring compressor fully before a ring is taken out, "
                          "keep your face away. A piston that is blown out can be thrown: aim it at the bench, low "
                          "pressure, a cloth over it."));
    if (!teardown.steps.empty())
        list.push_back(tr("Hoist or fixture for what is heavy, never a hand under it; wipe up oil from the floor."));
    list.push_back(tr("Scrap of PTFE and rubber is never burnt: the gas is poisonous. Gloves, goggles and air for "
                      "solvents, no flame."));
    list.push_back(tr("The minutes are bench time of a practised hand. The maker's service information and local rules "
                      "decide."));
    return list;
}

} // namespace ringland::diagnosis::plan
