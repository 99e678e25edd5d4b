// SPDX-License-Identifier: Apache-2.0
#include "plan/terms/choice_ground.hpp"

#include "plan/treatment_plan.hpp"

namespace fuelring::plan {

namespace {

constexpr int every_ring = 3;

} // namespace

std::unique_ptr<ChoiceGround> PatchGround::copy() const
{
    return std::make_unique<PatchGround>(*this);
}

std::vector<Unit> PatchGround::within(double budget) const
{
    if (budget <= 0)
        return {};
    return plan_within(grid_, rules_, budget, links(), share_out_).units;
}

std::vector<Unit> PatchGround::at_price(Key key) const
{
    return plan_at_price(grid_, {.price = {key}}, rules_, links(), share_out_).units;
}

const GapLinks& PatchGround::links() const
{
    if (!links_)
        links_.emplace(grid_, rules_.gap_m, every_ring, share_out_);
    return *links_;
}

void PatchGround::close(const std::vector<std::uint8_t>& zones, bool of_these)
{
    links_.reset();
    for (Block& block : grid_.blocks())
        block.each_conifer([&](int, int, std::size_t k, ZoneId zone) {
            if ((zones[zone] != 0) == of_these)
                block.key[k] = 0;
        });
}

void PatchGround::take(const std::vector<Unit>& units)
{
    links_.reset();
    for (const Unit& unit : units)
        for_each_conifer(grid_, unit.treated, [&](const Block& block, std::size_t k) {
            grid_.blocks()[grid_.number_of(block)].key[k] = 0;
        });
}

} // namespace fuelring::plan
