#include "run_ringland.h"

#include <chrono>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <stdexcept>

#include <fmt/format.h>
#include <sys/wait.h>
#include <unistd.h>

namespace ringland::test {

std::vector<std::string> examples_of(const std::string& help) {
    std::vector<std::string> examples;
    const std::string before = "\n  ringland ";
    for (std::size_t at = help.find(before); at != std::string::npos; at = help.find(before, at + 1)) {
        const std::size_t begin = at + before.size();
        examples.push_back(help.substr(begin, help.find('\n', begin) - begin));
    }
    return examples;
}

std::string read_file(const std::filesystem::path& file) {
    std::ifstream input(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(input), std::istreambuf_iterator<char>()};
}

Bench::Bench() {
    std::string made = (std::filesystem::temp_directory_path() / "ringland-cli-XXXXXX").string();
    if (mkdtemp(made.data()) == nullptr) throw std::runtime_error("no temporary folder");
    path_ = made;
    std::filesystem::create_directory_symlink(std::filesystem::path(RINGLAND_SOURCE_DIR) / "assets-demo",
                                              path_ / "assets-demo");
}

Bench::~Bench() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
}

std::string Bench::write(const std::string& name, const std::string& bytes) const {
    std::ofstream(file(name), std::ios::binary) << bytes;
    return name;
}

Ran Bench::run(const std::string& arguments, const std::string& environment) const {
    return shell(fmt::format("{} '{}/ringland' {}", environment, RINGLAND_BINARY_DIR, arguments));
}

Ran Bench::shell(const std::string& command) const {
    const auto out = file(".stdout");
    const auto err = file(".stderr");
    const auto begin = std::chrono::steady_clock::now();
    const int status = std::system(
        fmt::format("cd '{}' && ( {} ) >'{}' 2>'{}' </dev/null", path_.string(), command, out.string(), err.string())
            .c_str());
    Ran ran;
    ran.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
    // The shell gives 128 and more for a child that a signal ended.
    if (WIFEXITED(status) && WEXITSTATUS(status) < 128) ran.exit = WEXITSTATUS(status);
    ran.out = read_file(out);
    ran.err = read_file(err);
    return ran;
}

} // namespace ringland::test
