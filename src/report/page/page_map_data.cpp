// SPDX-License-Identifier: Apache-2.0
#include "report/page/page_map_data.hpp"

#include <cmath>

namespace fuelring {

namespace {

using nlohmann::json;

constexpr double square_metres_of_hectare = 10000;

json image_json(const std::string& png)
{
    return png.empty() ? json() : json("data:image/png;base64," + base64(png));
}

/// A box of the picture in metres of the page's plane.
json box_json(const Box& box, LocalScale scale)
{
    return {box.min.x / scale.x, box.min.y / scale.y, box.max.x / scale.x, box.max.y / scale.y};
}

json squares_json(const PackedSquares& squares)
{
    if (squares.zlib.empty())
        return nullptr;
    return {{"side", squares.side},
            {"cols", squares.cols},
            {"rows", squares.rows},
            {"bits", squares.bits},
            {"zlib", base64(squares.zlib)}};
}

/// To one part in 1e10 of a degree: a hundredth of a millimetre.
double degrees_shown(double degrees)
{
    constexpr double per_degree = 1e10;
    return std::round(degrees * per_degree) / per_degree;
}

} // namespace

json surface_json(const PageParts& parts)
{
    const PictureSurface& surface = parts.picture.surface;
    json classes = json::array();
    for (std::size_t k = 0; k < surface.gain.size(); ++k)
        classes.push_back(gain_class_name(k, static_cast<double>(surface.gain[k].cells) *
                                                 surface.cell_m2 / square_metres_of_hectare));
    return {{"box", box_json(surface.box, parts.picture.map_scale)},
            {"classes", classes},
            {"points", image_json(parts.images.surface_png)},
            {"unmapped", image_json(parts.images.unmapped_png)}};
}

json backdrop_json(const PageParts& parts)
{
    const std::optional<Backdrop>& backdrop = parts.images.backdrop;
    if (!backdrop)
        return nullptr;
    return {{"box", box_json(backdrop->box, parts.picture.map_scale)},
            {"credit", backdrop->credit},
            {"image", "data:image/jpeg;base64," + base64(backdrop->jpeg)}};
}

json ground_json(const PageParts& parts)
{
    const PictureGround& ground = parts.picture.ground;
    const LocalScale scale = parts.picture.map_scale;
    const auto& t = ground.to_cells;
    return {
        {"to_cells", {t[0], t[1] * scale.x, t[2] * scale.y, t[3], t[4] * scale.x, t[5] * scale.y}},
        {"cell_m2", ground.cell_m2},
        {"points", squares_json(parts.images.points)},
        {"conifer", squares_json(parts.images.conifer)}};
}

json degrees_json(const RunPicture& picture)
{
    if (picture.degrees.lonlat.empty())
        return nullptr;
    json places = json::array();
    for (const Point p : picture.degrees.lonlat)
        places.push_back({degrees_shown(p.x), degrees_shown(p.y)});
    return {{"box", box_json(picture.degrees.box, picture.map_scale)},
            {"nodes", PictureDegrees::nodes},
            {"lonlat", places}};
}

} // namespace fuelring
