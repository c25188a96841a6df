// Which labels a drawing has, what they say and where they point; where they stand is found in labels.h.
#pragma once

#include <optional>
#include <set>
#include <string>
#include <vector>

#include <imgui.h>

#include "../app/labels.h"
#include "overlay.h"
#include "theme.h"

namespace ringland::viewer {

struct TextLine {
    ImFont* font;
    std::string text;
    ImVec4 ink;
};

/// One label: its lines, where it points, and whether its leader is the heavy one of the suspect.
struct Label {
    LabelRequest request;
    std::vector<TextLine> lines;
    bool suspect = false;
    double chance = 0;  ///< of a seal after the readings: drawn as a bar below the lines
    bool plate = false; ///< on a plate of the panel's colour, since it stands over busy drawing
};

class LabelWriter {
public:
    LabelWriter(const OverlayFonts& fonts, const Session& session, const Derived& derived, const OverlaySpec& spec,
                const Translator& tr);

    /// All labels, those that matter most first; `obstacles` then holds what they keep off beside what stood there.
    [[nodiscard]] std::vector<Label> write(std::vector<LabelBox>& obstacles);
    /// The box that no label may touch: the crossing at the suspect.
    [[nodiscard]] std::optional<LabelBox> subject() const;

    [[nodiscard]] const Translator& translator() const { return tr_; }
    [[nodiscard]] const OverlaySpec& spec() const { return spec_; }
    [[nodiscard]] const model::UnitMap& map() const { return session_.document.map; }
    [[nodiscard]] glm::dvec3 pixel(const glm::dvec3& p) const {
        return project(p, camera_, session_.view.lying, spec_.drawing);
    }
    /// Pixel direction in which a direction of unit space points at a place.
    [[nodiscard]] glm::dvec2 seen_direction(const glm::dvec3& at, const glm::dvec3& direction) const;
    [[nodiscard]] double mm_per_pixel() const;
    [[nodiscard]] LabelBox bounds() const;
    [[nodiscard]] bool within(const glm::dvec3& p, double margin) const;
    [[nodiscard]] bool answered() const { return derived_.answer.has_value(); }
    [[nodiscard]] bool close_up() const { return session_.view.viewpoint == Viewpoint::stack; }
    [[nodiscard]] bool faded_circuit(const std::string& id) const;
    [[nodiscard]] const model::StackPlace* shown_stack() const;
    /// A point on the stack at an angle from -z towards +y; rings and shaft stand where they have moved to.
    [[nodiscard]] glm::dvec3 at_ring(const model::StackPlace& stack, const model::RingPlace& ring, double radius,
                                     double angle_deg) const;
    [[nodiscard]] glm::dvec3 at_carrier(const model::StackPlace& stack, double x, double radius,
                                        double angle_deg) const;
    [[nodiscard]] static glm::dvec2 text_size(const TextLine& line);

private:
    Label& add(const std::string& key, const glm::dvec3& anchor, std::vector<TextLine> lines, glm::dvec2 prefer,
               double least, double most);
    [[nodiscard]] glm::dvec2 block_size(const std::vector<TextLine>& lines) const;
    [[nodiscard]] std::string with_chance(const std::string& seal) const;
    void add_chance(const std::string& seal);
    [[nodiscard]] const model::SealPlace* suspect_place() const;
    [[nodiscard]] const model::PortPlace* port_place(const std::string& id) const;
    void keep_off(std::vector<LabelBox>& obstacles) const;
    void label_suspect();
    void label_asked_ports();
    void label_stack_ends();
    void label_trace();
    void label_rings();
    void label_chances();
    void label_parts();
    void label_ports();
    [[nodiscard]] std::optional<glm::dvec3> seen_end(bool entry) const;
    [[nodiscard]] std::optional<glm::dvec3> asked_anchor(const std::string& id, bool entry) const;
    [[nodiscard]] bool ports_stand_close() const;
    [[nodiscard]] double seal_shift(const std::string& seal) const {
        return apart_.shift_mm(derived_.explosion.seals, seal);
    }

    const OverlayFonts& fonts_;
    const Session& session_;
    const Derived& derived_;
    const OverlaySpec& spec_;
    const Translator& tr_;
    Colours colours_;
    Camera camera_;
    double px_;
    Apartness apart_;
    std::vector<Label> labels_;
    std::set<std::string> asked_;
};

} // namespace ringland::viewer
