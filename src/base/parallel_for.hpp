// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>
#include <atomic>
#include <cstddef>
#include <exception>
#include <mutex>
#include <thread>
#include <vector>

namespace fuelring {

/// Calls work(next) on up to `threads` threads, the caller's among them, where next() gives the
/// indices 0 to count - 1, each once, and `count` when there are no more.
/// So a worker can keep a handle or a buffer over all its indices:
///
///     share_out(tiles.size(), threads, [&](const auto& next) {
///         Reader reader{raster};
///         for (std::size_t k = next(); k < tiles.size(); k = next())
///             areas[k] = measured(tiles[k], reader);
///     });
///
/// Throws: what a worker threw first; the others then stop at their next index.
/// Order: indices are handed out ascending, but which thread gets one, and when it ends, is not
/// fixed. Law of callers: results go to a place that their index names, and are merged in that
/// order, so that the number of threads changes no bit.
/// Threads: `work` runs in all of them at once, as the same object; it is called once by each.
/// Below 1 counts as 1, and no more are started than there are indices. Where count is 0 the
/// caller's own call still takes place.
template <typename Work>
void share_out(std::size_t count, int threads, Work&& work)
{
    std::atomic<std::size_t> cursor = 0;
    std::exception_ptr first;
    std::mutex guard;
    const auto next = [&] { return std::min(cursor.fetch_add(1), count); };
    const auto run = [&] {
        try {
            work(next);
        } catch (...) {
            const std::lock_guard lock{guard};
            cursor = count;
            if (!first)
                first = std::current_exception();
        }
    };
    {
        std::vector<std::jthread> others;
        const auto wanted = std::min(count, static_cast<std::size_t>(std::max(threads, 1)));
        for (std::size_t k = 1; k < wanted; ++k)
            others.emplace_back(run);
        run();
    } // joined here
    if (first)
        std::rethrow_exception(first);
}

} // namespace fuelring
