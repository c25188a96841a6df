#include "window_keys.h"

#include <array>
#include <utility>

#define GLFW_INCLUDE_NONE
#include <GLFW/glfw3.h>

namespace ringland::viewer {
namespace {

constexpr std::array<std::pair<int, Key>, 29> named_keys{{{GLFW_KEY_TAB, Key::tab},
                                                          {GLFW_KEY_LEFT, Key::left},
                                                          {GLFW_KEY_RIGHT, Key::right},
                                                          {GLFW_KEY_UP, Key::up},
                                                          {GLFW_KEY_DOWN, Key::down},
                                                          {GLFW_KEY_PAGE_UP, Key::page_up},
                                                          {GLFW_KEY_PAGE_DOWN, Key::page_down},
                                                          {GLFW_KEY_HOME, Key::home},
                                                          {GLFW_KEY_END, Key::end},
                                                          {GLFW_KEY_BACKSPACE, Key::backspace},
                                                          {GLFW_KEY_DELETE, Key::del},
                                                          {GLFW_KEY_ENTER, Key::enter},
                                                          {GLFW_KEY_KP_ENTER, Key::enter},
                                                          {GLFW_KEY_ESCAPE, Key::escape},
                                                          {GLFW_KEY_SPACE, Key::space},
                                                          {GLFW_KEY_EQUAL, Key::plus},
                                                          {GLFW_KEY_KP_ADD, Key::plus},
                                                          {GLFW_KEY_MINUS, Key::minus},
                                                          {GLFW_KEY_KP_SUBTRACT, Key::minus},
                                                          {GLFW_KEY_SLASH, Key::slash},
                                                          {GLFW_KEY_KP_DIVIDE, Key::slash},
                                                          {GLFW_KEY_F1, Key::f1},
                                                          {GLFW_KEY_F2, Key::f2},
                                                          {GLFW_KEY_F3, Key::f3},
                                                          {GLFW_KEY_F4, Key::f4},
                                                          {GLFW_KEY_F5, Key::f5},
                                                          {GLFW_KEY_F6, Key::f6},
                                                          {GLFW_KEY_F7, Key::f7},
                                                          {GLFW_KEY_F8, Key::f8}}};

/// What is printed on the key: '+' may stand anywhere, and on some layouts the upper row gives digits only with shift.
std::optional<std::pair<Key, char>> printed_key(int key, int scancode) {
    if (key >= GLFW_KEY_KP_0 && key <= GLFW_KEY_KP_9)
        return std::pair{Key::digit, static_cast<char>('0' + key - GLFW_KEY_KP_0)};
    if (key >= GLFW_KEY_0 && key <= GLFW_KEY_9) return std::pair{Key::digit, static_cast<char>('0' + key - GLFW_KEY_0)};
    const char* name = glfwGetKeyName(key, scancode);
    if (name != nullptr && name[0] != '\0' && name[1] == '\0') {
        if (name[0] >= 'a' && name[0] <= 'z') return std::pair{Key::letter, static_cast<char>(name[0] - 'a' + 'A')};
        if (name[0] >= 'A' && name[0] <= 'Z') return std::pair{Key::letter, name[0]};
        if (name[0] == '+') return std::pair{Key::plus, '\0'};
        if (name[0] == '-') return std::pair{Key::minus, '\0'};
        if (name[0] == '/') return std::pair{Key::slash, '\0'};
    }
    // No name (no layout known): the key's place on the common layout.
    if (name == nullptr && key >= GLFW_KEY_A && key <= GLFW_KEY_Z)
        return std::pair{Key::letter, static_cast<char>('A' + key - GLFW_KEY_A)};
    return std::nullopt;
}

/// Keys that a person holds down on purpose; all others act once however long they are held.
bool repeats(Key key) {
    return key != Key::letter && key != Key::digit && key != Key::enter && key != Key::escape && key != Key::space &&
           key != Key::slash && key < Key::f1;
}

} // namespace

std::optional<input::KeyPress> key_press(int key, int scancode, int action, int modifiers) {
    input::KeyPress press{};
    if (const auto printed = printed_key(key, scancode)) {
        press.key = printed->first;
        press.character = printed->second;
    } else {
        bool found = false;
        for (const auto& [code, named] : named_keys) {
            if (code != key) continue;
            press.key = named;
            found = true;
        }
        if (!found) return std::nullopt;
    }
    if (action == GLFW_REPEAT && !repeats(press.key)) return std::nullopt;
    press.down = action != GLFW_RELEASE;
    press.ctrl = (modifiers & GLFW_MOD_CONTROL) != 0;
    press.shift = (modifiers & GLFW_MOD_SHIFT) != 0;
    press.alt = (modifiers & GLFW_MOD_ALT) != 0;
    return press;
}

} // namespace ringland::viewer
