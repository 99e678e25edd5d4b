// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "support/change_runs.hpp"

#include <string>
#include <vector>

namespace fuelring::test {

/// A run of the sample community, and reports on it.
class SampleRun {
public:
    SampleRun()
    {
        ConfigFile config = sample_config(sample_data());
        config("treat", "budget") = "{ hectares = 1.5 }";
        config("treat", "costs") = "[{ method = \"hand\", per_ha = 9000 }]";
        config.write(folder_.path() / "run.toml");
        succeed({"map", folder_.path() / "run.toml", "--out", run(), "--quiet"});
    }

    fs::path run() const { return folder_.path() / "run"; }
    fs::path beside(const std::string& name) const { return folder_.path() / name; }

    void treat() const
    {
        succeed({"treat", folder_.path() / "run.toml", "--out", run(), "--quiet"});
    }

    ProgramResult try_report(const std::vector<std::string>& more) const
    {
        std::vector<std::string> arguments{"report", run()};
        arguments.insert(arguments.end(), more.begin(), more.end());
        return run_fuelring(arguments);
    }
    void report(const std::vector<std::string>& more = {"--quiet"}) const
    {
        must_succeed(try_report(more));
    }

private:
    static void succeed(const std::vector<std::string>& arguments)
    {
        must_succeed(run_fuelring(arguments));
    }
    TempFolder folder_;
};

} // namespace fuelring::test
