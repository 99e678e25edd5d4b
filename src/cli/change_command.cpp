// SPDX-License-Identifier: Apache-2.0
#include "cli/commands.hpp"
#include "run/change.hpp"

#include <nlohmann/json.hpp>

namespace fuelring::cli {

void add_change(CLI::App& app, CommonOptions& options)
{
    CLI::App* change = app.add_subcommand(
        "change", "Account for the change of conifers between two runs, with figures to defend");
    auto wanted = std::make_shared<ChangeOptions>();
    change->add_option("before", wanted->before, "folder of the earlier run of fuelring map")
        ->required()
        ->option_text("BEFORE");
    change->add_option("after", wanted->after, "folder of the later run")
        ->required()
        ->option_text("AFTER");
    change->add_option("--out", wanted->out, "folder of the outputs; none of a run")
        ->required()
        ->option_text("DIR");
    change
        ->add_option("--matrix", wanted->matrix,
                     "confusion matrix of the classes of change (CSV): adds adjusted hectares")
        ->option_text("FILE");
    add_run_options(*change, options);
    change->callback([&options, wanted] {
        Log log{options.log_style()};
        wanted->jobs = options.jobs;
        const nlohmann::json result = run_change(*wanted, log);
        if (options.json)
            print_json(result);
    });
}

} // namespace fuelring::cli
