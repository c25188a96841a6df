// SHA-256 (FIPS 180-4), by which a unit map is known so that the records keep each text once.
#pragma once

#include <string>
#include <string_view>

namespace ringland::diagnosis::records {

/// As 64 hexadecimal digits.
[[nodiscard]] std::string sha256(std::string_view bytes);

} // namespace ringland::diagnosis::records
