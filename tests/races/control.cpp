// SPDX-License-Identifier: Apache-2.0
#include "run/schedule/parallel.hpp"

#include <cstddef>
#include <cstdio>
#include <string_view>
#include <vector>

namespace {

struct Worker {
    std::vector<double> buffer = std::vector<double>(64);
    double sum = 0;
};

/// The sum of twice the index over `count` tasks: through a buffer of each worker and a place of
/// each task, or, planted, through one counter of all of them.
double sum_of_doubles(std::size_t count, bool planted)
{
    std::vector<double> places(count);
    std::size_t counter = 0;
    double sum = 0;
    fuelring::for_each_in_parallel<Worker>(
        4, count, [] { return Worker{}; },
        [&](Worker& worker, std::size_t k) {
            worker.buffer[k % worker.buffer.size()] += 1;
            worker.sum += static_cast<double>(k);
            places[k] = static_cast<double>(k);
            if (planted)
                ++counter;
        },
        [&](const Worker& worker) { sum += worker.sum; });
    for (const double place : places)
        sum += place;
    return sum;
}

} // namespace

int main(int argc, char** argv)
{
    constexpr std::size_t tasks = 10'000;
    const bool planted = argc > 1 && std::string_view{argv[1]} == "planted";
    const double expected = static_cast<double>(tasks) * (tasks - 1);
    for (int repetition = 0; repetition < 20; ++repetition) {
        if (sum_of_doubles(tasks, planted) != expected) {
            std::fputs("the sum is wrong\n", stderr);
            return 1;
        }
    }
}
