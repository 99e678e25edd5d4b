// SPDX-License-Identifier: Apache-2.0
#include "run/classify/words/accuracy_rows.hpp"

#include <fmt/format.h>

namespace fuelring {

namespace {

class AccuracyRows {
public:
    void add(const std::string& kind, const std::string& what, std::optional<double> value,
             std::optional<std::int64_t> cells = {}, const std::string& other = {})
    {
        rows.push_back({kind, what, other, value, cells});
    }

    void add_test(const std::string& held_out, const std::string& what, const ConiferTest& test)
    {
        add(held_out + "conifer_accuracy", what, test.accuracy, test.count);
        add(held_out + "conifer_balanced_accuracy", what, test.balanced_accuracy, test.count);
        add(held_out + "conifer_area_under_curve", what, test.area_under_curve, test.count);
    }

    std::vector<AccuracyRow> rows;
};

void add_classes(AccuracyRows& into, const ClassModel& model)
{
    const Judgement& j = model.by_block;
    const auto name = [&](std::size_t k) { return std::string{name_of(model.groups[k])}; };
    for (std::size_t k = 0; k < model.groups.size(); ++k) {
        into.add("producers_accuracy", name(k), j.producers_accuracy(k));
        into.add("users_accuracy", name(k), j.users_accuracy(k));
    }
    for (std::size_t is = 0; is < model.groups.size(); ++is)
        for (std::size_t told = 0; told < model.groups.size(); ++told)
            into.add("confusion", name(is), {}, j.confusion[is][told], name(told));
}

void add_reliability(AccuracyRows& into, const Judgement& j)
{
    for (std::size_t k = 0; k < j.reliability.size(); ++k) {
        const ReliabilityBin& bin = j.reliability[k];
        const auto low = static_cast<double>(k) / 10;
        const std::string tenth = fmt::format("{:.1f}-{:.1f}", low, low + 0.1);
        const auto known = [&](double v) {
            return bin.cells > 0 ? std::optional{v} : std::nullopt;
        };
        into.add("reliability_share", tenth, known(bin.mean_share), bin.cells);
        into.add("reliability_truth", tenth, known(bin.mean_truth), bin.cells);
    }
}

void add_visits(AccuracyRows& into, const ClassModel& model)
{
    if (!model.visits)
        return;
    const VisitTest& visits = *model.visits;
    into.add("visits", "learned from", static_cast<double>(visits.learned));
    into.add("visits", "control", static_cast<double>(visits.controls), visits.with.count);
    if (visits.controls == 0)
        return;
    into.add_test("control_", "with visits", visits.with);
    if (visits.without)
        into.add_test("control_", "without visits", *visits.without);
}

void add_conifers(AccuracyRows& into, const std::string& kind, const ClassModel& model,
                  const LandTotals& land, double cell_ha)
{
    into.add(kind, "in the raster", land.share_sum * cell_ha, land.known_cells);
    if (model.rule)
        return;
    const ConiferCells conifers = conifer_cells(land.told, model.fold_errors);
    const auto end = [&](double ConiferCells::Interval::*of) {
        return conifers.interval_95 ? std::optional{(*conifers.interval_95).*of * cell_ha}
                                    : std::nullopt;
    };
    into.add(kind, "estimate", conifers.estimate * cell_ha, land.known_cells);
    into.add(kind, "low_95", end(&ConiferCells::Interval::low), land.known_cells);
    into.add(kind, "high_95", end(&ConiferCells::Interval::high), land.known_cells);
}

std::optional<double> shadow_share(const LandTotals& land)
{
    return land.known_cells > 0 ? std::optional{static_cast<double>(land.shadow_cells) /
                                                static_cast<double>(land.known_cells)}
                                : std::nullopt;
}

/// Conifers and shadows, of all land and of that near structures.
void add_land(AccuracyRows& into, const ClassModel& model, const ClassTotals& totals,
              double cell_ha)
{
    const std::int64_t near = totals.near.known_cells + totals.near_unknown_cells;
    add_conifers(into, "conifer_ha", model, totals.all, cell_ha);
    if (near > 0) {
        add_conifers(into, "conifer_ha_near", model, totals.near, cell_ha);
        into.add("unknown_ha_near", "land",
                 static_cast<double>(totals.near_unknown_cells) * cell_ha,
                 totals.near_unknown_cells);
    }
    if (!model.shadow.can_tell())
        return;
    into.add("shadow", "land", shadow_share(totals.all), totals.all.shadow_cells);
    if (near > 0)
        into.add("shadow", "near structures", shadow_share(totals.near), totals.near.shadow_cells);
}

} // namespace

const std::vector<Column<AccuracyRow>>& accuracy_columns()
{
    static const std::vector<Column<AccuracyRow>> columns{
        {"kind", "Figure", unit::none, &AccuracyRow::kind,
         "what the figure is; src/manual/imagery.md explains each"},
        {"what", "Of", unit::none, &AccuracyRow::what,
         "class, feature, tenth of the share, or whether cells or areas are counted"},
        {"told", "Told to be", unit::none, &AccuracyRow::other,
         "of a confusion: the class that the model told"},
        {"value", "Value", Unit{"", 6}, &AccuracyRow::value, "empty where nothing can be said"},
        {"cells", "Cells", unit::none, &AccuracyRow::cells,
         "cells, or areas, that the figure rests on"},
    };
    return columns;
}

std::vector<AccuracyRow> accuracy_rows(const ClassModel& model,
                                       const std::vector<std::string>& features,
                                       const ClassTotals& totals, double cell_ha)
{
    AccuracyRows into;
    if (model.rule) {
        into.add("by_rule", "not measured", {});
        into.add("by_rule", "green", model.rule->green);
        into.add("by_rule", "tall_m", model.rule->tall_m);
        add_land(into, model, totals, cell_ha);
        return into.rows;
    }
    const Judgement& j = model.by_block;
    const std::int64_t all = model.cells;
    into.add("folds", "held out by block", static_cast<double>(model.folds), all);
    into.add("accuracy", "classes", j.accuracy, all);
    into.add_test("", "cells", j.cells);
    into.add_test("", "areas", j.areas);
    into.add_test("by_cell_", "cells", model.by_cell.cells);
    into.add_test("by_cell_", "areas", model.by_cell.areas);
    into.add("mean_share", "true", j.cells.mean_truth, all);
    into.add("mean_share", "calibrated", j.cells.mean_share, all);
    into.add("mean_share", "uncalibrated", j.raw.mean_share, all);
    into.add("mean_share", "by_class", j.class_share, all);
    into.add("mean_share", "error_95", model.share_half_width, all);
    add_classes(into, model);
    add_reliability(into, j);
    add_visits(into, model);
    for (std::size_t k = 0; k < features.size(); ++k)
        into.add("importance", features[k], model.trees.importance()[k]);
    add_land(into, model, totals, cell_ha);
    return into.rows;
}

} // namespace fuelring
