// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/geopackage/gpkg_file.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace fuelring {

/// What a QML file begins with.
inline constexpr std::string_view qml_begin =
    "<!DOCTYPE qgis PUBLIC 'http://mrcc.com/qgis.dtd' 'SYSTEM'>\n";

/// How a layer is drawn when a desktop GIS opens it; layer_rules.hpp says by what.
struct LayerStyle {
    std::string qml; ///< with the aliases of the fields
    std::string sld; ///< the same drawing for other programs
};

/// The style of a layer of points or polygons with these fields, in their order.
/// Law: classes are fixed, so that one colour means the same in any two communities.
LayerStyle style_of(const std::string& layer, bool points, const std::vector<GpkgField>& fields);

} // namespace fuelring
