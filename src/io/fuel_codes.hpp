// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/fuel_classes.hpp>

#include <cmath>
#include <cstdint>
#include <limits>
#include <optional>
#include <type_traits>
#include <unordered_map>
#include <vector>

namespace fuelring {

/// What a code becomes that the class table lacks. No row has this index.
inline constexpr ClassIndex unknown_class = std::numeric_limits<ClassIndex>::max();

/// Codes of cells of type T to class indices: an array over the whole range of one- and two-byte
/// cells, over the range of the table's codes for wider ones (a hash where that is too wide).
template <typename T>
class CodeIndex {
public:
    CodeIndex(const FuelClassTable& classes, std::optional<T> nodata) : nodata_{nodata}
    {
        std::int64_t low = std::numeric_limits<std::int64_t>::max();
        std::int64_t high = std::numeric_limits<std::int64_t>::min();
        for (std::size_t k = 1; k < classes.rows().size(); ++k) {
            const std::int64_t code = classes.rows()[k].code;
            index_of_.emplace(code, static_cast<ClassIndex>(k));
            low = std::min(low, code);
            high = std::max(high, code);
        }
        if constexpr (is_small) {
            low = std::numeric_limits<T>::min();
            high = std::numeric_limits<T>::max();
        }
        const std::uint64_t span =
            static_cast<std::uint64_t>(high) - static_cast<std::uint64_t>(low);
        if (low > high || span > widest_array)
            return;
        low_ = low;
        array_.assign(span + 1, unknown_class);
        for (const auto& [code, index] : index_of_)
            if (code >= low && code <= high)
                array_[static_cast<std::size_t>(code - low)] = index;
        if constexpr (is_small)
            if (nodata_)
                array_[static_cast<std::size_t>(*nodata_ - low)] = no_data_class;
    }

    bool is_nodata(T cell) const
    {
        if constexpr (std::is_floating_point_v<T>)
            if (std::isnan(cell))
                return true;
        return nodata_ && cell == *nodata_;
    }

    /// The code that a cell holds; empty for fractions and for numbers beyond any code.
    static std::optional<std::int64_t> code_of(T cell)
    {
        if constexpr (std::is_floating_point_v<T>) {
            constexpr T most = T(std::int64_t{1} << (std::numeric_limits<T>::digits - 1)) * 2;
            if (!(std::abs(cell) <= most) || cell != std::trunc(cell))
                return std::nullopt;
        } else if constexpr (std::is_same_v<T, std::uint64_t>) {
            if (cell > static_cast<std::uint64_t>(std::numeric_limits<std::int64_t>::max()))
                return std::nullopt;
        }
        return static_cast<std::int64_t>(cell);
    }

    /// Index of a code, nodata not considered.
    ClassIndex of_code(std::int64_t code) const
    {
        const std::uint64_t at =
            static_cast<std::uint64_t>(code) - static_cast<std::uint64_t>(low_);
        if (!array_.empty())
            return at < array_.size() ? array_[at] : unknown_class;
        const auto found = index_of_.find(code);
        return found == index_of_.end() ? unknown_class : found->second;
    }

    /// One- and two-byte cells, nodata included: one look into the array.
    ClassIndex of_small(T cell) const
    {
        return array_[static_cast<std::size_t>(static_cast<std::int64_t>(cell) - low_)];
    }

    static constexpr bool is_small = std::is_integral_v<T> && sizeof(T) <= 2;

private:
    static constexpr std::uint64_t widest_array = 1U << 20;

    std::optional<T> nodata_;
    std::int64_t low_ = 0;
    std::vector<ClassIndex> array_;
    std::unordered_map<std::int64_t, ClassIndex> index_of_;
};

} // namespace fuelring
