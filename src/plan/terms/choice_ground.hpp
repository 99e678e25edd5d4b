// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "plan/price_plan.hpp"

#include <cstdint>
#include <memory>
#include <optional>
#include <vector>

namespace fuelring::plan {

/// Ground on which units can be chosen, and what is left of it once some are.
/// Law: what it chooses depends on the ground and the arguments alone.
class ChoiceGround {
public:
    virtual ~ChoiceGround() = default;
    virtual std::unique_ptr<ChoiceGround> copy() const = 0;

    /// Units that cost at most `budget` together and remove as much as can be found.
    virtual std::vector<Unit> within(double budget) const = 0;
    /// Units that are worth a price (of a key, ratio_of), whatever they cost together.
    virtual std::vector<Unit> at_price(Key key) const = 0;

    /// From now on nothing is chosen in zones among `zones` (by zone, not 0), or in all others.
    virtual void close(const std::vector<std::uint8_t>& zones, bool of_these) = 0;
    /// From now on nothing is chosen where these units of this ground are.
    virtual void take(const std::vector<Unit>& units) = 0;
};

/// Patches of cells: the plans of treatment_plan.hpp. What is closed or taken loses its keys, in a
/// copy of the grid, and stays conifers that no bridge crosses. For one thread at a time.
class PatchGround : public ChoiceGround {
public:
    PatchGround(PlanGrid grid, const UnitRules& rules, ShareOut share_out)
        : grid_(std::move(grid)), rules_(rules), share_out_(std::move(share_out))
    {}
    std::unique_ptr<ChoiceGround> copy() const override;
    std::vector<Unit> within(double budget) const override;
    std::vector<Unit> at_price(Key key) const override;
    void close(const std::vector<std::uint8_t>& zones, bool of_these) override;
    void take(const std::vector<Unit>& units) override;

private:
    /// Of the cells that have keys; found when they are first asked for.
    const GapLinks& links() const;

    PlanGrid grid_;
    UnitRules rules_;
    ShareOut share_out_;
    mutable std::optional<GapLinks> links_; ///< until the next cell loses its key
};

} // namespace fuelring::plan
