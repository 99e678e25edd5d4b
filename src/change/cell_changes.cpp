// SPDX-License-Identifier: Apache-2.0

// A picture of change for maps: each cell of AFTER has one kind and one net share, weighted by what
// each part of BEFORE covers of it. The account of hectares does not use it: that integrates exact
// outlines (overlay.cpp).
#include "change/overlay_axis.hpp"

#include <fuelring/fuel_classes.hpp>

#include <algorithm>
#include <cmath>

namespace fuelring {

namespace {

/// One cell of AFTER as its parts come in.
struct Mixture {
    double lost = 0; ///< share times part of the cell
    double gained = 0;
    double kept = 0;
    bool unmapped = false;
    bool unreached_before = false;
    bool reached_before = false;

    void add(const FuelPatch& before, std::size_t b, std::uint16_t is, double part)
    {
        const std::uint16_t was = before.share[b];
        const bool reached = before.group[b] != FuelPatch::never_reached;
        reached_before = reached_before || reached;
        unreached_before = unreached_before || !reached;
        if (was == FuelPatch::unknown_share || is == FuelPatch::unknown_share) {
            unmapped = true;
            return;
        }
        lost += part * std::max(was - is, 0);
        gained += part * std::max(is - was, 0);
        kept += part * std::min(was, is);
    }

    CellChange kind(bool after_reached) const
    {
        // Where one run saw a part of the cell only, reach would pass for change of fuel.
        if (!after_reached || unreached_before)
            return CellChange::one_run_only;
        if (unmapped)
            return CellChange::unmapped;
        if (lost != gained)
            return lost > gained ? CellChange::removed : CellChange::regrown;
        return lost + kept > 0 ? CellChange::unchanged : CellChange::no_conifer;
    }
};

CellChanges changes_of(const std::vector<Mixture>& cells, const FuelPatch& after)
{
    const std::size_t n = cells.size();
    CellChanges changes{std::vector<std::uint16_t>(n, CellChanges::no_data),
                        std::vector<std::uint16_t>(n, CellChanges::no_data)};
    for (std::size_t a = 0; a < n; ++a) {
        const bool after_reached = after.group[a] != FuelPatch::never_reached;
        if (!after_reached && !cells[a].reached_before)
            continue;
        const CellChange kind = cells[a].kind(after_reached);
        changes.kind[a] = static_cast<std::uint16_t>(kind);
        if (kind < CellChange::unmapped)
            changes.net[a] = static_cast<std::uint16_t>(
                std::lround(CellChanges::net_zero + cells[a].gained - cells[a].lost));
    }
    return changes;
}

} // namespace

CellChanges cell_changes(const FuelPatch& before, const FuelPatch& after, const CellParts& parts)
{
    constexpr auto divisions = static_cast<std::size_t>(CellParts::divisions);
    std::vector<Mixture> cells(after.share.size());
    const auto cols = static_cast<std::size_t>(after.rect.cols);
    for (std::size_t row = 0; row < parts.rows(); ++row)
        for (std::size_t col = 0; col < parts.cols(); ++col) {
            const std::size_t a = row / divisions * cols + col / divisions;
            parts.for_each(row, col, [&](std::size_t cell, double frac) {
                cells[a].add(before, cell, after.share[a], frac / (divisions * divisions));
            });
        }
    return changes_of(cells, after);
}

CellChanges cell_changes(const FuelPatch& before, const FuelPatch& after,
                         const GridRelation& relation)
{
    const OverlayAxis x = columns_of(after.rect, relation);
    const OverlayAxis y = rows_of(after.rect, relation);
    const std::size_t n = after.share.size();
    std::vector<Mixture> cells(n);
    for (std::size_t j = 0; j < y.after.size(); ++j)
        for (std::size_t i = 0; i < x.after.size(); ++i) {
            const std::size_t a = after.index(x.after[i], y.after[j]);
            cells[a].add(before, before.index(x.before[i], y.before[j]), after.share[a],
                         x.width(i) * y.width(j));
        }
    return changes_of(cells, after);
}

} // namespace fuelring
