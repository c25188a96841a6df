#include "invented_unit.h"

#include <algorithm>
#include <stdexcept>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "../../../model-data/map_io.h"
#include "dice.h"

namespace ringland::tests {

namespace {

class Maker {
public:
    explicit Maker(std::uint64_t number) : dice_(number * 2654435761u + 17) {
        text_ = fmt::format(
            "[unit]\nid = \"invented-{0}\"\nname = \"Invented {0}\"\ninvented = true\ncase = \"closed\"\n", number);
        part("test-plate", "test-plate", {}, 5);
        part("pump", "pump", {"test-plate"}, 18);
        const int shafts = dice_.number(1, 3);
        std::string before = "pump";
        for (int s = 1; s <= shafts; ++s)
            before = shaft(s, before);
        const int servos = dice_.number(0, 2);
        for (int s = 1; s <= servos; ++s)
            servo(s);
        lube();
        for (const auto& c : circuits_)
            text_ += fmt::format("[[circuit]]\nid = \"{}\"\nname = \"{}\"\nkind = \"{}\"\nvolume_cm3 = {:.1f}\n", c.id,
                                 c.id, c.kind, dice_.between(18, 48));
        face();
    }
    [[nodiscard]] const std::string& text() const { return text_; }

private:
    struct Circuit {
        std::string id, kind;
    };

    void part(const std::string& id, const std::string& kind, const std::vector<std::string>& after, double minutes,
              const std::vector<std::string>& renew = {}) {
        const auto list = [](const std::vector<std::string>& ids) {
            return ids.empty() ? std::string{} : fmt::format("\"{}\"", fmt::join(ids, "\", \""));
        };
        text_ += fmt::format("[[part]]\nid = \"{}\"\nkind = \"{}\"\nafter = [{}]\nminutes = {:.0f}\nrenew = [{}]\n", id,
                             kind, list(after), minutes, list(renew));
    }
    std::string seal(const std::string& stem, const std::string& kind, const std::string& relation,
                     const std::string& a, const std::string& b, const std::string& at, const std::string& more = {}) {
        const std::string id = fmt::format("{}{}", stem, ++made_);
        text_ +=
            fmt::format("[[seal]]\nid = \"{}\"\nkind = \"{}\"\nrelation = \"{}\"\nbetween = [\"{}\", \"{}\"]\nat = "
                        "\"{}\"\n{}",
                        id, kind, relation, a, b, at, more);
        return id;
    }
    static std::string faces(const std::string& circuit) { return fmt::format("faces = \"{}\"\n", circuit); }
    void by_design(const std::string& from, const std::string& to, const std::string& kind, double mm,
                   bool one_way = false) {
        text_ += fmt::format("[[by-design]]\nid = \"flow{}\"\nfrom = \"{}\"\nto = \"{}\"\nkind = \"{}\"\nhole_mm = "
                             "{:.2f}\none-way = {}\nreason = \"made up\"\n",
                             ++made_, from, to, kind, mm, one_way);
    }
    void element(const std::string& circuit, const std::string& at) {
        text_ +=
            fmt::format("[[element]]\nid = \"{0}-clutch\"\nkind = \"clutch\"\napplied-by = [\"{0}\"]\nat = \"{1}\"\n"
                        "apply-area_cm2 = {2:.0f}\nreturn-spring_psi = {3:.0f}\nstroke_mm = {4:.1f}\n",
                        circuit, at, dice_.between(45, 90), dice_.between(8, 14), dice_.between(1.6, 2.6));
    }

    /// A shaft with its stack and the drum behind it. Gives what must be off before the next shaft.
    std::string shaft(int number, const std::string& before) {
        const std::string on = fmt::format("shaft{}", number), drum = fmt::format("drum{}", number);
        std::vector<std::string> row;
        const int count = dice_.number(2, 4);
        const bool with_lube = number == 1 || dice_.chance(0.4);
        const int lube_at = dice_.number(0, count - 1);
        for (int k = 0; k < count; ++k) {
            if (with_lube && k == lube_at && !lube_) {
                lube_ = true;
                row.push_back("lube");
                circuits_.push_back({"lube", "lube"});
                continue;
            }
            row.push_back(fmt::format("c{}", circuits_.size() + 1));
            circuits_.push_back({row.back(), "apply"});
        }
        std::vector<std::string> rings;
        const bool solid = dice_.chance(0.3);
        for (int k = 0; k <= count; ++k) {
            rings.push_back(fmt::format("R{}", ++made_));
            text_ += fmt::format("[[seal]]\nid = \"{}\"\nkind = \"ring\"\nend-gap_mm = {:.2f}\nside-clearance_mm = "
                                 "{:.2f}\n",
                                 rings.back(), dice_.between(0.15, 0.3), dice_.between(0.08, 0.15));
        }
        text_ += fmt::format("[[stack]]\nid = \"stack{}\"\nrow = \"pump end | {} | drum end\"\nseals = [\"{}\"]\non = "
                             "\"{}\"\nbore = \"pump\"\ndiameter_mm = {:.0f}\njoint = \"{}\"\n",
                             number, fmt::join(row, " | "), fmt::join(rings, "\", \""), on, dice_.between(30, 62),
                             solid               ? "solid"
                             : dice_.chance(0.6) ? "scarf"
                                                 : "butt");
        part(on, "shaft", {before}, 3, rings);
        part(drum, "drum", {on}, 4);
        drum_of(row, drum);
        drillings(row, on);
        return drum;
    }

    void drum_of(const std::vector<std::string>& row, const std::string& drum) {
        std::string inner;
        std::string piston_before = drum;
        for (const auto& c : row) {
            if (c == "lube") continue;
            const std::string piston = c + "-piston";
            std::vector<std::string> lips;
            if (!inner.empty() && dice_.chance(0.4)) {
                // One piston within the other: their lip stands between the two circuits.
                lips.push_back(seal("L", "lip", "drum", inner, c, drum, faces(dice_.chance(0.5) ? inner : c)));
            } else {
                lips.push_back(seal("L", dice_.chance(0.75) ? "lip" : "d-ring", "drum", c, "sump", drum, faces(c)));
            }
            if (dice_.chance(0.6)) lips.push_back(seal("L", "lip", "drum", c, "sump", drum, faces(c)));
            part(piston, "piston", {piston_before}, dice_.between(10, 24), lips);
            if (dice_.chance(0.35)) by_design(c, "sump", "bleed", dice_.between(0.4, 0.7));
            element(c, drum);
            inner = c;
        }
        if (row.size() > 1 && row[0] != "lube" && row[1] != "lube" && dice_.chance(0.4))
            seal("O", "o-ring", "drum", row[0], row[1], drum);
    }

    void drillings(const std::vector<std::string>& row, const std::string& on) {
        if (row.size() > 2 && dice_.chance(0.5))
            seal("T", dice_.chance(0.5) ? "tube" : "wall", "shaft", row[0], row[2], on);
        if (dice_.chance(0.5)) seal("C", "plug", "shaft", row.back(), row.back() == "lube" ? "sump" : "lube", on);
        if (dice_.chance(0.4)) seal("B", "bushing", "shaft", row[0], "sump", "pump");
    }

    void servo(int number) {
        const std::string at = fmt::format("servo{}", number), apply = at + "a", release = at + "r";
        circuits_.push_back({apply, "apply"});
        circuits_.push_back({release, "release"});
        const auto look = [&] {
            return fmt::format("look-minutes = {:.0f}\nlook = \"behind the cover\"\n", dice_.between(8, 12));
        };
        std::vector<std::string> renew;
        renew.push_back(seal("S", "d-ring", "drum", apply, release, at, look()));
        renew.push_back(seal("S", "o-ring", "drum", release, "sump", at, look()));
        if (dice_.chance(0.7)) seal("S", "bushing", "drum", apply, "sump", at, look());
        part(at, "servo", {}, 8, renew);
        text_ += fmt::format("[[element]]\nid = \"{0}-band\"\nkind = \"band\"\napplied-by = [\"{1}\"]\nat = \"{0}\"\n"
                             "apply-area_cm2 = {2:.0f}\nreturn-spring_psi = 9\nstroke_mm = 4\n",
                             at, apply, dice_.between(20, 40));
    }

    void lube() {
        if (!lube_) circuits_.push_back({"lube", "lube"});
        by_design("lube", "sump", "other", dice_.between(2, 3));
        if (circuits_.size() > 3 && dice_.chance(0.4))
            by_design("lube", first_apply(), "shared-feed", dice_.between(1, 1.6), true);
    }
    [[nodiscard]] std::string first_apply() const {
        const auto found =
            std::find_if(circuits_.begin(), circuits_.end(), [](const auto& c) { return c.kind == "apply"; });
        return found == circuits_.end() ? circuits_.front().id : found->id;
    }

    /// Ports in two rows in an order of their own, and bridges of the gasket between some neighbours.
    void face() {
        std::vector<std::string> order;
        for (const auto& c : circuits_)
            order.push_back(c.id);
        for (std::size_t k = order.size(); k > 1; --k)
            std::swap(order[k - 1], order[static_cast<std::size_t>(dice_.number(0, static_cast<int>(k) - 1))]);
        const auto across = (order.size() + 1) / 2;
        for (std::size_t k = 0; k < order.size(); ++k) {
            text_ += fmt::format("[[port]]\nid = \"P{}\"\ncircuit = \"{}\"\nat_mm = [{}, {}]\n", k + 1, order[k],
                                 100 + 32 * (k % across), k < across ? -18 : 18);
        }
        for (std::size_t k = 0; k + 1 < order.size(); ++k) {
            const bool same_row = (k % across) + 1 < across;
            if (same_row && dice_.chance(0.45))
                seal("G", "gasket-bridge", "face", order[k], order[k + 1], "test-plate",
                     "look-minutes = 6\nlook = \"the print in the gasket\"\n");
            if (k + across < order.size() && dice_.chance(0.25))
                seal("G", "gasket-bridge", "face", order[k], order[k + across], "test-plate",
                     "look-minutes = 6\nlook = \"the print in the gasket\"\n");
        }
        if (order.size() > 4 && dice_.chance(0.4)) seal("W", "wall", "face", order[0], order[order.size() - 1], "pump");
    }

    Dice dice_;
    std::string text_;
    std::vector<Circuit> circuits_;
    int made_ = 0;
    bool lube_ = false;
};

} // namespace

std::string invented_unit_text(std::uint64_t number) { return Maker(number).text(); }

model::UnitMap invented_unit(std::uint64_t number) {
    const auto read = model::read_map_text(invented_unit_text(number), fmt::format("invented-{}", number));
    if (!read.map) throw std::runtime_error(read.faults.empty() ? "no map" : read.faults.front().what.english());
    return *read.map;
}

} // namespace ringland::tests
