// Places for records in tests: a folder of their own, and a PostgreSQL server of their own.
#pragma once

#include <cstdlib>
#include <filesystem>
#include <string>

namespace ringland::test {

/// A folder that goes with the test. XDG_DATA_HOME points into it, so that no test comes near the shop's own records.
class Folder {
public:
    Folder();
    ~Folder();
    Folder(const Folder&) = delete;
    Folder& operator=(const Folder&) = delete;
    [[nodiscard]] std::filesystem::path path() const { return path_; }
    [[nodiscard]] std::string file(const std::string& name) const { return (path_ / name).string(); }
    /// Another bench: its own place for what waits.
    void as_bench(const std::string& name) const;

private:
    std::filesystem::path path_;
};

struct Finished {
    int exit = -1;
    std::string out;
};
/// Runs a shell command; stdout and stderr together.
[[nodiscard]] Finished shell(const std::string& command);

/// SQL by the sqlite3 shell, not by the program's own way to the database. Columns are parted by |.
[[nodiscard]] std::string sqlite(const std::string& file, const std::string& sql);

/// A server of the test's own in a folder of the test's own, reached by a socket there; run by an unprivileged user.
class Server {
public:
    static constexpr const char* password = "nobody-may-read-this";
    explicit Server(const Folder& folder);
    ~Server();
    Server(const Server&) = delete;
    Server& operator=(const Server&) = delete;

    void start();
    /// At once, as if the plug was pulled, or in good order.
    void stop(bool at_once);
    /// A new empty database, as a connection string with the password in it.
    [[nodiscard]] std::string database(const std::string& name);
    /// SQL by psql. Columns are parted by |.
    [[nodiscard]] std::string sql(const std::string& database, const std::string& text);

private:
    [[nodiscard]] std::string as_user(const std::string& command) const;
    std::filesystem::path folder_, bin_;
    bool running_ = false;
};

} // namespace ringland::test
