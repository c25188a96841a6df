#include "face_painter.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <glm/common.hpp>
#include <glm/geometric.hpp>
#include <glm/gtc/matrix_access.hpp>
#include <glm/mat3x3.hpp>
#include <glm/vec4.hpp>

#include "../../model-data/all_threads.h"

namespace ringland::viewer {

namespace {

constexpr std::size_t piece_triangles = 1500;
constexpr int band_rows = 2 * FacePainter::tile_pixels;
constexpr std::size_t looks_at_depths = 6;
constexpr float full_normal = 32767;

/// The first pixel whose middle is not before `at`, kept within the picture.
int pixel_from(float at, int end) {
    const float middle = std::clamp(at - 0.5f, -1.0f, static_cast<float>(end));
    const int pixel = static_cast<int>(middle);
    return pixel + static_cast<int>(middle > static_cast<float>(pixel));
}

std::int16_t whole_part(float value) { return static_cast<std::int16_t>(value); }

} // namespace

void FacePainter::add_pieces(const FaceLists& lists, const FaceLists::Range& range, Role role, bool through) {
    for (std::size_t from = 0; from < range.count; from += 3 * piece_triangles) {
        if (pieces_used_ == pieces_.size()) pieces_.emplace_back();
        Piece& piece = pieces_[pieces_used_++];
        piece.role = role;
        piece.through = through;
        piece.first = lists.indices.data() + range.first + from;
        piece.triangles = std::min(piece_triangles, (range.count - from) / 3);
    }
}

/// In the order in which the picture is built.
void FacePainter::divide(const FaceLists& lists) {
    pieces_used_ = 0;
    add_pieces(lists, lists.foremost, Role::solid);
    add_pieces(lists, lists.cut, Role::solid);
    add_pieces(lists, lists.cut_through, Role::solid, true);
    add_pieces(lists, lists.inside, Role::cut_face);
    add_pieces(lists, lists.inside_through, Role::cut_face, true);
    add_pieces(lists, lists.whole, Role::solid_over_cut);
    add_pieces(lists, lists.glass, Role::glass);
}

FacePainter::Placed FacePainter::placed(const SolidVertex& vertex, Role role) const {
    glm::vec3 stands = vertex.position;
    stands.x += (*poses_)[vertex.shape].along;
    Placed corner;
    corner.y = stands.y;
    corner.normal = {static_cast<float>(vertex.normal[0]), static_cast<float>(vertex.normal[1]),
                     static_cast<float>(vertex.normal[2])};
    corner.facing = 0;
    if (role == Role::glass) {
        corner.facing =
            glm::dot(glm::vec3(corner.normal[0], corner.normal[1], corner.normal[2]), glm::normalize(eye_ - stands)) /
            full_normal;
    }
    // Where solids touch, the inside of one lies in the surface of the next: the cut face must win.
    if (role == Role::cut_face) stands += glm::normalize(eye_ - stands) * (*styles_)[vertex.shape].raise_mm;
    const auto& m = pixels_from_unit_;
    for (int k = 0; k < 4; ++k)
        corner.at[k] = m[0][k] * stands.x + m[1][k] * stands.y + (m[2][k] * stands.z + m[3][k]);
    return corner;
}

void FacePainter::place(Piece& piece) const {
    piece.faces.clear();
    piece.bands.resize(static_cast<std::size_t>((height_ + band_rows - 1) / band_rows));
    for (auto& band : piece.bands)
        band.clear();
    for (std::size_t t = 0; t < piece.triangles; ++t) {
        const std::uint32_t* i = piece.first + 3 * t;
        const std::array<Placed, 3> corners{placed(vertices_[i[0]], piece.role), placed(vertices_[i[1]], piece.role),
                                            placed(vertices_[i[2]], piece.role)};
        auto shape = static_cast<std::int16_t>(vertices_[i[0]].shape + 1);
        if (piece.role == Role::cut_face) shape = static_cast<std::int16_t>(-shape);
        if (piece.through || corners[0].at.z < 0 || corners[1].at.z < 0 || corners[2].at.z < 0)
            add_clipped(piece, corners, shape);
        else
            add(piece, corners, shape);
    }
}

/// Without what is before the near plane, and without the half that the section takes away.
void FacePainter::add_clipped(Piece& piece, const std::array<Placed, 3>& corners, std::int16_t shape) const {
    std::array<Placed, 5> now{corners[0], corners[1], corners[2]}, next{};
    std::size_t count = 3;
    const auto clip = [&](const auto& inside) {
        std::size_t kept = 0;
        for (std::size_t i = 0; i < count; ++i) {
            const Placed &a = now[i], &b = now[(i + 1) % count];
            const float da = inside(a), db = inside(b);
            if (da >= 0) next[kept++] = a;
            if ((da >= 0) == (db >= 0)) continue;
            const float t = da / (da - db);
            Placed& cut = next[kept++];
            cut.at = a.at + (b.at - a.at) * t;
            for (std::size_t k = 0; k < 3; ++k)
                cut.normal[k] = a.normal[k] + (b.normal[k] - a.normal[k]) * t;
            cut.y = a.y + (b.y - a.y) * t;
            cut.facing = a.facing + (b.facing - a.facing) * t;
        }
        count = kept;
        std::swap(now, next);
    };
    clip([](const Placed& corner) { return corner.at.z; });
    if (piece.through) clip([this](const Placed& corner) { return -corner.y * side_; });
    for (std::size_t i = 2; i < count; ++i)
        add(piece, {now[0], now[i - 1], now[i]}, shape);
}

/// Where it turns its right side to the eye and covers the middle of a pixel.
void FacePainter::add(Piece& piece, const std::array<Placed, 3>& corners, std::int16_t shape) const {
    Face face;
    face.shape = shape;
    for (std::size_t k = 0; k < 3; ++k) {
        const float by_w = 1 / corners[k].at.w;
        face.corners[k] = {corners[k].at.x * by_w, corners[k].at.y * by_w, corners[k].at.z * by_w, corners[k].facing,
                           corners[k].normal};
    }
    const auto& [a, b, c] = face.corners;
    const float area = (b.x - a.x) * (c.y - a.y) - (c.x - a.x) * (b.y - a.y);
    if (!(piece.role == Role::cut_face ? area < 0 : area > 0)) return;
    const int first_column = pixel_from(std::min({a.x, b.x, c.x}), width_),
              end_column = pixel_from(std::max({a.x, b.x, c.x}), width_);
    const int first = std::max(0, pixel_from(std::min({a.y, b.y, c.y}), height_)),
              end = pixel_from(std::max({a.y, b.y, c.y}), height_);
    if (first >= end || first_column >= end_column) return;
    const auto index = static_cast<std::uint32_t>(piece.faces.size());
    piece.faces.push_back(face);
    for (int band = first / band_rows; band <= (end - 1) / band_rows; ++band)
        piece.bands[static_cast<std::size_t>(band)].push_back(index);
}

template <FacePainter::Role role> void FacePainter::paint_face(const Face& face, int first_row, int end_row) {
    // From the lowest corner up. Every edge is reckoned from its lower corner, so two triangles that share one part
    // their pixels without gap.
    const Corner *low = &face.corners[0], *mid = &face.corners[1], *high = &face.corners[2];
    if (mid->y < low->y) std::swap(low, mid);
    if (high->y < mid->y) std::swap(mid, high);
    if (mid->y < low->y) std::swap(low, mid);
    const int from = std::max(first_row, pixel_from(low->y, height_)),
              end = std::min(end_row, pixel_from(high->y, height_));
    if (from >= end) return;
    const auto slope = [](const Corner& a, const Corner& b) { return b.y > a.y ? (b.x - a.x) / (b.y - a.y) : 0.0f; };
    const float long_slope = slope(*low, *high), low_slope = slope(*low, *mid), high_slope = slope(*mid, *high);

    const float x1 = mid->x - low->x, y1 = mid->y - low->y, x2 = high->x - low->x, y2 = high->y - low->y;
    const float by_area = 1 / (x1 * y2 - x2 * y1);
    // What changes evenly over the face: its value at the lowest corner, and by how much it grows with x and y.
    struct Even {
        float at = 0, by_x = 0, by_y = 0;
    };
    const auto even = [&](float at_low, float at_mid, float at_high) {
        const float d1 = at_mid - at_low, d2 = at_high - at_low;
        return Even{at_low, (d1 * y2 - d2 * y1) * by_area, (d2 * x1 - d1 * x2) * by_area};
    };
    const Even depth = even(low->depth, mid->depth, high->depth);
    // A sliver's slopes are steep: no pixel goes beyond its corners.
    const float nearest = std::min({low->depth, mid->depth, high->depth}),
                farthest = std::max({low->depth, mid->depth, high->depth});
    const bool flat = low->normal == mid->normal && low->normal == high->normal;
    std::array<Even, 3> normal{Even{low->normal[0]}, Even{low->normal[1]}, Even{low->normal[2]}};
    bool normal_is_known = flat; // most faces are hidden, and do not need it
    Even facing;
    float clear = 1;
    if (role == Role::glass) {
        facing = even(low->facing, mid->facing, high->facing);
        clear = (*styles_)[static_cast<std::size_t>(face.shape - 1)].alpha;
    }
    for (int y = from; y < end; ++y) {
        const float middle = static_cast<float>(y) + 0.5f;
        const float on_long = low->x + (middle - low->y) * long_slope;
        const float on_short =
            middle < mid->y ? low->x + (middle - low->y) * low_slope : mid->x + (middle - mid->y) * high_slope;
        const int left = std::max(0, pixel_from(std::min(on_long, on_short), width_)),
                  right = pixel_from(std::max(on_long, on_short), width_);
        const auto row = static_cast<std::size_t>(y) * static_cast<std::size_t>(width_);
        const float up = middle - low->y;
        const float first_depth = depth.at + (0.5f - low->x) * depth.by_x + up * depth.by_y;
        const auto paint_pixel = [&](int x) {
            const std::size_t at = row + static_cast<std::size_t>(x);
            const float aside = static_cast<float>(x) + 0.5f - low->x;
            const auto here = [&](const Even& value) { return value.at + aside * value.by_x + up * value.by_y; };
            const float z = std::clamp(first_depth + static_cast<float>(x) * depth.by_x, nearest, farthest);
            if (!(z < depths_.depth[at])) return;
            FacePixel* pixel = &solids_[at];
            if (role == Role::glass) {
                const float cosine = std::min(std::abs(here(facing)), 1.0f);
                clearness_[at] *= 1 - clear * (0.25f + 0.75f * (1 - cosine) * (1 - cosine));
                if (!(z < depths_with_glass_.depth[at])) return;
                depths_with_glass_.depth[at] = z;
                pixel = &glass_[at];
            } else {
                depths_.depth[at] = z;
            }
            if (flat) {
                *pixel = {{whole_part(normal[0].at), whole_part(normal[1].at), whole_part(normal[2].at)}, face.shape};
                return;
            }
            if (!normal_is_known) {
                for (std::size_t k = 0; k < 3; ++k)
                    normal[k] = even(low->normal[k], mid->normal[k], high->normal[k]);
                normal_is_known = true;
            }
            const auto bounded = [&](const Even& value) {
                return whole_part(std::clamp(here(value), -full_normal, full_normal));
            };
            *pixel = {{bounded(normal[0]), bounded(normal[1]), bounded(normal[2])}, face.shape};
        };
        const float* before = &depths_.depth[row];
        const auto seen = [&](int x) { // a number: the four are put together without a jump
            const float z = first_depth + static_cast<float>(x) * depth.by_x;
            return static_cast<int>(std::min(z, farthest) < before[x]);
        };
        for (int x = left; x < right;) {
            // Most of what is not seen is not seen for long.
            if (x + 4 <= right && (seen(x) | seen(x + 1) | seen(x + 2) | seen(x + 3)) == 0) {
                x += 4;
                continue;
            }
            for (const int end_of_four = std::min(x + 4, right); x < end_of_four; ++x)
                paint_pixel(x);
        }
    }
}

/// What lies behind the cut stays behind it.
void FacePainter::lower_cut_faces(int first_row, int end_row) {
    // A point (X, 0, Z) of the plane is seen where (x, y, 1) = P (X, Z, 1) / w, in the depth d (X, Z, 1) / w.
    const auto& m = pixels_from_unit_;
    const glm::dvec3 a(m[0].x, m[0].y, m[0].w), b(m[2].x, m[2].y, m[2].w), c(m[3].x, m[3].y, m[3].w);
    const glm::dmat3 pixel_from_plane(a, b, c);
    if (glm::determinant(pixel_from_plane) == 0) return; // seen from the edge
    const glm::dvec3 depth_of = glm::dvec3(m[0].z, m[2].z, m[3].z) * glm::inverse(pixel_from_plane);
    for (int y = first_row; y < end_row; ++y) {
        const auto row = static_cast<std::size_t>(y) * static_cast<std::size_t>(width_);
        for (int x = 0; x < width_; ++x) {
            const std::size_t at = row + static_cast<std::size_t>(x);
            if (solids_[at].shape >= 0) continue;
            depths_.depth[at] = static_cast<float>(depth_of.x * (x + 0.5) + depth_of.y * (y + 0.5) + depth_of.z);
        }
    }
}

/// The greatest depth of each tile of a band as it was at the last look. Depths only become less, so what lies behind
/// is hidden for good. Near faces are painted first: after a few looks most of what is left is behind them.
class FacePainter::FarthestSeen {
public:
    FarthestSeen(const FacePainter& painter, int first_row, int end_row)
        : painter_(painter), first_row_(first_row), end_row_(end_row), columns_(painter.tile_columns()),
          depth_(static_cast<std::size_t>(columns_) * (band_rows / tile_pixels), 1.0f) {}

    void look() {
        std::fill(depth_.begin(), depth_.end(), 0.0f);
        for (int y = first_row_; y < end_row_; ++y) {
            const float* row =
                &painter_.depths_.depth[static_cast<std::size_t>(y) * static_cast<std::size_t>(painter_.width_)];
            float* tile = depths_of((y - first_row_) / tile_pixels);
            for (int x = 0; x < painter_.width_; x += tile_pixels, ++tile)
                *tile = std::max(*tile, *std::max_element(row + x, row + std::min(x + tile_pixels, painter_.width_)));
        }
    }

    [[nodiscard]] bool hides(const Face& face) {
        const auto& [a, b, c] = face.corners;
        const float nearest = std::min({a.depth, b.depth, c.depth});
        const auto tile = [](float pixel, int least, int most) {
            return static_cast<int>(std::clamp(pixel, static_cast<float>(least), static_cast<float>(most))) /
                   tile_pixels;
        };
        const int left = tile(std::min({a.x, b.x, c.x}), 0, painter_.width_ - 1),
                  right = tile(std::max({a.x, b.x, c.x}), 0, painter_.width_ - 1),
                  low = tile(std::min({a.y, b.y, c.y}), first_row_, end_row_ - 1) - first_row_ / tile_pixels,
                  high = tile(std::max({a.y, b.y, c.y}), first_row_, end_row_ - 1) - first_row_ / tile_pixels;
        for (int y = low; y <= high; ++y) {
            const float* row = depths_of(y);
            for (int x = left; x <= right; ++x) {
                if (nearest < row[x]) return false;
            }
        }
        return true;
    }

private:
    [[nodiscard]] float* depths_of(int row) { return depth_.data() + static_cast<std::ptrdiff_t>(row) * columns_; }
    const FacePainter& painter_;
    int first_row_, end_row_, columns_;
    std::vector<float> depth_;
};

void FacePainter::paint_band(int band) {
    const int first_row = band * band_rows, end_row = std::min(height_, first_row + band_rows);
    const auto first = static_cast<std::ptrdiff_t>(first_row) * width_,
               end = static_cast<std::ptrdiff_t>(end_row) * width_;
    std::fill(solids_.begin() + first, solids_.begin() + end, FacePixel{});
    std::fill(depths_.depth.begin() + first, depths_.depth.begin() + end, 1.0f);
    bool lowered = side_ == 0, glass_begun = false;
    const auto begin_glass = [&] {
        std::fill(glass_.begin() + first, glass_.begin() + end, FacePixel{});
        std::fill(clearness_.begin() + first, clearness_.begin() + end, 1.0f);
        std::copy(depths_.depth.begin() + first, depths_.depth.begin() + end, depths_with_glass_.depth.begin() + first);
        glass_begun = true;
    };
    std::size_t faces = 0, since_known = 0;
    for (std::size_t p = 0; p < pieces_used_; ++p)
        faces += pieces_[p].bands[static_cast<std::size_t>(band)].size();
    FarthestSeen farthest(*this, first_row, end_row);
    for (std::size_t p = 0; p < pieces_used_; ++p) {
        const Piece& piece = pieces_[p];
        if (piece.role == Role::solid_over_cut && !lowered) {
            lower_cut_faces(first_row, end_row);
            lowered = true;
        }
        if (piece.role == Role::glass && !glass_begun) begin_glass();
        for (const auto index : piece.bands[static_cast<std::size_t>(band)]) {
            if (++since_known > faces / looks_at_depths) {
                farthest.look();
                since_known = 0;
            }
            if (farthest.hides(piece.faces[index])) continue;
            if (piece.role == Role::glass)
                paint_face<Role::glass>(piece.faces[index], first_row, end_row);
            else
                paint_face<Role::solid>(piece.faces[index], first_row, end_row);
        }
    }
    if (!lowered) lower_cut_faces(first_row, end_row);
    for (int row = first_row; row < end_row; row += tile_pixels)
        look_at_tiles(row, std::min(row + tile_pixels, end_row), glass_begun);
}

void FacePainter::look_at_tiles(int first_row, int end_row, bool glass) {
    auto* tile = &tiles_[static_cast<std::size_t>(first_row / tile_pixels) * static_cast<std::size_t>(tile_columns())];
    for (int left = 0; left < width_; left += tile_pixels, ++tile) {
        const int right = std::min(left + tile_pixels, width_);
        bool ground = false, solid = false, wall = false;
        for (int y = first_row; y < end_row; ++y) {
            const auto row = static_cast<std::size_t>(y) * static_cast<std::size_t>(width_);
            for (auto at = row + static_cast<std::size_t>(left); at < row + static_cast<std::size_t>(right); ++at) {
                ground |= solids_[at].shape == 0;
                solid |= solids_[at].shape != 0;
                wall |= glass && glass_[at].shape != 0;
            }
        }
        *tile = {ground, solid, wall};
    }
}

void FacePainter::paint(const FaceLists& lists, const Sight& sight, const std::vector<Pose>& poses,
                        const std::vector<ShapeStyle>& styles, int width, int height) {
    width_ = depths_.width = depths_with_glass_.width = width;
    height_ = depths_.height = depths_with_glass_.height = height;
    eye_ = sight.eye;
    side_ = static_cast<float>(sight.side);
    poses_ = &poses;
    styles_ = &styles;
    const auto pixels = static_cast<std::size_t>(width) * static_cast<std::size_t>(height);
    solids_.resize(pixels);
    depths_.depth.resize(pixels);
    if (lists.glass.count > 0) {
        glass_.resize(pixels);
        clearness_.resize(pixels);
        depths_with_glass_.depth.resize(pixels);
    }
    tiles_.resize(static_cast<std::size_t>(tile_columns()) *
                  static_cast<std::size_t>((height + tile_pixels - 1) / tile_pixels));
    const glm::mat4& clip = sight.clip_from_unit;
    const auto w = glm::row(clip, 3);
    pixels_from_unit_ = glm::row(clip, 0, (glm::row(clip, 0) + w) * (0.5f * static_cast<float>(width)));
    pixels_from_unit_ = glm::row(pixels_from_unit_, 1, (glm::row(clip, 1) + w) * (0.5f * static_cast<float>(height)));
    pixels_from_unit_ = glm::row(pixels_from_unit_, 2, (glm::row(clip, 2) + w) * 0.5f);
    divide(lists);
    model::on_all_threads(pieces_used_, [this](std::size_t piece) { place(pieces_[piece]); });
    model::on_all_threads(static_cast<std::size_t>((height + band_rows - 1) / band_rows),
                          [this](std::size_t band) { paint_band(static_cast<int>(band)); });
}

} // namespace ringland::viewer
