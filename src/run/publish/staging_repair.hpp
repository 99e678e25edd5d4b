// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/publish/publish_place.hpp"
#include "run/publish/publish_set.hpp"

#include <string>
#include <vector>

namespace fuelring {

using Notes = std::vector<std::string>;

/// Under the lock: brings `out` and the names beside it into order after a run that died at any
/// point (promise 2), and says so in `notes`. Returns what `out` then holds.
/// Throws: Error{output}; nothing of a user's is lost then.
/// `whole` is set to whether that is a sound set with every file as its run.json says.
PublishedSet repair(const Place& place, Notes& notes, bool& whole);

/// Removes the old set `old_folder`. What no manifest names there is a user's: unless `out` has
/// its copy, it is moved into `out` first, under its name or as `NAME.kept-TAG`.
/// Throws: Error{output}.
void retire(const std::filesystem::path& old_folder, const std::filesystem::path& out,
            const std::string& tag, Notes& notes);

/// `name` in another spelling for a file of a user whose name is taken.
std::filesystem::path kept_name(const std::filesystem::path& name, const std::string& tag);

/// Copies what is a user's in `out` into `staging` and returns the names and digests. A name that
/// `staging` has already is taken; so is run.json. Throws: Error{output}.
NamedDigests carry_over(const Place& place, const PublishedSet& set,
                        const std::filesystem::path& staging, const std::string& run_id,
                        Notes& notes);

} // namespace fuelring
