// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/export.hpp>

#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace fuelring {

/// Groups of a fuel-class table, and the one of cells that hold a share instead of a class. The
/// numbers are band 2 of fuel_used.tif.
enum class FuelGroup : std::uint8_t {
    conifer = 1,
    mixed = 2,
    broadleaved = 3,
    grass = 4,
    shrub = 5,
    built = 6,
    water = 7,
    bare = 8,
    unmapped = 9,
    share = 10, ///< a known share of conifers; what else grows there is not known. In no table
};

/// Throws: std::out_of_range for a number that is no group.
FUELRING_EXPORT std::string_view name_of(FuelGroup group);
/// The group that a table means by a name; `share` is none of a table.
FUELRING_EXPORT std::optional<FuelGroup> fuel_group(std::string_view name);
/// conifer, mixed, broadleaved, grass, shrub: what counts as other burnable where it is not
/// conifer.
FUELRING_EXPORT bool is_vegetation(FuelGroup group);

/// conifer_share is held in ten-thousandths, so that sums of cells are exact integers.
inline constexpr std::int32_t whole_share = 10'000;

/// One row of a fuel-class table.
struct FuelClass {
    std::int64_t code = 0;
    std::string label{};
    FuelGroup group = FuelGroup::unmapped;
    std::int32_t conifer_share = 0; ///< 0 to 10,000 ten-thousandths; 0 where unmapped
    std::string source{};
};

/// Index of a class inside a table. Row 0 is always 'no data': nodata cells and ground off the
/// raster.
using ClassIndex = std::uint16_t;
inline constexpr ClassIndex no_data_class = 0;

/// A fuel-class table: what each code of the raster's legend means.
class FUELRING_EXPORT FuelClassTable {
public:
    /// Row 0 ('no data', unmapped) is added in front.
    /// Throws: Error{usage} for a repeated code, more than 65,534 rows, a group that is none, a
    /// share outside 0 to 10,000, an unmapped class with a share.
    explicit FuelClassTable(const std::vector<FuelClass>& rows);

    /// Reads the CSV `code,label,group,conifer_share,source` (UTF-8, BOM allowed; `#` lines are
    /// comments). Throws: Error{usage} naming file, line and column for anything else: unknown
    /// group, share outside 0 to 1 or of more than four decimals, repeated code, missing column.
    static FuelClassTable read(const std::filesystem::path& csv);

    const std::vector<FuelClass>& rows() const;
    /// Throws: std::out_of_range for an index beyond the table.
    const FuelClass& operator[](ClassIndex index) const;
    /// The row of a code, or nothing.
    std::optional<ClassIndex> find(std::int64_t code) const;

    /// Adds a class that no code of a raster means (its own is ignored), such as what a visit found
    /// in a cell. Throws: Error{usage} where the table is full, and as the constructor.
    ClassIndex add_unlisted(FuelClass row);
    /// True for classes that a code means.
    bool is_listed(ClassIndex index) const;

private:
    struct Rows;
    std::shared_ptr<const Rows> rows_; ///< copies share them until one of them adds a class
};

} // namespace fuelring
