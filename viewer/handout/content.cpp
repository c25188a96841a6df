#include "content.h"

#include <algorithm>
#include <cmath>

#include "../../diagnosis/divide.h"

namespace ringland::viewer {
namespace {

using diagnosis::Against;
using diagnosis::Retest;
using diagnosis::RetestRow;

std::string kind_title(const Translator& tr, model::SealKind kind) {
    switch (kind) {
    case model::SealKind::ring:
        return tr("Ring");
    case model::SealKind::lip:
        return tr("Lip seal");
    case model::SealKind::d_ring:
        return tr("D-ring");
    case model::SealKind::o_ring:
        return tr("O-ring");
    case model::SealKind::gasket_bridge:
        return tr("Gasket bridge");
    case model::SealKind::plug:
        return tr("Plug");
    case model::SealKind::tube:
        return tr("Tube");
    case model::SealKind::bushing:
        return tr("Bushing");
    case model::SealKind::wall:
        return tr("Casting wall");
    case model::SealKind::check_ball:
        return tr("Check ball");
    }
    return {};
}

/// What such a seal does, for somebody who has never seen one.
std::string plain_words(const Translator& tr, model::Relation relation) {
    switch (relation) {
    case model::Relation::stack:
        return tr(
            "The clutches of this unit are worked by oil under pressure. The oil crosses from the standing parts "
            "into the turning shaft, and rings keep each supply from the next. Where a ring lets oil by, one clutch "
            "loses pressure and another gets some that it should not have.");
    case model::Relation::face:
        return tr(
            "The clutches of this unit are worked by oil under pressure. The oil runs in channels side by side, and "
            "the gasket over them keeps each from the next. Where it lets oil by, one clutch loses pressure and "
            "another gets some that it should not have.");
    case model::Relation::shaft:
        return tr("The clutches of this unit are worked by oil under pressure. Several supplies run through one shaft, "
                  "kept apart by plugs, tubes and walls. Where one of them lets oil by, a clutch loses pressure and "
                  "another gets some that it should not have.");
    case model::Relation::drum:
        return tr("The clutches of this unit are worked by oil under pressure, which pushes pistons. A seal around the "
                  "piston holds the oil. Where it lets oil by, the piston pushes with less force, or late, and the "
                  "clutch slips.");
    }
    return {};
}

std::string small_first(std::string text) {
    if (text.size() > 1 && text[0] >= 'A' && text[0] <= 'Z' && text[1] >= 'a' && text[1] <= 'z')
        text[0] = static_cast<char>(text[0] - 'A' + 'a');
    return text;
}

/// A full stop is ours to set.
std::string without_stop(std::string text) {
    while (!text.empty() && (text.back() == '.' || text.back() == ' '))
        text.pop_back();
    return text;
}

std::string quoted(const Translator& tr, const std::string& text) {
    return text.empty() ? text : filled(tr("“{0}”"), text);
}

std::string what_name(const Translator& tr, const model::UnitMap& map, const std::string& what) {
    if (const auto* seal = model::find(map.seals, what))
        return filled(tr("{0}: {1}"), seal->id, small_first(seal_title(tr, map, *seal)));
    if (model::find(map.parts, what) != nullptr) return part_title(tr, map, what);
    return what;
}

std::string number_of(const model::UnitMap& map, const model::Renewed& renewed) {
    if (!renewed.part_number.empty()) return renewed.part_number;
    const auto* seal = model::find(map.seals, renewed.what);
    return seal == nullptr ? std::string{} : seal->part_number;
}

/// "R1, R2, R3 of 5 on the input shaft": those of one stack.
HandoutRow rings_row(const Translator& tr, const model::UnitMap& map, const model::Job& job, const model::Seal& first) {
    std::string ids, numbers;
    int quantity = 0;
    std::vector<std::string> of_numbers;
    for (const auto& renewed : job.renewed) {
        const auto* seal = model::find(map.seals, renewed.what);
        if (seal == nullptr || seal->stack != first.stack || !renewed.note.empty()) continue;
        ids += (ids.empty() ? "" : ", ") + seal->id;
        const std::string number = number_of(map, renewed);
        if (!number.empty() && std::find(of_numbers.begin(), of_numbers.end(), number) == of_numbers.end()) {
            of_numbers.push_back(number);
            numbers += (numbers.empty() ? "" : ", ") + number;
        }
        quantity += renewed.quantity;
    }
    if (quantity == 1) return {{what_name(tr, map, first.id), numbers, "1"}, true};
    const auto* stack = model::find(map.stacks, first.stack);
    const std::string on = stack == nullptr    ? first.stack
                           : stack->on.empty() ? stack->name
                                               : part_title(tr, map, stack->on);
    return {{filled(tr("{0}: seals on the {1}"), ids, small_first(tr.map_word(on))), numbers, std::to_string(quantity)},
            true};
}

HandoutTable done_table(const Translator& tr, const model::UnitMap& map, const model::Job& job) {
    HandoutTable table;
    if (job.renewed.empty()) return table;
    table.heads = {tr("Renewed"), tr("Part number"), tr("Number")};
    // All seals of one stack that were renewed are one line.
    std::vector<std::string> told;
    for (const auto& renewed : job.renewed) {
        const auto* seal = model::find(map.seals, renewed.what);
        const std::string stack = seal == nullptr || !renewed.note.empty() ? std::string{} : seal->stack;
        if (!stack.empty()) {
            if (std::find(told.begin(), told.end(), stack) != told.end()) continue;
            told.push_back(stack);
            table.rows.push_back(rings_row(tr, map, job, *seal));
            continue;
        }
        std::string what = what_name(tr, map, renewed.what);
        if (!renewed.note.empty()) what += ". " + renewed.note;
        table.rows.push_back({{what, number_of(map, renewed), std::to_string(renewed.quantity)}, true});
    }
    return table;
}

std::string verdict_words(const Translator& tr, model::Verdict verdict) {
    switch (verdict) {
    case model::Verdict::within:
        return tr("good");
    case model::Verdict::below:
        return tr("too small");
    case model::Verdict::above:
        return tr("too large");
    case model::Verdict::no_limits:
        break;
    }
    return tr("not judged");
}

HandoutTable measured_table(const Translator& tr, const model::UnitMap& map, const model::Job& job, UnitSystem units) {
    HandoutTable table;
    for (const auto& measurement : job.measurements) {
        const auto* clearance = model::find(map.clearances, measurement.clearance);
        if (clearance == nullptr) continue;
        const model::Verdict verdict = model::verdict(measurement, *clearance);
        const std::string name = clearance->name.empty() ? clearance->id : tr.map_word(clearance->name);
        table.rows.push_back({{name, tr.length(measurement.value.si(), units), limits_title(tr, *clearance, units),
                               verdict_words(tr, verdict)},
                              verdict == model::Verdict::within || verdict == model::Verdict::no_limits});
    }
    table.judged = true;
    if (!table.rows.empty()) table.heads = {tr("Measured"), tr("Figure"), tr("Limits"), tr("Result")};
    return table;
}

std::string into_words(const Translator& tr, const model::UnitMap& map, const RetestRow& row) {
    std::string words = port_or_case_title(tr, map, row.into);
    std::string closed;
    for (const int port : row.plugged) {
        if (port == row.at) continue; // a gauge closes its own port
        if (!closed.empty()) closed += ", ";
        closed += port_or_case_title(tr, map, port);
    }
    if (!closed.empty()) words += filled(tr(" ({0} closed)"), closed);
    return words;
}

bool off(Against is) { return is == Against::more || is == Against::less; }

HandoutTable compared_table(const Translator& tr, const model::UnitMap& map, const Retest& retest, UnitSystem units) {
    HandoutTable table;
    const auto words = [&](const std::optional<model::Seen>& seen) {
        return seen ? seen_on_paper(tr, *seen, units) : tr("not tested");
    };
    table.judged = true;
    std::size_t others = 0;
    for (const RetestRow& row : retest.rows) {
        if (!off(row.before_is) && !off(row.after_is)) {
            ++others;
            continue;
        }
        table.rows.push_back({{into_words(tr, map, row), port_or_case_title(tr, map, row.at),
                               seen_on_paper(tr, row.expected, units), words(row.before), words(row.after)},
                              row.after && !off(row.after_is)});
    }
    if (table.rows.empty() && others == 0) return table;
    table.heads = {tr("Air into"), tr("Heard at"), tr("A good unit"), tr("Before"), tr("After")};
    if (others > 0 && !table.rows.empty()) {
        table.note = filled(tr("At {0} other place nothing differed from a good unit.",
                               "At {0} other places nothing differed from a good unit.", others),
                            others);
    } else if (others > 0) {
        table.heads.clear();
        table.note = filled(tr("At the {0} place that was tested nothing differed from a good unit.",
                               "At all {0} places that were tested nothing differed from a good unit.", others),
                            others);
    }
    return table;
}

std::string retest_verdict(const Translator& tr, const Retest& retest) {
    if (!retest.has_after) return tr("The unit has not been tested again since the repair.");
    std::size_t tested = 0, still = 0;
    for (const RetestRow& row : retest.rows) {
        if (!row.after) continue;
        ++tested;
        if (off(row.after_is)) ++still;
    }
    if (still > 0)
        return filled(tr("Tested again after the repair: {0} of {1} place still differs from a good unit.",
                         "Tested again after the repair: {0} of {1} places still differ from a good unit.", still),
                      still, tested);
    return filled(tr("Tested again after the repair: at the {0} place that was tested, the unit shows what a good one "
                     "shows.",
                     "Tested again after the repair: at all {0} places that were tested, the unit shows what a good "
                     "one shows.",
                     tested),
                  tested);
}

void add_fact(Handout& handout, const std::string& name, const std::string& value) {
    if (!value.empty()) handout.facts.emplace_back(name, value);
}

std::string finished_at(const model::Job& job) {
    for (const auto& tick : job.ticks) {
        if (tick.step == model::JobStep::done) return tick.at;
    }
    return {};
}

void add_finding(const Translator& tr, const model::UnitMap& map, const model::Job& job, const Retest& retest,
                 Handout& handout) {
    const auto* seal = model::find(map.seals, handout_seal(map, job, retest));
    if (seal == nullptr) {
        handout.finding = job.findings.empty() ? tr("Nothing has been found yet.") : tr("Nothing was found damaged.");
        return;
    }
    handout.finding = seal_title(tr, map, *seal);
    handout.place = seal_place(tr, map, *seal);
    handout.divides = filled(tr("It keeps {0} and {1} apart."), model::circuit_name(map, seal->between[0]),
                             model::circuit_name(map, seal->between[1]));
    bool seen = false;
    for (const auto& finding : job.findings) {
        if (finding.found != model::Found::damaged) continue;
        const auto* other = model::find(map.seals, finding.seal);
        std::string name = finding.seal;
        if (finding.seal == model::the_rig) name = tr("test plate or hose");
        if (other != nullptr) name = other == seal ? seal->id : what_name(tr, map, other->id);
        seen = seen || other == seal;
        handout.found.push_back(finding.seen.empty()
                                    ? filled(tr("{0} was found damaged."), name)
                                    : filled(tr("{0} was found damaged: {1}."), name, without_stop(finding.seen)));
    }
    if (!seen) {
        for (const auto& chance : retest.seals) {
            if (map.seals[chance.seal].id == seal->id)
                handout.found.push_back(
                    filled(tr("The air check points to it, with a chance of {0}. It has not been seen yet."),
                           tr.percent(chance.before)));
        }
    }
    handout.found.push_back(plain_words(tr, seal->relation));
}

void add_standing_texts(const Translator& tr, const model::UnitMap& map, Handout& handout) {
    handout.report = tr("Workshop report");
    handout.head_complaint = tr("What you told us");
    handout.head_in_short = tr("In short");
    handout.head_found = tr("What we found");
    handout.head_done = tr("What we did");
    handout.head_measured = tr("What we measured");
    handout.head_compared = tr("Before and after");
    handout.head_cautions = tr("Please note");
    handout.head_road = tr("On the road");
    handout.head_way = tr("The way in");
    handout.head_limits = tr("What this shows, and what it does not");
    handout.page_of = tr("Page {0} of {1}");
    handout.turn_it = tr("The unit in three dimensions: drag to turn it, pinch or use the wheel to come nearer.");
    handout.cautions = {
        tr("Should the complaint come back, or should the unit slip, bang, grow hot or lose oil: stop, and call us."),
        map.unit.fluid.empty() ? tr("Only the fluid that the maker names, to the level that he names.")
                               : filled(tr("Only the fluid that the maker names ({0}), to the level that he names."),
                                        tr.map_word(map.unit.fluid)),
        tr("Oil, shafts and exhaust are hot after a drive. Leave checks under the vehicle to a workshop.")};
    handout.limits = {
        tr("The unit was tested on the bench with compressed air. That shows whether its oil passages are tight "
           "against "
           "one another. It does not show wear of plates, gears and bearings, and it is no test drive."),
        tr("Chances are reckoned from what was heard and measured. They are an estimate and no promise."),
        tr("The pictures are drawn from a description of the unit; gaps are drawn larger than they are. The maker's "
           "service information decides.")};
    if (map.unit.invented) handout.example = tr("An invented example: no real unit, customer or shop.");
    handout.foot = tr("Made with Ringland");
}

} // namespace

std::string handout_seal(const model::UnitMap& map, const model::Job& job, const Retest& retest) {
    for (const auto& finding : job.findings) {
        if (finding.found == model::Found::damaged && model::find(map.seals, finding.seal) != nullptr)
            return finding.seal;
    }
    constexpr double likely = 0.5; // below this no seal is named to a customer
    if (!retest.seals.empty() && retest.has_before && retest.seals.front().before >= likely)
        return map.seals[retest.seals.front().seal].id;
    return {};
}

std::string limits_title(const Translator& tr, const model::Clearance& clearance, UnitSystem units) {
    if (clearance.lower && clearance.upper)
        return filled(tr("{0} to {1}"), tr.length(clearance.lower->si(), units),
                      tr.length(clearance.upper->si(), units));
    if (clearance.lower) return filled(tr("{0} or more"), tr.length(clearance.lower->si(), units));
    if (clearance.upper) return filled(tr("{0} or less"), tr.length(clearance.upper->si(), units));
    return tr("no limits known");
}

std::string part_title(const Translator& tr, const model::UnitMap& map, const std::string& id) {
    const auto* part = model::find(map.parts, id);
    if (part == nullptr) return id;
    return tr.map_word(part->name.empty() ? part->id : part->name);
}

std::string seal_title(const Translator& tr, const model::UnitMap& map, const model::Seal& seal) {
    if (const auto position = diagnosis::stack_position(map, seal)) {
        const auto* stack = model::find(map.stacks, position->stack);
        std::string on = stack != nullptr && !stack->on.empty() ? part_title(tr, map, stack->on) : position->stack_name;
        return filled(tr("{0} {1} of {2} on the {3}"), kind_title(tr, seal.kind), position->nth_from_first_end,
                      position->count, small_first(tr.map_word(on)));
    }
    const std::string title = filled("{0} {1}", kind_title(tr, seal.kind), seal.id);
    return seal.name.empty() ? title : filled(tr("{0}, {1}"), title, small_first(tr.map_word(seal.name)));
}

std::string seal_place(const Translator& tr, const model::UnitMap& map, const model::Seal& seal) {
    if (const auto position = diagnosis::stack_position(map, seal)) {
        return filled(tr("{0} from the {1} · {2} from the {3}"), tr.ordinal(position->nth_from_first_end),
                      tr.map_word(position->first_end), tr.ordinal(position->nth_from_second_end),
                      tr.map_word(position->second_end));
    }
    return seal.at.empty() ? std::string{} : filled(tr("On this part: {0}"), part_title(tr, map, seal.at));
}

std::string port_or_case_title(const Translator& tr, const model::UnitMap& map, int port) {
    if (port < 0 || port >= static_cast<int>(map.ports.size())) return tr("inside the case");
    const auto& p = map.ports[static_cast<std::size_t>(port)];
    return p.id + ' ' + model::port_label(map, p);
}

std::string heard_word(const Translator& tr, model::Heard word) {
    switch (word) {
    case model::Heard::nothing:
        return tr("nothing");
    case model::Heard::faint:
        return tr("faint");
    case model::Heard::clear:
        return tr("clear");
    case model::Heard::strong:
        return tr("strong");
    }
    return {};
}

std::string seen_on_paper(const Translator& tr, const model::Seen& seen, UnitSystem units) {
    if (seen.pressure) return tr.pressure(seen.pressure->si(), units);
    if (seen.flow_lpm) return filled(tr("{0} L/min"), tr.number(*seen.flow_lpm, *seen.flow_lpm < 10 ? 1 : 0));
    if (seen.applies_after_s) {
        if (!std::isfinite(*seen.applies_after_s)) return tr("does not apply");
        return filled(tr("applies after {0} s"), tr.number(*seen.applies_after_s, 1));
    }
    if (seen.word) return heard_word(tr, *seen.word);
    return tr("not sure");
}

Handout handout_content(const Translator& tr, const model::UnitMap& map, const model::Job& job, const Retest& retest,
                        const HandoutAhead& ahead, const HandoutWords& words) {
    Handout handout;
    handout.language = tr.language();
    handout.shop = words.shop;
    handout.logo_file = words.logo_file;
    handout.unit = map.unit.name.empty() ? map.unit.id : map.unit.name;
    add_standing_texts(tr, map, handout);
    add_fact(handout, tr("Customer"), job.head.customer);
    add_fact(handout, tr("Job number"), job.head.number);
    add_fact(handout, tr("Received"), tr.date(job.head.opened_at));
    add_fact(handout, tr("Finished"), tr.date(finished_at(job)));
    add_fact(handout, tr("Work by"), job.head.who);
    handout.complaint = quoted(tr, job.head.complaint);
    handout.in_short = job.head.conclusion;
    add_finding(tr, map, job, retest, handout);
    handout.done = done_table(tr, map, job);
    add_ahead(tr, map, ahead, words, handout);
    handout.measured = measured_table(tr, map, job, words.units);
    handout.compared = compared_table(tr, map, retest, words.units);
    handout.verdict = retest_verdict(tr, retest);
    if (retest.has_after && retest.has_before)
        handout.verdict_figure =
            filled(tr("Chance that the fault is gone, reckoned from both tests and the parts renewed: {0}."),
                   tr.percent(retest.gone));
    return handout;
}

} // namespace ringland::viewer
