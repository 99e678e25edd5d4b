// SPDX-License-Identifier: Apache-2.0

// The parts of the reference chain: what a careful user would build from general tools.
#pragma once

#include <gdal.h>
#include <geos_c.h>

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <unordered_map>
#include <vector>

namespace reference {

inline constexpr int quadrant_segments = 64;
inline constexpr int tile_cells = 512;
inline constexpr double outer_m[] = {1.5, 10, 30, 100};
inline constexpr double weight[] = {0.35, 0.35, 0.20, 0.10};
inline constexpr std::size_t ring_count = 4;

struct DatasetClose {
    void operator()(GDALDatasetH dataset) const noexcept { GDALClose(dataset); }
};
using DatasetPtr = std::unique_ptr<void, DatasetClose>;

/// A GEOS context of one worker, and its geometries.
class Geos {
public:
    Geos();
    ~Geos();
    Geos(const Geos&) = delete;
    Geos& operator=(const Geos&) = delete;

    GEOSContextHandle_t handle() const { return handle_; }
    struct Destroy {
        GEOSContextHandle_t handle;
        void operator()(GEOSGeometry* geometry) const { GEOSGeom_destroy_r(handle, geometry); }
    };
    using Geometry = std::unique_ptr<GEOSGeometry, Destroy>;
    Geometry own(GEOSGeometry* geometry) const { return {geometry, Destroy{handle_}}; }
    double area(const Geometry& geometry) const;

private:
    GEOSContextHandle_t handle_;
};

/// Cells of one row, first_col to last_col inclusive, that a shape covers to the same fraction.
struct Run {
    int row, first_col, last_col;
    double fraction;
};

/// The exact coverage of the cells by a polygon given in cell coordinates: halves the window until
/// a part is full, empty or one cell. Every part is cut with GEOSClipByRect.
std::vector<Run> exact_coverage(const Geos& geos, const GEOSGeometry* shape, int cols, int rows);

/// The cells whose centre lies in the polygon, by GDAL's rasteriser.
std::vector<Run> centre_coverage(const Geos& geos, const GEOSGeometry* shape, int cols, int rows);

/// What the codes of the raster mean.
struct Classes {
    double share[256];
    bool mapped[256];
};
Classes read_classes(const std::string& path);

/// Float cells, allocated tile by tile where something is added.
class SparseSurface {
public:
    explicit SparseSurface(int cols, int rows) : cols_(cols), rows_(rows) {}
    void add(int row, int col, double value);
    void add(const SparseSurface& other);
    void write(const std::string& path, GDALDatasetH grid_of) const;

private:
    int cols_, rows_;
    std::unordered_map<std::int64_t, std::vector<float>> tiles_;
};

} // namespace reference
