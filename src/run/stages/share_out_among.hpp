// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/parallel_for.hpp"
#include "plan/plan_grid.hpp"

#include <functional>
#include <utility>

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

/// The same; `advance` is called behind every pass over the blocks.
inline plan::ShareOut share_out_among(int jobs, const std::function<void()>& check_cancelled,
                                      std::function<void()> advance)
{
    return [share_out = share_out_among(jobs, check_cancelled),
            advance = std::move(advance)](std::size_t count, const auto& work) {
        share_out(count, work);
        advance();
    };
}

} // namespace fuelring
