// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/gdal/setup.hpp"
#include "io/tables/tables_out.hpp"

#include <deque>

namespace fuelring {

/// Three houses with figures made up by hand, one of them on ground that is not mapped and one
/// with a courtyard; rings to 1.5 and 10 m.
struct Hamlet {
    Community community;
    std::deque<MeasuredStructure> measures; ///< results point to them
    std::vector<StructureResult> results;
    std::vector<AddressRow> rows;
    RingPlan plan{{1.5, 10}, {1, 1}};
    Grid grid{{500'000, 1, 0, 5'250'000, 0, -1}, 1000, 1000};
    Crs crs;

    Hamlet()
    {
        set_up_gdal();
        crs = Crs::from_user_input("EPSG:32632", "test");
        community.neighbourhoods = {"North, upper"};
        add_cabin();
        add_farm();
        add_lost();
        community.addresses = {{"1 Larch Way", {500'011.5, 5'249'992}, 0},
                               {"=1+1", {500'012, 5'249'991}, 0},
                               {"Farm", {500'110, 5'249'900}, 1}};
        rows = {{1, 2}, {0, 1}, {0, 0}, {2, {}}};
    }

    Hamlet(const Hamlet&) = delete;
    Hamlet& operator=(const Hamlet&) = delete;

    RunTables tables() const { return {community, results, rows, plan, grid, crs}; }

private:
    void add(const Structure& structure, const MeasuredStructure& measure, StructureResult result)
    {
        community.structures.push_back(structure);
        result.measure = &measures.emplace_back(measure);
        results.push_back(result);
    }
    void add_cabin()
    {
        Structure s;
        s.id = "-7";
        s.frame = {10, 10};
        s.footprint = {{{{0, 0}, {4, 0}, {4, 3}, {0, 3}}}};
        s.footprint_m2 = 12;
        s.inside = {500'012, 5'249'991.5};
        s.lon_deg = -123.5;
        s.lat_deg = 47.123456789;
        MeasuredStructure m;
        m.roof = {12, 12, 0, 12, 0};
        m.rings = {{28, 28, 7, 14, 0}, {500, 400, 100, 0, 100}};
        m.nearest_conifer_m = 0;
        add(s, m, figures(25, 2, Flag::partly_unmapped));
    }
    /// A square of 20 m with a courtyard of 10 m, and a barn in the courtyard with a yard of its
    /// own: the yard belongs to the barn, the smallest shell around it.
    void add_farm()
    {
        Structure s;
        s.id = "F";
        s.frame = {100, 100};
        s.footprint = {{{{0, 0}, {20, 0}, {20, 20}, {0, 20}},
                        {{9, 9}, {9, 11}, {11, 11}, {11, 9}},
                        {{5, 5}, {5, 15}, {15, 15}, {15, 5}},
                        {{7, 7}, {13, 7}, {13, 13}, {7, 13}}}};
        s.footprint_m2 = 332; // 400 - 100 + 36 - 4
        s.inside = {500'101, 5'249'901};
        s.lon_deg = 9.0014;
        s.lat_deg = 47.4;
        s.neighbourhood = 0;
        MeasuredStructure m;
        m.roof = {332, 332, 1.5, 0, 0};
        m.rings = {{127, 127, 127, 0, 0}, {1000, 1000, 0, 0, 0}};
        m.nearest_conifer_m = 0.123456;
        add(s, m, figures(50, 1, Flag::canopy_on_roof));
    }
    void add_lost()
    {
        Structure s;
        s.id = "lost";
        s.frame = {500, 500};
        s.footprint = {{{{0, 0}, {2, 0}, {2, 2}, {0, 2}}}};
        s.footprint_m2 = 4;
        s.inside = {500'501, 5'249'501};
        MeasuredStructure m;
        m.roof = {4, 0, 0, 0, 4};
        m.rings = {{19, 0, 0, 0, 19}, {400, 0, 0, 0, 400}};
        add(s, m, figures({}, {}, Flag::unmapped));
    }
    /// Of the one structure of its rank in its neighbourhood.
    static StructureResult figures(std::optional<double> exposure, std::optional<std::int64_t> rank,
                                   Flag flag)
    {
        StructureResult r;
        r.exposure = exposure;
        r.rank = rank;
        if (rank)
            r.rank_in_neighbourhood = 1;
        r.flags = 1U << static_cast<unsigned>(flag);
        return r;
    }
};

} // namespace fuelring
