// SPDX-License-Identifier: Apache-2.0

// The C interface with any numbers in a request: offsets, coordinates, well-known binary, rasters
// of every type, rings and classes. Each call gives a code and a text, or a table that keeps its
// word.
#include "fuzz/any_numbers.hpp"
#include "fuzz/entries.hpp"

#include <fuelring/fuelring.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace fuelring::test {

namespace {

constexpr std::size_t side = 16;
constexpr std::size_t widest_cell_bytes = 8;

void must(bool holds, const char* law)
{
    if (!holds)
        throw std::runtime_error{law};
}

/// An offset that may point anywhere, also before the first and behind the last.
std::vector<std::int64_t> offsets(Bytes& in)
{
    std::vector<std::int64_t> list(in.up_to(5));
    std::uint64_t at = 0;
    for (std::int64_t& offset : list) {
        offset = static_cast<std::int64_t>(at);
        if (in.byte() < 250)
            at += in.up_to(5);
        else
            for (int k = 0; k < 8; ++k)
                at = at << 8U | in.byte();
    }
    return list;
}

fuelring_offsets view_of(const std::vector<std::int64_t>& list, int bits)
{
    return {list.data(), list.size(), bits};
}

/// What a request points to.
struct Held {
    std::vector<std::uint8_t> wkb;
    std::vector<std::int64_t> features, polygons, rings, wkb_offsets;
    std::vector<double> coordinates, outer_m, weight;
    std::vector<std::uint8_t> cells;
};

void set_footprints(Bytes& in, Held& held, fuelring_footprints& to)
{
    if (in.byte() % 4 == 0) {
        held.wkb.resize(in.byte());
        std::generate(held.wkb.begin(), held.wkb.end(), [&] { return in.byte(); });
        // The last offset is the length of what the caller holds: only the caller can know it.
        const auto half = static_cast<std::int64_t>(held.wkb.size() / 2);
        held.wkb_offsets = {0, half, half, static_cast<std::int64_t>(held.wkb.size())};
        to.wkb = held.wkb.data();
        to.wkb_offsets = view_of(held.wkb_offsets, 64);
        return;
    }
    held.features = offsets(in);
    held.polygons = offsets(in);
    held.rings = offsets(in);
    held.coordinates.resize(2 * (1 + in.up_to(20)));
    std::generate(held.coordinates.begin(), held.coordinates.end(), [&] { return in.number(); });
    const int bits = in.byte() < 250 ? 64 : static_cast<int>(in.byte());
    if (in.byte() % 2 == 0)
        to.features = view_of(held.features, 64);
    to.polygons = view_of(held.polygons, 64);
    to.rings = view_of(held.rings, bits); // of 32 bits: the first half of what is held
    to.x = held.coordinates.data();
    to.y = held.coordinates.data() + 1;
    to.coordinates = held.coordinates.size() / 2;
    to.stride = in.byte() < 250 ? 2 : 0;
}

void set_raster(Bytes& in, Held& held, fuelring_raster& to)
{
    held.cells.resize(side * side * widest_cell_bytes);
    std::generate(held.cells.begin(), held.cells.end(), [state = in.byte() + 1U]() mutable {
        return static_cast<std::uint8_t>((state = state * 1664525U + 1013904223U) >> 30U);
    });
    to.data = held.cells.data();
    to.type = static_cast<int>(in.up_to(10)) - 1; // one below and one above those there are
    to.row_stride = side * widest_cell_bytes;
    to.col_stride = widest_cell_bytes;
    to.cols = to.rows = static_cast<std::int64_t>(side);
    const double usual[] = {-8, 1, 0, 8, 0, -1};
    std::copy(std::begin(usual), std::end(usual), to.geotransform);
    if (in.byte() % 4 == 0)
        std::generate(std::begin(to.geotransform), std::end(to.geotransform),
                      [&] { return in.number(); });
    to.has_nodata = in.byte() % 2;
    to.nodata = in.number();
}

/// A call that failed says why; one that did not leaves no error.
void check_error(int code, fuelring_error* error)
{
    must((code == FUELRING_OK) == (error == nullptr), "a code without its error");
    must(code == FUELRING_OK || *fuelring_error_text(error) != '\0', "an error without words");
    must(code != FUELRING_INTERNAL, "a fault of the library");
    fuelring_error_free(error);
}

void check_table(int code, ArrowSchema& schema, ArrowArray& array)
{
    must((code == FUELRING_OK) == (schema.release != nullptr), "a schema where there is none");
    must((code == FUELRING_OK) == (array.release != nullptr), "a table where there is none");
    if (code != FUELRING_OK)
        return;
    must(schema.n_children == array.n_children, "columns that the schema does not know");
    for (std::int64_t k = 0; k < array.n_children; ++k)
        must(array.children[k]->length == array.length, "columns of different length");
    array.release(&array);
    schema.release(&schema);
}

fuelring_classes* classes_of(Bytes& in)
{
    const fuelring_class rows[] = {
        {1, "conifer", 1}, {2, "mixed", 0.5}, {3, in.byte() < 250 ? "grass" : "moss", in.number()}};
    fuelring_classes* classes = nullptr;
    fuelring_error* error = nullptr;
    const int code = in.byte() % 4 > 0 ? fuelring_classes_of(rows, in.up_to(3), &classes, &error)
                                       : fuelring_classes_of_shares(in.number(), &classes, &error);
    check_error(code, error);
    return classes;
}

} // namespace

void read_c_interface(std::string_view bytes)
{
    Bytes in{bytes};
    Held held;
    fuelring_request request = fuelring_request_default();
    fuelring_classes* classes = classes_of(in);
    request.classes = classes;
    request.jobs = 1;
    request.unknown_codes_are_unmapped = in.byte() % 4 > 0;
    if (in.byte() % 4 == 0) {
        held.outer_m = in.numbers(5);
        held.weight.assign(held.outer_m.size(), 1.0 / 5);
    } else {
        held.outer_m = {0.5, 3, 8};
        held.weight = {0.5, 0, 0.25};
    }
    request.outer_m = held.outer_m.data();
    request.weight = held.weight.data();
    request.rings = held.outer_m.size();
    request.units_per_metre = in.byte() % 4 > 0 ? 0 : in.number();
    set_raster(in, held, request.raster);
    set_footprints(in, held, request.footprints);

    ArrowSchema schema{};
    ArrowArray array{};
    fuelring_error* error = nullptr;
    int code = fuelring_measure(&request, &schema, &array, &error);
    check_error(code, error);
    check_table(code, schema, array);

    std::vector<float> points(side * side);
    double sum = 0;
    error = nullptr;
    code = fuelring_priority(&request, points.data(), side, &sum, &error);
    check_error(code, error);
    must(code != FUELRING_OK || std::isfinite(sum), "a sum that is no number");
    fuelring_classes_free(classes);
}

} // namespace fuelring::test
