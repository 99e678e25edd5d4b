// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "exposure/neighbourhoods.hpp"

#include <fuelring/measure.hpp>

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

namespace fuelring {

/// The 5th and the 95th percentile of a figure over the draws in which there is one, linear between
/// order statistics (exposure/percentile.hpp); empty where there is none.
/// Law: p05 <= p95; both are there, or none.
struct Spread {
    std::optional<double> p05;
    std::optional<double> p95;
};
/// Sorts `values`, which are finite.
Spread spread_of(std::vector<double>& values);

/// What shifts of the footprints against the raster do to one structure.
struct StructureDraws {
    Spread exposure;
    std::vector<Spread> conifer_frac; ///< [k]: of ring k
    std::int64_t with_exposure = 0; ///< draws in which it has an exposure; the others are left out
    std::optional<double> in_first; ///< share of these in which it is among the first structures
};

/// The same of one row of the neighbourhood table.
struct NeighbourhoodDraws {
    Spread mean_exposure;
    std::optional<double> in_first; ///< among the first neighbourhoods; of those with a rank only
};

/// Registration uncertainty of a run. Draw 0 is the run itself, nothing shifted.
struct RegistrationDraws {
    std::vector<StructureDraws> structures;         ///< by structure
    std::vector<NeighbourhoodDraws> neighbourhoods; ///< by row of the neighbourhood table
    std::int64_t first_structures = 0;              ///< ranks that count as first
    std::int64_t first_neighbourhoods = 0;
    std::int64_t unmapped_in_some = 0; ///< structures with an exposure in some draws, not in all
    std::int64_t outside = 0;          ///< structures whose exposure is outside its own range
};

/// Whether a figure is below the 5th or above the 95th percentile, as all three are printed (4
/// decimals). False where one is missing. Trees end at the walls of maps that fit, so any shift may
/// lower what the run itself has.
bool is_outside(const Spread& spread, const std::optional<double>& figure);
/// Sets Flag::outside_draws, and counts. Shape: `results` by structure, as the draws are.
void flag_outside(RegistrationDraws& draws, std::vector<StructureResult>& results);

/// The rings of one structure under each shift of it against the raster, in metres of its frame.
/// Law: a shift of {0, 0} gives the bits of `measure`. Nearest distances are not sought. On mapped
/// ground without conifers, where no fraction can change, the rings are those of the first shift.
/// Throws: std::logic_error when a shifted outline leaves the window.
std::vector<StructureMeasure> measure_shifted(const RingOutlines& outlines,
                                              std::span<const Point> shifts, const CellFrame& frame,
                                              const Grid& grid, const FuelWindow& fuel);

/// Exposures of every structure in every draw, NaN where there is none.
class ExposureDraws {
public:
    ExposureDraws(std::size_t structures, std::size_t draws)
        : draws_(draws), values_(structures * draws)
    {}
    std::size_t draws() const { return draws_; }
    std::size_t structures() const { return draws_ ? values_.size() / draws_ : 0; }
    /// By draw. Different structures may be written by different threads.
    std::span<double> of(std::size_t structure)
    {
        return std::span{values_}.subspan(structure * draws_, draws_);
    }
    double at(std::size_t structure, std::size_t draw) const
    {
        return values_[structure * draws_ + draw];
    }

private:
    std::size_t draws_;
    std::vector<double> values_;
};

/// Percentiles of one structure from its rings in every draw; its exposures go to `exposures`.
/// Shape: `exposures` has as many values as there are measures.
StructureDraws spreads_of(std::span<const StructureMeasure> measures, const RingPlan& plan,
                          std::span<double> exposures);

/// How many ranks count as first: as many as asked for, else a tenth of `ranked`, rounded up.
/// Law: at least 1, unless fewer were asked for.
std::int64_t first_of(std::optional<std::int64_t> asked, std::int64_t ranked);

/// Sets what needs all structures: how often each, and each neighbourhood by the mean of its
/// structures, holds one of the first ranks, ranked in every draw as in the run itself, by the
/// figure that `by` names.
/// Requires: draws.structures and the numbers of first ranks are set; `rows` is the table's.
void rank_draws(const Community& community, std::span<const NeighbourhoodRow> rows,
                const ExposureDraws& exposures, RankBy by, RegistrationDraws& draws);

} // namespace fuelring
