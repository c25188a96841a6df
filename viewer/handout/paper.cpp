#include "paper.h"

#include <algorithm>
#include <cmath>
#include <cstring>

#include <cairo-pdf.h>
#include <fmt/format.h>
#include <pango/pangocairo.h>

#include "../../model-data/whole_file.h"
#include "../app/texts.h"

namespace ringland::viewer {
namespace {

struct Unref {
    void operator()(PangoLayout* layout) const { g_object_unref(layout); }
    void operator()(PangoContext* context) const { g_object_unref(context); }
    void operator()(PangoFontDescription* description) const { pango_font_description_free(description); }
    void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
    void operator()(cairo_t* page) const { cairo_destroy(page); }
};
template <class T> using Held = std::unique_ptr<T, Unref>;

void set_ink(cairo_t* page, const Ink& colour) { cairo_set_source_rgb(page, colour.r, colour.g, colour.b); }

cairo_status_t collect(void* to, const unsigned char* bytes, unsigned length) {
    static_cast<std::string*>(to)->append(reinterpret_cast<const char*>(bytes), length);
    return CAIRO_STATUS_SUCCESS;
}

/// Bytes of the page's pixels: blue, green, red, alpha, colour multiplied by alpha.
Held<cairo_surface_t> surface_of(const Pixels& pixels) {
    Held<cairo_surface_t> surface(cairo_image_surface_create(CAIRO_FORMAT_ARGB32, pixels.width, pixels.height));
    unsigned char* to = cairo_image_surface_get_data(surface.get());
    if (to == nullptr) return surface;
    const auto stride = static_cast<std::size_t>(cairo_image_surface_get_stride(surface.get()));
    for (int row = 0; row < pixels.height; ++row) {
        const std::uint8_t* from =
            &pixels.rgba[static_cast<std::size_t>(row) * static_cast<std::size_t>(pixels.width) * 4];
        unsigned char* out = to + static_cast<std::size_t>(row) * stride;
        for (int i = 0; i < pixels.width; ++i, from += 4, out += 4) {
            const unsigned alpha = from[3];
            out[0] = static_cast<unsigned char>(from[2] * alpha / 255);
            out[1] = static_cast<unsigned char>(from[1] * alpha / 255);
            out[2] = static_cast<unsigned char>(from[0] * alpha / 255);
            out[3] = static_cast<unsigned char>(alpha);
        }
    }
    cairo_surface_mark_dirty(surface.get());
    return surface;
}

} // namespace

struct Setter::Impl {
    Held<PangoContext> context;

    [[nodiscard]] Held<PangoLayout> layout(const std::string& words, const Type& type, double width) const {
        const std::string text = unbroken(words);
        Held<PangoLayout> result(pango_layout_new(context.get()));
        Held<PangoFontDescription> font(pango_font_description_new());
        pango_font_description_set_family(font.get(), "Inter");
        pango_font_description_set_weight(font.get(), type.strong ? PANGO_WEIGHT_SEMIBOLD : PANGO_WEIGHT_NORMAL);
        pango_font_description_set_absolute_size(font.get(), type.size * PANGO_SCALE);
        pango_layout_set_font_description(result.get(), font.get());
        pango_layout_set_wrap(result.get(), PANGO_WRAP_WORD_CHAR);
        pango_layout_set_line_spacing(result.get(), static_cast<float>(type.leading / natural_leading));
        PangoAttrList* attributes = pango_attr_list_new();
        pango_attr_list_insert(attributes, pango_attr_font_features_new("tnum=1"));
        pango_attr_list_insert(attributes, pango_attr_insert_hyphens_new(FALSE));
        pango_layout_set_attributes(result.get(), attributes);
        pango_attr_list_unref(attributes);
        if (width > 0) pango_layout_set_width(result.get(), static_cast<int>(width * PANGO_SCALE));
        if (type.right) pango_layout_set_alignment(result.get(), PANGO_ALIGN_RIGHT);
        if (type.centred) pango_layout_set_alignment(result.get(), PANGO_ALIGN_CENTER);
        pango_layout_set_text(result.get(), text.data(), static_cast<int>(text.size()));
        return result;
    }
    static constexpr double natural_leading = 1.21; ///< of Inter
};

Setter::Setter() : impl_(std::make_unique<Impl>()) {
    impl_->context.reset(pango_font_map_create_context(pango_cairo_font_map_get_default()));
    cairo_font_options_t* options = cairo_font_options_create();
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    pango_cairo_context_set_font_options(impl_->context.get(), options);
    cairo_font_options_destroy(options);
    pango_cairo_context_set_resolution(impl_->context.get(), 72);
    pango_context_set_round_glyph_positions(impl_->context.get(), FALSE);
}
Setter::~Setter() = default;

double Setter::height(const std::string& text, const Type& type, double width) const {
    if (text.empty()) return 0;
    int h = 0;
    pango_layout_get_size(impl_->layout(text, type, width).get(), nullptr, &h);
    return static_cast<double>(h) / PANGO_SCALE;
}

double Setter::width(const std::string& text, const Type& type) const {
    int w = 0;
    pango_layout_get_size(impl_->layout(text, type, 0).get(), &w, nullptr);
    return static_cast<double>(w) / PANGO_SCALE;
}

std::vector<std::string> Setter::pieces(const std::string& words, const Type& type, double width,
                                        double most_height) const {
    const std::string text = unbroken(words); // as it is laid out: places in it are those of the lines
    const auto layout = impl_->layout(text, type, width);
    int all = 0;
    pango_layout_get_size(layout.get(), nullptr, &all);
    const int lines = pango_layout_get_line_count(layout.get());
    const double line_height = static_cast<double>(all) / PANGO_SCALE / std::max(1, lines);
    const int at_once = std::max(1, static_cast<int>(most_height / line_height));
    if (lines <= at_once) return {text};
    std::vector<std::string> list;
    for (int line = 0; line < lines; line += at_once) {
        const auto start = [&](int number) {
            if (number >= lines) return text.size();
            return static_cast<std::size_t>(pango_layout_get_line_readonly(layout.get(), number)->start_index);
        };
        std::string piece = text.substr(start(line), start(line + at_once) - start(line));
        while (!piece.empty() && (piece.back() == '\n' || piece.back() == ' '))
            piece.pop_back();
        list.push_back(std::move(piece));
    }
    return list;
}

double Setter::draw(cairo_t* page, const std::string& text, const Type& type, double x, double y, double width) const {
    if (text.empty()) return 0;
    const auto layout = impl_->layout(text, type, width);
    set_ink(page, type.colour);
    cairo_move_to(page, x, y);
    pango_cairo_show_layout(page, layout.get());
    int h = 0;
    pango_layout_get_size(layout.get(), nullptr, &h);
    return static_cast<double>(h) / PANGO_SCALE;
}

PaperPlan paper_plan(PaperSize size) {
    PaperPlan plan;
    if (size == PaperSize::a4) {
        plan.width = 595.276;
        plan.height = 841.89;
    }
    return plan;
}

std::string write_pdf(const std::string& file, const PaperPlan& plan, double first_top,
                      const std::vector<Block>& blocks, const Furniture& furniture, const PdfWords& words) {
    // Where everything goes is known before anything is drawn: pages say of how many they are.
    struct Placed {
        const Block* block;
        std::size_t page;
        double y;
    };
    std::vector<Placed> placed;
    const double end = plan.height - plan.bottom;
    std::size_t page_number = 1;
    double y = first_top;
    bool fresh = true;
    for (std::size_t i = 0; i < blocks.size(); ++i) {
        // A heading stays with what follows it.
        double together = blocks[i].height;
        for (std::size_t k = i; k + 1 < blocks.size() && blocks[k].with_next; ++k)
            together += blocks[k + 1].before + blocks[k + 1].height;
        const double before = fresh ? 0 : blocks[i].before;
        if (!fresh && y + before + together > end) {
            ++page_number;
            y = plan.top;
            fresh = true;
            if (blocks[i].again) {
                placed.push_back({blocks[i].again.get(), page_number, y});
                y += blocks[i].again->height;
            }
        } else {
            y += before;
        }
        placed.push_back({&blocks[i], page_number, y});
        y += blocks[i].height;
        fresh = false;
    }

    std::string bytes;
    {
        Held<cairo_surface_t> surface(cairo_pdf_surface_create_for_stream(collect, &bytes, plan.width, plan.height));
        const auto say = [&](cairo_pdf_metadata_t what, const std::string& text) {
            if (!text.empty()) cairo_pdf_surface_set_metadata(surface.get(), what, text.c_str());
        };
        say(CAIRO_PDF_METADATA_TITLE, words.title);
        say(CAIRO_PDF_METADATA_SUBJECT, words.subject);
        say(CAIRO_PDF_METADATA_CREATOR, "Ringland");
        Held<cairo_t> page(cairo_create(surface.get()));
        for (std::size_t number = 1; number <= page_number; ++number) {
            furniture(page.get(), number, page_number);
            for (const Placed& p : placed) {
                if (p.page == number) p.block->draw(page.get(), p.y);
            }
            cairo_show_page(page.get());
        }
        page.reset();
        cairo_surface_finish(surface.get());
        if (const auto status = cairo_surface_status(surface.get()); status != CAIRO_STATUS_SUCCESS)
            return fmt::format("{}: {}", file, cairo_status_to_string(status));
    }
    return model::write_whole_file(file, bytes.data(), bytes.size());
}

void rule(cairo_t* page, double x0, double x1, double y, const Ink& colour, double thickness) {
    line(page, x0, y, x1, y, colour, thickness);
}

void line(cairo_t* page, double x0, double y0, double x1, double y1, const Ink& colour, double thickness) {
    set_ink(page, colour);
    cairo_set_line_width(page, thickness);
    cairo_move_to(page, x0, y0);
    cairo_line_to(page, x1, y1);
    cairo_stroke(page);
}

void box(cairo_t* page, double x, double y, double width, double height, const Ink& fill) {
    set_ink(page, fill);
    cairo_rectangle(page, x, y, width, height);
    cairo_fill(page);
}

void frame(cairo_t* page, double x, double y, double width, double height, const Ink& colour, double thickness) {
    set_ink(page, colour);
    cairo_set_line_width(page, thickness);
    cairo_rectangle(page, x, y, width, height);
    cairo_stroke(page);
}

void dot(cairo_t* page, double x, double y, double radius, const Ink& colour) {
    set_ink(page, colour);
    cairo_new_sub_path(page);
    cairo_arc(page, x, y, radius, 0, 2 * 3.14159265358979);
    cairo_fill(page);
}

double picture(cairo_t* page, const Pixels& pixels, double x, double y, double width) {
    if (pixels.empty()) return 0;
    const auto surface = surface_of(pixels);
    const double scale = width / pixels.width;
    cairo_save(page);
    cairo_translate(page, x, y);
    cairo_scale(page, scale, scale);
    cairo_set_source_surface(page, surface.get(), 0, 0);
    cairo_paint(page);
    cairo_restore(page);
    return pixels.height * scale;
}

Pixels read_logo(const std::string& file, std::string& error) {
    Held<cairo_surface_t> surface(cairo_image_surface_create_from_png(file.c_str()));
    Pixels pixels;
    if (const auto status = cairo_surface_status(surface.get()); status != CAIRO_STATUS_SUCCESS) {
        error = status == CAIRO_STATUS_FILE_NOT_FOUND
                    ? fmt::format("{}: there is no such file", file)
                    : fmt::format("{}: this is no PNG picture that can be read", file);
        return pixels;
    }
    const int width = cairo_image_surface_get_width(surface.get()),
              height = cairo_image_surface_get_height(surface.get());
    constexpr long most = 16'000'000;
    if (static_cast<long>(width) * height > most || width < 1 || height < 1) {
        error = fmt::format("{}: {} x {} pixels are too many for a logo", file, width, height);
        return pixels;
    }
    // Through a surface of our own format, since a PNG may come in several.
    Held<cairo_surface_t> plain(cairo_image_surface_create(CAIRO_FORMAT_ARGB32, width, height));
    Held<cairo_t> painter(cairo_create(plain.get()));
    cairo_set_source_surface(painter.get(), surface.get(), 0, 0);
    cairo_paint(painter.get());
    cairo_surface_flush(plain.get());
    const unsigned char* from = cairo_image_surface_get_data(plain.get());
    const auto stride = static_cast<std::size_t>(cairo_image_surface_get_stride(plain.get()));
    pixels.width = width;
    pixels.height = height;
    pixels.rgba.resize(static_cast<std::size_t>(width) * static_cast<std::size_t>(height) * 4);
    for (int row = 0; row < height; ++row) {
        for (int i = 0; i < width; ++i) {
            const unsigned char* in = from + static_cast<std::size_t>(row) * stride + static_cast<std::size_t>(i) * 4;
            std::uint8_t* out = &pixels.rgba[(static_cast<std::size_t>(row) * static_cast<std::size_t>(width) +
                                              static_cast<std::size_t>(i)) *
                                             4];
            const unsigned alpha = in[3];
            for (int c = 0; c < 3; ++c)
                out[c] =
                    static_cast<std::uint8_t>(alpha == 0 ? 0 : std::min(255U, (in[2 - c] * 255U + alpha / 2) / alpha));
            out[3] = static_cast<std::uint8_t>(alpha);
        }
    }
    return pixels;
}

} // namespace ringland::viewer
