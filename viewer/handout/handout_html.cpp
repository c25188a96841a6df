#include "handout_html.h"

#include <cstdint>

#include <fmt/format.h>

#include "model_viewer_script.h"

namespace ringland::viewer {
namespace {

constexpr std::string_view style = R"css(
:root { --ink: #1d2228; --second: #59616a; --rule: #d6d0c3; --paper: #fff; --ground: #f6f3ec; --accent: #d55e00; --accent-text: #a84300; }
* { box-sizing: border-box; }
html { -webkit-text-size-adjust: 100%; }
body { margin: 0; background: var(--ground); color: var(--ink); font: 16px/1.55 Inter, system-ui, -apple-system, "Segoe UI", Roboto, "Noto Sans", Arial, sans-serif; font-feature-settings: "tnum"; }
main { max-width: 920px; margin: 0 auto; padding: clamp(20px, 5vw, 64px); background: var(--paper); overflow-wrap: anywhere; }
header { display: flex; gap: 16px; align-items: center; border-bottom: 2px solid var(--ink); padding-bottom: 14px; }
header img { max-height: 48px; max-width: 40%; }
header strong { font-size: 18px; font-weight: 600; flex: 1; }
header span { color: var(--second); }
h1 { font-size: clamp(28px, 6vw, 40px); line-height: 1.15; margin: 28px 0 4px; font-weight: 600; }
h2 { font-size: 15px; font-weight: 600; color: var(--second); margin: 0; }
h3 { font-size: clamp(20px, 4.2vw, 26px); line-height: 1.25; margin: 0; font-weight: 600; }
p { margin: 0 0 10px; }
.example { color: var(--accent-text); font-size: 14px; }
.facts { display: grid; grid-template-columns: repeat(auto-fit, minmax(140px, 1fr)); gap: 12px 20px; margin: 18px 0 0; }
.facts dt { color: var(--second); font-size: 13px; }
.facts dd { margin: 0; }
section { display: grid; grid-template-columns: 180px 1fr; gap: 6px 28px; margin-top: 34px; }
section > div { min-width: 0; }
.answer { border-left: 4px solid var(--accent); padding-left: 16px; margin-bottom: 14px; }
.answer .place { color: var(--accent-text); font-size: 18px; margin: 2px 0; }
.answer p { margin: 0; }
.pictures { display: flex; flex-wrap: wrap; gap: 18px; margin-top: 34px; }
figure { margin: 0; flex: var(--share) 1 calc(var(--share) * 240px); min-width: 0; }
figure > div { position: relative; border: 1px solid var(--rule); line-height: 0; }
figure img { width: 100%; height: auto; display: block; }
figure svg { position: absolute; inset: 0; width: 100%; height: 100%; }
figcaption { color: var(--second); font-size: 14px; line-height: 1.45; margin-top: 8px; }
.solid { margin-top: 34px; }
model-viewer { width: 100%; height: clamp(300px, min(62vh, 100vw), 560px); background: linear-gradient(#fbfaf7, #ece8df); border: 1px solid var(--rule); --poster-color: transparent; }
.spot { font-weight: 600; font-size: 13px; line-height: 1; border: 1px solid var(--rule); background: #fff; color: var(--ink); padding: 5px 8px; border-radius: 3px; white-space: nowrap; pointer-events: none; transform: translate(14px, 14px); }
.spot.main { border: 1.5px solid var(--accent); color: var(--accent-text); font-size: 15px; }
table { border-collapse: collapse; width: 100%; font-size: 15px; }
th { text-align: left; font-size: 13px; color: var(--second); font-weight: 600; border-bottom: 1px solid var(--ink); padding: 6px 12px 6px 0; vertical-align: bottom; overflow-wrap: normal; }
td { border-bottom: 1px solid var(--rule); padding: 7px 12px 7px 0; vertical-align: top; }
.judged td:last-child { font-weight: 600; }
.judged .off td:last-child { color: var(--accent-text); }
.note, .limits { color: var(--second); font-size: 14px; }
.note { margin-top: 8px; }
.strong { font-weight: 600; }
footer { border-top: 1px solid var(--rule); margin-top: 44px; padding-top: 12px; color: var(--second); font-size: 13px; }
@media (max-width: 640px) {
  section { grid-template-columns: 1fr; margin-top: 26px; }
  table, tbody, tr, td { display: block; }
  thead { display: none; }
  tr { border-bottom: 1px solid var(--rule); padding: 8px 0; }
  td { border: 0; padding: 1px 0; display: grid; grid-template-columns: 42% 1fr; gap: 10px; }
  td::before { content: attr(data-head); color: var(--second); font-weight: 400; font-size: 14px; }
  td:empty { display: none; }
}
@media print { .solid { display: none; } body { background: #fff; } main { padding: 0; } }
)css";

/// What a page may load: itself. Data stand in it; the viewer makes a picture of its own by blob.
constexpr std::string_view policy = "default-src 'none'; script-src 'unsafe-inline' 'wasm-unsafe-eval'; style-src "
                                    "'unsafe-inline'; img-src data: blob:; connect-src data: "
                                    "blob:; worker-src blob:; base-uri 'none'; form-action 'none'";

/// Empty where the program was built without it.
std::string_view script() { return {std::data(model_viewer_script), sizeof model_viewer_script - 1}; }

std::string e(std::string_view text) { return html_escaped(unbroken(text)); }

std::string data_of(const PagePicture& picture) {
    return fmt::format("data:{};base64,{}", picture.type, base64(picture.bytes));
}

void section(std::string& page, const std::string& name, const std::string& inside) {
    if (inside.empty()) return;
    page += fmt::format("<section><h2>{}</h2><div>{}</div></section>\n", e(name), inside);
}

std::string paragraph(const std::string& text, std::string_view kind = {}) {
    if (text.empty()) return {};
    return kind.empty() ? fmt::format("<p>{}</p>", e(text)) : fmt::format("<p class=\"{}\">{}</p>", kind, e(text));
}

std::string paragraphs(const std::vector<std::string>& texts, std::string_view kind = {}) {
    std::string all;
    for (const auto& text : texts)
        all += paragraph(text, kind);
    return all;
}

std::string table_of(const HandoutTable& table) {
    std::string text;
    if (!table.rows.empty()) {
        text = fmt::format("<table{}><thead><tr>", table.judged ? " class=\"judged\"" : "");
        for (const auto& head : table.heads)
            text += fmt::format("<th scope=\"col\">{}</th>", e(head));
        text += "</tr></thead><tbody>";
        for (const auto& row : table.rows) {
            text += row.fine ? "<tr>" : "<tr class=\"off\">";
            for (std::size_t i = 0; i < row.cells.size(); ++i)
                text += fmt::format("<td data-head=\"{}\">{}</td>", i < table.heads.size() ? e(table.heads[i]) : "",
                                    e(row.cells[i]));
            text += "</tr>";
        }
        text += "</tbody></table>";
    }
    return text + paragraph(table.note, "note");
}

/// Words on a picture: a drawing over it that scales with it.
std::string marks_svg(const HandoutPicture& picture) {
    const double width = 1000, height = width * picture.pixels.height / std::max(1, picture.pixels.width);
    std::string svg = fmt::format("<svg viewBox=\"0 0 {:.0f} {:.0f}\" aria-hidden=\"true\">", width, height);
    for (const auto& box : picture.boxes) {
        const auto& mark = picture.marks[box.mark];
        const std::string_view colour = mark.main ? "#d55e00" : "#1d2228";
        const double ax = mark.x * width, ay = mark.y * height, jx = box.joint_x * width, jy = box.joint_y * height;
        const double x = box.x0 * width, y = box.y0 * height, w = (box.x1 - box.x0) * width,
                     h = (box.y1 - box.y0) * height;
        svg += fmt::format("<path d=\"M{0:.1f} {1:.1f}L{2:.1f} {3:.1f}\" stroke=\"#fff\" stroke-width=\"9\"/>"
                           "<path d=\"M{0:.1f} {1:.1f}L{2:.1f} {3:.1f}\" stroke=\"{4}\" stroke-width=\"{5}\"/>"
                           "<circle cx=\"{0:.1f}\" cy=\"{1:.1f}\" r=\"7\" fill=\"{4}\" stroke=\"#fff\" "
                           "stroke-width=\"2\"/>",
                           ax, ay, jx, jy, colour, mark.main ? 4 : 2.4);
        svg += fmt::format("<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\" fill=\"#fff\" "
                           "stroke=\"{}\" stroke-width=\"2.5\"/>"
                           "<text x=\"{:.1f}\" y=\"{:.1f}\" font-size=\"{:.1f}\" font-weight=\"{}\" fill=\"{}\" "
                           "text-anchor=\"middle\" dominant-baseline=\"central\">{}</text>",
                           x, y, w, h, mark.main ? "#d55e00" : "#d6d0c3", x + w / 2, y + h / 2, h * 0.66,
                           mark.main ? 600 : 400, mark.main ? "#a84300" : "#1d2228", e(mark.text));
    }
    return svg + "</svg>";
}

void pictures_part(std::string& page, const Handout& handout, const std::vector<PagePicture>& pictures) {
    if (handout.pictures.empty()) return;
    page += "<div class=\"pictures\">";
    for (std::size_t i = 0; i < handout.pictures.size() && i < pictures.size(); ++i) {
        const auto& picture = handout.pictures[i];
        page += fmt::format("<figure style=\"--share:{:.3f}\"><div><img src=\"{}\" alt=\"{}\" width=\"{}\" "
                            "height=\"{}\">{}</div><figcaption>{}</figcaption></figure>",
                            static_cast<double>(picture.pixels.width) / std::max(1, picture.pixels.height),
                            data_of(pictures[i]), e(picture.caption), picture.pixels.width, picture.pixels.height,
                            marks_svg(picture), e(picture.caption));
    }
    page += "</div>\n";
}

void model_part(std::string& page, const Handout& handout, const PageModel& model) {
    if (model.glb.empty() || !has_model_script()) return;
    page += fmt::format(
        "<figure class=\"solid\"><model-viewer loading=\"eager\" alt=\"{}\" camera-controls touch-action=\"pan-y\" "
        "interaction-prompt=\"none\" shadow-intensity=\"0.6\" exposure=\"1.1\" "
        "camera-orbit=\"-35deg 68deg 105%\" src=\"data:model/gltf-binary;base64,{}\">",
        e(handout.unit), base64(model.glb));
    for (std::size_t i = 0; i < model.spots.size(); ++i) {
        const auto& spot = model.spots[i];
        page +=
            fmt::format("<div class=\"spot{}\" slot=\"hotspot-{}\" data-position=\"{:.4f}m {:.4f}m {:.4f}m\">{}</div>",
                        spot.main ? " main" : "", i + 1, spot.at[0], spot.at[1], spot.at[2], e(spot.text));
    }
    page += fmt::format("</model-viewer><figcaption>{}</figcaption></figure>\n", e(handout.turn_it));
}

} // namespace

bool has_model_script() { return !script().empty(); }

std::string html_escaped(std::string_view text) {
    std::string safe;
    safe.reserve(text.size());
    for (const char c : text) {
        switch (c) {
        case '&':
            safe += "&amp;";
            break;
        case '<':
            safe += "&lt;";
            break;
        case '>':
            safe += "&gt;";
            break;
        case '"':
            safe += "&quot;";
            break;
        case '\'':
            safe += "&#39;";
            break;
        default:
            // No control character means anything in a page; line ends and tabs are blanks there.
            if (static_cast<unsigned char>(c) >= 0x20 || c == '\n' || c == '\t') safe += c;
        }
    }
    return safe;
}

std::string base64(std::string_view bytes) {
    constexpr std::string_view letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    std::string text;
    text.reserve((bytes.size() + 2) / 3 * 4);
    for (std::size_t i = 0; i < bytes.size(); i += 3) {
        const auto byte = [&](std::size_t k) {
            return i + k < bytes.size() ? static_cast<std::uint32_t>(static_cast<unsigned char>(bytes[i + k])) : 0U;
        };
        const std::uint32_t three = byte(0) << 16U | byte(1) << 8U | byte(2);
        for (std::size_t k = 0; k < 4; ++k)
            text += i + k > bytes.size() ? '=' : letters[three >> (18U - 6U * k) & 63U];
    }
    return text;
}

std::string handout_html(const Handout& handout, const std::vector<PagePicture>& pictures, const PagePicture& logo,
                         const PageModel& model) {
    std::string page = fmt::format("<!doctype html>\n<html lang=\"{}\">\n<head>\n<meta charset=\"utf-8\">\n"
                                   "<meta http-equiv=\"Content-Security-Policy\" content=\"{}\">\n"
                                   "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
                                   "<meta name=\"generator\" content=\"Ringland\">\n"
                                   "<title>{}: {}</title>\n<style>{}</style>\n</head>\n<body>\n<main>\n",
                                   e(handout.language), e(policy), e(handout.report), e(handout.unit), style);
    page += "<header>";
    if (!logo.bytes.empty()) page += fmt::format("<img src=\"{}\" alt=\"\">", data_of(logo));
    page += fmt::format("<strong>{}</strong><span>{}</span></header>\n", e(handout.shop), e(handout.report));
    page += fmt::format("<h1>{}</h1>\n{}", e(handout.unit), paragraph(handout.example, "example"));
    if (!handout.facts.empty()) {
        page += "<dl class=\"facts\">";
        for (const auto& [name, value] : handout.facts)
            page += fmt::format("<div><dt>{}</dt><dd>{}</dd></div>", e(name), e(value));
        page += "</dl>\n";
    }
    section(page, handout.head_complaint, paragraph(handout.complaint));
    section(page, handout.head_in_short, paragraph(handout.in_short));
    section(page, handout.head_found,
            fmt::format("<div class=\"answer\"><h3>{}</h3>{}{}</div>{}", e(handout.finding),
                        paragraph(handout.place, "place"), paragraph(handout.divides), paragraphs(handout.found)));
    pictures_part(page, handout, pictures);
    model_part(page, handout, model);
    section(page, handout.head_road, paragraphs(handout.road));
    section(page, handout.head_way, paragraphs(handout.way));
    section(page, handout.head_done, table_of(handout.done));
    section(page, handout.head_measured, table_of(handout.measured));
    section(page, handout.head_compared,
            paragraph(handout.verdict, "strong") + paragraph(handout.verdict_figure) + table_of(handout.compared));
    section(page, handout.head_cautions, paragraphs(handout.cautions));
    section(page, handout.head_limits, paragraphs(handout.limits, "limits"));
    page += fmt::format("<footer>{}{}{}</footer>\n</main>\n", e(handout.shop), handout.shop.empty() ? "" : " · ",
                        e(handout.foot));
    if (!model.glb.empty() && has_model_script()) {
        page += "<script type=\"module\">";
        // The one sequence that would end the script early, should it ever come to hold it.
        std::string_view rest = script();
        constexpr std::string_view end = "</script";
        for (std::size_t at = rest.find(end); at != std::string_view::npos; at = rest.find(end)) {
            page.append(rest.substr(0, at)).append("<\\/script");
            rest.remove_prefix(at + end.size());
        }
        page.append(rest).append("</script>\n");
    }
    return page + "</body>\n</html>\n";
}

} // namespace ringland::viewer
