// SPDX-License-Identifier: Apache-2.0

// The plan of a home. Its scale follows from the room and from the distance that must be seen; the
// order of drawing is ground, lines, buildings, words, so that nothing hides a word.
#include "report/print/home_drawing.hpp"

#include <algorithm>
#include <cmath>
#include <functional>

namespace fuelring::report {

namespace {

constexpr double margin = 1.04;    ///< of ground beyond the widest line
constexpr double least_gap_pt = 2; ///< between the wall and a line that is drawn
constexpr double line_pt = 0.5;
constexpr double parcel_pt = 0.45;
constexpr double own_parcel_pt = 0.9;
constexpr double parcel_grey = 0.35;
constexpr double parcel_dash_pt = 3;
constexpr double other_fill = 0.93;
constexpr double home_fill = 0.15;

Point drawn(const MapView::Axes& axes, Point p)
{
    return p.x * axes.x + p.y * axes.y;
}

/// Back into the frame: the axes are at right angles and of length 1.
Point in_frame(const MapView::Axes& axes, Point p)
{
    return {dot(p, axes.x), dot(p, axes.y)};
}

/// Points along an outline, near enough to find its sides by.
void for_each_point(const Outline& outline, const std::function<void(Point)>& visit)
{
    constexpr int steps = 8;
    for (const Piece& piece : outline.pieces) {
        visit(piece.start);
        for (int k = 1; piece.arc && k < steps; ++k)
            visit(piece.at(piece.t0 + (piece.t1 - piece.t0) * k / steps));
    }
}

const DistanceLine* widest_line(const HomePlan& plan, double widest_m)
{
    const DistanceLine* widest = nullptr;
    for (const DistanceLine& line : plan.lines)
        if (line.distance_m <= widest_m * (1 + 1e-12))
            widest = &line;
    return widest;
}

struct PlanView {
    MapView view;
    Point centre; ///< in the frame
};

PlanView view_of(cairo_t* cr, const PageBox& box, const HomePlan& plan, double widest_m)
{
    Box extent = Box::nothing();
    if (const DistanceLine* line = widest_line(plan, widest_m))
        for_each_point(line->outline, [&](Point p) { extent.take_in(drawn(plan.axes, p)); });
    for (const Loop& loop : plan.home)
        for (const Point p : loop)
            extent.take_in(drawn(plan.axes, p));
    const Point size = margin * (extent.max - extent.min);
    const double pt_per_m = std::min(box.width / size.x, box.height / size.y);
    const Point centre = in_frame(plan.axes, extent.centre());
    return {{cr, box, centre, pt_per_m, plan.axes}, centre};
}

/// Where an outline reaches furthest in a direction of the page, in points of the page.
Point furthest(const MapView& view, const Outline& outline, Point direction)
{
    Point best;
    double most = -HUGE_VAL;
    for_each_point(outline, [&](Point p) {
        const Point at = view.on_page(p);
        if (dot(at, direction) > most) {
            most = dot(at, direction);
            best = at;
        }
    });
    return best;
}

/// Lines that can be told apart on paper, from the wall outwards, each with its gap to the one
/// within.
struct ShownLine {
    const DistanceLine* line;
    double gap_pt;
};
std::vector<ShownLine> lines_shown(const MapView& view, const HomePlan& plan)
{
    std::vector<ShownLine> shown;
    double within_m = 0;
    for (const DistanceLine& line : plan.lines) {
        const double gap_pt = (line.distance_m - within_m) * view.pt_per_m();
        if (gap_pt < least_gap_pt)
            continue;
        within_m = line.distance_m;
        shown.push_back({&line, gap_pt});
    }
    return shown;
}

/// The label of a line is on top of it, or just above where it would hide the line within. The
/// widest come first; those that would cover another are left to the plan of what is close by.
void draw_distance_labels(cairo_t* cr, const MapView& view, const HomePlan& plan, double widest_m,
                          const SheetText& text, TextSetter& setter, double size_pt)
{
    const Point up{0, -1};
    double lowest = -HUGE_VAL;
    const std::vector<ShownLine> shown = lines_shown(view, plan);
    for (auto it = shown.rbegin(); it != shown.rend(); ++it) {
        if (it->line->distance_m > widest_m * (1 + 1e-12))
            continue;
        Point at =
            furthest(view, it->line->outline, up) + std::max(0.0, 0.75 * size_pt - it->gap_pt) * up;
        at.y = std::max(at.y, view.box().y + 0.8 * size_pt);
        if (at.y < lowest + 1.15 * size_pt)
            continue;
        lowest = at.y;
        setter.label(cr,
                     text.word("plan.distance", {{"distance", text.length(it->line->distance_m)}}),
                     at.x, at.y, {.size_pt = size_pt});
    }
}

/// The picture and the lines below, north up whatever the axes of the plan; true where there are
/// any.
bool draw_below(cairo_t* cr, const MapView& view, Point centre, const HomePlan& plan)
{
    const GroundBelow& below = plan.below;
    if (!below.picture && !below.context)
        return false;
    const auto there = [&](Point p) { // of the plan's frame
        return below.origin + p.x * below.metres.x + p.y * below.metres.y;
    };
    const PageBox& box = view.box();
    Box shown = Box::nothing();
    for (const double x : {-0.5, 0.5})
        for (const double y : {-0.5, 0.5})
            shown.take_in(there(centre + in_frame(plan.axes, {x * box.width / view.pt_per_m(),
                                                              y * box.height / view.pt_per_m()})));
    const MapView ground{cr,
                         box,
                         there(centre),
                         view.pt_per_m(),
                         {drawn(plan.axes, below.units.x), drawn(plan.axes, below.units.y)}};
    const std::optional<Backdrop> picture =
        below.picture ? below.picture(shown) : std::optional<Backdrop>{};
    if (picture)
        ground.picture(*picture);
    if (below.context)
        ground.context(below.context(shown));
    return true;
}

void draw_surroundings(cairo_t* cr, const MapView& view, const HomePlan& plan)
{
    const SavedState state{cr};
    // As a group: the clip has a hundred corners, and would be written out with every shape.
    cairo_push_group(cr);
    view.shapes(plan.others, grey(other_fill), line_pt, parcel_grey);
    for (const bool own : {false, true}) {
        std::vector<Loop> edges;
        for (const ParcelEdge& edge : plan.parcels)
            if (edge.own == own && view.shows({{edge.from, edge.to}}))
                edges.push_back({edge.from, edge.to});
        view.line(edges, own ? own_parcel_pt : parcel_pt, parcel_grey, parcel_dash_pt);
    }
    cairo_pop_group_to_source(cr);
    view.keep_within(plan.reach);
    cairo_paint(cr);
}

} // namespace

void draw_home_plan(cairo_t* cr, const PageBox& box, const HomePlan& plan, double widest_m,
                    const SheetText& text, TextSetter& setter, double size_pt)
{
    const PlanView plan_view = view_of(cr, box, plan, widest_m);
    const MapView& view = plan_view.view;
    const bool on_ground = draw_below(cr, view, plan_view.centre, plan);
    view.cells(plan.cells, plan.reach, on_ground ? MapView::Cells::darken : MapView::Cells::cover);
    draw_surroundings(cr, view, plan);
    for (const ShownLine& shown : lines_shown(view, plan))
        view.line(shown.line->outline, line_pt, 0);
    view.fill(plan.home, grey(home_fill));
    draw_distance_labels(cr, view, plan, widest_m, text, setter, size_pt);
    draw_scale_bar(cr, view, setter, size_pt);
    draw_north_arrow(cr, view, plan.north, text.word("plan.north"), setter, size_pt);
    view.frame();
}

double draw_plan_legend(cairo_t* cr, const HomePlan& plan, const PageBox& box,
                        const SheetText& text, TextSetter& setter, double size_pt)
{
    const TextStyle style{.size_pt = size_pt};
    const double row_pt = 1.35 * size_pt;
    const double sign_pt = 1.6 * size_pt;
    double x = box.x;
    double y = box.y;
    const auto entry = [&](const char* key, const std::function<void(const PageBox&)>& sign) {
        const std::string& words = text.word(key);
        const double width = sign_pt + 0.4 * size_pt + setter.extent(words, style).width_pt;
        if (x > box.x && x + width > box.x + box.width) {
            x = box.x;
            y += row_pt;
        }
        if (cr) {
            const SavedState state{cr};
            sign({x, y + 0.2 * size_pt, sign_pt, 0.9 * size_pt});
            setter.draw(cr, words, x + sign_pt + 0.4 * size_pt, y, 0, style);
        }
        x += width + size_pt;
    };
    const auto filled_box = [&](double lightness) {
        return [cr, lightness](const PageBox& sign) {
            add_box(cr, sign);
            set_colour(cr, grey(lightness));
            cairo_fill_preserve(cr);
            stroke(cr, line_pt, grey(parcel_grey));
        };
    };
    entry("plan.home", filled_box(home_fill));
    if (!plan.others.empty())
        entry("plan.neighbours", filled_box(other_fill));
    entry("plan.conifers", filled_box(conifer_grey));
    const std::vector<std::uint16_t>& cells = plan.cells.share;
    if (std::find(cells.begin(), cells.end(), MapCells::unmapped) != cells.end())
        entry("plan.unmapped", [cr](const PageBox& sign) {
            add_box(cr, sign);
            hatch_path(cr, sign);
        });
    if (plan.has_parcels)
        entry("plan.parcels", [cr](const PageBox& sign) {
            cairo_move_to(cr, sign.x, sign.y + sign.height / 2);
            cairo_line_to(cr, sign.x + sign.width, sign.y + sign.height / 2);
            stroke(cr, own_parcel_pt, grey(parcel_grey), parcel_dash_pt);
        });
    for (const ContextKind kind : plan.below.kinds)
        entry(context_word(kind).c_str(),
              [cr, kind](const PageBox& sign) { draw_context_sign(cr, sign, kind); });
    return y + row_pt - box.y;
}

} // namespace fuelring::report
