// SPDX-License-Identifier: Apache-2.0
#include "damage/formats.hpp"
#include "io/report_data/home_plans_in.hpp"
#include "io/report_data/run_picture_in.hpp"
#include "io/run_folder/run_folder.hpp"
#include "io/run_folder/run_tables_in.hpp"
#include "run/cache/cache_db.hpp"
#include "run/config/config.hpp"
#include "run/map.hpp"
#include "run/publish/publish_set.hpp"
#include "support/make_inputs.hpp"
#include "support/temp_folder.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <fstream>

namespace fuelring::test {

namespace {

constexpr int rows_of_state = 60;

RawDigest key_of(int k)
{
    return raw_digest(std::to_string(k));
}

std::string result_of(int k)
{
    return std::string(static_cast<std::size_t>(37 * k), static_cast<char>('a' + k % 26));
}

/// What is found must be what was kept: anything else is a figure that was never written.
std::string read_state(const std::string& file)
{
    StateReader state{file};
    for (int k = 0; k < rows_of_state; ++k)
        if (const auto found = state.find({k % 3, k, -k}, key_of(k));
            found && *found != result_of(k))
            return "a result that nobody kept";
    const auto run = state.fact("run");
    return run && *run != "this run" ? "a fact that nobody said" : "what was kept, or less";
}

/// What `change` and `report` read of a run's folder.
std::string read_run(const std::string& folder)
{
    const RunFolder run = open_run_folder(folder);
    try {
        const RunPicture picture = read_run_picture(run, 10'000);
        const Context nothing;
        HomePlans plans{run, picture, nothing};
        std::string figures = provenance_of(run).dump();
        for (const double number : picture.structures.table.at("exposure").numbers)
            figures += fmt::format("{} ", number);
        for (const float points : picture.surface.points)
            figures += fmt::format("{} ", points);
        for (std::size_t k = 0; k < picture.structures.table.rows && k < 2; ++k)
            for (const std::uint16_t share : plans.plan(k).cells.share)
                figures += fmt::format("{} ", share);
        return figures;
    } catch (const nlohmann::json::exception& e) {
        throw not_as_written(e, folder); // as the commands do
    }
}

/// Makes the checksums of run.json fit what lies in the folder.
void seal_again(const std::string& folder)
{
    const fs::path file = fs::path{folder} / manifest_name;
    try {
        nlohmann::json manifest = read_manifest(folder);
        for (nlohmann::json& entry : manifest.at("files")) {
            const FileDigest digest = digest_of(fs::path{folder} / entry.at("name"));
            entry["size"] = digest.size;
            entry["sha256"] = digest.sha256;
        }
        write_text(file, manifest.dump());
    } catch (const std::exception&) { // run.json is the damaged one
    }
}

std::map<std::string, std::string> make_run(const std::string& folder)
{
    make_hamlet(folder);
    ConfigFile config = hamlet_config(folder);
    config.write(folder + "/c.toml");
    Log log{{.quiet = true}};
    std::freopen("/dev/null", "w", stderr); // the hamlet has its warnings
    run_map(load_config(folder + "/c.toml"), {}, log);
    return bytes_below(folder + "/out");
}

} // namespace

std::vector<Format> own_formats(const std::string& folder)
{
    std::vector<Format> formats;
    {
        StateWriter state{folder + "/state"};
        for (int k = 0; k < rows_of_state; ++k)
            state.keep({k % 3, k, -k}, key_of(k), result_of(k));
        state.say("run", "this run");
        state.finish();
    }
    formats.push_back({"state", {{"s", text_of(folder + "/state")}}, [](const std::string& in) {
                           return read_state(in + "/s");
                       }});
    const auto files = make_run(folder);
    formats.push_back({"run folder", files, read_run, {}, std::string{manifest_name}});
    formats.push_back({"run folder, sealed again", files, read_run, seal_again});
    return formats;
}

} // namespace fuelring::test
