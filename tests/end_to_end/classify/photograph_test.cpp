// SPDX-License-Identifier: Apache-2.0

// The sample from its photograph: exposure of homes on what classify made, against exposure on the
// raster that the photograph was painted from.
#include "support/make_inputs.hpp"
#include "support/read_outputs.hpp"
#include "support/run_program.hpp"
#include "support/temp_folder.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <string>
#include <vector>

using namespace fuelring::test;

namespace {

/// Exposure of structures whose widest ring is known.
std::map<std::string, double> exposures(const fs::path& out)
{
    const Csv csv = read_csv(out / "addresses.csv");
    std::map<std::string, double> by_id;
    for (std::size_t k = 0; k < csv.rows.size(); ++k)
        if (!csv.cell(k, "exposure").empty() &&
            std::stod(csv.cell(k, "unmapped_frac_30_100m")) < 0.01)
            by_id[csv.cell(k, "structure_id")] = std::stod(csv.cell(k, "exposure"));
    return by_id;
}

/// Ranks from 0; of equal values the middle.
std::vector<double> ranks(const std::vector<double>& values)
{
    std::vector<std::size_t> order(values.size());
    std::iota(order.begin(), order.end(), 0U);
    std::ranges::sort(order, {}, [&](std::size_t i) { return values[i]; });
    std::vector<double> result(values.size());
    for (std::size_t first = 0, last = 0; first < order.size(); first = last) {
        while (last < order.size() && values[order[last]] == values[order[first]])
            ++last;
        for (std::size_t k = first; k < last; ++k)
            result[order[k]] = static_cast<double>(first + last - 1) / 2;
    }
    return result;
}

double mean_of(const std::vector<double>& v)
{
    return std::accumulate(v.begin(), v.end(), 0.0) / static_cast<double>(v.size());
}

/// Of the ranks (Spearman 1904, from memory).
double rank_correlation(const std::vector<double>& a, const std::vector<double>& b)
{
    const std::vector<double> x = ranks(a), y = ranks(b);
    const double mx = mean_of(x), my = mean_of(y);
    double xy = 0, xx = 0, yy = 0;
    for (std::size_t k = 0; k < x.size(); ++k) {
        xy += (x[k] - mx) * (y[k] - my);
        xx += (x[k] - mx) * (x[k] - mx);
        yy += (y[k] - my) * (y[k] - my);
    }
    return xy / std::sqrt(xx * yy);
}

} // namespace

TEST_CASE("homes of the sample have much the same exposure on the raster made of its photograph")
{
    const TempFolder folder;
    fs::copy(sample_data(), folder.path() / "sample", fs::copy_options::recursive);
    const fs::path sample = folder.path() / "sample";
    const std::string config = (sample / "from_photograph.toml").string();
    must_succeed(run_fuelring({"classify", config}));
    must_succeed(run_fuelring({"map", config}));
    ConfigFile truth = sample_config(sample);
    truth.tables.erase("inputs.elevation"); // rings are round in both
    truth.write(folder.path() / "truth.toml");
    must_succeed(run_fuelring({"map", (folder.path() / "truth.toml").string(), "--out",
                               (folder.path() / "truth").string()}));
    // The same by classes, each cell all conifer or none.
    std::string by_class = text_of(config);
    const std::string shares = "conifer_share.tif\"\nvalues = \"fraction\"";
    by_class.replace(by_class.find(shares), shares.size(),
                     "fuel.tif\"\nclasses = \"fuel_from_photograph/fuel_classes.csv\"");
    by_class.resize(by_class.find("[run]"));
    write_text(sample / "by_class.toml", by_class);
    must_succeed(run_fuelring({"map", (sample / "by_class.toml").string(), "--out",
                               (folder.path() / "by_class").string()}));
    const auto known = exposures(folder.path() / "truth");
    const auto classes = exposures(folder.path() / "by_class");
    std::vector<double> is, told, told_by_class;
    for (const auto& [id, exposure] : exposures(sample / "out_from_photograph"))
        if (const auto at = known.find(id); at != known.end()) {
            told.push_back(exposure);
            told_by_class.push_back(classes.at(id));
            is.push_back(at->second);
        }
    REQUIRE(is.size() > 100);
    CHECK(std::abs(mean_of(told) - mean_of(is)) < 0.5);
    CHECK(rank_correlation(told, is) > 0.95);
    CHECK(std::abs(mean_of(told_by_class) - mean_of(is)) < 0.5);
    MESSAGE("mean exposure " << mean_of(is) << "; by shares " << mean_of(told) << ", by classes "
                             << mean_of(told_by_class) << "; rank correlation "
                             << rank_correlation(told, is));
}
