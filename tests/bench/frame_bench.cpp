// How long a frame takes: a scripted turn of three views at moving quality, then the picture at rest, beside the floor
// of the same machine in the same run. The floor clears and draws the same triangles once, plainly lit.
//
//     bench_frame [MAP] [--size WxH] [--gpu] [--frames N] [--keep FOLDER] [--view VIEW] [--moving]
//
// --gpu looks for a graphics processor first and takes a floor with four samples a pixel. --moving draws moving frames
// and nothing else, for a profiler.
#include <algorithm>
#include <array>
#include <chrono>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <memory>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

#include <epoxy/gl.h>
#include <fmt/core.h>
#include <glm/mat4x4.hpp>

#include "../../viewer/app/camera.h"
#include "../../viewer/app/commands.h"
#include "../../viewer/platform/colour_target.h"
#include "../../viewer/platform/context.h"
#include "../../viewer/platform/picture.h"
#include "../../viewer/render/renderer.h"

using namespace ringland;
using namespace ringland::viewer;

namespace {

struct Options {
    std::string map = RINGLAND_SOURCE_DIR "/assets-demo/larch-five.toml";
    std::string keep; ///< folder for the pictures, empty: none
    int width = 1280, height = 720, frames = 72;
    bool gpu = false, moving_only = false;
    std::string view; ///< empty: all three
};

double now_ms() {
    return std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

/// Of all threads of the program.
double processor_ms() { return 1e3 * static_cast<double>(std::clock()) / CLOCKS_PER_SEC; }

double share_of(std::vector<double> times, double share) {
    if (times.empty()) return 0;
    std::sort(times.begin(), times.end());
    return times[static_cast<std::size_t>(share * static_cast<double>(times.size() - 1) + 0.5)];
}

std::uint64_t hash_of(const std::vector<std::uint8_t>& bytes) {
    std::uint64_t h = 14695981039346656037ull; // FNV-1a
    for (const auto byte : bytes)
        h = (h ^ byte) * 1099511628211ull;
    return h;
}

GLuint compiled(GLenum kind, const char* text) {
    const GLuint shader = glCreateShader(kind);
    glShaderSource(shader, 1, &text, nullptr);
    glCompileShader(shader);
    GLint fine = 0;
    glGetShaderiv(shader, GL_COMPILE_STATUS, &fine);
    if (fine == 0) throw std::runtime_error("the shader of the floor does not compile");
    return shader;
}

/// Clear and one plainly lit draw of all triangles. Lives as long as the context.
class Floor {
public:
    Floor(const std::vector<model::Shape>& shapes, int width, int height, int samples)
        : width_(width), height_(height) {
        std::vector<float> vertices;
        std::vector<std::uint32_t> indices;
        for (const auto& shape : shapes) {
            const auto base = static_cast<std::uint32_t>(vertices.size() / 6);
            for (std::size_t v = 0; v < shape.mesh.positions.size(); ++v) {
                const auto &p = shape.mesh.positions[v], &n = shape.mesh.normals[v];
                vertices.insert(vertices.end(), {p.x, p.y, p.z, n.x, n.y, n.z});
            }
            for (const auto index : shape.mesh.triangles)
                indices.push_back(base + index);
        }
        count_ = static_cast<GLsizei>(indices.size());
        program_ = glCreateProgram();
        glAttachShader(program_, compiled(GL_VERTEX_SHADER, R"(#version 330 core
            layout(location = 0) in vec3 position;
            layout(location = 1) in vec3 normal;
            uniform mat4 clip;
            out vec3 n;
            void main() { n = normal; gl_Position = clip * vec4(position, 1.0); })"));
        glAttachShader(program_, compiled(GL_FRAGMENT_SHADER, R"(#version 330 core
            in vec3 n;
            layout(location = 0) out vec4 colour;
            void main() { colour = vec4(vec3(0.3 + 0.6 * max(dot(normalize(n), vec3(0.36, 0.48, 0.8)), 0.0)), 1.0); })"));
        glLinkProgram(program_);
        glGenVertexArrays(1, &array_);
        std::array<GLuint, 2> buffers{};
        glGenBuffers(2, buffers.data());
        glBindVertexArray(array_);
        glBindBuffer(GL_ARRAY_BUFFER, buffers[0]);
        glBufferData(GL_ARRAY_BUFFER, static_cast<GLsizeiptr>(vertices.size() * sizeof(float)), vertices.data(),
                     GL_STATIC_DRAW);
        glBindBuffer(GL_ELEMENT_ARRAY_BUFFER, buffers[1]);
        glBufferData(GL_ELEMENT_ARRAY_BUFFER, static_cast<GLsizeiptr>(indices.size() * sizeof(std::uint32_t)),
                     indices.data(), GL_STATIC_DRAW);
        for (GLuint i = 0; i < 2; ++i) {
            glEnableVertexAttribArray(i);
            glVertexAttribPointer(i, 3, GL_FLOAT, GL_FALSE, 24, reinterpret_cast<const void*>(std::size_t{i} * 12));
        }
        glBindVertexArray(0);
        std::array<GLuint, 2> stores{};
        glGenRenderbuffers(2, stores.data());
        glGenFramebuffers(1, &framebuffer_);
        glBindFramebuffer(GL_FRAMEBUFFER, framebuffer_);
        const std::array<GLenum, 2> formats{GL_RGBA8, GL_DEPTH24_STENCIL8};
        const std::array<GLenum, 2> places{GL_COLOR_ATTACHMENT0, GL_DEPTH_STENCIL_ATTACHMENT};
        for (std::size_t i = 0; i < 2; ++i) {
            glBindRenderbuffer(GL_RENDERBUFFER, stores[i]);
            glRenderbufferStorageMultisample(GL_RENDERBUFFER, samples, formats[i], width, height);
            glFramebufferRenderbuffer(GL_FRAMEBUFFER, places[i], GL_RENDERBUFFER, stores[i]);
        }
        if (glCheckFramebufferStatus(GL_FRAMEBUFFER) != GL_FRAMEBUFFER_COMPLETE)
            throw std::runtime_error("the driver refuses the frame of the floor");
    }

    /// Milliseconds of one frame.
    [[nodiscard]] double draw(const glm::mat4& clip) const {
        glFinish();
        const double begin = now_ms();
        glBindFramebuffer(GL_FRAMEBUFFER, framebuffer_);
        glViewport(0, 0, width_, height_);
        glDisable(GL_BLEND);
        glEnable(GL_CULL_FACE);
        glCullFace(GL_BACK);
        glEnable(GL_DEPTH_TEST);
        glDepthFunc(GL_LESS);
        glDepthMask(GL_TRUE);
        glClearColor(1, 1, 1, 1);
        glClear(GL_COLOR_BUFFER_BIT | GL_DEPTH_BUFFER_BIT);
        glUseProgram(program_);
        glUniformMatrix4fv(glGetUniformLocation(program_, "clip"), 1, GL_FALSE, &clip[0][0]);
        glBindVertexArray(array_);
        glDrawElements(GL_TRIANGLES, count_, GL_UNSIGNED_INT, nullptr);
        glFinish();
        const double took = now_ms() - begin;
        glBindVertexArray(0);
        glUseProgram(0);
        return took;
    }
    [[nodiscard]] long triangles() const { return count_ / 3; }

private:
    int width_, height_;
    GLsizei count_ = 0;
    GLuint program_ = 0, array_ = 0, framebuffer_ = 0;
};

class Bench {
public:
    explicit Bench(const Options& options)
        : options_(options),
          context_(options.gpu ? OffscreenContext::Prefer::hardware : OffscreenContext::Prefer::as_pictures) {
        std::string why;
        if (!work_.open(options.map, why)) throw std::runtime_error(why);
        work_.set_aspect(static_cast<double>(options.width) / options.height);
        target_ = std::make_unique<ColourTarget>(options.width, options.height);
        floor_ = std::make_unique<Floor>(work_.derived().shapes, options.width, options.height, options.gpu ? 4 : 0);
        spec_.width = options.width;
        spec_.height = options.height;
        spec_.drawing = {0, 0, static_cast<double>(options.width), static_cast<double>(options.height)};
        spec_.pixels_per_point = std::max(1.0, std::min(options.width / 1920.0, options.height / 1080.0));
    }

    void run() {
        fmt::print("{}\n{}: {} triangles, {}x{}, floor {}\n", context_.description(), options_.map, floor_->triangles(),
                   options_.width, options_.height, options_.gpu ? "with 4 samples a pixel" : "with 1 sample a pixel");
        fmt::print(
            "{:8} {:>9} {:>6} {:>5} {:>6} {:>6} {:>7} {:>6} {:>6} {:>6} {:>11} {:>10} {:>6} {:>7} {:>7} {:>8}  {}\n",
            "view", "triangles", "lines", "draws", "shown", "first", "moving", "95 %", "floor", "ratio", "processor",
            "full after", "slices", "longest", "at once", "to floor", "hash at rest");
        for (const auto viewpoint : {Viewpoint::bench, Viewpoint::section, Viewpoint::stack}) {
            if (!options_.view.empty() && options_.view != model::word(viewpoint)) continue;
            if (options_.moving_only)
                only_move(viewpoint);
            else
                run_view(viewpoint);
        }
        if (options_.moving_only) return;
        fmt::print("triangles, lines, draws: of one moving frame; times in ms; ratio and to floor: over the floor;\n"
                   "shown: until the first picture of the view; first: the first moving frame after it was at rest\n"
                   "processor: time of all threads for a moving frame and for the floor, which other programs do not "
                   "lengthen\n");
    }

private:
    bool draw(bool still, double slice_s) {
        spec_.still = still;
        spec_.slice_s = slice_s;
        const bool done = renderer_.draw(target_->framebuffer(), work_.session(), work_.derived(), spec_);
        glFinish();
        return done;
    }

    void turn(double degrees) {
        work_.dispatch(command::Orbit{degrees, 0}, time_s_);
        time_s_ += 10;
        spec_.now_s = time_s_;
    }

    [[nodiscard]] glm::mat4 clip() const {
        const auto& view = work_.session().view;
        const Camera camera = camera_at(view.flight, spec_.now_s);
        return glm::mat4(projection_matrix(camera, spec_.drawing.width / spec_.drawing.height) * view_matrix(camera) *
                         lying_matrix(view.lying));
    }

    void only_move(Viewpoint viewpoint) {
        work_.dispatch(command::ShowView{viewpoint}, time_s_);
        time_s_ += 10;
        const double begin = processor_ms();
        for (int i = 0; i < options_.frames; ++i) {
            turn(i < options_.frames / 2 ? 2 : -2);
            draw(false, 0);
        }
        fmt::print("{:8} processor {:.1f} ms a frame\n", model::word(viewpoint),
                   (processor_ms() - begin) / options_.frames);
    }

    void run_view(Viewpoint viewpoint) {
        work_.dispatch(command::ShowView{viewpoint}, time_s_);
        time_s_ += 10; // long after the flight
        turn(0);
        // As a window does: a hasty frame of the new view, then the full one in slices, then somebody turns it. Shaders
        // and uploads of these say nothing of the frames that follow.
        const double opened = now_ms();
        bool rested = draw(true, 0.02);
        const double shown = now_ms() - opened;
        while (!rested)
            rested = draw(true, 0.02);
        turn(1);
        const double turned = now_ms();
        draw(false, 0);
        const double first = now_ms() - turned;
        turn(-1);
        for (int i = 0; i < 6; ++i) {
            turn(i < 3 ? 1 : -1);
            draw(false, 0);
        }
        std::vector<double> moving, floor, processor, floor_processor;
        Renderer::Figures figures;
        // Out and back, as a hand turns it, so that the picture at rest is that of the named view.
        for (int i = 0; i < options_.frames; ++i) {
            turn(i < options_.frames / 2 ? 2 : -2);
            const double begin = now_ms(), begin_processor = processor_ms();
            draw(false, 0);
            moving.push_back(now_ms() - begin);
            processor.push_back(processor_ms() - begin_processor);
            if (i == 0) figures = renderer_.figures();
            if (i % 3 != 0) continue;
            const double floor_begin = processor_ms();
            floor.push_back(floor_->draw(clip()));
            floor_processor.push_back(processor_ms() - floor_begin);
        }
        if (!options_.keep.empty()) save(viewpoint, "moving");
        const double begin = now_ms();
        double longest = 0;
        int slices = 0;
        for (bool done = false; !done; ++slices) {
            const double slice = now_ms();
            done = draw(true, 0.02);
            longest = std::max(longest, now_ms() - slice);
        }
        const double full = now_ms() - begin;
        const auto sliced = pixels();
        if (!options_.keep.empty()) save(viewpoint, "rest");
        std::vector<double> at_once;
        for (int i = 0; i < 5; ++i) {
            turn(i % 2 == 0 ? 1 : -1); // away and back; the last one is away
            const double start = now_ms();
            draw(true, 0);
            at_once.push_back(now_ms() - start);
        }
        turn(-1);
        draw(true, 0);
        const double median = share_of(moving, 0.5), plain = share_of(floor, 0.5), whole = share_of(at_once, 0.5);
        fmt::print("{:8} {:>9} {:>6} {:>5} {:>6.1f} {:>6.1f} {:>7.1f} {:>6.1f} {:>6.1f} {:>6.2f} {:>11} {:>10.0f} "
                   "{:>6} {:>7.1f} {:>7.1f} "
                   "{:>8.2f}  {:016x}{}\n",
                   model::word(viewpoint), figures.triangles, figures.lines, figures.draws, shown, first, median,
                   share_of(moving, 0.95), plain, median / plain,
                   fmt::format("{:.0f} to {:.0f}", share_of(processor, 0.5), share_of(floor_processor, 0.5)), full,
                   slices, longest, whole, whole / plain, hash_of(sliced),
                   pixels() == sliced ? "" : "  BUT ANOTHER PICTURE AT ONCE");
        std::fflush(stdout);
    }

    [[nodiscard]] std::vector<std::uint8_t> pixels() const {
        std::vector<std::uint8_t> rgba(static_cast<std::size_t>(options_.width) *
                                       static_cast<std::size_t>(options_.height) * 4);
        target_->read(options_.width, options_.height, rgba.data());
        return rgba;
    }

    void save(Viewpoint viewpoint, std::string_view what) const {
        Image image{options_.width, options_.height, {}};
        const auto rows = pixels();
        const auto stride = static_cast<std::ptrdiff_t>(options_.width) * 4;
        for (std::ptrdiff_t y = options_.height - 1; y >= 0; --y)
            image.rgba.insert(image.rgba.end(), rows.begin() + y * stride, rows.begin() + (y + 1) * stride);
        const auto why = write_png(fmt::format("{}/{}-{}.png", options_.keep, model::word(viewpoint), what), image);
        if (!why.empty()) fmt::print(stderr, "{}\n", why);
    }

    Options options_;
    OffscreenContext context_;
    Workbench work_;
    Renderer renderer_;
    std::unique_ptr<ColourTarget> target_;
    std::unique_ptr<Floor> floor_;
    FrameSpec spec_;
    double time_s_ = 10;
};

/// Empty, or what is wrong with the arguments.
std::string read_options(int count, char** words, Options& options) {
    for (int i = 1; i < count; ++i) {
        const std::string_view word = words[i];
        const bool more = i + 1 < count;
        if (word == "--gpu") {
            options.gpu = true;
        } else if (word == "--size" && more) {
            if (std::sscanf(words[++i], "%dx%d", &options.width, &options.height) != 2 || options.width < 16 ||
                options.height < 16)
                return "--size wants WIDTHxHEIGHT";
        } else if (word == "--moving") {
            options.moving_only = true;
        } else if (word == "--view" && more) {
            options.view = words[++i];
        } else if (word == "--frames" && more) {
            options.frames = std::atoi(words[++i]);
            if (options.frames < 1) return "--frames wants a number";
        } else if (word == "--keep" && more) {
            options.keep = words[++i];
        } else if (word.substr(0, 2) == "--") {
            return fmt::format("{} is not known, or wants a value", word);
        } else {
            options.map = word;
        }
    }
    return {};
}

} // namespace

int main(int count, char** words) {
    Options options;
    if (const auto why = read_options(count, words, options); !why.empty()) {
        fmt::print(stderr, "bench_frame: {}\n", why);
        return 2;
    }
    try {
        Bench(options).run();
    } catch (const std::exception& error) {
        fmt::print(stderr, "bench_frame: {}\n", error.what());
        return 1;
    }
    return 0;
}
