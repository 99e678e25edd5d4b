// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/cog/run_rasters.hpp"
#include "io/vector/touched_cells.hpp"
#include "run/access/method_ground.hpp"
#include "run/schedule/tiles.hpp"
#include "run/treat/ground/cell_reach.hpp"
#include "run/treat/ground/required_units.hpp"
#include "run/treat/ground/treat_areas.hpp"
#include "run/treat/ground/treat_zones.hpp"

#include <cstdint>
#include <filesystem>
#include <memory>
#include <vector>

namespace fuelring {

/// All of a cell, in hundredths.
inline constexpr std::uint8_t all_hundredths = 100;

/// What one worker keeps from block to block.
struct GroundWorker {
    /// `rasters`: the folder of the run.
    GroundWorker(const RingPlan& rings, const Inputs& inputs, const std::filesystem::path& rasters,
                 const MethodGround& ground);
    RunRasters files;
    CellReach reach;
    MethodGround::Block methods;
    TreatZones::Planes planes;
    std::vector<float> points;
    std::vector<std::uint16_t> share, group;
    std::vector<plan::ZoneId> zone;
    std::vector<std::uint8_t> ring, shut, hundredths;
    AreaCover::Plane cover;
    std::vector<double> closed; ///< share of each cell
    std::int64_t conifer_cells = 0;
    std::int64_t cells_kept_out = 0;
    std::int64_t cells_without_method = 0;
};

/// What a block gives.
struct GroundBlock {
    plan::Block block;
    std::vector<RequiredCell> required; ///< by area, then row and column
    std::vector<RequiredCell> slices;   ///< the same of slices of strips
    std::vector<CellPart> parts;        ///< of what is left to choose from, by row and column
};

/// Reads the ground of a plan, one block of the run's rasters at a time, for any number of workers.
/// What it is made of must outlive it. Law: a block is the same whoever reads it.
class GroundReader {
public:
    /// Throws: Error{input} for layers of [treat].
    GroundReader(const TreatmentSettings& settings, const RingPlan& rings, const Inputs& inputs,
                 const TreatZones& zones, const TreatAreas& areas);

    /// Of [treat]: how they came into the analysis CRS.
    std::vector<LayerCrs> layers() const;
    std::size_t tiles() const { return index_.tiles().size(); }
    /// By zone, in units of the budget.
    const std::vector<double>& cost_per_m2() const { return cost_per_m2_; }
    const std::vector<double>& money_per_m2() const { return money_per_m2_; }

    /// A block that no ring reaches is empty. Throws: Error{input}.
    GroundBlock read(std::size_t t, GroundWorker& worker) const;

private:
    CellRect rect_of(const TileIndex::Tile& tile) const;
    Point middle_of(const CellRect& rect) const;
    void choose_methods(const CellRect& rect, GroundWorker& worker) const;
    void close(const CellRect& rect, GroundWorker& worker) const;
    void add_cells(const AreaCover& areas, const CellRect& rect, std::size_t t,
                   GroundWorker& worker, std::vector<RequiredCell>& cells) const;
    bool is_of_parcel(const RequiredCell& cell) const;
    RequiredCell required_cell(std::uint32_t area, const CellPart& part, std::size_t t,
                               std::size_t k, const GroundWorker& worker) const;

    std::vector<plan::Residual> residual_; ///< by zone
    const Inputs& inputs_;
    const TreatZones& zones_;
    const TreatAreas& areas_;
    bool by_ground_; ///< the ground decides which method a cell needs
    std::unique_ptr<TouchedCells> keep_out_, barriers_;
    TileIndex index_;
    std::vector<double> cost_per_m2_, money_per_m2_;
    std::vector<double> cell_m2_; ///< by tile
};

} // namespace fuelring
