#include "sha256.h"

#include <array>
#include <cmath>
#include <cstdint>

#include <fmt/format.h>

namespace ringland::diagnosis::records {
namespace {

using Bits = std::uint32_t;

constexpr Bits turned(Bits x, int by) { return (x >> by) | (x << (32 - by)); }

/// The first 32 bits of the fraction of a root of a small prime: sections 4.2.2 and 5.3.3. 64 bits of a long double's
/// mantissa hold them for every prime that is asked for; the test against the standard's examples would show it.
Bits fraction_bits(long double root) { return static_cast<Bits>((root - std::floor(root)) * 4294967296.0L); }

struct Constants {
    std::array<Bits, 64> k{};
    std::array<Bits, 8> h{};
    Constants() {
        std::size_t found = 0;
        for (int n = 2; found < k.size(); ++n) {
            bool prime = true;
            for (int d = 2; d * d <= n; ++d)
                prime = prime && n % d != 0;
            if (!prime) continue;
            k[found] = fraction_bits(std::cbrt(static_cast<long double>(n)));
            if (found < h.size()) h[found] = fraction_bits(std::sqrt(static_cast<long double>(n)));
            ++found;
        }
    }
};

void take_block(const unsigned char* block, const Constants& constants, std::array<Bits, 8>& h) {
    std::array<Bits, 64> w{};
    for (std::size_t t = 0; t < 16; ++t)
        w[t] =
            static_cast<Bits>(block[4 * t] << 24 | block[4 * t + 1] << 16 | block[4 * t + 2] << 8 | block[4 * t + 3]);
    for (std::size_t t = 16; t < 64; ++t) {
        const Bits s0 = turned(w[t - 15], 7) ^ turned(w[t - 15], 18) ^ (w[t - 15] >> 3);
        const Bits s1 = turned(w[t - 2], 17) ^ turned(w[t - 2], 19) ^ (w[t - 2] >> 10);
        w[t] = s1 + w[t - 7] + s0 + w[t - 16];
    }
    std::array<Bits, 8> v = h;
    for (std::size_t t = 0; t < 64; ++t) {
        const Bits big1 = turned(v[4], 6) ^ turned(v[4], 11) ^ turned(v[4], 25);
        const Bits choice = (v[4] & v[5]) ^ (~v[4] & v[6]);
        const Bits t1 = v[7] + big1 + choice + constants.k[t] + w[t];
        const Bits big0 = turned(v[0], 2) ^ turned(v[0], 13) ^ turned(v[0], 22);
        const Bits majority = (v[0] & v[1]) ^ (v[0] & v[2]) ^ (v[1] & v[2]);
        v = {t1 + big0 + majority, v[0], v[1], v[2], v[3] + t1, v[4], v[5], v[6]};
    }
    for (std::size_t i = 0; i < 8; ++i)
        h[i] += v[i];
}

} // namespace

std::string sha256(std::string_view bytes) {
    const Constants constants;
    std::array<Bits, 8> h = constants.h;
    std::string padded(bytes);
    padded += '\x80';
    while (padded.size() % 64 != 56)
        padded += '\0';
    const std::uint64_t bits = static_cast<std::uint64_t>(bytes.size()) * 8;
    for (int shift = 56; shift >= 0; shift -= 8)
        padded += static_cast<char>(bits >> shift & 0xFF);
    for (std::size_t at = 0; at < padded.size(); at += 64) {
        std::array<unsigned char, 64> block{};
        for (std::size_t i = 0; i < 64; ++i)
            block[i] = static_cast<unsigned char>(padded[at + i]);
        take_block(block.data(), constants, h);
    }
    std::string digits;
    for (const Bits word : h)
        digits += fmt::format("{:08x}", word);
    return digits;
}

} // namespace ringland::diagnosis::records
