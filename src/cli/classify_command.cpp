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
    explain(
        *classify,
        "The configuration needs a table [imagery] with images and training areas. The accuracy is "
        "measured on land that the model has not seen. The raster is a model's guess: check it "
        "where it is unsure before you rely on it.\n"
        "Files: in a folder of their own: fuel.tif, conifer_share.tif, fuel_classes.csv, "
        "accuracy.csv, training_used.gpkg, classified.png, run.json.\n"
        "Example: images of a town, then a map from the raster that they make.\n"
        "  fuelring classify town.toml --out fuel\n"
        "  fuelring map town.toml");
    classify->callback([&options] { run_on_imagery(options, run_classify); });
}

} // namespace fuelring::cli
