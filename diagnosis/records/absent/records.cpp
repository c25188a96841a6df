// The records of a program that was built without a database: whoever asks for them is told so.
#include "../records.h"

namespace ringland::diagnosis::records {
namespace {

[[noreturn]] void none() { throw Trouble(model::phrase("this program was built without records")); }

} // namespace

struct Records::Impl {};

Records::Records(const Place&) { none(); }
Records::~Records() = default;
Records::Records(Records&&) noexcept = default;
Records& Records::operator=(Records&&) noexcept = default;

Saved Records::save(const model::Job&, const model::Job&, std::string_view) { none(); }
std::optional<model::Job> Records::load(std::string_view) { none(); }
std::vector<JobLine> Records::search(const Search&) { none(); }
std::size_t Records::count() { none(); }
long long Records::state() { none(); }
std::vector<Change> Records::history(std::string_view) { none(); }
Statistics Records::statistics() { none(); }
std::vector<SealStatistics> Records::failures_of(std::string_view) { none(); }
std::string Records::export_json(const Search&) { none(); }
std::size_t Records::import_json(std::string_view) { none(); }
std::string Records::export_csv(const Search&) { none(); }
bool Records::away() const { return false; }
std::size_t Records::waiting() const { return 0; }
bool Records::send_waiting() { return true; }

} // namespace ringland::diagnosis::records
