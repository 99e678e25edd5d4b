// SPDX-License-Identifier: Apache-2.0

// The still maps: each is drawn twice by the same calls, as a page of map.pdf and as a PNG of its
// own. Names of files come from names of neighbourhoods, in letters that every system takes, with a
// number where two would be the same.
#include "base/program/durable_file.hpp"
#include "io/georeference/ground_scale.hpp"
#include "io/report_data/backdrop_in.hpp"
#include "report/print/brief.hpp"
#include "run/report/report_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>

namespace fuelring {

namespace {

constexpr double px_per_pt = 2;
constexpr std::int64_t most_cells = 1'500'000; ///< of conifers: as many as a picture has room for
constexpr std::size_t longest_name = 60;
constexpr double least_seen = 5000; ///< along the ground of a map: lines are not nearer than this

/// A neighbourhood's name as part of a file's: small ASCII letters, digits and underscores.
std::string file_name_of(const std::string& name, std::set<std::string>& taken)
{
    std::string plain = "map";
    for (const char c : name.substr(0, longest_name)) {
        const bool is_letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
        if (is_letter || (c >= '0' && c <= '9'))
            plain += fmt::format("{}{}", plain == "map" ? "_" : "",
                                 static_cast<char>(is_letter ? c | 0x20 : c));
        else if (plain.back() != '_')
            plain += '_';
    }
    while (plain.back() == '_')
        plain.pop_back();
    if (plain == "map")
        plain += "_neighbourhood";
    std::string unique = plain;
    for (int k = 2; !taken.insert(unique).second; ++k)
        unique = fmt::format("{}_{}", plain, k);
    return unique + ".png";
}

bool has_map(const NeighbourhoodFigures& row)
{
    return row.kind == NeighbourhoodFigures::Kind::neighbourhood && row.structures > 0;
}

Point north_of(const RunFolder& run, const RunPicture& picture)
{
    Point middle = picture.origin + 0.5 * (picture.box.min + picture.box.max);
    const Reprojection to_wgs84{run.analysis.crs, Crs::wgs84(), run.analysis.area};
    if (!to_wgs84.apply(middle))
        return {0, 1};
    return true_north(middle.x, middle.y, to_wgs84.inverse());
}

/// What lies under a map: none of it for the public.
class Under {
public:
    Under(const RunFolder& run, const Context& context, report::StillMap& map)
    {
        if (map.for_public)
            return;
        const Box ground = report::ground_shown(map);
        conifers_ = read_conifer_cells(run, ground, most_cells);
        map.conifers = &conifers_;
        backdrop_ = read_backdrop(run, map.picture, ground, most_backdrop_pixels);
        map.backdrop = backdrop_ ? &*backdrop_ : nullptr;
        const double longer = std::max(ground.max.x - ground.min.x, ground.max.y - ground.min.y);
        context_ = generalised(within(context, ground), longer / least_seen);
        map.context = &context_;
    }
    Under(const Under&) = delete;
    Under& operator=(const Under&) = delete;

private:
    report::MapCells conifers_;
    std::optional<Backdrop> backdrop_;
    Context context_;
};

class Maps {
public:
    Maps(const AddFile& add, const RunFolder& run, const Context& context,
         const report::StillMap& map, const report::SheetText& text)
        : add_(add), run_(run), context_(context), map_(map), text_(text),
          pdf_file_(add("map.pdf")),
          sink_([this](std::string_view bytes) { pdf_file_.write(bytes); }),
          pdf_(sink_, report::map_paper,
               {text.word("map.title", {{"place", map.run.community}}), map.run.program,
                report::document_date(map.run)})
    {}

    void add(const std::string& name, const std::string& file, std::optional<std::size_t> only)
    {
        report::StillMap map = map_;
        map.only = only;
        const Under under{run_, context_, map};
        report::draw_still_map(pdf_.cr(), map, text_, setter_);
        pdf_.name_page(name);
        pdf_.end_page();
        report::Picture picture{static_cast<int>(px_per_pt * report::map_paper.width_pt),
                                static_cast<int>(px_per_pt * report::map_paper.height_pt),
                                px_per_pt};
        report::draw_still_map(picture.cr(), map, text_, setter_);
        DurableFile png{add_(file)};
        picture.write_png([&png](std::string_view bytes) { png.write(bytes); });
        png.finish();
    }

    void finish()
    {
        pdf_.finish();
        pdf_file_.finish();
    }

private:
    const AddFile& add_;
    const RunFolder& run_;
    const Context& context_;
    const report::StillMap& map_;
    const report::SheetText& text_;
    DurableFile pdf_file_;
    report::Sink sink_;
    report::PdfDocument pdf_;
    report::TextSetter setter_;
};

void write_brief(const AddFile& add, const RunFolder& run, const Context& context,
                 report::StillMap map, report::Paper paper, const report::SheetText& text)
{
    const Under under{run, context, map};
    DurableFile file{add("brief.pdf")};
    const report::Sink sink{[&file](std::string_view bytes) { file.write(bytes); }};
    report::PdfDocument pdf{sink,
                            paper,
                            {text.word("brief.title", {{"place", map.run.community}}),
                             map.run.program, report::document_date(map.run)}};
    report::TextSetter setter;
    report::draw_brief(pdf.cr(), paper, map, text, setter);
    pdf.end_page();
    pdf.finish();
    file.finish();
}

} // namespace

std::int64_t maps_of(const RunPicture& picture, bool for_public)
{
    if (for_public)
        return 2;
    const std::vector<NeighbourhoodFigures> rows = neighbourhood_figures(picture);
    return 2 + std::count_if(rows.begin(), rows.end(), has_map);
}

Box ground_of_maps(const RunFolder& run, const RunPicture& picture)
{
    const report::RunFacts facts = facts_of(picture);
    const std::vector<NeighbourhoodFigures> rows;
    const Box ground = report::ground_shown(
        {picture, facts, rows, false, {0, 1}, nullptr, {}, nullptr, nullptr, {}});
    // A slope stretches rings, and a sheet's plan may be longer than what it must show.
    const double around = 3 * run.rings.widest_m();
    return ground.grown(around * std::max(picture.map_scale.x, picture.map_scale.y));
}

void write_maps(const AddFile& add, const RunFolder& run, const RunPicture& picture,
                const Context& context, bool for_public, report::Paper paper,
                const report::SheetText& text, Progress& progress)
{
    const report::RunFacts facts = facts_of(picture);
    const std::vector<NeighbourhoodFigures> rows =
        for_public ? public_figures(picture) : neighbourhood_figures(picture);
    const report::StillMap map{picture,
                               facts,
                               rows,
                               for_public,
                               north_of(run, picture),
                               nullptr,
                               {run.analysis.grid.along_cols(), run.analysis.grid.against_rows()},
                               nullptr,
                               nullptr,
                               {}};
    Maps maps{add, run, context, map, text};
    maps.add(picture.community, "map.png", {});
    progress.advance();
    std::set<std::string> taken;
    for (std::size_t k = 0; !for_public && k < rows.size(); ++k)
        if (has_map(rows[k])) {
            maps.add(rows[k].name, file_name_of(rows[k].name, taken), k);
            progress.advance();
        }
    maps.finish();
    write_brief(add, run, context, map, {paper.height_pt, paper.width_pt}, text);
    progress.advance();
}

} // namespace fuelring
