// SPDX-License-Identifier: Apache-2.0

// run.json is read as what anybody may have edited: first whether it is there and names the files
// that are needed, then whether these are as it says, and last its parts, whose absence is told as
// one complaint.
#include "io/run_folder/run_folder.hpp"

#include "io/run_folder/fuel_used_in.hpp"

#include <fuelring/error.hpp>

#include <utility>

namespace fuelring {

namespace {

constexpr const char* remedy = "run fuelring map into it";

/// What a command on a run reads of it.
constexpr const char* needed[] = {fuel_used_file, tables_file};

/// Throws: json::exception, and Error{input} for rings that no run can have had.
RingPlan rings_of(const nlohmann::json& manifest, const std::filesystem::path& folder)
{
    const nlohmann::json& rings = manifest.at("configuration").at("rings");
    RingPlan plan{rings.at("outer_m").get<std::vector<double>>(),
                  rings.at("weight").get<std::vector<double>>()};
    try {
        plan.require_valid();
    } catch (const Error& e) {
        throw Error{Failure::input, std::string{"not what fuelring map writes: "} + e.message(),
                    (folder / manifest_name).string(), "run fuelring map again"};
    }
    return plan;
}

/// A run says whether it took the map's scale at every structure; older ones said the rule only.
bool scaled_by_place(const nlohmann::json& crs)
{
    return crs.value("scale_by_place", crs.at("rule") == name_of(GroundRule::scaled));
}

/// Where its community lies; earlier versions did not say.
std::optional<GeoArea> area_of(const nlohmann::json& crs)
{
    if (!crs.contains("area_deg") || crs.at("area_deg").is_null())
        return std::nullopt;
    return crs.at("area_deg").get<GeoArea>();
}

} // namespace

PublishedFolder open_published(const std::filesystem::path& folder)
{
    PublishedFolder published{folder, {}};
    if (!has_manifest(folder))
        return published;
    try {
        published.manifest = read_manifest(folder);
        published.set = set_of(published.manifest);
    } catch (const std::exception& e) {
        published.set.state = PublishedSet::State::damaged;
        published.why_unreadable = e.what();
    }
    return published;
}

bool is_run_folder(const std::filesystem::path& folder)
{
    return read_set(folder).files.contains(fuel_used_file);
}

Error not_as_written(const nlohmann::json::exception& e, const std::filesystem::path& folder)
{
    return {Failure::input, std::string{"not what fuelring map writes: "} + e.what(),
            (folder / manifest_name).string(), "run fuelring map again"};
}

RunFolder run_folder_of(const std::filesystem::path& folder, nlohmann::json manifest)
{
    const FuelUsed fuel{(folder / fuel_used_file).string()};
    const GroundScale ground = scaled_by_place(manifest.at("crs"))
                                   ? GroundScale{fuel.crs(), axes_of(fuel.grid())}
                                   : GroundScale{};
    RingPlan rings = rings_of(manifest, folder);
    AnalysisGrid analysis{fuel.grid(), fuel.crs(), ground, area_of(manifest.at("crs"))};
    return {folder, std::move(manifest), std::move(rings), std::move(analysis)};
}

RunFolder open_run_folder(const std::filesystem::path& folder)
{
    PublishedFolder published = open_published(folder);
    const PublishedSet& set = published.set;
    if (set.state == PublishedSet::State::none)
        throw Error{Failure::input, "not a run folder: it has no run.json", folder.string(),
                    remedy};
    for (const char* name : needed)
        if (set.is_sound() && set.files.count(name) == 0)
            throw Error{Failure::input,
                        std::string{"not a folder made by fuelring map: it has no "} + name,
                        folder.string(), remedy};
    if (const std::vector<std::string> damage = damage_of(set, folder); !damage.empty())
        throw Error{Failure::input, damage.front(), folder.string(), "run fuelring map again"};
    try {
        return run_folder_of(folder, std::move(published.manifest));
    } catch (const nlohmann::json::exception& e) {
        throw not_as_written(e, folder);
    }
}

Error another_run(const std::filesystem::path& folder)
{
    return {Failure::input, "another run was published there while it was read", folder.string(),
            "run again"};
}

void require_same_run(const RunFolder& run)
{
    if (read_set(run.path).run_id != run.run_id())
        throw another_run(run.path);
}

nlohmann::json provenance_of(const RunFolder& run)
{
    const nlohmann::json& m = run.manifest;
    const auto part = [&m](const char* key) { return m.value(key, nlohmann::json()); };
    return {{"folder", run.path.string()},
            {"run_id", part("run_id")},
            {"generation", part("generation")},
            {"program", part("program")},
            {"community", part("community")},
            {"imagery_date", part("imagery_date")},
            {"finished", part("timings").value("finished", nlohmann::json())},
            {"configuration", part("configuration")},
            {"crs", part("crs")},
            {"inputs", part("inputs")},
            {"files", part("files")}};
}

} // namespace fuelring
