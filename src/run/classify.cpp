// SPDX-License-Identifier: Apache-2.0

// From images to a fuel raster, as a paragraph: look at the images, lay out the grid, read training
// and learn, tell every block, write the tables, publish.
#include "run/classify.hpp"

#include "base/faults.hpp"
#include "base/program/durable_file.hpp"
#include "base/program/signals.hpp"
#include "io/gdal/setup.hpp"
#include "io/report_data/png_out.hpp"
#include "io/tables/csv_table.hpp"
#include "run/classify/class_note.hpp"
#include "run/classify/class_tables.hpp"
#include "run/inputs/input_files.hpp"
#include "run/manifest/manifest.hpp"
#include "run/publish/publish.hpp"
#include "run/schedule/memory.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

namespace fuelring {

const std::vector<std::string> files_of_classify = {
    "fuel.tif",     "conifer_share.tif", "fuel_classes.csv",   "fuel_classes.csvt",
    "accuracy.csv", "accuracy.csvt",     "training_used.gpkg", "classified.png"};

namespace {

/// Writing and publishing takes about as long as so many blocks.
constexpr std::int64_t publishing_blocks = 4;

std::filesystem::path out_of(const Config& config, const MapOptions& options)
{
    if (options.out)
        return *options.out;
    if (config.imagery->out.empty())
        throw Error{Failure::usage, "no output folder: imagery.output.dir is missing",
                    config.file.string(), "add it under [imagery.output], or give --out DIR"};
    return config.imagery->out;
}

InputPaths inputs_of(const Config& config)
{
    InputPaths paths;
    for (const ImageSource& image : config.imagery->images)
        add_raster(image.key + ".path", image.files, paths);
    if (config.imagery->training)
        paths.emplace_back("imagery.training.path", config.imagery->training->path);
    if (config.imagery->around_structures)
        paths.emplace_back("inputs.structures.path", config.inputs.structures.path);
    return paths;
}

std::vector<ImageRaster> look_at_images(const ImagerySettings& settings, Log& log)
{
    std::vector<ImageRaster> images;
    FaultList faults;
    for (const ImageSource& source : settings.images)
        faults.attempt([&] { images.emplace_back(source); });
    faults.raise();
    for (const ImageRaster& image : images)
        log.detail(fmt::format("{}: {}, {}", image.source().key, image.source().files.path,
                               image.description()));
    return images;
}

FeaturePlan plan_features(const ImagerySettings& settings, double cell_m)
{
    std::vector<ImageBands> bands;
    for (const ImageSource& image : settings.images)
        bands.push_back(image.bands);
    return {std::move(bands), cell_m};
}

std::string dates_of(const ImagerySettings& settings)
{
    std::string dates;
    for (const ImageSource& image : settings.images)
        if (!image.date.empty() && dates.find(image.date) == dates.npos)
            dates += (dates.empty() ? "" : ", ") + image.date;
    return dates;
}

void write_picture(const std::filesystem::path& path, const IndexedImage& picture)
{
    DurableFile file{path};
    file.write(png_of(picture));
    file.finish();
}

} // namespace

nlohmann::json run_classify(const Config& config, const MapOptions& options, Log& log)
{
    const ImagerySettings& settings = *config.imagery;
    if (!settings.training)
        throw Error{Failure::usage, "no table [imagery.training]", config.file.string(),
                    "add it with path and group: a layer of places whose vegetation you know"};
    Progress progress{log};
    progress.begin({"looking at the images"});
    StageTimes stages;
    stages.begin("hold the output folder");
    const std::filesystem::path out = out_of(config, options);
    Publication publication{out};
    publication.say_new_notes(log);

    stages.begin("look at the images");
    std::vector<InputFile> files = local_files(inputs_of(config));
    const std::vector<ImageRaster> images = look_at_images(settings, log);
    const ClassGrid grid = plan_grid(config, images);
    const FeaturePlan plan = plan_features(settings, grid.cell_m);
    const int jobs = workers_of(config.run.jobs, options.jobs);

    const auto blocks = static_cast<std::int64_t>(grid.blocks.size());
    progress.expect(blocks + publishing_blocks);
    progress.begin({"reading training areas"});
    stages.begin("read training areas");
    TrainingLayer layer = read_training(*settings.training, grid.analysis);
    const TrainingSet set =
        sample_training(layer, images, grid.analysis, plan, jobs, stop_if_asked);
    progress.begin({"learning"});
    stages.begin("learn");
    const ClassModel model =
        learn_model(set, grid.cell_m, jobs, settings.training->path, stop_if_asked);

    stages.begin("classify");
    ClassRasters rasters{publication.staging(), config.community_name, dates_of(settings),
                         grid.analysis, jobs};
    IndexedImage picture;
    progress.begin({"classifying", "blocks", blocks, blocks});
    const ClassTotals totals =
        classify_blocks({images, grid, plan, model}, jobs, rasters, picture, [&] {
            stop_if_asked();
            progress.advance();
        });
    if (totals.known_cells == 0)
        throw Error{Failure::input, "the images know no cell of the land that is classified",
                    images.front().source().files.path,
                    "look at their nodata values with gdalinfo"};

    progress.begin({.doing = "publishing", .work = publishing_blocks});
    stages.begin("write outputs");
    rasters.finish();
    const double cell_ha = grid.cell_m * grid.cell_m / 10'000;
    const auto& staging = publication.staging();
    const auto rows = accuracy_rows(set, model, plan.names(), totals, cell_ha);
    write_csv(staging / "accuracy.csv", accuracy_columns(), rows, false);
    write_csv(staging / "fuel_classes.csv", class_columns(), class_rows(model, plan.has_height()),
              false);
    write_training_used(staging / "training_used.gpkg", set, layer.shapes, model, grid.analysis);
    write_picture(staging / "classified.png", picture);
    require_unchanged(files);

    nlohmann::json manifest =
        classification_json({config, images, grid, plan, set, model, totals, cell_ha});
    manifest["inputs"] = digests_of(files);
    for (const nlohmann::json& warning : manifest.at("warnings"))
        log.warn(warning.at("text").get<std::string>());
    stages.end();
    manifest["timings"] = timings_of(stages, {}, jobs);
    publication.commit(manifest, files_of_classify, SignalWatch::stop_signal);
    publication.say_new_notes(log);
    progress.done();
    for (const nlohmann::json& line : manifest.at("note"))
        log.info(line.get<std::string>());
    log.info(fmt::format("outputs in {}", out.string()));
    manifest["out"] = out.string();
    return manifest;
}

} // namespace fuelring
