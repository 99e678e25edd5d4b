// SPDX-License-Identifier: Apache-2.0

// What a map needs besides the ground: how long a metre is, and where north lies. Both stand on a
// white ground of their own, since anything may be drawn beneath.
#include "report/print/map_view.hpp"

#include <fmt/format.h>

#include <cmath>

namespace fuelring::report {

namespace {

/// The longest of 1, 2, 5 times a power of ten that is no more than `most`.
double round_length(double most)
{
    const double power = std::pow(10, std::floor(std::log10(most)));
    return power * (most >= 5 * power ? 5 : most >= 2 * power ? 2 : 1);
}

std::string length_in_words(double length_m)
{
    return length_m >= 1000 ? fmt::format("{:g} km", length_m / 1000)
                            : fmt::format("{:g} m", length_m);
}

} // namespace

void draw_scale_bar(cairo_t* cr, const MapView& view, TextSetter& text, double size_pt)
{
    const PageBox& box = view.box();
    const double length_m = round_length(box.width / 3 / view.pt_per_m());
    const double length_pt = length_m * view.pt_per_m();
    const TextStyle style{.size_pt = size_pt};
    const std::string words = length_in_words(length_m);
    const TextSetter::Extent size = text.extent(words, style);
    const double margin = 0.5 * size_pt;
    const double left = box.x + margin;
    const double bottom = box.y + box.height - margin;
    const SavedState state{cr};
    fill_box(cr,
             {box.x + 0.3, bottom - size.height_pt - margin,
              std::max(length_pt, size.width_pt) + 2 * margin, size.height_pt + 2 * margin - 0.3},
             grey(1));
    text.draw(cr, words, left, bottom - size.height_pt - 1, 0, style);
    cairo_set_line_join(cr, CAIRO_LINE_JOIN_MITER);
    cairo_move_to(cr, left, bottom - 3);
    cairo_line_to(cr, left, bottom);
    cairo_line_to(cr, left + length_pt, bottom);
    cairo_line_to(cr, left + length_pt, bottom - 3);
    stroke(cr, 1.2, grey(0));
}

void draw_north_arrow(cairo_t* cr, const MapView& view, Point north, const std::string& letter,
                      TextSetter& text, double size_pt)
{
    const PageBox& box = view.box();
    const double half = 1.1 * size_pt;
    const Point middle{box.x + box.width - 2.25 * size_pt, box.y + 2.25 * size_pt};
    const SavedState state{cr};
    set_colour(cr, grey(1));
    cairo_arc(cr, middle.x, middle.y, 2.15 * size_pt, 0, 2 * std::acos(-1.0));
    cairo_fill(cr);
    const double length = std::hypot(north.x, north.y);
    const Point up{north.x / length, -north.y / length}; // pages count downwards
    const Point side{-up.y, up.x};
    const auto to = [&](double along, double across) {
        const Point p = middle + along * up + across * side;
        cairo_line_to(cr, p.x, p.y);
    };
    to(half, 0);
    to(-half, 0.45 * size_pt);
    to(-0.6 * half, 0);
    to(-half, -0.45 * size_pt);
    cairo_close_path(cr);
    set_colour(cr, grey(0));
    cairo_fill(cr);
    const TextStyle style{.size_pt = 0.9 * size_pt, .bold = true};
    const TextSetter::Extent size = text.extent(letter, style);
    const Point at = middle - 1.45 * half * up;
    text.draw(cr, letter, at.x - size.width_pt / 2, at.y - size.height_pt / 2, 0, style);
}

} // namespace fuelring::report
