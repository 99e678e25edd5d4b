// SPDX-License-Identifier: Apache-2.0

// Text by text, down the tree: a secret may stand in any value, at any depth.
#include "base/program/redacted_json.hpp"

#include "base/redact.hpp"

#include <nlohmann/json.hpp>

namespace fuelring {

nlohmann::json redacted_json(const nlohmann::json& document)
{
    if (document.is_string())
        return redacted(document.get_ref<const std::string&>());
    nlohmann::json copy = document;
    if (document.is_structured())
        for (auto& [key, value] : copy.items())
            value = redacted_json(value);
    return copy;
}

} // namespace fuelring
