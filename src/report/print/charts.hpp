// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/print/cairo_handles.hpp"
#include "report/print/text_setter.hpp"

#include <fuelring/footprint.hpp>

#include <optional>
#include <string>
#include <vector>

namespace fuelring::report {

/// A row of a chart of bars.
struct Bar {
    std::string name;
    double value = 0;  ///< 0 or more
    std::string shown; ///< the value in words, at the end of the bar
    Colour colour;
};

/// Bars from one line to the right, with their names before them, all in one scale from 0; thinner
/// where the box has no room for them. The height that they take. Nothing without bars.
double draw_bars(cairo_t* cr, const PageBox& box, const std::vector<Bar>& bars, TextSetter& setter,
                 double size_pt);

/// Two lines over one scale, and a place on them.
struct CurveChart {
    std::vector<Point> line;  ///< rising x; from the origin
    std::vector<Point> limit; ///< dashed
    std::optional<Point> marked;
    std::string mark_words; ///< beside the mark
    std::string limit_words;
    std::string x_title;
    std::string y_title;
    double most_y = 100;
};

/// Draws it with axes from 0 and round marks. `decimal`: as the language writes it.
void draw_curve(cairo_t* cr, const PageBox& box, const CurveChart& chart,
                const std::string& decimal, TextSetter& setter, double size_pt);

/// Round numbers from 0 that cover `most` in at most so many steps; at least two of them.
/// Law: they rise in equal steps of 1, 2 or 5 times a power of ten, and the last is `most` or more.
std::vector<double> round_marks(double most, int steps = 5);

} // namespace fuelring::report
