// SPDX-License-Identifier: Apache-2.0

// The report's command, as a paragraph: hold the folder that is to have the files, open the run and
// read its picture, render, publish.
#include "run/report.hpp"

#include "io/durable_file.hpp"
#include "io/layer_style.hpp"
#include "io/png_out.hpp"
#include "io/public_table_out.hpp"
#include "io/run_picture_in.hpp"
#include "report/page.hpp"
#include "run/manifest.hpp"
#include "run/publish.hpp"
#include "run/report_change.hpp"
#include "run/report_maps.hpp"
#include "run/report_sheets.hpp"
#include "run/report_tables.hpp"
#include "run/run_folder.hpp"
#include "run/sheet_text_in.hpp"
#include "run/signals.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>

#include <csignal>
#include <map>
#include <string>
#include <vector>

namespace fuelring {

namespace fs = std::filesystem;
using nlohmann::json;

namespace {

constexpr double slow_page_mb = 15;

void stop_if_asked()
{
    if (const int signal = SignalWatch::stop_signal())
        throw Error{signal == SIGINT ? Failure::interrupted : Failure::terminated,
                    "stopped by a signal; earlier outputs are untouched"};
}

bool is_same_folder(const fs::path& a, const fs::path& b)
{
    std::error_code ignored;
    return fs::equivalent(a, b, ignored);
}

/// Where the files go.
struct Place {
    fs::path out;
    bool beside_run = true; ///< as a new generation of the run's own set
    fs::path below;         ///< folder inside `out`, empty for none
};

Place place_of(const ReportOptions& options)
{
    if (!options.out || is_same_folder(*options.out, options.run))
        return {options.run, true, options.for_public ? "public" : ""};
    if (is_run_folder(*options.out))
        throw Error{Failure::usage, "it is the folder of another run of fuelring map",
                    options.out->string(), "give --out a folder of its own, or leave it out"};
    return {*options.out, false, {}};
}

/// The files of the report in staging, with the digests that are known.
class Pages {
public:
    Pages(fs::path staging, fs::path below) : staging_(std::move(staging)), below_(std::move(below))
    {
        if (!below_.empty())
            fs::create_directories(staging_ / below_);
    }
    /// Where a file of that name is to be made; it then belongs to the set.
    fs::path add(const char* name)
    {
        names_.push_back((below_ / name).string());
        return staging_ / below_ / name;
    }
    const std::vector<std::string>& names() const { return names_; }

private:
    fs::path staging_;
    fs::path below_;
    std::vector<std::string> names_;
};

/// The surface shows single homes: none for the public.
PageImages images_of(const RunPicture& picture, const ReportOptions& options)
{
    if (options.for_public)
        return {};
    SurfaceImage surface = surface_image(picture.surface);
    std::string points = png_of(surface.image);
    return {std::move(surface), std::move(points), png_of(unmapped_image(picture.surface))};
}

void write_pages(Pages& pages, const RunPicture& picture, const ReportOptions& options, Log& log)
{
    const std::string page = report_page(picture, images_of(picture, options), options.for_public);
    const double page_mb = static_cast<double>(page.size()) / 1e6;
    if (page_mb > slow_page_mb)
        log.warn(
            fmt::format("report.html takes {:.0f} MB: browsers may be slow to open it", page_mb));
    write_durably(pages.add("report.html"), page);
    stop_if_asked();
    if (options.for_public) {
        pages.add("neighbourhoods.csvt"); // written beside its table
        write_public_neighbourhoods(pages.add("neighbourhoods.csv"), picture,
                                    public_figures(picture),
                                    picture.manifest.at("configuration").value("csv_bom", true));
    }
}

/// What a desktop GIS draws priority.tif by; beside the raster alone.
void write_surface_style(Pages& pages, const RunPicture& picture, const Place& place)
{
    if (!place.beside_run || !place.below.empty())
        return;
    double most = 0;
    for (const float points : picture.surface.points)
        if (points > most) // not where it is NaN
            most = points;
    write_durably(pages.add("priority.qml"), surface_style(most));
}

/// sheets.pdf of the homes asked for.
void write_sheets(Pages& pages, const PictureSource& source, const RunPicture& picture,
                  const ReportOptions& options, const report::SheetText& text, Log& log)
{
    if (options.sheets.empty())
        return;
    const std::vector<std::size_t> rows = rows_wished(picture, options.sheets);
    DurableFile file{pages.add("sheets.pdf")};
    write_address_sheets([&file](std::string_view bytes) { file.write(bytes); }, source, picture,
                         rows, options.letter, text);
    file.finish();
    log.info(fmt::format("sheets.pdf has {} sheets, one home each: hand each to its home alone",
                         rows.size()));
}

/// run.json of a report in a folder of its own. For the public without folders, ids and checksums
/// of anything that shows homes.
json own_manifest(const RunFolder& run, const ReportOptions& options)
{
    json manifest = {{"schema_version", schema_version},
                     {"kind", options.for_public ? "public report" : "report"},
                     {"program", program_versions()},
                     {"community", run.manifest.value("community", std::string{})},
                     {"imagery_date", run.manifest.value("imagery_date", json())},
                     {"caution", caution}};
    if (!options.for_public)
        manifest["provenance"] = provenance_of(run);
    return manifest;
}

void publish(Publication& publication, const Place& place, const RunFolder& run,
             std::vector<std::string> files, const ReportOptions& options, const json& timings)
{
    std::map<std::string, FileDigest> kept;
    json manifest = place.beside_run ? run.manifest : own_manifest(run, options);
    if (place.beside_run) {
        kept = publication.keep_all_but(files);
        manifest[options.for_public ? "public_report" : "report"] = {{"files", files},
                                                                     {"timings", timings}};
        for (const auto& [name, digest] : kept)
            files.push_back(name);
    } else {
        require_same_run(run);
        manifest["timings"] = timings;
    }
    publication.commit(manifest, files, SignalWatch::stop_signal, kept);
}

json report_of(const ReportOptions& options, Log& log)
{
    StageTimes stages;
    stages.begin("hold the output folder");
    const report::SheetText text =
        options.text ? load_sheet_text(*options.text) : english_sheet_text();
    const Place place = place_of(options);
    if (!is_run_folder(options.run))
        open_run_folder(options.run); // says why, before anything is made beside it
    Publication publication{place.out};
    std::size_t said = 0;
    const auto say_notes = [&] {
        for (; said < publication.notes().size(); ++said)
            log.warn(publication.notes()[said]);
    };
    say_notes();

    stages.begin("read the run");
    const RunFolder run = open_run_folder(options.run);
    const PictureSource source{run.path, run.manifest, run.rings, run.analysis};
    RunPicture picture = read_run_picture(source);
    if (!options.change.empty())
        picture.change = read_change_of(options.change, run);
    stop_if_asked();

    stages.begin("render");
    Pages pages{publication.staging(), place.below};
    write_pages(pages, picture, options, log);
    write_surface_style(pages, picture, place);
    if (!options.for_public)
        write_spreadsheets([&pages](const char* name) { return pages.add(name); }, run, log);
    stop_if_asked();
    write_maps([&pages](const std::string& name) { return pages.add(name.c_str()); }, source,
               picture, options.for_public, text);
    stop_if_asked();
    write_sheets(pages, source, picture, options, text, log);
    stages.end();
    const json timings = timings_of(stages, {}, options.jobs);
    publish(publication, place, run, pages.names(), options, timings);
    say_notes();

    const fs::path where = place.out / place.below;
    if (!options.for_public)
        log.info("report.html shows single homes: for those who work on the programme; give others "
                 "what --public makes");
    log.info(caution);
    log.info(fmt::format("outputs in {}", where.string()));
    return {{"out", where.string()},
            {"community", picture.community},
            {"caution", caution},
            {"files", pages.names()},
            {"timings", timings}};
}

} // namespace

json run_report(const ReportOptions& options, Log& log)
{
    try {
        return report_of(options, log);
    } catch (const nlohmann::json::exception& e) {
        throw not_as_written(e, options.run);
    }
}

} // namespace fuelring
