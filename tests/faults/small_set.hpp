// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <map>
#include <string>

namespace fuelring::faults {

/// The files of a small invented set by name; each depends on the tag, so that a mixture of two
/// sets cannot pass for one.
inline std::map<std::string, std::string> small_set(const std::string& tag)
{
    constexpr std::size_t many_bytes = 70'000; // more than one page and one write buffer
    std::string many;
    while (many.size() < many_bytes)
        many += tag + ' ';
    return {
        {"a.csv", "tag\r\n" + tag + "\r\n"}, {"b.bin", many}, {"styles/a.qml", "<" + tag + "/>"}};
}

/// What a user put into the folder beside the set.
inline const std::map<std::string, std::string> user_files = {{"notes.txt", "call the ranger\n"},
                                                              {"mine/plan.txt", "plot 7\n"}};

} // namespace fuelring::faults
