// SPDX-License-Identifier: Apache-2.0

// One declaration of the program for those who run it and for the manual, which is made from it:
// help and manual cannot differ.
#include "cli/program.hpp"

#include "base/caution.hpp"
#include "run/manifest/manifest.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <array>
#include <string>

namespace fuelring::cli {

namespace {

constexpr auto codes = std::to_array<ExitCode>({
    {"0", "done"},
    {"1", "done, and something changed (map --fail-on-change)"},
    {"2", "usage or configuration"},
    {"3", "input data"},
    {"4", "output could not be written"},
    {"5", "another run is using the output folder"},
    {"6", "stopped by the input check"},
    {"7", "took longer than run.minutes"},
    {"130, 143", "interrupted"},
});

constexpr std::string_view after_codes = "From 2 on, earlier outputs are untouched.";

std::string footer()
{
    std::string text = "Exit codes: ";
    for (const ExitCode& c : codes)
        text += fmt::format("{} {}{}", c.code, c.meaning, &c == &codes.back() ? ". " : "; ");
    return fmt::format("{}{}\nCaution: {} It does not replace a site visit or local codes. {}",
                       text, after_codes, caution, licensed_work);
}

std::string version_text()
{
    const nlohmann::json v = program_versions();
    return fmt::format("fuelring {}\nGDAL {}\nPROJ {}\nGEOS {}",
                       v.at("fuelring").get<std::string>(), v.at("gdal").get<std::string>(),
                       v.at("proj").get<std::string>(), v.at("geos").get<std::string>());
}

} // namespace

std::span<const ExitCode> exit_codes()
{
    return codes;
}

void declare_program(CLI::App& app, CommonOptions& options)
{
    app.description("Measure conifer fuel around every structure in a community");
    app.name("fuelring");
    app.footer(footer());
    app.require_subcommand(0, 1); // demanded later: CLI11 would not name a misspelt command
    app.set_version_flag("--version", version_text);
    add_begin(app, options);
    add_check(app, options);
    add_classify(app, options);
    add_map(app, options);
    add_merge(app, options);
    add_change(app, options);
    add_treat(app, options);
    add_appraise(app, options);
    add_report(app, options);
    add_verify(app, options);
}

} // namespace fuelring::cli
