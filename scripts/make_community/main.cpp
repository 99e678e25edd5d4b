// SPDX-License-Identifier: Apache-2.0
// Makes invented communities: the sample data, or one of any size for benchmarks.
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
    std::filesystem::path out;
    app.add_option("--out", out, "folder to write into")->required();
    CLI11_PARSE(app, argc, argv);
    try {
        // The files carry this date instead of the clock's, so that they are the same bytes.
        CPLSetConfigOption("OGR_CURRENT_DATE", "2026-05-23T00:00:00.000Z");
        CPLSetConfigOption("GDAL_PAM_ENABLED", "NO");
        GDALAllRegister();
        community::write_tamarack_bend(out);
        return 0;
    } catch (const std::exception& problem) {
        std::cerr << "make_community: " << problem.what() << '\n';
        return 1;
    }
}
