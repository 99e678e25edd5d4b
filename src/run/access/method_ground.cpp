// SPDX-License-Identifier: Apache-2.0
#include "run/access/method_ground.hpp"

#include <algorithm>
#include <set>

namespace fuelring {

MethodGround::MethodGround(const std::optional<LayerSource>& roads,
                           const TreatmentSettings& settings, const Inputs& inputs)
    : inputs_(inputs)
{
    std::set<double> distances;
    for (const TreatmentCost& cost : settings.costs) {
        by_slope_ = by_slope_ || cost.max_slope_percent.has_value();
        if (cost.max_road_m)
            distances.insert(*cost.max_road_m);
    }
    distances_m_.assign(distances.begin(), distances.end());
    if (!distances_m_.empty())
        roads_.emplace(roads.value(), inputs.raster->analysis());
}

MethodGround::Block::Block(const MethodGround& ground)
    : ground_(&ground), within_(ground.distances_m_.size())
{
    if (ground.by_slope_)
        slopes_.emplace(ground.inputs_);
}

void MethodGround::Block::begin(const CellRect& cells)
{
    const auto n = static_cast<std::size_t>(cells.rows * cells.cols);
    if (slopes_) {
        percent_.resize(n);
        slopes_->of_cells(cells, percent_);
    }
    for (std::size_t d = 0; d < within_.size(); ++d) {
        within_[d].resize(n);
        ground_->roads_->mark_within(cells, ground_->distances_m_[d], within_[d]);
    }
}

bool MethodGround::Block::allows(const TreatmentCost& method, std::size_t k) const
{
    if (method.max_slope_percent && !(percent_[k] <= *method.max_slope_percent)) // NaN is not
        return false;
    if (!method.max_road_m)
        return true;
    const auto& distances = ground_->distances_m_;
    const auto d = std::lower_bound(distances.begin(), distances.end(), *method.max_road_m);
    return within_[static_cast<std::size_t>(d - distances.begin())][k] != 0;
}

} // namespace fuelring
