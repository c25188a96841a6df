// PNG in by libpng, with its errors turned into words; out by hand, with the quick compression of libdeflate.
#include "picture.h"

#include <cstdio>
#include <cstring>
#include <memory>
#include <string_view>

#include <libdeflate.h>
#include <png.h>

#include "../../model-data/whole_file.h"

namespace ringland::viewer {
namespace {

// libpng asks that an error handler does not return; it is C code, so an exception through it is undefined unless it
// was built for that. png_longjmp is its own way, and the frames that it leaves hold nothing that needs a destructor.
[[noreturn]] void on_error(png_structp png, png_const_charp message) {
    if (auto* text = static_cast<std::string*>(png_get_error_ptr(png))) *text = message;
    png_longjmp(png, 1);
}
void on_warning(png_structp, png_const_charp) {}

bool is_opaque(const Image& image) {
    for (std::size_t i = 3; i < image.rgba.size(); i += 4) {
        if (image.rgba[i] != 255) return false;
    }
    return true;
}

using Bytes = std::vector<std::uint8_t>;

void append_number(Bytes& bytes, std::size_t number) {
    for (unsigned shift = 32; shift > 0; shift -= 8)
        bytes.push_back(static_cast<std::uint8_t>(number >> (shift - 8)));
}

/// Length, name, content, checksum of name and content.
void append_chunk(Bytes& bytes, std::string_view name, const Bytes& content) {
    append_number(bytes, content.size());
    const std::size_t from = bytes.size();
    bytes.insert(bytes.end(), name.begin(), name.end());
    bytes.insert(bytes.end(), content.begin(), content.end());
    append_number(bytes, libdeflate_crc32(0, bytes.data() + from, bytes.size() - from));
}

Bytes header_of(const Image& image, bool opaque) {
    Bytes header;
    append_number(header, static_cast<std::size_t>(image.width));
    append_number(header, static_cast<std::size_t>(image.height));
    const std::uint8_t bits = 8, colours = opaque ? PNG_COLOR_TYPE_RGB : PNG_COLOR_TYPE_RGB_ALPHA;
    header.insert(header.end(), {bits, colours, 0, 0, 0});
    return header;
}

/// International text, not compressed: any reader finds it, whatever its letters.
Bytes text_chunk(const PictureText& text) {
    Bytes content(text.keyword.begin(), text.keyword.end());
    content.insert(content.end(), {0, 0, 0, 0, 0}); // end of the keyword, no compression, no language, no translation
    content.insert(content.end(), text.text.begin(), text.text.end());
    return content;
}

/// The rows with the difference to the row above, each after the number of that filter. Drawings are large even areas:
/// one fixed filter gives files as small as a choice among all.
Bytes filtered_rows(const Image& image, bool opaque) {
    const std::size_t channels = opaque ? 3 : 4, width = static_cast<std::size_t>(image.width);
    const auto height = static_cast<std::size_t>(image.height);
    Bytes rows(height * (1 + channels * width));
    const Bytes nothing(4 * width);
    std::uint8_t* to = rows.data();
    for (std::size_t y = 0; y < height; ++y) {
        const std::uint8_t* from = image.rgba.data() + 4 * width * y;
        const std::uint8_t* above = y == 0 ? nothing.data() : from - 4 * width;
        *to++ = PNG_FILTER_VALUE_UP;
        for (std::size_t x = 0; x < 4 * width; x += 4) {
            for (std::size_t c = 0; c < channels; ++c)
                *to++ = static_cast<std::uint8_t>(from[x + c] - above[x + c]);
        }
    }
    return rows;
}

/// Nothing where there is no memory for it. The fastest level: it takes half the time of zlib's and files are smaller.
Bytes compressed(const Bytes& content) {
    const std::unique_ptr<libdeflate_compressor, void (*)(libdeflate_compressor*)> compressor(
        libdeflate_alloc_compressor(1), &libdeflate_free_compressor);
    if (!compressor) return {};
    Bytes smaller(libdeflate_zlib_compress_bound(compressor.get(), content.size()));
    smaller.resize(
        libdeflate_zlib_compress(compressor.get(), content.data(), content.size(), smaller.data(), smaller.size()));
    return smaller;
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
    const bool opaque = is_opaque(image);
    Bytes bytes{0x89, 'P', 'N', 'G', 0x0D, 0x0A, 0x1A, 0x0A};
    append_chunk(bytes, "IHDR", header_of(image, opaque));
    append_chunk(bytes, "sRGB", {PNG_sRGB_INTENT_PERCEPTUAL});
    for (const PictureText& text : texts) {
        if (!text.text.empty()) append_chunk(bytes, "iTXt", text_chunk(text));
    }
    const Bytes content = compressed(filtered_rows(image, opaque));
    if (content.empty()) return "cannot write " + file + ": no memory";
    append_chunk(bytes, "IDAT", content);
    append_chunk(bytes, "IEND", {});
    return model::write_whole_file(file, bytes.data(), bytes.size());
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
