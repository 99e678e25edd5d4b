// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "support/make_inputs.hpp"
#include "support/run_program.hpp"
#include "support/temp_folder.hpp"

namespace fuelring::test {

/// The hamlet in a folder of its own, ready to run.
class Hamlet {
    TempFolder folder_; // before the configuration, which names it

public:
    Hamlet() : config{hamlet_config(folder_.path())} { make_hamlet(folder_.path()); }

    ConfigFile config; ///< change it at will before a run

    const fs::path& folder() const { return folder_.path(); }
    fs::path out() const { return folder() / "out"; }
    fs::path config_file() const { return folder() / "run.toml"; }

    /// Writes the configuration and runs a command on it.
    ProgramResult run(const std::string& command, const std::vector<std::string>& more = {},
                      const std::vector<std::string>& launcher = {}) const
    {
        config.write(config_file());
        std::vector<std::string> arguments{command, config_file().string()};
        arguments.insert(arguments.end(), more.begin(), more.end());
        return run_fuelring(arguments, launcher);
    }
};

} // namespace fuelring::test
