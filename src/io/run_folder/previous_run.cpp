// SPDX-License-Identifier: Apache-2.0

// A set that was made before is of use only where it is whole; where it is not, the new run goes on
// without it, and says why.
#include "io/run_folder/previous_run.hpp"

#include "base/program/json_values.hpp"

namespace fuelring {

std::string PreviousRun::finished() const
{
    const nlohmann::json said = value_at(manifest, "/timings/finished");
    return said.is_string() ? said.get<std::string>() : "an unknown time";
}

PreviousRun previous_run_in(const std::filesystem::path& out, const Publication& publication)
{
    PreviousRun previous{open_published(out)};
    if (!previous.is_there())
        return previous;
    if (!previous.set.is_sound() || !publication.found_whole())
        previous.why_not = "the earlier set is damaged";
    else if (!previous.set.files.contains(tables_file))
        previous.why_not = "the earlier set is not one of fuelring map";
    return previous;
}

} // namespace fuelring
