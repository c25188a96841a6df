#include "section_svg.h"

#include <cmath>
#include <iterator>

#include <fmt/format.h>

#include "../app/colour_vision.h"
#include "../render/materials.h"
#include "xml_text.h"

namespace ringland::viewer {
namespace {

std::string hex(Rgb c) {
    const auto part = [](double v) { return static_cast<int>(std::lround(v * 255)); };
    return fmt::format("#{:02x}{:02x}{:02x}", part(c.r), part(c.g), part(c.b));
}

Rgb mix(Rgb a, Rgb b, double t) { return {a.r + (b.r - a.r) * t, a.g + (b.g - a.g) * t, a.b + (b.b - a.b) * t}; }

class Writer {
public:
    Writer(const SectionPlan& plan, const PictureSpec& spec, Theme theme)
        : plan_(plan), spec_(spec), dark_(theme == Theme::dark), look_(look_of(theme)),
          second_ink_(dark_ ? rgb(0xA3ABB4) : rgb(0x59616A)),
          ground_(spec.ground == PictureGround::paper ? mix(look_.ground_top, look_.ground_bottom, 0.5)
                  : dark_                             ? look_.ground_top
                                                      : rgb(0xFFFFFF)) {}

    std::string write() {
        add("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
        add("<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\" width=\"{}\" height=\"{}\" "
            "viewBox=\"0 0 {:.2f} {:.2f}\" font-family=\"Inter, sans-serif\" role=\"img\" "
            "aria-labelledby=\"drawing-title drawing-words\">\n",
            spec_.width, spec_.height, plan_.width, plan_.height);
        add("<title id=\"drawing-title\">{}</title>\n<desc id=\"drawing-words\">{}</desc>\n", xml_escaped(plan_.title),
            xml_escaped(plan_.description));
        patterns();
        ground();
        add("<g id=\"section\" stroke-linejoin=\"round\">\n");
        for (const auto& piece : plan_.pieces)
            draw(piece);
        if (plan_.axis.size() == 2) {
            add("<path id=\"axis\" d=\"M{:.2f} {:.2f}L{:.2f} {:.2f}\" stroke=\"{}\" stroke-width=\"{:.2f}\" "
                "stroke-dasharray=\"18 4 3 4\"/>\n",
                plan_.axis[0].x, plan_.axis[0].y, plan_.axis[1].x, plan_.axis[1].y, hex(second_ink_), weight(1));
        }
        add("</g>\n<g id=\"leaders\" fill=\"none\">\n");
        for (const auto& label : plan_.labels)
            leader(label);
        add("</g>\n<g id=\"labels\">\n");
        for (const auto& label : plan_.labels)
            words(label);
        add("</g>\n");
        legend();
        add("</svg>\n");
        return std::move(text_);
    }

private:
    template <class... Values> void add(fmt::format_string<Values...> format, Values&&... values) {
        fmt::format_to(std::back_inserter(text_), format, std::forward<Values>(values)...);
    }
    [[nodiscard]] double weight(double width) const { return width * spec_.line_weight; }

    void pattern(const char* id, double step, double turn_deg, double width, Rgb ink, double alpha) {
        add("<pattern id=\"{}\" patternUnits=\"userSpaceOnUse\" width=\"{}\" height=\"{}\" "
            "patternTransform=\"rotate({})\"><path d=\"M0 0V{}\" stroke=\"{}\" stroke-opacity=\"{}\" "
            "stroke-width=\"{:.2f}\"/></pattern>\n",
            id, step, step, turn_deg, step, hex(ink), alpha, weight(width));
    }

    void patterns() {
        add("<defs>\n");
        // The pattern's line stands upright, so the turn is from the vertical.
        pattern("hatch-carrier", 9, 45, 1.4, look_.ink, 0.5);
        pattern("hatch-bore", 9, -45, 1.4, look_.ink, 0.5);
        add("<pattern id=\"hatch-ring\" patternUnits=\"userSpaceOnUse\" width=\"5\" height=\"5\" "
            "patternTransform=\"rotate(45)\"><path d=\"M0 0V5M0 0H5\" stroke=\"{}\" stroke-opacity=\"0.55\" "
            "stroke-width=\"{:.2f}\"/></pattern>\n",
            hex(rgb(0x1D2228)), weight(0.9));
        pattern("second-mark", 8, 0, 3, rgb(0x1D2228), 0.55);
        add("</defs>\n");
    }

    void ground() {
        if (spec_.ground == PictureGround::clear) return;
        if (spec_.ground == PictureGround::paper) {
            add("<linearGradient id=\"paper\" x1=\"0\" y1=\"0\" x2=\"0\" y2=\"1\"><stop offset=\"0\" "
                "stop-color=\"{}\"/><stop offset=\"1\" stop-color=\"{}\"/></linearGradient>\n",
                hex(look_.ground_top), hex(look_.ground_bottom));
        }
        add("<rect id=\"ground\" width=\"100%\" height=\"100%\" fill=\"{}\"/>\n",
            spec_.ground == PictureGround::paper ? "url(#paper)" : "#ffffff");
    }

    static std::string path_of(const Outline& outline) {
        std::string path;
        for (std::size_t i = 0; i < outline.size(); ++i)
            fmt::format_to(std::back_inserter(path), "{}{:.2f} {:.2f}", i == 0 ? "M" : "L", outline[i].x, outline[i].y);
        return path + "Z";
    }

    void draw(const SectionPiece& piece) {
        const std::string path = path_of(piece.outline);
        const char* hatch = piece.fill == SectionFill::carrier ? "hatch-carrier"
                            : piece.fill == SectionFill::bore  ? "hatch-bore"
                            : piece.fill == SectionFill::ring  ? "hatch-ring"
                            : piece.dashed                     ? "second-mark"
                                                               : nullptr;
        const bool metal = piece.fill == SectionFill::carrier || piece.fill == SectionFill::bore;
        Rgb fill = metal ? mix(piece.colour, dark_ ? rgb(0x6A7178) : rgb(0xFFFFFF), 0.45) : piece.colour;
        if (piece.suspect) fill = suspect_colour;
        if (piece.faded) fill = mix(fill, ground_, 0.6);
        const Rgb ink = piece.faded ? mix(rgb(0x1D2228), ground_, 0.5) : rgb(0x1D2228);
        add("<g id=\"{}\"><title>{}</title><path d=\"{}\" fill=\"{}\"/>", xml_escaped(piece.id),
            xml_escaped(piece.title), path, hex(fill));
        if (hatch != nullptr) add("<path d=\"{}\" fill=\"url(#{})\"/>", path, hatch);
        add("<path d=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"{:.2f}\"/></g>\n", path, hex(ink),
            weight(piece.suspect ? 3.4 : 1.3));
    }

    void leader(const SectionLabel& label) {
        if (label.leader.empty()) return;
        std::string path;
        for (std::size_t i = 0; i < label.leader.size(); ++i)
            fmt::format_to(std::back_inserter(path), "{}{:.2f} {:.2f}", i == 0 ? "M" : "L", label.leader[i].x,
                           label.leader[i].y);
        const double width = label.suspect ? 2.2 : 1.2;
        const Rgb ink = label.suspect ? made_to_contrast(suspect_colour, ground_, least_graphics_contrast) : look_.ink;
        // A border of the ground keeps the line apart from the hatch below it.
        add("<path d=\"{}\" stroke=\"{}\" stroke-width=\"{:.2f}\" stroke-opacity=\"0.85\"/><path d=\"{}\" "
            "stroke=\"{}\" stroke-width=\"{:.2f}\"/><circle cx=\"{:.2f}\" cy=\"{:.2f}\" r=\"{}\" fill=\"{}\" "
            "stroke=\"{}\"/>\n",
            path, hex(ground_), weight(width) + 2.6, path, hex(ink), weight(width), label.leader[0].x,
            label.leader[0].y, label.suspect ? 4.5 : 3.2, hex(ink), hex(ground_));
    }

    void words(const SectionLabel& label) {
        add("<g id=\"{}\">", xml_escaped(label.id));
        if (label.suspect) {
            add("<rect x=\"{:.2f}\" y=\"{:.2f}\" width=\"{:.2f}\" height=\"{:.2f}\" rx=\"4\" fill=\"none\" "
                "stroke=\"{}\" stroke-width=\"{:.2f}\"/>",
                label.box.x0 - 5, label.box.y0 - 2, label.box.x1 - label.box.x0 + 10, label.box.y1 - label.box.y0 + 5,
                hex(made_to_contrast(suspect_colour, ground_, least_graphics_contrast)), weight(1.8));
        }
        if (label.plate && label.on) {
            add("<rect x=\"{:.2f}\" y=\"{:.2f}\" width=\"{:.2f}\" height=\"{:.2f}\" rx=\"2\" fill=\"{}\"/>",
                label.box.x0, label.box.y0, label.box.x1 - label.box.x0, label.box.y1 - label.box.y0, hex(*label.on));
        }
        double y = label.box.y0;
        for (const auto& line : label.lines) {
            y += line.size * 1.35;
            Rgb ink = line.quiet ? second_ink_ : look_.ink;
            if (label.on) ink = contrast(*label.on, rgb(0x1D2228)) >= 4.5 ? rgb(0x1D2228) : rgb(0xFFFFFF);
            add("<text x=\"{:.2f}\" y=\"{:.2f}\" font-size=\"{:.2f}\" fill=\"{}\"{}{}>{}</text>",
                label.centred ? (label.box.x0 + label.box.x1) / 2 : label.box.x0, y - line.size * 0.32, line.size,
                hex(ink), line.strong ? " font-weight=\"600\"" : "", label.centred ? " text-anchor=\"middle\"" : "",
                xml_escaped(line.text));
        }
        add("</g>\n");
    }

    void legend() {
        if (!spec_.legend || plan_.legend.empty()) return;
        add("<g id=\"legend\">\n");
        for (const auto& cell : plan_.legend) {
            const auto box = [&](const std::string& style) {
                add("<rect x=\"{:.2f}\" y=\"{:.2f}\" width=\"24\" height=\"16\" rx=\"2\" {}/>", cell.at.x, cell.at.y,
                    style);
            };
            add("<g id=\"{}\">", xml_escaped(cell.id));
            box(fmt::format("fill=\"{}\"", hex(cell.look.colour)));
            if (cell.look.dashed) box("fill=\"url(#second-mark)\"");
            box(fmt::format("fill=\"none\" stroke=\"{}\" stroke-width=\"{:.2f}\"", hex(look_.ink), weight(1)));
            add("<text x=\"{:.2f}\" y=\"{:.2f}\" font-size=\"15\" fill=\"{}\">{}</text></g>\n", cell.at.x + 32,
                cell.at.y + 13.2, hex(look_.ink), xml_escaped(cell.name));
        }
        add("</g>\n");
    }

    const SectionPlan& plan_;
    const PictureSpec& spec_;
    bool dark_;
    ThemeLook look_;
    Rgb second_ink_, ground_;
    std::string text_;
};

} // namespace

std::string section_svg(const SectionPlan& plan, const PictureSpec& spec, Theme theme) {
    return Writer(plan, spec, theme).write();
}

} // namespace ringland::viewer
