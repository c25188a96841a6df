#include "air.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include <glm/geometric.hpp>

#include "shader_texts.h"

namespace ringland::viewer {

namespace {

constexpr double half_length = 13, half_shaft = 2.6, half_head = 6.8, head_length = 11, outline = 1.3;
constexpr double outside_points = 96; // of the way that is drawn before the mouth of a port

using Points = std::vector<glm::dvec3>;

/// Cuts corners twice, so that the line turns softly; the ends stay.
Points rounded(Points points) {
    for (int pass = 0; pass < 2 && points.size() > 2; ++pass) {
        Points next{points.front()};
        for (std::size_t i = 0; i + 1 < points.size(); ++i) {
            if (i > 0) next.push_back(points[i] * 0.78 + points[i + 1] * 0.22);
            if (i + 2 < points.size()) next.push_back(points[i] * 0.22 + points[i + 1] * 0.78);
        }
        next.push_back(points.back());
        points = std::move(next);
    }
    return points;
}

/// A point of the way on the screen: pixels from the bottom left, depth, and the way so far in pixels.
struct Spot {
    glm::dvec2 at;
    double depth = 0, along = 0;
};

Spot spot_at(const std::vector<Spot>& spots, double along) {
    const auto after = std::lower_bound(spots.begin(), spots.end(), along,
                                        [](const Spot& spot, double value) { return spot.along < value; });
    if (after == spots.begin()) return spots.front();
    if (after == spots.end()) return spots.back();
    const auto& a = *(after - 1);
    const auto& b = *after;
    const double t = b.along > a.along ? (along - a.along) / (b.along - a.along) : 0;
    return {a.at + (b.at - a.at) * t, a.depth + (b.depth - a.depth) * t, along};
}

} // namespace

std::vector<AirVertex> place_arrows(const model::AirPath& path, const AirView& view) {
    std::vector<AirVertex> vertices;
    if (path.points.size() < 2) return vertices;
    const double outside_mm = outside_points * view.pixels_per_point * view.mm_per_pixel;
    const auto beyond = [&](const glm::dvec3& from, const glm::dvec3& to) {
        const double length = glm::distance(from, to);
        return length > 1e-9 ? to + (to - from) * (outside_mm / length) : to;
    };
    const glm::dvec3 crossing = path.points[std::min(path.crossing, path.points.size() - 1)];
    Points points = path.points;
    points.insert(points.begin(), beyond(points[1], points[0]));
    if (view.leaves_by_port) points.push_back(beyond(points[points.size() - 2], points.back()));
    points = rounded(std::move(points));

    std::vector<Spot> spots;
    std::size_t cross_spot = 0;
    double nearest = 1e30;
    for (const auto& p : points) {
        // Stands before the walls of its own bore, so that it counts as hidden only behind something else.
        const glm::dvec3 raised = p + glm::normalize(view.eye - p) * 9.0;
        const glm::dvec4 clip = view.clip_from_unit * glm::dvec4(p, 1);
        const glm::dvec4 front = view.clip_from_unit * glm::dvec4(raised, 1);
        if (clip.w <= 1e-3 || front.w <= 1e-3) continue;
        Spot spot;
        spot.at = glm::dvec2((clip.x / clip.w * 0.5 + 0.5) * view.window.width,
                             (clip.y / clip.w * 0.5 + 0.5) * view.window.height);
        spot.depth = front.z / front.w;
        if (!spots.empty()) spot.along = spots.back().along + glm::distance(spot.at, spots.back().at);
        if (const double d = glm::distance(p, crossing); d < nearest) {
            nearest = d;
            cross_spot = spots.size();
        }
        spots.push_back(spot);
    }
    if (spots.size() < 2) return vertices;

    const double point = view.pixels_per_point, spacing = view.spacing_points * point;
    const double phase = std::fmod(view.travel_points, view.spacing_points) * point;
    const double start = spots[cross_spot].along + phase;
    const double half = half_length * point;
    const double first = start - std::floor(std::max(0.0, start - half * 0.6) / spacing) * spacing;
    for (double along = first; along <= spots.back().along - half * 0.6; along += spacing) {
        const Spot tail = spot_at(spots, along - half), head = spot_at(spots, along + half),
                   here = spot_at(spots, along);
        glm::dvec2 way = head.at - tail.at;
        const double length = glm::length(way);
        if (length < 1e-6) continue;
        way /= length;
        const glm::dvec2 across(-way.y, way.x);
        const double reach_along = half_length + outline + 1, reach_across = half_head + outline + 1;
        const auto corner = [&](double a, double c) {
            const glm::dvec2 at = here.at + (way * a + across * c) * point;
            vertices.push_back(
                {glm::vec3(at.x / view.window.width * 2 - 1, at.y / view.window.height * 2 - 1, here.depth),
                 glm::vec2(a, c)});
        };
        corner(-reach_along, -reach_across), corner(reach_along, -reach_across), corner(reach_along, reach_across);
        corner(-reach_along, -reach_across), corner(reach_along, reach_across), corner(-reach_along, reach_across);
    }
    return vertices;
}

Air::Air() : array_(gl::make_vertex_array()), buffer_(gl::make_buffer()) {
    glBindVertexArray(array_.name());
    glBindBuffer(GL_ARRAY_BUFFER, buffer_.name());
    glEnableVertexAttribArray(0);
    glVertexAttribPointer(0, 3, GL_FLOAT, GL_FALSE, sizeof(AirVertex), nullptr);
    glEnableVertexAttribArray(1);
    glVertexAttribPointer(1, 2, GL_FLOAT, GL_FALSE, sizeof(AirVertex),
                          reinterpret_cast<const void*>(offsetof(AirVertex, within)));
    glBindVertexArray(0);
}

void Air::draw(const model::AirPath& path, const AirView& view, const glm::vec4& depth_map, bool dark) {
    const auto vertices = place_arrows(path, view);
    if (vertices.empty()) return;
    if (!program_) program_ = gl::Program("air", shader_text::air_vert, shader_text::air_frag);
    glBindVertexArray(array_.name());
    glBindBuffer(GL_ARRAY_BUFFER, buffer_.name());
    glBufferData(GL_ARRAY_BUFFER, static_cast<GLsizeiptr>(vertices.size() * sizeof(AirVertex)), vertices.data(),
                 GL_STREAM_DRAW);
    program_.use();
    program_.set("body", glm::vec4(half_length, half_shaft, half_head, head_length));
    program_.set("fill", dark ? glm::vec4(0.925f, 0.918f, 0.894f, 0.4f) : glm::vec4(0.114f, 0.133f, 0.157f, 0.4f));
    program_.set("edge", dark ? glm::vec4(0.09f, 0.1f, 0.12f, outline) : glm::vec4(0.98f, 0.97f, 0.95f, outline));
    program_.set("depth_map", depth_map);
    glDisable(GL_DEPTH_TEST);
    glDisable(GL_CULL_FACE);
    glEnable(GL_BLEND);
    glBlendFunc(GL_SRC_ALPHA, GL_ONE_MINUS_SRC_ALPHA);
    glDrawArrays(GL_TRIANGLES, 0, static_cast<GLsizei>(vertices.size()));
    glDisable(GL_BLEND);
}

} // namespace ringland::viewer
