// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/access/road_network.hpp"
#include "run/access/site_slopes.hpp"
#include "run/config/treat_config.hpp"

#include <optional>
#include <span>
#include <vector>

namespace fuelring {

/// Where each of some methods can be used, cell by cell, by slope and distance to a road.
/// For any thread.
class MethodGround {
public:
    /// Reads the roads where a method asks for them. `inputs` must outlive it.
    /// Requires: settings ask for no layer that is not there. Throws: as RoadNetwork.
    MethodGround(const std::optional<LayerSource>& roads, const TreatmentSettings& settings,
                 const Inputs& inputs);

    /// What a worker keeps of a block.
    class Block {
    public:
        /// Requires: `ground` outlives it.
        explicit Block(const MethodGround& ground);
        /// Looks at the cells of a block. Does nothing where no method has a limit.
        void begin(const CellRect& cells);
        /// Whether a method can be used on cell k of the block, by row and column.
        bool allows(const TreatmentCost& method, std::size_t k) const;

    private:
        const MethodGround* ground_;
        std::optional<SiteSlopes> slopes_; ///< where a method has a limit of slope
        std::vector<float> percent_;
        std::vector<std::vector<std::uint8_t>> within_; ///< by distance of MethodGround
    };

private:
    const Inputs& inputs_;
    std::optional<RoadNetwork> roads_;
    bool by_slope_ = false;
    std::vector<double> distances_m_; ///< that methods name: rising, each once
};

} // namespace fuelring
