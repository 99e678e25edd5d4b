// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

namespace fuelring {

/// What a finding of the input check is about, and what --accept takes; ground: the fuel raster and
/// what visits found on it, around the structures.
enum class GateKind {
    raster,
    ground,
    codes,
    structures,
    addresses,
    neighbourhoods,
    parcels,
    corrections,
    heights,
};
inline constexpr std::array all_gate_kinds{
    GateKind::raster,     GateKind::ground,      GateKind::codes,
    GateKind::structures, GateKind::addresses,   GateKind::neighbourhoods,
    GateKind::parcels,    GateKind::corrections, GateKind::heights,
};
/// The word that --accept takes and run.json has.
std::string_view name_of(GateKind kind);
std::optional<GateKind> gate_kind(std::string_view name); ///< empty for another word
using GateKinds = std::set<GateKind>;

/// Something about an input that is odd beside the last run.
struct GateReason {
    GateKind kind = GateKind::raster;
    std::string key;   ///< one word, for programs
    std::string text;  ///< for people
    bool holds = true; ///< false: beyond half the bound only, which is a warning
};
using GateReasons = std::vector<GateReason>;

bool holds(const GateReasons& reasons); ///< some of them
void add(GateReasons& reasons, const GateReasons& more);

} // namespace fuelring
