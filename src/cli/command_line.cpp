// SPDX-License-Identifier: Apache-2.0

// Here exceptions end: what a command throws becomes lines on stderr and one exit code. A
// message is given in the style that the command line asks for even where it cannot be parsed,
// since a program may be reading.
#include "cli/command_line.hpp"

#include "base/faults.hpp"
#include "cli/program.hpp"

#include <fuelring/error.hpp>

#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>

#include <exception>
#include <new>
#include <string>
#include <string_view>

namespace fuelring::cli {

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

int run_command_line(int argc, char** argv)
{
    CLI::App app;
    CommonOptions options;
    declare_program(app, options);
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

} // namespace fuelring::cli
