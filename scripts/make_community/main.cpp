// SPDX-License-Identifier: Apache-2.0

// Makes invented communities: the sample data, or one of any size for benchmarks.
#include "countryside.hpp"
#include "tamarack_bend.hpp"

#include <CLI/CLI.hpp>
#include <cpl_conv.h>
#include <gdal.h>

#include <exception>
#include <filesystem>
#include <iostream>

int main(int argc, char** argv)
{
    CLI::App app{"Make an invented community: Tamarack Bend, or with --structures a larger one"};
    community::CountrysideOptions options;
    app.add_option("--out", options.folder, "folder to write into")->required();
    const CLI::Option* const many =
        app.add_option("--structures", options.structures,
                       "make a countryside with this many structures instead of Tamarack Bend")
            ->check(CLI::PositiveNumber);
    app.add_option("--cell", options.cell_m, "metres a cell of the countryside")
        ->check(CLI::Range(0.1, 100.0));
    app.add_option("--seed", options.seed, "another countryside for another number");
    CLI11_PARSE(app, argc, argv);
    try {
        // The files carry this date instead of the clock's, so that they are the same bytes.
        CPLSetConfigOption("OGR_CURRENT_DATE", "2026-05-23T00:00:00.000Z");
        CPLSetConfigOption("GDAL_PAM_ENABLED", "NO");
        CPLSetConfigOption("GDAL_CACHEMAX", "64"); // MB
        GDALAllRegister();
        if (many->count() > 0)
            community::write_countryside(options);
        else
            community::write_tamarack_bend(options.folder);
        return 0;
    } catch (const std::exception& problem) {
        std::cerr << "make_community: " << problem.what() << '\n';
        return 1;
    }
}
