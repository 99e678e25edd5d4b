// SPDX-License-Identifier: Apache-2.0

// Ground on a page. Cells are drawn as an image of one pixel a cell that is stretched without
// smoothing, so that every cell is where it lies; lines are drawn as lines.
#include "report/print/map_view.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace fuelring::report {

namespace {

constexpr double hatch_grey = 0.45;
constexpr double hatch_step_pt = 3;
constexpr double whole_cover = 1e4;

/// The control points of the curve from t to t + dt along an arc, by the usual factor.
void curve_along(cairo_t* cr, const MapView& view, const Piece& arc, double t, double dt)
{
    const auto at = [&](double s) { return arc.at(s); };
    const auto along = [&](double s) { return std::cos(s) * arc.v - std::sin(s) * arc.u; };
    const double k = 4.0 / 3.0 * std::tan(dt / 4);
    const Point a = view.on_page(at(t) + k * along(t));
    const Point b = view.on_page(at(t + dt) - k * along(t + dt));
    const Point end = view.on_page(at(t + dt));
    cairo_curve_to(cr, a.x, a.y, b.x, b.y, end.x, end.y);
}

constexpr double paler = 0.5; ///< share of white over a picture

/// With its JPEG, which a PDF takes as it is.
SurfacePtr surface_of(const Backdrop& picture)
{
    SurfacePtr image{cairo_image_surface_create(CAIRO_FORMAT_RGB24, picture.cols, picture.rows)};
    unsigned char* const bytes = cairo_image_surface_get_data(image.get());
    if (!bytes)
        return image; // the context says so when it draws it
    cairo_surface_flush(image.get());
    const int stride = cairo_image_surface_get_stride(image.get());
    const std::uint8_t* from = picture.rgb.data();
    for (int row = 0; row < picture.rows; ++row) {
        auto* const pixels =
            reinterpret_cast<std::uint32_t*>(bytes + static_cast<std::ptrdiff_t>(row) * stride);
        for (int col = 0; col < picture.cols; ++col, from += 3)
            pixels[col] = static_cast<std::uint32_t>(from[0] << 16 | from[1] << 8 | from[2]);
    }
    cairo_surface_mark_dirty(image.get());
    // Cairo keeps the bytes beyond this call: they are its own, freed by it.
    if (auto* copy = static_cast<unsigned char*>(std::malloc(picture.jpeg.size()))) {
        std::copy(picture.jpeg.begin(), picture.jpeg.end(), copy);
        cairo_surface_set_mime_data(image.get(), CAIRO_MIME_TYPE_JPEG, copy, picture.jpeg.size(),
                                    std::free, copy);
    }
    return image;
}

} // namespace

MapView::MapView(cairo_t* cr, PageBox box, Point centre, double pt_per_m, Axes axes)
    : cr_(cr), box_(box), centre_(centre), pt_per_m_(pt_per_m), axes_(axes)
{}

Point MapView::on_page(Point p) const
{
    const Point d = p - centre_;
    const Point drawn = d.x * axes_.x + d.y * axes_.y;
    return {box_.x + box_.width / 2 + pt_per_m_ * drawn.x,
            box_.y + box_.height / 2 - pt_per_m_ * drawn.y};
}

bool MapView::shows(const std::vector<Loop>& loops) const
{
    Box extent = Box::nothing();
    for (const Loop& loop : loops)
        for (const Point p : loop)
            extent.take_in(on_page(p));
    return extent.meets({{box_.x, box_.y}, {box_.x + box_.width, box_.y + box_.height}});
}

void MapView::clip() const
{
    add_box(cr_, box_);
    cairo_clip(cr_);
}

void MapView::path(const std::vector<Loop>& loops) const
{
    cairo_new_path(cr_);
    cairo_set_fill_rule(cr_, CAIRO_FILL_RULE_EVEN_ODD);
    for (const Loop& loop : loops) {
        cairo_new_sub_path(cr_);
        for (const Point p : loop) {
            const Point at = on_page(p);
            cairo_line_to(cr_, at.x, at.y);
        }
        cairo_close_path(cr_);
    }
}

void MapView::fill(const std::vector<Loop>& loops, const Colour& colour) const
{
    const SavedState state{cr_};
    clip();
    path(loops);
    set_colour(cr_, colour);
    cairo_fill(cr_);
}

void MapView::hatched(const std::vector<Loop>& loops) const
{
    const SavedState state{cr_};
    clip();
    path(loops);
    hatch_path(cr_, box_);
    line(loops, 0.4, hatch_grey);
}

void MapView::line(const std::vector<Loop>& loops, double width_pt, double lightness,
                   double dash_pt) const
{
    const SavedState state{cr_};
    clip();
    path(loops);
    cairo_set_line_join(cr_, CAIRO_LINE_JOIN_ROUND);
    stroke(cr_, width_pt, grey(lightness), dash_pt);
}

void MapView::shapes(const std::vector<std::vector<Loop>>& shapes, const Colour& colour,
                     double width_pt, double lightness) const
{
    const SavedState state{cr_};
    clip();
    cairo_set_line_join(cr_, CAIRO_LINE_JOIN_ROUND);
    for (const std::vector<Loop>& shape : shapes) {
        if (!shows(shape))
            continue;
        path(shape);
        set_colour(cr_, colour);
        cairo_fill_preserve(cr_);
        stroke(cr_, width_pt, grey(lightness));
    }
}

void MapView::line(const Outline& outline, double width_pt, double lightness) const
{
    const SavedState state{cr_};
    clip();
    cairo_new_path(cr_);
    for (const Piece& piece : outline.pieces) {
        const Point from = on_page(piece.start);
        const Point to = on_page(piece.end);
        cairo_move_to(cr_, from.x, from.y);
        if (!piece.arc) {
            cairo_line_to(cr_, to.x, to.y);
            continue;
        }
        // The error of one curve grows with the sixth power of its angle: short ones are as good as
        // arcs.
        const int parts = std::max(1, static_cast<int>(std::ceil((piece.t1 - piece.t0) / 0.8)));
        const double dt = (piece.t1 - piece.t0) / parts;
        for (int k = 0; k < parts; ++k)
            curve_along(cr_, *this, piece, piece.t0 + k * dt, dt);
    }
    cairo_set_line_cap(cr_, CAIRO_LINE_CAP_ROUND); // pieces are drawn one by one
    stroke(cr_, width_pt, grey(lightness));
}

void MapView::frame() const
{
    const SavedState state{cr_};
    add_box(cr_, box_);
    stroke(cr_, 0.4, grey(0.6));
}

void MapView::keep_within(const std::vector<Loop>& loops) const
{
    path(loops);
    cairo_clip(cr_);
}

void MapView::cells(const MapCells& cells, const std::vector<Loop>& reach, Cells how) const
{
    if (cells.cols <= 0 || cells.rows <= 0)
        return;
    const SavedState state{cr_};
    clip();
    keep_within(reach);
    image(cells, how);
    hatch(cells);
}

void MapView::image(const MapCells& cells, Cells how) const
{
    const SurfacePtr image{cairo_image_surface_create(CAIRO_FORMAT_RGB24, cells.cols, cells.rows)};
    unsigned char* const bytes = cairo_image_surface_get_data(image.get());
    if (!bytes)
        return; // the context says so when it draws it
    const int stride = cairo_image_surface_get_stride(image.get());
    cairo_surface_flush(image.get());
    auto share = cells.share.begin();
    for (int row = 0; row < cells.rows; ++row) {
        auto* const pixels =
            reinterpret_cast<std::uint32_t*>(bytes + static_cast<std::ptrdiff_t>(row) * stride);
        for (int col = 0; col < cells.cols; ++col, ++share) {
            const double cover = *share == MapCells::unmapped ? 0 : *share / whole_cover;
            const auto value =
                static_cast<std::uint32_t>(255 * std::lerp(1.0, conifer_grey, cover));
            pixels[col] = value << 16 | value << 8 | value;
        }
    }
    cairo_surface_mark_dirty(image.get());
    const Point corner = on_page(cells.corner);
    const Point x = pt_per_m_ * cells.width_m * axes_.x;
    const Point y = pt_per_m_ * cells.height_m * axes_.y; // rows run down: against it
    const cairo_matrix_t matrix{x.x, -x.y, -y.x, y.y, corner.x, corner.y};
    const SavedState state{cr_};
    cairo_transform(cr_, &matrix);
    cairo_set_source_surface(cr_, image.get(), 0, 0);
    cairo_pattern_set_filter(cairo_get_source(cr_), CAIRO_FILTER_NEAREST);
    if (how == Cells::darken)
        cairo_set_operator(cr_, CAIRO_OPERATOR_MULTIPLY);
    cairo_rectangle(cr_, 0, 0, cells.cols, cells.rows);
    cairo_fill(cr_);
}

void MapView::picture(const Backdrop& picture) const
{
    if (picture.cols <= 0 || picture.rows <= 0)
        return;
    const SavedState state{cr_};
    clip();
    const Point corner = on_page({picture.box.min.x, picture.box.max.y});
    const Point x = on_page(picture.box.max) - corner;
    const Point y = on_page(picture.box.min) - corner;
    const SurfacePtr image = surface_of(picture);
    const cairo_matrix_t matrix{x.x / picture.cols, x.y / picture.cols, y.x / picture.rows,
                                y.y / picture.rows, corner.x,           corner.y};
    cairo_transform(cr_, &matrix);
    cairo_set_source_surface(cr_, image.get(), 0, 0);
    cairo_rectangle(cr_, 0, 0, picture.cols, picture.rows);
    cairo_fill_preserve(cr_);
    cairo_set_source_rgba(cr_, 1, 1, 1, paler);
    cairo_fill(cr_);
}

void MapView::hatch(const MapCells& cells) const
{
    const auto at = [&](int col, int row) {
        return on_page(cells.corner + Point{col * cells.width_m, -row * cells.height_m});
    };
    cairo_new_path(cr_);
    cairo_set_fill_rule(cr_, CAIRO_FILL_RULE_WINDING);
    bool any = false;
    for (int row = 0; row < cells.rows; ++row)
        for (int col = 0; col < cells.cols; ++col) {
            const std::uint16_t* const line =
                &cells.share[static_cast<std::size_t>(row) * static_cast<std::size_t>(cells.cols)];
            if (line[col] != MapCells::unmapped)
                continue;
            const int first = col;
            while (col < cells.cols && line[col] == MapCells::unmapped)
                ++col;
            const Point corners[] = {at(first, row), at(col, row), at(col, row + 1),
                                     at(first, row + 1)};
            cairo_new_sub_path(cr_);
            for (const Point p : corners)
                cairo_line_to(cr_, p.x, p.y);
            cairo_close_path(cr_);
            any = true;
        }
    if (any)
        hatch_path(cr_, box_);
}

void hatch_path(cairo_t* cr, const PageBox& around)
{
    const SavedState state{cr};
    cairo_clip(cr);
    // All lines of a page are of one family, wherever its boxes are.
    const double first =
        std::floor((around.x - around.y - around.height) / hatch_step_pt) * hatch_step_pt;
    for (double c = first; c < around.x + around.width - around.y; c += hatch_step_pt) {
        cairo_move_to(cr, c + around.y, around.y);
        cairo_line_to(cr, c + around.y + around.height, around.y + around.height);
    }
    stroke(cr, 0.5, grey(hatch_grey));
}

} // namespace fuelring::report
