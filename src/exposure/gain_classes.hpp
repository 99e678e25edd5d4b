// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

namespace fuelring {

/// Shares of all that clearing could save at which the classes of the priority surface end: the
/// best cells that hold a quarter of it, the next best up to a half, and so on.
inline constexpr std::array<double, 5> gain_shares{0.25, 0.5, 0.75, 0.9, 1.0};

/// A class of cells of the priority surface.
struct GainClass {
    double from = 0; ///< points a cell: it holds cells of so much or more, below the class before
    std::int64_t cells = 0;
    double points = 0; ///< sum of its cells
};

/// Sums the cells of a priority surface by their value, to find the classes. Memory does not grow
/// with the raster: values are told apart to one part in 2048, a bound lies at such a step.
class GainHistogram {
public:
    GainHistogram();
    void add(float points); ///< of a cell; NaN and what is not above 0 counts nothing

    /// One for each of gain_shares, best cells first; none where no cell is above 0.
    /// Law: the cells of the first k classes together hold gain_shares[k] or more of the sum, and
    /// would not without the lowest step among them. The last begins at the least value above 0.
    /// A class may be empty, where one step passes several shares at once; its `from` is then that
    /// of the class before.
    std::vector<GainClass> classes() const;

private:
    struct Step {
        std::int64_t cells = 0;
        double points = 0;
    };
    std::vector<Step> steps_; ///< by the first bits of the value
};

/// Index of the class of a cell, whatever the class is called; `classes.size()` for none: not above
/// 0, or NaN.
std::size_t gain_class(const std::vector<GainClass>& classes, double points);

/// "first quarter of the gain: 0.10 ha": a class in words, for legends. `area_ha`: of its cells.
/// Requires: k is below the number of gain_shares.
std::string gain_class_name(std::size_t k, double area_ha);

} // namespace fuelring
