// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "batch/cells.hpp"
#include "batch/features.hpp"

#include <functional>
#include <mutex>
#include <optional>
#include <set>
#include <span>
#include <vector>

namespace fuelring::batch {

/// A feature in its frame, ready to be measured.
struct Prepared {
    std::size_t feature = 0;
    CellFrame frame;
    LocalScale scale;
    Footprint footprint;
    RingOutlines outlines;
    CellRect needed; ///< by its rings, on and off the raster
};

/// Where a feature with vertices stands; groups are made of these.
struct Placed {
    std::size_t feature = 0;
    CellFrame frame;
};

/// One call of the batch: its data, and what all its threads share.
class BatchRun {
public:
    /// Throws: what measure_all throws before it measures.
    BatchRun(const FootprintsView& footprints, const RasterView& raster,
             const FuelClassTable& classes, const RingPlan& plan, const BatchOptions& options,
             std::size_t rounds);

    /// Calls visit(prepared, measure) for every feature that has figures, from several threads;
    /// `set_status` for every feature, at least once, the last time for good.
    void measure(const std::function<void(std::size_t, FeatureStatus)>& set_status,
                 const std::function<void(const Prepared&, const StructureMeasure&)>& visit);

    /// The feature in its frame; its status where it has no figures.
    FeatureStatus prepare(std::size_t feature, Prepared& into) const;

    void stop_if_asked() const;
    /// So many features of a round are done.
    void advance(std::size_t features);
    /// Values that a thread met and the table lacks.
    void take_unknown(const std::set<double>& values);
    /// Throws: Error{input} where there are some that the options do not let pass.
    void judge_unknown() const;

    const Features& features() const { return features_; }
    const RasterView& raster() const { return raster_; }
    /// Those of shares where the raster holds shares.
    const FuelClassTable& classes() const { return shares_ ? *shares_ : classes_; }
    const RingPlan& plan() const { return plan_; }
    int jobs() const { return jobs_; }

private:
    std::vector<Placed> place(const std::function<void(std::size_t, FeatureStatus)>& set_status);

    const RasterView& raster_;
    const FuelClassTable& classes_;
    std::optional<FuelClassTable> shares_;
    const RingPlan& plan_;
    const BatchOptions& options_;
    Features features_;
    int jobs_;
    std::vector<FuelSum> contribution_;
    std::mutex mutex_;
    std::size_t done_ = 0;
    std::size_t all_;
    std::set<double> unknown_;
};

} // namespace fuelring::batch
