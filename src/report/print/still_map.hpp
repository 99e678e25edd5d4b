// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/backdrop.hpp"
#include "report/context.hpp"
#include "report/neighbourhood_figures.hpp"
#include "report/print/document.hpp"
#include "report/print/home_sheet.hpp"
#include "report/run_picture.hpp"

namespace fuelring::report {

/// A still map in the making: of a community, or of one of its neighbourhoods. Refers to what it
/// shows, which must outlive it.
struct StillMap {
    const RunPicture& picture;
    const RunFacts& run;
    /// Rows of the table next to the map; public ones where the map is for everybody.
    const std::vector<NeighbourhoodFigures>& rows;
    bool for_public = false; ///< no building is shown, neighbourhoods are coloured by their mean
    Point north{0, 1};       ///< true north, in the picture's coordinates
    const MapCells* conifers = nullptr; ///< what grows, under the buildings; may be left out
    MapView::Axes conifer_axes;         ///< of their frame in the picture's coordinates
    const Backdrop* backdrop = nullptr; ///< under everything; may be left out
    const Context* context = nullptr;   ///< under conifers and buildings; may be left out
    std::optional<std::size_t> only;    ///< index into `rows`: the map is of this neighbourhood
};

/// Paper of a still map: A4, landscape.
inline constexpr Paper map_paper{paper_a4.height_pt, paper_a4.width_pt};

/// A box around all ground that such a map shows, in the picture's coordinates: what `conifers` has
/// to cover. Known before the title is set, so it holds for every shape that the map may get.
Box ground_shown(const StillMap& map);

/// Where the map comes from, whose its backdrop is, and what its figures do not say.
std::string source_of(const StillMap& map, const SheetText& text);

/// Whose picture and whose lines a map shows: sentences with a blank before each, or nothing.
std::string credits_of(const StillMap& map, const SheetText& text);

/// Draws the ground of such a map alone into a box: neighbourhoods, buildings, names, scale bar,
/// north.
void draw_map_ground(cairo_t* cr, const PageBox& box, const StillMap& map, const SheetText& text,
                     TextSetter& setter);

/// Draws a map with its title, legend, scale bar, north arrow, table of neighbourhoods and source
/// on a landscape page. Buildings have the colour of their class of exposure (those of other
/// neighbourhoods are white), and the legend has the bounds of every colour and its number of
/// buildings. A map for the public shows no building and no number of them by class. Ends no page.
void draw_still_map(cairo_t* cr, const StillMap& map, const SheetText& text, TextSetter& setter);

} // namespace fuelring::report
