#include "visible_lines.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include <glm/common.hpp>
#include <glm/geometric.hpp>
#include <glm/gtc/matrix_access.hpp>
#include <glm/vec4.hpp>

namespace ringland::viewer {

namespace {

constexpr float near_mm = 1;
constexpr float sample_pixels = 4; ///< a line is asked about every so many pixels
constexpr int most_samples = 512;
constexpr std::size_t most_joined = 8;
constexpr float swallowed_pixels = 0.3f; ///< a corner that is no more off its line does not show

std::array<std::uint8_t, 4> bytes_of(const std::array<float, 4>& colour) {
    std::array<std::uint8_t, 4> bytes{};
    for (std::size_t i = 0; i < 4; ++i)
        bytes[i] = static_cast<std::uint8_t>(std::lround(std::clamp(colour[i], 0.0f, 1.0f) * 255));
    return bytes;
}

class Asker {
public:
    Asker(const DepthPicture& picture, const LineRule& rule)
        : picture_(picture), scale_x_(static_cast<float>(picture.width / rule.width)),
          scale_y_(static_cast<float>(picture.height / rule.height)) {}

    /// Whether the farthest of the four depths around a place is not before a depth. One that is nearer may belong to
    /// the surface beside the edge: the small picture does not tell them apart.
    [[nodiscard]] bool seen(float x, float y, float depth) const {
        const float fx = x * scale_x_ - 0.5f, fy = y * scale_y_ - 0.5f;
        const int x0 = std::clamp(static_cast<int>(fx), 0, picture_.width - 1);
        const int y0 = std::clamp(static_cast<int>(fy), 0, picture_.height - 1);
        const int x1 = std::min(x0 + 1, picture_.width - 1), y1 = std::min(y0 + 1, picture_.height - 1);
        const float* low = &picture_.depth[static_cast<std::size_t>(y0) * static_cast<std::size_t>(picture_.width)];
        const float* high = &picture_.depth[static_cast<std::size_t>(y1) * static_cast<std::size_t>(picture_.width)];
        return depth <= std::max(std::max(low[x0], low[x1]), std::max(high[x0], high[x1]));
    }

private:
    const DepthPicture& picture_;
    float scale_x_, scale_y_;
};

/// Shortens a line to the half that the section keeps; false where nothing is left.
bool cut(glm::vec3& a, glm::vec3& b, float side) {
    const float ya = a.y * side, yb = b.y * side;
    if (ya > 0 && yb > 0) return false;
    if (ya > 0)
        a = glm::mix(a, b, ya / (ya - yb));
    else if (yb > 0)
        b = glm::mix(b, a, yb / (yb - ya));
    return true;
}

/// Whether a line that goes on to `end` still passes by all the corners that it has swallowed.
template <class Line, std::size_t count>
bool straight(const Line& line, const std::array<glm::vec2, count>& between, std::size_t joined, const glm::vec2& end) {
    const glm::vec2 span = end - line.from;
    const float length = glm::length(span);
    const auto off = [&](const glm::vec2& corner) {
        const glm::vec2 to = corner - line.from;
        return std::abs(span.x * to.y - span.y * to.x) > swallowed_pixels * length || glm::dot(span, to) < 0;
    };
    if (off(line.to)) return false;
    for (std::size_t i = 1; i < joined; ++i) {
        if (off(between[i])) return false;
    }
    return true;
}

} // namespace

void VisibleLines::place(const std::vector<LineInstance>& lines, const std::vector<ShapeStyle>& styles,
                         const Sight& sight, const LineRule& rule, std::size_t before_glass) {
    rule_ = rule;
    placed_.clear();
    std::optional<std::size_t> glass_from;
    placed_.reserve(lines.size());
    const glm::vec2 half_frame(static_cast<float>(rule.width / 2), static_cast<float>(rule.height / 2));
    const glm::vec2 frame = 2.0f * half_frame;
    const auto side = static_cast<float>(sight.side);
    // The whole of it as one matrix: towards the eye by the share, then to the screen.
    glm::mat4 clip_from_line = sight.clip_from_unit;
    clip_from_line[3] +=
        (clip_from_line[0] * sight.eye.x + clip_from_line[1] * sight.eye.y + clip_from_line[2] * sight.eye.z) *
        rule.before_surface;
    for (int i = 0; i < 3; ++i)
        clip_from_line[i] *= 1 - rule.before_surface;
    // And to pixels from the bottom left and to depths from 0 to 1, which leaves w as it is.
    const auto w_row = glm::row(clip_from_line, 3);
    auto screen_from_line = glm::row(clip_from_line, 0, (glm::row(clip_from_line, 0) + w_row) * half_frame.x);
    screen_from_line = glm::row(screen_from_line, 1, (glm::row(clip_from_line, 1) + w_row) * half_frame.y);
    screen_from_line = glm::row(screen_from_line, 2, (glm::row(clip_from_line, 2) + w_row) * 0.5f);

    std::size_t shape = styles.size(); // lines come shape by shape
    std::array<float, 3> half_widths{};
    std::array<std::array<std::uint8_t, 4>, 3> ink{};
    bool is_cut = false;
    // Many edges are short steps around a circle: they follow each other, and a few of them make one line.
    const LineInstance* before = nullptr;
    glm::vec3 end_before(0); // where it really ended: the section may have shortened it
    std::array<glm::vec2, most_joined> between{};
    std::size_t joined = 0;
    for (const auto& line : lines) {
        if (!glass_from && static_cast<std::size_t>(&line - lines.data()) >= before_glass) glass_from = placed_.size();
        if (line.shape != shape) {
            shape = line.shape;
            const auto& style = styles[shape];
            is_cut = side != 0 && style.cut > 0.5f;
            for (std::size_t kind = 0; kind < 3; ++kind) {
                auto own = style.ink;
                if (style.kind > 1.5f) own[3] *= kind == 1 ? 1.8f : 0.8f; // glass shows by its outline
                ink[kind] = bytes_of(own);
                const float points = kind == 0 ? 1.0f : (kind == 1 ? 1.6f : 1.2f);
                half_widths[kind] =
                    0.5f * std::max(points * style.line_width * static_cast<float>(rule.pixels_per_point), 1.0f);
            }
        }
        glm::vec3 a = line.from, b = line.to;
        if (is_cut && line.kind != 2 && !cut(a, b, side)) continue;
        glm::vec4 sa = screen_from_line * glm::vec4(a, 1), sb = screen_from_line * glm::vec4(b, 1);
        if (sa.w < near_mm && sb.w < near_mm) continue;
        if (sa.w < near_mm)
            sa = glm::mix(sa, sb, (near_mm - sa.w) / (sb.w - sa.w));
        else if (sb.w < near_mm)
            sb = glm::mix(sb, sa, (near_mm - sb.w) / (sa.w - sb.w));
        const glm::vec3 p = glm::vec3(sa) * (1 / sa.w), q = glm::vec3(sb) * (1 / sb.w);
        if (std::max(p.x, q.x) < 0 || std::min(p.x, q.x) > frame.x || std::max(p.y, q.y) < 0 ||
            std::min(p.y, q.y) > frame.y)
            continue;
        const Placed now{glm::vec2(p), glm::vec2(q), p.z, q.z, half_widths[line.kind], ink[line.kind]};
        if (joined > 0 && joined < most_joined && line.shape == before->shape && line.kind == before->kind &&
            line.from == before->to && before->to == end_before && straight(placed_.back(), between, joined, now.to)) {
            between[joined++] = now.from;
            placed_.back().to = now.to;
            placed_.back().to_depth = now.to_depth;
        } else {
            placed_.push_back(now);
            joined = 1;
        }
        before = &line;
        end_before = b;
    }
    placed_before_glass_ = glass_from.value_or(placed_.size());
}

void VisibleLines::append(const Placed& line, const DepthPicture& picture) {
    const Asker asker(picture, rule_);
    const glm::vec2 span = line.to - line.from;
    const float length = glm::length(span);
    const glm::vec2 beyond = length > 1e-4f ? span * (0.5f * line.half_width / length) : glm::vec2(0);
    const auto add = [&](float first, float last) {
        seen_.push_back(
            {line.from + span * first - beyond, line.from + span * last + beyond, line.half_width, line.ink});
    };
    const int samples = std::clamp(static_cast<int>(length / sample_pixels) + 1, 1, most_samples);
    const float step = 1.0f / static_cast<float>(samples);
    int run = -1; // the first sample of the part that is seen now
    for (int i = 0; i < samples; ++i) {
        const float t = (static_cast<float>(i) + 0.5f) * step;
        const glm::vec2 at = line.from + span * t;
        if (asker.seen(at.x, at.y, line.from_depth + (line.to_depth - line.from_depth) * t)) {
            if (run < 0) run = i;
        } else if (run >= 0) {
            add(static_cast<float>(run) * step, static_cast<float>(i) * step);
            run = -1;
        }
    }
    if (run >= 0) add(static_cast<float>(run) * step, 1);
}

const std::vector<SeenLine>& VisibleLines::seen(const DepthPicture& picture) {
    seen_.clear();
    for (const auto& line : placed_)
        append(line, picture);
    return seen_;
}

VisibleLines::ThroughGlass VisibleLines::seen(const DepthPicture& solids, const DepthPicture& with_glass,
                                              float far_share) {
    seen_.clear();
    for (std::size_t i = 0; i < placed_.size(); ++i) {
        Placed line = placed_[i];
        if (i >= placed_before_glass_)
            line.ink[3] = static_cast<std::uint8_t>(std::lround(far_share * static_cast<float>(line.ink[3])));
        append(line, solids);
    }
    const std::size_t nearest_from = seen_.size();
    for (std::size_t i = placed_before_glass_; i < placed_.size(); ++i)
        append(placed_[i], with_glass);
    return {seen_, nearest_from};
}

} // namespace ringland::viewer
