// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <nlohmann/json_fwd.hpp>

namespace fuelring {

/// The document with every text value `redacted` (base/redact.hpp).
/// Keys stay as they are, and so do numbers. Law: as that of `redacted`.
nlohmann::json redacted_json(const nlohmann::json& document);

} // namespace fuelring
