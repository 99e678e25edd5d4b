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
    CLI::Option* file = add("--records", records.path,
                            "layer of treated polygons: adds treatment_records.csv", "FILE")
                            ->check(CLI::ExistingFile);
    add("--records-layer", records.layer, "its layer, where it has several", "LAYER")->needs(file);
    add("--records-crs", records.crs, "its coordinate system, where the file has none", "CRS")
        ->needs(file);
    add("--record-id", records.id, "column of ids; feature ids where not given", "COLUMN")
        ->needs(file);
    add("--record-date", records.date, "column of dates (date)", "COLUMN")->needs(file);
    add("--record-treatment", records.treatment, "column of treatments (treatment)", "COLUMN")
        ->needs(file);
    add("--record-cost", records.cost, "column of costs, each of the whole polygon (cost)",
        "COLUMN")
        ->needs(file);
}

} // namespace

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
    CLI::Option* se = change
                          ->add_option("--sample-se", wanted->sample.se,
                                       "plan reference points for this standard error of overall "
                                       "accuracy, 0 to 0.5: adds sample_points.csv")
                          ->check(CLI::Range(1e-4, 0.5))
                          ->option_text("SE");
    change
        ->add_option("--expect", wanted->sample.expected,
                     "user's accuracy expected of a class of change, once for each")
        ->needs(se)
        ->option_text("CLASS=SHARE");
    change
        ->add_option("--reprojected-within", wanted->reprojected_within_m,
                     "metres: runs or records in another system are refused where PROJ states "
                     "more inaccuracy (5)")
        ->check(CLI::NonNegativeNumber)
        ->option_text("METRES");
    add_record_options(*change, wanted->records);
    add_run_options(*change, options);
    explain(*change,
            "A change of the map is not proof of a treatment: quote the figures with both dates, "
            "the area that was not mapped at both, and the interval if you have one.\n"
            "Files: in a folder of its own: change.csv, change_by_address.csv, change.tif, "
            "change.gpkg, run.json; treatment_records.csv and sample_points.csv where asked for.\n"
            "Example: two years, and what the crews wrote down.\n"
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
