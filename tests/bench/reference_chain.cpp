// SPDX-License-Identifier: Apache-2.0

// The main job done with general tools, for scripts/benchmark to compare with: GEOS buffers of 64
// segments a quadrant, the coverage of cells by clipping with GEOS (or, with --centres, by GDAL's
// rasteriser, which is faster and wrong at edges), sums, and the same surface. It shares no code
// with fuelring.
//
//   reference_chain STRUCTURES FUEL.tif CLASSES.csv OUT_DIR [--centres] [--jobs N]
//
// The first column of the structures' first layer is the id. Both inputs are in one metric CRS.
#include "reference_chain.hpp"

#include <ogr_api.h>

#include <algorithm>
#include <atomic>
#include <cmath>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <stdexcept>
#include <thread>

namespace reference {
namespace {

struct Task {
    std::string structures, fuel, classes, out;
    bool centres = false;
    unsigned jobs = std::max(1U, std::thread::hardware_concurrency());
};

struct Outline {
    std::string id;
    std::vector<unsigned char> wkb;
};

struct Row {
    std::string id;
    double ring_m2[ring_count];
    double conifer_frac[ring_count];
};

DatasetPtr open(const std::string& path, unsigned kind)
{
    DatasetPtr dataset{
        GDALOpenEx(path.c_str(), kind | GDAL_OF_READONLY, nullptr, nullptr, nullptr)};
    if (!dataset)
        throw std::runtime_error(path + ": cannot be opened");
    return dataset;
}

std::vector<Outline> read_outlines(const std::string& path)
{
    const DatasetPtr dataset = open(path, GDAL_OF_VECTOR);
    OGRLayerH layer = GDALDatasetGetLayer(dataset.get(), 0);
    std::vector<Outline> outlines;
    while (OGRFeatureH feature = OGR_L_GetNextFeature(layer)) {
        OGRGeometryH geometry = OGR_F_GetGeometryRef(feature);
        Outline outline{OGR_F_GetFieldAsString(feature, 0), {}};
        outline.wkb.resize(static_cast<std::size_t>(OGR_G_WkbSize(geometry)));
        OGR_G_ExportToWkb(geometry, wkbNDR, outline.wkb.data());
        outlines.push_back(std::move(outline));
        OGR_F_Destroy(feature);
    }
    return outlines;
}

/// The part of the raster within reach of one structure.
struct Window {
    int col, row, cols, rows;
    std::vector<std::uint8_t> codes; ///< 0 beyond the raster

    std::uint8_t code(int r, int c) const
    {
        return codes[static_cast<std::size_t>(r) * static_cast<std::size_t>(cols) +
                     static_cast<std::size_t>(c)];
    }
};

/// One worker: its own handles, its own surface.
class Worker {
public:
    Worker(const Task& task, const Classes& classes)
        : task_(task), classes_(classes), fuel_(open(task.fuel, GDAL_OF_RASTER)),
          surface_(GDALGetRasterXSize(fuel_.get()), GDALGetRasterYSize(fuel_.get()))
    {
        GDALGetGeoTransform(fuel_.get(), transform_);
    }

    Row measure(const Outline& outline)
    {
        const Geos::Geometry footprint = geos_.own(
            GEOSGeomFromWKB_buf_r(geos_.handle(), outline.wkb.data(), outline.wkb.size()));
        const Geos::Geometry valid = geos_.own(GEOSMakeValid_r(geos_.handle(), footprint.get()));
        std::vector<Geos::Geometry> shapes;
        shapes.push_back(geos_.own(GEOSGeom_clone_r(geos_.handle(), valid.get())));
        for (const double distance : outer_m)
            shapes.push_back(
                geos_.own(GEOSBuffer_r(geos_.handle(), valid.get(), distance, quadrant_segments)));
        const Window window = window_of(shapes.back());
        std::vector<std::vector<Run>> covers;
        for (const Geos::Geometry& shape : shapes)
            covers.push_back(cover(shape, window));
        return sum_up(outline.id, window, covers);
    }
    const SparseSurface& surface() const { return surface_; }

private:
    Window window_of(const Geos::Geometry& widest) const
    {
        double xmin = 0, ymin = 0, xmax = 0, ymax = 0;
        GEOSGeom_getXMin_r(geos_.handle(), widest.get(), &xmin);
        GEOSGeom_getYMin_r(geos_.handle(), widest.get(), &ymin);
        GEOSGeom_getXMax_r(geos_.handle(), widest.get(), &xmax);
        GEOSGeom_getYMax_r(geos_.handle(), widest.get(), &ymax);
        const auto cell = [](double value) { return static_cast<int>(std::floor(value)); };
        Window w{};
        w.col = cell((xmin - transform_[0]) / transform_[1]);
        w.row = cell((ymax - transform_[3]) / transform_[5]);
        w.cols = cell((xmax - transform_[0]) / transform_[1]) + 1 - w.col;
        w.rows = cell((ymin - transform_[3]) / transform_[5]) + 1 - w.row;
        w.codes.resize(static_cast<std::size_t>(w.cols) * static_cast<std::size_t>(w.rows));
        read(w);
        return w;
    }

    void read(Window& w) const
    {
        const int col0 = std::max(0, w.col), row0 = std::max(0, w.row);
        const int col1 = std::min(GDALGetRasterXSize(fuel_.get()), w.col + w.cols);
        const int row1 = std::min(GDALGetRasterYSize(fuel_.get()), w.row + w.rows);
        if (col1 <= col0 || row1 <= row0)
            return;
        std::uint8_t* first =
            w.codes.data() + static_cast<std::ptrdiff_t>(row0 - w.row) * w.cols + (col0 - w.col);
        if (GDALRasterIO(GDALGetRasterBand(fuel_.get(), 1), GF_Read, col0, row0, col1 - col0,
                         row1 - row0, first, col1 - col0, row1 - row0, GDT_Byte, 1,
                         w.cols) != CE_None)
            throw std::runtime_error(task_.fuel + ": cannot be read");
    }

    std::vector<Run> cover(const Geos::Geometry& shape, const Window& w) const
    {
        struct Frame {
            double west, north, cell_x, cell_y;
        } frame{transform_[0] + w.col * transform_[1], transform_[3] + w.row * transform_[5],
                transform_[1], transform_[5]};
        const Geos::Geometry in_cells = geos_.own(GEOSGeom_transformXY_r(
            geos_.handle(), shape.get(),
            [](double* x, double* y, void* data) {
                const Frame& f = *static_cast<const Frame*>(data);
                *x = (*x - f.west) / f.cell_x;
                *y = (*y - f.north) / f.cell_y;
                return 1;
            },
            &frame));
        return task_.centres ? centre_coverage(geos_, in_cells.get(), w.cols, w.rows)
                             : exact_coverage(geos_, in_cells.get(), w.cols, w.rows);
    }

    Row sum_up(const std::string& id, const Window& w, const std::vector<std::vector<Run>>& covers)
    {
        const double cell_m2 = std::abs(transform_[1] * transform_[5]);
        double area[ring_count + 1] = {}, mapped[ring_count + 1] = {}, conifer[ring_count + 1] = {};
        for (std::size_t k = 0; k <= ring_count; ++k)
            for (const Run& run : covers[k])
                for (int col = run.first_col; col <= run.last_col; ++col) {
                    const std::uint8_t code = w.code(run.row, col);
                    area[k] += run.fraction;
                    mapped[k] += classes_.mapped[code] ? run.fraction : 0;
                    conifer[k] += run.fraction * classes_.share[code];
                }
        Row row{id, {}, {}};
        double gain[ring_count + 2] = {}; // gain[k]: of ring k, from 1
        for (std::size_t k = 1; k <= ring_count; ++k) {
            const double ring_mapped = mapped[k] - mapped[k - 1];
            row.ring_m2[k - 1] = (area[k] - area[k - 1]) * cell_m2;
            row.conifer_frac[k - 1] = (conifer[k] - conifer[k - 1]) / ring_mapped;
            gain[k] = ring_mapped > 0 ? 100 * weight[k - 1] / ring_mapped : 0;
        }
        for (std::size_t k = 0; k <= ring_count; ++k)
            for (const Run& run : covers[k])
                spread(w, run, run.fraction * (gain[k] - gain[k + 1]));
        return row;
    }

    void spread(const Window& w, const Run& run, double amount)
    {
        for (int col = run.first_col; col <= run.last_col; ++col)
            if (const double share = classes_.share[w.code(run.row, col)]; share > 0)
                surface_.add(w.row + run.row, w.col + col, amount * share);
    }

    const Task& task_;
    const Classes& classes_;
    DatasetPtr fuel_;
    double transform_[6];
    Geos geos_;
    SparseSurface surface_;
};

void write_rows(const std::string& path, const std::vector<Row>& rows)
{
    std::ofstream out{path};
    out.precision(9);
    out << "structure_id";
    for (const double distance : outer_m)
        out << ",ring_m2_to_" << distance << ",conifer_frac_to_" << distance;
    out << '\n';
    for (const Row& row : rows) {
        out << row.id;
        for (std::size_t k = 0; k < ring_count; ++k)
            out << ',' << row.ring_m2[k] << ',' << row.conifer_frac[k];
        out << '\n';
    }
}

void run(const Task& task)
{
    const Classes classes = read_classes(task.classes);
    const std::vector<Outline> outlines = read_outlines(task.structures);
    std::vector<Row> rows(outlines.size());
    std::vector<std::unique_ptr<Worker>> workers;
    for (unsigned i = 0; i < task.jobs; ++i)
        workers.push_back(std::make_unique<Worker>(task, classes));
    std::atomic<std::size_t> next{0};
    std::vector<std::thread> threads;
    for (const auto& worker : workers)
        threads.emplace_back([&, w = worker.get()] {
            for (std::size_t i = next++; i < outlines.size(); i = next++)
                rows[i] = w->measure(outlines[i]);
        });
    for (std::thread& thread : threads)
        thread.join();
    const DatasetPtr grid = open(task.fuel, GDAL_OF_RASTER);
    SparseSurface all{GDALGetRasterXSize(grid.get()), GDALGetRasterYSize(grid.get())};
    for (const auto& worker : workers)
        all.add(worker->surface());
    std::filesystem::create_directories(task.out);
    all.write(task.out + "/priority.tif", grid.get());
    write_rows(task.out + "/rings.csv", rows);
}

Task task_from(int argc, char** argv)
{
    Task task;
    std::vector<std::string> places;
    for (int i = 1; i < argc; ++i) {
        if (std::strcmp(argv[i], "--centres") == 0)
            task.centres = true;
        else if (std::strcmp(argv[i], "--jobs") == 0 && i + 1 < argc)
            task.jobs = static_cast<unsigned>(std::max(1, std::stoi(argv[++i])));
        else
            places.emplace_back(argv[i]);
    }
    if (places.size() != 4)
        throw std::runtime_error("STRUCTURES FUEL.tif CLASSES.csv OUT_DIR [--centres] [--jobs N]");
    task.structures = places[0];
    task.fuel = places[1];
    task.classes = places[2];
    task.out = places[3];
    return task;
}

} // namespace
} // namespace reference

int main(int argc, char** argv)
{
    try {
        GDALAllRegister();
        reference::run(reference::task_from(argc, argv));
        return 0;
    } catch (const std::exception& problem) {
        std::cerr << "reference_chain: " << problem.what() << '\n';
        return 1;
    }
}
