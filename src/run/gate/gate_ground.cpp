// SPDX-License-Identifier: Apache-2.0

// What the gate looks at once the ground is measured: shares of it around the structures, and
// codes.
#include "run/gate/gate.hpp"

#include <fmt/format.h>

namespace fuelring {

void InputGate::note_ground(const SeenGround& before, const SeenGround& now)
{
    moved_["ground"].push_back({{"within_m", now.within_m},
                                {"conifer_percent_before", before.conifer_percent()},
                                {"conifer_percent", now.conifer_percent()},
                                {"mapped_percent_before", before.mapped_percent()},
                                {"mapped_percent", now.mapped_percent()}});
    words_.push_back(
        fmt::format("conifers on the land within {:g} m: {:.2f}% in the last run, {:.2f}% now",
                    now.within_m, before.conifer_percent(), now.conifer_percent()));
}

GateReasons InputGate::compare_distance(const SeenGround& now, bool is_widest)
{
    const SeenGround* before = last_.within(now.within_m);
    if (!before) {
        if (!last_.ground.empty())
            not_compared(fmt::format("the last run had no distance of {:g} m", now.within_m));
        return is_widest ? require_mapped(now) : GateReasons{};
    }
    note_ground(*before, now);
    if (is_widest && before->mapped_m2 > 0 && now.mapped_m2 <= 0)
        return require_mapped(now);
    return compare_ground(*before, now, is_widest, config_.gate);
}

void InputGate::look_at(const std::vector<StructureMeasure>& measures)
{
    const std::vector<SeenGround> ground = ground_of(measures, config_.rings);
    seen_["ground"] = ground_json(ground);
    const std::size_t near = config_.near_ring;
    GateReasons reasons;
    if (near + 1 < ground.size() && ground.back().mapped_m2 > 0)
        reasons = compare_distance(ground[near], false);
    add(reasons, compare_distance(ground.back(), true));
    judge(reasons);
}

void InputGate::look_at(const SurfaceTotals& surface, const Inputs& inputs)
{
    if (!last_.exists())
        return;
    if (last_.widest_m() != config_.rings.widest_m()) {
        if (!last_.ground.empty())
            not_compared("codes, since the widest ring is another one");
        return;
    }
    std::vector<SeenCode> codes;
    const auto& classes = inputs.classes.rows();
    for (std::size_t i = 0; i < classes.size(); ++i)
        if (i != no_data_class)
            codes.push_back({classes[i].code, classes[i].label, surface.cells_of_class[i]});
    moved_["new_codes_percent"] = new_codes_percent(last_.codes, codes, surface.cells);
    judge(compare_codes(last_.codes, codes, surface.cells, config_.gate));
}

void InputGate::look_at(const CodeCensus& census, const Inputs& inputs)
{
    std::int64_t cells = census.nodata_cells;
    SeenGround mapped{config_.rings.widest_m()}; // in cells
    std::vector<SeenCode> codes;
    for (const auto& [code, count] : census.cells_of_code) {
        cells += count;
        const auto index = inputs.classes.find(code);
        if (!index)
            continue;
        const FuelClass& fuel = inputs.classes[*index];
        codes.push_back({code, fuel.label, count});
        if (fuel.group != FuelGroup::unmapped)
            mapped.mapped_m2 += static_cast<double>(count);
    }
    judge(require_mapped(mapped));
    if (last_.exists() && last_.widest_m() == config_.rings.widest_m())
        judge(compare_codes(last_.codes, codes, cells, config_.gate));
}

} // namespace fuelring
