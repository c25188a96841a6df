// A small map for tests of readings files.
#pragma once

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "../../model-data/map_io.h"
#include "../../model-data/readings.h"
#include "faults_said.h"

namespace ringland::tests {

using namespace ringland::model;

/// Low has two ports, Lube none; P3's label is the name of a seal.
inline UnitMap small_map() {
    const auto read = read_map_text("[unit]\nname = \"Bench three\"\n"
                                    "[[stack]]\nid = \"input\"\nrow = \"pump end | Low | Coast | Top | drum end\"\n"
                                    "[[circuit]]\nid = \"lube\"\nname = \"Lube\"\nkind = \"lube\"\nno-port = true\n"
                                    "[[circuit]]\nid = \"sump\"\nname = \"Open case\"\n"
                                    "[[circuit]]\nid = \"coast\"\nname = \"Coast\"\ntag = \"CT\"\n"
                                    "[[port]]\nid = \"P1\"\nlabel = \"LC\"\ncircuit = \"Low\"\n"
                                    "[[port]]\nid = \"P2\"\ncircuit = \"Coast\"\n"
                                    "[[port]]\nid = \"P3\"\nlabel = \"3rd\"\ncircuit = \"Top\"\n"
                                    "[[port]]\nid = \"P4\"\ncircuit = \"Low\"\n"
                                    "[[seal]]\nid = \"R2\"\nname = \"Middle ring\"\n"
                                    "[[seal]]\nid = \"R3\"\nname = \"Upper ring\"\n"
                                    "[[seal]]\nid = \"R4\"\nname = \"Upper ring\"\n",
                                    "small");
    REQUIRE_MESSAGE(read.map.has_value(), to_string(read.faults.at(0)));
    return *read.map;
}

/// A good reading in one line, for cases about what follows.
inline const std::string into_p1 = "[[reading]]\ninto = \"P1\"\n";                             // 1, 2
inline const std::string good = into_p1 + "[[reading.seen]]\nat = \"P2\"\nword = \"faint\"\n"; // to line 5
/// A seen thing at P2 of a reading into P1, to be said from line 5 on.
inline const std::string at_p2 = into_p1 + "[[reading.seen]]\nat = \"P2\"\n";

} // namespace ringland::tests
