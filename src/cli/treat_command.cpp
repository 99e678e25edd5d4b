// SPDX-License-Identifier: Apache-2.0
#include "cli/commands.hpp"
#include "run/map.hpp"

#include <nlohmann/json.hpp>

namespace fuelring::cli {

void add_treat(CLI::App& app, CommonOptions& options)
{
    CLI::App* treat = app.add_subcommand(
        "treat",
        "Plan where to clear conifers within a budget, based on the run in the output folder");
    add_common_options(*treat, options);
    add_accept(*treat, options);
    explain(
        *treat,
        "The configuration needs a table [treat] with a budget. If the output folder has no run, "
        "or an outdated one, map runs first. Each unit is only a candidate: it needs a site visit, "
        "the owner's consent and a check of local rules.\n"
        "Files: added to the output folder: treatment_units.csv, treatment_exposure.csv, "
        "benefit_curve.csv, treatment.gpkg; treatment_constraints.csv and treatment_years.csv "
        "where "
        "[treat] has constraints or years.\n"
        "Example: the sample community with its own budget.\n"
        "  fuelring treat /usr/share/fuelring/sample_data/tamarack_bend.toml --out out");
    treat->callback([&options] { run_on_configuration(options, run_treat); });
}

} // namespace fuelring::cli
