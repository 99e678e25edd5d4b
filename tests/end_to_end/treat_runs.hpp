// SPDX-License-Identifier: Apache-2.0
#pragma once

// Plans as the tests of `fuelring treat` ask for them.
#include "support/hamlet.hpp"
#include "support/read_outputs.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <string>
#include <vector>

namespace fuelring::test {

/// The sample community with a budget, in a folder of its own.
class PlannedSample {
    TempFolder folder_;

public:
    PlannedSample() : config{sample_config(sample_data())}
    {
        config("inputs.parcels", "path") = toml_text(sample_data() / "parcels.gpkg");
        config("inputs.parcels", "owner") = "'owner'";
        config("output", "dir") = toml_text(out());
    }
    ConfigFile config;
    fs::path folder() const { return folder_.path(); }
    fs::path out() const { return folder() / "out"; }

    ProgramResult run(const std::string& command, std::vector<std::string> more = {}) const
    {
        config.write(folder() / "run.toml");
        more.insert(more.begin(), {command, (folder() / "run.toml").string(), "--json"});
        return run_fuelring(more);
    }
    nlohmann::json treat(double hectares)
    {
        config("treat", "budget") = fmt::format("{{ hectares = {} }}", hectares);
        const ProgramResult result = must_succeed(run("treat"));
        return nlohmann::json::parse(result.out).at("treatment");
    }
};

inline double number(const nlohmann::json& value, const char* key)
{
    return value.at(key).get<double>();
}

/// The hamlet on two parcels, with a budget.
class PlannedHamlet : public Hamlet {
public:
    PlannedHamlet()
    {
        make_layer(folder() / "parcels.gpkg", "GPKG", "owner", 32611,
                   {{"private", rectangle_wkt(600000, 5600000, 600300, 5600150)},
                    {"Town", rectangle_wkt(600000, 5600150, 600300, 5600300)}});
        config("inputs.parcels", "path") = toml_text(folder() / "parcels.gpkg");
        config("inputs.parcels", "owner") = "'owner'";
        config("treat", "budget") = "{ money = 300 }";
        config("treat", "costs") = "[{ owner = 'town', method = 'machine', per_ha = 4000 }, "
                                   "{ per_ha = 12000 }]";
    }
};

} // namespace fuelring::test
