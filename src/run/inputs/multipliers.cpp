// SPDX-License-Identifier: Apache-2.0
#include "run/inputs/multipliers.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <map>

namespace fuelring {

namespace {

constexpr std::size_t most_listed = 20;

/// One attribute of all structures, and what its table does not tell.
class Attribute {
public:
    explicit Attribute(const AttributeSource& source)
        : source_{source}, table_{MultiplierTable::read(source.multipliers)}
    {}

    double multiplier(const std::string& value)
    {
        if (const auto known = table_.find(value))
            return *known;
        if (value.empty())
            ++empty_;
        else
            ++unknown_[value];
        return source_.unknown.value_or(1);
    }

    void judge(const std::string& structures, Warnings& warnings) const
    {
        std::int64_t count = 0;
        std::vector<std::string> listed;
        for (const auto& [value, times] : unknown_) {
            count += times;
            if (listed.size() < most_listed)
                listed.push_back(fmt::format("'{}' ({} structures)", value, times));
        }
        if (count > 0 && !source_.unknown)
            throw Error{
                Failure::input,
                fmt::format("{} values of column {} are not in the table of multipliers: {}",
                            unknown_.size(), source_.column, fmt::join(listed, ", ")),
                structures,
                fmt::format("add them to {} or set inputs.structures.attributes.unknown",
                            source_.multipliers)};
        if (count > 0)
            warnings.push_back({"attribute_unknown",
                                fmt::format("{} structures have a {} that the table of multipliers "
                                            "lacks; they take {:g}",
                                            count, source_.column, *source_.unknown),
                                count, listed});
        if (empty_ > 0)
            warnings.push_back({"attribute_empty",
                                fmt::format("{} structures have no {}; they take {:g}", empty_,
                                            source_.column, source_.unknown.value_or(1)),
                                empty_,
                                {}});
    }

private:
    const AttributeSource& source_;
    MultiplierTable table_;
    std::int64_t empty_ = 0;
    std::map<std::string, std::int64_t> unknown_; ///< structures of each value
};

} // namespace

std::vector<double> multipliers_of(const std::vector<AttributeSource>& attributes,
                                   const std::string& structures_path, const Community& community,
                                   Warnings& warnings)
{
    std::vector<double> products;
    for (std::size_t k = 0; k < attributes.size(); ++k) {
        products.resize(community.structures.size(), 1.0);
        Attribute attribute{attributes[k]};
        for (std::size_t i = 0; i < products.size(); ++i)
            products[i] *= attribute.multiplier(community.structures[i].attributes[k]);
        attribute.judge(structures_path, warnings);
    }
    return products;
}

} // namespace fuelring
