// The content of an entry: a thing of a job to JSON and back. Includes the JSON library, so only for .cpp files of
// model-data.
#pragma once

#include <string>
#include <type_traits>
#include <vector>

#include <fmt/ranges.h>
#include <nlohmann/json.hpp>

#include "job_fields.h"
#include "phrase.h"

namespace ringland::model {

using Json = nlohmann::ordered_json;

/// Writes members as keys; what is empty is left out.
class ContentWriter {
public:
    explicit ContentWriter(Json& out) : out_(out) {}

    void operator()(const char* key, const std::string& text) const {
        if (!text.empty()) out_[key] = text;
    }
    void operator()(const char* key, bool value) const {
        if (value) out_[key] = true;
    }
    void operator()(const char* key, int value) const { out_[key] = value; }
    template <class T> void operator()(const char* key, const std::optional<T>& value) const {
        if (!value) return;
        if constexpr (std::is_same_v<T, bool> || std::is_same_v<T, double>)
            out_[key] = *value;
        else
            (*this)(key, *value);
    }
    template <class Enum>
    requires std::is_enum_v<Enum>
    void operator()(const char* key, Enum value) const { out_[key] = word(value); }
    template <class Dimension> void operator()(const char* key, const Quantity<Dimension>& value) const {
        out_[key] = {{"value", value.value}, {"unit", value.measure().suffix}};
    }
    void operator()(const char* key, const std::vector<std::string>& list) const {
        if (!list.empty()) out_[key] = list;
    }
    void operator()(const char* key, const std::vector<Seen>& list) const {
        for (const auto& seen : list) {
            Json one = Json::object();
            JobFields<Seen>::fields(seen, ContentWriter(one));
            out_[key].push_back(std::move(one));
        }
    }

private:
    Json& out_;
};

/// Reads them back; a key that is not there leaves its member as it is, one of the wrong kind is named in wrong().
class ContentReader {
public:
    ContentReader(const Json& in, Phrase& wrong) : in_(in), wrong_(wrong) {}

    void operator()(const char* key, std::string& text) const {
        if (const Json* found = find(key)) {
            if (found->is_string())
                text = found->get<std::string>();
            else
                complain(key, phrase("a text"));
        }
    }
    void operator()(const char* key, bool& value) const {
        if (const Json* found = find(key)) {
            if (found->is_boolean())
                value = found->get<bool>();
            else
                complain(key, phrase("true or false"));
        }
    }
    void operator()(const char* key, int& value) const {
        double figure = value;
        (*this)(key, figure);
        if (figure >= -1e6 && figure <= 1e6)
            value = static_cast<int>(figure);
        else
            complain(key, phrase("a reasonable figure"));
    }
    void operator()(const char* key, double& value) const {
        if (const Json* found = find(key)) {
            if (found->is_number())
                value = found->get<double>();
            else
                complain(key, phrase("a figure"));
        }
    }
    template <class T> void operator()(const char* key, std::optional<T>& value) const {
        if (find(key) == nullptr) return;
        T read{};
        (*this)(key, read);
        value = read;
    }
    template <class Enum>
    requires std::is_enum_v<Enum>
    void operator()(const char* key, Enum& value) const {
        std::string text;
        if (find(key) == nullptr) return;
        (*this)(key, text);
        if (const auto known = from_word<Enum>(text))
            value = *known;
        else
            complain(key, phrase("one of {0}", fmt::format("{}", fmt::join(words_of<Enum>(), ", "))));
    }
    template <class Dimension> void operator()(const char* key, Quantity<Dimension>& quantity) const {
        const Json* found = find(key);
        if (found == nullptr) return;
        if (!found->is_object()) return complain(key, phrase("value and unit"));
        const ContentReader inner(*found, wrong_);
        inner("value", quantity.value);
        std::string unit;
        inner("unit", unit);
        for (std::size_t i = 0; i < Dimension::units.size(); ++i) {
            if (Dimension::units[i].suffix != unit) continue;
            quantity.unit = static_cast<typename Dimension::Unit>(i);
            return;
        }
        complain(key, phrase("a known unit"));
    }
    void operator()(const char* key, std::vector<std::string>& list) const {
        const Json* found = find(key);
        if (found == nullptr) return;
        if (!found->is_array()) return complain(key, phrase("a list"));
        for (const auto& one : *found) {
            if (!one.is_string()) return complain(key, phrase("a list of texts"));
            list.push_back(one.get<std::string>());
        }
    }
    void operator()(const char* key, std::vector<Seen>& list) const {
        const Json* found = find(key);
        if (found == nullptr) return;
        if (!found->is_array()) return complain(key, phrase("a list"));
        for (const auto& one : *found) {
            if (!one.is_object()) return complain(key, phrase("a list of what was seen"));
            JobFields<Seen>::fields(list.emplace_back(), ContentReader(one, wrong_));
        }
    }

private:
    const Json* find(const char* key) const {
        const auto at = in_.find(key);
        return at == in_.end() || at->is_null() ? nullptr : &*at;
    }
    void complain(const char* key, const Phrase& right) const {
        if (wrong_.empty()) wrong_ = phrase("{0} should be {1}", key, right);
    }

    const Json& in_;
    Phrase& wrong_;
};

} // namespace ringland::model
