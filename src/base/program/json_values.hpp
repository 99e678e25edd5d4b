// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/warnings.hpp"

#include <nlohmann/json.hpp>

#include <optional>

namespace fuelring {

// By their names: {key, text, count, examples}.
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(Warning, key, text, count, examples)

/// The value, or null.
template <typename T>
nlohmann::json or_null(const std::optional<T>& value)
{
    return value ? nlohmann::json(*value) : nlohmann::json();
}

/// What stands at a place of a document ("/configuration/rings"); null where nothing does.
/// Source of the notation: RFC 6901. Throws: nlohmann's parse_error for a pointer that is none.
inline nlohmann::json value_at(const nlohmann::json& document, const char* pointer)
{
    const nlohmann::json::json_pointer at{pointer};
    return document.contains(at) ? document.at(at) : nlohmann::json();
}

} // namespace fuelring
