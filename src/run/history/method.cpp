// SPDX-License-Identifier: Apache-2.0

// Figures of two runs compare where the same method made them. The method is what run.json says of
// it, key by key, so that a difference has a name and the whole has a digest.
#include "run/history/method.hpp"

#include "base/program/digest.hpp"
#include "base/program/json_values.hpp"

namespace fuelring {

namespace {

using nlohmann::json;

constexpr const char* version_key = "version of fuelring";
constexpr std::size_t method_digits = 12;

} // namespace

json method_of(const json& manifest)
{
    const auto at = [&manifest](const char* pointer) { return value_at(manifest, pointer); };
    return {{"rings", at("/configuration/rings/outer_m")},
            {"weights", at("/configuration/rings/weight")},
            {"near distance", at("/configuration/rings/near_m")},
            {"class table", at("/inputs/inputs.fuel.classes/sha256")},
            {"terrain", at("/configuration/terrain")},
            {"rank_by", at("/configuration/rank_by")},
            {"filters",
             {at("/configuration/filters/inputs.structures"),
              at("/configuration/filters/inputs.fuel")}},
            {"field corrections", {at("/corrections/sha256"), at("/corrections/rows")}},
            {version_key, at("/program/fuelring")}};
}

std::vector<std::string> method_differences(const json& before, const json& after)
{
    std::vector<std::string> names;
    for (const auto& [name, value] : after.items())
        if (before.value(name, json()) != value)
            names.push_back(name);
    return names;
}

std::string method_word(const json& method)
{
    json stable = method;
    stable.erase(version_key);
    return digest_of_bytes(stable.dump()).sha256.substr(0, method_digits);
}

} // namespace fuelring
