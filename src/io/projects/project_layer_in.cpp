// SPDX-License-Identifier: Apache-2.0
#include "io/projects/project_layer_in.hpp"

#include "base/csv_reader.hpp"
#include "base/faults.hpp"
#include "exposure/areas.hpp"
#include "io/community/community_findings.hpp"
#include "io/vector/placed_layer.hpp"

#include <fmt/format.h>
#include <ogr_feature.h>

namespace fuelring {

namespace {

/// No work costs more; sums of such are finite.
constexpr double most_money = 1e12;

/// Names that a project cannot have: rows and texts that mean something else.
constexpr const char* no_project = "(none)";

class ProjectReader {
public:
    ProjectReader(const ProjectSource& source, const AnalysisGrid& analysis)
        : layer_{"--projects",
                 {.path = source.path, .layer = source.layer, .crs = source.crs},
                 analysis}
    {
        layer_.require_polygons();
        if (!source.name.empty())
            name_ = layer_.column(source.name, "name"); // throws where it is missing
        else
            for (const char* usual : {"project", "name"})
                if (name_ < 0)
                    name_ = place_of(usual);
        leaves_ = place_of("leaves");
        cost_ = place_of("cost");
        cost_per_ha_ = place_of("cost_per_ha");
        year_ = place_of("year");
    }

    ProjectLayer read(Warnings& warnings)
    {
        layer_.for_each(
            [&](const OGRFeature& feature) { faults_.attempt([&] { take(feature); }); });
        faults_.raise();
        if (projects_.polygons.empty())
            throw layer_.wrong("the layer has no project polygons", "check --projects-layer");
        nameless_.report(warnings, "projects_without_name",
                         fmt::format("polygons have no project name and are taken as one project, "
                                     "{}",
                                     no_project));
        empty_.report(warnings, "empty_projects", "polygons enclose no area and are left out");
        repaired_.report(warnings, "repaired_projects",
                         "polygons cross themselves and were repaired (even-odd)");
        unsaid_.report(warnings, "projects_without_leaves",
                       "polygons do not say in column leaves what stays and are taken as cleared");
        projects_.crs = layer_.layer_crs();
        try {
            projects_.parts = ground_parts(projects_.ground);
        } catch (const std::runtime_error& e) {
            throw layer_.wrong(e.what(), "repair the polygons where they cross each other");
        }
        for (const GroundPart& part : projects_.parts)
            projects_.part_m2.push_back(ground_m2(part.ground, layer_.analysis()));
        return std::move(projects_);
    }

private:
    int place_of(const char* column) const
    {
        return layer_.has_column(column) ? layer_.column(column, column) : -1;
    }

    void take(const OGRFeature& feature)
    {
        ProjectPolygon polygon;
        polygon.id = std::to_string(feature.GetFID());
        bool was_repaired = false;
        const std::vector<RawPolygon> raw = layer_.polygons_on_grid(feature);
        // United by itself, so that what its own parts share counts once.
        std::vector<RawPolygon> clean = layer_.shaping(feature, "repair the polygon", [&] {
            const GeosGeometry united = geos_union(raw, was_repaired);
            return united ? polygons_of(united.get()) : std::vector<RawPolygon>{};
        });
        polygon.leaves = leaves_of(feature, polygon.id);
        if (clean.empty()) {
            empty_.add(polygon.id);
            return;
        }
        if (was_repaired)
            repaired_.add(polygon.id);
        polygon.area_m2 = ground_m2(clean, layer_.analysis());
        polygon.cost = cost_of_polygon(feature, polygon.area_m2);
        polygon.project = project_of(feature, polygon.id);
        polygon.year = text(feature, year_);
        projects_.polygons.push_back(std::move(polygon));
        projects_.ground.push_back(std::move(clean));
    }

    std::string text(const OGRFeature& feature, int column) const
    {
        return column < 0 ? std::string{} : layer_.text_of(feature, column).value_or("");
    }

    std::string project_of(const OGRFeature& feature, const std::string& id)
    {
        if (name_ < 0)
            return id;
        std::string name = text(feature, name_);
        if (name == all_projects)
            throw layer_.wrong_feature(feature,
                                       fmt::format("'{}' is a row of projects.csv", all_projects),
                                       "rename the project");
        if (name.find_first_not_of(" \t\r\n") == std::string::npos) {
            nameless_.add(id);
            return no_project;
        }
        return name;
    }

    /// A number from 0 to `most`; empty where the cell is.
    std::optional<double> number(const OGRFeature& feature, int column, double most,
                                 const char* what, const char* remedy) const
    {
        const auto written = column < 0 ? std::nullopt : layer_.text_of(feature, column);
        if (!written || written->empty())
            return std::nullopt;
        double value = -1;
        // A text is read by our own rules: OGR would take "12 000" for 12.
        if (feature.GetFieldDefnRef(column)->GetType() != OFTString)
            value = feature.GetFieldAsDouble(column);
        else
            value = number_in<double>(*written).value_or(-1);
        if (!(value >= 0 && value <= most)) // NaN is neither
            throw layer_.wrong_feature(feature, fmt::format(fmt::runtime(what), *written), remedy);
        return value;
    }

    double leaves_of(const OGRFeature& feature, const std::string& id)
    {
        const std::optional<double> leaves =
            number(feature, leaves_, 1, "leaves '{}' is no share from 0 to 1",
                   "give the share of the conifers that stays: 0 clears, 0.5 leaves half");
        if (!leaves && leaves_ >= 0)
            unsaid_.add(id);
        return leaves.value_or(0);
    }

    std::optional<double> cost_of_polygon(const OGRFeature& feature, double area_m2) const
    {
        constexpr const char* plain = "give a plain number, or leave the cell empty";
        const auto whole =
            number(feature, cost_, most_money, "the cost '{}' is not an amount of money", plain);
        const auto per_ha = number(feature, cost_per_ha_, most_money,
                                   "the cost per hectare '{}' is not an amount of money", plain);
        if (whole && per_ha)
            throw layer_.wrong_feature(feature, "both cost and cost_per_ha are given",
                                       "keep one: cost is of the whole polygon");
        return per_ha ? std::optional{*per_ha * area_m2 / m2_per_ha} : whole;
    }

    PlacedLayer layer_;
    int name_ = -1, leaves_ = -1, cost_ = -1, cost_per_ha_ = -1, year_ = -1;
    ProjectLayer projects_;
    FaultList faults_;
    Finding nameless_, empty_, repaired_, unsaid_;
};

} // namespace

ProjectLayer read_projects(const ProjectSource& source, const AnalysisGrid& analysis,
                           Warnings& warnings)
{
    return ProjectReader{source, analysis}.read(warnings);
}

} // namespace fuelring
