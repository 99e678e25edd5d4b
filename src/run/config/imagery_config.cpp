// SPDX-License-Identifier: Apache-2.0
#include "run/config/imagery_config.hpp"

#include "run/config/config_table.hpp"

#include <fmt/format.h>

#include <string>

namespace fuelring {

namespace {

constexpr double smallest_cell_m = 0.05;
constexpr double largest_cell_m = 100;

ImageBands read_bands(const ConfigTable& image)
{
    ImageBands bands;
    for (const std::string& word : image.texts("roles").value_or(std::vector<std::string>{})) {
        const std::optional<BandRole> role = band_role(word);
        if (!role)
            throw image.wrong("roles", fmt::format("'{}' is not a role", word),
                              fmt::format("write one of {} for each band, in the order of the file",
                                          all_band_roles()));
        bands.roles.push_back(*role);
    }
    if (bands.roles.empty())
        throw image.wrong("roles", "the key is missing: what its bands hold is needed",
                          fmt::format("write one of {} for each band, in the order of the file, "
                                      "such as roles = [\"red\", \"green\", \"blue\"]",
                                      all_band_roles()));
    bands.season = image.choice("season", {"leaf_on", "leaf_off"}) == "leaf_off" ? Season::leaf_off
                                                                                 : Season::leaf_on;
    return bands;
}

std::vector<ImageSource> read_images(const ConfigTable& imagery)
{
    const auto tables = imagery.tables("images");
    if (!tables || tables->empty())
        throw imagery.wrong("images", "the key is missing: there is no image to classify",
                            "add a table [[imagery.images]] with path and roles for each image");
    std::vector<ImageSource> images;
    for (const ConfigTable& table : *tables)
        images.push_back({.files = table.required_raster("path"),
                          .bands = read_bands(table),
                          .key = fmt::format("imagery.images[{}]", images.size() + 1),
                          .date = table.date("date").value_or(""),
                          .crs = table.text("crs")});
    return images;
}

std::optional<TrainingSource> read_training_table(const ConfigTable& imagery)
{
    const auto table = imagery.table("training");
    if (!table)
        return std::nullopt;
    TrainingSource source{{.path = table->required_path("path"),
                           .layer = table->text("layer"),
                           .where = table->text("where"),
                           .crs = table->text("crs"),
                           .encoding = table->text("encoding")}};
    source.group = table->required_text("group");
    source.block = table->text("block");
    return source;
}

WinterRule read_rule(const ConfigTable& imagery)
{
    WinterRule rule;
    const auto table = imagery.table("rule");
    if (!table)
        return rule;
    rule.green = table->number("green").value_or(rule.green);
    if (!(rule.green > -1 && rule.green < 1))
        throw table->wrong(
            "green", fmt::format("{} where a number between -1 and 1 is expected", rule.green),
            "bare ground is near 0, dense green near 0.8");
    rule.tall_m = table->number_from_0("tall_m", rule.tall_m);
    return rule;
}

} // namespace

ImagerySettings read_imagery(const ConfigTable& imagery)
{
    ImagerySettings settings;
    settings.images = read_images(imagery);
    settings.around_structures = imagery.choice("extent", {"structures", "images"}) == "structures";
    settings.cell_m = imagery.number("cell_m");
    if (settings.cell_m &&
        !(*settings.cell_m >= smallest_cell_m && *settings.cell_m <= largest_cell_m))
        throw imagery.wrong(
            "cell_m", fmt::format("cells of {} m are out of range", *settings.cell_m),
            fmt::format("cells measure {} to {} m", smallest_cell_m, largest_cell_m));
    settings.training = read_training_table(imagery);
    settings.rule = read_rule(imagery);
    if (const auto output = imagery.table("output"); output && output->has("dir")) {
        settings.out = output->required_path("dir");
        if (!settings.out.has_filename())
            settings.out = settings.out.parent_path();
    }
    return settings;
}

} // namespace fuelring
