// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/folder/found.hpp"

#include <array>
#include <map>
#include <string_view>
#include <vector>

namespace fuelring {

/// What a layer can be in a run.
enum class LayerRole { structures, addresses, neighbourhoods, parcels, area, corrections };
inline constexpr std::array layer_roles{LayerRole::structures,     LayerRole::addresses,
                                        LayerRole::neighbourhoods, LayerRole::parcels,
                                        LayerRole::corrections,    LayerRole::area};

/// The table of the configuration that names it.
std::string_view table_of(LayerRole role);

/// Each role with the layer that has it: points for what stands in a layer and how it is called,
/// then roles from the highest points down, each to one layer. A layer with less than 3 points has
/// no role; equal points go by the order of the layers. `taken`: a layer that has one already, or
/// null.
std::map<LayerRole, const FoundLayer*> given_out(const std::vector<FoundLayer>& layers,
                                                 const FoundLayer* taken);

} // namespace fuelring
