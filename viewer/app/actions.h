// Everything a hand can do, in one table: it feeds the keys, the tooltips, the list of keys in the help, and the docs.
#pragma once

#include <optional>
#include <span>
#include <string_view>

#include "commands.h"

namespace ringland::viewer {

/// What an action does where it changes the interface itself and not the session.
enum class InterfaceAct {
    none,
    help,
    next_port,
    previous_port,
    next_control,
    previous_control,
    press,
    erase_digit,
    search,
    menu,
    tour,
    save_picture,
    save_large_picture,
    customer_page
};

/// One thing to do. `key` is written as the help shows it: "S", "Ctrl+Z", "Page up".
struct Action {
    std::string_view id;
    std::string_view title;
    std::string_view key;
    /// The command as things stand, or nothing where the action has no sense now.
    std::optional<Command> (*make)(const Workbench& bench);
    InterfaceAct act = InterfaceAct::none;
};

/// All actions in the order of the help.
[[nodiscard]] std::span<const Action> actions();
/// The action of an id; ids are known at compile time, so an unknown one is a programmer's error.
[[nodiscard]] const Action& action(std::string_view id);
/// The action of a key, or nullptr.
[[nodiscard]] const Action* action_of_key(std::string_view key);

} // namespace ringland::viewer
