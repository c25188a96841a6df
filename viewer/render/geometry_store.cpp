#include "geometry_store.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <future>
#include <stdexcept>

#include <glm/common.hpp>
#include <glm/geometric.hpp>

namespace ringland::viewer {

namespace {

const void* offset(std::size_t bytes) { return reinterpret_cast<const void*>(bytes); }

/// Where the line shader reads from in the bound buffer, beginning with one of its lines.
void point_to_lines(std::size_t first) {
    const std::size_t start = first * sizeof(LineInstance);
    glVertexAttribPointer(0, 3, GL_FLOAT, GL_FALSE, sizeof(LineInstance), offset(start + offsetof(LineInstance, from)));
    glVertexAttribPointer(1, 3, GL_FLOAT, GL_FALSE, sizeof(LineInstance), offset(start + offsetof(LineInstance, to)));
    glVertexAttribIPointer(2, 2, GL_UNSIGNED_SHORT, sizeof(LineInstance),
                           offset(start + offsetof(LineInstance, shape)));
}

constexpr int table_columns = 256, style_texels = sizeof(ShapeStyle) / (4 * sizeof(float));

} // namespace

GeometryStore::GeometryStore(const std::vector<model::Shape>& shapes, const std::vector<SolidVertex>& vertices,
                             bool on_processor)
    : ranks_(ranks_by_size(shapes)), on_processor_(on_processor) {
    if (shapes.size() > 32000) throw std::runtime_error("the unit has more shapes than the drawing can hold");
    auto edges = std::async(std::launch::async, [&shapes] { return Edges(shapes); });
    std::vector<std::uint32_t> indices;
    std::size_t corners = 0;
    for (const auto& shape : shapes)
        corners += shape.mesh.triangles.size();
    indices.reserve(corners);
    std::uint32_t base = 0;
    for (const auto& shape : shapes) {
        const auto& mesh = shape.mesh;
        Entry entry;
        entry.first_index = indices.size();
        entry.count = static_cast<GLsizei>(mesh.triangles.size() / 3 * 3);
        entry.whole = shape.section == model::SectionRule::whole;
        poses_.push_back({0, false, shape.glass});
        for (GLsizei i = 0; i < entry.count; ++i)
            indices.push_back(base + mesh.triangles[static_cast<std::size_t>(i)]);
        base += static_cast<std::uint32_t>(mesh.positions.size());
        entries_.push_back(entry);
        subjects_.push_back(shape.subject);
    }

    vertices_ = gl::make_buffer();
    indices_ = gl::make_buffer();
    glBindBuffer(GL_ARRAY_BUFFER, vertices_.name());
    glBufferData(GL_ARRAY_BUFFER, static_cast<GLsizeiptr>(vertices.size() * sizeof(SolidVertex)), vertices.data(),
                 GL_STATIC_DRAW);
    solid_array_ = solid_array(indices_);
    glBufferData(GL_ELEMENT_ARRAY_BUFFER, static_cast<GLsizeiptr>(indices.size() * sizeof(std::uint32_t)),
                 indices.data(), GL_STATIC_DRAW);
    index_count_ = indices.size();

    line_array_ = gl::make_vertex_array();
    line_buffer_ = gl::make_buffer();
    glBindVertexArray(line_array_.name());
    glBindBuffer(GL_ARRAY_BUFFER, line_buffer_.name());
    for (GLuint i = 0; i < 3; ++i)
        glEnableVertexAttribArray(i);
    point_to_lines(0);
    if (!on_processor_) {
        for (GLuint i = 0; i < 3; ++i)
            glVertexAttribDivisor(i, 1);
    } else {
        line_corners_ = gl::make_buffer();
        glBindBuffer(GL_ELEMENT_ARRAY_BUFFER, line_corners_.name());
    }
    glBindVertexArray(0);

    style_rows_ = std::max(1, static_cast<int>((shapes.size() + table_columns - 1) / table_columns));
    styles_ = gl::make_texture(GL_RGBA32F, table_columns * style_texels, style_rows_, GL_RGBA, GL_FLOAT, GL_NEAREST);
    edges_ = edges.get();
    boxes_ = edges_.boxes();
}

gl::VertexArray GeometryStore::solid_array(const gl::Buffer& indices) const {
    auto array = gl::make_vertex_array();
    glBindVertexArray(array.name());
    glBindBuffer(GL_ARRAY_BUFFER, vertices_.name());
    glBindBuffer(GL_ELEMENT_ARRAY_BUFFER, indices.name());
    glEnableVertexAttribArray(0);
    glVertexAttribPointer(0, 3, GL_FLOAT, GL_FALSE, sizeof(SolidVertex), offset(offsetof(SolidVertex, position)));
    glEnableVertexAttribArray(1);
    glVertexAttribPointer(1, 3, GL_SHORT, GL_TRUE, sizeof(SolidVertex), offset(offsetof(SolidVertex, normal)));
    glEnableVertexAttribArray(2);
    glVertexAttribIPointer(2, 1, GL_UNSIGNED_SHORT, sizeof(SolidVertex), offset(offsetof(SolidVertex, shape)));
    return array;
}

GeometryStore::LinesInSight GeometryStore::lines_in_sight(const Sight& sight, const std::vector<Pose>& poses) {
    lines_before_glass_ = edges_.collect(lines_, sight.eye, sight.side, sight.clip_from_unit, poses);
    return {lines_, lines_before_glass_};
}

bool GeometryStore::set_styles(const std::vector<ShapeStyle>& styles) {
    bool moved = false;
    asked_.clear();
    for (std::size_t s = 0; s < poses_.size() && s < styles.size(); ++s) {
        const Pose pose{styles[s].along, styles[s].hidden > 0, styles[s].kind > 1.5f};
        if (styles[s].through > 0 && !pose.hidden) asked_.emplace_back(s, styles[s].through);
        if (pose == poses_[s]) continue;
        moved = true;
        poses_[s] = pose;
        boxes_[s] = edges_.boxes()[s].moved(pose.along);
    }
    auto padded = styles;
    padded.resize(static_cast<std::size_t>(style_rows_) * table_columns);
    gl::bind(gl::Unit::styles, styles_);
    glTexSubImage2D(GL_TEXTURE_2D, 0, 0, 0, table_columns * style_texels, style_rows_, GL_RGBA, GL_FLOAT,
                    padded.data());
    return moved;
}

void GeometryStore::set_lines(const Sight& sight) {
    lines_before_glass_ = edges_.collect(lines_, sight.eye, sight.side, sight.clip_from_unit, poses_);
    glBindBuffer(GL_ARRAY_BUFFER, line_buffer_.name());
    const auto bytes = static_cast<GLsizeiptr>(lines_.size() * sizeof(LineInstance));
    if (!on_processor_) {
        glBufferData(GL_ARRAY_BUFFER, bytes, lines_.data(), GL_STREAM_DRAW);
        return;
    }
    if (!lines_.empty()) {
        // Written where the driver keeps it: a copy would be the largest list of all.
        glBufferData(GL_ARRAY_BUFFER, 4 * bytes, nullptr, GL_STREAM_DRAW);
        auto* to = static_cast<LineInstance*>(
            glMapBufferRange(GL_ARRAY_BUFFER, 0, 4 * bytes, GL_MAP_WRITE_BIT | GL_MAP_INVALIDATE_BUFFER_BIT));
        if (to == nullptr) throw std::runtime_error("OpenGL gives no memory for the lines of the drawing");
        for (const auto& line : lines_)
            to = std::fill_n(to, 4, line);
        glUnmapBuffer(GL_ARRAY_BUFFER);
    }
    if (lines_.size() <= corners_made_) return;
    corners_made_ = lines_.size() * 5 / 4;
    glBindVertexArray(line_array_.name());
    gl::fill_quad_indices(corners_made_);
}

void GeometryStore::draw(Group group, const Sight& sight, bool glass_is_solid, const Share& share) const {
    glBindVertexArray(solid_array_.name());
    std::size_t run_first = 0;
    GLsizei run_count = 0;
    const auto flush = [&] {
        if (run_count > 0) send(run_first, run_count);
        run_count = 0;
    };
    for (std::size_t s = 0; s < entries_.size(); ++s) {
        const auto& entry = entries_[s];
        // By triangles: some shapes have most of them.
        if (share.parts > 1 &&
            (entry.first_index < share.first(index_count_) || entry.first_index >= share.end(index_count_)))
            continue;
        const auto& box = boxes_[s];
        if (poses_[s].hidden) continue;
        const bool glass = poses_[s].glass && !glass_is_solid;
        const bool wanted = group == Group::glass   ? glass
                            : glass                 ? false
                            : group == Group::whole ? entry.whole
                                                    : !entry.whole;
        if (!wanted || box.empty() || !in_view(box, sight.clip_from_unit)) continue;
        if (sight.side != 0 && !entry.whole && (sight.side > 0 ? box.low.y : -box.high.y) > 0) continue;
        if (group == Group::capped && !(box.low.y < 0 && box.high.y > 0)) continue;
        if (run_count > 0 && run_first + static_cast<std::size_t>(run_count) == entry.first_index) {
            run_count += entry.count; // neighbours in the buffer go in one call
            continue;
        }
        flush();
        run_first = entry.first_index;
        run_count = entry.count;
    }
    flush();
}

void GeometryStore::draw_shape(std::size_t shape) const {
    glBindVertexArray(solid_array_.name());
    send(entries_[shape].first_index, entries_[shape].count);
}

void GeometryStore::send(std::size_t first_index, GLsizei count) const {
    gl::draw_triangles(first_index, static_cast<std::size_t>(count), on_processor_);
    counts_.triangles += static_cast<unsigned long>(count) / 3;
    ++counts_.draws;
}

void GeometryStore::draw_lines(const Share& share) const {
    send_lines(share.first(lines_.size()), share.end(lines_.size()));
}

void GeometryStore::draw_glass_lines() const { send_lines(lines_before_glass_, lines_.size()); }

void GeometryStore::send_lines(std::size_t first, std::size_t end) const {
    const std::size_t count = end - first;
    if (count == 0) return;
    glBindVertexArray(line_array_.name());
    if (!on_processor_) {
        // No first instance before OpenGL 4.2: the buffer is entered later instead.
        glBindBuffer(GL_ARRAY_BUFFER, line_buffer_.name());
        point_to_lines(first);
        glDrawArraysInstanced(GL_TRIANGLE_STRIP, 0, 4, static_cast<GLsizei>(count));
    } else {
        gl::draw_triangles(6 * first, 6 * count, true);
    }
    counts_.lines += count;
    ++counts_.draws;
}

std::vector<std::size_t> GeometryStore::glass_far_to_near(const Sight& sight) const {
    std::vector<std::pair<float, std::size_t>> found;
    for (std::size_t s = 0; s < entries_.size(); ++s) {
        const auto& box = boxes_[s];
        if (!poses_[s].glass || poses_[s].hidden || box.empty() || !in_view(box, sight.clip_from_unit)) continue;
        found.emplace_back(glm::distance(sight.eye, (box.low + box.high) * 0.5f), s);
    }
    std::stable_sort(found.begin(), found.end(), [](const auto& a, const auto& b) { return a.first > b.first; });
    std::vector<std::size_t> order;
    for (const auto& each : found)
        order.push_back(each.second);
    return order;
}

Edges::Box GeometryStore::bounds() const {
    Edges::Box all{glm::vec3(1e9f), glm::vec3(-1e9f)};
    for (std::size_t s = 0; s < boxes_.size(); ++s) {
        const auto& box = boxes_[s];
        if (box.empty() || poses_[s].hidden) continue;
        all.low = glm::min(all.low, box.low);
        all.high = glm::max(all.high, box.high);
    }
    return all.empty() ? Edges::Box{} : all;
}

} // namespace ringland::viewer
