#include "window.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <memory>
#include <optional>
#include <system_error>
#include <vector>

#define GLFW_INCLUDE_NONE
#include <GLFW/glfw3.h>
#include <fmt/format.h>

#include "../../model-data/air_bench.h"
#include "../../model-data/whole_file.h"
#include "../app/commands.h"
#include "../app/outlook.h"
#include "../app/tour.h"
#include "../render/renderer.h"
#include "../ui/interface.h"
#include "app_loop.h"
#include "complain.h"
#include "context.h"
#include "glfw_library.h"
#include "job_keeper.h"
#include "page_maker.h"
#include "script.h"
#include "user_bench.h"
#include "user_state.h"
#include "window_keys.h"

namespace ringland::viewer {
namespace {

/// What the callbacks of one round brought.
struct Inbox {
    std::vector<InputEvent> events;
    std::vector<std::string> dropped;
    bool uncovered = false;
};

Inbox& inbox(GLFWwindow* window) { return *static_cast<Inbox*>(glfwGetWindowUserPointer(window)); }

/// Places come in the window's own points; the interface counts pixels of the frame buffer.
void on_move(GLFWwindow* window, double x, double y) {
    int window_width = 1;
    int window_height = 1;
    int width = 1;
    int height = 1;
    glfwGetWindowSize(window, &window_width, &window_height);
    glfwGetFramebufferSize(window, &width, &height);
    inbox(window).events.emplace_back(
        input::MouseMove{x * width / std::max(1, window_width), y * height / std::max(1, window_height)});
}

void connect(GLFWwindow* window, Inbox& box) {
    glfwSetWindowUserPointer(window, &box);
    glfwSetCursorPosCallback(window, on_move);
    glfwSetMouseButtonCallback(window, [](GLFWwindow* w, int button, int action, int modifiers) {
        if (button <= GLFW_MOUSE_BUTTON_MIDDLE)
            inbox(w).events.emplace_back(
                input::MouseButton{button, action == GLFW_PRESS, (modifiers & GLFW_MOD_SHIFT) != 0});
    });
    glfwSetScrollCallback(window, [](GLFWwindow* w, double x, double y) {
        inbox(w).events.emplace_back(input::MouseWheel{x, y});
    });
    glfwSetKeyCallback(window, [](GLFWwindow* w, int key, int scancode, int action, int modifiers) {
        if (const auto press = key_press(key, scancode, action, modifiers)) inbox(w).events.emplace_back(*press);
    });
    glfwSetCharCallback(
        window, [](GLFWwindow* w, unsigned codepoint) { inbox(w).events.emplace_back(input::Text{codepoint}); });
    glfwSetWindowFocusCallback(window, [](GLFWwindow* w, int focused) {
        if (focused == GLFW_FALSE) inbox(w).events.emplace_back(input::FocusLost{});
    });
    glfwSetWindowRefreshCallback(window, [](GLFWwindow* w) { inbox(w).uncovered = true; });
    glfwSetFramebufferSizeCallback(window, [](GLFWwindow* w, int, int) { inbox(w).uncovered = true; });
    glfwSetDropCallback(window, [](GLFWwindow* w, int count, const char** paths) {
        inbox(w).dropped.insert(inbox(w).dropped.end(), paths, paths + count);
    });
}

double content_scale(GLFWwindow* window) {
    float x = 1;
    float y = 1;
    glfwGetWindowContentScale(window, &x, &y);
    return std::clamp(static_cast<double>(std::max(x, y)), 1.0, 4.0);
}

struct WindowCloser {
    void operator()(GLFWwindow* window) const { glfwDestroyWindow(window); }
};
using OwnedWindow = std::unique_ptr<GLFWwindow, WindowCloser>;

/// 1600x900 points, or what the monitor has room for; nullptr where there is no OpenGL 3.3.
OwnedWindow make_window(const OpenOptions& options) {
    int width = options.width > 0 ? options.width : 1600;
    int height = options.height > 0 ? options.height : 900;
    const bool asked = options.width > 0 || options.height > 0;
    int left = 0;
    int top = 0;
    int room_width = 0;
    int room_height = 0;
    if (GLFWmonitor* monitor = glfwGetPrimaryMonitor(); monitor != nullptr && !asked) {
        glfwGetMonitorWorkarea(monitor, &left, &top, &room_width, &room_height);
        // The frame of the window wants room as well.
        if (room_width > 0 && width > room_width - 16) width = room_width - 16;
        if (room_height > 0 && height > room_height - 48) height = room_height - 48;
    }
    OwnedWindow window(make_glfw_window(std::max(width, 320), std::max(height, 240), "Ringland", true));
    if (window) glfwSetWindowSizeLimits(window.get(), 640, 480, GLFW_DONT_CARE, GLFW_DONT_CARE);
    return window;
}

class FrameLog {
public:
    explicit FrameLog(const std::string& file) {
        if (!file.empty()) file_.reset(std::fopen(file.c_str(), "w"));
        if (file_) fmt::print(file_.get(), "frame,at_s,took_ms,drawings\n");
    }
    void write(const AppLoop& loop, double at_s, double took_s) {
        if (!file_) return;
        fmt::print(file_.get(), "{},{:.3f},{:.2f},{}\n", loop.frames_drawn(), at_s, took_s * 1e3,
                   loop.drawings_drawn());
        std::fflush(file_.get());
    }

private:
    struct Closer {
        void operator()(std::FILE* file) const { std::fclose(file); }
    };
    std::unique_ptr<std::FILE, Closer> file_;
};

std::string title_of(const Workbench& bench) {
    const std::string& name = bench.session().document.map.unit.name;
    return name.empty() ? "Ringland" : "Ringland: " + name;
}

/// The interface and the loop at one scale; a window that is moved to a monitor of another scale gets new ones.
struct Stage {
    double pixels_per_point;
    Interface interface;
    AppLoop loop;
    Stage(Workbench& bench, Renderer& renderer, double scale)
        : pixels_per_point(scale), interface(scale), loop(bench, renderer, interface, scale) {}
};

void take_in(Inbox& box, AppLoop& loop, Workbench& bench, GLFWwindow* window) {
    for (const auto& event : box.events)
        loop.event(event);
    if (box.uncovered) loop.ask_frame();
    for (const auto& path : box.dropped)
        loop.drop(path, glfwGetTime());
    if (!box.dropped.empty()) {
        complain(bench.faults());
        glfwSetWindowTitle(window, title_of(bench).c_str());
    }
    box = {};
}

/// Keeps the shop's bench: read at the start, written whenever it was changed and no slider is held.
class BenchKeeper {
public:
    explicit BenchKeeper(Workbench& bench) {
        ChosenBench chosen = choose_bench("");
        complain(chosen.faults);
        if (!chosen.bench)
            trouble_ = "the file of the air bench has a fault and is left as it is: changes are not kept";
        kept_ = chosen.bench.value_or(model::AirBench{});
        // What the shop holds likely counts here as it does on the command line and on the customer's page.
        const ChosenPriors priors = choose_priors("");
        complain(priors.faults);
        bench.set_bench(kept_, priors.priors.value_or(model::Priors{}));
        const ChosenStock stock = choose_stock("");
        complain(stock.faults);
        if (stock.stock) bench.set_stock(*stock.stock);
    }
    [[nodiscard]] const std::string& trouble() const { return trouble_; }
    /// Empty, or why it could not be written; said once.
    std::string keep(const model::AirBench& now) {
        if (now == kept_) return {};
        kept_ = now;
        const auto file = bench_of_user();
        if (!trouble_.empty() || file.empty()) return {};
        std::error_code error;
        std::filesystem::create_directories(file.parent_path(), error);
        const std::string text = model::write_bench_text(now);
        const std::string why = model::write_whole_file(file, text.data(), text.size());
        if (!why.empty()) trouble_ = why;
        return why;
    }

private:
    model::AirBench kept_;
    std::string trouble_;
};

/// Keeps how this person likes the window, and whether the tour was seen. A window that is driven by a script, or that
/// leaves by itself, belongs to nobody.
class StateKeeper {
public:
    StateKeeper(Workbench& bench, const OpenOptions& options)
        : file_(options.script.empty() && options.frames == 0 ? state_of_user() : std::filesystem::path()),
          kept_(file_.empty() ? UserState{} : read_state(file_)) {
        if (file_.empty()) return;
        for (const Command& command : commands_of(kept_))
            bench.dispatch(command, 0);
    }
    /// The first start shows the tour, where there is a unit to show it on.
    [[nodiscard]] bool wants_tour(const Workbench& bench) const {
        return !file_.empty() && !kept_.tour_seen && Tour::of(bench).has_value();
    }
    /// The job that was open when the window was closed last; empty where there was none.
    [[nodiscard]] const std::string& last_job() const { return kept_.job; }
    [[nodiscard]] Sheet last_sheet() const { return kept_.sheet; }
    /// True where the window belongs to a person, whose jobs are kept.
    [[nodiscard]] bool of_a_person() const { return !file_.empty(); }
    void keep(const Session& session, bool tour_ended) {
        UserState now = state_of(session);
        now.tour_seen = kept_.tour_seen || tour_ended;
        if (file_.empty() || now == kept_) return;
        kept_ = now;
        // What cannot be kept is asked for again next time: no reason to disturb anybody.
        static_cast<void>(write_state(file_, now));
    }

private:
    std::filesystem::path file_;
    UserState kept_;
};

/// Until the window is closed. Between frames that are due the program sleeps.
void run_loop(GLFWwindow* window, Inbox& box, Workbench& bench, BenchKeeper& keeper, StateKeeper& state,
              JobKeeper* jobs, PageMaker& pages, const OpenOptions& options) {
    Renderer renderer;
    std::optional<Stage> stage;
    const auto set_stage = [&](double scale) {
        stage.emplace(bench, renderer, scale);
        stage->loop.use_keeper(jobs);
        stage->loop.use_page_maker(&pages);
        // One that cannot be read is left as it is.
        const ChosenSign sign = choose_sign();
        stage->loop.use_sign(sign.good ? sign_of_user() : std::filesystem::path(), sign.sign);
    };
    set_stage(content_scale(window));
    if (state.wants_tour(bench)) stage->interface.start_tour();
    FrameLog log(options.frame_log);
    std::string title = title_of(bench);
    unsigned long frames_before = 0;
    while (glfwWindowShouldClose(window) == GLFW_FALSE) {
        const double wait_s = stage->loop.next_frame_in_s(glfwGetTime());
        if (wait_s <= 0) {
            glfwPollEvents();
        } else if (std::isinf(wait_s)) {
            glfwWaitEvents();
        } else {
            glfwWaitEventsTimeout(wait_s);
        }
        const double scale = content_scale(window);
        if (scale != stage->pixels_per_point) {
            frames_before += stage->loop.frames_drawn();
            set_stage(scale);
        }
        take_in(box, stage->loop, bench, window);
        int width = 0;
        int height = 0;
        glfwGetFramebufferSize(window, &width, &height);
        if (width <= 0 || height <= 0) { // iconified: nothing to draw on until that changes
            if (glfwWindowShouldClose(window) == GLFW_FALSE) glfwWaitEvents();
            continue;
        }
        // What was worked out beside the window comes in here; the frame shows it.
        if (bench.work_on()) stage->loop.ask_frame();
        if (jobs != nullptr && jobs->take_news()) stage->loop.ask_frame();
        if (pages.has_news()) stage->loop.ask_frame();
        const double begin_s = glfwGetTime();
        if (!stage->loop.frame_due(begin_s)) continue;
        stage->loop.frame(0, width, height, begin_s);
        glfwSwapBuffers(window);
        if (glfwGetMouseButton(window, GLFW_MOUSE_BUTTON_LEFT) == GLFW_RELEASE) {
            const std::string why = keeper.keep(bench.session().document.bench);
            if (!why.empty()) stage->interface.show_notice(why);
        }
        state.keep(bench.session(), stage->loop.tour_ended());
        log.write(stage->loop, begin_s, glfwGetTime() - begin_s);
        if (title != title_of(bench)) {
            title = title_of(bench);
            glfwSetWindowTitle(window, title.c_str());
        }
        const unsigned long drawn = frames_before + stage->loop.frames_drawn();
        if (options.frames > 0 && drawn >= static_cast<unsigned long>(options.frames)) break;
    }
}

/// Without a map that was asked for, the window opens where it was: the last job, on its sheet.
void reopen(JobKeeper& jobs, Workbench& bench, const StateKeeper& state, const OpenOptions& options) {
    if (!options.map.empty() || state.last_job().empty()) return;
    jobs.open(state.last_job());
    constexpr double patience_s = 5; // of a server that is away
    if (!jobs.settle(patience_s)) return;
    const auto job = jobs.take_opened();
    if (!job) return;
    const std::string why = bench.open_job(*job, 0);
    if (!why.empty())
        fmt::print(stderr, "ringland: the last job cannot be opened: {}\n", why);
    else
        bench.dispatch(command::ShowSheet{state.last_sheet()}, 0);
}

Exit no_window(const std::string& why) {
    fmt::print(
        stderr,
        "ringland: no window: {}\nWithout a screen, these answer the same: ringland divide --help, ringland picture "
        "--help\n",
        why);
    return Exit::input_fault;
}

} // namespace

Exit run_window(const OpenOptions& options) {
    keep_memory_at_hand();
    Workbench bench;
    // An answer wakes the window, which sleeps between events.
    const auto desk = std::make_shared<WeighDesk>(true, [] { glfwPostEmptyEvent(); });
    bench.use_desk(desk);
    bench.use_outlook(std::make_shared<Outlook>(true, [] { glfwPostEmptyEvent(); }));
    bench.use_side_desks(std::make_shared<SideDesks>(true, [] { glfwPostEmptyEvent(); }));
    BenchKeeper keeper(bench);
    StateKeeper state(bench, options);
    std::string why;
    if (!options.map.empty()) {
        const bool opened = bench.open(options.map, why);
        complain(bench.faults());
        if (!opened) {
            if (bench.faults().empty()) fmt::print(stderr, "ringland: {}\n", why);
            return Exit::input_fault;
        }
    }
    std::optional<JobKeeper> jobs;
    if (state.of_a_person() || !options.records.empty()) {
        auto place = diagnosis::records::usual_place();
        if (!options.records.empty()) place.where = options.records;
        jobs.emplace(std::move(place), [] { glfwPostEmptyEvent(); });
        reopen(*jobs, bench, state, options);
    }
    std::vector<Command> commands;
    if (!options.script.empty()) commands = read_script(options.script, why);
    if (!why.empty()) {
        fmt::print(stderr, "ringland: {}\n", why);
        return Exit::wrong_usage;
    }
    const GlfwLibrary glfw;
    if (!glfw.works()) return no_window(glfw.last_error());
    const OwnedWindow window = make_window(options);
    if (!window)
        return no_window(found_by_glfw(glfw) + "; Ringland needs OpenGL 3.3 (LIBGL_ALWAYS_SOFTWARE=1 may have it)");
    glfwMakeContextCurrent(window.get());
    if (!opengl_is_enough()) return no_window("found " + opengl_description() + "; Ringland needs OpenGL 3.3");
    glfwSwapInterval(1);
    glfwSetWindowTitle(window.get(), title_of(bench).c_str());
    Inbox box;
    connect(window.get(), box);
    for (const auto& command : commands) {
        why = bench.dispatch(command, glfwGetTime());
        if (!why.empty()) fmt::print(stderr, "ringland: {}: {}\n", to_text(command), why);
    }
    if (!keeper.trouble().empty()) fmt::print(stderr, "ringland: {}\n", keeper.trouble());
    PageMaker pages(options.program, [] { glfwPostEmptyEvent(); });
    run_loop(window.get(), box, bench, keeper, state, jobs ? &*jobs : nullptr, pages, options);
    // A page that is still being made is waited for, out of sight.
    if (pages.busy()) glfwHideWindow(window.get());
    return Exit::answered;
}

} // namespace ringland::viewer
