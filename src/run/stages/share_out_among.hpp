// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/parallel_for.hpp"
#include "plan/plan_grid.hpp"

#include <functional>

namespace fuelring {

/// How a plan shares its work out to so many threads; `check_cancelled` is asked before each share.
inline plan::ShareOut share_out_among(int jobs, const std::function<void()>& check_cancelled)
{
    return [jobs,
            check_cancelled](std::size_t count,
                             const std::function<void(const std::function<std::size_t()>&)>& work) {
        check_cancelled();
        share_out(count, jobs, [&](const auto& next) { work(next); });
    };
}

} // namespace fuelring
