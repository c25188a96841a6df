// Valid maps at random, the same on every machine for the same seed: no standard distributions are used, since each
// library may draw them in its own way.
#pragma once

#include <cstdint>
#include <random>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "../../model-data/map_io.h"

namespace ringland::tests {

using namespace ringland::model;

class RandomMap {
public:
    explicit RandomMap(std::uint64_t seed) : engine_(seed) {}

    /// A whole number from low to high, both included.
    int number(int low, int high) {
        return low + static_cast<int>(engine_() % static_cast<std::uint64_t>(high - low + 1));
    }
    bool chance(int percent) { return number(1, 100) <= percent; }
    /// A figure with many digits, so that writing has something to lose.
    double figure(double low, double high) {
        return low + (high - low) * (static_cast<double>(engine_() >> 11) * 0x1.0p-53);
    }
    template <class List> const auto& one_of(const List& list) {
        return list[static_cast<std::size_t>(number(0, static_cast<int>(list.size()) - 1))];
    }

    /// A map with everything in it that a map may have. It has `stacks` stacks of up to `most_circuits` circuits each.
    UnitMap make(int stacks, int most_circuits) {
        UnitMap map;
        map.unit.id = "unit-" + std::to_string(number(1, 9999));
        map.unit.name = text();
        map.unit.note = note();
        map.unit.invented = true;
        map.unit.case_style = any<CaseStyle>();
        map.unit.lying = any<Lying>();
        if (chance(50)) map.unit.air_pressure = GaugePressure{figure(1, 20), any_unit<PressureDimension>()};
        if (chance(50)) map.unit.fluid = text();
        if (chance(20)) map.unit.shapes = "shapes.glb";
        make_oil(map.oil);
        make_parts(map);
        for (int s = 0; s < stacks; ++s)
            make_stack(map, number(1, most_circuits));
        if (chance(50))
            sump_first(map);
        else
            map.circuits.push_back(sump());
        make_ports(map);
        make_other_seals(map);
        make_gear_sets(map);
        make_elements(map);
        make_passages(map);
        make_flows(map);
        make_ranges(map);
        make_clearances(map);
        make_spares(map);
        return map;
    }

private:
    template <class Enum> Enum any() {
        return static_cast<Enum>(number(0, static_cast<int>(words_of<Enum>().size()) - 1));
    }
    template <class Dimension> typename Dimension::Unit any_unit() {
        return static_cast<typename Dimension::Unit>(number(0, static_cast<int>(Dimension::units.size()) - 1));
    }
    Length length(double low, double high) { return {figure(low, high), any_unit<LengthDimension>()}; }
    void maybe(std::optional<Length>& to, double low, double high) {
        if (chance(40)) to = length(low, high);
    }
    void maybe(std::optional<double>& to, double low, double high) {
        if (chance(40)) to = figure(low, high);
    }
    void maybe(std::optional<GaugePressure>& to, double low, double high) {
        if (chance(40)) to = GaugePressure{figure(low, high), any_unit<PressureDimension>()};
    }
    std::string id(const char* stem) { return stem + std::string(chance(50) ? "-" : "_") + std::to_string(++made_); }
    std::string text() {
        static constexpr std::array<std::string_view, 8> words{
            "low", "Größe", "a \"quoted\" word", "back\\slash", "tab-less", "漢字", "x|y", "# not a comment"};
        std::string out{one_of(words)};
        while (chance(40))
            out += " " + std::string{one_of(words)};
        return out;
    }
    /// Words after which no made id can be taken for another's name.
    std::string name() { return chance(70) ? text() + " " + std::to_string(++made_) : std::string{}; }
    std::string note() { return chance(30) ? text() + "\n\tsecond line\r\n" + text() : std::string{}; }

    Circuit circuit() {
        Circuit c;
        c.id = id("c");
        c.name = name();
        if (chance(30)) c.tag = "T" + std::to_string(number(1, 99));
        c.note = note();
        do
            c.kind = any<CircuitKind>();
        while (c.kind == CircuitKind::sump);
        if (chance(30)) c.colour = "#0a72B2";
        maybe(c.feed, 1, 6);
        maybe(c.exhaust, 1, 6);
        if (chance(40)) c.volume = Volume{figure(0.1, 100), any_unit<VolumeDimension>()};
        return c;
    }
    static Circuit sump() {
        Circuit c;
        c.id = std::string(sump_id);
        c.name = "Sump";
        c.kind = CircuitKind::sump;
        c.no_port = true;
        return c;
    }
    static void sump_first(UnitMap& map) { map.circuits.insert(map.circuits.begin(), sump()); }

    void make_oil(OilInfo& oil) {
        maybe(oil.viscosity_40, 20, 60);
        maybe(oil.viscosity_100, 4, 9);
        maybe(oil.density, 800, 900);
        maybe(oil.cold_c, -30, 30);
        maybe(oil.hot_c, 80, 120);
        maybe(oil.line_pressure, 20, 200);
        if (chance(40)) oil.pump_volume = Volume{figure(5, 30), any_unit<VolumeDimension>()};
        maybe(oil.pump_share, 0.5, 1);
        maybe(oil.idle_rpm, 500, 900);
        maybe(oil.driving_rpm, 1000, 3000);
    }
    void make_gear_sets(UnitMap& map) {
        for (int n = number(0, 3); n > 0; --n) {
            GearSet set;
            set.id = id("set");
            set.name = name();
            set.note = note();
            set.sun = "sun " + std::to_string(n);
            set.carrier = chance(50) ? "carrier" : "carrier " + std::to_string(n);
            set.ring = chance(50) ? "output" : "ring " + std::to_string(n);
            if (chance(70)) set.sun_teeth = number(20, 40);
            if (chance(70)) set.ring_teeth = number(60, 90);
            set.planets = any<Planets>();
            map.gear_sets.push_back(std::move(set));
        }
    }
    void make_spares(UnitMap& map) {
        for (int n = number(0, 4); n > 0; --n) {
            Spare s;
            s.id = id("sp");
            s.name = text();
            s.note = note();
            if (chance(50)) s.part_number = "DEMO-" + std::to_string(number(1, 99));
            if (chance(50)) s.kit = text();
            s.quantity = number(1, 6);
            while (chance(40))
                s.with.push_back(one_of(map.parts).id);
            s.breaks = chance(30);
            map.spares.push_back(std::move(s));
        }
    }

    void make_parts(UnitMap& map) {
        for (int n = number(1, 12); n > 0; --n) {
            Part p;
            p.id = id("part");
            p.name = name();
            p.note = note();
            p.kind = any<PartKind>();
            if (chance(50)) p.material = any<Material>();
            if (chance(20)) p.node = text();
            p.line = number(1, 3);
            if (chance(40)) {
                p.from = length(0, 10);
                p.to = length(300, 400);
            }
            maybe(p.outer_diameter, 200, 300);
            if (p.outer_diameter) p.inner_diameter = Length{figure(0, 100), p.outer_diameter->unit};
            // Only earlier parts, so that nothing runs in a circle.
            if (!map.parts.empty() && chance(50)) p.on = one_of(map.parts).id;
            while (!map.parts.empty() && chance(40))
                p.after.push_back(one_of(map.parts).id);
            if (chance(50)) p.minutes = figure(0, 60);
            if (chance(30)) p.part_number = "DEMO-" + std::to_string(number(1, 99));
            while (chance(30))
                p.renew.push_back(text());
            if (chance(20)) p.tools = text();
            if (chance(20)) p.caution = note() + "mind the spring";
            map.parts.push_back(std::move(p));
        }
    }
    void make_stack(UnitMap& map, int circuits) {
        Stack s;
        s.id = id("stack");
        s.name = name();
        s.note = note();
        s.first_end = "pump end " + text();
        s.second_end = "drum end";
        std::set<std::string> used;
        for (int k = 0; k < circuits; ++k) {
            // A circuit may run through several stacks.
            const bool shared = !map.circuits.empty() && chance(20);
            std::string c = shared ? one_of(map.circuits).id : std::string{};
            if (c.empty() || used.count(c) != 0) {
                map.circuits.push_back(circuit());
                c = map.circuits.back().id;
            }
            used.insert(c);
            s.circuits.push_back(c);
        }
        for (std::size_t end = 0; end < 2; ++end) {
            if (!chance(20)) continue;
            const auto& c = one_of(map.circuits).id;
            if (used.count(c) == 0) s.outside[end] = c;
        }
        if (chance(50)) s.on = one_of(map.parts).id;
        if (chance(50)) s.bore = one_of(map.parts).id;
        s.first_end_to_engine = chance(60);
        maybe(s.start, 0, 300);
        maybe(s.pitch, 8, 15);
        if (s.pitch) s.ring_width = Length{figure(1, 4), s.pitch->unit};
        maybe(s.diameter, 20, 60);
        maybe(s.ring_thickness, 1, 3);
        if (s.diameter) s.groove_depth = Length{figure(1, 4), s.diameter->unit};
        for (int k = 0; k <= circuits; ++k) {
            Seal seal = any_seal();
            seal.kind = chance(80) ? SealKind::ring : any<SealKind>();
            seal.relation = Relation::stack;
            seal.stack = s.id;
            seal.nth = k + 1;
            const auto i = static_cast<std::size_t>(k);
            seal.between = {k == 0 ? s.outside[0] : s.circuits[i - 1], k == circuits ? s.outside[1] : s.circuits[i]};
            finish_seal(map, seal);
            s.seals.push_back(seal.id);
            // Anywhere in the list: order in the file is the author's.
            map.seals.insert(map.seals.begin() + number(0, static_cast<int>(map.seals.size())), std::move(seal));
        }
        map.stacks.push_back(std::move(s));
    }
    Seal any_seal() {
        Seal s;
        s.id = id("R");
        s.name = name();
        s.note = note();
        if (chance(30)) s.material = any<Material>();
        s.joint = any<Joint>();
        maybe(s.end_gap, 0, 1);
        maybe(s.side_clearance, 0, 1);
        maybe(s.healthy_hole, 0, 1);
        if (chance(20)) s.prior = figure(0, 10);
        if (chance(20)) s.look_minutes = figure(0, 60);
        if (chance(20)) s.look = note() + "behind the cover";
        if (chance(20)) s.part_number = "DEMO-" + std::to_string(number(1, 99));
        if (chance(20)) s.kit = text();
        if (chance(20)) s.inspect = text();
        if (chance(20)) s.fit = text();
        if (chance(20)) s.cause = text();
        return s;
    }
    void finish_seal(UnitMap& map, Seal& seal) {
        if (chance(30)) seal.at = one_of(map.parts).id;
        if (seal.kind == SealKind::lip || seal.kind == SealKind::check_ball) seal.faces = one_of(seal.between);
    }
    void make_other_seals(UnitMap& map) {
        for (int n = number(0, 10); n > 0; --n) {
            Seal s = any_seal();
            s.kind = any<SealKind>();
            do
                s.relation = any<Relation>();
            while (s.relation == Relation::stack);
            s.between = {one_of(map.circuits).id, one_of(map.circuits).id};
            if (s.between[0] == s.between[1]) continue;
            finish_seal(map, s);
            map.seals.push_back(std::move(s));
        }
    }
    void make_ports(UnitMap& map) {
        bool none = true;
        for (std::size_t i = 0; i < map.circuits.size(); ++i) {
            auto& c = map.circuits[i];
            if (c.kind == CircuitKind::sump) continue;
            const bool last = i + 1 == map.circuits.size() ||
                              (i + 2 == map.circuits.size() && map.circuits.back().kind == CircuitKind::sump);
            if (chance(10) && !(none && last)) {
                c.no_port = true;
                continue;
            }
            for (int n = chance(10) ? 2 : 1; n > 0; --n) {
                none = false;
                Port p;
                p.id = id("P");
                if (chance(30)) p.label = name();
                p.note = note();
                p.circuit = c.id;
                if (chance(30)) p.at_mm = std::array<double, 2>{figure(0, 400), figure(-100, 100)};
                map.ports.push_back(std::move(p));
            }
        }
    }
    void make_elements(UnitMap& map) {
        for (int n = number(0, 6); n > 0; --n) {
            Element e;
            e.id = id("e");
            e.name = name();
            e.note = note();
            e.kind = any<ElementKind>();
            e.applied_by.push_back(one_of(map.circuits).id);
            while (chance(20))
                e.released_by.push_back(one_of(map.circuits).id);
            if (chance(50)) e.at = one_of(map.parts).id;
            if (chance(30)) e.around = one_of(map.parts).id;
            if (chance(50)) e.apply_area = Area{figure(1, 130), any_unit<AreaDimension>()};
            if (chance(20)) e.release_area = Area{figure(1, 130), any_unit<AreaDimension>()};
            if (chance(50)) e.return_spring = GaugePressure{figure(0, 40), any_unit<PressureDimension>()};
            maybe(e.stroke, 0.5, 3);
            if (chance(50)) e.friction_plates = number(1, 9);
            maybe(e.plate_outer_diameter, 100, 180);
            if (e.plate_outer_diameter) e.plate_inner_diameter = Length{figure(60, 90), e.plate_outer_diameter->unit};
            if (chance(40)) e.friction_coefficient = figure(0.05, 0.2);
            if (chance(50)) e.joins = {"input", map.gear_sets.empty() ? "sun 1" : one_of(map.gear_sets).sun};
            e.one_way = chance(20);
            if (chance(30)) e.turns_with = "input";
            maybe(e.chamber_outer_diameter, 100, 180);
            if (e.chamber_outer_diameter)
                e.chamber_inner_diameter = Length{figure(1, 3), e.chamber_outer_diameter->unit};
            maybe(e.torque, 50, 900);
            map.elements.push_back(std::move(e));
        }
    }
    void make_passages(UnitMap& map) {
        for (int n = number(0, 6); n > 0; --n) {
            Passage p;
            p.id = id("w");
            p.note = note();
            const Port& port = one_of(map.ports);
            p.circuit = port.circuit;
            if (chance(80)) p.port = port.id;
            if (!map.elements.empty() && chance(50)) p.to = one_of(map.elements).id;
            while (chance(50))
                p.through.push_back(chance(50) ? one_of(map.parts).id : one_of(map.stacks).id);
            maybe(p.bore, 3, 8);
            maybe(p.length, 50, 400);
            if (chance(20)) {
                for (int k = number(2, 5); k > 0; --k)
                    p.points_mm.push_back({figure(0, 400), figure(-90, 90), figure(-90, 90)});
            }
            map.passages.push_back(std::move(p));
        }
    }
    void make_flows(UnitMap& map) {
        for (int n = number(0, 4); n > 0; --n) {
            DesignFlow f;
            f.id = id("d");
            f.from = one_of(map.circuits).id;
            f.to = one_of(map.circuits).id;
            if (f.from == f.to) continue;
            f.kind = any<DesignFlowKind>();
            f.one_way = chance(50);
            maybe(f.hole, 0.3, 3);
            f.reason = text();
            if (chance(50)) f.at = one_of(map.parts).id;
            map.by_design.push_back(std::move(f));
        }
    }
    void make_ranges(UnitMap& map) {
        for (int n = number(0, 6); n > 0; --n) {
            Range r;
            r.id = id("g");
            r.name = name();
            r.note = note();
            while (!map.elements.empty() && chance(50))
                r.on.push_back(one_of(map.elements).id);
            maybe(r.ratio, -4, 4);
            maybe(r.line_pressure, 20, 200);
            map.ranges.push_back(std::move(r));
        }
    }
    void make_clearances(UnitMap& map) {
        for (int n = number(0, 4); n > 0; --n) {
            Clearance c;
            c.id = id("cl");
            c.name = text();
            c.note = note();
            c.of = chance(50) ? one_of(map.stacks).id : one_of(map.parts).id;
            if (chance(70)) c.lower = length(0, 0.03);
            if (chance(70)) c.upper = length(1, 2);
            if (chance(50)) c.measure = text();
            if (chance(50)) c.correct = text();
            c.kind = any<ClearanceKind>();
            for (int k = chance(50) ? number(1, 5) : 0; k > 0; --k)
                c.sizes_mm.push_back(figure(0.5, 3));
            map.clearances.push_back(std::move(c));
        }
    }

    std::mt19937_64 engine_;
    int made_ = 0;
};

/// The map of a seed: one to four stacks of up to six circuits, and everything else.
inline UnitMap random_map(std::uint64_t seed) {
    RandomMap random(seed);
    const int stacks = random.number(1, 4);
    return random.make(stacks, 6);
}

} // namespace ringland::tests
