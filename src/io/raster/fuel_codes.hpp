// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/raster/fuel_raster.hpp"

#include <fuelring/fuel_classes.hpp>

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <limits>
#include <optional>
#include <span>
#include <type_traits>
#include <unordered_map>
#include <vector>

namespace fuelring {

/// Whether a cell is nodata; NaN is, whatever the file declares.
template <typename T>
bool is_unknown(T cell, const std::optional<T>& nodata)
{
    if constexpr (std::is_floating_point_v<T>)
        if (std::isnan(cell))
            return true;
    return nodata && cell == *nodata;
}

/// What a code becomes that the class table lacks. No row has this index.
inline constexpr ClassIndex unknown_class = std::numeric_limits<ClassIndex>::max();

/// Codes of cells of type T to class indices: an array over the whole range of one- and two-byte
/// cells, over the range of the table's codes for wider ones (a hash where that is too wide).
/// Law: a cell is nodata, a whole number that can be a code, or no code at all (is_code); the last
/// is never taken for another code, as a conversion by GDAL would do (300 to 255, NaN to 0).
/// Pure once made: for any number of threads.
///
///     const CodeIndex<std::uint8_t> index{classes, nodata_of<std::uint8_t>(band)};
///     ClassIndex highest = 0;
///     const bool all_codes = index.translate(cells, out, highest);
///     const bool all_known = all_codes && highest != unknown_class;
///
/// Cost: an array of at most 2^20 + 1 indices; for codes further apart a hash.
template <typename T>
class CodeIndex {
public:
    /// Law: nodata goes before the table. A code of the table that cells of type T cannot hold is
    /// never met.
    CodeIndex(const FuelClassTable& classes, std::optional<T> nodata) : nodata_{nodata}
    {
        std::int64_t low = std::numeric_limits<std::int64_t>::max();
        std::int64_t high = std::numeric_limits<std::int64_t>::min();
        for (std::size_t k = 1; classes.is_listed(static_cast<ClassIndex>(k)); ++k) {
            const std::int64_t code = classes.rows()[k].code;
            index_of_.emplace(code, static_cast<ClassIndex>(k));
            low = std::min(low, code);
            high = std::max(high, code);
        }
        if constexpr (is_small) {
            low = std::int64_t{std::numeric_limits<T>::min()};
            high = std::int64_t{std::numeric_limits<T>::max()};
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

    /// Class indices of a run of cells; unknown_class where the table lacks the code.
    /// `highest` grows to the highest index met. False where a cell is no code at all
    /// (is_code); what is then in `out` means nothing.
    /// Shape: as many of `out` as cells.
    bool translate(std::span<const T> cells, std::span<ClassIndex> out, ClassIndex& highest) const
    {
        if constexpr (is_small)
            return translate_small(cells, out, highest), true;
        bool good = true;
        for (std::size_t k = 0; k < cells.size(); ++k) {
            if (is_nodata(cells[k])) {
                out[k] = no_data_class;
            } else {
                const std::optional<std::int64_t> code = code_of(cells[k]);
                good = good && code;
                out[k] = of_code(code.value_or(0));
            }
            highest = std::max(highest, out[k]);
        }
        return good;
    }

    /// Adds the number of cells of every code. False as in translate.
    /// Law: nodata apart, the counts of all codes grow by the number of cells.
    bool count(std::span<const T> cells, CodeCensus& census) const
    {
        if constexpr (is_small)
            return count_small(cells, census), true;
        std::int64_t* counter = nullptr; // most neighbours are alike: looked up once a run
        for (std::size_t k = 0; k < cells.size(); ++k) {
            if (!counter || cells[k] != cells[k - 1]) {
                const bool nodata = is_nodata(cells[k]);
                const std::optional<std::int64_t> code = nodata ? 0 : code_of(cells[k]);
                if (!code)
                    return false;
                counter = nodata ? &census.nodata_cells : &census.cells_of_code[*code];
            }
            ++*counter;
        }
        return true;
    }

    /// True for nodata, and for a whole number that can be a code.
    bool is_code(T cell) const { return is_nodata(cell) || code_of(cell).has_value(); }

    bool is_nodata(T cell) const { return is_unknown(cell, nodata_); }

private:
    /// All values of such a type have a place in the array, so no cell needs a look at bounds.
    static constexpr bool is_small = std::is_integral_v<T> && sizeof(T) <= 2;

    /// The code that a cell holds; empty for fractions and for numbers beyond any code.
    static std::optional<std::int64_t> code_of(T cell)
    {
        if constexpr (std::is_floating_point_v<T>) {
            /// 2^digits: beyond it not every whole number has a T of its own.
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
    ClassIndex of_small(T cell) const { return array_[place(cell)]; }
    std::size_t place(T cell) const
    {
        return static_cast<std::size_t>(static_cast<std::int64_t>(cell) - low_);
    }

    /// Eight bytes at a time, since most neighbours are alike.
    void translate_small(std::span<const T> cells, std::span<ClassIndex> out,
                         ClassIndex& highest) const
    {
        constexpr std::size_t at_once = sizeof(std::uint64_t) / sizeof(T);
        std::size_t k = 0;
        for (; k + at_once <= cells.size(); k += at_once) {
            const ClassIndex first = of_small(cells[k]);
            highest = std::max(highest, first);
            if (all_alike(&cells[k])) {
                std::fill_n(&out[k], at_once, first);
                continue;
            }
            for (std::size_t i = k; i < k + at_once; ++i)
                highest = std::max(highest, out[i] = of_small(cells[i]));
        }
        for (; k < cells.size(); ++k)
            highest = std::max(highest, out[k] = of_small(cells[k]));
    }

    /// True where eight bytes of cells hold one value: they are then the same turned by one cell.
    static bool all_alike(const T* cells)
    {
        std::uint64_t together = 0;
        std::memcpy(&together, cells, sizeof together);
        return std::rotl(together, 8 * static_cast<int>(sizeof(T))) == together;
    }

    /// By cells first, by codes once at the end: a map is looked up for each code, not for each
    /// cell.
    void count_small(std::span<const T> cells, CodeCensus& census) const
    {
        std::vector<std::int64_t> counts(array_.size());
        for (const T cell : cells)
            ++counts[place(cell)];
        for (std::size_t k = 0; k < counts.size(); ++k) {
            const auto code = low_ + static_cast<std::int64_t>(k);
            if (counts[k] > 0)
                (is_nodata(static_cast<T>(code)) ? census.nodata_cells
                                                 : census.cells_of_code[code]) += counts[k];
        }
    }

    static constexpr std::uint64_t widest_array = 1U << 20;

    std::optional<T> nodata_;
    std::int64_t low_ = 0;
    std::vector<ClassIndex> array_;
    std::unordered_map<std::int64_t, ClassIndex> index_of_;
};

} // namespace fuelring
