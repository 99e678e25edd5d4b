// SPDX-License-Identifier: Apache-2.0
#include "run/access/unit_sites.hpp"

#include "run/access/site_slopes.hpp"
#include "run/schedule/parallel.hpp"

#include <algorithm>
#include <cmath>

namespace fuelring {

namespace {

constexpr std::int64_t band_rows = 64; ///< looked at together

struct SiteWorker {
    explicit SiteWorker(const Inputs& inputs)
    {
        if (inputs.elevation)
            slopes.emplace(inputs);
    }
    std::optional<SiteSlopes> slopes;
    std::vector<float> percent;
};

/// Rows that follow each other, band by band, each in the smallest rectangle that holds its runs.
std::optional<double> mean_slope(const std::vector<CellRun>& runs, SiteWorker& worker)
{
    double sum = 0;
    std::int64_t known = 0;
    for (auto first = runs.begin(); first != runs.end();) {
        const std::int64_t end_row = first->row + band_rows;
        CellRect cells;
        auto last = first;
        for (; last != runs.end() && last->row < end_row; ++last)
            cells = hull(cells, last->rect());
        worker.percent.resize(static_cast<std::size_t>(cells.rows * cells.cols));
        worker.slopes->of_cells(cells, worker.percent);
        for (; first != last; ++first) {
            const auto begin = worker.percent.begin() +
                               static_cast<std::ptrdiff_t>((first->row - cells.row) * cells.cols +
                                                           first->col - cells.col);
            std::for_each(begin, begin + static_cast<std::ptrdiff_t>(first->cols),
                          [&](float slope) {
                              sum += std::isnan(slope) ? 0 : static_cast<double>(slope);
                              known += std::isnan(slope) ? 0 : 1;
                          });
        }
    }
    return known > 0 ? std::optional{sum / static_cast<double>(known)} : std::nullopt;
}

} // namespace

std::vector<UnitSite> unit_sites(const std::vector<std::vector<CellRun>>& units,
                                 const Inputs& inputs, const RoadNetwork* roads, int jobs)
{
    std::vector<UnitSite> sites(units.size());
    if (!inputs.elevation && !roads)
        return sites;
    for_each_in_parallel<SiteWorker>(
        jobs, units.size(), [&] { return SiteWorker{inputs}; },
        [&](SiteWorker& worker, std::size_t u) {
            if (worker.slopes)
                sites[u].slope_percent = mean_slope(units[u], worker);
            if (roads)
                sites[u].road_m = roads->distance_m(units[u]);
        },
        [](const SiteWorker&) {});
    return sites;
}

} // namespace fuelring
