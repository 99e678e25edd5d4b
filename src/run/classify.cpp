// SPDX-License-Identifier: Apache-2.0

// From images to a fuel raster, as a paragraph: hold the output folder and look whether anything
// changed since the classification that lies there, look at the images, lay out the grid, read
// training and learn, tell every block, write the tables, publish. What an earlier one learned and
// told is taken over where nothing that it depends on changed (run/classify/class_reuse.hpp).
#include "run/classify.hpp"

#include "base/faults.hpp"
#include "base/program/durable_file.hpp"
#include "base/program/progress.hpp"
#include "base/program/signals.hpp"
#include "io/gdal/setup.hpp"
#include "io/report_data/png_out.hpp"
#include "io/tables/csv_table.hpp"
#include "run/classify/class_archive.hpp"
#include "run/classify/class_keys.hpp"
#include "run/classify/class_reuse.hpp"
#include "run/classify/shadow.hpp"
#include "run/classify/visits.hpp"
#include "run/classify/words/accuracy_rows.hpp"
#include "run/classify/words/class_note.hpp"
#include "run/classify/words/class_tables.hpp"
#include "run/inputs/input_files.hpp"
#include "run/manifest/manifest.hpp"
#include "run/publish/publish.hpp"
#include "run/publish/publish_set.hpp"
#include "run/schedule/memory.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <memory>
#include <optional>

namespace fuelring {

namespace {

/// Without those of training, which a rule has not.
const std::vector<std::string> files_of_classify = {
    "fuel.tif",     "conifer_share.tif", "fuel_classes.csv", "fuel_classes.csvt",
    "accuracy.csv", "accuracy.csvt",     "classified.png"};
/// Writing and publishing takes about as long as so many blocks.
constexpr std::int64_t publishing_blocks = 4;
constexpr std::size_t cache_bytes = 256'000'000; ///< of decoded images, all workers together
constexpr const char* training_file = "training_used.gpkg";

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
    if (config.imagery->training && config.inputs.corrections)
        paths.emplace_back("inputs.corrections.path", config.inputs.corrections->path);
    if (!config.inputs.structures.path.empty())
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

void write_picture(const std::filesystem::path& path, const IndexedImage& picture,
                   const std::string& method)
{
    DurableFile file{path};
    file.write(png_of(picture, method));
    file.finish();
}

/// A classification, from the held folder to the published set; the steps are called once each, in
/// order.
class ClassifyRun {
public:
    ClassifyRun(const Config& config, const MapOptions& options, Log& log);

    bool is_made() const { return reuse_->is_same_run(); }
    nlohmann::json made() const;

    void look();
    void learn();
    void tell();
    nlohmann::json write();

private:
    ClassModel learned() const;
    void publish(nlohmann::json& manifest);

    const Config& config_;
    const ImagerySettings& settings_;
    Log& log_;
    Progress progress_;
    StageTimes stages_;
    int jobs_;

    std::filesystem::path out_;
    std::unique_ptr<Publication> publication_;
    std::vector<InputFile> files_;
    InputDigests digests_;
    std::unique_ptr<ClassReuse> reuse_;

    std::vector<ImageRaster> images_;
    std::unique_ptr<ClassGrid> grid_;
    std::unique_ptr<NearHomes> homes_; ///< none where the configuration names none
    std::optional<FeaturePlan> plan_;
    std::unique_ptr<ClassKeys> keys_; ///< none where nobody can tell what changed
    TrainingLayer layer_;
    TrainingLayer control_; ///< visits that are kept apart
    ClassModel model_;
    RawDigest model_digest_{};

    std::unique_ptr<ClassRasters> rasters_;
    IndexedImage picture_;
    ClassTotals totals_;
};

ClassifyRun::ClassifyRun(const Config& config, const MapOptions& options, Log& log)
    : config_{config}, settings_{*config.imagery}, log_{log}, progress_{log},
      jobs_{workers_of(config.run.jobs, options.jobs)}, out_{out_of(config, options)}
{
    progress_.begin({"looking at the images"});
    stages_.begin("hold the output folder");
    publication_ = std::make_unique<Publication>(out_);
    publication_->say_new_notes(log);
    stages_.begin("look for changes");
    const InputPaths paths = inputs_of(config);
    files_ = local_files(paths);
    digests_ = digests_by_role(paths, config, config.text_of_classify);
    reuse_ = std::make_unique<ClassReuse>(publication_->state_file(), options.full, digests_, out_,
                                          publication_->found_whole() ? publication_->found_run()
                                                                      : std::string{});
}

nlohmann::json ClassifyRun::made() const
{
    nlohmann::json manifest = read_manifest(out_);
    manifest["nothing_changed"] = true;
    manifest["out"] = out_.string();
    for (const nlohmann::json& warning : manifest.at("warnings"))
        log_.warn(warning.at("text").get<std::string>());
    log_.info(fmt::format("images and training did not change: {} stays as it is", out_.string()));
    return manifest;
}

void ClassifyRun::look()
{
    stages_.begin("look at the images");
    FaultList faults;
    settle(files_, digests_, faults, log_);
    faults.raise();
    images_ = look_at_images(settings_, log_);
    grid_ = std::make_unique<ClassGrid>(plan_grid(config_, images_));
    plan_ = plan_features(settings_, grid_->cell_m);
    if (!config_.inputs.structures.path.empty())
        homes_ = std::make_unique<NearHomes>(config_.inputs.structures, grid_->analysis,
                                             grid_->cell_m, config_.near.m);
    progress_.expect(std::ssize(grid_->blocks) + publishing_blocks);
    reuse_->begin();
    if (reuse_->knows_inputs())
        keys_ = std::make_unique<ClassKeys>(digests_, images_, *grid_, *plan_);
}

void ClassifyRun::learn()
{
    if (!settings_.training) {
        model_ = rule_model(settings_.rule, *plan_, config_.file.string());
        model_.shadow = shadow_rule(images_, grid_->analysis, rects_of(*grid_));
    } else {
        progress_.begin({"reading training areas"});
        stages_.begin("read training areas");
        layer_ = read_training(*settings_.training, grid_->analysis);
        if (config_.inputs.corrections)
            control_ = take_visits(*config_.inputs.corrections, grid_->analysis, grid_->cell_m,
                                   !settings_.training->block.empty(), layer_);
        progress_.begin({"learning"});
        stages_.begin("learn");
        std::vector<CellRect> windows = training_windows(layer_);
        const std::vector<CellRect> of_control = training_windows(control_);
        windows.insert(windows.end(), of_control.begin(), of_control.end());
        model_ = keys_ ? reuse_->model(keys_->of_model(windows, *settings_.training,
                                                       config_.inputs.corrections),
                                       [this] { return learned(); })
                       : learned();
        layer_.shapes.insert(layer_.shapes.end(), control_.shapes.begin(), control_.shapes.end());
    }
    ByteWriter bytes;
    archive(bytes, model_);
    model_digest_ = raw_digest(bytes.bytes());
}

ClassModel ClassifyRun::learned() const
{
    const auto sampled = [this](TrainingLayer layer) {
        return sample_training(layer, images_, grid_->analysis, *plan_, jobs_, stop_if_asked);
    };
    TrainingSet set = sampled(layer_);
    TrainingSet control = sampled(control_);
    ClassModel model =
        learn_model(set, control, grid_->cell_m, jobs_, settings_.training->path, stop_if_asked);
    model.shadow = shadow_rule(images_, grid_->analysis, training_windows(layer_));
    return model;
}

void ClassifyRun::tell()
{
    stages_.begin("classify");
    rasters_ = std::make_unique<ClassRasters>(publication_->staging(), config_.community_name,
                                              dates_of(settings_), method_of(model_),
                                              grid_->analysis, jobs_);
    const std::vector<ClassBlock>& blocks = grid_->blocks;
    std::vector<RawDigest> keys;
    for (std::size_t k = 0; keys_ && k < blocks.size(); ++k)
        keys.push_back(keys_->of_block(blocks[k], model_digest_, homes_.get()));
    progress_.begin({"classifying", "blocks", std::ssize(blocks), std::ssize(blocks)});
    totals_ = classify_blocks(
        {images_, *grid_, *plan_, model_, homes_.get()}, jobs_, *rasters_, picture_,
        [&](std::size_t k, const std::function<ToldBlock()>& tell_block) {
            ToldBlock told =
                keys_ ? reuse_->block(blocks[k], keys[k], *rasters_, tell_block) : tell_block();
            stop_if_asked();
            progress_.advance();
            return told;
        });
    if (totals_.all.known_cells == 0)
        throw Error{Failure::input, "the images know no cell of the land that is classified",
                    images_.front().source().files.path,
                    "look at their nodata values with gdalinfo"};
}

nlohmann::json ClassifyRun::write()
{
    progress_.begin({.doing = "publishing", .work = publishing_blocks});
    stages_.begin("write outputs");
    reuse_->finish(*rasters_);
    const double cell_ha = grid_->cell_m * grid_->cell_m / 10'000;
    const auto& staging = publication_->staging();
    write_csv(staging / "accuracy.csv", accuracy_columns(),
              accuracy_rows(model_, plan_->names(), totals_, cell_ha), false);
    write_csv(staging / "fuel_classes.csv", class_columns(),
              class_rows(model_, plan_->has_height()), false);
    if (!model_.rule)
        write_training_used(staging / training_file, layer_.shapes, model_, grid_->analysis);
    write_picture(staging / "classified.png", picture_, method_of(model_));
    require_unchanged(files_);

    nlohmann::json manifest =
        classification_json({config_, images_, *grid_, *plan_, model_, totals_, cell_ha});
    manifest["inputs"] = digests_of(files_);
    manifest["reuse"] = reuse_->json();
    for (const nlohmann::json& warning : manifest.at("warnings"))
        log_.warn(warning.at("text").get<std::string>());
    publish(manifest);
    progress_.done();
    for (const nlohmann::json& line : manifest.at("note"))
        log_.info(line.get<std::string>());
    log_.info(fmt::format("outputs in {}", out_.string()));
    manifest["out"] = out_.string();
    manifest["run_id"] = publication_->run_id();
    return manifest;
}

void ClassifyRun::publish(nlohmann::json& manifest)
{
    stages_.end();
    manifest["timings"] = timings_of(stages_, {}, jobs_);
    std::vector<std::string> files = files_of_classify;
    if (!model_.rule)
        files.emplace_back(training_file);
    publication_->commit(manifest, files, SignalWatch::stop_signal);
    if (const std::string failed = reuse_->keep(publication_->run_id()); !failed.empty())
        log_.warn(fmt::format("{}: the state for the next run could not be written: {}; it will "
                              "compute everything again",
                              publication_->state_file().string(), failed));
    publication_->say_new_notes(log_);
}

} // namespace

nlohmann::json run_classify(const Config& config, const MapOptions& options, Log& log)
{
    bound_block_cache(cache_bytes);
    ClassifyRun run{config, options, log}; // holds the output folder
    if (run.is_made())
        return run.made();
    run.look();
    run.learn();
    run.tell();
    return run.write();
}

nlohmann::json renew_fuel(const Config& config, const MapOptions& options, Log& log)
{
    MapOptions of_classify = options;
    of_classify.out.reset(); // that is where the map goes
    const nlohmann::json made = run_classify(config, of_classify, log);
    return {{"out", made.at("out")},
            {"run_id", made.at("run_id")},
            {"method", made.at("method")},
            {"made_now", !made.contains("nothing_changed")}};
}

} // namespace fuelring
