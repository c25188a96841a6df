#include "places.h"

#include <array>
#include <cstdio>
#include <stdexcept>

#include <fmt/format.h>
#include <sys/wait.h>
#include <unistd.h>

namespace ringland::test {

namespace fs = std::filesystem;

Folder::Folder() {
    std::string made = (fs::temp_directory_path() / "ringland-records-XXXXXX").string();
    if (mkdtemp(made.data()) == nullptr) throw std::runtime_error("no temporary folder");
    path_ = made;
    fs::permissions(path_, fs::perms::all);
    as_bench("bench");
}

Folder::~Folder() {
    std::error_code ignored;
    fs::remove_all(path_, ignored);
}

void Folder::as_bench(const std::string& name) const {
    fs::create_directories(path_ / name);
    setenv("XDG_DATA_HOME", (path_ / name).c_str(), 1);
}

Finished shell(const std::string& command) {
    Finished ran;
    FILE* pipe = popen(("( " + command + " ) 2>&1 </dev/null").c_str(), "r");
    if (pipe == nullptr) throw std::runtime_error("no shell");
    std::array<char, 4096> bytes{};
    for (std::size_t got = 0; (got = fread(bytes.data(), 1, bytes.size(), pipe)) > 0;)
        ran.out.append(bytes.data(), got);
    const int status = pclose(pipe);
    if (WIFEXITED(status)) ran.exit = WEXITSTATUS(status);
    return ran;
}

namespace {

std::string checked(const std::string& command) {
    Finished ran = shell(command);
    if (ran.exit != 0) throw std::runtime_error(command + ": " + ran.out);
    while (!ran.out.empty() && ran.out.back() == '\n')
        ran.out.pop_back();
    return ran.out;
}

} // namespace

std::string sqlite(const std::string& file, const std::string& sql) {
    return checked(fmt::format("sqlite3 -batch '{}' \"{}\"", file, sql));
}

Server::Server(const Folder& folder) : folder_(folder.path() / "server") {
    for (const auto& version : fs::directory_iterator("/usr/lib/postgresql"))
        bin_ = version.path() / "bin";
    fs::create_directories(folder_);
    fs::permissions(folder_, fs::perms::all);
    const std::string password_file = (folder_ / "password").string();
    checked(fmt::format("printf '%s' '{}' >'{}'", password, password_file));
    checked(as_user(fmt::format("'{}/initdb' -D '{}/data' -U shop --pwfile='{}' --auth=scram-sha-256 --no-sync -E UTF8 "
                                "--locale=C.UTF-8",
                                bin_.string(), folder_.string(), password_file)));
    start();
}

Server::~Server() {
    if (running_)
        static_cast<void>(
            shell(as_user(fmt::format("'{}/pg_ctl' -D '{}/data' -m immediate stop", bin_.string(), folder_.string()))));
}

std::string Server::as_user(const std::string& command) const {
    // The server refuses to be run by root.
    if (getuid() != 0) return command;
    return fmt::format("cd '{}' && runuser -u postgres -- {}", folder_.string(), command);
}

void Server::start() {
    checked(as_user(fmt::format("'{0}/pg_ctl' -D '{1}/data' -w -l '{1}/log' -o \"-c listen_addresses='' -c "
                                "unix_socket_directories='{1}' -c fsync=off\" start",
                                bin_.string(), folder_.string())));
    running_ = true;
}

void Server::stop(bool at_once) {
    checked(as_user(fmt::format("'{}/pg_ctl' -D '{}/data' -w -m {} stop", bin_.string(), folder_.string(),
                                at_once ? "immediate" : "fast")));
    running_ = false;
}

std::string Server::sql(const std::string& database, const std::string& text) {
    return checked(fmt::format("PGPASSWORD='{}' '{}/psql' -h '{}' -U shop -d '{}' -qAt -v ON_ERROR_STOP=1 -c \"{}\"",
                               password, bin_.string(), folder_.string(), database, text));
}

std::string Server::database(const std::string& name) {
    static_cast<void>(sql("postgres", "create database " + name));
    return fmt::format("postgresql://shop:{}@/{}?host={}", password, name, folder_.string());
}

} // namespace ringland::test
