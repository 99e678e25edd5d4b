// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/geopackage/gpkg_file.hpp"

#include <string>
#include <vector>

namespace fuelring {

/// One kind of sign in a layer: what is drawn by it, and how.
struct StyleRule {
    std::string label;    ///< for people
    std::string column;   ///< empty: everything
    double from = 0;      ///< and more
    double to = 0;        ///< and less than this
    std::string colour;   ///< "#rrggbb"
    bool unknown = false; ///< the column is empty: hatched
};

/// How a layer is drawn.
struct LayerDrawing {
    enum class Kind {
        filled,  ///< by classes, with an outline
        outline, ///< lines alone, so that nothing below is hidden
        dots     ///< small and black
    };
    Kind kind = Kind::filled;
    std::vector<StyleRule> rules;
    std::string name_column{}; ///< that labels the features; empty for none
    double labels_from = 0;    ///< scale 1 to so much and closer; 0 at any
};

/// The drawing of a layer of points or polygons with these fields: homes by their exposure,
/// patches to clear by what they save, neighbourhoods as outline and name, addresses as dots.
/// Law: classes are fixed, so that one colour means the same in any two communities.
LayerDrawing drawing_of(const std::string& layer, bool points,
                        const std::vector<GpkgField>& fields);

} // namespace fuelring
