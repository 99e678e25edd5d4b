// SPDX-License-Identifier: Apache-2.0

// A map on a landscape page: the ground on the left, on the right what its colours mean and the
// neighbourhoods by their figures, the source across the foot. Names of neighbourhoods are where
// they cover the fewest buildings, the larger first; those without room are left to the table.
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
        std::vector<NameWanted> wanted;
        for_each_area([&](const NeighbourhoodFigures& row, const PictureShape& shape) {
            const Box box = box_of(shape);
            if (!shape.empty())
                wanted.push_back(
                    {(box.max.x - box.min.x) * (box.max.y - box.min.y), row.name, &shape});
        });
        std::stable_sort(wanted.begin(), wanted.end(),
                         [](const NameWanted& a, const NameWanted& b) { return a.area > b.area; });
        // For the public not even by where a name stands.
        const std::vector<PageBox> homes =
            map_.for_public ? std::vector<PageBox>{} : homes_seen(view);
        std::vector<PageBox> taken;
        for (const NameWanted& name : wanted) {
            const TextSetter::Extent size = setter_.extent(name.name, style);
            const auto box = room_for(view, size, *name.shape, homes, taken);
            if (!box)
                continue;
            taken.push_back(*box);
            setter_.label(cr_, name.name, box->x + box->width / 2, box->y + box->height / 2, style);
        }
    }

    struct NameWanted {
        double area;
        std::string name;
        const PictureShape* shape;
    };

    /// Around every building of the view, on the page.
    std::vector<PageBox> homes_seen(const MapView& view) const
    {
        std::vector<PageBox> boxes;
        for (const PictureShape& shape : picture().structures.shapes) {
            if (!view.shows(shape))
                continue;
            const Box box = box_of(shape);
            const Point a = view.on_page({box.min.x, box.max.y});
            const Point b = view.on_page({box.max.x, box.min.y});
            boxes.push_back({a.x, a.y, b.x - a.x, b.y - a.y});
        }
        return boxes;
    }

    /// Of a pattern over an area, the place in it where a name covers the fewest buildings and no
    /// other name, the nearer to the middle the better; empty where there is none.
    std::optional<PageBox> room_for(const MapView& view, TextSetter::Extent size,
                                    const PictureShape& shape, const std::vector<PageBox>& homes,
                                    const std::vector<PageBox>& taken) const
    {
        constexpr int n = 16;
        const Box area = box_of(shape);
        const Footprint inside{shape};
        std::optional<PageBox> best;
        double least = HUGE_VAL;
        for (int k = 0; k < n * n; ++k) {
            const double u = (k % n + 0.5) / n;
            const double v = (k / n + 0.5) / n;
            const Point at{std::lerp(area.min.x, area.max.x, u),
                           std::lerp(area.min.y, area.max.y, v)};
            const Point on_page = view.on_page(at);
            const PageBox box{on_page.x - size.width_pt / 2, on_page.y - size.height_pt / 2,
                              size.width_pt, size.height_pt};
            const auto covers = [&](const PageBox& other) { return overlap(box, other); };
            if (!contains(inside, at) || !within(box, view.box()) ||
                std::any_of(taken.begin(), taken.end(), covers))
                continue;
            const double cost =
                static_cast<double>(std::count_if(homes.begin(), homes.end(), covers)) +
                std::hypot(u - 0.5, v - 0.5);
            if (cost < least) {
                least = cost;
                best = box;
            }
        }
        return best;
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
