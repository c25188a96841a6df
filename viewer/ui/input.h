// What a hand does, as plain values: the window's callbacks and the tests feed the interface the same way.
#pragma once

#include <variant>

namespace ringland::viewer {

enum class Key {
    tab,
    left,
    right,
    up,
    down,
    page_up,
    page_down,
    home,
    end,
    backspace,
    del,
    enter,
    escape,
    space,
    letter,
    digit,
    plus,
    minus,
    slash,
    f1,
    f2,
    f3,
    f4,
    f5,
    f6,
    f7,
    f8
};

namespace input {
struct MouseMove {
    double x, y;
}; ///< pixels from the top left of the frame buffer
struct MouseButton {
    int button;
    bool down;
    bool shift = false;
}; ///< 0 left, 1 right, 2 middle
struct MouseWheel {
    double x, y;
};
/// `character` is the capital letter or the digit for Key::letter and Key::digit.
struct KeyPress {
    Key key;
    bool down;
    char character = 0;
    bool ctrl = false, shift = false, alt = false;
};
struct Text {
    unsigned codepoint;
};
struct FocusLost {};
} // namespace input

using InputEvent = std::variant<input::MouseMove, input::MouseButton, input::MouseWheel, input::KeyPress, input::Text,
                                input::FocusLost>;

} // namespace ringland::viewer
