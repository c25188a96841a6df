// Units at random that are small enough for a test to try everything on them: one or two shafts of one to three
// circuits, not every circuit with a port, lips and check balls that fail one way, bridges, plugs, tubes, bleeds.
// Invented.
#pragma once

#include <stdexcept>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "../model/random_map.h"

namespace ringland::tests {

inline std::string small_unit_text(std::uint64_t number) {
    RandomMap dice(number * 7919 + 3);
    std::string text = fmt::format("[unit]\nid = \"small-{0}\"\nname = \"Small {0}\"\ninvented = true\n"
                                   "[[part]]\nid = \"pump\"\nkind = \"pump\"\nminutes = 18\n",
                                   number);
    std::vector<std::string> circuits;
    std::size_t ports = 0;
    const int stacks = dice.number(1, 2);
    for (int s = 1; s <= stacks; ++s) {
        text += fmt::format("[[part]]\nid = \"shaft{}\"\nkind = \"shaft\"\nafter = [\"pump\"]\nminutes = 3\n", s);
        std::string row = "pump end";
        for (int n = dice.number(1, 3); n > 0; --n) {
            circuits.push_back(fmt::format("c{}", circuits.size() + 1));
            row += " | " + circuits.back();
            const bool port = ports == 0 || dice.chance(80);
            text += fmt::format("[[circuit]]\nid = \"{0}\"\nname = \"{0}\"\nkind = \"apply\"\nno-port = {1}\n",
                                circuits.back(), !port);
            if (port) text += fmt::format("[[port]]\ncircuit = \"{}\"\n", circuits.back());
            ports += port;
        }
        text +=
            fmt::format("[[stack]]\nid = \"stack{0}\"\nrow = \"{1} | drum end\"\non = \"shaft{0}\"\njoint = \"{2}\"\n",
                        s, row, dice.chance(50) ? "scarf" : "solid");
    }
    const auto any_two = [&](bool with_sump) {
        const auto count = static_cast<int>(circuits.size());
        const int a = dice.number(0, count - 1), b = dice.number(0, count - 1);
        const std::string first = circuits[static_cast<std::size_t>(a)];
        if (a == b || (with_sump && dice.chance(40))) return std::array<std::string, 2>{first, "sump"};
        return std::array<std::string, 2>{first, circuits[static_cast<std::size_t>(b)]};
    };
    int made = 0;
    for (int n = dice.number(2, 6); n > 0; --n) {
        static constexpr std::array<std::array<const char*, 2>, 8> kinds{{{"lip", "drum"},
                                                                          {"o-ring", "drum"},
                                                                          {"gasket-bridge", "face"},
                                                                          {"plug", "shaft"},
                                                                          {"tube", "shaft"},
                                                                          {"wall", "shaft"},
                                                                          {"bushing", "shaft"},
                                                                          {"check-ball", "drum"}}};
        const auto& kind = dice.one_of(kinds);
        const auto between = any_two(true);
        text += fmt::format("[[seal]]\nid = \"X{}\"\nkind = \"{}\"\nrelation = \"{}\"\nbetween = [\"{}\", \"{}\"]\n"
                            "at = \"shaft1\"\n",
                            ++made, kind[0], kind[1], between[0], between[1]);
        const bool one_way = std::string(kind[0]) == "lip" || std::string(kind[0]) == "check-ball";
        if (one_way && dice.chance(70)) {
            const bool second = between[1] != "sump" && dice.chance(50);
            text += fmt::format("faces = \"{}\"\n", between[second ? 1 : 0]);
        }
        if (dice.chance(40)) text += fmt::format("look-minutes = {}\nlook = \"there\"\n", dice.number(2, 9));
    }
    for (int n = dice.number(0, 2); n > 0; --n) {
        const auto between = any_two(true);
        text += fmt::format("[[by-design]]\nid = \"flow{}\"\nfrom = \"{}\"\nto = \"{}\"\nkind = \"bleed\"\nhole_mm = "
                            "{:.2f}\none-way = {}\nreason = \"made up\"\n",
                            ++made, between[0], between[1], dice.figure(0.3, 1.2), dice.chance(40));
    }
    return text;
}

inline UnitMap small_unit(std::uint64_t number) {
    auto read = read_map_text(small_unit_text(number), "small unit");
    if (!read.map) throw std::runtime_error(small_unit_text(number) + to_string(read.faults.front()));
    return *std::move(read.map);
}

} // namespace ringland::tests
