// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/run_picture.hpp" // PictureShape

#include <array>
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace fuelring {

/// What a layer below the maps holds; decides how it is drawn.
enum class ContextKind { streets, paths, railway, water };
inline constexpr std::array<std::string_view, 4> context_kinds{"streets", "paths", "railway",
                                                               "water"};

/// Lines and areas that help people find themselves, in the picture's coordinates.
struct ContextLayer {
    ContextKind kind = ContextKind::streets;
    std::vector<std::vector<Point>> lines; ///< of two points or more
    std::vector<PictureShape> areas;       ///< even-odd
};

/// What a town puts below its maps, from below: water, then railways, paths and streets.
struct Context {
    std::vector<ContextLayer> layers;
    std::string credit; ///< whose they are; may be empty

    bool empty() const { return layers.empty(); }
};

std::size_t vertices_of(const Context& context);

/// What of it lies in a box: lines are cut at its sides, areas follow them. Layers of which nothing
/// is left are left out. Source: Liang and Barsky 1984 for lines, Sutherland and Hodgman 1974 for
/// areas, whose loops may run along a side twice (even-odd does not see it).
Context within(const Context& context, const Box& box);

/// The same in fewer vertices: none of those left out was further than `off` from what is drawn,
/// and lines and areas that are smaller than `off` each way are left out. Source: Ramer 1972;
/// Douglas and Peucker 1973. `off` is in the coordinates' unit.
Context generalised(const Context& context, double off);

/// Generalised by `off`, or by as many doublings of it as bring it below `most` vertices.
Context generalised_to(const Context& context, double off, std::size_t most);

} // namespace fuelring
