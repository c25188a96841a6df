// Answers that are drawn: a picture, and the unit for other 3D programs.
#include <charconv>
#include <future>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "../../model-data/gltf_io.h"
#include "../../model-data/map_io.h"
#include "../../model-data/whole_file.h"
#include "../app/commands.h"
#include "animation.h"
#include "answers.h"
#include "complain.h"
#include "context.h"
#include "export_materials.h"
#include "json_text.h"
#include "picture.h"
#include "picture_text.h"
#include "places.h"
#include "script.h"
#include "section_svg.h"
#include "typed_words.h"

namespace ringland::viewer {
namespace {

Exit refuse(std::string_view command, std::string_view why) {
    complain(command, why);
    return Exit::wrong_usage;
}

/// "1920x1080"; nothing where it is no size.
std::optional<std::pair<int, int>> parse_size(std::string_view text) {
    int width = 0;
    int height = 0;
    const char* end = text.data() + text.size();
    const auto first = std::from_chars(text.data(), end, width);
    if (first.ec != std::errc{} || first.ptr == end || (*first.ptr != 'x' && *first.ptr != 'X')) return std::nullopt;
    const auto second = std::from_chars(first.ptr + 1, end, height);
    if (second.ec != std::errc{} || second.ptr != end) return std::nullopt;
    return std::pair{width, height};
}

std::string complaint_about_size(std::string_view text, const PictureSpec& spec) {
    constexpr int least = 64;
    if (spec.width < least || spec.height < least)
        return fmt::format("--size {}: a size is width x height in pixels, as 1920x1080, and at least {}x{}", text,
                           least, least);
    if (spec.width > picture_max_width || spec.height > picture_max_height)
        return fmt::format("--size {}: the largest picture is {}x{}", text, picture_max_width, picture_max_height);
    return {};
}

/// The port that a place of --from or --to means; error text where it means none.
std::string port_for(const model::UnitMap& map, const std::string& typed, std::string& why) {
    const Place place = find_place(map, typed);
    why = place.why;
    if (why.empty() && place.port.empty())
        why =
            fmt::format("no port leads into {}, so no air can be shown there", model::circuit_name(map, place.circuit));
    return place.port;
}

/// The commands that a hand at the window would give for the same picture.
std::vector<Command> commands_for(const PictureOptions& options, const model::UnitMap& map, std::string& why) {
    std::vector<Command> commands;
    if (!options.language.empty()) commands.emplace_back(command::SetLanguage{options.language});
    if (options.theme == "dark" && !options.for_print) commands.emplace_back(command::SetTheme{Theme::dark});
    if (!options.lying.empty()) {
        if (const auto lying = model::from_word<model::Lying>(options.lying))
            commands.emplace_back(command::SetLying{*lying});
    }
    if (!options.from.empty()) commands.emplace_back(command::AirInto{port_for(map, options.from, why)});
    if (!options.to.empty() && why.empty()) commands.emplace_back(command::CameOut{port_for(map, options.to, why)});
    const std::vector<std::string> words = view_words();
    for (std::size_t i = 0; i < words.size(); ++i) {
        if (words[i] == options.view) commands.emplace_back(command::ShowView{static_cast<Viewpoint>(i)});
    }
    if (options.section) commands.emplace_back(command::SetSection{true});
    if (options.explode > 0) commands.emplace_back(command::Explode{options.explode});
    if (options.dimensions) commands.emplace_back(command::SetDimensions{true});
    std::vector<std::string> alone;
    for (const auto& typed : options.alone) {
        const Place place = find_place(map, typed);
        if (why.empty()) why = place.why;
        alone.push_back(place.circuit);
    }
    if (!alone.empty()) commands.emplace_back(command::Isolate{std::move(alone)});
    if (!options.script.empty() && why.empty()) {
        const auto more = read_script(options.script, why);
        commands.insert(commands.end(), more.begin(), more.end());
    }
    return commands;
}

Exit no_file(std::string_view command, std::string_view error) {
    complain(command, error);
    return Exit::input_fault;
}

/// What is to be written, by the ending of the file's name.
enum class PictureKind { still, section, film, sequence };

PictureKind kind_of(const PictureOptions& options) {
    if (has_ending(options.file, ".svg")) return PictureKind::section;
    if (has_ending(options.file, ".webp")) return PictureKind::film;
    return numbered_name(options.file) ? PictureKind::sequence : PictureKind::still;
}

PictureSpec spec_of(const PictureOptions& options) {
    PictureSpec spec;
    spec.with_interface = options.with_window;
    spec.title = !options.no_title;
    spec.labels = !options.no_labels;
    spec.legend = !options.no_legend;
    spec.quick = options.quick;
    const std::vector<std::string> words = ground_words();
    for (std::size_t i = 0; i < words.size(); ++i) {
        if (words[i] == options.ground) spec.ground = static_cast<PictureGround>(i);
    }
    if (options.for_print) {
        spec.ground = PictureGround::white;
        spec.line_weight = print_line_weight;
    }
    return spec;
}

std::string complaint_about_kind(const PictureOptions& options, PictureKind kind, const PictureSpec& spec) {
    const bool film = kind == PictureKind::film || kind == PictureKind::sequence;
    if (film && (spec.width > film_max_width || spec.height > film_max_height))
        return fmt::format("--size {}: the largest film is {}x{}", options.size, film_max_width, film_max_height);
    if (kind == PictureKind::section && !options.view.empty() && options.view != "stack")
        return fmt::format("--view {}: a vector drawing is made of the stack's section alone, so --view stack",
                           options.view);
    if (kind == PictureKind::section && options.with_window)
        return "--with-window: a vector drawing is made of the stack's section alone";
    return {};
}

/// What was written, in words or for programs.
Exit tell_picture(const PictureOptions& options, const PictureSpec& spec, int frames) {
    if (options.json) {
        nlohmann::ordered_json json{{"file", options.file}, {"width", spec.width}, {"height", spec.height}};
        if (frames > 0) json["frames"] = frames;
        fmt::print("{}\n", json_text(json));
    } else if (frames > 0) {
        fmt::print("{}: {}x{}, {} frames\n", options.file, spec.width, spec.height, frames);
    } else {
        fmt::print("{}: {}x{}\n", options.file, spec.width, spec.height);
    }
    return Exit::answered;
}

Exit write_section(const PictureOptions& options, const PictureSpec& spec, const Workbench& bench) {
    const auto plan = plan_section(bench.session(), bench.derived(), spec, bench.translator());
    if (!plan) return refuse("picture", "this unit has no stack of rings, so there is no section to draw");
    const std::string svg = section_svg(*plan, spec, bench.session().view.theme);
    const std::string error = model::write_whole_file(options.file, svg.data(), svg.size());
    if (!error.empty()) return no_file("picture", error);
    return tell_picture(options, spec, 0);
}

Exit write_film(const PictureOptions& options, const PictureSpec& spec, Workbench& bench) {
    const AirPace pace = air_pace(shown_lpm(bench.session(), bench.derived()));
    if (!bench.derived().air || pace.spacing_points <= 0)
        return refuse("picture", "no air moves here, so there is no film: --from and --to say where it goes");
    const FilmPlan plan =
        plan_film({options.seconds, options.frames_per_second}, pace.speed_points_per_s, pace.spacing_points);
    const auto texts = picture_texts(bench.session(), bench.derived(), bench.translator());
    const OffscreenContext context;
    PicturePainter painter(bench, spec);
    const auto paint = [&painter](double travel) { return painter.paint(travel); };
    const auto numbered = numbered_name(options.file);
    const std::string error =
        numbered ? write_sequence(*numbered, plan, paint, texts) : write_webp(options.file, plan, paint, texts);
    if (!error.empty()) return no_file("picture", error);
    return tell_picture(options, spec, static_cast<int>(plan.travel_points.size()));
}

} // namespace

Exit run_picture(const PictureOptions& options) {
    PictureSpec spec = spec_of(options);
    const PictureKind kind = kind_of(options);
    const auto size = parse_size(options.size);
    spec.width = size ? size->first : 0;
    spec.height = size ? size->second : 0;
    std::string why = complaint_about_size(options.size, spec);
    if (why.empty()) why = complaint_about_kind(options, kind, spec);
    if (!why.empty()) return refuse("picture", why);

    std::future<void> driver;
    if (kind != PictureKind::section) driver = load_driver_early();
    Workbench bench;
    bench.set_aspect(static_cast<double>(spec.width) / spec.height);
    const bool opened = bench.open(options.map, why);
    complain(bench.faults());
    if (!opened) return bench.faults().empty() ? no_file("picture", why) : Exit::input_fault;
    complain(bench.derived().shape_faults);
    why.clear();
    const auto commands = commands_for(options, bench.session().document.map, why);
    if (!why.empty()) return refuse("picture", why);
    for (const auto& command : commands) {
        why = bench.dispatch(command, 0);
        if (!why.empty()) return refuse("picture", why);
    }
    if (driver.valid()) driver.get();
    if (kind == PictureKind::film || kind == PictureKind::sequence) return write_film(options, spec, bench);
    if (kind == PictureKind::section) return write_section(options, spec, bench);
    const Image image = make_picture(bench, spec);
    const std::string error =
        write_png(options.file, image, picture_texts(bench.session(), bench.derived(), bench.translator()));
    if (!error.empty()) return no_file("picture", error);
    return tell_picture(options, spec, 0);
}

Exit run_export(const ExportOptions& options) {
    Workbench bench;
    std::string why;
    const bool opened = bench.open(options.map, why);
    complain(bench.faults());
    if (!opened) return bench.faults().empty() ? no_file("export", why) : Exit::input_fault;
    complain(bench.derived().shape_faults);
    const auto& map = bench.session().document.map;
    const auto& shapes = bench.derived().shapes;
    const auto material_of = [&map](const model::Shape& shape) { return export_material(map, shape); };
    const std::string error = model::write_glb(options.file, map, shapes, material_of);
    if (!error.empty()) return no_file("export", error);
    std::size_t triangles = 0;
    for (const auto& shape : shapes)
        triangles += shape.mesh.triangles.size() / 3;
    if (options.json) {
        const nlohmann::ordered_json json{{"file", options.file}, {"nodes", shapes.size()}, {"triangles", triangles}};
        fmt::print("{}\n", json_text(json));
    } else {
        fmt::print("{}: {} shapes, {} triangles\n", options.file, shapes.size(), triangles);
    }
    return Exit::answered;
}

} // namespace ringland::viewer
