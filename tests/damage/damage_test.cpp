// SPDX-License-Identifier: Apache-2.0

// Damaged inputs in quantity: never a crash, a hang, a flood of memory or an internal error, and
// never success with other figures where the format lets the damage be seen. A sample runs with
// the other tests, ten thousand variants of every format in the sweep (`ctest -L sweep`), which
// prints the table that stands in DEVELOPERS.md.
#include "damage/formats.hpp"
#include "io/gdal/setup.hpp"
#include "support/temp_folder.hpp"

#include <fuelring/error.hpp>

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <signal.h>
#include <unistd.h>

#include <chrono>
#include <cstdio>
#include <set>

using namespace fuelring;
using namespace fuelring::test;

namespace {

constexpr std::uint64_t sample = 60;
constexpr std::uint64_t sweep = 10'000;

/// Formats that carry checksums of all they hold.
const std::set<std::string> sealed{"state", "run folder"};
/// Formats that say how long they are, so that a cut is seen.
const std::set<std::string> know_their_end{
    "GeoTIFF, DEFLATE", "GeoTIFF, LZW", "GeoTIFF, ZSTD", "GeoTIFF, not compressed",
    "heights, DEFLATE", "GPKG",         "FlatGeobuf",    "state",
    "run folder"};

using Maker = std::vector<Format> (*)(const std::string&);

void try_all(Maker make, std::uint64_t variants)
{
    set_up_gdal();
    const TempFolder folder;
    const fs::path made = folder.path() / "made";
    const fs::path read = folder.path() / "read";
    fs::create_directory(made);
    for (const Format& format : make(made)) {
        CAPTURE(format.name);
        fs::remove_all(read);
        fs::create_directory(read);
        const auto start = std::chrono::steady_clock::now();
        const Tally tally = read_variants(format, read, 0, variants);
        const double took_s =
            std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
        fmt::print("| {} | {} | {} | {} | {} | {} | {:.0f} |\n", format.name,
                   tally.count(Ending::refused), tally.count(Ending::same),
                   tally.count(Ending::other), tally.count(Damage::cut, Ending::other),
                   tally.faults.size(), took_s);
        std::fflush(stdout);
        const std::string faults = fmt::format("{}", fmt::join(tally.faults, "\n"));
        CAPTURE(faults);
        CHECK(tally.faults.empty());
        CHECK(tally.count(Ending::refused) + tally.count(Ending::same) > 0);
        if (sealed.count(format.name) > 0)
            CHECK(tally.count(Ending::other) == 0);
        if (know_their_end.count(format.name) > 0)
            CHECK(tally.count(Damage::cut, Ending::other) == 0);
    }
}

} // namespace

TEST_CASE("a crash, a hang, a flood of memory and an internal error would be noticed")
{
    const TempFolder folder;
    const Format trap{"trap", {{"f", std::string(64, 'x')}}, [](const std::string& in) {
                          const std::string bytes = text_of(in + "/f");
                          if (bytes.size() < 20)
                              raise(SIGSEGV);
                          if (bytes.size() < 40)
                              sleep(60);
                          if (bytes.size() < 60)
                              throw std::logic_error{"trap"};
                          if (bytes.size() > 64)
                              throw Error{Failure::input, "too long"};
                          return bytes;
                      }};
    const Tally tally = read_variants(trap, folder.path(), 0, 200, {.seconds = 1});
    CHECK(tally.count(Ending::crash) > 0);
    CHECK(tally.count(Ending::hang) > 0);
    CHECK(tally.count(Ending::internal) > 0);
    CHECK(tally.count(Ending::refused) > 0);
    CHECK(tally.count(Ending::other) > 0);
    CHECK(tally.count(Damage::cut, Ending::crash) == tally.count(Ending::crash));
    CHECK(tally.faults.size() ==
          static_cast<std::size_t>(tally.count(Ending::crash) + tally.count(Ending::hang) +
                                   tally.count(Ending::internal)));

    const Format flood{"flood", {{"f", "x"}}, [](const std::string& in) {
                           const bool pristine = text_of(in + "/f") == "x";
                           const std::string much(pristine ? 1 : 300'000'000, 'y');
                           return std::string{much.back()};
                       }};
    CHECK(read_variants(flood, folder.path(), 0, 3, {.megabytes = 250}).count(Ending::memory) == 3);
}

TEST_CASE("a variant depends on its number alone")
{
    const std::string bytes(5000, 'x');
    std::set<std::string> all;
    for (std::uint64_t k = 0; k < 500; ++k) {
        CHECK((damaged(bytes, k).bytes == damaged(bytes, k).bytes));
        all.insert(damaged(bytes, k).bytes);
    }
    CHECK(all.size() > 400);
}

TEST_CASE("damaged rasters are refused or read, no more")
{
    try_all(raster_formats, sample);
}
TEST_CASE("damaged layers are refused or read, no more")
{
    try_all(layer_formats, sample);
}
TEST_CASE("damaged texts are refused or read, no more")
{
    try_all(text_formats, sample);
}
TEST_CASE("damaged files of our own are refused or hold what they held")
{
    try_all(own_formats, sample / 2);
}

TEST_SUITE_BEGIN("sweep" * doctest::skip());
TEST_CASE("sweep of rasters")
{
    try_all(raster_formats, sweep);
}
TEST_CASE("sweep of layers")
{
    try_all(layer_formats, sweep);
}
TEST_CASE("sweep of texts")
{
    try_all(text_formats, sweep);
}
TEST_CASE("sweep of files of our own")
{
    try_all(own_formats, sweep);
}
TEST_SUITE_END();
