// SPDX-License-Identifier: Apache-2.0

// The plan of one home from a run's folder: its outlines are made again from the footprint, as the
// run made them, and everything around is moved into its frame.
#include "io/report_data/home_plans_in.hpp"

#include "io/geopackage/outline_loops.hpp"
#include "io/georeference/ground_scale.hpp"

namespace fuelring {

namespace {

constexpr double chord_m = 0.05; ///< of the edge of what is shown

std::vector<Box> boxes_of(const std::vector<Structure>& structures, const Grid& grid)
{
    std::vector<Box> boxes;
    boxes.reserve(structures.size());
    for (const Structure& s : structures)
        boxes.push_back(box_on_grid(s, grid));
    return boxes;
}

/// At most so many pixels of a town's own picture below one plan: some 30 kB as a JPEG.
constexpr std::int64_t most_plan_pixels = 160'000;

/// Of every line and area, as context_in() counts them.
std::vector<Box> boxes_of(const Context& context)
{
    std::vector<Box> boxes;
    const auto add = [&boxes](const std::vector<Loop>& lines) {
        Box box = Box::nothing();
        for (const std::vector<Point>& line : lines)
            for (const Point p : line)
                box.take_in(p);
        boxes.push_back(box);
    };
    for (const ContextLayer& layer : context.layers) {
        for (const std::vector<Point>& line : layer.lines)
            add({line});
        for (const PictureShape& area : layer.areas)
            add(area);
    }
    return boxes;
}

} // namespace

HomePlans::HomePlans(const RunFolder& run, const RunPicture& picture, const Context& context)
    : analysis_(run.analysis), rings_(run.rings),
      tables_(read_run_tables(run.file(tables_file), run.analysis)),
      index_(boxes_of(tables_.structures, run.analysis.grid)),
      owners_(read_run_parcels(run.file(tables_file), tables_.structures, run.analysis,
                               run.rings.widest_m())),
      fuel_(run.file(fuel_used_file)),
      to_map_(Reprojection{run.analysis.crs, Crs::wgs84(), run.analysis.area}.inverse()),
      picture_(picture), backdrop_(open_backdrop(run, picture)), context_(context),
      context_index_(boxes_of(context))
{}

double HomePlans::down_factor(std::size_t structure) const
{
    return tables_.structures[structure].stretch.down;
}

report::HomePlan HomePlans::plan(std::size_t structure)
{
    const Structure& home = tables_.structures[structure];
    const RingOutlines outlines = ring_outlines(home.footprint, rings_, home.stretch);
    report::HomePlan plan;
    plan.axes = {analysis_.grid.along_cols(), analysis_.grid.against_rows()};
    plan.north = true_north(home.lon_deg, home.lat_deg, to_map_);
    plan.home = home.footprint.loops;
    plan.below = ground_below(home);
    for (std::size_t k = 0; k < rings_.outer_m.size(); ++k)
        plan.lines.push_back({rings_.outer_m[k], outlines.within[k + 1]});
    plan.reach = loops_of(outlines.within.back(), chord_m);
    const Box reach = bounds(outlines.within.back());
    add_others(structure, reach, plan);
    add_parcels(home, reach, plan);
    plan.cells = cells_around(home, reach);
    return plan;
}

void HomePlans::add_others(std::size_t structure, const Box& reach, report::HomePlan& plan) const
{
    const Structure& home = tables_.structures[structure];
    const FrameOnGrid of_home{home.frame, home.map_scale, analysis_.grid};
    const Box on_grid{of_home.to_grid(reach.min), of_home.to_grid(reach.max)};
    for (const std::size_t k : index_.meeting(on_grid)) {
        if (k == structure)
            continue;
        const Structure& other = tables_.structures[k];
        const FrameOnGrid of_other{other.frame, other.map_scale, analysis_.grid};
        std::vector<Loop> loops = other.footprint.loops;
        for (Loop& loop : loops)
            for (Point& p : loop)
                // Frames differ in origin and in scale, so places go by way of the grid.
                p = of_home.to_local(of_other.to_grid(p));
        plan.others.push_back(std::move(loops));
    }
}

void HomePlans::add_parcels(const Structure& home, const Box& reach, report::HomePlan& plan) const
{
    if (!owners_)
        return;
    plan.has_parcels = true;
    const FrameOnGrid frame{home.frame, home.map_scale, analysis_.grid};
    const std::int32_t own = parcel_under(home.footprint, frame, owners_->map).value_or(no_parcel);
    for (const std::uint32_t k :
         owners_->map.lines_about({frame.to_grid(reach.min), frame.to_grid(reach.max)})) {
        const ParcelLine& line = owners_->map.lines()[k];
        // A line of the map has a parcel on either side; it bounds the own one where that is on one
        // of them.
        const bool is_own = own != no_parcel && (line.left == own || line.right == own);
        plan.parcels.push_back({frame.to_local(from_lattice(line.line.a)),
                                frame.to_local(from_lattice(line.line.b)), is_own});
    }
}

report::GroundBelow HomePlans::ground_below(const Structure& home)
{
    const Grid ground = analysis_.grid.at_scale(home.map_scale);
    const auto in_picture = [&](Point local) {
        return ground.to_map(home.frame, local) - picture_.origin;
    };
    report::GroundBelow below;
    below.origin = in_picture({0, 0});
    below.metres = {in_picture({1, 0}) - below.origin, in_picture({0, 1}) - below.origin};
    below.units = {ground.vector_to_local({1, 0}), ground.vector_to_local({0, 1})};
    if (backdrop_)
        below.picture = [this](const Box& box) { return backdrop_->read(box, most_plan_pixels); };
    if (context_.empty())
        return below;
    below.context = [this](const Box& box) { return context_in(box); };
    for (std::size_t k = 0; k < context_kinds.size(); ++k)
        if (report::has_kind(context_, static_cast<ContextKind>(k)))
            below.kinds.push_back(static_cast<ContextKind>(k));
    return below;
}

Context HomePlans::context_in(const Box& box) const
{
    const std::vector<std::size_t> near = context_index_.meeting(box);
    Context found;
    auto next = near.begin();
    std::size_t number = 0;
    const auto is_near = [&] {
        const bool is_next = next != near.end() && *next == number++;
        next += is_next ? 1 : 0;
        return is_next;
    };
    for (const ContextLayer& layer : context_.layers) {
        ContextLayer& part = found.layers.emplace_back(ContextLayer{layer.kind, {}, {}});
        for (const std::vector<Point>& line : layer.lines)
            if (is_near())
                part.lines.push_back(line);
        for (const PictureShape& area : layer.areas)
            if (is_near())
                part.areas.push_back(area);
    }
    return within(found, box);
}

report::MapCells HomePlans::cells_around(const Structure& home, const Box& reach)
{
    const Grid ground = analysis_.grid.at_scale(home.map_scale);
    const FuelPatch patch = fuel_.read(ground.cells_of(home.frame, reach));
    report::MapCells cells;
    cells.width_m = ground.cell_width_m();
    cells.height_m = ground.cell_height_m();
    cells.corner = {static_cast<double>(patch.rect.col - home.frame.col) * cells.width_m,
                    -static_cast<double>(patch.rect.row - home.frame.row) * cells.height_m};
    cells.cols = static_cast<int>(patch.rect.cols);
    cells.rows = static_cast<int>(patch.rect.rows);
    cells.share = patch.share;
    // The rings reach every cell within the edge of what is shown, save for those off the raster,
    // which are unmapped too.
    static_assert(report::MapCells::unmapped == FuelPatch::unknown_share);
    return cells;
}

} // namespace fuelring
