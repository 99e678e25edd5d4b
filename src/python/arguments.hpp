// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/batch.hpp>

#include <pybind11/numpy.h>
#include <pybind11/pybind11.h>

#include <array>
#include <optional>
#include <string>
#include <vector>

namespace fuelring::python {

/// Footprints that Python objects hold: a list of bytes or None (well-known binary), or a tuple of
/// coordinates (n x 2) and offsets of rings, polygons and features. Keeps the objects alive.
class HeldFootprints {
public:
    /// Throws: pybind11::type_error, std::invalid_argument.
    explicit HeldFootprints(const pybind11::object& given);

    const FootprintsView& view() const { return view_; }
    std::size_t size() const { return size_; }

private:
    OffsetsView offsets(const pybind11::object& given);

    std::vector<pybind11::object> held_;
    std::vector<std::span<const std::byte>> spans_;
    FootprintsView view_;
    std::size_t size_ = 0;
};

/// The cells of an array of two dimensions, which is not copied.
/// Throws: pybind11::type_error for cells of another kind or byte order, and other dimensions.
RasterView raster_view(const pybind11::array& cells, const std::array<double, 6>& transform,
                       std::optional<double> nodata);

/// The scale of a CRS over a raster: none where its distances stand within 0.1 per cent.
/// Throws: Error{input} where no scale makes metres of its units; Error{usage} where it is no CRS.
std::function<LocalScale(Point)> scale_of(const std::string& crs, const Grid& grid,
                                          double widest_m);

} // namespace fuelring::python
