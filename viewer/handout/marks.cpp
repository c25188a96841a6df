#include "marks.h"

#include "../app/labels.h"

namespace ringland::viewer {

Type mark_type(const PictureMark& mark) {
    return {mark.main ? 8.5 : 7.5, mark.main, mark.main ? ink::accent_text : ink::text, false, false, 1.25};
}

std::vector<MarkBox> placed_marks(const Setter& setter, const HandoutPicture& picture, double width, double height) {
    std::vector<LabelRequest> requests;
    std::vector<std::size_t> order;
    // The main one chooses first.
    for (const bool main : {true, false}) {
        for (std::size_t i = 0; i < picture.marks.size(); ++i) {
            const PictureMark& mark = picture.marks[i];
            if (mark.main != main) continue;
            const Type type = mark_type(mark);
            LabelRequest request;
            request.anchor = {mark.x * width, mark.y * height};
            request.size = {setter.width(mark.text, type) + 2 * mark_pad_x + 0.5,
                            setter.height(mark.text, type, 0) + 2 * mark_pad_y};
            request.prefer = {mark.towards_x, mark.towards_y};
            request.least_distance = mark.main ? 22 : 12;
            request.most_distance = 90;
            request.must = mark.main;
            requests.push_back(request);
            order.push_back(i);
        }
    }
    const auto places = place_labels(requests, {3, 3, width - 3, height - 3}, {});
    std::vector<MarkBox> boxes;
    for (std::size_t i = 0; i < places.size(); ++i) {
        const LabelPlace& place = places[i];
        if (!place.shown) continue;
        boxes.push_back({order[i], place.box.x0 / width, place.box.y0 / height, place.box.x1 / width,
                         place.box.y1 / height, place.joint.x / width, place.joint.y / height});
    }
    return boxes;
}

} // namespace ringland::viewer
