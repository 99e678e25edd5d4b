// SPDX-License-Identifier: Apache-2.0

// Here exceptions end: what a command throws becomes lines on stderr and one exit code. A
// message is given in the style that the command line asks for even where it cannot be parsed,
// since a program may be reading.
#include "base/faults.hpp"
#include "base/program/signals.hpp"
#include "cli/program.hpp"
#include "io/gdal/server_wait.hpp"
#include "io/gdal/setup.hpp"

#include <fuelring/error.hpp>

#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <cstdio>
#include <exception>
#include <new>
#include <string_view>

namespace {

using namespace fuelring;

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

/// Parses and runs one command; the exit code.
int run(int argc, char** argv)
{
    CLI::App app;
    cli::CommonOptions options;
    cli::declare_program(app, options);
    const auto fail = [&](const std::string& text, int exit_code) {
        Log{{options.quiet, wants_structured(argc, argv), options.verbose}}.error(text);
        return exit_code;
    };
    try {
        app.parse(argc, argv);
        if (app.get_subcommands().empty())
            throw CLI::RequiredError{"A command"};
        return options.exit_code;
    } catch (const CLI::Success& e) { // --help, --version
        return app.exit(e);
    } catch (const CLI::ParseError& e) {
        return fail(std::string{e.what()} + "; see fuelring --help",
                    static_cast<int>(Failure::usage));
    } catch (const Faults& faults) {
        for (const Error& e : faults.all())
            fail(e.message(), e.exit_code());
        return faults.exit_code();
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
            Log{{.structured = structured}}.error(e.message());
        });
        return run(argc, argv);
    } catch (...) { // even saying what failed has failed
        std::fputs("fuelring: error: out of memory\n", stderr);
        return static_cast<int>(Failure::output);
    }
}
