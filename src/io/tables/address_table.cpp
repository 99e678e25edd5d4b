// SPDX-License-Identifier: Apache-2.0
#include "io/tables/address_table.hpp"

#include "exposure/areas.hpp"
#include "io/tables/csv_table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace fuelring {

namespace {

using Figure = std::optional<double>;

/// Conifer area of a region, or nothing where too little of it is mapped to say.
Figure conifer_m2(const RingArea& area)
{
    return area.counts_as_mapped() ? Figure{area.conifer_m2} : Figure{};
}

RingArea area_within(const StructureMeasure& measure, std::size_t ring)
{
    RingArea within;
    for (std::size_t k = 0; k <= ring; ++k)
        within = within + measure.rings[k];
    return within;
}

/// Conifer area of a ring by owner; the list begins with the roof, which has no columns.
Figure owner_m2(const StructureMeasure& m, std::size_t ring, std::size_t share, std::size_t shares)
{
    return m.rings[ring].counts_as_mapped()
               ? Figure{m.owners->conifer_m2[(ring + 1) * shares + share]}
               : Figure{};
}

/// Class of the owner of the structure's own parcel.
std::string owner_text(const RunTables& tables, std::size_t structure)
{
    const auto& split = tables.results[structure].measure->owners;
    if (!split || !split->own)
        return {};
    const Ownership& owners = tables.community.owners.value();
    const auto parcel = static_cast<std::size_t>(*split->own);
    return owners.classes[static_cast<std::size_t>(owners.class_of[parcel])];
}

/// Makes the columns; each reads what it shows of a row's structure or address.
class AddressColumns {
public:
    explicit AddressColumns(const RunTables& tables) : tables_(tables) {}

    std::vector<Column<AddressRow>> all()
    {
        add_names();
        add_place();
        add_rings();
        add_text("flags", [](const RunTables& t, const AddressRow& row) {
            return flags_text(t.results[row.structure]);
        });
        if (!tables_.community.terrain.empty())
            add_terrain();
        if (tables_.community.owners)
            add_owners();
        if (!tables_.community.susceptibility.empty())
            add_susceptibility();
        if (tables_.draws)
            add_draws();
        return std::move(columns_);
    }

private:
    using Text = std::string (*)(const RunTables&, const AddressRow&);

    void add_text(std::string name, Text text)
    {
        columns_.push_back(text_column<AddressRow>(
            std::move(name), [&t = tables_, text](const AddressRow& row) { return text(t, row); }));
    }
    /// `figure(structure index)`
    template <typename Of>
    void add_integer(std::string name, Of figure)
    {
        columns_.push_back(integer_column<AddressRow>(
            std::move(name), [figure](const AddressRow& row) { return figure(row.structure); }));
    }
    template <typename Of>
    void add_real(std::string name, int decimals, Of figure)
    {
        columns_.push_back(real_column<AddressRow>(
            std::move(name), decimals,
            [figure](const AddressRow& row) -> Figure { return figure(row.structure); }));
    }
    /// `figure(what was measured)`
    template <typename Of>
    void add_measured(std::string name, int decimals, Of figure)
    {
        add_real(std::move(name), decimals, [&t = tables_, figure](std::size_t k) {
            return Figure{figure(*t.results[k].measure)};
        });
    }

    void add_names()
    {
        add_integer("rank", [&t = tables_](std::size_t k) { return t.results[k].rank; });
        add_integer("rank_in_neighbourhood",
                    [&t = tables_](std::size_t k) { return t.results[k].rank_in_neighbourhood; });
        add_text(address_column, [](const RunTables& t, const AddressRow& row) {
            return row.address ? t.community.addresses[*row.address].text : std::string{};
        });
        add_text("structure_id", [](const RunTables& t, const AddressRow& row) {
            return t.community.structures[row.structure].id;
        });
        add_text("neighbourhood", [](const RunTables& t, const AddressRow& row) {
            const auto& in = t.community.structures[row.structure].neighbourhood;
            return in ? t.community.neighbourhoods[*in] : std::string{};
        });
    }

    void add_place()
    {
        const auto& all = tables_.community.structures;
        add_real("x", decimals_of_metres, [&all](std::size_t k) { return all[k].inside.x; });
        add_real("y", decimals_of_metres, [&all](std::size_t k) { return all[k].inside.y; });
        add_real("lon", decimals_of_degrees, [&all](std::size_t k) { return all[k].lon_deg; });
        add_real("lat", decimals_of_degrees, [&all](std::size_t k) { return all[k].lat_deg; });
        add_real("footprint_m2", decimals_of_metres,
                 [&all](std::size_t k) { return all[k].footprint_m2; });
        add_measured("roof_canopy_m2", decimals_of_metres,
                     [](const StructureMeasure& m) { return conifer_m2(m.roof); });
        add_measured("nearest_conifer_m", decimals_of_metres,
                     [](const StructureMeasure& m) { return m.nearest_conifer_m; });
        add_real("exposure", decimals_of_exposure,
                 [&t = tables_](std::size_t k) { return t.results[k].exposure; });
    }

    void add_rings()
    {
        using Measure = StructureMeasure;
        for (std::size_t ring = 0; ring < tables_.plan.outer_m.size(); ++ring) {
            const std::string label = ring_label(tables_.plan, ring);
            add_measured("ring_m2_" + label, decimals_of_metres,
                         [ring](const Measure& m) { return m.rings[ring].ring_m2; });
            add_measured("conifer_m2_" + label, decimals_of_metres,
                         [ring](const Measure& m) { return conifer_m2(m.rings[ring]); });
            add_measured("conifer_frac_" + label, decimals_of_fractions,
                         [ring](const Measure& m) { return m.rings[ring].conifer_frac(); });
            add_measured("other_burnable_frac_" + label, decimals_of_fractions,
                         [ring](const Measure& m) { return m.rings[ring].other_burnable_frac(); });
            add_measured("unmapped_frac_" + label, decimals_of_fractions,
                         [ring](const Measure& m) { return m.rings[ring].unmapped_frac(); });
        }
        for (std::size_t ring = 0; ring < tables_.plan.outer_m.size(); ++ring)
            add_measured("conifer_frac_within_" + within_label(tables_.plan, ring),
                         decimals_of_fractions,
                         [ring](const Measure& m) { return area_within(m, ring).conifer_frac(); });
    }

    void add_terrain()
    {
        const auto& all = tables_.community.terrain;
        const auto& structures = tables_.community.structures;
        add_real("slope_pct", decimals_of_slopes, [&all](std::size_t k) {
            return all[k].slope ? Figure{100 * all[k].slope->fall} : Figure{};
        });
        add_real("aspect_deg", decimals_of_slopes,
                 [&all](std::size_t k) { return all[k].aspect_deg; });
        add_real("slope_residual_m", decimals_of_metres, [&all](std::size_t k) {
            return all[k].slope ? Figure{all[k].slope->residual_m} : Figure{};
        });
        add_real("slope_break_distance_m", decimals_of_metres,
                 [&all](std::size_t k) { return all[k].slope_break_m; });
        add_real("ring_down_factor", decimals_of_slopes,
                 [&structures](std::size_t k) { return structures[k].stretch.down; });
        add_real("ring_across_factor", decimals_of_slopes,
                 [&structures](std::size_t k) { return structures[k].stretch.across; });
    }

    void add_owners()
    {
        const std::vector<std::string> shares = tables_.community.owners->shares();
        for (std::size_t ring = 0; ring < tables_.plan.outer_m.size(); ++ring)
            for (std::size_t k = 0; k < shares.size(); ++k)
                add_measured(
                    fmt::format("conifer_m2_{}_{}", shares[k], ring_label(tables_.plan, ring)),
                    decimals_of_metres, [ring, k, n = shares.size()](const StructureMeasure& m) {
                        return owner_m2(m, ring, k, n);
                    });
        add_text("owner", [](const RunTables& t, const AddressRow& row) {
            return owner_text(t, row.structure);
        });
    }

    void add_susceptibility()
    {
        add_real("susceptibility", decimals_of_exposure,
                 [&t = tables_](std::size_t k) { return t.community.susceptibility[k]; });
        add_real("exposure_x_susceptibility", decimals_of_exposure,
                 [&t = tables_](std::size_t k) { return t.results[k].exposure_x_susceptibility; });
    }

    void add_draws()
    {
        const auto& all = tables_.draws->structures;
        add_real("exposure_p05", decimals_of_exposure,
                 [&all](std::size_t k) { return all[k].exposure.p05; });
        add_real("exposure_p95", decimals_of_exposure,
                 [&all](std::size_t k) { return all[k].exposure.p95; });
        for (std::size_t ring = 0; ring < tables_.plan.outer_m.size(); ++ring) {
            const std::string label = ring_label(tables_.plan, ring);
            add_real("conifer_frac_p05_" + label, decimals_of_fractions,
                     [&all, ring](std::size_t k) { return all[k].conifer_frac[ring].p05; });
            add_real("conifer_frac_p95_" + label, decimals_of_fractions,
                     [&all, ring](std::size_t k) { return all[k].conifer_frac[ring].p95; });
        }
        add_real("share_of_draws_in_first", decimals_of_fractions,
                 [&all](std::size_t k) { return all[k].in_first; });
        add_integer("draws_with_exposure",
                    [&all](std::size_t k) { return std::optional{all[k].with_exposure}; });
    }

    const RunTables& tables_;
    std::vector<Column<AddressRow>> columns_;
};

} // namespace

double hectares(double m2)
{
    return std::max(m2, 0.0) / m2_per_ha;
}

std::string ring_label(const RingPlan& plan, std::size_t ring)
{
    const double inner_m = ring == 0 ? 0 : plan.outer_m[ring - 1];
    return fmt::format("{}_{}m", inner_m, plan.outer_m[ring]);
}

std::string within_label(const RingPlan& plan, std::size_t ring)
{
    return fmt::format("{}m", plan.outer_m[ring]);
}

std::vector<Column<AddressRow>> address_table(const RunTables& tables)
{
    return AddressColumns{tables}.all();
}

std::int64_t write_addresses_csv(const std::filesystem::path& path, const RunTables& tables,
                                 bool bom)
{
    return write_csv(path, address_table(tables), tables.rows, bom);
}

} // namespace fuelring
