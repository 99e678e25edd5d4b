// SPDX-License-Identifier: Apache-2.0
#include "cli/commands.hpp"
#include "run/report.hpp"

#include <nlohmann/json.hpp>

namespace fuelring::cli {

namespace {

void add_sheet_options(CLI::App& report, ReportOptions& wanted)
{
    add_value(report, "--sheets", wanted.sheets,
              "one page per home to hand out (an address, a neighbourhood, or all)", "WHOSE")
        ->excludes("--public");
    add_value(report, "--text", wanted.text,
              "wording of the sheets and maps, instead of the built-in English", "FILE")
        ->check(CLI::ExistingFile);
    report
        .add_option_function<std::string>(
            "--paper", [&wanted](const std::string& size) { wanted.letter = size == "letter"; },
            "paper size of sheets and brief: a4 or letter")
        ->check(CLI::IsMember({"a4", "letter"}))
        ->option_text("SIZE");
}

} // namespace

void add_report(CLI::App& app, CommonOptions& options)
{
    CLI::App& report = *app.add_subcommand(
        "report", "Make a readable report of a run, which opens in any browser without a network");
    auto wanted = std::make_shared<ReportOptions>();
    add_value(report, "run", wanted->run, "folder of a run of fuelring map", "RUN")->required();
    add_value(report, "--out", wanted->out,
              "output folder, instead of the run's own folder (must not be another run's)", "DIR");
    add_value(report, "--change", wanted->change,
              "folder made by fuelring change with RUN as the later run; adds its changes to the "
              "page",
              "DIR");
    report.add_flag("--public", wanted->for_public,
                    "only neighbourhood values, nothing that could identify a home");
    add_sheet_options(report, *wanted);
    add_run_options(report, options);
    explain(
        report,
        "In many places exposure by address is personal data; share only the output of --public. "
        "The advice on the sheets is common practice: local codes and your fire department's rules "
        "come first.\n"
        "Files: added to the run's folder: report.html, addresses.xlsx, "
        "neighbourhoods.xlsx, priority.qml, fuel_used.qml, map.png and map_NAME.png, map.pdf, "
        "brief.pdf, "
        "sheets.pdf with "
        "--sheets; with --public only public/report.html, public/neighbourhoods.csv, "
        "public/neighbourhoods.geojson, public/map.png, public/map.pdf, public/brief.pdf.\n"
        "Example: a report page, and a sheet for every home.\n"
        "  fuelring report out --sheets all");
    report.callback([&options, wanted] {
        wanted->jobs = options.map.jobs;
        run_logged(options, [&](Log& log) { return run_report(*wanted, log); });
    });
}

} // namespace fuelring::cli
