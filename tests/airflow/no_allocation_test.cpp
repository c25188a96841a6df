// Once a unit is set up, no change of its case and no solve takes memory from the heap: it stays as quick as it is,
// also while a slider is dragged.
#include <doctest/doctest.h>

#include <atomic>
#include <cerrno>
#include <cstddef>
#include <cstdlib>

#include "../../diagnosis/airflow/unit_air.h"
#include "../../model-data/map_io.h"
#include "../model/random_map.h"

// The sanitizers bring a heap of their own, with a hook for whoever counts; elsewhere the calls of the C library are
// replaced for this test program, so that what operator new, KLU or any other library takes is counted too.
#if defined(__has_feature)
#if __has_feature(address_sanitizer)
#define RINGLAND_SANITIZED
#endif
#endif
#ifdef __SANITIZE_ADDRESS__
#define RINGLAND_SANITIZED
#endif

namespace {
std::atomic<long> allocations{0};
}

#ifdef RINGLAND_SANITIZED
#include <sanitizer/allocator_interface.h>
namespace {
void count(const volatile void*, std::size_t) { ++allocations; }
void ignore(const volatile void*) {}
const int hooked = __sanitizer_install_malloc_and_free_hooks(count, ignore);
} // namespace
#else
extern "C" {
void* __libc_malloc(std::size_t size);                       // NOLINT: glibc's own names
void* __libc_calloc(std::size_t count, std::size_t size);    // NOLINT
void* __libc_realloc(void* block, std::size_t size);         // NOLINT
void* __libc_memalign(std::size_t alignment, std::size_t n); // NOLINT

void* malloc(std::size_t size) {
    ++allocations;
    return __libc_malloc(size);
}
void* calloc(std::size_t count, std::size_t size) {
    ++allocations;
    return __libc_calloc(count, size);
}
void* realloc(void* block, std::size_t size) {
    ++allocations;
    return __libc_realloc(block, size);
}
void* aligned_alloc(std::size_t alignment, std::size_t size) {
    ++allocations;
    return __libc_memalign(alignment, size);
}
int posix_memalign(void** block, std::size_t alignment, std::size_t size) {
    ++allocations;
    *block = __libc_memalign(alignment, size);
    return *block ? 0 : ENOMEM;
}
}
#endif

using namespace ringland::diagnosis::airflow;

TEST_CASE("no allocation: the count counts") {
    // Volatile, or the compiler leaves out a block that nobody looks at.
    const long before = allocations;
    double* volatile numbers = new double[100];
    delete[] numbers;
    CHECK(allocations - before >= 1);
    const long then = allocations;
    void* volatile block = std::malloc(64); // as a library in C does it
    std::free(block);
    block = std::calloc(2, 64);
    std::free(block);
    CHECK(allocations - then >= 2);
}

TEST_CASE("no allocation: a hundred solves with every change of a case in between take no memory") {
    const auto read = ringland::model::read_map(RINGLAND_SOURCE_DIR "/assets-demo/larch-five.toml");
    REQUIRE(read.map.has_value());
    const auto& map = *read.map;
    UnitAir unit(map, {});
    ringland::tests::RandomMap dice(5);
    const int ports = static_cast<int>(map.ports.size()), seals = static_cast<int>(map.seals.size());
    int converged = 0;
    double heard = 0;
    const long before = allocations;
    for (int n = 0; n < 100; ++n) {
        unit.set_all_ports(PortState::open);
        unit.set_port(dice.number(0, ports - 1), static_cast<PortState>(dice.number(0, 2)));
        if (n % 7 == 0) unit.clear_defects();
        unit.set_defect(dice.number(0, seals - 1), dice.figure(0, 10e-3));
        unit.blow_into(dice.number(0, ports - 1), dice.figure(0, 1e6));
        if (n % 11 == 0) unit.release_trigger();
        const bool good = n % 3 == 0 ? unit.solve_cold().converged : unit.solve().converged;
        converged += good ? 1 : 0;
        const int port = dice.number(0, ports - 1), seal = dice.number(0, seals - 1);
        heard += unit.port_flow_kgps(port) + unit.port_gauge_pa(port) + unit.seal_flow_kgps(seal) +
                 unit.sump_flow_kgps() + unit.supply_flow_kgps() + unit.design_flow_kgps(0) + unit.circuit_gauge_pa(0);
    }
    const long taken = allocations - before;
    CHECK(taken == 0);
    CHECK(converged == 100);
    CHECK(heard != 0);
}
