// SPDX-License-Identifier: Apache-2.0
#include "run/report/report_pages.hpp"

#include "base/grouped.hpp"
#include "base/program/durable_file.hpp"
#include "io/geopackage/raster_style.hpp"
#include "io/report_data/backdrop_in.hpp"
#include "io/report_data/context_in.hpp"
#include "io/report_data/packed_squares_out.hpp"
#include "io/report_data/png_out.hpp"
#include "io/report_data/public_geojson_out.hpp"
#include "io/report_data/public_table_out.hpp"
#include "report/page/page.hpp"
#include "report/surface_image.hpp"
#include "run/report/report_parts.hpp"

#include <fmt/format.h>

#include <string_view>
#include <utility>

namespace fuelring {

namespace fs = std::filesystem;

namespace {

constexpr double slow_page_mb = 15;
/// What the cells that drawn areas are measured by may take of it, before base 64.
constexpr std::size_t most_points_bytes = 3'000'000;
constexpr std::size_t most_conifer_bytes = 1'000'000;
/// Of the town's own lines and areas: some 0.6 MB.
constexpr std::size_t most_context_vertices = 75'000;
constexpr double context_off_m = 0.1;

/// The surface shows single homes: none for the public.
PageImages images_of(const RunFolder& run, const RunPicture& picture, const Context& context,
                     const PagesWanted& wanted)
{
    if (wanted.for_public)
        return {};
    return {png_of(surface_image(picture.surface)),
            png_of(unmapped_image(picture.surface)),
            packed_squares(picture.ground.points, most_points_bytes),
            packed_squares(picture.ground.conifer, most_conifer_bytes),
            read_backdrop(run, picture, picture.surface.box, most_backdrop_pixels),
            generalised_to(context, context_off_m * picture.map_scale.x, most_context_vertices)};
}

void write_page(Pages& pages, const RunFolder& run, const RunPicture& picture,
                const Context& context, const PagesWanted& wanted, Log& log)
{
    const std::string page =
        report_page(picture, images_of(run, picture, context, wanted), wanted.for_public);
    const double page_mb = static_cast<double>(page.size()) / 1e6;
    if (page_mb > slow_page_mb)
        log.warn(fmt::format("report.html is {:.0f} MB; browsers may be slow to open it", page_mb));
    write_durably(pages.add("report.html"), page);
}

void write_public_table(Pages& pages, const RunPicture& picture)
{
    pages.add("neighbourhoods.csvt"); // written beside its table
    write_public_neighbourhoods(pages.add("neighbourhoods.csv"), picture, public_figures(picture),
                                picture.manifest.at("configuration").value("csv_bom", true));
}

/// What a desktop GIS draws the rasters of the run by.
void write_raster_styles(Pages& pages, const RunPicture& picture)
{
    write_durably(pages.add("priority.qml"),
                  surface_style(picture.surface.gain, picture.surface.cell_m2));
    write_durably(pages.add("fuel_used.qml"), fuel_style());
}

/// sheets.pdf of the homes asked for.
void write_sheets(Pages& pages, const RunFolder& run, const RunPicture& picture,
                  const Context& context, const PagesWanted& wanted, const report::SheetText& text,
                  Progress& progress, Log& log)
{
    if (wanted.sheets.empty())
        return;
    const std::vector<std::size_t> rows = rows_wished(picture, wanted.sheets);
    DurableFile file{pages.add("sheets.pdf")};
    write_address_sheets([&file](std::string_view bytes) { file.write(bytes); }, run, picture,
                         context, rows, wanted.letter, text, progress);
    file.finish();
    log.info(fmt::format(
        "sheets.pdf has {} sheets, one per home; give each sheet only to the household it "
        "describes",
        grouped(std::ssize(rows))));
}

} // namespace

Pages::Pages(fs::path staging, fs::path below)
    : staging_(std::move(staging)), below_(std::move(below))
{
    if (!below_.empty())
        fs::create_directories(staging_ / below_);
}

fs::path Pages::add(const std::string& name)
{
    names_.push_back((below_ / name).string());
    return staging_ / below_ / name;
}

ReportSize size_of(const RunPicture& picture, const PagesWanted& wanted)
{
    const auto sheets =
        wanted.sheets.empty() ? std::size_t{0} : rows_wished(picture, wanted.sheets).size();
    return {static_cast<std::int64_t>(picture.structures.table.rows),
            static_cast<std::int64_t>(picture.addresses.rows), maps_of(picture, wanted.for_public),
            static_cast<std::int64_t>(sheets)};
}

void render_pages(Pages& pages, const RunFolder& run, const RunPicture& picture,
                  const PagesWanted& wanted, const report::SheetText& text,
                  const std::function<void()>& check_cancelled, Progress& progress, Log& log)
{
    const auto add = [&pages](const std::string& name) { return pages.add(name); };
    const ReportPhases phases{size_of(picture, wanted)};
    progress.begin(phases.page);
    const Context context =
        wanted.for_public ? Context{} : read_context(run, picture, ground_of_maps(run, picture));
    write_page(pages, run, picture, context, wanted, log);
    check_cancelled();
    if (wanted.for_public) {
        write_public_table(pages, picture);
        write_public_geojson(pages.add("neighbourhoods.geojson"), run, picture,
                             public_figures(picture));
    }
    if (wanted.styles_of_rasters)
        write_raster_styles(pages, picture);
    progress.begin(phases.spreadsheets);
    if (!wanted.for_public)
        write_spreadsheets(add, picture, log);
    check_cancelled();
    progress.begin(phases.maps);
    write_maps(add, run, picture, context, wanted.for_public,
               wanted.letter ? report::paper_letter : report::paper_a4, text, progress);
    check_cancelled();
    progress.begin(phases.sheets);
    write_sheets(pages, run, picture, context, wanted, text, progress, log);
}

} // namespace fuelring
