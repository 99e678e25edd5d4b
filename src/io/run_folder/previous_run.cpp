// SPDX-License-Identifier: Apache-2.0
#include "io/run_folder/previous_run.hpp"

namespace fuelring {

std::string PreviousRun::finished() const
{
    const nlohmann::json::json_pointer at{"/timings/finished"};
    return manifest.contains(at) && manifest.at(at).is_string() ? manifest.at(at).get<std::string>()
                                                                : "an unknown time";
}

PreviousRun previous_run_in(const std::filesystem::path& out, const Publication& publication)
{
    PreviousRun previous{open_published(out)};
    if (!previous.is_there())
        return previous;
    if (!previous.set.is_sound() || !publication.found_whole())
        previous.why_not = "the earlier set is damaged";
    else if (!previous.set.files.contains("fuelring.gpkg"))
        previous.why_not = "the earlier set is not one of fuelring map";
    return previous;
}

} // namespace fuelring
