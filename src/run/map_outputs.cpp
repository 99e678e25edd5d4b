// SPDX-License-Identifier: Apache-2.0

// Writing the set of a run: the tables, which need nothing of the surface, while it is spread and
// its rasters are finished.
#include "run/map_outputs.hpp"

#include "base/caution.hpp"
#include "base/program/durable_file.hpp"
#include "base/program/run_names.hpp"
#include "io/tables/layer_copies.hpp"
#include "run/manifest/stac_item.hpp"
#include "run/publish/publish_set.hpp"
#include "run/schedule/parallel.hpp"
#include "run/stages/stage_phases.hpp"

#include <nlohmann/json.hpp>

#include <algorithm>

namespace fuelring {

const std::vector<std::string> files_of_map{
    surface_file,          fuel_used_file,       "addresses.csv", "addresses.csvt",
    "neighbourhoods.csvt", "neighbourhoods.csv", tables_file};

const std::vector<std::string> files_of_sensitivity{"sensitivity.csv", "sensitivity.csvt",
                                                    "sensitivity_neighbourhoods.csv",
                                                    "sensitivity_neighbourhoods.csvt"};

void write_sensitivity(const std::filesystem::path& staging, const RunTables& tables,
                       const SensitivityFindings& findings, bool bom)
{
    write_sensitivity_csv(staging / "sensitivity.csv", tables, findings, bom);
    write_sensitivity_neighbourhoods_csv(staging / "sensitivity_neighbourhoods.csv", findings, bom);
}

std::vector<std::string> write_copies(const std::filesystem::path& staging, const Config& config,
                                      const AnalysisGrid& analysis)
{
    std::vector<std::string> names = write_layer_copies(staging, config.output.copies);
    if (config.output.stac_item) {
        const nlohmann::json item =
            stac_item(config.community_name, config.inputs.fuel.date, analysis);
        write_durably(staging / stac_item_file, item.dump(2) + "\n");
        names.emplace_back(stac_item_file);
    }
    return names;
}

MapRasters::MapRasters(const std::filesystem::path& staging, const std::string& community,
                       const std::string& imagery_date, const FuelRaster& raster, int jobs)
    : priority{{staging / surface_file,
                RasterOutSpec::Kind::surface,
                {"exposure points saved by clearing the cell"},
                {{"COMMUNITY", community},
                 {"IMAGERY_DATE", imagery_date},
                 {"VALUE", "percentage points by which clearing the conifers of the cell lowers "
                           "the exposure of all structures together"},
                 {"CAUTION", caution}},
                jobs},
               raster.grid(),
               raster.crs()},
      fuel_used{{staging / fuel_used_file,
                 RasterOutSpec::Kind::fuel_used,
                 {"conifer share in ten-thousandths", "fuel group"},
                 {{"COMMUNITY", community},
                  {"IMAGERY_DATE", imagery_date},
                  {"GROUPS", "1 conifer, 2 mixed, 3 broadleaved, 4 grass, 5 shrub, 6 built, "
                             "7 water, 8 bare, 9 unmapped; 65535 beyond the widest ring"}},
                 jobs},
                raster.grid(),
                raster.crs()}
{}

std::uint64_t bytes_of_last_set(const std::filesystem::path& out, bool with_others)
{
    std::uint64_t sum = 0;
    std::vector<std::string> names = files_of_map;
    if (with_others)
        for (const auto& [name, digest] : read_set(out).files)
            if (std::find(names.begin(), names.end(), name) == names.end())
                names.push_back(name);
    for (const std::string& name : names) {
        std::error_code error;
        const auto size = std::filesystem::file_size(out / name, error);
        sum += error ? 0 : size;
    }
    return sum;
}

std::int64_t write_tables_beside(const std::filesystem::path& staging, const RunTables& tables,
                                 const OutputSettings& output, int jobs, Progress& progress,
                                 double& seconds, const std::function<void()>& rasters)
{
    std::int64_t neutralised = 0;
    double geopackage_s = 0;
    double csv_s = 0;
    const auto write_layers = [&] {
        const Stopwatch watch{geopackage_s};
        write_geopackage(staging / tables_file, tables, output.ring_outlines,
                         [&](std::int64_t rows) { progress.beside(work_of::write_row * rows); });
    };
    const auto write_csv = [&] {
        const Stopwatch watch{csv_s};
        neutralised =
            write_addresses_csv(staging / "addresses.csv", tables, output.csv_bom) +
            write_neighbourhoods_csv(staging / "neighbourhoods.csv", tables, output.csv_bom);
    };
    run_in_parallel(jobs, {rasters, write_layers, write_csv});
    seconds = geopackage_s + csv_s;
    return neutralised;
}

} // namespace fuelring
