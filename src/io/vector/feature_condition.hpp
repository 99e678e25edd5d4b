// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <string>
#include <vector>

class OGRFeature;
class OGRFeatureQuery;

namespace fuelring {

class VectorLayer;

/// A condition on the attributes of a feature (OGR SQL), asked of each while the layer is read.
/// Unlike the layer's own filter it leaves no feature out. For one thread.
class FeatureCondition {
public:
    /// `setting`: the configuration's word for it ("homes"). Throws: Error{input} naming it, with
    /// OGR's reason, where the condition is none on this layer.
    FeatureCondition(const VectorLayer& layer, const std::string& condition,
                     const std::string& setting);
    ~FeatureCondition();
    FeatureCondition(FeatureCondition&&) noexcept;
    FeatureCondition& operator=(FeatureCondition&&) noexcept;

    /// Indices of the columns that it asks for; they must be read.
    const std::vector<int>& columns() const { return columns_; }
    bool holds(const OGRFeature& feature) const;

private:
    std::unique_ptr<OGRFeatureQuery> query_;
    std::vector<int> columns_;
};

} // namespace fuelring
