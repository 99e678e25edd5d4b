// SPDX-License-Identifier: Apache-2.0

// One page for one home. Across the top is where it is; on the left what grows how close, as
// two plans and in words; on the right the home's first job in a box, what to do else, its own
// items first, and whose ground it is; across the foot the cautions, the sources and what the sheet
// was made from. The same routine measures and draws: without a context it only adds up heights.
// The print is made smaller step by step until both columns leave room for the plans.
#include "report/print/sheets.hpp"

#include "report/print/home_drawing.hpp"
#include "report/words/sheet_words.hpp"

#include <algorithm>
#include <cctype>
#include <optional>

namespace fuelring::report {

namespace {

constexpr double margin_pt = 14 * points_per_mm;
constexpr double gutter_pt = 6 * points_per_mm;
constexpr double left_share = 0.47;
constexpr double body_pt = 9.4;     ///< print at full size
constexpr double least_print = 0.6; ///< of that, still to be read
constexpr double print_step = 0.97;
constexpr double least_plan_pt = 34 * points_per_mm;
constexpr Logo::Size most_logo{45 * points_per_mm, 15 * points_per_mm};
const std::string bullet = "– ";
constexpr int address_lines = 4;
constexpr int data_lines = 4; ///< of a sentence with names from the data in it

/// The parts of a page at one size of print.
class Page {
public:
    Page(Paper paper, const HomeSheet& sheet, const SheetWords& words, const RunFacts& run,
         const SheetText& text, const Logo* logo, TextSetter& setter, double print)
        : paper_(paper), sheet_(sheet), words_(words), run_(run), text_(text), logo_(logo),
          setter_(setter), size_(body_pt * print), inner_(paper.width_pt - 2 * margin_pt),
          left_width_(left_share * (inner_ - gutter_pt))
    {}

    /// True where all of it fits on the page with plans that can be read.
    bool fits()
    {
        top_ = header(nullptr, margin_pt) + 0.8 * size_;
        foot_ = paper_.height_pt - margin_pt - footer(nullptr, 0);
        const double right = advice(nullptr, top_);
        const double left = figures(nullptr, top_);
        plans_ = foot_ - 0.8 * size_ - left;
        return right <= foot_ - 0.8 * size_ && plans_ >= plan_count() * least_plan_pt;
    }

    void draw(cairo_t* cr)
    {
        const Tagged page{cr, "Sect"};
        header(cr, margin_pt);
        figures(cr, top_);
        advice(cr, top_);
        footer(cr, foot_);
    }

private:
    TextStyle style(double scale = 1, bool bold = false, int lines = 0) const
    {
        return {.size_pt = scale * size_, .bold = bold, .most_lines = lines};
    }
    TextStyle kept(double scale = 1, bool bold = false) const
    {
        TextStyle s = style(scale, bold);
        s.keep = true;
        return s;
    }

    double header(cairo_t* cr, double y)
    {
        const Logo::Size mark = logo_ ? logo_->size_within(most_logo) : Logo::Size{0, 0};
        if (cr && logo_)
            logo_->draw(cr, margin_pt + inner_ - mark.width_pt, y, mark);
        Column column{cr, setter_, margin_pt, y, inner_ - (logo_ ? mark.width_pt + gutter_pt : 0)};
        TextStyle kicker = kept(1.05);
        kicker.grey = 0.3;
        column.paragraph(text_.word("page.kicker", {{"community", run_.community}}), kicker);
        column.paragraph(words_.heading,
                         style(words_.heading.size() > 90 ? 1.35 : 2, true, address_lines), "H1");
        column.paragraph(words_.place, style(1.05, false, 2));
        column.paragraph(words_.imagery, kept());
        Column below{cr, setter_, margin_pt, std::max(column.y(), y + mark.height_pt) + 0.5 * size_,
                     inner_};
        below.rule();
        return below.y();
    }

    int plan_count() const { return close_m() < widest_m() ? 2 : 1; }
    double widest_m() const { return sheet_.plan.lines.back().distance_m; }
    /// How far the first plan reaches: some way beyond the near distance, but less than all.
    double close_m() const
    {
        double close = sheet_.plan.lines.front().distance_m;
        for (const DistanceLine& line : sheet_.plan.lines)
            if (line.distance_m <= 3.5 * run_.near_m)
                close = line.distance_m;
        return close;
    }

    void plan(cairo_t* cr, Column& column, double height, double reach_m, const std::string& title)
    {
        const double top = column.y();
        column.paragraph(title, style());
        column.skip(0.15 * size_);
        if (cr) {
            const Tagged figure{cr, "Figure"};
            draw_home_plan(cr, {column.x(), column.y(), column.width(), top + height - column.y()},
                           sheet_.plan, reach_m, text_, setter_, 0.85 * size_);
        }
        column.skip(top + height - column.y());
    }

    /// The left column; plans take what the words leave.
    double figures(cairo_t* cr, double y)
    {
        Column column{cr, setter_, margin_pt, y, left_width_};
        column.paragraph(text_.word("page.stands"), kept(1.3, true), "H2");
        column.skip(0.3 * size_);
        if (cr) {
            const double room = plans_ - 0.4 * size_ * plan_count();
            const bool both = plan_count() == 2;
            plan(cr, column, both ? 0.54 * room : room, close_m(),
                 text_.word(both ? "plan.close" : "plan.wide",
                            {{"widest", text_.length(widest_m())}}));
            column.skip(0.4 * size_);
            if (both) {
                plan(cr, column, 0.46 * room, widest_m(),
                     text_.word("plan.wide", {{"widest", text_.length(widest_m())}}));
                column.skip(0.4 * size_);
            }
        }
        column.skip(draw_plan_legend(cr, sheet_.plan, {column.x(), column.y(), column.width(), 0},
                                     text_, setter_, 0.85 * size_));
        column.skip(0.4 * size_);
        for (const std::string& sentence : words_.stands) {
            column.paragraph(sentence, style(1, &sentence == &words_.stands.front(), data_lines));
            column.skip(0.2 * size_);
        }
        return column.y();
    }

    /// This home's first job, with its gain, and whom to ask; the height where it ends.
    double job(cairo_t* cr, double x, double y, double width)
    {
        const double inset = 0.7 * size_;
        Column column{cr, setter_, x + inset, y + inset, width - 2 * inset};
        column.paragraph(text_.word("job.title"), kept(1.3, true), "H2");
        for (const std::string& sentence : words_.advice.job) {
            column.skip(0.2 * size_);
            column.paragraph(sentence, style(1.1, &sentence == &words_.advice.job.front()));
        }
        for (const std::string& sentence : words_.offer) {
            column.skip(0.3 * size_);
            column.paragraph(sentence, kept(1.1));
        }
        const double end = column.y() + inset;
        if (cr) {
            add_box(cr, {x, y, width, end - y});
            stroke(cr, 1.2, grey(0.2));
        }
        return end;
    }

    void blocks(Column& column, const std::vector<AdviceBlock>& all)
    {
        for (const AdviceBlock& block : all) {
            column.skip(0.4 * size_);
            column.paragraph(block.title, kept(1, true), "H3");
            TextStyle item = kept();
            item.hanging_pt = setter_.extent(bullet, item).width_pt;
            for (const std::string& words : block.items) {
                column.skip(0.2 * size_);
                column.paragraph(bullet + words, item);
            }
        }
    }

    double advice(cairo_t* cr, double y)
    {
        const double x = margin_pt + left_width_ + gutter_pt;
        const double width = inner_ - left_width_ - gutter_pt;
        Column column{cr, setter_, x, job(cr, x, y, width) + 0.8 * size_, width};
        column.paragraph(text_.word("page.first"), kept(1.3, true), "H2");
        blocks(column, words_.advice.own);
        column.skip(0.8 * size_);
        column.paragraph(text_.word("page.everyone"), kept(1.1, true), "H2");
        blocks(column, words_.advice.everyone);
        column.skip(0.9 * size_);
        column.paragraph(text_.word("page.ground"), kept(1.3, true), "H2");
        column.skip(0.2 * size_);
        for (const std::string& sentence : words_.ground) {
            column.paragraph(sentence, style(1, false, data_lines));
            column.skip(0.2 * size_);
        }
        return column.y();
    }

    double footer(cairo_t* cr, double y)
    {
        Column column{cr, setter_, margin_pt, y, inner_};
        column.rule();
        column.skip(0.5 * size_);
        column.paragraph(text_.word("page.before"), kept(1.1, true), "H2");
        std::string cautions;
        for (const std::string& caution : words_.before)
            cautions += (cautions.empty() ? "" : " ") + caution;
        column.paragraph(cautions, kept());
        column.skip(0.3 * size_);
        column.paragraph(words_.limits, kept(1, true));
        column.skip(0.3 * size_);
        TextStyle small = kept(0.85);
        small.grey = 0.25;
        column.paragraph(words_.advice.sources, small);
        small.keep = false;
        small.most_lines = data_lines;
        column.paragraph(words_.made + credits(run_.picture_credit, run_.lines_credit, text_),
                         small);
        return column.y();
    }

    Paper paper_;
    const HomeSheet& sheet_;
    const SheetWords& words_;
    const RunFacts& run_;
    const SheetText& text_;
    const Logo* logo_;
    TextSetter& setter_;
    double size_;
    double inner_;
    double left_width_;
    double top_ = 0;
    double foot_ = 0;
    double plans_ = 0;
};

/// Draws one home's sheet on one page. The print shrinks as far as it must for everything to fit:
/// what comes from the data is bounded, so the words of a template fit all homes or none.
void draw_sheet(cairo_t* cr, Paper paper, const HomeSheet& sheet, const RunFacts& run,
                const SheetText& text, const Logo* logo, TextSetter& setter)
{
    const SheetWords words = words_for(sheet.figures, run, text);
    for (double print = 1; print >= least_print; print *= print_step) {
        Page page{paper, sheet, words, run, text, logo, setter, print};
        if (!page.fits())
            continue;
        page.draw(cr);
        return;
    }
    throw DoesNotFit{"the words leave no room for the plans on one page"};
}

} // namespace

std::string document_date(const RunFacts& run)
{
    constexpr std::string_view pattern = "0000-00-00";
    const std::string& date = run.imagery_date;
    const bool is_date =
        date.size() == pattern.size() &&
        std::equal(date.begin(), date.end(), pattern.begin(), [](char c, char p) {
            return p == '0' ? std::isdigit(static_cast<unsigned char>(c)) != 0 : c == p;
        });
    return (is_date ? date : "1970-01-01") + "T00:00:00Z";
}

void write_sheets(const Sink& sink, Paper paper, std::size_t homes,
                  const std::function<HomeSheet(std::size_t)>& sheet_of, const RunFacts& run,
                  const SheetText& text)
{
    PdfDocument document{
        sink,
        paper,
        {text.word("page.kicker") + ": " + run.community, run.program, document_date(run)}};
    TextSetter setter;
    std::optional<Logo> logo;
    if (!run.logo_png.empty())
        logo.emplace(run.logo_png);
    for (std::size_t k = 0; k < homes; ++k) {
        const HomeSheet sheet = sheet_of(k);
        const std::string& address = sheet.figures.address;
        draw_sheet(document.cr(), paper, sheet, run, text, logo ? &*logo : nullptr, setter);
        document.name_page(address.empty() ? sheet.figures.structure_id : address);
        document.end_page();
    }
    document.finish();
}

} // namespace fuelring::report
