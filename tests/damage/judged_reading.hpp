// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "damage/damage.hpp"

#include <array>
#include <cstdint>
#include <functional>
#include <map>
#include <string>
#include <vector>

namespace fuelring::test {

/// How reading one damaged variant ended. The first three are fine.
enum class Ending : char {
    refused = 'r',  ///< an Error, which names the file and the reason
    same = 's',     ///< with the figures of the pristine file
    other = 'o',    ///< with other figures: the format does not let the damage be seen
    internal = 'i', ///< an exception that is no Error
    memory = 'm',   ///< more memory than any such file is worth
    hang = 'h',     ///< longer than the limit
    crash = 'c',    ///< the process was gone
};

/// A kind of input: its files, and what reads them.
struct Format {
    std::string name;
    std::map<std::string, std::string> files; ///< pristine bytes by name; each is damaged in turn
    /// Figures of what stands in a folder, as bytes. Throws: Error where it is refused.
    std::function<std::string(const std::string& folder)> read;
    /// Called when the damaged file stands in the folder, such as to seal it again.
    std::function<void(const std::string& folder)> after_damage{};
    std::string spared{}; ///< the file that is never damaged
};

struct Limits {
    int seconds = 10;              ///< for one variant
    std::int64_t megabytes = 1500; ///< resident, of the process that reads
};

struct Tally {
    std::array<std::map<Ending, std::int64_t>, damage_names.size()> by_damage{};
    std::vector<std::string> faults{}; ///< "variant 17 (number): crash"

    std::int64_t count(Ending ending) const;
    std::int64_t count(Damage damage, Ending ending) const;
};

/// Reads the variants `first` up to `last` of a format in processes of their own, each of which
/// reads as many as it survives. Everything happens below `folder`.
Tally read_variants(const Format& format, const std::string& folder, std::uint64_t first,
                    std::uint64_t last, const Limits& limits = {});

} // namespace fuelring::test
