// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "plan/terms/years.hpp"
#include "plan/treatment_plan.hpp"
#include "run/treat/treat_plan.hpp"

#include <fuelring/error.hpp>

#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace fuelring {

/// The part of the work that needs the cells; they are gone when it ends.
class Planner {
public:
    /// Reads the ground. `settings` need not be those of the context's configuration.
    /// Throws: as read_ground.
    Planner(const StageContext& context, const TreatmentSettings& settings, const Inputs& inputs,
            const std::filesystem::path& rasters);

    const std::vector<LayerCrs>& layers() const { return ground_.layers; }

    /// Units, best value for money first, and what the result says of them, of bounds and of other
    /// budgets. Once. Throws: Error{usage} where the budget does not pay for what is required.
    std::vector<plan::Unit> plan(TreatmentResult& result);
    /// Points that such a plan removes, and nothing else. Instead of plan().
    double points();

    /// Of each unit, its rank the place in the list.
    std::vector<UnitRow> rows_of(const std::vector<plan::Unit>& units) const;
    std::vector<TreatedRun> treated(const std::vector<plan::Unit>& units) const;

private:
    UnitRow row_of(const plan::Unit& unit) const;
    std::optional<double> money(double amount) const;
    /// What has to be treated, and its sums; the rest of the budget is for what is chosen.
    void add_required();
    /// The budget spent within the first ring, the first two, the first three, anywhere. What is
    /// best within fewer rings may be done within more, so a wider choice never saves less.
    plan::PricePlan best_plan(TreatmentResult& result);
    void draw_curve(const plan::Supply& supply, TreatmentResult& result);
    /// The budget spent so that all limits are kept.
    /// Throws: Error{usage} where no such plan is found.
    plan::PricePlan limited_plan(TreatmentResult& result) const;
    /// The budgets of the years spent; what is required gets its years, too. Throws: the same.
    plan::PricePlan years_plan(TreatmentResult& result);
    Error broken_limit(std::size_t number, double found) const;
    std::vector<plan::Limit> limits() const;
    /// The lines whose stretches are units: strips, or parcels of one slice each.
    plan::StripGround strips() const;
    /// Where units can be chosen, in the form that the settings ask for.
    std::unique_ptr<plan::ChoiceGround> choice() const;
    /// Of all cells of the ground; found when they are first asked for.
    const plan::GapLinks& links();
    /// Bounds of what is chosen, by the shape of units.
    plan::Bounds bounds(const plan::Supply& supply);
    Strategy strategy(std::string where, const plan::PlanTotals& chosen) const;
    /// Of what is required and what is chosen.
    plan::PlanTotals with_required(const plan::PlanTotals& chosen) const;

    const TreatmentSettings& settings_;
    const RingPlan& rings_;
    plan::ShareOut share_out_;
    TreatGround ground_;
    plan::UnitRules rules_;
    double budget_; ///< money, or m2 of conifers; of what is left to choose
    plan::PricePlan required_;
    std::optional<plan::GapLinks> links_;
};

} // namespace fuelring
