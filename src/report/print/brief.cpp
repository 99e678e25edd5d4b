// SPDX-License-Identifier: Apache-2.0

// The page is set from both ends: the headline from the top, limits and source from the foot. The
// map gets what is left on the left side, charts the right side.
#include "report/print/brief.hpp"

#include "base/grouped.hpp"
#include "report/print/charts.hpp"
#include "report/print/map_panel.hpp"

#include <algorithm>
#include <cmath>

namespace fuelring::report {

namespace {

constexpr double page_margin_pt = 30;
constexpr double gap = 16;
constexpr double share_of_map = 0.52;
constexpr double print_pt = 9;
constexpr std::size_t most_bars = 5;
constexpr double percent_of_one = 100;

class Brief {
public:
    Brief(cairo_t* cr, Paper paper, const StillMap& map, const SheetText& text, TextSetter& setter)
        : cr_(cr), paper_(paper), map_(map), text_(text), setter_(setter),
          width_(paper.width_pt - 2 * page_margin_pt)
    {}

    void draw()
    {
        const Tagged page{cr_, "Sect"};
        const double top = headline() + 10;
        const double foot = limits() - 10;
        const PageBox left{page_margin_pt, top, share_of_map * width_, foot - top};
        const double legend_pt = 4.8 * print_pt;
        draw_map_ground(cr_, {left.x, left.y, left.width, left.height - legend_pt}, map_, text_,
                        setter_);
        legend({left.x, foot - legend_pt + 6, left.width, legend_pt - 6});
        const double x = left.x + left.width + gap;
        const double width = width_ - left.width - gap;
        const double after = bars({x, top, width, 0.42 * (foot - top)});
        curve({x, after, width, foot - after});
    }

private:
    const RunPicture& picture() const { return map_.picture; }
    const NeighbourhoodFigures& community() const { return map_.rows.back(); }
    std::string count(std::int64_t n) const { return text_.number(static_cast<double>(n), 0); }

    double paragraph(const std::string& words, double x, double y, double width,
                     const TextStyle& style, const char* tag = "P")
    {
        const Tagged tagged{cr_, tag};
        return y + setter_.draw(cr_, words, x, y, width, style);
    }

    /// `treatment` of run.json; null without a plan.
    nlohmann::json plan() const
    {
        return picture().treatment ? picture().manifest.value("treatment", nlohmann::json())
                                   : nlohmann::json();
    }

    double headline()
    {
        double y =
            paragraph(text_.word("brief.title", {{"place", map_.run.community}}), page_margin_pt,
                      page_margin_pt, width_, {.size_pt = 11, .grey = 0.3, .most_lines = 1});
        y = paragraph(near_sentence(), page_margin_pt, y + 2, width_,
                      {.size_pt = 19, .bold = true, .most_lines = 2}, "H1");
        for (const std::string& words : {plan_sentence(), standing_out()})
            if (!words.empty())
                y = paragraph(words, page_margin_pt, y + 2, width_,
                              {.size_pt = 12.5, .most_lines = 2});
        return paragraph(text_.word("brief.exposure"), page_margin_pt, y + 3, width_,
                         {.size_pt = print_pt, .grey = 0.2, .most_lines = 2});
    }

    std::string near_sentence() const
    {
        const std::string near = text_.length(map_.run.near_m);
        const std::int64_t unknown = community().structures - community().known_near;
        if (community().known_near == 0)
            return text_.word("brief.near_unknown", {{"count", count(unknown)}, {"near", near}});
        return text_.word(unknown == 0 ? "brief.near" : "brief.near_partly",
                          {{"near_count", count(community().near)},
                           {"known", count(community().known_near)},
                           {"near", near},
                           {"unknown", count(unknown)}});
    }

    std::string plan_sentence() const
    {
        const nlohmann::json made = plan();
        if (made.is_null())
            return {};
        return text_.word("brief.plan",
                          {{"hectares", text_.number(made.value("conifer_ha", 0.0), 2)},
                           {"percent", text_.number(share_of(made), 0)}});
    }

    static double share_of(const nlohmann::json& made)
    {
        return percent_of_one * made.value("share_of_exposure_removed", 0.0);
    }

    /// Neighbourhoods with a rank, the highest mean first.
    std::vector<const NeighbourhoodFigures*> ranked() const
    {
        std::vector<const NeighbourhoodFigures*> rows;
        for (const NeighbourhoodFigures& row : map_.rows)
            if (row.kind == NeighbourhoodFigures::Kind::neighbourhood && row.rank &&
                row.mean_exposure)
                rows.push_back(&row);
        std::stable_sort(rows.begin(), rows.end(), [](const auto* a, const auto* b) {
            return *a->mean_exposure > *b->mean_exposure;
        });
        return rows;
    }

    std::string standing_out() const
    {
        const std::vector<const NeighbourhoodFigures*> rows = ranked();
        if (rows.size() < 2)
            return {};
        return text_.word("brief.highest",
                          {{"name", rows[0]->name},
                           {"exposure", text_.number(*rows[0]->mean_exposure, 1)},
                           {"next", rows[1]->name},
                           {"next_exposure", text_.number(*rows[1]->mean_exposure, 1)}});
    }

    /// From the foot upwards; where it begins.
    double limits()
    {
        std::vector<std::string> said{text_.word("brief.limits_count"),
                                      text_.word("brief.limits_map"),
                                      text_.word("brief.limits_use")};
        const TextStyle style{.size_pt = print_pt, .most_lines = 2};
        const TextStyle small{.size_pt = 0.85 * print_pt, .grey = 0.25, .most_lines = 1};
        double height = 4 + setter_.height_pt(source(), width_, small);
        for (const std::string& words : said)
            height += 1.5 + setter_.height_pt(words, width_, style);
        const double top = paper_.height_pt - page_margin_pt - height;
        cairo_move_to(cr_, page_margin_pt, top - 4);
        cairo_line_to(cr_, page_margin_pt + width_, top - 4);
        stroke(cr_, 0.5, grey(0.5));
        double y = top;
        for (const std::string& words : said)
            y = paragraph(words, page_margin_pt, y, width_, style) + 1.5;
        paragraph(source(), page_margin_pt, y + 4, width_, small);
        return top - 4;
    }

    std::string source() const
    {
        const std::string& date = map_.run.imagery_date;
        const std::string said =
            date.empty() ? text_.word("brief.source_undated", {{"program", map_.run.program}})
                         : text_.word("brief.source", {{"program", map_.run.program},
                                                       {"imagery_date", text_.date(date)}});
        return said + credits_of(map_, text_);
    }

    /// The colours of exposure as one band with the bounds of its classes.
    void legend(const PageBox& box)
    {
        const TextStyle style{.size_pt = 0.85 * print_pt, .most_lines = 1};
        const double thick = 0.9 * print_pt;
        const double y =
            box.y + setter_.draw(cr_, text_.word("brief.legend"), box.x, box.y, box.width, style);
        const double band = map_.conifers ? 0.6 * box.width : box.width;
        const double step = band / static_cast<double>(exposure_classes.size());
        for (std::size_t k = 0; k <= exposure_classes.size(); ++k) {
            const bool last = k == exposure_classes.size();
            const double x = box.x + step * static_cast<double>(k);
            if (!last) {
                fill_box(cr_, {x, y, step, thick}, exposure_colour(k));
                stroke(cr_, 0.4, grey(0.2));
            }
            const std::string bound = text_.length(last ? 100 : exposure_classes[k]);
            const double width = setter_.extent(bound, style).width_pt;
            setter_.draw(cr_, bound,
                         k == 0 ? x
                         : last ? x - width
                                : x - width / 2,
                         y + thick + 2, 0, style);
        }
        if (!map_.conifers)
            return;
        sign(
            {box.x + band + 14, y, 2 * thick, thick}, text_.word("plan.conifers"),
            [this](const PageBox& at) { fill_box(cr_, at, grey(conifer_grey)); }, style);
        sign(
            {box.x + band + 14, y + 1.5 * thick, 2 * thick, thick}, text_.word("plan.unmapped"),
            [this](const PageBox& at) {
                add_box(cr_, at);
                hatch_path(cr_, at);
            },
            style);
    }

    template <typename Draw>
    void sign(const PageBox& at, const std::string& words, Draw&& draw, const TextStyle& style)
    {
        const SavedState state{cr_};
        draw(at);
        add_box(cr_, at);
        stroke(cr_, 0.4, grey(0.2));
        setter_.draw(cr_, words, at.x + at.width + 5, at.y - 0.15 * style.size_pt,
                     page_margin_pt + share_of_map * width_ - at.x - at.width - 5, style);
    }

    /// Where the next chart may begin.
    double bars(const PageBox& box)
    {
        std::vector<Bar> rows;
        for (const NeighbourhoodFigures* row : ranked())
            if (rows.size() < most_bars)
                rows.push_back({row->name, *row->mean_exposure,
                                text_.number(*row->mean_exposure, 1),
                                exposure_colour(exposure_class(*row->mean_exposure))});
        const bool by_class = rows.empty() && community().by_class;
        if (by_class)
            rows = bars_of_classes(*community().by_class);
        if (rows.empty())
            return box.y;
        const double y =
            paragraph(text_.word(by_class ? "brief.by_class" : "brief.bars"), box.x, box.y,
                      box.width, {.size_pt = 11, .bold = true, .most_lines = 2}, "H2") +
            6;
        return y + gap +
               draw_bars(cr_, {box.x, y, box.width, box.y + box.height - y}, rows, setter_,
                         print_pt);
    }

    /// The five highest classes, the least of them with all that is below.
    std::vector<Bar>
    bars_of_classes(const std::array<std::int64_t, exposure_classes.size()>& by_class) const
    {
        std::vector<Bar> rows;
        for (std::size_t k = exposure_classes.size(); k-- > exposure_classes.size() - most_bars;) {
            const bool last = rows.size() + 1 == most_bars;
            std::int64_t buildings = by_class[k];
            for (std::size_t lower = 0; last && lower < k; ++lower)
                buildings += by_class[lower];
            const double to = k + 1 < exposure_classes.size() ? exposure_classes[k + 1] : 100;
            rows.push_back(
                {text_.word("map.class", {{"from", text_.length(last ? 0 : exposure_classes[k])},
                                          {"to", text_.length(to)}}),
                 static_cast<double>(buildings), count(buildings), exposure_colour(k)});
        }
        return rows;
    }

    void curve(const PageBox& box)
    {
        const double y = paragraph(text_.word("brief.curve"), box.x, box.y, box.width,
                                   {.size_pt = 11, .bold = true, .most_lines = 2}, "H2") +
                         4;
        const nlohmann::json made = plan();
        if (made.is_null()) {
            paragraph(text_.word("brief.no_plan"), box.x, y, box.width,
                      {.size_pt = print_pt, .most_lines = 3});
            return;
        }
        const PictureTable& table = picture().treatment->curve;
        CurveChart chart;
        chart.line.push_back({0, 0});
        chart.limit.push_back({0, 0});
        for (std::size_t k = 0; k < table.rows; ++k) {
            const double ha = table.at("conifer_ha").numbers[k];
            chart.line.push_back(
                {ha, percent_of_one * table.at("share_of_exposure_removed").numbers[k]});
            chart.limit.push_back(
                {ha, percent_of_one * table.at("most_removable_share").numbers[k]});
        }
        const double ha = made.value("conifer_ha", 0.0);
        chart.marked = Point{ha, share_of(made)};
        chart.mark_words =
            text_.word(made.contains("cost") ? "brief.budget_money" : "brief.budget",
                       {{"hectares", text_.number(ha, 2)},
                        {"percent", text_.number(share_of(made), 0)},
                        {"cost", grouped_money(made.value("cost", 0.0), currency_of(picture()))}});
        chart.limit_words = text_.word("brief.limit");
        chart.x_title = text_.word("brief.hectares");
        chart.y_title = text_.word("brief.lowered");
        draw_curve(cr_, {box.x, y, box.width, box.y + box.height - y}, chart, text_.decimal,
                   setter_, 0.9 * print_pt);
    }

    cairo_t* cr_;
    Paper paper_;
    const StillMap& map_;
    const SheetText& text_;
    TextSetter& setter_;
    double width_;
};

} // namespace

void draw_brief(cairo_t* cr, Paper paper, const StillMap& map, const SheetText& text,
                TextSetter& setter)
{
    Brief{cr, paper, map, text, setter}.draw();
}

} // namespace fuelring::report
