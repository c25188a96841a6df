#include "parts.h"

#include <algorithm>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "../divide.h"

namespace ringland::diagnosis::plan {

namespace {

std::string lower(std::string_view text) {
    std::string result(text);
    for (char& c : result)
        c = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    return result;
}

bool contains(const std::vector<std::size_t>& list, std::size_t index) {
    return std::find(list.begin(), list.end(), index) != list.end();
}

/// Often spoilt when it is fitted: an uncut ring is stretched and sized, a lip turns over (common practice, no source).
bool spoils(const model::Seal& seal) {
    return seal.kind == model::SealKind::lip ||
           (seal.kind == model::SealKind::ring && seal.joint == model::Joint::solid);
}

class ListMaker {
public:
    ListMaker(const model::UnitMap& map, const Teardown& teardown, const model::Translator& tr)
        : map_(map), teardown_(teardown), tr_(tr) {}

    PartsList make() {
        for (const auto& renewed : teardown_.renews)
            add_seal(renewed);
        for (std::size_t i = 0; i < map_.spares.size(); ++i) {
            const auto& with = map_.spares[i].with;
            const bool off = std::any_of(teardown_.steps.begin(), teardown_.steps.end(), [&](const Step& step) {
                return std::find(with.begin(), with.end(), map_.parts[step.part].id) != with.end();
            });
            if (off) add_spare(i);
        }
        for (const Step& step : teardown_.steps)
            for (const auto& what : map_.parts[step.part].renew)
                if (model::find(map_.seals, what) == nullptr) add_words(what, step.part);
        for (auto& group : list_.kits)
            for (auto& line : group.lines)
                if (line.name.empty()) line.name = name_of(line);
        std::stable_partition(list_.kits.begin(), list_.kits.end(), [](const KitLines& k) { return !k.kit.empty(); });
        return std::move(list_);
    }

private:
    std::vector<PartLine>& lines_of(const std::string& kit) {
        const auto found =
            std::find_if(list_.kits.begin(), list_.kits.end(), [&](const KitLines& k) { return k.kit == kit; });
        if (found != list_.kits.end()) return found->lines;
        list_.kits.push_back({kit, {}, {}, {}});
        return list_.kits.back().lines;
    }
    /// The line of that number, wherever it stands, or nullptr.
    PartLine* numbered(const std::string& number) {
        if (number.empty()) return nullptr;
        for (auto& group : list_.kits)
            for (auto& line : group.lines)
                if (lower(line.part_number) == lower(number)) return &line;
        return nullptr;
    }
    void add_seal(const RenewedSeal& renewed) {
        const auto& seal = map_.seals[renewed.seal];
        PartLine* line = numbered(seal.part_number);
        if (line == nullptr) {
            auto& lines = lines_of(seal.kit);
            lines.push_back({});
            line = &lines.back();
            line->part_number = seal.part_number;
        }
        // The lands of one gasket are one piece.
        const bool one_piece = seal.kind == model::SealKind::gasket_bridge && !line->seals.empty();
        if (!one_piece) ++line->quantity;
        if (spoils(seal)) line->extra = 1;
        line->seals.push_back(renewed.seal);
        line->asked = line->asked || renewed.why == Why::asked;
    }
    void add_spare(std::size_t index) {
        const auto& spare = map_.spares[index];
        PartLine* line = numbered(spare.part_number);
        if (line == nullptr) {
            auto& lines = lines_of(spare.kit);
            lines.push_back({});
            line = &lines.back();
            line->part_number = spare.part_number;
        }
        if (contains(line->spares, index)) return;
        line->spares.push_back(index);
        // The same number as seals of the map: the same pieces, told twice. As another spare: more of them.
        line->quantity =
            line->seals.empty() ? line->quantity + spare.quantity : std::max(line->quantity, spare.quantity);
        line->name = spare.name;
        if (spare.breaks) line->extra = 1;
    }
    /// "plate gasket" under renew of a part: a spare by that name, or a thing without a number.
    void add_words(const std::string& what, std::size_t part) {
        const std::string wanted = lower(what);
        for (std::size_t i = 0; i < map_.spares.size(); ++i) {
            const auto& spare = map_.spares[i];
            if (lower(spare.name) != wanted && lower(spare.id) != wanted && lower(spare.part_number) != wanted)
                continue;
            add_spare(i);
            return;
        }
        auto& lines = lines_of("");
        const auto same = std::find_if(lines.begin(), lines.end(), [&](const PartLine& l) {
            return l.part_number.empty() && l.seals.empty() && lower(l.name) == wanted;
        });
        if (same == lines.end()) {
            lines.push_back({});
            lines.back().name = what;
            lines.back().quantity = 1;
            lines.back().with.push_back(part);
        } else if (!contains(same->with, part)) {
            ++same->quantity;
            same->with.push_back(part);
        }
    }
    [[nodiscard]] std::string name_of(const PartLine& line) const {
        const auto& first = map_.seals[line.seals.front()];
        const std::string seal = seal_title(first, tr_);
        if (line.seals.size() == 1 && first.kind == model::SealKind::wall) {
            // A wall is no piece: what is ordered is the part that it belongs to.
            const auto* part = model::find(map_.parts, first.at);
            return part == nullptr ? seal
                                   : model::filled(tr_("{0} (for {1})"),
                                                   tr_.map_word(part->name.empty() ? part->id : part->name), seal);
        }
        if (line.seals.size() == 1)
            return first.name.empty() || seal.find(first.id) == 0 ? seal : fmt::format("{} ({})", seal, first.id);
        std::vector<std::string> ids;
        ids.reserve(line.seals.size());
        for (const std::size_t s : line.seals)
            ids.push_back(map_.seals[s].id);
        const std::string word = first.kind == model::SealKind::gasket_bridge ? tr_("gasket") : tr_.word(first.kind);
        return fmt::format("{} ({})", word, fmt::join(ids, ", "));
    }

    const model::UnitMap& map_;
    const Teardown& teardown_;
    const model::Translator& tr_;
    PartsList list_;
};

/// Counts the shop's stock against the list.
void count_stock(PartsList& list, const model::Stock& stock) {
    list.stock_known = true;
    for (auto& group : list.kits) {
        if (!group.kit.empty()) {
            auto kit = model::on_shelf(stock, group.kit);
            if (!kit) kit = model::on_shelf(stock, group.kit.substr(0, group.kit.find(' ')));
            if (kit) {
                group.in_stock = kit->count;
                group.place = kit->place;
            }
        }
        const bool kit_there = group.in_stock.value_or(0) > 0;
        for (auto& line : group.lines) {
            if (line.part_number.empty()) continue;
            const auto shelf = model::on_shelf(stock, line.part_number);
            line.in_stock = shelf ? shelf->count : 0;
            if (shelf) line.place = shelf->place;
            // A kit on the shelf has what the plan uses; the one more that is advised is not in it.
            line.short_by = std::max(0, (kit_there ? 0 : line.quantity) + line.extra - *line.in_stock);
        }
    }
}

} // namespace

PartsList parts_list(const model::UnitMap& map, const Teardown& teardown, const model::Stock* stock,
                     const model::Translator& tr) {
    PartsList list = ListMaker(map, teardown, tr).make();
    if (stock != nullptr) count_stock(list, *stock);
    return list;
}

} // namespace ringland::diagnosis::plan
