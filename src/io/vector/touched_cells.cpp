// SPDX-License-Identifier: Apache-2.0

// Shapes in units of cells, burnt by GDAL into a raster in memory, every cell that they touch.
#include "io/vector/touched_cells.hpp"

#include "io/gdal/errors.hpp"
#include "io/vector/placed_layer.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <gdal_alg.h>
#include <ogr_feature.h>
#include <ogr_geometry.h>

#include <array>
#include <vector>

namespace fuelring {

namespace {

/// Maps every vertex; false where one is no finite place.
class ToCells final : public OGRDefaultGeometryVisitor {
public:
    explicit ToCells(const PlacedLayer& layer) : layer_(layer) {}
    using OGRDefaultGeometryVisitor::visit;
    void visit(OGRPoint* point) override
    {
        Point p{point->getX(), point->getY()};
        all_placed = all_placed && layer_.place(p);
        const Point cell = layer_.analysis().grid.cell_of(p);
        point->setX(cell.x);
        point->setY(cell.y);
    }
    bool all_placed = true;

private:
    const PlacedLayer& layer_;
};

} // namespace

TouchedCells::TouchedCells(const std::string& key, const LayerSource& source,
                           const AnalysisGrid& analysis)
    : path_{source.path}
{
    const PlacedLayer layer{key, source, analysis};
    layer_crs_ = layer.layer_crs();
    layer.for_each([&](const OGRFeature& feature) {
        const OGRGeometry* raw = feature.GetGeometryRef();
        if (!raw || raw->IsEmpty())
            return;
        std::unique_ptr<OGRGeometry> shape{raw->getLinearGeometry()};
        shape->flattenTo2D();
        ToCells to_cells{layer};
        shape->accept(&to_cells);
        if (!to_cells.all_placed)
            throw layer.not_placed(feature, "a vertex");
        OGREnvelope box;
        shape->getEnvelope(&box);
        shapes_.push_back({GeometryPtr{OGRGeometry::ToHandle(shape.release())},
                           {{box.MinX, box.MinY}, {box.MaxX, box.MaxY}}});
    });
}

void TouchedCells::mark(const CellRect& rect, std::span<std::uint8_t> marks) const
{
    const Point corner{static_cast<double>(rect.col), static_cast<double>(rect.row)};
    const Point size{static_cast<double>(rect.cols), static_cast<double>(rect.rows)};
    std::vector<OGRGeometryH> near;
    for (const Shape& shape : shapes_)
        if (shape.box.meets({corner, corner + size}))
            near.push_back(shape.geometry.get());
    if (near.empty())
        return;
    const std::lock_guard lock{guard_};
    const GdalErrors errors;
    const DatasetPtr raster{GDALCreate(GDALGetDriverByName("MEM"), "", static_cast<int>(rect.cols),
                                       static_cast<int>(rect.rows), 0, GDT_Byte, nullptr)};
    // GDAL burns right into the caller's marks: nothing is copied, and what it does not touch
    // stays.
    const std::string pointer = fmt::format("DATAPOINTER={}", fmt::ptr(marks.data()));
    const std::array<const char*, 2> band_options = {pointer.c_str(), nullptr};
    const std::array<double, 6> transform = {corner.x, 1, 0, corner.y, 0, 1};
    const std::array<const char*, 2> options = {"ALL_TOUCHED=TRUE", nullptr};
    const int band = 1;
    const std::vector<double> values(near.size(), 1.0);
    const bool done =
        raster &&
        GDALAddBand(raster.get(), GDT_Byte, const_cast<char**>(band_options.data())) == CE_None &&
        GDALSetGeoTransform(raster.get(), const_cast<double*>(transform.data())) == CE_None &&
        GDALRasterizeGeometries(raster.get(), 1, &band, static_cast<int>(near.size()), near.data(),
                                nullptr, nullptr, values.data(), const_cast<char**>(options.data()),
                                nullptr, nullptr) == CE_None;
    if (!done || errors.failures() > 0)
        throw Error{Failure::input, "the shapes cannot be laid over the raster: " + errors.reason(),
                    path_, "repair the geometries"};
}

} // namespace fuelring
