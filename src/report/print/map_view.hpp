// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/backdrop.hpp"
#include "report/context.hpp"
#include "report/print/cairo_handles.hpp"
#include "report/print/text_setter.hpp"
#include "report/words/sheet_text.hpp"

#include <fuelring/footprint.hpp>
#include <fuelring/outline.hpp>

#include <cstdint>
#include <string>
#include <vector>

namespace fuelring::report {

/// Grey of ground that is all conifers; lines and words must be read on it.
inline constexpr double conifer_grey = 0.62;

/// Cells of a raster, parallel to the axes of their frame; share[row * cols + col], rows downwards.
struct MapCells {
    static constexpr std::uint16_t unmapped = 65535;

    Point corner;       ///< upper left, in the frame
    double width_m = 1; ///< of a cell
    double height_m = 1;
    int cols = 0;
    int rows = 0;
    std::vector<std::uint16_t> share; ///< ten-thousandths of conifer, or `unmapped`; from the top
};

/// Ground on a page, to scale. Its frame is in metres with axes of its own; `x_axis` and `y_axis`
/// are the frame's axes in the drawing, right and up, so that a turned or mirrored grid lies as
/// on the map. Nothing is drawn beyond the box. A view owns neither context
/// nor data, and leaves the state of the context as it found it, but for keep_within().
class MapView {
public:
    struct Axes {
        Point x{1, 0};
        Point y{0, 1};
    };
    /// `centre`: the ground in the middle of the box, in the frame. `pt_per_m`: points of the page
    /// per unit of the frame along axes of length 1.
    MapView(cairo_t* cr, PageBox box, Point centre, double pt_per_m, Axes axes);

    const PageBox& box() const { return box_; }
    double pt_per_m() const { return pt_per_m_; }
    /// The place of a point of the frame on the page.
    Point on_page(Point p) const;
    /// True where a box around these loops meets the view's on the page; false for none. What is
    /// not shown need not be drawn.
    bool shows(const std::vector<Loop>& loops) const;

    /// What cells do to what is below: hide it, or darken it by as much as they are dark.
    enum class Cells { cover, darken };
    /// Conifers as grey, the darker the more; ground off the map as a hatch. Within `reach`, loops
    /// of the frame. Nothing where there are no cells.
    void cells(const MapCells& cells, const std::vector<Loop>& reach,
               Cells how = Cells::cover) const;
    /// A picture of the ground, made paler so that lines and words are read on it. Its box is in
    /// the frame.
    void picture(const Backdrop& picture) const;
    /// Streets, water and the like, in the frame, in the quiet colours of the maps' table.
    void context(const Context& context) const;
    /// The inside of the loops, even-odd.
    void fill(const std::vector<Loop>& loops, const Colour& colour) const;
    /// The inside of the loops as ground of which nothing is said, with its edges.
    void hatched(const std::vector<Loop>& loops) const;
    /// The edges of the loops in a grey from 0 (black) to 1 (white); dashed where dash_pt > 0.
    void line(const std::vector<Loop>& loops, double width_pt, double lightness,
              double dash_pt = 0) const;
    /// Shapes that the view shows, one upon the other, each filled and with its edges. Clipped once
    /// for all of them: a clip is written out wherever it is set.
    void shapes(const std::vector<std::vector<Loop>>& shapes, const Colour& colour, double width_pt,
                double lightness) const;
    /// An outline with its arcs as arcs (Bezier curves off by less than 5e-6 of their radius).
    void line(const Outline& outline, double width_pt, double lightness) const;
    void frame() const; ///< a thin line around the box
    /// Nothing is drawn outside these loops until the state of the context is restored.
    void keep_within(const std::vector<Loop>& loops) const;

private:
    void path(const std::vector<Loop>& loops) const;
    void image(const MapCells& cells, Cells how) const;
    void hatch(const MapCells& cells) const;
    void clip() const;

    cairo_t* cr_;
    PageBox box_;
    Point centre_;
    double pt_per_m_;
    Axes axes_;
};

/// Whose picture and whose lines are below: sentences with a blank before each, or nothing.
std::string credits(const std::string& picture, const std::string& lines, const SheetText& text);

/// Which of the signs of a context a map needs.
bool has_kind(const Context& context, ContextKind kind);
/// The word of the sheets' texts for it: "plan.streets", ...
std::string context_word(ContextKind kind);
/// The sign of a kind in a legend.
void draw_context_sign(cairo_t* cr, const PageBox& box, ContextKind kind);

/// Fills the path of `cr` with the hatch of ground that is not mapped, and forgets the path.
void hatch_path(cairo_t* cr, const PageBox& around);

/// A bar of a round number of metres at the lower left of a view, at most a third of it wide.
/// `size_pt`, here and below: height of the print.
void draw_scale_bar(cairo_t* cr, const MapView& view, TextSetter& text, double size_pt);

/// An arrow at the upper right that points along `north`, a vector of the drawing (right, up) of
/// any length above 0. `letter` is at its foot.
void draw_north_arrow(cairo_t* cr, const MapView& view, Point north, const std::string& letter,
                      TextSetter& text, double size_pt);

} // namespace fuelring::report
