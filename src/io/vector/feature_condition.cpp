// SPDX-License-Identifier: Apache-2.0
#include "io/vector/feature_condition.hpp"

#include "io/gdal/errors.hpp"
#include "io/vector/attribute_filter.hpp"
#include "io/vector/vector_layer.hpp"

#include <fmt/format.h>
#include <ogr_feature.h>

namespace fuelring {

FeatureCondition::FeatureCondition(const VectorLayer& layer, const std::string& condition,
                                   const std::string& setting)
    : query_(std::make_unique<OGRFeatureQuery>())
{
    const auto refuse = [&](const std::string& reason) {
        throw layer.wrong(fmt::format("the condition \"{}\" cannot be read: {}", condition, reason),
                          "check " + layer.key_of(setting));
    };
    if (const std::string cut = what_cuts_filter(condition); !cut.empty())
        refuse(cut);
    CPLErrorReset();
    if (query_->Compile(&layer.definition(), condition.c_str()) != OGRERR_NONE)
        refuse(gdal_reason("OGR gives no reason"));
    char** used = query_->GetUsedFields();
    for (char** name = used; name && *name; ++name)
        if (const int column = layer.definition().GetFieldIndex(*name); column >= 0)
            columns_.push_back(column);
    CSLDestroy(used);
}

FeatureCondition::~FeatureCondition() = default;
FeatureCondition::FeatureCondition(FeatureCondition&&) noexcept = default;
FeatureCondition& FeatureCondition::operator=(FeatureCondition&&) noexcept = default;

bool FeatureCondition::holds(const OGRFeature& feature) const
{
    // Evaluate asks for a feature that it might change, and does not.
    return query_->Evaluate(const_cast<OGRFeature*>(&feature)) != 0;
}

} // namespace fuelring
