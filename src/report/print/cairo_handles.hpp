// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/colours/cividis.hpp"

#include <cairo.h>
#include <pango/pangocairo.h>

#include <memory>

// Handles of Cairo and Pango, and the few strokes that all drawings are made of. Coordinates are
// points (1/72 inch) from the upper left corner of a page, x to the right and y down. None of these
// functions throws: Cairo keeps a fault in its context, and `PdfDocument::finish` or
// `Picture::write_png` reports it.
namespace fuelring::report {

/// Gives back by a function of C what one made; without state, so a handle is as large as a
/// pointer.
template <auto give_back>
struct GiveBack {
    template <typename Thing>
    void operator()(Thing* thing) const noexcept
    {
        give_back(thing);
    }
};
template <typename Thing, auto give_back>
using Handle = std::unique_ptr<Thing, GiveBack<give_back>>;

using SurfacePtr = Handle<cairo_surface_t, cairo_surface_destroy>;
using ContextPtr = Handle<cairo_t, cairo_destroy>;
using FontOptionsPtr = Handle<cairo_font_options_t, cairo_font_options_destroy>;
using FontPtr = Handle<PangoFontDescription, pango_font_description_free>;
using FontMapPtr = Handle<PangoFontMap, g_object_unref>;
using TextContextPtr = Handle<PangoContext, g_object_unref>;
using LayoutPtr = Handle<PangoLayout, g_object_unref>;
using GlibTextPtr = Handle<char, g_free>;

/// What a block does to the state of a context (clip, matrix, line, source) ends with the block.
class SavedState {
public:
    explicit SavedState(cairo_t* cr) : cr_(cr) { cairo_save(cr_); }
    ~SavedState() { cairo_restore(cr_); }
    SavedState(const SavedState&) = delete;
    SavedState& operator=(const SavedState&) = delete;

private:
    cairo_t* cr_;
};

/// Marks what a block draws for those who have the document read to them. `tag`: a structure type
/// of PDF such as "P", "H1" or "Figure" (ISO 32000-1, 14.8.4); it must outlive the block.
class Tagged {
public:
    Tagged(cairo_t* cr, const char* tag) : cr_(cr), tag_(tag) { cairo_tag_begin(cr_, tag_, ""); }
    ~Tagged() { cairo_tag_end(cr_, tag_); }
    Tagged(const Tagged&) = delete;
    Tagged& operator=(const Tagged&) = delete;

private:
    cairo_t* cr_;
    const char* tag_;
};

/// A rectangle of a page, in points: its upper left corner, then its size.
struct PageBox {
    double x;
    double y;
    double width;
    double height;
};

/// Grey from 0 (black) to 1 (white).
inline constexpr Colour grey(double lightness)
{
    return {lightness, lightness, lightness};
}

/// Takes a colour, opaque, for what is drawn next.
inline void set_colour(cairo_t* cr, const Colour& c)
{
    cairo_set_source_rgb(cr, c.red, c.green, c.blue);
}

/// Adds a box to the path.
inline void add_box(cairo_t* cr, const PageBox& box)
{
    cairo_rectangle(cr, box.x, box.y, box.width, box.height);
}

/// Fills a box and forgets the path, to which the box is added.
inline void fill_box(cairo_t* cr, const PageBox& box, const Colour& colour)
{
    add_box(cr, box);
    set_colour(cr, colour);
    cairo_fill(cr);
}

/// Draws the path as a line, with dashes of `dash_pt` where that is above 0, and forgets it.
inline void stroke(cairo_t* cr, double width_pt, const Colour& colour, double dash_pt = 0)
{
    if (dash_pt > 0)
        cairo_set_dash(cr, &dash_pt, 1, 0);
    cairo_set_line_width(cr, width_pt);
    set_colour(cr, colour);
    cairo_stroke(cr);
}

} // namespace fuelring::report
