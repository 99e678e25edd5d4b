// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/print/cairo_handles.hpp"

#include <string>
#include <string_view>
#include <unordered_map>

namespace fuelring::report {

/// Text that Cairo and Pango take, on one line: bytes that are not UTF-8 become replacement
/// characters, control characters blanks. Every text goes through it before it is set.
std::string clean_text(std::string_view text);

/// How a paragraph is set, in Noto Sans or what the machine has instead.
struct TextStyle {
    double size_pt = 9; ///< height of the font
    bool bold = false;
    double grey = 0;       ///< 0 black to 1 white
    int most_lines = 0;    ///< what is longer ends in an ellipsis; 0: as many as it takes
    double hanging_pt = 0; ///< indent of the lines after the first
    bool keep = false;     ///< set alike on many pages: remembered
};

/// Sets paragraphs in any script that the fonts of the machine have, from left to right or from
/// right to left as the text wants. Nothing in a text is markup. Not for use by several threads at
/// once. The same text in the same style has the same size on every call; what the fonts of another
/// machine measure may differ.
class TextSetter {
public:
    TextSetter();

    /// Height in points of a paragraph in lines of at most `width_pt`; 0: on one line.
    double height_pt(std::string_view text, double width_pt, const TextStyle& style);
    /// Draws it with its upper left corner at (x, y), and says how high it is, as height_pt() does.
    double draw(cairo_t* cr, std::string_view text, double x_pt, double y_pt, double width_pt,
                const TextStyle& style);

    /// Size in points of a line of its own.
    struct Extent {
        double width_pt;
        double height_pt;
    };
    /// Of `text` on one line, however long.
    Extent extent(std::string_view text, const TextStyle& style);
    /// Draws a line of its own about (x, y) on a white ground that keeps lines off it.
    void label(cairo_t* cr, std::string_view text, double x_pt, double y_pt,
               const TextStyle& style);

private:
    /// The text as it is set, remembered; valid until the next call.
    PangoLayout* layout(std::string_view text, double width_pt, const TextStyle& style);
    LayoutPtr set(std::string_view text, double width_pt, const TextStyle& style) const;

    FontMapPtr fonts_;
    TextContextPtr context_;
    std::unordered_map<std::string, LayoutPtr> kept_; ///< by style and text, of texts with `keep`
    LayoutPtr last_;
    std::string last_key_;
};

/// Sets paragraph under paragraph in a column, or only measures them where there is no context.
class Column {
public:
    Column(cairo_t* cr, TextSetter& setter, double x, double y, double width)
        : cr_(cr), setter_(setter), x_(x), y_(y), width_(width)
    {}
    double y() const { return y_; }
    double x() const { return x_; }
    double width() const { return width_; }
    void skip(double pt) { y_ += pt; }

    void paragraph(const std::string& text, const TextStyle& style, const char* tag = "P")
    {
        if (cr_) {
            const Tagged tagged{cr_, tag};
            y_ += setter_.draw(cr_, text, x_, y_, width_, style);
        } else {
            y_ += setter_.height_pt(text, width_, style);
        }
    }
    void rule()
    {
        if (!cr_)
            return;
        const SavedState state{cr_};
        cairo_move_to(cr_, x_, y_);
        cairo_line_to(cr_, x_ + width_, y_);
        stroke(cr_, 0.5, grey(0.5));
    }

private:
    cairo_t* cr_;
    TextSetter& setter_;
    double x_;
    double y_;
    double width_;
};

} // namespace fuelring::report
