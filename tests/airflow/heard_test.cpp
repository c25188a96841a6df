// Words for flows: where each word begins.
#include <doctest/doctest.h>

#include <cmath>

#include "../../diagnosis/airflow/heard.h"
#include "../../model-data/air_bench.h"

using namespace ringland::diagnosis::airflow;

TEST_CASE("a word begins at its threshold and not before") {
    const Hearing hearing{{0.5, 5, 30}};
    CHECK(heard(0, hearing) == Heard::nothing);
    CHECK(heard(-3, hearing) == Heard::nothing);
    CHECK(heard(std::nextafter(0.5, 0), hearing) == Heard::nothing);
    CHECK(heard(0.5, hearing) == Heard::faint);
    CHECK(heard(std::nextafter(5.0, 0), hearing) == Heard::faint);
    CHECK(heard(5, hearing) == Heard::clear);
    CHECK(heard(std::nextafter(30.0, 0), hearing) == Heard::clear);
    CHECK(heard(30, hearing) == Heard::strong);
    CHECK(heard(1e9, hearing) == Heard::strong);
    CHECK(heard(std::nan(""), hearing) == Heard::nothing);
}

TEST_CASE("more flow is never a softer word") {
    const Hearing hearing;
    auto last = Heard::nothing;
    for (double flow = 0.001; flow < 1000; flow *= 1.01) {
        CHECK(heard(flow, hearing) >= last);
        last = heard(flow, hearing);
    }
    CHECK(last == Heard::strong);
}

TEST_CASE("the bench file and the computation begin with the same thresholds") {
    CHECK(Hearing{}.from_lpm == ringland::model::AirBench{}.heard_from_lpm);
}
