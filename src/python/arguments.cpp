// SPDX-License-Identifier: Apache-2.0
#include "python/arguments.hpp"

#include "io/georeference/analysis_grid.hpp"

#include <fuelring/error.hpp>

#include <memory>
#include <mutex>
#include <utility>

namespace fuelring::python {

namespace py = pybind11;

namespace {

std::span<const std::byte> bytes_of(const py::handle& given)
{
    if (given.is_none())
        return {};
    char* data = nullptr;
    Py_ssize_t size = 0;
    if (PyBytes_AsStringAndSize(given.ptr(), &data, &size) != 0)
        throw py::error_already_set{};
    return {reinterpret_cast<const std::byte*>(data), static_cast<std::size_t>(size)};
}

template <typename Number>
std::span<const Number> span_of(const py::array& values)
{
    return {static_cast<const Number*>(values.data()), static_cast<std::size_t>(values.size())};
}

void require_type(bool good, const char* what)
{
    if (!good)
        throw py::type_error{what};
}

bool is_plain(const py::array& values, py::ssize_t dimensions)
{
    return values.ndim() == dimensions && (values.flags() & py::array::c_style) != 0;
}

CellType cell_type(const py::dtype& type)
{
    struct Known {
        char kind;
        py::ssize_t bytes;
        CellType type;
    };
    constexpr Known known[] = {
        {'u', 1, CellType::uint8},   {'b', 1, CellType::uint8}, {'i', 1, CellType::int8},
        {'u', 2, CellType::uint16},  {'i', 2, CellType::int16}, {'u', 4, CellType::uint32},
        {'i', 4, CellType::int32},   {'i', 8, CellType::int64}, {'f', 4, CellType::float32},
        {'f', 8, CellType::float64},
    };
    for (const Known& k : known)
        if (type.kind() == k.kind && type.itemsize() == k.bytes && type.byteorder() != '>')
            return k.type;
    throw py::type_error{"the raster's cells are whole numbers of up to 64 bits or floats, in the "
                         "byte order of this machine"};
}

} // namespace

HeldFootprints::HeldFootprints(const py::object& given)
{
    if (!py::isinstance<py::tuple>(given)) {
        for (const py::handle one : given) {
            spans_.push_back(bytes_of(one));
            held_.push_back(py::reinterpret_borrow<py::object>(one));
        }
        view_ = WkbView{spans_};
        size_ = spans_.size();
        return;
    }
    const auto parts = py::cast<py::tuple>(given);
    require_type(parts.size() == 4,
                 "footprints: coordinates, and offsets of rings, polygons, features");
    const auto xy = py::cast<py::array>(parts[0]);
    require_type(is_plain(xy, 2) && xy.shape(1) == 2 && py::isinstance<py::array_t<double>>(xy),
                 "footprints: coordinates are an array of doubles, n x 2, in one piece");
    held_.push_back(xy);
    const auto* const first = static_cast<const double*>(xy.data());
    PolygonsView layout{{}, {}, {}, first, first + 1, static_cast<std::size_t>(xy.shape(0)), 2};
    layout.rings = offsets(parts[1]);
    layout.polygons = offsets(parts[2]);
    if (!parts[3].is_none())
        layout.features = offsets(parts[3]);
    const OffsetsView& outermost = parts[3].is_none() ? layout.polygons : layout.features;
    size_ = outermost.size() > 0 ? outermost.size() - 1 : 0;
    view_ = layout;
}

OffsetsView HeldFootprints::offsets(const py::object& given)
{
    const auto values = py::cast<py::array>(given);
    require_type(is_plain(values, 1), "footprints: offsets are an array of one dimension");
    held_.push_back(values);
    if (py::isinstance<py::array_t<std::int32_t>>(values))
        return {span_of<std::int32_t>(values)};
    require_type(py::isinstance<py::array_t<std::int64_t>>(values),
                 "footprints: offsets are whole numbers of 32 or 64 bits");
    return {span_of<std::int64_t>(values)};
}

RasterView raster_view(const py::array& cells, const std::array<double, 6>& transform,
                       std::optional<double> nodata)
{
    require_type(cells.ndim() == 2, "the raster is an array of two dimensions: rows and columns");
    return {cells.data(),
            cell_type(cells.dtype()),
            cells.strides(0),
            cells.strides(1),
            Grid{transform, cells.shape(1), cells.shape(0)},
            nodata};
}

std::function<LocalScale(Point)> scale_of(const std::string& crs, const Grid& grid, double widest_m)
{
    StudyArea study;
    study.reach_m = widest_m;
    const AnalysisPlan plan = plan_analysis(
        {Crs::from_user_input(crs, "crs"), grid.geotransform(), grid.cols(), grid.rows()}, study);
    if (plan.warped())
        throw Error{Failure::input,
                    "distances in this coordinate system cannot be made metres of the ground by a "
                    "scale: " +
                        plan.decision,
                    "crs", "reproject raster and footprints into a projected system such as UTM"};
    if (!plan.analysis.ground.varies())
        return {};
    // A meter is for one thread.
    return [ground = plan.analysis.ground, guard = std::make_shared<std::mutex>()](Point map) {
        const std::lock_guard lock{*guard};
        return ground.at(map);
    };
}

} // namespace fuelring::python
