// PNG in and out by libpng, with its errors turned into words.
#include "picture.h"

#include <cstdio>
#include <cstring>
#include <memory>

#include <png.h>
#include <zlib.h>

#include "../../model-data/whole_file.h"

namespace ringland::viewer {
namespace {

/// What libpng calls back with: where the bytes go, and the first error.
struct Sink {
    std::vector<std::uint8_t> bytes;
    std::string error;
};

// libpng asks that an error handler does not return; it is C code, so an exception through it is undefined unless it
// was built for that. png_longjmp is its own way, and the frames that it leaves hold nothing that needs a destructor.
[[noreturn]] void on_error(png_structp png, png_const_charp message) {
    if (auto* text = static_cast<std::string*>(png_get_error_ptr(png))) *text = message;
    png_longjmp(png, 1);
}
void on_warning(png_structp, png_const_charp) {}

void append(png_structp png, png_bytep data, std::size_t size) {
    auto* sink = static_cast<Sink*>(png_get_io_ptr(png));
    sink->bytes.insert(sink->bytes.end(), data, data + size);
}

/// What does not change while rows are written.
struct ToWrite {
    const Image& image;
    std::size_t channels; ///< 3, or 4 where something is not opaque
    std::vector<png_text> texts;
};

bool is_opaque(const Image& image) {
    for (std::size_t i = 3; i < image.rgba.size(); i += 4) {
        if (image.rgba[i] != 255) return false;
    }
    return true;
}

/// International text, not compressed: any reader finds it, whatever its letters. libpng copies what it is given.
std::vector<png_text> chunks_of(std::vector<PictureText>& texts) {
    std::vector<png_text> chunks;
    for (PictureText& text : texts) {
        if (text.text.empty()) continue;
        png_text chunk{};
        chunk.compression = PNG_ITXT_COMPRESSION_NONE;
        chunk.key = text.keyword.data();
        chunk.text = text.text.data();
        chunks.push_back(chunk);
    }
    return chunks;
}

bool encode(png_structp png, png_infop info, const ToWrite& what, std::uint8_t* row, Sink& sink) {
    if (setjmp(png_jmpbuf(png)) != 0) return false;
    const Image& image = what.image;
    png_set_write_fn(png, &sink, append, nullptr);
    png_set_IHDR(png, info, static_cast<png_uint_32>(image.width), static_cast<png_uint_32>(image.height), 8,
                 what.channels == 4 ? PNG_COLOR_TYPE_RGB_ALPHA : PNG_COLOR_TYPE_RGB, PNG_INTERLACE_NONE,
                 PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
    png_set_sRGB(png, info, PNG_sRGB_INTENT_PERCEPTUAL);
    // Drawings are large even areas: one fixed filter and the fastest level cost a tenth of libpng's own choice and
    // give files a third larger.
    png_set_compression_level(png, 1);
    png_set_compression_strategy(png, Z_DEFAULT_STRATEGY);
    png_set_filter(png, PNG_FILTER_TYPE_BASE, PNG_FILTER_UP);
    if (!what.texts.empty()) png_set_text(png, info, what.texts.data(), static_cast<int>(what.texts.size()));
    png_write_info(png, info);
    const auto width = static_cast<std::size_t>(image.width);
    for (std::size_t y = 0; y < static_cast<std::size_t>(image.height); ++y) {
        const std::uint8_t* from = image.rgba.data() + y * width * 4;
        for (std::size_t x = 0; x < width; ++x)
            std::memcpy(row + x * what.channels, from + x * 4, what.channels);
        png_write_row(png, row);
    }
    png_write_end(png, nullptr);
    return true;
}

bool decode(png_structp png, png_infop info, std::FILE* file, Image& image, std::vector<png_bytep>& rows) {
    if (setjmp(png_jmpbuf(png)) != 0) return false;
    png_init_io(png, file);
    png_set_user_limits(png, 16384, 16384);
    png_read_info(png, info);
    png_set_expand(png);
    png_set_strip_16(png);
    png_set_gray_to_rgb(png);
    png_set_add_alpha(png, 0xff, PNG_FILLER_AFTER);
    png_set_interlace_handling(png);
    png_read_update_info(png, info);
    image.width = static_cast<int>(png_get_image_width(png, info));
    image.height = static_cast<int>(png_get_image_height(png, info));
    const std::size_t stride = static_cast<std::size_t>(image.width) * 4;
    image.rgba.resize(stride * static_cast<std::size_t>(image.height));
    for (std::size_t y = 0; y < static_cast<std::size_t>(image.height); ++y)
        rows.push_back(image.rgba.data() + y * stride);
    png_read_image(png, rows.data());
    png_read_end(png, nullptr);
    return true;
}

} // namespace

std::string write_png(const std::string& file, const Image& image, const std::vector<PictureText>& texts) {
    Sink sink;
    std::vector<PictureText> own = texts; // libpng wants them writable
    const ToWrite what{image, is_opaque(image) ? 3U : 4U, chunks_of(own)};
    png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, &sink.error, on_error, on_warning);
    if (png == nullptr) return "cannot write " + file + ": no memory";
    png_infop info = png_create_info_struct(png);
    std::vector<std::uint8_t> row(static_cast<std::size_t>(image.width) * what.channels);
    const bool done = info != nullptr && encode(png, info, what, row.data(), sink);
    png_destroy_write_struct(&png, &info);
    if (!done) return "cannot write " + file + ": " + sink.error;
    return model::write_whole_file(file, sink.bytes.data(), sink.bytes.size());
}

Image read_png(const std::string& file, std::string& error) {
    const std::unique_ptr<std::FILE, int (*)(std::FILE*)> input(std::fopen(file.c_str(), "rb"), &std::fclose);
    if (!input) {
        error = "cannot read " + file + ": " + std::strerror(errno);
        return {};
    }
    std::string said;
    png_structp png = png_create_read_struct(PNG_LIBPNG_VER_STRING, &said, on_error, on_warning);
    if (png == nullptr) {
        error = "cannot read " + file + ": no memory";
        return {};
    }
    png_infop info = png_create_info_struct(png);
    Image image;
    std::vector<png_bytep> rows;
    const bool done = info != nullptr && decode(png, info, input.get(), image, rows);
    png_destroy_read_struct(&png, &info, nullptr);
    if (done) return image;
    error = "cannot read " + file + ": " + said;
    return {};
}

} // namespace ringland::viewer
