// SPDX-License-Identifier: Apache-2.0
#include "cli/commands.hpp"
#include "run/verify.hpp"

#include <fuelring/error.hpp>

#include <nlohmann/json.hpp>

namespace fuelring::cli {

void add_verify(CLI::App& app, CommonOptions& options)
{
    auto wanted = std::make_shared<VerifyOptions>();
    CLI::App* verify =
        app.add_subcommand("verify", "Check that a folder of outputs is still as it was published");
    add_value(*verify, "run", wanted->run, "folder that any command of fuelring wrote", "RUN")
        ->required();
    add_run_options(*verify, options);
    explain(*verify,
            "Compares every file with the size and SHA-256 in run.json, and says what is missing, "
            "what changed and what was added. It does not write anything. The exit code is 3 if a "
            "published file is missing or changed. run.json cannot hold its own checksum: note the "
            "one that is printed if you have to prove later that nothing changed.\n"
            "Example: check a folder that came back from an archive.\n"
            "  fuelring verify archive/2024");
    verify->callback([wanted, &options] {
        wanted->jobs = options.map.jobs;
        const nlohmann::json found =
            run_logged(options, [&](Log& log) { return run_verify(*wanted, log); });
        if (!found.at("whole").get<bool>())
            options.exit_code = static_cast<int>(Failure::input);
    });
}

} // namespace fuelring::cli
