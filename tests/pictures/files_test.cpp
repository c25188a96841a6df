// What picture files carry, read back by code of its own: chunks of a PNG, frames of a film.
#include <algorithm>
#include <cmath>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <memory>

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <webp/demux.h>

#include "../../viewer/platform/animation.h"
#include "../../viewer/platform/context.h"
#include "../../viewer/platform/picture_text.h"
#include "../../viewer/platform/xml_text.h"
#include "demo.h"

using namespace ringland;
using namespace ringland::tests;
using namespace ringland::viewer;

namespace {

namespace fs = std::filesystem;

/// A folder of its own that goes with the test.
struct Folder {
    fs::path path = fs::temp_directory_path() / fmt::format("ringland-files-{}", static_cast<const void*>(this));
    Folder() { fs::create_directories(path); }
    ~Folder() { fs::remove_all(path); }
    Folder(const Folder&) = delete;
    Folder& operator=(const Folder&) = delete;
    [[nodiscard]] std::string file(const std::string& name) const { return (path / name).string(); }
};

std::string bytes_of(const std::string& file) {
    std::ifstream input(file, std::ios::binary);
    REQUIRE(input.good());
    return {std::istreambuf_iterator<char>(input), {}};
}

std::uint32_t big_endian(const std::string& bytes, std::size_t at) {
    std::uint32_t value = 0;
    for (std::size_t i = 0; i < 4; ++i)
        value = value << 8 | static_cast<unsigned char>(bytes[at + i]);
    return value;
}

struct PngChunks {
    int colour_type = -1;
    std::map<std::string, std::string> texts;
};

/// Chunks of a PNG by the PNG specification, without a library.
PngChunks walk(const std::string& bytes) {
    REQUIRE(bytes.substr(0, 8) == "\x89PNG\r\n\x1a\n");
    PngChunks chunks;
    std::string type;
    for (std::size_t at = 8; at + 12 <= bytes.size();) {
        const std::size_t size = big_endian(bytes, at);
        type = bytes.substr(at + 4, 4);
        const std::string data = bytes.substr(at + 8, size);
        if (type == "IHDR") chunks.colour_type = static_cast<unsigned char>(data[9]);
        if (type == "iTXt") {
            // keyword, 0, compressed or not, method, language, 0, translated keyword, 0, text
            const auto end = data.find('\0');
            CHECK(data.substr(end, 5) == std::string(5, '\0'));
            chunks.texts[data.substr(0, end)] = data.substr(end + 5);
        }
        at += 12 + size;
    }
    CHECK(type == "IEND");
    return chunks;
}

Image plain(int width, int height, std::uint8_t alpha) {
    Image image;
    image.width = width;
    image.height = height;
    for (int i = 0; i < width * height; ++i) {
        for (const int value : {i, 3 * i, 90 + i, int(alpha)})
            image.rgba.push_back(static_cast<std::uint8_t>(value));
    }
    return image;
}

/// The frames of an animated WebP, each with the time at which it ends.
struct Film {
    std::vector<Image> frames;
    std::vector<int> ends_ms;
    std::uint32_t loops = 1;
    std::string xmp;
};

Film read_film(const std::string& file) {
    const std::string bytes = bytes_of(file);
    const WebPData data{reinterpret_cast<const std::uint8_t*>(bytes.data()), bytes.size()};
    Film film;
    {
        const std::unique_ptr<WebPAnimDecoder, void (*)(WebPAnimDecoder*)> decoder(WebPAnimDecoderNew(&data, nullptr),
                                                                                   WebPAnimDecoderDelete);
        REQUIRE(decoder);
        WebPAnimInfo info;
        REQUIRE(WebPAnimDecoderGetInfo(decoder.get(), &info));
        film.loops = info.loop_count;
        while (WebPAnimDecoderHasMoreFrames(decoder.get())) {
            std::uint8_t* rgba = nullptr;
            int end_ms = 0;
            REQUIRE(WebPAnimDecoderGetNext(decoder.get(), &rgba, &end_ms));
            Image frame;
            frame.width = static_cast<int>(info.canvas_width);
            frame.height = static_cast<int>(info.canvas_height);
            frame.rgba.assign(rgba, rgba + std::size_t{4} * info.canvas_width * info.canvas_height);
            film.frames.push_back(std::move(frame));
            film.ends_ms.push_back(end_ms);
        }
    }
    const std::unique_ptr<WebPDemuxer, void (*)(WebPDemuxer*)> demuxer(WebPDemux(&data), WebPDemuxDelete);
    REQUIRE(demuxer);
    WebPChunkIterator chunk;
    if (WebPDemuxGetChunk(demuxer.get(), "XMP ", 1, &chunk))
        film.xmp.assign(reinterpret_cast<const char*>(chunk.chunk.bytes), chunk.chunk.size);
    WebPDemuxReleaseChunkIterator(&chunk);
    return film;
}

std::size_t other_pixels(const Image& a, const Image& b) {
    REQUIRE(a.rgba.size() == b.rgba.size());
    std::size_t count = 0;
    for (std::size_t i = 0; i < a.rgba.size(); i += 4)
        count += std::memcmp(&a.rgba[i], &b.rgba[i], 4) != 0 ? 1 : 0;
    return count;
}

} // namespace

TEST_CASE("a PNG carries its words, whatever their letters, and an alpha channel only where it needs one") {
    const Folder folder;
    const std::vector<PictureText> texts{
        {"Title", "Лиственница <5> & \"x\" 落葉松"}, {"Description", "R3 · 3rd from the pump end"}, {"Comment", ""}};
    const Image opaque = plain(9, 7, 255), half = plain(9, 7, 128);
    REQUIRE(write_png(folder.file("opaque.png"), opaque, texts) == "");
    REQUIRE(write_png(folder.file("half.png"), half) == "");
    const PngChunks chunks = walk(bytes_of(folder.file("opaque.png")));
    CHECK(chunks.colour_type == 2);
    CHECK(chunks.texts.size() == 2); // a text without letters is none
    CHECK(chunks.texts.at("Title") == texts[0].text);
    CHECK(chunks.texts.at("Description") == texts[1].text);
    const PngChunks clear = walk(bytes_of(folder.file("half.png")));
    CHECK(clear.colour_type == 6);
    CHECK(clear.texts.empty());
    std::string error;
    CHECK(read_png(folder.file("opaque.png"), error).rgba == opaque.rgba);
    CHECK(read_png(folder.file("half.png"), error).rgba == half.rgba);
    CHECK(error == "");
}

TEST_CASE("the words of a picture name the unit, where the air goes, the suspect from both ends, and the selection") {
    auto bench =
        picture_bench(demo_path("larch-five"), {"air-into P3", "came-out P4", "select part input-shaft"}, 16, 9);
    std::map<std::string, std::string> said;
    for (const auto& text : picture_texts(bench.session(), bench.derived()))
        said[text.keyword] = text.text;
    CHECK(said["Title"] == "Larch Five");
    CHECK(said["Software"] == "Ringland");
    CHECK(said["Comment"] == "Demo unit, invented.");
    for (const char* words : {"Air into P3 LOW", "came out at P4 COAST", "R3", "Ring 3 of 5", "3rd from the pump end",
                              "3rd from the drum end", "divides Low from Coast", "Input shaft", "View: stack"}) {
        CAPTURE(words);
        CHECK(said["Description"].find(words) != std::string::npos);
    }
    const auto quiet = picture_bench(demo_path("wren-three"), {}, 16, 9);
    CHECK(selection_words(quiet.session(), quiet.derived()) == "");
}

TEST_CASE("words for XML: what would break it is written otherwise, and what it forbids is replaced") {
    CHECK(xml_escaped("a<b>&\"c\"'d'") == "a&lt;b&gt;&amp;&quot;c&quot;&apos;d&apos;");
    CHECK(xml_escaped("Лист 落葉 😀\n") == "Лист 落葉 😀\n");
    CHECK(xml_escaped(std::string("a\0b\x1b", 4)) == "a\xEF\xBF\xBD"
                                                     "b\xEF\xBF\xBD");
    CHECK(xml_escaped("\xC3") == "\xEF\xBF\xBD");                                 // cut off
    CHECK(xml_escaped("\xED\xA0\x80") == "\xEF\xBF\xBD\xEF\xBF\xBD\xEF\xBF\xBD"); // half a surrogate pair
    CHECK(xml_escaped("\xC0\xBC") == "\xEF\xBF\xBD\xEF\xBF\xBD");                 // '<' the long way
    CHECK(xml_escaped("\xEF\xBF\xBF") == "\xEF\xBF\xBD\xEF\xBF\xBD\xEF\xBF\xBD");
}

TEST_CASE("a film's air comes round to where it began, in even steps too small to be taken for the other way") {
    for (const double seconds : {0.2, 1.0, 2.0, 7.3, 30.0}) {
        for (const double rate : {2.0, 12.0, 25.0, 60.0}) {
            for (const double speed : {0.0, 8.0, 60.0, 300.0}) {
                const double spacing = 40;
                const FilmPlan plan = plan_film({seconds, rate}, speed, spacing);
                CAPTURE(seconds);
                CAPTURE(rate);
                CAPTURE(speed);
                const auto& travel = plan.travel_points;
                REQUIRE(travel.size() >= 2);
                if (seconds * rate >= 2) CHECK(std::abs(double(travel.size()) - seconds * rate) <= 0.5);
                CHECK(std::abs(plan.frame_ms - 1000 / rate) <= 0.5);
                CHECK(travel[0] == 0);
                const double step = travel[1];
                for (std::size_t i = 1; i < travel.size(); ++i)
                    CHECK(travel[i] - travel[i - 1] == doctest::Approx(step).epsilon(1e-9));
                const double rounds = step * double(travel.size()) / spacing;
                CHECK(rounds == doctest::Approx(std::round(rounds)).epsilon(1e-9));
                CHECK(rounds > 0.5);
                CHECK((step <= 0.25 * spacing + 1e-9 || rounds < 1.5));
                const double wanted = speed * seconds / spacing;
                if (wanted > 1 && wanted < 0.25 * double(travel.size()) - 1) CHECK(std::abs(rounds - wanted) <= 0.5001);
            }
        }
    }
}

TEST_CASE("names of numbered files") {
    const auto name = numbered_name("a/air-%03d.png");
    REQUIRE(name);
    CHECK(name->at(0) == "a/air-000.png");
    CHECK(name->at(42) == "a/air-042.png");
    CHECK(name->at(12345) == "a/air-12345.png");
    REQUIRE(numbered_name("%d.png"));
    CHECK(numbered_name("%d.png")->at(7) == "7.png");
    for (const char* none : {"air.png", "a%s.png", "%n.png", "100%.png", "%d-%d.png", "%123d.png", "%", "%%d.png"})
        CHECK_MESSAGE(!numbered_name(none), none);
}

TEST_CASE("a film without loss: as many frames as were asked for, the first is the still picture, and it moves") {
    const Folder folder;
    PictureSpec spec;
    spec.width = 480;
    spec.height = 270;
    for (const PictureGround ground : {PictureGround::paper, PictureGround::clear}) {
        CAPTURE(int(ground));
        spec.ground = ground;
        const std::vector<std::string> question{"air-into P3", "came-out P4"};
        auto still_bench = picture_bench(demo_path("larch-five"), question, spec.width, spec.height);
        const Image still = make_picture(still_bench, spec);

        auto bench = picture_bench(demo_path("larch-five"), question, spec.width, spec.height);
        const OffscreenContext context;
        PicturePainter painter(bench, spec);
        const auto paint = [&painter](double travel) { return painter.paint(travel); };
        const FilmPlan plan =
            plan_film({0.6, 10}, 60, air_pace(shown_lpm(bench.session(), bench.derived())).spacing_points);
        REQUIRE(plan.travel_points.size() == 6);
        const auto texts = picture_texts(bench.session(), bench.derived());
        REQUIRE(write_webp(folder.file("air.webp"), plan, paint, texts) == "");
        const Film film = read_film(folder.file("air.webp"));
        REQUIRE(film.frames.size() == 6);
        CHECK(film.loops == 0);
        CHECK(film.xmp.find("Larch Five") != std::string::npos);
        CHECK(film.xmp.find("3rd from the pump end") != std::string::npos);
        for (std::size_t i = 0; i < 6; ++i)
            CHECK(film.ends_ms[i] == int(i + 1) * 100);
        CHECK(other_pixels(film.frames[0], still) == 0);
        const double spacing = plan.travel_points[1] * 6;
        CHECK(other_pixels(paint(spacing), still) == 0); // what would come after the last frame
        for (std::size_t i = 0; i < 6; ++i)
            CHECK(other_pixels(film.frames[i], film.frames[(i + 1) % 6]) > 50);
        REQUIRE(write_sequence(*numbered_name(folder.file("f-%02d.png")), plan, paint, texts) == "");
        for (int i = 0; i < 6; ++i) {
            std::string error;
            const Image frame = read_png(folder.file(fmt::format("f-{:02}.png", i)), error);
            REQUIRE_MESSAGE(error.empty(), error);
            CHECK(other_pixels(frame, film.frames[std::size_t(i)]) == 0);
        }
        CHECK(!fs::exists(folder.file("f-06.png")));
    }
}
