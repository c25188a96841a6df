#include "animation.h"

#include <algorithm>
#include <cmath>
#include <memory>

#include <fmt/format.h>
#include <webp/encode.h>
#include <webp/mux.h>

#include "../../model-data/whole_file.h"
#include "xml_text.h"

namespace ringland::viewer {
namespace {

/// Slower than half an arrow's spacing a frame, or a wheel would seem to turn backwards; a quarter leaves no doubt.
constexpr double most_share_of_spacing = 0.25;

struct EncoderCloser {
    void operator()(WebPAnimEncoder* encoder) const { WebPAnimEncoderDelete(encoder); }
};
struct MuxCloser {
    void operator()(WebPMux* mux) const { WebPMuxDelete(mux); }
};
/// What the library has allotted, given back to it.
struct OwnedData {
    WebPData data{};
    OwnedData() = default;
    ~OwnedData() { WebPDataClear(&data); }
    OwnedData(const OwnedData&) = delete;
    OwnedData& operator=(const OwnedData&) = delete;
};

/// The picture as the encoder wants it.
class OwnedPicture {
public:
    explicit OwnedPicture(const Image& image) : fine_(WebPPictureInit(&picture_) != 0) {
        picture_.use_argb = 1;
        picture_.width = image.width;
        picture_.height = image.height;
        fine_ = fine_ && WebPPictureImportRGBA(&picture_, image.rgba.data(), image.width * 4) != 0;
    }
    ~OwnedPicture() { WebPPictureFree(&picture_); }
    OwnedPicture(const OwnedPicture&) = delete;
    OwnedPicture& operator=(const OwnedPicture&) = delete;
    [[nodiscard]] WebPPicture* get() { return fine_ ? &picture_ : nullptr; }

private:
    WebPPicture picture_{};
    bool fine_;
};

std::string text_of(const std::vector<PictureText>& texts, std::string_view keyword) {
    for (const auto& text : texts) {
        if (text.keyword == keyword) return text.text;
    }
    return {};
}

/// XMP is what a WebP has in place of text chunks.
std::string xmp_of(const std::vector<PictureText>& texts) {
    const auto alternative = [&](std::string_view element, std::string_view keyword) {
        return fmt::format("<dc:{0}><rdf:Alt><rdf:li xml:lang=\"x-default\">{1}</rdf:li></rdf:Alt></dc:{0}>", element,
                           xml_escaped(text_of(texts, keyword)));
    };
    return fmt::format("<rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\" "
                       "xmlns:dc=\"http://purl.org/dc/elements/1.1/\"><rdf:Description rdf:about=\"\">"
                       "{}{}</rdf:Description></rdf:RDF>",
                       alternative("title", "Title"), alternative("description", "Description"));
}

/// The film's bytes; false where the library refuses.
bool assemble(const FilmPlan& plan, const FramePainter& paint, OwnedData& film) {
    WebPAnimEncoderOptions options;
    if (WebPAnimEncoderOptionsInit(&options) == 0) return false;
    options.anim_params.loop_count = 0; // for ever
    WebPConfig config;
    if (WebPConfigInit(&config) == 0) return false;
    config.lossless = 1;
    config.exact = 1; // colours below a clear ground as well, so that the first frame is the still picture
    config.method = 2;
    config.quality = 30; // of the search, not of the picture
    std::unique_ptr<WebPAnimEncoder, EncoderCloser> encoder;
    int at_ms = 0;
    for (const double travel : plan.travel_points) {
        const Image image = paint(travel);
        if (!encoder) encoder.reset(WebPAnimEncoderNew(image.width, image.height, &options));
        OwnedPicture picture(image);
        if (!encoder || picture.get() == nullptr) return false;
        if (WebPAnimEncoderAdd(encoder.get(), picture.get(), at_ms, &config) == 0) return false;
        at_ms += plan.frame_ms;
    }
    return encoder && WebPAnimEncoderAdd(encoder.get(), nullptr, at_ms, nullptr) != 0 &&
           WebPAnimEncoderAssemble(encoder.get(), &film.data) != 0;
}

bool add_xmp(const OwnedData& film, const std::string& xmp, OwnedData& result) {
    const std::unique_ptr<WebPMux, MuxCloser> mux(WebPMuxCreate(&film.data, 1));
    if (!mux) return false;
    const WebPData chunk{reinterpret_cast<const std::uint8_t*>(xmp.data()), xmp.size()};
    return WebPMuxSetChunk(mux.get(), "XMP ", &chunk, 1) == WEBP_MUX_OK &&
           WebPMuxAssemble(mux.get(), &result.data) == WEBP_MUX_OK;
}

} // namespace

FilmPlan plan_film(const FilmSpec& spec, double speed_points_per_s, double spacing_points) {
    FilmPlan plan;
    plan.frame_ms = std::max(1, static_cast<int>(std::lround(1000 / spec.frames_per_second)));
    const int frames = std::max(2, static_cast<int>(std::lround(spec.seconds * spec.frames_per_second)));
    const double wanted = spacing_points > 0 ? speed_points_per_s * spec.seconds / spacing_points : 0;
    const double rounds =
        std::clamp(std::round(wanted), 1.0, std::max(1.0, std::floor(frames * most_share_of_spacing)));
    for (int i = 0; i < frames; ++i)
        plan.travel_points.push_back(rounds * spacing_points * i / frames);
    return plan;
}

std::string write_webp(const std::string& file, const FilmPlan& plan, const FramePainter& paint,
                       const std::vector<PictureText>& texts) {
    OwnedData film;
    OwnedData result;
    if (!assemble(plan, paint, film) || !add_xmp(film, xmp_of(texts), result))
        return fmt::format("cannot write {}: the WebP encoder refused a frame, or memory ran out", file);
    return model::write_whole_file(file, result.data.bytes, result.data.size);
}

std::string NumberedName::at(int number) const {
    std::string digits = std::to_string(number);
    if (digits.size() < static_cast<std::size_t>(width))
        digits.insert(0, static_cast<std::size_t>(width) - digits.size(), '0');
    return before + digits + after;
}

std::optional<NumberedName> numbered_name(const std::string& file) {
    const auto percent = file.find('%');
    if (percent == std::string::npos || file.find('%', percent + 1) != std::string::npos) return std::nullopt;
    auto at = percent + 1;
    NumberedName name;
    for (int digits = 0; at < file.size() && file[at] >= '0' && file[at] <= '9'; ++at) {
        if (++digits > 2) return std::nullopt;
        name.width = name.width * 10 + (file[at] - '0');
    }
    if (at >= file.size() || file[at] != 'd') return std::nullopt;
    name.before = file.substr(0, percent);
    name.after = file.substr(at + 1);
    return name;
}

std::string write_sequence(const NumberedName& name, const FilmPlan& plan, const FramePainter& paint,
                           const std::vector<PictureText>& texts) {
    int number = 0;
    for (const double travel : plan.travel_points) {
        std::string error = write_png(name.at(number++), paint(travel), texts);
        if (!error.empty()) return error;
    }
    return {};
}

} // namespace ringland::viewer
