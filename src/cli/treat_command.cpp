// SPDX-License-Identifier: Apache-2.0
#include "cli/commands.hpp"
#include "run/treat.hpp"

#include <nlohmann/json.hpp>

namespace fuelring::cli {

void add_treat(CLI::App& app, CommonOptions& options)
{
    CLI::App* treat = app.add_subcommand(
        "treat", "Pick where to treat conifers within a budget, from the run in the output folder");
    add_common_options(*treat, options);
    add_accept(*treat, options);
    explain(
        *treat,
        "It needs a table [treat] with a budget in the configuration, and runs map first where "
        "there is no run in the output folder or it is out of date. Each unit is a candidate: "
        "it needs a visit, the owner's consent and local rules. Felling, pruning and burning are "
        "work for licensed people under local codes.\n"
        "Files: added to the output folder: treatment_units.csv, treatment_exposure.csv, "
        "benefit_curve.csv, treatment.gpkg.\n"
        "Example: the sample community with its own budget.\n"
        "  fuelring treat /usr/share/fuelring/sample_data/tamarack_bend.toml --out out");
    treat->callback([&options] { run_on_configuration(options, run_treat); });
}

} // namespace fuelring::cli
