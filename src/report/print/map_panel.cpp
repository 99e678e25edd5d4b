// SPDX-License-Identifier: Apache-2.0

// The panel is set from the top: the legend takes what it needs, the table gets the rest. A row of
// the table is drawn only where it fits whole, with room for the line that counts those left out.
#include "report/print/map_panel.hpp"

#include <cmath>
#include <functional>

namespace fuelring::report {

namespace {

class Panel {
public:
    Panel(cairo_t* cr, double width_pt, const StillMap& map, const SheetText& text,
          TextSetter& setter)
        : cr_(cr), width_pt_(width_pt), map_(map), text_(text), setter_(setter),
          ids_(map.picture.structures.table.at("neighbourhood").texts)
    {}

    void draw(const PageBox& box)
    {
        const double after = legend(box);
        table({box.x, after + 12, box.width, box.y + box.height - after - 12});
    }

private:
    /// Classes with their colours, from the most to the least.
    double legend(const PageBox& box)
    {
        double y = box.y;
        {
            const Tagged tagged{cr_, "P"};
            y += setter_.draw(cr_, text_.word(map_.for_public ? "map.table" : "map.legend"), box.x,
                              y, box.width, {.size_pt = map_print_pt, .bold = true});
        }
        y += 4;
        const auto row = [&](const std::string& words, const Sign& draw, double dash_pt = 0) {
            sign(box.x, y, words, draw, dash_pt);
            y += 1.5 * map_print_pt;
        };
        for (std::size_t k = exposure_classes.size(); k-- > 0;) {
            const double to = k + 1 < exposure_classes.size() ? exposure_classes[k + 1] : 100;
            row(text_.word(map_.for_public ? "map.class" : "map.count",
                           {{"from", text_.length(exposure_classes[k])},
                            {"to", text_.length(to)},
                            {"count", number(map_.for_public ? 0 : buildings_of(k))}}),
                [&](const PageBox& at) { fill_box(cr_, at, exposure_colour(k)); });
        }
        if (const std::int64_t unmeasured = map_.for_public ? 0 : buildings_of({}))
            row(
                text_.word("map.unmeasured", {{"count", number(unmeasured)}}),
                [](const PageBox&) {}, unmeasured_dash_pt);
        if (!map_.conifers)
            return y;
        row(text_.word("plan.conifers"),
            [&](const PageBox& at) { fill_box(cr_, at, grey(conifer_grey)); });
        row(text_.word("plan.unmapped"), [&](const PageBox& at) {
            add_box(cr_, at);
            hatch_path(cr_, at);
        });
        for (std::size_t k = 0; map_.context && k < context_kinds.size(); ++k)
            if (const auto kind = static_cast<ContextKind>(k); has_kind(*map_.context, kind)) {
                draw_context_sign(cr_, sign_at(box.x, y), kind);
                words(box.x, y, text_.word(context_word(kind)));
                y += 1.5 * map_print_pt;
            }
        y += 0.1 * map_print_pt;
        return y +
               setter_.draw(cr_,
                            text_.word("map.reach",
                                       {{"widest", text_.length(map_.picture.rings.widest_m())}}),
                            box.x, y, box.width, {.size_pt = map_print_pt, .most_lines = 3});
    }

    using Sign = std::function<void(const PageBox&)>;

    static PageBox sign_at(double x, double y)
    {
        return {x, y + 0.25 * map_print_pt, 2 * map_print_pt, 0.95 * map_print_pt};
    }

    void words(double x, double y, const std::string& said)
    {
        setter_.draw(cr_, said, x + 2.7 * map_print_pt, y, width_pt_ - 2.7 * map_print_pt,
                     {.size_pt = map_print_pt, .most_lines = 1});
    }

    void sign(double x, double y, const std::string& said, const Sign& draw, double dash_pt)
    {
        const PageBox box = sign_at(x, y);
        const SavedState state{cr_};
        draw(box);
        add_box(cr_, box);
        stroke(cr_, 0.4, grey(0.2), dash_pt);
        words(x, y, said);
    }

    /// Buildings of a class on this map, or of none: they are not measured.
    std::int64_t buildings_of(std::optional<std::size_t> wanted) const
    {
        std::int64_t count = 0;
        for (std::size_t i = 0; i < ids_.size(); ++i) {
            const double exposure = map_.picture.structures.table.number("exposure", i);
            const bool is_known = !std::isnan(exposure);
            const bool fits = wanted ? is_known && exposure_class(exposure) == *wanted : !is_known;
            count += is_on_map(map_, ids_[i]) && fits ? 1 : 0;
        }
        return count;
    }

    std::string number(std::int64_t count) const
    {
        return text_.number(static_cast<double>(count), 0);
    }

    void table(const PageBox& box)
    {
        double y = box.y;
        const TextStyle bold{.size_pt = map_print_pt, .bold = true, .most_lines = 1};
        if (!map_.for_public && !map_.only)
            y += setter_.draw(cr_, text_.word("map.table"), box.x, y, box.width,
                              {.size_pt = map_print_pt, .bold = true, .most_lines = 2}) +
                 3;
        auto left = static_cast<std::int64_t>(map_.rows.size());
        for (const NeighbourhoodFigures& row : map_.rows) {
            if (map_.only && &row != &map_.rows[*map_.only]) {
                --left;
                continue;
            }
            const std::string name = name_of(row);
            const bool is_merged = row.kind == NeighbourhoodFigures::Kind::merged;
            const std::string words =
                figures_of(row) + (is_merged ? ". " + text_.word("map.merged_note") : "");
            const TextStyle plain{.size_pt = map_print_pt, .most_lines = is_merged ? 8 : 2};
            const double height = setter_.height_pt(name, box.width, bold) +
                                  setter_.height_pt(words, box.width, plain) + 3;
            const double last = left > 1 ? 1.4 * map_print_pt : 0;
            if (y + height + last > box.y + box.height) {
                setter_.draw(cr_, text_.word("map.more", {{"count", number(left)}}), box.x, y,
                             box.width, {.size_pt = map_print_pt, .most_lines = 1});
                return;
            }
            const Tagged tagged{cr_, "P"};
            y += setter_.draw(cr_, name, box.x, y, box.width, bold);
            y += setter_.draw(cr_, words, box.x, y, box.width, plain) + 3;
            --left;
        }
    }

    std::string name_of(const NeighbourhoodFigures& row) const
    {
        using Kind = NeighbourhoodFigures::Kind;
        switch (row.kind) {
        case Kind::outside:
            return text_.word("map.outside");
        case Kind::merged:
            return text_.word("map.merged");
        case Kind::community:
            return text_.word("map.community");
        case Kind::neighbourhood:
            break;
        }
        return row.name;
    }

    std::string figures_of(const NeighbourhoodFigures& row) const
    {
        // Known near is at most measured, and that at most all.
        return text_.word(row.known_near == row.structures ? "map.row"
                          : row.known_near > 0             ? "map.row_partly"
                                                           : "map.row_unknown",
                          {{"exposure", row.mean_exposure ? text_.number(*row.mean_exposure, 1)
                                                          : text_.word("map.no_figure")},
                           {"count", number(row.structures)},
                           {"measured", number(row.measured)},
                           {"known", number(row.known_near)},
                           {"near_count", number(row.near)},
                           {"near", text_.length(map_.run.near_m)}});
    }

    cairo_t* cr_;
    double width_pt_;
    const StillMap& map_;
    const SheetText& text_;
    TextSetter& setter_;
    const std::vector<std::string>& ids_; ///< neighbourhood by structure
};

} // namespace

bool is_on_map(const StillMap& map, const std::string& neighbourhood)
{
    return !map.only || neighbourhood == map.rows[*map.only].name;
}

void draw_map_panel(cairo_t* cr, const PageBox& box, const StillMap& map, const SheetText& text,
                    TextSetter& setter)
{
    Panel{cr, box.width, map, text, setter}.draw(box);
}

} // namespace fuelring::report
