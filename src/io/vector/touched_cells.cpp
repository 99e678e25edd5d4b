// SPDX-License-Identifier: Apache-2.0

// Shapes in units of cells, burnt by GDAL into a raster in memory, every cell that they touch.
#include "io/vector/touched_cells.hpp"

#include "io/gdal/errors.hpp"
#include "io/vector/vector_layer.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <gdal_alg.h>
#include <ogr_feature.h>
#include <ogr_geometry.h>

#include <array>
#include <cmath>
#include <mutex>
#include <vector>

namespace fuelring {

struct TouchedCells::Impl {
    struct Shape {
        GeometryPtr geometry; ///< x the column, y the row
        OGREnvelope box;
    };
    std::vector<Shape> shapes;
    std::string where;
    LayerCrs layer_crs;
    mutable std::mutex guard; ///< OGR's geometries say nothing of threads
};

namespace {

/// Maps every vertex; false where one is no finite place.
class ToCells final : public OGRDefaultGeometryVisitor {
public:
    ToCells(const Reprojection& to_analysis, const Grid& grid)
        : to_analysis_(to_analysis), grid_(grid)
    {}
    using OGRDefaultGeometryVisitor::visit;
    void visit(OGRPoint* point) override
    {
        Point p{point->getX(), point->getY()};
        all_finite = all_finite && to_analysis_.apply(p);
        const Point cell = grid_.cell_of(p);
        all_finite = all_finite && std::isfinite(cell.x) && std::isfinite(cell.y);
        point->setX(cell.x);
        point->setY(cell.y);
    }
    bool all_finite = true;

private:
    const Reprojection& to_analysis_;
    const Grid& grid_;
};

} // namespace

TouchedCells::TouchedCells(const ShapeLayer& source, const AnalysisGrid& analysis)
    : impl_(std::make_unique<Impl>())
{
    const VectorLayer layer{
        {source.key, source.path, source.layer, source.crs, source.remote_allowed}};
    const Reprojection to_analysis = layer.way_to(analysis.crs, analysis.area);
    impl_->where = source.path;
    impl_->layer_crs = layer.layer_crs(analysis.crs, to_analysis);
    layer.for_each([&](const OGRFeature& feature) {
        const OGRGeometry* raw = feature.GetGeometryRef();
        if (!raw || raw->IsEmpty())
            return;
        std::unique_ptr<OGRGeometry> shape{raw->getLinearGeometry()};
        shape->flattenTo2D();
        ToCells to_cells{to_analysis, analysis.grid};
        shape->accept(&to_cells);
        if (!to_cells.all_finite)
            throw layer.wrong_feature(feature.GetFID(),
                                      "a vertex cannot be placed in the raster's grid",
                                      fmt::format("check the geometry, and {}.crs", source.key));
        OGREnvelope box;
        shape->getEnvelope(&box);
        impl_->shapes.push_back({GeometryPtr{OGRGeometry::ToHandle(shape.release())}, box});
    });
}

TouchedCells::~TouchedCells() = default;

std::size_t TouchedCells::shapes() const
{
    return impl_->shapes.size();
}

const LayerCrs& TouchedCells::layer_crs() const
{
    return impl_->layer_crs;
}

void TouchedCells::mark(const CellRect& rect, std::span<std::uint8_t> marks) const
{
    OGREnvelope window;
    window.MinX = static_cast<double>(rect.col);
    window.MinY = static_cast<double>(rect.row);
    window.MaxX = static_cast<double>(rect.col + rect.cols);
    window.MaxY = static_cast<double>(rect.row + rect.rows);
    std::vector<OGRGeometryH> near;
    for (const Impl::Shape& shape : impl_->shapes)
        if (shape.box.Intersects(window))
            near.push_back(shape.geometry.get());
    if (near.empty())
        return;
    const std::lock_guard lock{impl_->guard};
    const GdalErrors errors;
    const DatasetPtr raster{GDALCreate(GDALGetDriverByName("MEM"), "", static_cast<int>(rect.cols),
                                       static_cast<int>(rect.rows), 0, GDT_Byte, nullptr)};
    const std::string pointer = fmt::format("DATAPOINTER={}", fmt::ptr(marks.data()));
    const std::array<const char*, 2> band_options = {pointer.c_str(), nullptr};
    const std::array<double, 6> transform = {window.MinX, 1, 0, window.MinY, 0, 1};
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
                    impl_->where, "repair the geometries"};
}

} // namespace fuelring
