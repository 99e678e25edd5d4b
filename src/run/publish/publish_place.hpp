// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

namespace fuelring {

/// The output folder and the names beside it that a publication uses:
/// `.NAME.lock`, `.NAME.new.RUNID` (staging), `.NAME.del.RUNID` (a set that is being removed),
/// `.NAME.state` (a cache of results), `.NAME.state.new` (the next one in the making).
struct Place {
    std::filesystem::path out;    ///< absolute, links followed
    std::filesystem::path parent; ///< exists
    std::string name;             ///< last part of `out`

    std::filesystem::path lock_file() const { return parent / ("." + name + ".lock"); }
    std::filesystem::path state_file() const { return parent / ("." + name + ".state"); }
    std::filesystem::path state_in_the_making() const { return state_file() += ".new"; }
    std::string staging_prefix() const { return "." + name + ".new."; }
    std::string retired_prefix() const { return "." + name + ".del."; }
    std::filesystem::path staging(const std::string& run_id) const
    {
        return parent / (staging_prefix() + run_id);
    }
    std::filesystem::path retired(const std::string& run_id) const
    {
        return parent / (retired_prefix() + run_id);
    }
};

/// Looks at the place without changing it: the parent is there, `out` is absent or a writable
/// folder that is no mount point, and `room_bytes` are free. Throws: Error{output}.
Place find_place(const std::filesystem::path& out, std::uint64_t room_bytes);

/// A name no other run has: time, process and a random part.
std::string make_run_id();

/// True where two folders named after `staging` can be exchanged; they are removed again.
/// Throws: Error{output} where not even folders can be made.
bool probe_exchange(const std::filesystem::path& staging);

} // namespace fuelring
