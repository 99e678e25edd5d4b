// SPDX-License-Identifier: Apache-2.0

// A map on a landscape page: the ground on the left, on the right what its colours mean and the
// neighbourhoods by their figures, the source across the foot. Names of neighbourhoods are in the
// middle of them, the larger first, and those that would cover another are left to the table.
#include "report/print/still_map.hpp"

#include "report/print/map_panel.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>

namespace fuelring::report {

namespace {

constexpr double map_margin_pt = 30;
constexpr double panel_pt = 205;
constexpr double map_gutter_pt = 14;
constexpr double ground_around = 1.06; ///< of the buildings' box
constexpr double halo_pt = 1.8;
constexpr double farthest_m = 100; ///< of ground beyond it, however far the rings reach
/// Width of the map over its height lies between these.
constexpr double least_shape = 1.0;
constexpr double most_shape = 1.35;

Box box_of(const PictureShape& shape)
{
    Box box = Box::nothing();
    for (const Loop& loop : shape)
        for (const Point p : loop)
            box.take_in(p);
    return box;
}

/// The point of a regular pattern over a shape that lies furthest inside it, judged by how many of
/// its neighbours in the pattern lie inside too.
Point inside_of(const PictureShape& shape)
{
    constexpr int n = 24;
    const Box box = box_of(shape);
    const Footprint area{shape};
    const auto at = [&](int i, int j) {
        return Point{std::lerp(box.min.x, box.max.x, (i + 0.5) / n),
                     std::lerp(box.min.y, box.max.y, (j + 0.5) / n)};
    };
    std::vector<int> depth(static_cast<std::size_t>(n) * n, 0);
    const auto cell = [](int i, int j) { return static_cast<std::size_t>(j * n + i); };
    for (int j = 0; j < n; ++j)
        for (int i = 0; i < n; ++i)
            depth[cell(i, j)] = contains(area, at(i, j)) ? 1 : 0;
    for (bool grown = true; grown;) { // peel: inside at depth d + 1 where all four sides are at d
        grown = false;
        const std::vector<int> before = depth;
        for (int j = 1; j + 1 < n; ++j)
            for (int i = 1; i + 1 < n; ++i) {
                const int least = std::min({before[cell(i - 1, j)], before[cell(i + 1, j)],
                                            before[cell(i, j - 1)], before[cell(i, j + 1)]});
                if (before[cell(i, j)] > 0 && least >= before[cell(i, j)]) {
                    ++depth[cell(i, j)];
                    grown = true;
                }
            }
    }
    const auto deepest = std::max_element(depth.begin(), depth.end()) - depth.begin();
    return at(static_cast<int>(deepest % n), static_cast<int>(deepest / n));
}

/// The ground that must be seen: buildings that are measured, and what is within reach of them.
struct Seen {
    Point centre; ///< in the picture's coordinates
    Point size_m;
};

Seen seen_of(const StillMap& map)
{
    const RunPicture& picture = map.picture;
    const std::vector<std::string>& names = picture.structures.table.at("neighbourhood").texts;
    Box box = picture.box;
    if (map.only) {
        std::vector<std::size_t> rows;
        for (std::size_t i = 0; i < names.size(); ++i)
            if (is_on_map(map, names[i]))
                rows.push_back(i);
        if (const Box own = box_of_measured(picture.structures, rows); own.min.x <= own.max.x)
            box = own;
    }
    const double reach_m = std::min(picture.rings.widest_m(), farthest_m);
    const LocalScale scale = picture.map_scale;
    return {box.centre(),
            {ground_around * (box.max.x - box.min.x) / scale.x + 2 * reach_m,
             ground_around * (box.max.y - box.min.y) / scale.y + 2 * reach_m}};
}

class Map {
public:
    Map(cairo_t* cr, const StillMap& map, const SheetText& text, TextSetter& setter)
        : cr_(cr), map_(map), text_(text), setter_(setter),
          ids_(map.picture.structures.table.at("neighbourhood").texts)
    {}

    void draw()
    {
        const Tagged page{cr_, "Sect"};
        const double width = map_paper.width_pt - 2 * map_margin_pt;
        double top = map_margin_pt;
        {
            const Tagged tagged{cr_, "H1"};
            top += setter_.draw(cr_, text_.word("map.title", {{"place", place()}}), map_margin_pt,
                                top, width, {.size_pt = 15, .bold = true, .most_lines = 2});
        }
        top += 6;
        const std::string source = source_of(map_, text_);
        const TextStyle note{.size_pt = map_print_pt, .grey = 0.2, .most_lines = 3};
        const double foot =
            map_paper.height_pt - map_margin_pt - setter_.height_pt(source, width, note);
        const PageBox box{map_margin_pt, top, width - panel_pt - map_gutter_pt, foot - 6 - top};
        ground(box);
        draw_map_panel(cr_, {box.x + box.width + map_gutter_pt, top, panel_pt, box.height}, map_,
                       text_, setter_);
        const Tagged tagged{cr_, "P"};
        setter_.draw(cr_, source, map_margin_pt, foot, width, note);
    }

    void ground(const PageBox& box)
    {
        const Seen seen = seen_of(map_);
        const LocalScale scale = picture().map_scale;
        const double pt_per_m = std::min(box.width / seen.size_m.x, box.height / seen.size_m.y);
        const Point centre = seen.centre;
        const auto axes = [&](Point x, Point y) {
            return MapView::Axes{{x.x / scale.x, x.y / scale.y}, {y.x / scale.x, y.y / scale.y}};
        };
        const MapView view{cr_, box, centre, pt_per_m, axes({1, 0}, {0, 1})};
        if (map_.backdrop)
            view.picture(*map_.backdrop);
        if (map_.context)
            view.context(*map_.context);
        if (map_.conifers) {
            const MapView::Axes& of = map_.conifer_axes;
            const Point in_grid{dot(centre, of.x), dot(centre, of.y)};
            const MapView cells{cr_, box, in_grid, pt_per_m, axes(of.x, of.y)};
            const MapCells& c = *map_.conifers;
            const Point far = c.corner + Point{c.cols * c.width_m, -c.rows * c.height_m};
            cells.cells(c, {{c.corner, {far.x, c.corner.y}, far, {c.corner.x, far.y}}},
                        map_.backdrop || map_.context ? MapView::Cells::darken
                                                      : MapView::Cells::cover);
        }
        const Tagged figure{cr_, "Figure"};
        areas(view);
        if (!map_.for_public)
            buildings(view);
        names(view);
        draw_scale_bar(cr_, view, setter_, map_print_pt);
        draw_north_arrow(cr_, view, map_.north, text_.word("plan.north"), setter_, map_print_pt);
        view.frame();
    }

private:
    const RunPicture& picture() const { return map_.picture; }

    std::string place() const
    {
        return map_.only ? text_.word("page.place", {{"neighbourhood", map_.rows[*map_.only].name},
                                                     {"community", map_.run.community}})
                         : map_.run.community;
    }

    /// Calls visit(row, shape) for every neighbourhood that has a shape.
    template <typename Visit>
    void for_each_area(Visit&& visit) const
    {
        for (const NeighbourhoodFigures& row : map_.rows)
            if (row.kind == NeighbourhoodFigures::Kind::neighbourhood)
                for (const std::size_t member : row.members)
                    visit(row, picture().neighbourhoods.shapes[member]);
    }

    void areas(const MapView& view) const
    {
        for_each_area([&](const NeighbourhoodFigures& row, const PictureShape& shape) {
            if (!view.shows(shape))
                return;
            if (map_.for_public && row.mean_exposure)
                view.fill(shape, exposure_colour(exposure_class(*row.mean_exposure)));
            const bool chosen = map_.only && &row == &map_.rows[*map_.only];
            view.line(shape, chosen ? 1.6 : 0.8, 0.25, chosen ? 0 : 5);
        });
        for (const NeighbourhoodFigures& row : map_.rows)
            if (row.kind == NeighbourhoodFigures::Kind::merged)
                for (const std::size_t member : row.members)
                    view.hatched(picture().neighbourhoods.shapes[member]);
    }

    void buildings(const MapView& view) const
    {
        const PictureLayer& layer = picture().structures;
        for (std::size_t i = 0; i < layer.shapes.size(); ++i) {
            if (!view.shows(layer.shapes[i]))
                continue;
            if (map_.backdrop) // a dark building on dark ground
                view.line(layer.shapes[i], halo_pt, 1);
            const double exposure = layer.table.number("exposure", i);
            const bool is_measured = !std::isnan(exposure);
            view.fill(layer.shapes[i], is_measured && is_on_map(map_, ids_[i])
                                           ? exposure_colour(exposure_class(exposure))
                                           : grey(1));
            view.line(layer.shapes[i], 0.3, 0, is_measured ? 0 : unmeasured_dash_pt);
        }
    }

    void names(const MapView& view)
    {
        if (map_.only)
            return;
        const TextStyle style{.size_pt = map_print_pt, .bold = true};
        std::vector<std::pair<double, std::pair<std::string, Point>>> wanted;
        for_each_area([&](const NeighbourhoodFigures& row, const PictureShape& shape) {
            const Box box = box_of(shape);
            const double area = (box.max.x - box.min.x) * (box.max.y - box.min.y);
            if (!shape.empty())
                wanted.push_back({area, {row.name, view.on_page(inside_of(shape))}});
        });
        std::stable_sort(wanted.begin(), wanted.end(),
                         [](const auto& a, const auto& b) { return a.first > b.first; });
        std::vector<PageBox> taken;
        for (const auto& [area, name] : wanted) {
            const TextSetter::Extent size = setter_.extent(name.first, style);
            const PageBox box{name.second.x - size.width_pt / 2, name.second.y - size.height_pt / 2,
                              size.width_pt, size.height_pt};
            if (!within(box, view.box()) ||
                std::any_of(taken.begin(), taken.end(),
                            [&](const PageBox& other) { return overlap(box, other); }))
                continue;
            taken.push_back(box);
            setter_.label(cr_, name.first, name.second.x, name.second.y, style);
        }
    }

    static bool overlap(const PageBox& a, const PageBox& b)
    {
        return a.x < b.x + b.width && b.x < a.x + a.width && a.y < b.y + b.height &&
               b.y < a.y + a.height;
    }
    static bool within(const PageBox& a, const PageBox& b)
    {
        return a.x >= b.x && a.y >= b.y && a.x + a.width <= b.x + b.width &&
               a.y + a.height <= b.y + b.height;
    }

    cairo_t* cr_;
    const StillMap& map_;
    const SheetText& text_;
    TextSetter& setter_;
    const std::vector<std::string>& ids_; ///< neighbourhood by structure
};

} // namespace

Box ground_shown(const StillMap& map)
{
    const Seen seen = seen_of(map);
    const LocalScale scale = map.picture.map_scale;
    const Point half{0.5 * scale.x * std::max(seen.size_m.x, most_shape * seen.size_m.y),
                     0.5 * scale.y * std::max(seen.size_m.y, seen.size_m.x / least_shape)};
    return {seen.centre - half, seen.centre + half};
}

std::string source_of(const StillMap& map, const SheetText& text)
{
    const std::string& limits = text.word("limits.text");
    const std::string said =
        map.run.imagery_date.empty()
            ? text.word("map.source_undated", {{"program", map.run.program}, {"limits", limits}})
            : text.word("map.source", {{"program", map.run.program},
                                       {"imagery_date", text.date(map.run.imagery_date)},
                                       {"limits", limits}});
    return said + credits_of(map, text);
}

std::string credits_of(const StillMap& map, const SheetText& text)
{
    return credits(map.backdrop ? map.backdrop->credit : std::string{},
                   map.context ? map.context->credit : std::string{}, text);
}

void draw_map_ground(cairo_t* cr, const PageBox& box, const StillMap& map, const SheetText& text,
                     TextSetter& setter)
{
    Map{cr, map, text, setter}.ground(box);
}

void draw_still_map(cairo_t* cr, const StillMap& map, const SheetText& text, TextSetter& setter)
{
    Map{cr, map, text, setter}.draw();
}

} // namespace fuelring::report
