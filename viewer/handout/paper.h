// Printed pages: texts that are measured before they are drawn, and blocks that flow onto as many pages as they need.
//
// Everything is in points (1/72 in) from the top left of the page.
#pragma once

#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "content.h"

typedef struct _cairo cairo_t;

namespace ringland::viewer {

enum class PaperSize { letter, a4 };

struct Ink {
    double r = 0, g = 0, b = 0;
};
namespace ink {
inline constexpr Ink text{0.114, 0.133, 0.157}, second{0.349, 0.380, 0.416}, rule{0.839, 0.816, 0.765},
    accent{0.835, 0.369, 0}, accent_text{0.70, 0.27, 0}, ground{0.965, 0.953, 0.925}, white{1, 1, 1};
}

/// How a text is set.
struct Type {
    double size = 9.5;
    bool strong = false;
    Ink colour = ink::text;
    bool right = false, centred = false;
    double leading = 1.42; ///< from line to line, in sizes
};

/// Measures and draws texts, for a page or for none yet.
class Setter {
public:
    Setter();
    ~Setter();
    Setter(const Setter&) = delete;
    Setter& operator=(const Setter&) = delete;
    /// Height of a text that is wrapped at that width; a word that is too long is broken.
    [[nodiscard]] double height(const std::string& text, const Type& type, double width) const;
    /// Width of a text on one line.
    [[nodiscard]] double width(const std::string& text, const Type& type) const;
    /// The text cut at ends of lines into pieces, none higher than that (but at least a line).
    [[nodiscard]] std::vector<std::string> pieces(const std::string& text, const Type& type, double width,
                                                  double most_height) const;
    /// Draws it, and gives its height.
    double draw(cairo_t* page, const std::string& text, const Type& type, double x, double y, double width) const;

private:
    struct Impl;
    std::unique_ptr<Impl> impl_;
};

/// A piece of a page that is not divided.
struct Block {
    double height = 0;
    double before = 0;      ///< air above it, not at the top of a page
    bool with_next = false; ///< never the last of a page
    std::function<void(cairo_t*, double y)> draw;
    std::shared_ptr<Block> again; ///< drawn before it where it begins a page: the head of its table
};

struct PaperPlan {
    double width = 612, height = 792;
    double left = 48, right = 48, top = 46, bottom = 52;
    [[nodiscard]] double inner() const { return width - left - right; }
};
[[nodiscard]] PaperPlan paper_plan(PaperSize size);

/// What every page carries besides its blocks: its number from 1, and of how many.
using Furniture = std::function<void(cairo_t*, std::size_t page, std::size_t pages)>;

struct PdfWords {
    std::string title, subject, language;
};

/// Sets the blocks on pages and writes the file, complete or not at all; error text, empty on success.
/// `first_top`: where blocks begin on the first page; on the others at the plan's top.
[[nodiscard]] std::string write_pdf(const std::string& file, const PaperPlan& plan, double first_top,
                                    const std::vector<Block>& blocks, const Furniture& furniture,
                                    const PdfWords& words);

// Small drawings.
void rule(cairo_t* page, double x0, double x1, double y, const Ink& colour, double thickness = 0.5);
void box(cairo_t* page, double x, double y, double width, double height, const Ink& fill);
void frame(cairo_t* page, double x, double y, double width, double height, const Ink& colour, double thickness);
void line(cairo_t* page, double x0, double y0, double x1, double y1, const Ink& colour, double thickness);
void dot(cairo_t* page, double x, double y, double radius, const Ink& colour);
/// The picture, as wide as that; gives its height.
double picture(cairo_t* page, const Pixels& pixels, double x, double y, double width);

/// A PNG file as pixels; empty and an error text where it is none, or larger than 16 megapixels.
[[nodiscard]] Pixels read_logo(const std::string& file, std::string& error);

} // namespace ringland::viewer
