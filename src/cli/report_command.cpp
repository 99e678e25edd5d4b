// SPDX-License-Identifier: Apache-2.0
#include "cli/commands.hpp"
#include "run/report.hpp"

#include <nlohmann/json.hpp>

namespace fuelring::cli {

void add_report(CLI::App& app, CommonOptions& options)
{
    CLI::App* report = app.add_subcommand(
        "report", "Render a run for people: a page that opens in any browser, without a network");
    auto wanted = std::make_shared<ReportOptions>();
    report->add_option("run", wanted->run, "folder of a run of fuelring map")
        ->required()
        ->option_text("RUN");
    report
        ->add_option("--out", options.out,
                     "folder of the outputs, instead of beside the run's; none of another run")
        ->option_text("DIR");
    report
        ->add_option("--change", wanted->change,
                     "folder of fuelring change whose later run is RUN: what changed, on the page")
        ->option_text("DIR");
    report->add_flag("--public", wanted->for_public,
                     "figures of neighbourhoods only, nothing that leads back to a home");
    add_run_options(*report, options);
    report->callback([&options, wanted] {
        Log log{options.log_style()};
        wanted->jobs = options.jobs;
        if (!options.out.empty())
            wanted->out = options.out;
        const nlohmann::json result = run_report(*wanted, log);
        if (options.json)
            print_json(result);
    });
}

} // namespace fuelring::cli
