// SPDX-License-Identifier: Apache-2.0

// A point that comes back is found again on both maps: its class must be the one it was drawn in,
// or the strata are not those of these runs. Then every row asks which points lie inside.
#include "run/compare/reference_rows.hpp"

#include "base/program/json_values.hpp"
#include "exposure/areas.hpp"
#include "exposure/neighbourhoods.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

namespace fuelring {

namespace {

/// A judged point, and where it lies.
struct PlacedPoint {
    SpotPlace place;
    std::optional<std::size_t> kind; ///< of owner, where there are parcels
    std::set<std::size_t> records;   ///< groups of treatment records that hold it
};

class PointFinder {
public:
    PointFinder(const ChangeContext& context, const FilledPoints& filled, const std::string& path)
        : context_(context), filled_(filled),
          path_(path), members_{index_of_members(context)}, places_{context, members_},
          fuel_{context.before, context.analysis, context.after_fuel}, distance_{distance_of(
                                                                           context, filled, path)}
    {}

    std::size_t distance() const { return distance_; }

    std::pair<JudgedPoint, PlacedPoint> find(const FilledPoint& point)
    {
        const Grid& grid = context_.grid();
        const Point cell = grid.cell_of(point.at);
        const CellRect rect{static_cast<std::int64_t>(std::floor(cell.x)),
                            static_cast<std::int64_t>(std::floor(cell.y)), 1, 1};
        const Point on_grid{cell.x * grid.cell_width_m(), -cell.y * grid.cell_height_m()};
        PlacedPoint placed{places_.place_of(on_grid), {}, records_at(on_grid)};
        const SpotPlace::Ring ring = placed.place.ring;
        if (!ring || *ring < 1 || *ring > distance_ + 1)
            throw elsewhere(point, "beyond that distance, or under a roof");
        const std::uint16_t kind = fuel_.changes(rect).kind.front();
        if (kind != point.map_class + 1)
            throw elsewhere(point, kind >= 1 && kind <= drawn_classes ? drawn_class_names[kind - 1U]
                                                                      : "compared in part only");
        if (context_.owners)
            placed.kind = context_.owners->kind_of(context_.owners->map.at(on_grid));
        return {{point.map_class, shares_of(rect), *point.found}, std::move(placed)};
    }

private:
    static std::size_t distance_of(const ChangeContext& context, const FilledPoints& filled,
                                   const std::string& path)
    {
        const std::vector<double>& outer_m = context.rings.plan.outer_m;
        const auto at = std::find(outer_m.begin(), outer_m.end(), filled.within_m);
        if (at == outer_m.end())
            throw Error{Failure::input,
                        fmt::format("the points were drawn within {:g} m, which is no distance of "
                                    "both runs",
                                    filled.within_m),
                        path, "give the runs that the points were drawn from"};
        return static_cast<std::size_t>(at - outer_m.begin());
    }

    Error elsewhere(const FilledPoint& point, const std::string& now) const
    {
        return {Failure::input,
                fmt::format("point {} was drawn in class {} within {:g} m of the walls; in these "
                            "runs its spot is {}",
                            point.id, drawn_class_names[point.map_class], filled_.within_m, now),
                path_,
                "give the runs that the points were drawn from, and leave the points where "
                "they are"};
    }

    /// What both maps say of one cell of AFTER.
    ChangeShares shares_of(const CellRect& rect)
    {
        const Grid& grid = context_.grid();
        const CellFrame frame{rect.col, rect.row};
        const double w = grid.cell_width_m();
        const double h = grid.cell_height_m();
        const Footprint cell{{{{0, -h}, {w, -h}, {w, 0}, {0, 0}}}};
        const ChangeArea area =
            fuel_.overlay(widened(rect, 1), frame).integrate(outline_of(cell), grid);
        const double m2 = area.compared_m2;
        return {area.removed_m2 / m2, area.regrown_m2 / m2, area.unchanged_m2 / m2,
                area.no_conifer_m2() / m2};
    }

    std::set<std::size_t> records_at(Point on_grid) const
    {
        std::set<std::size_t> groups;
        for (const TreatedLayer& layer : context_.treated.layers) {
            const std::int32_t place = layer.places.map.at(on_grid);
            if (place != no_parcel)
                groups.insert(layer.group[static_cast<std::size_t>(
                    layer.places.class_of[static_cast<std::size_t>(place)])]);
        }
        return groups;
    }

    const ChangeContext& context_;
    const FilledPoints& filled_;
    const std::string& path_;
    StructureIndex members_;
    SpotPlaces places_;
    ComparedFuel fuel_;
    std::size_t distance_;
};

/// What a row is the ground of, in numbers.
class RowGround {
public:
    RowGround(const ChangeContext& context, const std::vector<ChangeMember>& members,
              const std::optional<TreatmentRecords>& records)
    {
        for (std::size_t i = 0; i < members.size(); ++i)
            groups_[members[i].neighbourhood.empty() ? std::string{outside_row}
                                                     : members[i].neighbourhood] = context.group[i];
        if (context.owners) {
            const std::vector<std::string> kinds = context.owners->kinds();
            for (std::size_t k = 0; k < kinds.size(); ++k)
                kinds_[kinds[k]] = k;
        }
        for (std::size_t g = 0; records && g < records->groups.size(); ++g) {
            const RecordGroup& group = records->groups[g];
            if (group.scope == RecordGroup::Scope::total)
                records_[all_treatments] = g;
            else if (group.scope == RecordGroup::Scope::treatment)
                records_[group.name] = g;
        }
    }

    bool holds(const ChangeRow& row, const PlacedPoint& point) const
    {
        const bool by_neighbourhood = row.scope == ChangeScope::neighbourhood ||
                                      row.scope == ChangeScope::neighbourhood_owner;
        SpotPlace::Ring ring = point.place.ring;
        if (by_neighbourhood) {
            const auto at = point.place.ring_of_group.find(groups_.at(row.name));
            ring = at == point.place.ring_of_group.end() ? SpotPlace::Ring{} : at->second;
        }
        if (!ring || *ring < 1 || *ring > row.distance + 1 ||
            (!row.within && *ring != row.distance + 1))
            return false;
        if (row.scope == ChangeScope::treatment)
            return point.records.count(records_.at(row.name)) > 0;
        return row.owner.empty() || point.kind == kinds_.at(row.owner);
    }

private:
    std::map<std::string, std::size_t> groups_, kinds_, records_;
};

nlohmann::json half_width_json(const std::optional<Estimate>& estimate)
{
    return estimate ? or_null(estimate->half_width()) : nlohmann::json();
}

nlohmann::json value_json(const std::optional<Estimate>& estimate)
{
    return estimate ? nlohmann::json(estimate->value) : nlohmann::json();
}

double not_drawn_m2(const ChangeArea& ground)
{
    return ground.compared_m2 - ground.class_m2[0] - ground.class_m2[1] - ground.class_m2[2] -
           ground.class_m2[3];
}

} // namespace

ReferenceFindings correct_widest(const ConfusionMatrix& matrix, double widest_m,
                                 std::vector<ChangeRow>& rows)
{
    adjust_widest(rows, matrix);
    const ChangeArea& ground = widest_row(rows).area;
    return {accuracy_of(matrix, ground.class_m2), widest_m, false, 0, not_drawn_m2(ground)};
}

ReferenceFindings correct_rows(const ChangeContext& context,
                               const std::vector<ChangeMember>& members,
                               const std::optional<TreatmentRecords>& records,
                               const FilledPoints& filled, const std::string& path,
                               std::vector<ChangeRow>& rows)
{
    PointFinder finder{context, filled, path};
    const ChangeArea& ground = drawn_ground(rows, finder.distance());
    ReferenceSample sample{{}, ground.class_m2, path};
    std::vector<PlacedPoint> places;
    for (const FilledPoint& point : filled.points)
        if (point.found) {
            auto [of_point, place] = finder.find(point);
            sample.points.push_back(of_point);
            places.push_back(std::move(place));
        }
    const auto judged = static_cast<std::int64_t>(places.size());
    const auto unjudged = static_cast<std::int64_t>(filled.points.size()) - judged;
    ReferenceFindings findings{accuracy_of(sample), filled.within_m, true, unjudged,
                               not_drawn_m2(ground)};
    const RowGround grounds{context, members, records};
    std::vector<bool> inside(places.size());
    for (ChangeRow& row : rows) {
        if (row.distance > finder.distance())
            continue;
        for (std::size_t p = 0; p < places.size(); ++p)
            inside[p] = grounds.holds(row, places[p]);
        adjust_row(row, sample, inside);
    }
    return findings;
}

nlohmann::json findings_json(const ReferenceFindings& findings)
{
    nlohmann::json classes = nlohmann::json::array();
    for (std::size_t h = 0; h < drawn_classes; ++h) {
        const ReferenceAccuracy::OfClass& of = findings.accuracy.classes[h];
        nlohmann::json found;
        for (std::size_t k = 0; k < drawn_classes; ++k)
            found[drawn_class_names[k]] = of.found[k];
        classes.push_back({{"map_class", drawn_class_names[h]},
                           {"ground_ha", of.ground_m2 / m2_per_ha},
                           {"points", of.points},
                           {"found", found},
                           {"users_accuracy", value_json(of.users)},
                           {"users_ci95", half_width_json(of.users)},
                           {"producers_accuracy", value_json(of.producers)},
                           {"producers_ci95", half_width_json(of.producers)}});
    }
    nlohmann::json object = {
        {"points", findings.accuracy.points},
        {"within_m", findings.within_m},
        {"not_drawn_from_ha", std::max(findings.not_drawn_m2, 0.0) / m2_per_ha},
        {"overall_accuracy", findings.accuracy.overall.value},
        {"overall_ci95", or_null(findings.accuracy.overall.half_width())},
        {"classes", classes}};
    if (findings.by_row) {
        object["without_reference"] = findings.unjudged;
        object["least_points_inside"] = least_points_inside;
    }
    return object;
}

} // namespace fuelring
