// SPDX-License-Identifier: Apache-2.0
#include "report/print/charts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace fuelring::report {

namespace {

constexpr double share_of_names = 0.34;
constexpr double thickest_bar_pt = 13;

class Curve {
public:
    Curve(cairo_t* cr, const PageBox& box, const CurveChart& chart, const std::string& decimal,
          TextSetter& setter, double size_pt)
        : cr_(cr), chart_(chart), decimal_(decimal), setter_(setter),
          size_(size_pt), inner_{box.x + 3.2 * size_pt, box.y + 1.7 * size_pt,
                                 box.width - 4.2 * size_pt, box.height - 4.6 * size_pt}
    {
        double most_x = 0;
        for (const auto* line : {&chart.line, &chart.limit})
            for (const Point& p : *line)
                most_x = std::max(most_x, p.x);
        x_marks_ = round_marks(most_x);
        y_marks_ = round_marks(chart.most_y);
    }

    void draw()
    {
        axes();
        line(chart_.limit, 0.9, 0.45, 3);
        line(chart_.line, 1.8, 0.1, 0);
        words_of_limit();
        if (chart_.marked)
            mark(*chart_.marked);
    }

private:
    Point at(Point p) const
    {
        return {inner_.x + inner_.width * p.x / x_marks_.back(),
                inner_.y + inner_.height * (1 - p.y / y_marks_.back())};
    }
    std::string number(double value) const
    {
        std::string text = fmt::format("{:g}", value);
        if (const std::size_t point = text.find('.'); point != text.npos)
            text.replace(point, 1, decimal_);
        return text;
    }
    TextStyle style(double lightness = 0.2) const { return {.size_pt = size_, .grey = lightness}; }

    void axes()
    {
        setter_.draw(cr_, chart_.y_title, inner_.x - 3.2 * size_, inner_.y - 1.7 * size_, 0,
                     style());
        for (const double y : y_marks_) {
            const Point left = at({0, y});
            cairo_move_to(cr_, left.x, left.y);
            cairo_line_to(cr_, left.x + inner_.width, left.y);
            stroke(cr_, 0.4, grey(y > 0 ? 0.8 : 0.2));
            const TextSetter::Extent size = setter_.extent(number(y), style());
            setter_.draw(cr_, number(y), left.x - size.width_pt - 4, left.y - size.height_pt / 2, 0,
                         style());
        }
        for (const double x : x_marks_) {
            const Point foot = at({x, 0});
            const TextSetter::Extent size = setter_.extent(number(x), style());
            cairo_move_to(cr_, foot.x, foot.y);
            cairo_line_to(cr_, foot.x, foot.y + 3);
            stroke(cr_, 0.4, grey(0.2));
            setter_.draw(cr_, number(x), foot.x - size.width_pt / 2, foot.y + 4, 0, style());
        }
        const TextSetter::Extent title = setter_.extent(chart_.x_title, style());
        setter_.draw(cr_, chart_.x_title, inner_.x + inner_.width - title.width_pt,
                     inner_.y + inner_.height + 1.6 * size_ + 2, 0, style());
    }

    void line(const std::vector<Point>& points, double width_pt, double lightness, double dash_pt)
    {
        if (points.empty())
            return;
        const SavedState state{cr_};
        cairo_new_path(cr_); // text leaves a current point
        for (const Point& p : points) {
            const Point to = at(p);
            cairo_line_to(cr_, to.x, to.y);
        }
        stroke(cr_, width_pt, grey(lightness), dash_pt);
    }

    /// Under the end of its line, where the plans' own line is below.
    void words_of_limit()
    {
        if (chart_.limit.empty())
            return;
        const TextSetter::Extent size = setter_.extent(chart_.limit_words, style(0.35));
        const double right = inner_.x + inner_.width;
        setter_.draw(cr_, chart_.limit_words, right - size.width_pt,
                     inner_.y + inner_.height - 2.6 * size_, 0, style(0.35));
        const SavedState state{cr_};
        const double y = inner_.y + inner_.height - 2.6 * size_ + size.height_pt / 2;
        cairo_move_to(cr_, right - size.width_pt - 26, y);
        cairo_line_to(cr_, right - size.width_pt - 5, y);
        stroke(cr_, 0.9, grey(0.45), 3);
    }

    void mark(Point marked)
    {
        const Point p = at(marked);
        {
            const SavedState state{cr_};
            cairo_move_to(cr_, p.x, p.y);
            cairo_line_to(cr_, p.x, inner_.y + inner_.height);
            stroke(cr_, 0.8, grey(0.2), 2);
        }
        cairo_new_path(cr_);
        cairo_arc(cr_, p.x, p.y, 3.4, 0, 2 * pi);
        set_colour(cr_, grey(0.1));
        cairo_fill(cr_);
        const TextStyle bold{.size_pt = size_, .bold = true};
        const TextSetter::Extent size = setter_.extent(chart_.mark_words, bold);
        const double right = inner_.x + inner_.width;
        const double x = std::min(p.x + 8, right - size.width_pt);
        setter_.label(cr_, chart_.mark_words, x + size.width_pt / 2,
                      std::min(p.y + 1.4 * size_, inner_.y + inner_.height - 4.2 * size_), bold);
    }

    static constexpr double pi = 3.14159265358979323846;

    cairo_t* cr_;
    const CurveChart& chart_;
    const std::string& decimal_;
    TextSetter& setter_;
    double size_;
    PageBox inner_;
    std::vector<double> x_marks_;
    std::vector<double> y_marks_;
};

} // namespace

double draw_bars(cairo_t* cr, const PageBox& box, const std::vector<Bar>& bars, TextSetter& setter,
                 double size_pt)
{
    if (bars.empty())
        return 0;
    double most = 0;
    double shown_pt = 0;
    const TextStyle plain{.size_pt = size_pt, .most_lines = 1};
    for (const Bar& bar : bars) {
        most = std::max(most, bar.value);
        shown_pt = std::max(shown_pt, setter.extent(bar.shown, plain).width_pt);
    }
    const double names_pt = share_of_names * box.width;
    const double room = box.width - names_pt - shown_pt - 10;
    const double step =
        std::min(box.height / static_cast<double>(bars.size()), 1.6 * thickest_bar_pt);
    const double thick = std::min(thickest_bar_pt, 0.72 * step);
    double y = box.y;
    for (const Bar& bar : bars) {
        const Tagged tagged{cr, "P"};
        const double text_y = y + (thick - setter.extent(bar.name, plain).height_pt) / 2;
        setter.draw(cr, bar.name, box.x, text_y, names_pt - 6, plain);
        const PageBox drawn{box.x + names_pt, y, most > 0 ? room * bar.value / most : 0, thick};
        fill_box(cr, drawn, bar.colour);
        stroke(cr, 0.5, grey(0.2));
        setter.draw(cr, bar.shown, drawn.x + drawn.width + 5, text_y, 0, plain);
        y += step;
    }
    return y - box.y;
}

void draw_curve(cairo_t* cr, const PageBox& box, const CurveChart& chart,
                const std::string& decimal, TextSetter& setter, double size_pt)
{
    const Tagged figure{cr, "Figure"};
    Curve{cr, box, chart, decimal, setter, size_pt}.draw();
}

std::vector<double> round_marks(double most, int steps)
{
    if (!(most > 0))
        return {0, 1};
    const double power = std::pow(10, std::floor(std::log10(most / steps)));
    double step = 10 * power;
    for (const double by : {5.0, 2.0, 1.0})
        if (by * power * steps >= most)
            step = by * power;
    std::vector<double> marks{0};
    while (marks.back() < most)
        marks.push_back(step * static_cast<double>(marks.size()));
    return marks;
}

} // namespace fuelring::report
