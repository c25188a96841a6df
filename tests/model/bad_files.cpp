// Files that are no maps: each gets one clear sentence, none costs time, memory or the program.
#include <doctest/doctest.h>

#include <chrono>
#include <filesystem>
#include <fstream>
#include <string>

#include <unistd.h>

#include "../../model-data/map_io.h"

using namespace ringland::model;
namespace fs = std::filesystem;

namespace {

/// A folder of its own that goes away with the test.
class Folder {
public:
    Folder() : path_(fs::temp_directory_path() / ("ringland-bad-files-" + std::to_string(::getpid()))) {
        fs::create_directories(path_);
    }
    ~Folder() {
        std::error_code ignored;
        fs::remove_all(path_, ignored);
    }
    Folder(const Folder&) = delete;
    Folder& operator=(const Folder&) = delete;
    [[nodiscard]] fs::path file(const std::string& name, const std::string& text) const {
        std::ofstream(path_ / name, std::ios::binary) << text;
        return path_ / name;
    }
    [[nodiscard]] const fs::path& path() const { return path_; }

private:
    fs::path path_;
};

/// The one fault of a refused file, as "line:column what".
std::string refusal(const ReadResult& result) {
    REQUIRE_FALSE(result.map.has_value());
    REQUIRE(result.faults.size() == 1);
    const Fault& f = result.faults[0];
    CHECK(f.severity == Severity::error);
    CHECK_FALSE(f.right.empty());
    return std::to_string(f.line) + ":" + std::to_string(f.column) + " " + f.what.english();
}

std::string repeated(const std::string& text, std::size_t count) {
    std::string out;
    out.reserve(text.size() * count);
    for (std::size_t i = 0; i < count; ++i)
        out += text;
    return out;
}

/// Seconds that an action takes.
template <class F> double seconds(F&& f) {
    const auto begin = std::chrono::steady_clock::now();
    f();
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
}

} // namespace

TEST_CASE("a missing file, a folder, a pipe") {
    const Folder folder;
    CHECK(refusal(read_map(folder.path() / "none.toml")) == "0:0 there is no such file");
    CHECK(refusal(read_map(folder.path())) == "0:0 this is a folder");
    CHECK(refusal(read_map("/dev/null")) == "0:0 this cannot be read as a file");
    CHECK(refusal(read_map(folder.file("x", "") / "under-a-file.toml")) == "0:0 there is no such file");
    const auto result = read_map(folder.path() / "none.toml");
    CHECK(result.faults[0].file == (folder.path() / "none.toml").string());
}

TEST_CASE("a file that may not be read") {
    if (::geteuid() == 0) return; // root may read everything
    const Folder folder;
    const auto file = folder.file("locked.toml", "[unit]\n");
    fs::permissions(file, fs::perms::none);
    CHECK(refusal(read_map(file)) == "0:0 the file cannot be opened");
}

TEST_CASE("empty and binary files") {
    const Folder folder;
    CHECK(refusal(read_map(folder.file("a", ""))) == "0:0 the file is empty");
    CHECK(refusal(read_map(folder.file("b", " \r\n\t\n"))) == "0:0 the file is empty");
    CHECK(refusal(read_map(folder.file("c", std::string("\x7f"
                                                        "ELF\0\0\1",
                                                        7)))) == "0:0 the file is not text");
    CHECK(refusal(read_map(folder.file("d", "[unit]\nname = \"\xff\xfe\"\n"))) == "2:9 these bytes are not UTF-8 text");
    CHECK(refusal(read_map_text("[unit]\n# \xc3\xbc \xe0\x80\x80\n", "t")) == "2:5 these bytes are not UTF-8 text");
    CHECK(refusal(read_map_text("\xed\xa0\x80", "t")) == "1:1 these bytes are not UTF-8 text");
}

TEST_CASE("a byte order mark does no harm") {
    const auto result = read_map_text(
        "\xef\xbb\xbf[unit]\nname = \"x\"\n[[stack]]\nrow = \"a | b | c\"\n[[port]]\ncircuit = \"b\"\n", "t");
    CHECK(result.map.has_value());
}

TEST_CASE("50 MB of brackets are refused by their size alone") {
    const Folder folder;
    const auto file = folder.file("brackets.toml", std::string(50u << 20, '['));
    std::string said;
    const double took = seconds([&] { said = refusal(read_map(file)); });
    CHECK(said == "0:0 the file has 52428800 bytes");
    CHECK(took < 0.5);
    CHECK(refusal(read_map_text(std::string(limits::file_bytes + 1, ' '), "t")) == "0:0 the file has 4194305 bytes");
}

TEST_CASE("deep nesting of every kind is refused and never reaches the bottom of the stack") {
    const std::size_t deep = 100000;
    CHECK(refusal(read_map_text(std::string(deep, '['), "t")) == "1:33 brackets are nested more than 32 deep");
    CHECK(refusal(read_map_text("x = " + std::string(deep, '['), "t")) == "1:37 brackets are nested more than 32 deep");
    CHECK(refusal(read_map_text("x = " + repeated("{a=", deep), "t")) == "1:101 brackets are nested more than 32 deep");
    CHECK(refusal(read_map_text("x = " + repeated("[{a=", deep), "t")).find("nested more than 32 deep") !=
          std::string::npos);
    CHECK(refusal(read_map_text(repeated("a.", deep) + "b = 1", "t")) == "1:32 a key has more than 16 parts");
    CHECK(refusal(read_map_text("[" + repeated("a . ", deep) + "b]", "t")).find("more than 16 parts") !=
          std::string::npos);
    CHECK(refusal(read_map_text(repeated("'a'.", deep) + "b = 1", "t")).find("more than 16 parts") !=
          std::string::npos);
    CHECK(refusal(read_map_text(std::string(limits::file_bytes, '['), "t")).find("nested") != std::string::npos);
}

TEST_CASE("brackets and dots in texts and comments are no nesting") {
    const std::string many = std::string(100, '[') + repeated("a.", 100);
    const std::string text = "# " + many + "\n[unit]\nname = \"" + many + "\"\nnote = \"\"\"" + many + " \\\" \"\" \n" +
                             many + "\"\"\"\"\nfluid = '" + many +
                             "'\n[[stack]]\nrow = 'a | b | c'\n[[port]]\ncircuit = 'b'\n";
    const auto result = read_map_text(text, "t");
    REQUIRE(result.faults.empty());
    CHECK(result.map->unit.name == many);
}

TEST_CASE("more things than any unit has, and more faults than anyone reads") {
    const std::string head = "[unit]\nname = \"x\"\n[[stack]]\nrow = \"a | b | c\"\n[[port]]\ncircuit = \"b\"\n";
    const auto many = read_map_text(head + repeated("[[part]]\nkind = \"case\"\n", limits::things_per_list + 1), "t");
    CHECK(refusal(many) == "7:1 the map has 2001 of [[part]]");
    std::string wrong = head;
    for (int i = 0; i < 1900; ++i)
        wrong += "[[range]]\non = [\"e" + std::to_string(i) + "\", \"f\", \"g\"]\n";
    ReadResult result;
    const double took = seconds([&] { result = read_map_text(wrong, "t"); });
    CHECK_FALSE(result.map.has_value());
    CHECK(result.faults.size() <= 501);
    CHECK(result.faults.size() >= 500);
    CHECK(took < 2.0);
    // Warnings in plenty must not hide that something is wrong.
    std::string warned = head;
    for (int i = 0; i < 3000; ++i)
        warned += "k" + std::to_string(i) + " = 1\n";
    CHECK(has_error(read_map_text(warned, "t").faults));
}

TEST_CASE("parser traps: what the TOML library takes for granted") {
    for (const char* text : {"x = ]",
                             "x = }",
                             "x = ,",
                             "x = #",
                             "x =",
                             "x = \n",
                             "x",
                             "=",
                             "= 1",
                             "[",
                             "[[",
                             "]",
                             "[]",
                             "[[]]",
                             "x = [,]",
                             "x = {,}",
                             "x = \"",
                             "x = '''",
                             "x = \"\\u00",
                             "x = \"\\uD800\"",
                             "x = 0x",
                             "x = 1e",
                             "x = 1__0",
                             "x = +",
                             "x = 99999999999999999999",
                             "x = 1e999",
                             "x = 2020-13-40",
                             "x = tru",
                             "\"",
                             "'",
                             "x.",
                             ".x = 1",
                             "x = {a = 1",
                             "[a]\n[a]",
                             "[[a]]\n[a]",
                             "a = 1\n[a.b]",
                             "a = [1]\n[[a]]",
                             "a.b = 1\na = 2"}) {
        CAPTURE(text);
        const auto result = read_map_text(text, "t");
        CHECK_FALSE(result.map.has_value());
        CHECK(has_error(result.faults));
    }
}

TEST_CASE("a small map reads in a few milliseconds, the largest allowed in a few seconds") {
    std::string head = "[unit]\nname = \"x\"\n[[stack]]\nrow = \"a | b | c\"\n[[port]]\ncircuit = \"b\"\n";
    double best = 1;
    for (int i = 0; i < 20; ++i)
        best = std::min(best, seconds([&] { CHECK(read_map_text(head, "t").map.has_value()); }));
    CHECK(best < 0.010);
    std::string large = head;
    for (std::size_t i = 1; i < limits::things_per_list; ++i) {
        const std::string n = std::to_string(i);
        large += "[[circuit]]\nname = \"C " + n + "\"\n[[port]]\ncircuit = \"c " + n + "\"\n[[part]]\nid = \"part" + n +
                 "\"\nkind = \"case\"\nafter = [\"part" + std::to_string(i + 1) + "\"]\n";
    }
    large += "[[part]]\nid = \"part2000\"\nkind = \"case\"\n";
    ReadResult result;
    const double took = seconds([&] { result = read_map_text(large, "t"); });
    // "b" is a circuit as well, so there are 1999 + b + sump: one too many is the sump's, which nobody wrote.
    CHECK(result.faults.size() <= 1);
    CHECK(took < 5.0);
}
