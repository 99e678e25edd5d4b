// SPDX-License-Identifier: Apache-2.0
#include "cli/commands.hpp"
#include "run/classify.hpp"

#include <nlohmann/json.hpp>

namespace fuelring::cli {

void add_classify(CLI::App& app, CommonOptions& options)
{
    CLI::App* classify = app.add_subcommand(
        "classify", "Make a fuel raster from aerial images and places whose vegetation is known");
    add_common_options(*classify, options);
    classify->get_option("--out")->description("output folder, instead of imagery.output.dir");
    classify->add_flag("--full", options.map.full,
                       "recompute everything; reuse nothing from earlier runs");
    explain(
        *classify,
        "The configuration needs a table [imagery] with images and training areas. The accuracy is "
        "measured on land that the model has not seen. The raster is a model's guess: check it "
        "where it is unsure before you rely on it. Without training areas, but with heights and an "
        "image without leaves, a rule makes a first raster, whose accuracy nobody has measured.\n"
        "Files: in a folder of their own: fuel.tif, conifer_share.tif, fuel_classes.csv, "
        "accuracy.csv, training_used.gpkg, classified.png, run.json. Where nothing changed since "
        "the last time they stay as they are; where tiles of images did, only these are told "
        "again.\n"
        "Example: images of a town, then a map from the raster that they make.\n"
        "  fuelring classify town.toml --out fuel\n"
        "  fuelring map town.toml");
    classify->callback([&options] { run_on_imagery(options, run_classify); });
}

} // namespace fuelring::cli
