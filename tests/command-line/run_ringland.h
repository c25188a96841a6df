// Runs the program that was built, as a person or a script would, and says what came of it.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace ringland::test {

struct Ran {
    int exit = -1; ///< -1: ended by a signal
    std::string out, err;
    double seconds = 0;
};

/// A folder that goes with the test, with the demo units where the examples of the help expect them.
class Bench {
public:
    Bench();
    ~Bench();
    Bench(const Bench&) = delete;
    Bench& operator=(const Bench&) = delete;

    [[nodiscard]] std::filesystem::path file(const std::string& name) const { return path_ / name; }
    /// Writes a file into the folder and gives its name back.
    std::string write(const std::string& name, const std::string& bytes) const;
    /// Runs `ringland ARGUMENTS` in the folder; the arguments are as a shell takes them. `environment` is put before
    /// it, as in "A=1 B=2".
    [[nodiscard]] Ran run(const std::string& arguments, const std::string& environment = "") const;
    /// Runs any shell command in the folder.
    [[nodiscard]] Ran shell(const std::string& command) const;

private:
    std::filesystem::path path_;
};

/// A window as the program opens it by itself, pixels.
inline constexpr int window_width = 1600, window_height = 900;

/// The examples of a help text, without the program's name.
[[nodiscard]] std::vector<std::string> examples_of(const std::string& help);

[[nodiscard]] std::string read_file(const std::filesystem::path& file);

/// Whether the text holds the words.
[[nodiscard]] inline bool has(const std::string& text, const std::string& words) {
    return text.find(words) != std::string::npos;
}

} // namespace ringland::test
