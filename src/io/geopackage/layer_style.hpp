// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/geopackage/gpkg_file.hpp"

#include <string>
#include <vector>

namespace fuelring {

/// How a layer is drawn when a desktop GIS opens it: exposure in classes of cividis with their
/// numbers, in grey and hatched where it is unknown; layers without exposure as plain outlines.
struct LayerStyle {
    std::string qml; ///< with the aliases of the fields
    std::string sld; ///< the same drawing for other programs
};

/// The style of a layer of points or polygons with these fields, in their order.
/// Drawn by the first of `exposure`, `mean_exposure` and `exposure_after` that the fields have.
/// Law: classes are fixed, so that one colour means the same in any two communities.
LayerStyle style_of(const std::string& layer, bool points, const std::vector<GpkgField>& fields);

/// The style of the priority surface, as a QML for priority.tif. `most`: its largest value; 0 and
/// less for a surface of nothing.
std::string surface_style(double most);

} // namespace fuelring
