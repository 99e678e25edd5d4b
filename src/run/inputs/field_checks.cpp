// SPDX-License-Identifier: Apache-2.0

// Field checks. Each row says something of some cells; the raster's own class is asked first, then
// the rows about the cell speak in the order of their dates, and what comes out is put in place of
// the cell by every reader of the raster, wherever it is read. So a site visit outlives new
// imagery, and a row that says what the raster says by now does nothing and is told.
#include "run/inputs/field_checks.hpp"

#include "geometry/box_distance.hpp"
#include "io/vector/cells_inside.hpp"
#include "run/schedule/tiles.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <tuple>

namespace fuelring {

namespace {

constexpr std::int64_t most_corrected_cells = 10'000'000; ///< of all rows together
constexpr std::int64_t window_cells = 256; ///< side of the windows in which cells are judged

constexpr const char* already_so = "the raster says so already";
constexpr const char* no_cell = "it contains no cell centre of the raster";
constexpr const char* no_structure = "there is no such structure";

/// A cell that a row speaks of.
struct Spoken {
    std::int32_t row;
    std::int32_t col;
    std::uint32_t by; ///< index of the row of corrections

    friend bool operator==(const Spoken&, const Spoken&) = default;
};

auto window_of(const Spoken& s)
{
    return std::pair{s.row / window_cells, s.col / window_cells};
}

auto key_of(const Spoken& s)
{
    return std::tuple{window_of(s), s.row, s.col, s.by};
}

/// A footprint in cells of the grid.
RawPolygon in_cells(const Structure& s, const Grid& grid)
{
    const Grid ground = grid.at_scale(s.map_scale);
    RawPolygon polygon;
    for (const Loop& loop : s.footprint.loops) {
        Loop& cells = polygon.loops.emplace_back();
        for (const Point p : loop)
            cells.push_back({static_cast<double>(s.frame.col) + p.x / ground.cell_width_m(),
                             static_cast<double>(s.frame.row) - p.y / ground.cell_height_m()});
    }
    return polygon;
}

class Judge {
public:
    Judge(FieldChecks& checks, const std::string& path, const FuelRaster& raster,
          const Community& community)
        : checks_(checks), path_(path), raster_(raster), community_(community),
          first_corrected_(first_corrected(raster.classes())), reader_(raster),
          changed_by_(checks.rows.size()), why_(checks.rows.size())
    {}

    FuelCorrections judge(const GoneStructures& gone)
    {
        for (std::size_t k = 0; k < checks_.rows.size(); ++k)
            take_cells(k, gone);
        std::sort(spoken_.begin(), spoken_.end(),
                  [](const Spoken& a, const Spoken& b) { return key_of(a) < key_of(b); });
        spoken_.erase(std::unique(spoken_.begin(), spoken_.end()), spoken_.end());
        for (std::size_t k = 0; k < spoken_.size();)
            k = judge_window(k);
        tell_idle_rows();
        std::sort(cells_.begin(), cells_.end(), [](const auto& a, const auto& b) {
            return std::tie(a.row, a.col) < std::tie(b.row, b.col);
        });
        return FuelCorrections{cells_};
    }

private:
    static ClassIndex first_corrected(const FuelClassTable& classes)
    {
        ClassIndex k = 1;
        while (classes.is_listed(k))
            ++k;
        return k;
    }

    void take_cells(std::size_t k, const GoneStructures& gone)
    {
        const Correction& row = checks_.rows[k];
        if (row.kind == CorrectionKind::gone) {
            if (!gone.met.contains(row.structure_id))
                why_[k] = no_structure;
            return;
        }
        const std::size_t before = spoken_.size();
        if (row.has_shape()) {
            for (const RawPolygon& polygon : row.polygons)
                take(cells_inside(polygon, raster_.grid().extent()), k);
            for (const Point p : row.points)
                take_point(p, k);
        } else if (const auto s = index_of_structure(community_, row.structure_id)) {
            take(cells_inside(in_cells(community_.structures[*s], raster_.grid()),
                              raster_.grid().extent()),
                 k);
        } else {
            why_[k] = no_structure;
            return;
        }
        if (spoken_.size() == before)
            why_[k] = no_cell;
    }

    void take(const std::vector<CellRun>& runs, std::size_t k)
    {
        std::int64_t cells = static_cast<std::int64_t>(spoken_.size());
        for (const CellRun& run : runs)
            cells += run.cols;
        if (cells > most_corrected_cells)
            throw Error{Failure::input,
                        fmt::format("the corrections speak of more than {} cells: nobody visited "
                                    "them all",
                                    most_corrected_cells),
                        fmt::format("{}, feature {}", path_, checks_.rows[k].feature),
                        "draw the area that was looked at, or correct the fuel raster itself"};
        for (const CellRun& run : runs)
            for (std::int64_t col = run.col; col < run.col + run.cols; ++col)
                spoken_.push_back({static_cast<std::int32_t>(run.row),
                                   static_cast<std::int32_t>(col), static_cast<std::uint32_t>(k)});
    }

    void take_point(Point p, std::size_t k)
    {
        const Grid& grid = raster_.grid();
        if (p.x >= 0 && p.y >= 0 && p.x < static_cast<double>(grid.cols()) &&
            p.y < static_cast<double>(grid.rows()))
            take({{static_cast<std::int64_t>(p.y), static_cast<std::int64_t>(p.x), 1}}, k);
    }

    /// Judges the cells of one window, from `first` on; where the next window begins.
    std::size_t judge_window(std::size_t first)
    {
        std::size_t end = first;
        CellRect rect;
        for (; end < spoken_.size() && window_of(spoken_[end]) == window_of(spoken_[first]); ++end)
            rect = hull(rect, {spoken_[end].col, spoken_[end].row, 1, 1});
        window_.resize(static_cast<std::size_t>(rect.cols * rect.rows));
        reader_.read(rect, window_);
        while (first < end)
            first = judge_cell(first, end, rect);
        return end;
    }

    /// What the rows make of one cell; where the next cell begins.
    std::size_t judge_cell(std::size_t first, std::size_t end, const CellRect& rect)
    {
        const Spoken cell = spoken_[first];
        const ClassIndex raw = window_[static_cast<std::size_t>((cell.row - rect.row) * rect.cols +
                                                                cell.col - rect.col)];
        ClassIndex now = raw;
        std::size_t k = first;
        for (; k < end && spoken_[k].row == cell.row && spoken_[k].col == cell.col; ++k) {
            const Correction& row = checks_.rows[spoken_[k].by];
            changed_by_[spoken_[k].by] += after(raw, row) != raw ? 1 : 0;
            now = after(now, row);
        }
        if (now != raw)
            cells_.push_back({cell.row, cell.col, now});
        return k;
    }

    /// The class of a cell once a row has spoken; the same where it says what is so already.
    ClassIndex after(ClassIndex before, const Correction& row) const
    {
        const FuelClass& fuel = raster_.classes()[before];
        const bool mapped = fuel.group != FuelGroup::unmapped;
        switch (row.kind) {
        case CorrectionKind::conifer:
            return mapped && fuel.conifer_share == whole_share ? before : first_corrected_;
        case CorrectionKind::not_conifer: {
            if (mapped && fuel.conifer_share == 0)
                return before;
            const auto at =
                std::find(not_conifer_groups.begin(), not_conifer_groups.end(), row.group);
            return static_cast<ClassIndex>(first_corrected_ + 1 +
                                           (at - not_conifer_groups.begin()));
        }
        case CorrectionKind::unmapped:
            return mapped ? no_data_class : before;
        case CorrectionKind::gone:
            break;
        }
        return before;
    }

    void tell_idle_rows()
    {
        for (std::size_t k = 0; k < checks_.rows.size(); ++k) {
            Correction row = checks_.rows[k];
            if (why_[k].empty() && row.kind != CorrectionKind::gone && changed_by_[k] == 0)
                why_[k] = already_so;
            if (why_[k].empty())
                continue;
            row.polygons.clear();
            row.points.clear();
            checks_.idle.push_back({std::move(row), why_[k]});
        }
    }

    FieldChecks& checks_;
    const std::string& path_;
    const FuelRaster& raster_;
    const Community& community_;
    ClassIndex first_corrected_; ///< conifer; then not_conifer_groups
    FuelRaster::Reader reader_;
    std::vector<Spoken> spoken_;
    std::vector<ClassIndex> window_;
    std::vector<std::int64_t> changed_by_; ///< cells that a row alone would change
    std::vector<std::string> why_;         ///< a row changes nothing
    std::vector<FuelCorrections::Cell> cells_;
};

} // namespace

void add_corrected_classes(FuelClassTable& classes)
{
    const auto add = [&classes](FuelGroup group, std::int32_t share) {
        classes.add_unlisted(
            {0, fmt::format("field check: {}", name_of(group)), group, share, "field check"});
    };
    add(FuelGroup::conifer, whole_share);
    for (const FuelGroup group : not_conifer_groups)
        add(group, 0);
}

GoneStructures gone_of(const FieldChecks& checks)
{
    GoneStructures gone;
    for (const Correction& row : checks.rows)
        if (row.kind == CorrectionKind::gone)
            gone.ids.insert(row.structure_id);
    return gone;
}

void apply_field_checks(FieldChecks& checks, const std::string& path, FuelRaster& raster,
                        const Community& community, const GoneStructures& gone)
{
    for (const Correction& row : checks.rows)
        ++checks.rows_of_kind[static_cast<std::size_t>(row.kind)];
    checks.structures_left_out = static_cast<std::int64_t>(gone.met.size());
    checks.addresses_left_out = gone.addresses;
    FuelCorrections corrections = Judge{checks, path, raster, community}.judge(gone);
    checks.cells_changed = corrections.cells();
    checks.rows = {};
    raster.correct(std::move(corrections));
}

void flag_field_checked(const FuelRaster& raster, const Community& community, double widest_m,
                        std::vector<StructureResult>& results)
{
    if (raster.corrections().cells() == 0)
        return;
    for (std::size_t i = 0; i < results.size(); ++i) {
        const Structure& s = community.structures[i];
        const Grid ground = raster.grid().at_scale(s.map_scale);
        const double distance_m = widest_m * std::max({1.0, s.stretch.down, s.stretch.across});
        bool checked = false;
        raster.corrections().for_each_run(
            reach_of(s, raster.grid(), widest_m), [&](const FuelCorrections::Run& run) {
                const Box cells = box_of_cells(run.row, run.col, run.cols, s.frame, ground);
                checked = contains(s.footprint, 0.5 * (cells.min + cells.max)) ||
                          squared_distance(s.footprint, cells) < distance_m * distance_m;
                return !checked;
            });
        if (checked)
            results[i].flags |= 1U << static_cast<unsigned>(Flag::field_checked);
    }
}

} // namespace fuelring
