// SPDX-License-Identifier: Apache-2.0
#include "open_data.hpp"

#include <cpl_conv.h>
#include <doctest/doctest.h>
#include <sys/wait.h>

#include <array>
#include <cstdio>
#include <string>

namespace fuelring::test {

namespace {

constexpr int cannot_be_fetched = 77;

struct Fetched {
    int exit_code;
    std::string said;
};

/// Runs the script, which does nothing where the data is there already.
Fetched fetch()
{
    std::FILE* const script = ::popen("'" FETCH_SCRIPT "' '" DATA_FOLDER "' 2>&1", "r");
    REQUIRE(script);
    std::string said;
    std::array<char, 512> line{};
    while (std::fgets(line.data(), static_cast<int>(line.size()), script))
        said += line.data();
    const int status = ::pclose(script);
    return {WIFEXITED(status) ? WEXITSTATUS(status) : -1, said};
}

} // namespace

std::optional<std::filesystem::path> open_data()
{
    // A side file beside the data, of whoever made it, must not be looked at or written.
    CPLSetConfigOption("GDAL_PAM_ENABLED", "NO");
    static const Fetched fetched = fetch();
    if (fetched.exit_code == cannot_be_fetched) {
        MESSAGE("SKIPPED: " << fetched.said);
        return std::nullopt;
    }
    CAPTURE(fetched.said);
    REQUIRE(fetched.exit_code == 0);
    return DATA_FOLDER;
}

} // namespace fuelring::test
