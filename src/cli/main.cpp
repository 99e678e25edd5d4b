// SPDX-License-Identifier: Apache-2.0
#include "base/faults.hpp"
#include "base/program/signals.hpp"
#include "cli/commands.hpp"
#include "cli/manual.hpp"
#include "io/gdal/server_wait.hpp"
#include "io/gdal/setup.hpp"
#include "run/manifest/manifest.hpp"

#include <fuelring/error.hpp>

#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <fmt/format.h>

#include <cstdio>
#include <exception>
#include <new>
#include <string_view>

namespace {

using namespace fuelring;

constexpr const char* exit_codes =
    "Exit codes: 0 done; 1 done, and something changed (map --fail-on-change); 2 usage or "
    "configuration; 3 input data; 4 output could not be written; 5 another run holds the output "
    "folder; 6 stopped by the input checks; 7 took longer than run.minutes; 130, 143 interrupted. "
    "From 2 on, earlier outputs are untouched.\n"
    "Caution: Exposure counts conifers only. It is not a probability of ignition, and a low figure "
    "does not mean a home is safe. It does not replace a site visit or local codes. Felling, "
    "pruning and burning are work for licensed people under local codes.";

/// Whether the command line asks for structured lines, also where it makes no sense otherwise: who
/// parses the log has to see that, too.
bool wants_structured(int argc, char** argv)
{
    bool wanted = false;
    for (int k = 1; k < argc; ++k) {
        const std::string_view word{argv[k]};
        const std::string_view next = k + 1 < argc ? argv[k + 1] : "";
        if (word == "--log")
            wanted = next == "json";
        else if (word.starts_with("--log="))
            wanted = word == "--log=json";
    }
    return wanted;
}

std::string version_text()
{
    const nlohmann::json v = program_versions();
    return fmt::format("fuelring {}\nGDAL {}\nPROJ {}\nGEOS {}",
                       v.at("fuelring").get<std::string>(), v.at("gdal").get<std::string>(),
                       v.at("proj").get<std::string>(), v.at("geos").get<std::string>());
}

/// Parses and runs one command; the exit code.
int run(int argc, char** argv)
{
    CLI::App app{"Measure conifer fuel around every structure in a community", "fuelring"};
    app.footer(exit_codes);
    app.require_subcommand(0, 1); // demanded below: CLI11 would not name a misspelt command
    app.set_version_flag("--version", version_text);
    std::string manual_folder; // for the build, which installs what is written there
    app.add_option("--write-manual", manual_folder)->group("");
    cli::CommonOptions options;
    cli::add_check(app, options);
    cli::add_map(app, options);
    cli::add_merge(app, options);
    cli::add_change(app, options);
    cli::add_treat(app, options);
    cli::add_report(app, options);
    const auto fail = [&](const std::string& text, int exit_code) {
        Log{{options.quiet, wants_structured(argc, argv)}}.error(text);
        return exit_code;
    };
    const auto fail_of_all = [&](const Faults& faults) {
        for (const Error& e : faults.all())
            fail(e.message(), e.exit_code());
        return faults.exit_code();
    };
    try {
        app.parse(argc, argv);
        if (!manual_folder.empty())
            cli::write_manual(app, manual_folder);
        else if (app.get_subcommands().empty())
            throw CLI::RequiredError{"A command"};
        return options.exit_code;
    } catch (const CLI::Success& e) { // --help, --version
        return app.exit(e);
    } catch (const CLI::ParseError& e) {
        return fail(std::string{e.what()} + "; see fuelring --help",
                    static_cast<int>(Failure::usage));
    } catch (const Faults& e) {
        return fail_of_all(e);
    } catch (const Error& e) {
        return fail(e.message(), e.exit_code());
    } catch (const std::bad_alloc&) {
        return fail("out of memory; lower run.tile_cells or --jobs",
                    static_cast<int>(Failure::output));
    } catch (const std::exception& e) {
        return fail(std::string{"internal error: "} + e.what(), static_cast<int>(Failure::output));
    }
}

} // namespace

int main(int argc, char** argv)
{
    try {
        const fuelring::SignalWatch signals{wants_structured(argc, argv)};
        fuelring::set_up_gdal();
        fuelring::ServerWait::end_by([structured = wants_structured(argc, argv)](const Error& e) {
            Log{{false, structured}}.error(e.message());
        });
        return run(argc, argv);
    } catch (...) { // even saying what failed has failed
        std::fputs("fuelring: error: out of memory\n", stderr);
        return static_cast<int>(Failure::output);
    }
}
