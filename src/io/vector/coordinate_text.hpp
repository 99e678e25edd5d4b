// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <optional>
#include <string_view>

namespace fuelring {

/// A coordinate as towns write it: "601234.5", "601 234,5", "2'600'000". Empty where it is no
/// number. A comma is the decimal sign unless there is a point, too, or another comma.
std::optional<double> coordinate_of(std::string_view text);

/// Pairs of names that columns of coordinates usually have, x first; the case of letters does not
/// matter.
inline constexpr std::array<std::array<std::string_view, 2>, 14> usual_coordinate_columns{
    {{"x", "y"},
     {"easting", "northing"},
     {"east", "north"},
     {"e", "n"},
     {"lon", "lat"},
     {"long", "lat"},
     {"lng", "lat"},
     {"longitude", "latitude"},
     {"x_coord", "y_coord"},
     {"xcoord", "ycoord"},
     {"coord_x", "coord_y"},
     {"point_x", "point_y"},
     {"pos_x", "pos_y"},
     {"gkode", "gkodn"}}};

} // namespace fuelring
