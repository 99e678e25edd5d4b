// SPDX-License-Identifier: Apache-2.0
#include "cli/commands.hpp"
#include "run/change.hpp"

#include <nlohmann/json.hpp>

namespace fuelring::cli {

namespace {

void add_record_options(CLI::App& change, RecordSource& records)
{
    const auto add = [&change](const char* name, std::string& into, const char* what,
                               const char* form) {
        return change.add_option(name, into, what)->option_text(form);
    };
    CLI::Option* file =
        add("--records", records.path, "layer of treated areas; adds treatment_records.csv", "FILE")
            ->check(CLI::ExistingFile);
    add("--records-layer", records.layer, "its layer, if it has several", "LAYER")->needs(file);
    add("--records-crs", records.crs, "its coordinate system, if the file has none", "CRS")
        ->needs(file);
    add("--record-id", records.id, "id column; default: feature ids", "COLUMN")->needs(file);
    add("--record-date", records.date, "date column; default: date", "COLUMN")->needs(file);
    add("--record-treatment", records.treatment, "treatment column; default: treatment", "COLUMN")
        ->needs(file);
    add("--record-cost", records.cost, "cost column, for the whole area; default: cost", "COLUMN")
        ->needs(file);
}

} // namespace

void add_change(CLI::App& app, CommonOptions& options)
{
    CLI::App* change = app.add_subcommand(
        "change",
        "Compare two runs: where conifers were lost or regrew, with numbers you can defend");
    auto wanted = std::make_shared<ChangeOptions>();
    change->add_option("before", wanted->before, "folder of the earlier run of fuelring map")
        ->required()
        ->option_text("BEFORE");
    change->add_option("after", wanted->after, "folder of the later run")
        ->required()
        ->option_text("AFTER");
    change->add_option("--out", wanted->out, "output folder (must not be a run's folder)")
        ->required()
        ->option_text("DIR");
    change
        ->add_option("--matrix", wanted->matrix,
                     "confusion matrix for the classes of change (CSV); adds adjusted hectares")
        ->option_text("FILE");
    CLI::Option* se = change
                          ->add_option("--sample-se", wanted->sample.se,
                                       "draw enough reference points for this standard error of "
                                       "overall accuracy, 0 to 0.5; adds sample_points.csv")
                          ->check(CLI::Range(1e-4, 0.5))
                          ->option_text("SE");
    change
        ->add_option("--expect", wanted->sample.expected,
                     "expected user's accuracy for a class of change; may be repeated")
        ->needs(se)
        ->option_text("CLASS=SHARE");
    change
        ->add_option("--reprojected-within", wanted->reprojected_within_m,
                     "refuse runs or records in another coordinate system if PROJ reports a "
                     "larger error than this, in metres; default: 5")
        ->check(CLI::NonNegativeNumber)
        ->option_text("METRES");
    add_record_options(*change, wanted->records);
    add_run_options(*change, options);
    explain(
        *change,
        "A change on the map does not prove a treatment. Quote the numbers with both dates, the "
        "area unmapped in either year, and the confidence interval if you have one.\n"
        "Files: change.csv, change_by_address.csv, change.tif, change.gpkg and run.json, in a "
        "folder of their own; treatment_records.csv and sample_points.csv if requested.\n"
        "Example: two years, with the crews' records.\n"
        "  fuelring change 2024 2025 --out change --records crews.gpkg --record-id job");
    change->callback([&options, wanted] {
        Log log{options.log_style()};
        wanted->jobs = options.jobs;
        const nlohmann::json result = run_change(*wanted, log);
        if (options.json)
            print_json(result);
    });
}

} // namespace fuelring::cli
