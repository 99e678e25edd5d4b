// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <sys/resource.h>

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace fuelring::test {

/// What a run of the program said on a terminal of its own, of 100 columns.
struct TerminalRun {
    int exit_code = 0;
    std::vector<std::string> lines; ///< all that stood there, also what was overwritten
    bool in_place = false;          ///< another run.json than before was there at 100 %

    /// Of lines of progress, in order.
    std::vector<int> percents() const;
    bool said(std::string_view words) const;
};

/// `manifest`: run.json of what it publishes. `most_bytes`: a limit on the size of its files.
TerminalRun run_on_terminal(std::vector<std::string> words, const std::filesystem::path& manifest,
                            rlim_t most_bytes = RLIM_INFINITY);

} // namespace fuelring::test
