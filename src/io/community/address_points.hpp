// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/sources.hpp"
#include "io/community/community_findings.hpp"
#include "io/vector/vector_layer.hpp"

#include <fuelring/footprint.hpp>

#include <optional>
#include <string>
#include <vector>

namespace fuelring {

/// Where addresses are: the points of a layer, or two of its columns.
class AddressPoints {
public:
    /// Columns are those that the configuration names; of a CSV without points those that are
    /// called as coordinates usually are. Both must outlive this. Throws: Error{input} for a column
    /// that there is not, and for a CSV that has none such.
    AddressPoints(const VectorLayer& layer, const AddressSource& source);

    /// Indices that have to be read; empty where the layer has points.
    const std::vector<int>& columns() const { return columns_; }
    /// In the CRS of the layer; empty where there is no single point, or a cell is empty. Texts
    /// that are no numbers are kept for require_numbers.
    std::optional<Point> of(const OGRFeature& feature);
    /// Throws: Error{input} that lists the first few texts that are no coordinates, with row and
    /// column.
    void require_numbers() const;

private:
    std::optional<double> number(const OGRFeature& feature, std::size_t k);

    const VectorLayer& layer_;
    std::vector<int> columns_;       ///< x and y
    std::vector<std::string> names_; ///< of them
    Finding no_numbers_;
};

} // namespace fuelring
