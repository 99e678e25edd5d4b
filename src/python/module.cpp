// SPDX-License-Identifier: Apache-2.0

// The part of the package that is compiled: arrays in, arrays out. What is convenient is written in
// Python, in the folder fuelring.
#include "base/caution.hpp"
#include "python/arguments.hpp"
#include "python/waiting.hpp"

#include <fuelring/error.hpp>
#include <fuelring/version.hpp>

#include <pybind11/stl.h>
#include <pybind11/stl/filesystem.h>

#include <cmath>
#include <tuple>
#include <utility>

namespace fuelring::python {

namespace py = pybind11;

namespace {

/// A call of the batch, as the functions of this module take it.
struct Call {
    HeldFootprints footprints;
    RasterView raster;
    const FuelClassTable& classes;
    RingPlan plan;
    BatchOptions options;
};

Call call_of(const py::object& footprints, const py::array& cells,
             const std::array<double, 6>& transform, const FuelClassTable& classes,
             const std::vector<double>& outer_m, const std::vector<double>& weight,
             std::optional<double> nodata, const std::optional<std::string>& crs,
             bool unknown_codes_are_unmapped, int jobs, double full_share)
{
    // What may throw is made first: GCC 12 destroys half-made aggregates twice.
    HeldFootprints held{footprints};
    RasterView raster = raster_view(cells, transform, nodata);
    raster.full_share = full_share;
    RingPlan plan{outer_m, weight};
    plan.require_valid();
    BatchOptions options;
    options.jobs = jobs;
    options.unknown_codes_are_unmapped = unknown_codes_are_unmapped;
    if (crs)
        options.scale = scale_of(*crs, raster.grid, plan.widest_m());
    return {std::move(held), raster, classes, std::move(plan), std::move(options)};
}

using Doubles = py::array_t<double>;

std::span<double> span_of(Doubles& values)
{
    return {values.mutable_data(), static_cast<std::size_t>(values.size())};
}

py::dict measure(Call call, const py::object& progress)
{
    const std::size_t count = call.footprints.size();
    const std::size_t rings = call.plan.outer_m.size();
    py::array_t<std::uint8_t> status(static_cast<py::ssize_t>(count));
    Columns columns;
    columns.status = {reinterpret_cast<FeatureStatus*>(status.mutable_data()), count};
    py::dict results;
    results["status"] = status;
    const auto add = [&](const char* name, std::span<double>& column, bool by_ring) {
        std::vector<py::ssize_t> shape{static_cast<py::ssize_t>(count)};
        if (by_ring)
            shape.push_back(static_cast<py::ssize_t>(rings));
        Doubles values(shape);
        column = span_of(values);
        results[name] = values;
    };
    add("exposure", columns.exposure, false);
    add("nearest_conifer_m", columns.nearest_conifer_m, false);
    add("footprint_m2", columns.footprint_m2, false);
    add("roof_canopy_m2", columns.roof_canopy_m2, false);
    add("ring_m2", columns.ring_m2, true);
    add("mapped_m2", columns.mapped_m2, true);
    add("conifer_m2", columns.conifer_m2, true);
    add("conifer_frac", columns.conifer_frac, true);
    add("other_burnable_frac", columns.other_burnable_frac, true);
    add("unmapped_frac", columns.unmapped_frac, true);
    run_waiting(
        [&](std::stop_token stop, const Report& report) {
            call.options.stop = stop;
            call.options.progress = report;
            measure_all(call.footprints.view(), call.raster, call.classes, call.plan, columns,
                        call.options);
        },
        progress);
    return results;
}

py::tuple priority(Call call, const py::object& progress)
{
    const Grid& grid = call.raster.grid;
    py::array_t<float> surface(std::vector<py::ssize_t>{grid.rows(), grid.cols()});
    const SurfaceView view{surface.mutable_data(), static_cast<std::ptrdiff_t>(grid.cols())};
    double sum = 0;
    run_waiting(
        [&](std::stop_token stop, const Report& report) {
            call.options.stop = stop;
            call.options.progress = report;
            sum = priority_surface(call.footprints.view(), call.raster, call.classes, call.plan,
                                   view, call.options);
        },
        progress);
    return py::make_tuple(surface, sum);
}

/// (code, label, group, share from 0 to 1)
using ClassRow = std::tuple<std::int64_t, std::string, std::string, double>;

FuelClassTable table_of(const std::vector<ClassRow>& rows)
{
    std::vector<FuelClass> classes;
    for (const auto& [code, label, group, share] : rows) {
        const auto known = fuel_group(group);
        if (!known)
            throw Error{
                Failure::usage, "'" + group + "' is no group of fuel classes", "classes",
                "conifer, mixed, broadleaved, grass, shrub, built, water, bare or unmapped"};
        classes.push_back(
            {code, label, *known, static_cast<std::int32_t>(std::lround(share * whole_share)), ""});
    }
    return FuelClassTable{classes};
}

std::vector<std::string> status_names()
{
    std::vector<std::string> names;
    for (int k = 0; k <= static_cast<int>(FeatureStatus::too_large); ++k)
        names.emplace_back(name_of(static_cast<FeatureStatus>(k)));
    return names;
}

/// fuelring.Error with `exit_code`, `where` and `remedy`.
void translate_errors(const py::module_& module)
{
    static py::exception<Error> error{module, "Error", PyExc_RuntimeError};
    error.attr("__doc__") = "What failed, where, and what to do, in the words of the program. "
                            "Attributes: what, where, remedy, exit_code.";
    py::register_exception_translator([](std::exception_ptr raised) {
        try {
            if (raised)
                std::rethrow_exception(raised);
        } catch (const Error& e) {
            py::object value = static_cast<const py::object&>(error)(e.message());
            value.attr("what") = e.what();
            value.attr("where") = e.where();
            value.attr("remedy") = e.remedy();
            value.attr("exit_code") = e.exit_code();
            PyErr_SetObject(error.ptr(), value.ptr());
        }
    });
}

} // namespace

PYBIND11_MODULE(_fuelring, module)
{
    module.doc() = "The compiled part of fuelring; use the package.";
    module.attr("version") = version;
    module.attr("caution") = caution;
    module.attr("status_names") = status_names();
    translate_errors(module);
    py::class_<FuelClassTable>(module, "FuelClasses", "What each code of a raster means.")
        .def(py::init(&table_of), py::arg("rows"))
        .def_static("read", &FuelClassTable::read, py::arg("csv"))
        .def("__len__", [](const FuelClassTable& table) { return table.rows().size() - 1; });
    const auto define = [&module](const char* name, auto function) {
        module.def(
            name,
            [function](const py::object& footprints, const py::array& raster,
                       const std::array<double, 6>& transform, const FuelClassTable& classes,
                       const std::vector<double>& outer_m, const std::vector<double>& weight,
                       std::optional<double> nodata, const std::optional<std::string>& crs,
                       bool unknown_codes_are_unmapped, int jobs, const py::object& progress,
                       double full_share) {
                return function(call_of(footprints, raster, transform, classes, outer_m, weight,
                                        nodata, crs, unknown_codes_are_unmapped, jobs, full_share),
                                progress);
            },
            py::arg("footprints"), py::arg("raster"), py::arg("transform"), py::arg("classes"),
            py::arg("outer_m"), py::arg("weight"), py::arg("nodata"), py::arg("crs"),
            py::arg("unknown_codes_are_unmapped"), py::arg("jobs"), py::arg("progress"),
            py::arg("full_share"));
    };
    define("measure", measure);
    define("priority", priority);
}

} // namespace fuelring::python
