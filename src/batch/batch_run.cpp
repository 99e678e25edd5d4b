// SPDX-License-Identifier: Apache-2.0

// Features are sorted by the square of cells that their frames fall into. Those of a square share a
// window of running sums, which are integers: neither the square nor the thread changes a bit.
#include "batch/batch_run.hpp"

#include "base/parallel_for.hpp"
#include "geometry/require.hpp"
#include "raster/share_classes.hpp"

#include <fuelring/cells_needed.hpp>
#include <fuelring/error.hpp>
#include <fuelring/fuel_window.hpp>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <stdexcept>
#include <string>
#include <thread>
#include <utility>

namespace fuelring::batch {

namespace {

constexpr std::int64_t square_cells = 128;    ///< frames in one square share a window
constexpr std::size_t most_members = 256;     ///< of a group: they are held together
constexpr std::int64_t most_shared = 1 << 22; ///< cells of a window; beyond, each has its own
constexpr std::int64_t most_cells = 1 << 26;  ///< of a window for one feature
constexpr std::size_t most_listed_codes = 8;

std::int64_t floor_div(std::int64_t a, std::int64_t b)
{
    return a >= 0 ? a / b : -((-a + b - 1) / b);
}

std::pair<std::int64_t, std::int64_t> square_of(const CellFrame& frame)
{
    return {floor_div(frame.row, square_cells), floor_div(frame.col, square_cells)};
}

/// Ranges of `placed` in one square, none longer than most_members.
std::vector<std::span<const Placed>> groups_of(std::vector<Placed>& placed)
{
    std::sort(placed.begin(), placed.end(), [](const Placed& a, const Placed& b) {
        return std::pair{square_of(a.frame), a.feature} < std::pair{square_of(b.frame), b.feature};
    });
    std::vector<std::span<const Placed>> groups;
    for (std::size_t first = 0; first < placed.size();) {
        std::size_t last = first + 1;
        while (last < placed.size() && last - first < most_members &&
               square_of(placed[last].frame) == square_of(placed[first].frame))
            ++last;
        groups.emplace_back(placed.data() + first, last - first);
        first = last;
    }
    return groups;
}

bool is_small(const CellRect& rect, std::int64_t most)
{
    return rect.cols <= most && rect.rows <= most / rect.cols;
}

/// What one thread measures with.
class Measurer {
public:
    using Visit = std::function<void(const Prepared&, const StructureMeasure&)>;

    Measurer(BatchRun& run, std::span<const FuelSum> contribution)
        : run_(run), contribution_(contribution), reader_(run.raster(), run.classes())
    {}

    /// Features that stand close together.
    void measure(std::span<const Prepared> group, const Visit& visit)
    {
        CellRect all;
        for (const Prepared& p : group)
            all = hull(all, p.needed);
        if (group.size() == 1 || is_small(all, most_shared))
            return measure_in(all, group, visit);
        for (const Prepared& p : group)
            measure_in(p.needed, {&p, 1}, visit);
    }

    const std::set<double>& unknown() const { return reader_.unknown(); }

private:
    void measure_in(const CellRect& rect, std::span<const Prepared> group, const Visit& visit)
    {
        reader_.read(rect, cells_);
        const FuelWindow window{rect, cells_, static_cast<std::size_t>(rect.cols), contribution_};
        for (const Prepared& p : group) {
            run_.stop_if_asked();
            visit(p, fuelring::measure(p.footprint, p.outlines, p.frame,
                                       run_.raster().grid.at_scale(p.scale), window, run_.plan()));
        }
    }

    BatchRun& run_;
    std::span<const FuelSum> contribution_;
    CellReader reader_;
    std::vector<ClassIndex> cells_;
};

int threads_of(int jobs)
{
    return jobs >= 1 ? jobs : static_cast<int>(std::max(std::thread::hardware_concurrency(), 1U));
}

std::optional<FuelClassTable> shares_of(const RasterView& raster)
{
    return raster.full_share > 0 ? std::optional{share_classes()} : std::nullopt;
}

/// "a code near the footprints is not in the fuel-class table", "values ... are no shares".
std::string what_unknown(bool shares, std::size_t count)
{
    if (shares)
        return count == 1 ? "a value near the footprints is no share"
                          : "values near the footprints are no shares";
    return count == 1 ? "a code near the footprints is not in the fuel-class table"
                      : "codes near the footprints are not in the fuel-class table";
}

/// Slivers that GEOS leaves where coordinates lie many kilometres apart may still fold back.
bool keeps_its_law(const Footprint& footprint)
{
    try {
        require_valid(footprint);
        return true;
    } catch (const std::invalid_argument&) {
        return false;
    }
}

} // namespace

BatchRun::BatchRun(const FootprintsView& footprints, const RasterView& raster,
                   const FuelClassTable& classes, const RingPlan& plan, const BatchOptions& options,
                   std::size_t rounds)
    : raster_(raster), classes_(classes), shares_(shares_of(raster)), plan_(plan),
      options_(options), features_(footprints), jobs_(threads_of(options.jobs)),
      contribution_(contributions(this->classes())), all_(rounds * features_.size())
{
    plan.require_valid();
    require(raster.full_share >= 0 && std::isfinite(raster.full_share),
            "full_share: a number above 0, or 0 where cells hold codes");
    require(raster.data != nullptr, "the raster has no cells");
    require(options.stretches.empty() || options.stretches.size() == features_.size(),
            "stretches: one for each feature, or none");
}

void BatchRun::stop_if_asked() const
{
    if (options_.stop.stop_requested())
        throw Error{Failure::interrupted, "stopped before all was measured"};
}

void BatchRun::advance(std::size_t features)
{
    const std::lock_guard lock{mutex_};
    done_ += features;
    if (options_.progress)
        options_.progress(done_, all_);
}

void BatchRun::take_unknown(const std::set<double>& values)
{
    const std::lock_guard lock{mutex_};
    unknown_.insert(values.begin(), values.end());
}

void BatchRun::judge_unknown() const
{
    if (unknown_.empty() || options_.unknown_codes_are_unmapped)
        return;
    const std::vector<double> all{unknown_.begin(), unknown_.end()};
    const std::vector<double> some{all.begin(), all.begin() + static_cast<std::ptrdiff_t>(std::min(
                                                                  all.size(), most_listed_codes))};
    throw Error{
        Failure::input,
        fmt::format(
            "{}: {}{}", what_unknown(shares_.has_value(), all.size()), fmt::join(some, ", "),
            all.size() > some.size() ? fmt::format(" and {} more", all.size() - some.size()) : ""),
        "the raster",
        shares_ ? fmt::format("shares go from 0 to {:g}; let others count as unmapped",
                              raster_.full_share)
                : "add them to the table, or let unknown codes count as unmapped"};
}

FeatureStatus BatchRun::prepare(std::size_t feature, Prepared& into) const
{
    RawFeature raw = features_.read(feature);
    if (raw.status != FeatureStatus::ok)
        return raw.status;
    const Box box = box_of(raw.polygons);
    into.feature = feature;
    into.frame = raster_.grid.frame_at(box.min);
    into.scale = options_.scale ? options_.scale(box.centre()) : LocalScale{};
    const Grid ground = raster_.grid.at_scale(into.scale);
    for (RawPolygon& polygon : raw.polygons)
        for (Loop& loop : polygon.loops)
            for (Point& p : loop)
                p = ground.to_local(into.frame, p);
    try {
        RepairedFootprint clean = repaired(raw.polygons);
        if (clean.footprint.loops.empty())
            return FeatureStatus::empty;
        into.footprint = std::move(clean.footprint);
        into.outlines =
            ring_outlines(into.footprint, plan_,
                          options_.stretches.empty() ? RingStretch{} : options_.stretches[feature]);
        into.needed = cells_needed(into.outlines, into.frame, ground);
        if (!is_small(into.needed, most_cells))
            return FeatureStatus::too_large;
        return clean.crossed_parts > 0 ? FeatureStatus::repaired : FeatureStatus::ok;
    } catch (const Error&) {
        throw;
    } catch (const std::runtime_error&) { // GEOS could not
        return FeatureStatus::failed;
    } catch (const std::invalid_argument&) {
        if (keeps_its_law(into.footprint)) // then the stretch is not valid, which is the caller's
            throw;
        return FeatureStatus::failed;
    }
}

std::vector<Placed>
BatchRun::place(const std::function<void(std::size_t, FeatureStatus)>& set_status)
{
    std::vector<Placed> placed;
    placed.reserve(features_.size());
    for (std::size_t k = 0; k < features_.size(); ++k) {
        stop_if_asked();
        const RawFeature raw = features_.read(k);
        set_status(k, raw.status);
        if (raw.status == FeatureStatus::ok)
            placed.push_back({k, raster_.grid.frame_at(box_of(raw.polygons).min)});
        else
            advance(1);
    }
    return placed;
}

void BatchRun::measure(const std::function<void(std::size_t, FeatureStatus)>& set_status,
                       const std::function<void(const Prepared&, const StructureMeasure&)>& visit)
{
    std::vector<Placed> placed = place(set_status);
    const auto groups = groups_of(placed);
    share_out(groups.size(), jobs_, [&](const auto& next) {
        Measurer measurer{*this, contribution_};
        for (std::size_t g = next(); g < groups.size(); g = next()) {
            std::vector<Prepared> members;
            for (const Placed& p : groups[g]) {
                stop_if_asked();
                Prepared one;
                const FeatureStatus status = prepare(p.feature, one);
                set_status(p.feature, status);
                if (status <= FeatureStatus::repaired)
                    members.push_back(std::move(one));
            }
            if (!members.empty())
                measurer.measure(members, visit);
            advance(groups[g].size());
        }
        take_unknown(measurer.unknown());
    });
    judge_unknown();
}

} // namespace fuelring::batch
