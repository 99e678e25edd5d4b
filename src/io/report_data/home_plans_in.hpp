// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/gdal/reprojection.hpp"
#include "io/report_data/backdrop_in.hpp"
#include "io/report_data/run_picture_in.hpp"
#include "io/run_folder/fuel_used_in.hpp"
#include "io/run_folder/run_tables_in.hpp"
#include "io/vector/box_index.hpp"
#include "report/context.hpp"
#include "report/print/home_sheet.hpp"

#include <optional>

namespace fuelring {

/// What the plans of a run's homes are drawn from, read home by home. For one thread.
class HomePlans {
public:
    /// Throws: Error{input} naming the file.
    /// `context` and `picture` must outlive it.
    HomePlans(const RunFolder& run, const RunPicture& picture, const Context& context);

    /// The plan of a structure by its number in the bytewise order of ids, which is its row in
    /// RunPicture::structures. Distance lines are the outlines that the run measured, arcs as arcs.
    /// Units: metres of the ground, from the frame of the structure. Throws: Error{input} where
    /// cells cannot be read. Requires: structure is below the number of structures.
    report::HomePlan plan(std::size_t structure);
    /// How its rings were stretched downhill; 1 on level ground.
    double down_factor(std::size_t structure) const;

private:
    void add_others(std::size_t structure, const Box& reach, report::HomePlan& plan) const;
    void add_parcels(const Structure& home, const Box& reach, report::HomePlan& plan) const;
    report::GroundBelow ground_below(const Structure& home);
    Context context_in(const Box& box) const;
    report::MapCells cells_around(const Structure& home, const Box& reach);

    const AnalysisGrid& analysis_;
    const RingPlan& rings_;
    PastTables tables_;
    BoxIndex index_;
    std::optional<Ownership> owners_;
    FuelUsed fuel_;
    Reprojection to_map_;
    const RunPicture& picture_;
    std::optional<BackdropFile> backdrop_;
    const Context& context_;
    BoxIndex context_index_; ///< of its lines and areas, layer by layer
};

} // namespace fuelring
