// SPDX-License-Identifier: Apache-2.0

// Of the last run a gate reads run.json, which says what that run saw (`gate.seen`). A run of an
// earlier version said less: its grid is that of fuel_used.tif, and what nobody knows is not
// compared, and said.
#include "run/gate/gate_last_run.hpp"

#include "io/run_folder/fuel_used_in.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>

namespace fuelring {

using nlohmann::json;

namespace {

SeenGrid grid_from(const json& grid)
{
    return {Crs::from_wkt(grid.at("crs")), grid.at("geotransform").get<std::array<double, 6>>(),
            grid.at("cols"), grid.at("rows")};
}

/// Of a run that did not say where its raster lay. A warped grid is none of the raster's.
std::optional<SeenGrid> grid_of_outputs(const json& manifest, const std::filesystem::path& out)
{
    if (manifest.at("crs").at("rule") == name_of(GroundRule::warped))
        return std::nullopt;
    const FuelUsed fuel{(out / fuel_used_file).string()};
    return SeenGrid{fuel.crs(), fuel.grid().geotransform(), fuel.grid().cols(), fuel.grid().rows()};
}

LastRun last_run_from(const json& manifest, const std::filesystem::path& out)
{
    LastRun last{manifest.at("generation"), manifest.at("run_id"),
                 manifest.at("timings").at("finished")};
    last.structures = manifest.at("counts").at("structures");
    for (const json& row : manifest.at("fuel_classes"))
        if (!row.at("code").is_null())
            last.codes.push_back(row.at("code"));
    for (const json& warning : manifest.at("warnings"))
        last.warnings[warning.at("key")] += warning.at("count").get<std::int64_t>();
    const json seen = manifest.value("gate", json::object()).value("seen", json::object());
    last.grid = seen.contains("fuel_grid") ? grid_from(seen.at("fuel_grid"))
                                           : grid_of_outputs(manifest, out);
    if (seen.contains("ground"))
        last.ground = seen.at("ground").get<std::vector<SeenGround>>();
    if (seen.contains("figures")) {
        last.figures = seen.at("figures").get<SeenFigures>();
        last.heights = seen.at("heights").get<SeenHeights>();
    } else {
        last.unknown.emplace_back("shares of addresses and parcels, field checks and heights");
    }
    if (!last.grid)
        last.unknown.emplace_back("the grid of its raster");
    if (last.ground.empty())
        last.unknown.emplace_back("shares of the ground around its structures");
    return last;
}

} // namespace

json grid_json(const SeenGrid& grid)
{
    return {{"crs", grid.crs.wkt()},
            {"geotransform", grid.geotransform},
            {"cols", grid.cols},
            {"rows", grid.rows}};
}

const SeenGround* LastRun::within(double distance_m) const
{
    const auto at = std::find_if(ground.begin(), ground.end(), [distance_m](const SeenGround& g) {
        return g.within_m == distance_m;
    });
    return at == ground.end() ? nullptr : &*at;
}

LastRun last_run_in(const PublishedFolder& out)
{
    const auto useless = [](const char* why) {
        return LastRun{.unknown = {fmt::format("anything: its run.json cannot be used ({})", why)}};
    };
    if (out.set.state == PublishedSet::State::none)
        return {};
    if (!out.why_unreadable.empty())
        return useless(out.why_unreadable.c_str());
    try {
        return last_run_from(out.manifest, out.path);
    } catch (const Error& e) {
        return {.unknown = {fmt::format("anything: {}", e.message())}};
    } catch (const std::exception& e) {
        return useless(e.what());
    }
}

} // namespace fuelring
