// SPDX-License-Identifier: Apache-2.0
#include "cli/commands.hpp"
#include "run/change.hpp"

#include <nlohmann/json.hpp>

namespace fuelring::cli {

namespace {

void add_record_options(CLI::App& change, RecordSource& records)
{
    CLI::Option* file = add_value(change, "--records", records.path,
                                  "layer of treated areas; adds treatment_records.csv", "FILE")
                            ->check(CLI::ExistingFile);
    const auto add = [&change, file](const char* name, std::string& into, const char* what,
                                     const char* form) {
        add_value(change, name, into, what, form)->needs(file);
    };
    add("--records-layer", records.layer, "its layer, if it has several", "LAYER");
    add("--records-crs", records.crs, "its coordinate system, if the file has none", "CRS");
    add("--record-id", records.id, "id column; default: feature ids", "COLUMN");
    add("--record-date", records.date, "date column; default: date", "COLUMN");
    add("--record-treatment", records.treatment, "treatment column; default: treatment", "COLUMN");
    add("--record-cost", records.cost, "cost column, for the whole area; default: cost", "COLUMN");
}

void add_sample_options(CLI::App& change, SampleWish& sample)
{
    CLI::Option* se = add_value(change, "--sample-se", sample.se,
                                "draw enough reference points for this standard error of overall "
                                "accuracy, 0 to 0.5; adds sample_points.csv",
                                "SE")
                          ->check(CLI::Range(1e-4, 0.5));
    add_value(change, "--expect", sample.expected,
              "expected user's accuracy for a class of change; may be repeated", "CLASS=SHARE")
        ->needs(se);
}

void add_reference_options(CLI::App& change, ChangeOptions& wanted)
{
    CLI::Option* matrix = add_value(
        change, "--matrix", wanted.matrix,
        "confusion matrix for the classes of change (CSV); adds adjusted hectares for the "
        "community within the widest distance",
        "FILE");
    CLI::Option* points =
        add_value(change, "--points", wanted.points,
                  "reference points that --draw-points drew, filled in; adds adjusted hectares "
                  "wherever enough of them lie, and change_accuracy.csv",
                  "FILE")
            ->check(CLI::ExistingFile)
            ->excludes(matrix);
    add_value(change, "--points-layer", wanted.points_layer, "its layer; default: reference_points",
              "LAYER")
        ->needs(points);
    CLI::Option* draw =
        add_value(change, "--draw-points", wanted.draw.points,
                  "draw so many reference points within the classes of change.tif; adds "
                  "reference_points.gpkg with columns to fill in",
                  "N")
            ->check(CLI::Range(8, 100'000));
    add_value(change, "--draw-within", wanted.draw.within_m,
              "draw them within this distance of the walls only, one of the rings' distances; "
              "default: the widest",
              "METRES")
        ->needs(draw);
    add_value(change, "--seed", wanted.draw.seed, "another seed draws other points; default: 1",
              "S")
        ->needs(draw);
}

} // namespace

void add_change(CLI::App& app, CommonOptions& options)
{
    CLI::App& change = *app.add_subcommand(
        "change",
        "Compare two runs: where conifers were lost or regrew, with numbers you can defend");
    auto wanted = std::make_shared<ChangeOptions>();
    add_value(change, "before", wanted->before, "folder of the earlier run of fuelring map",
              "BEFORE")
        ->required();
    add_value(change, "after", wanted->after, "folder of the later run", "AFTER")->required();
    add_value(change, "--out", wanted->out, "output folder (must not be a run's folder)", "DIR")
        ->required();
    add_sample_options(change, wanted->sample);
    add_reference_options(change, *wanted);
    add_value(change, "--reprojected-within", wanted->reprojected_within_m,
              "refuse runs or records in another coordinate system if PROJ reports a larger error "
              "than this, in metres; default: 5",
              "METRES")
        ->check(CLI::NonNegativeNumber);
    add_record_options(change, wanted->records);
    add_run_options(change, options);
    explain(
        change,
        "A change on the map does not prove a treatment. Quote the numbers with both dates, the "
        "area unmapped in either year, and the confidence interval if you have one.\n"
        "Files: change.csv, change_by_address.csv, change.tif, change.qml, change.gpkg and "
        "run.json, in a "
        "folder of their own; treatment_records.csv, sample_points.csv, reference_points.gpkg and "
        "change_accuracy.csv if requested.\n"
        "Example: two years, with the crews' records.\n"
        "  fuelring change 2024 2025 --out change --records crews.gpkg --record-id job");
    change.callback([&options, wanted] {
        wanted->jobs = options.map.jobs;
        run_logged(options, [&](Log& log) { return run_change(*wanted, log); });
    });
}

} // namespace fuelring::cli
