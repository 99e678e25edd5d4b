// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/progress.hpp"
#include "io/cog/cog_writer.hpp"
#include "io/raster/fuel_raster.hpp"
#include "io/tables/sensitivity_out.hpp"
#include "io/tables/tables_out.hpp"
#include "run/config/config.hpp"

#include <cstdint>
#include <filesystem>
#include <functional>
#include <string>
#include <vector>

namespace fuelring {

/// What every run of `map` writes; changes.csv comes with a run after a run.
extern const std::vector<std::string> files_of_map;

/// What it writes besides, with [sensitivity]. Throws: Error{output}.
extern const std::vector<std::string> files_of_sensitivity;
void write_sensitivity(const std::filesystem::path& staging, const RunTables& tables,
                       const SensitivityFindings& findings, bool bom);

/// Writes what output.copies and output.stac_item ask for, beside the tables; the names of the
/// files. Throws: Error{output}, and as layer_copies.hpp and stac_item.hpp.
std::vector<std::string> write_copies(const std::filesystem::path& staging, const Config& config,
                                      const AnalysisGrid& analysis);

/// Bytes of the set in the folder: the best guess of the room that the next one needs.
/// `with_others`: plan and report as well.
std::uint64_t bytes_of_last_set(const std::filesystem::path& out, bool with_others);

/// priority.tif and fuel_used.tif while blocks are written.
struct MapRasters {
    RasterOut priority;
    RasterOut fuel_used;
    MapRasters(const std::filesystem::path& staging, const std::string& community,
               const std::string& imagery_date, const FuelRaster& raster, int jobs);
};

/// Writes all tables, side by side with each other and with `rasters`, which makes the rasters and
/// needs nothing of them; with one job that goes first. `seconds`: of all tables, added up. The
/// number of text cells that a spreadsheet would have taken as formulas.
/// Throws: Error{output}; what `rasters` throws.
std::int64_t write_tables_beside(const std::filesystem::path& staging, const RunTables& tables,
                                 const OutputSettings& output, int jobs, Progress& progress,
                                 double& seconds, const std::function<void()>& rasters);

} // namespace fuelring
