// SPDX-License-Identifier: Apache-2.0
#include <fuelring/fuel_window.hpp>

#include <stdexcept>

namespace fuelring {

namespace {

/// Widest row whose sums of ten-thousandths stay within 32 bits: 2^31 / 10,000 = 214,748.
constexpr std::int64_t widest_row_cells = 200'000;

} // namespace

std::vector<FuelSum> contributions(const FuelClassTable& classes)
{
    std::vector<FuelSum> result;
    result.reserve(classes.rows().size());
    for (const FuelClass& c : classes.rows()) {
        FuelSum sum;
        if (c.group == FuelGroup::unmapped) {
            sum.unmapped = 1;
        } else {
            sum.mapped = 1;
            sum.conifer = c.conifer_share;
            sum.other_burnable = is_vegetation(c.group) ? whole_share - c.conifer_share : 0;
        }
        result.push_back(sum);
    }
    return result;
}

FuelWindow::FuelWindow(const CellRect& rect, std::span<const ClassIndex> cells, std::size_t stride,
                       std::span<const FuelSum> contribution_of_class)
    : rect_(rect)
{
    if (rect.cols > widest_row_cells)
        throw std::length_error("FuelWindow: row too wide for 32-bit sums");
    const auto cols = static_cast<std::size_t>(rect.cols);
    const auto rows = static_cast<std::size_t>(rect.rows);
    sums_.resize(rows * (cols + 1));
    FuelSum* out = sums_.data();
    for (std::size_t row = 0; row < rows; ++row) {
        const ClassIndex* in = cells.data() + row * stride;
        FuelSum sum;
        for (std::size_t col = 0; col < cols; ++col) {
            *out++ = sum;
            const FuelSum& add = contribution_of_class[in[col]];
            sum.conifer += add.conifer;
            sum.other_burnable += add.other_burnable;
            sum.mapped += add.mapped;
            sum.unmapped += add.unmapped;
        }
        *out++ = sum;
    }
}

} // namespace fuelring
