// SPDX-License-Identifier: Apache-2.0

// Streets, paths, railways and water below a map.
#include "base/colours/map_colours.hpp"
#include "report/print/map_view.hpp"

#include <algorithm>

namespace fuelring::report {

namespace {

struct LineForm {
    double width_pt;
    double dash_pt; ///< 0: whole
};

LineForm form_of(ContextKind kind)
{
    switch (kind) {
    case ContextKind::streets:
        return {1.6, 0};
    case ContextKind::paths:
        return {0.8, 2};
    case ContextKind::railway:
        return {1.2, 4};
    case ContextKind::water:
        break;
    }
    return {1.4, 0};
}

const Colour& colour_of(ContextKind kind)
{
    return kind == ContextKind::water ? map_colours().water : map_colours().street;
}

} // namespace

void MapView::context(const Context& context) const
{
    const SavedState state{cr_};
    clip();
    cairo_set_line_join(cr_, CAIRO_LINE_JOIN_ROUND);
    for (const ContextLayer& layer : context.layers) {
        const Colour& colour = colour_of(layer.kind);
        for (const PictureShape& area : layer.areas) {
            path(area);
            set_colour(cr_, colour);
            cairo_fill(cr_);
        }
        cairo_new_path(cr_);
        for (const std::vector<Point>& line : layer.lines) {
            cairo_new_sub_path(cr_);
            for (const Point p : line) {
                const Point at = on_page(p);
                cairo_line_to(cr_, at.x, at.y);
            }
        }
        const LineForm form = form_of(layer.kind);
        stroke(cr_, form.width_pt, colour, form.dash_pt);
    }
}

std::string credits(const std::string& picture, const std::string& lines, const SheetText& text)
{
    std::string said;
    const auto say = [&](const char* word, const std::string& credit) {
        if (credit.empty())
            return;
        said += ' ';
        said += text.word(word, {{"credit", credit}});
    };
    say("map.backdrop", picture);
    say("map.context", lines);
    return said;
}

bool has_kind(const Context& context, ContextKind kind)
{
    return std::any_of(context.layers.begin(), context.layers.end(),
                       [kind](const ContextLayer& layer) { return layer.kind == kind; });
}

std::string context_word(ContextKind kind)
{
    return "plan." + std::string{context_kinds[static_cast<std::size_t>(kind)]};
}

void draw_context_sign(cairo_t* cr, const PageBox& box, ContextKind kind)
{
    if (kind == ContextKind::water)
        return fill_box(cr, box, colour_of(kind));
    const LineForm form = form_of(kind);
    cairo_move_to(cr, box.x, box.y + box.height / 2);
    cairo_line_to(cr, box.x + box.width, box.y + box.height / 2);
    stroke(cr, form.width_pt, colour_of(kind), form.dash_pt);
}

} // namespace fuelring::report
