// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/progress.hpp"

#include <cstdint>

namespace fuelring {

/// What a report is made of, counted.
struct ReportSize {
    std::int64_t structures = 0;
    std::int64_t addresses = 0;
    std::int64_t maps = 0;
    std::int64_t sheets = 0;
};

/// Phases of making a report, in order, and their work: in the unit of run/stages/stage_phases.hpp,
/// since `map` may make it, too.
struct ReportPhases {
    Phase read, page, spreadsheets, maps, sheets;

    explicit ReportPhases(const ReportSize& size);
    std::int64_t work() const;
};

} // namespace fuelring
