// SPDX-License-Identifier: Apache-2.0

// Setting a paragraph (shaping, breaking lines) takes far longer than drawing it, and every
// paragraph is measured before it is drawn. So the last one is remembered, and those that are alike
// on all pages of a document are kept to its end.
#include "report/print/text_setter.hpp"

#include <fmt/format.h>

#include <cmath>
#include <future>
#include <new>
#include <system_error>
#include <thread>
#include <vector>

namespace fuelring::report {

namespace {

constexpr const char* family = "Noto Sans, sans-serif";
constexpr double line_spacing = 0.98; ///< of the font's own, which is made for the screen

/// Pango begins threads that look for fonts, and GLib ends the process where it cannot. Throws:
/// std::bad_alloc instead.
void require_room_for_threads()
{
    constexpr int of_pango = 3;
    try {
        std::promise<void> end;
        const std::shared_future<void> ended = end.get_future().share();
        std::vector<std::jthread> threads;
        const auto wait = [ended] { ended.wait(); };
        try {
            for (int k = 0; k < of_pango; ++k)
                threads.emplace_back(wait);
        } catch (...) {
            end.set_value();
            throw;
        }
        end.set_value();
    } catch (const std::system_error&) {
        throw std::bad_alloc{};
    }
}

} // namespace

std::string clean_text(std::string_view text)
{
    const GlibTextPtr valid{g_utf8_make_valid(text.data(), static_cast<gssize>(text.size()))};
    std::string out = valid.get();
    for (char& c : out)
        if (static_cast<unsigned char>(c) < ' ' || c == '\x7f')
            c = ' ';
    return out;
}

TextSetter::TextSetter() : fonts_((require_room_for_threads(), pango_cairo_font_map_new()))
{
    // At 72 dots per inch a unit of Pango's device is a point.
    pango_cairo_font_map_set_resolution(PANGO_CAIRO_FONT_MAP(fonts_.get()), 72);
    context_.reset(pango_font_map_create_context(fonts_.get()));
    // Pixels must not depend on the settings of the machine's desktop.
    const FontOptionsPtr options{cairo_font_options_create()};
    cairo_font_options_set_antialias(options.get(), CAIRO_ANTIALIAS_GRAY);
    cairo_font_options_set_hint_style(options.get(), CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(options.get(), CAIRO_HINT_METRICS_OFF);
    pango_cairo_context_set_font_options(context_.get(), options.get());
    pango_context_set_round_glyph_positions(context_.get(), FALSE);
}

LayoutPtr TextSetter::set(std::string_view text, double width_pt, const TextStyle& style) const
{
    LayoutPtr layout{pango_layout_new(context_.get())};
    const FontPtr font{pango_font_description_from_string(family)};
    pango_font_description_set_absolute_size(font.get(), style.size_pt * PANGO_SCALE);
    pango_font_description_set_weight(font.get(),
                                      style.bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
    pango_layout_set_font_description(layout.get(), font.get());
    pango_layout_set_line_spacing(layout.get(), static_cast<float>(line_spacing));
    const std::string cleaned = clean_text(text);
    pango_layout_set_text(layout.get(), cleaned.data(), static_cast<int>(cleaned.size()));
    if (width_pt > 0) {
        pango_layout_set_width(layout.get(), static_cast<int>(std::floor(width_pt * PANGO_SCALE)));
        pango_layout_set_wrap(layout.get(), PANGO_WRAP_WORD_CHAR);
        pango_layout_set_indent(layout.get(), static_cast<int>(-style.hanging_pt * PANGO_SCALE));
        if (style.most_lines > 0) {
            pango_layout_set_height(layout.get(), -style.most_lines);
            pango_layout_set_ellipsize(layout.get(), PANGO_ELLIPSIZE_END);
        }
    }
    return layout;
}

PangoLayout* TextSetter::layout(std::string_view text, double width_pt, const TextStyle& style)
{
    std::string key = fmt::format("{}|{}|{}|{}|{}|{}", width_pt, style.size_pt, style.bold,
                                  style.most_lines, style.hanging_pt, text);
    if (style.keep) {
        LayoutPtr& kept = kept_[key];
        if (!kept)
            kept = set(text, width_pt, style);
        return kept.get();
    }
    if (!last_ || key != last_key_) {
        last_ = set(text, width_pt, style);
        last_key_ = std::move(key);
    }
    return last_.get();
}

double TextSetter::height_pt(std::string_view text, double width_pt, const TextStyle& style)
{
    PangoRectangle box;
    pango_layout_get_extents(layout(text, width_pt, style), nullptr, &box);
    return pango_units_to_double(box.height);
}

double TextSetter::draw(cairo_t* cr, std::string_view text, double x_pt, double y_pt,
                        double width_pt, const TextStyle& style)
{
    PangoLayout* const set_text = layout(text, width_pt, style);
    set_colour(cr, grey(style.grey));
    cairo_move_to(cr, x_pt, y_pt);
    pango_cairo_show_layout(cr, set_text);
    PangoRectangle box;
    pango_layout_get_extents(set_text, nullptr, &box);
    return pango_units_to_double(box.height);
}

TextSetter::Extent TextSetter::extent(std::string_view text, const TextStyle& style)
{
    PangoRectangle box;
    pango_layout_get_extents(layout(text, 0, style), nullptr, &box);
    return {pango_units_to_double(box.width), pango_units_to_double(box.height)};
}

void TextSetter::label(cairo_t* cr, std::string_view text, double x_pt, double y_pt,
                       const TextStyle& style)
{
    const Extent size = extent(text, style);
    const double margin = 0.15 * style.size_pt;
    fill_box(cr,
             {x_pt - size.width_pt / 2 - margin, y_pt - 0.36 * size.height_pt - margin,
              size.width_pt + 2 * margin, 0.72 * size.height_pt + 2 * margin},
             grey(1));
    draw(cr, text, x_pt - size.width_pt / 2, y_pt - size.height_pt / 2, 0, style);
}

} // namespace fuelring::report
