// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "support/read_outputs.hpp"
#include "woods.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <stdexcept>
#include <string>

namespace fuelring::test {

/// What classify made of the woods, cell by cell. What the photograph does not show is unknown in
/// every band, which reading checks.
class ToldWoods {
public:
    struct Cell {
        int row, col;
        Woods::Kind kind; ///< what grows there
        double share, code, confidence, height_m;
        bool is_conifer() const { return kind == Woods::conifer; }
    };

    explicit ToldWoods(const Woods& woods)
        : share{read_band(woods.out() / "conifer_share.tif")}, code{read_band(woods.out() /
                                                                              "fuel.tif")},
          confidence{read_band(woods.out() / "fuel.tif", 2)}, height{read_band(woods.folder() /
                                                                               "heights.tif")}
    {
        for (int row = 0; row < Woods::cells; ++row)
            for (int col = 0; col < Woods::cells; ++col) {
                CHECK(std::isnan(share.at(row, col)) == (col >= Woods::known_cols));
                CHECK((code.at(row, col) == 65535) == (col >= Woods::known_cols));
            }
    }

    /// Calls visit(cell) for each cell that the photograph shows.
    template <typename Visit>
    void for_each(Visit&& visit) const
    {
        for (int row = 0; row < Woods::cells; ++row)
            for (int col = 0; col < Woods::known_cols; ++col)
                visit(Cell{row, col, Woods::kind_at(row, col), share.at(row, col),
                           code.at(row, col), confidence.at(row, col), height.at(row, col)});
    }
    double sum_of_shares() const
    {
        double sum = 0;
        for_each([&](const Cell& cell) { sum += cell.share; });
        return sum;
    }

    Band share, code, confidence, height;
};

/// A figure of accuracy.csv. Throws: std::runtime_error where there is no such row; empty values
/// are NaN.
inline double accuracy_figure(const fs::path& out, const std::string& kind, const std::string& what)
{
    const Csv csv = read_csv(out / "accuracy.csv");
    for (std::size_t k = 0; k < csv.rows.size(); ++k)
        if (csv.cell(k, "kind") == kind && csv.cell(k, "what") == what)
            return csv.cell(k, "value").empty() ? std::nan("") : std::stod(csv.cell(k, "value"));
    throw std::runtime_error{"no such figure: " + kind + " " + what};
}

} // namespace fuelring::test
