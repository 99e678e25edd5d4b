// SPDX-License-Identifier: Apache-2.0
#include "run/report/report_work.hpp"

namespace fuelring {

namespace {

// In proportion to the time that they took on 20,000 structures.
constexpr std::int64_t to_read = 4;
constexpr std::int64_t to_page = 8;
constexpr std::int64_t to_spreadsheet = 4;
constexpr std::int64_t to_map = 5'000;
constexpr std::int64_t to_sheet = 700;

} // namespace

ReportPhases::ReportPhases(const ReportSize& size)
    : read{.doing = "reading the run", .work = to_read * size.structures},
      page{.doing = "making the page", .work = to_page * size.structures},
      spreadsheets{.doing = "writing spreadsheets", .work = to_spreadsheet * size.addresses},
      maps{"drawing", "maps", size.maps, to_map * size.maps}, sheets{"drawing", "sheets",
                                                                     size.sheets,
                                                                     to_sheet * size.sheets}
{}

std::int64_t ReportPhases::work() const
{
    return read.work + page.work + spreadsheets.work + maps.work + sheets.work;
}

} // namespace fuelring
