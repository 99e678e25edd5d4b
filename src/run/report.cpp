// SPDX-License-Identifier: Apache-2.0

// The report's command, as a paragraph: hold the folder that is to have the files, open the run and
// read its picture, render, publish.
#include "run/report.hpp"

#include "base/program/signals.hpp"
#include "io/report_data/run_picture_in.hpp"
#include "io/run_folder/run_folder.hpp"
#include "run/manifest/manifest.hpp"
#include "run/publish/publish.hpp"
#include "run/report/plan_steps.hpp"
#include "run/report/report_change.hpp"
#include "run/report/report_pages.hpp"
#include "run/report/report_parts.hpp"
#include "run/report/sheet_text_in.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <tbb/task_arena.h>

#include <string>
#include <vector>

namespace fuelring {

namespace fs = std::filesystem;
using nlohmann::json;

namespace {

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
             const std::vector<std::string>& files, const ReportOptions& options,
             const json& timings)
{
    json manifest = place.beside_run ? run.manifest : own_manifest(run, options);
    if (place.beside_run) {
        publication.keep_all_but(files);
        manifest[options.for_public ? "public_report" : "report"] = {{"files", files},
                                                                     {"timings", timings}};
    } else {
        require_same_run(run);
        manifest["timings"] = timings;
    }
    publication.commit(manifest, files, SignalWatch::stop_signal);
}

json report_of(const ReportOptions& options, Log& log)
{
    Progress progress{log};
    progress.begin({"reading the run"});
    StageTimes stages;
    stages.begin("hold the output folder");
    const report::SheetText text =
        options.text ? load_sheet_text(*options.text) : english_sheet_text();
    const Place place = place_of(options);
    if (!is_run_folder(options.run))
        open_run_folder(options.run); // says why, before anything is made beside it
    Publication publication{place.out};
    publication.say_new_notes(log);

    stages.begin("read the run");
    const RunFolder run = open_run_folder(options.run);
    RunPicture picture = read_run_picture(run);
    if (picture.treatment && !options.for_public)
        picture.treatment->steps =
            plan_steps(run, picture,
                       options.jobs > 0 ? options.jobs : tbb::this_task_arena::max_concurrency());
    if (!options.change.empty())
        picture.change = read_change_of(options.change, run);
    stop_if_asked();

    stages.begin("render");
    Pages pages{publication.staging(), place.below};
    const PagesWanted wanted{.for_public = options.for_public,
                             .styles_of_rasters = place.beside_run && place.below.empty(),
                             .sheets = options.sheets,
                             .letter = options.letter};
    const ReportPhases phases{size_of(picture, wanted)};
    const Phase publishing{.doing = "publishing", .work = phases.read.work};
    progress.expect(phases.work() - phases.read.work + publishing.work);
    render_pages(pages, run, picture, wanted, text, stop_if_asked, progress, log);
    progress.begin(publishing);
    stages.end();
    const json timings = timings_of(stages, {}, options.jobs);
    publish(publication, place, run, pages.names(), options, timings);
    publication.say_new_notes(log);
    progress.done();

    const fs::path where = place.out / place.below;
    if (!options.for_public)
        log.info("report.html shows individual homes. Keep it within the programme; share the "
                 "output of --public instead.");
    log.info(caution);
    log.info(fmt::format("outputs in {}", where.string()));
    json summary = {{"out", where.string()},
                    {"community", picture.community},
                    {"caution", caution},
                    {"files", pages.names()},
                    {"timings", timings}};
    if (!wanted.sheets.empty())
        summary["sheets"] = sheets_json(picture, rows_wished(picture, wanted.sheets));
    return summary;
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
