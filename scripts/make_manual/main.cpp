// SPDX-License-Identifier: Apache-2.0

// manual_writer man DIR             man pages and the completion of bash, for the build to install
// manual_writer pages FILE...       makes the generated tables of pages in Markdown again, in place
// manual_writer check FILE...       ends with 1 and names the pages that this would change
#include "cli/program.hpp"
#include "manual.hpp"

#include <fuelring/error.hpp>

#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>

#include <cstdio>
#include <fstream>
#include <sstream>

namespace {

using namespace fuelring;

std::string text_of(const char* file)
{
    std::ifstream stream{file, std::ios::binary};
    std::ostringstream text;
    text << stream.rdbuf();
    if (!stream)
        throw Error{Failure::input, "the page could not be read", file};
    return std::move(text).str();
}

/// Makes the tables of a page again; whether they were as they should be.
bool page_is_current(const char* file, const CLI::App& app, bool only_check)
{
    const std::string before = text_of(file);
    const std::string after = manual::with_tables(before, app);
    if (after == before)
        return true;
    if (!only_check) {
        std::ofstream stream{file, std::ios::binary};
        if (!(stream << after))
            throw Error{Failure::output, "the page could not be written", file};
    }
    std::printf("%s %s\n", file, only_check ? "differs: run scripts/write_manual" : "written");
    return false;
}

int run(int argc, char** argv)
{
    CLI::App app;
    cli::CommonOptions options;
    cli::declare_program(app, options);
    const std::string_view task = argc > 2 ? argv[1] : "";
    if (task == "man") {
        manual::write_manual(app, argv[2]);
        return 0;
    }
    if (task != "pages" && task != "check")
        throw Error{Failure::usage, "usage: manual_writer man DIR, or pages|check FILE..."};
    bool current = true;
    for (int k = 2; k < argc; ++k)
        current = page_is_current(argv[k], app, task == "check") && current;
    return task == "check" && !current ? 1 : 0;
}

} // namespace

int main(int argc, char** argv)
{
    try {
        return run(argc, argv);
    } catch (const Error& e) {
        std::fprintf(stderr, "manual_writer: %s\n", e.message().c_str());
        return e.exit_code();
    }
}
