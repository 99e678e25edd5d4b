// SPDX-License-Identifier: Apache-2.0
#include "run/report/report_change.hpp"

#include "base/program/json_values.hpp"
#include "io/run_folder/picture_table_in.hpp"
#include "run/publish/publish_set.hpp"

#include <fuelring/error.hpp>

namespace fuelring {

namespace {

using nlohmann::json;

/// Checksum of the tables among the files that a manifest lists; empty where it lists none.
std::string tables_digest(const json& files)
{
    for (const json& file : files)
        if (file.value("name", "") == tables_file)
            return file.value("sha256", "");
    return {};
}

} // namespace

PictureChange read_change_of(const std::filesystem::path& folder, const RunFolder& run)
{
    PublishedFolder published = open_published(folder);
    const PublishedSet& set = published.set;
    if (!set.is_sound() || set.files.count("change_by_address.csv") == 0)
        throw Error{Failure::input, "no folder of fuelring change", folder.string(),
                    "give --change the folder that fuelring change wrote"};
    if (const std::vector<std::string> damage = damage_of(set, folder); !damage.empty())
        throw Error{Failure::input, damage.front(), folder.string(), "run fuelring change again"};
    json manifest = std::move(published.manifest);
    const std::string later = tables_digest(value_at(manifest, "/provenance/after/files"));
    if (later.empty() || later != tables_digest(value_at(run.manifest, "/files")))
        throw Error{Failure::input, "its later run is not the one that is reported",
                    folder.string(), "run fuelring change with this run as AFTER"};
    return {std::move(manifest), read_picture_table(folder / "change.csv"),
            read_picture_table(folder / "change_by_address.csv")};
}

} // namespace fuelring
