// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/grouped.hpp"
#include "base/warnings.hpp"

#include <cstdint>
#include <string>
#include <vector>

namespace fuelring {

inline constexpr std::size_t first_few = 5;

/// A finding's text as it is said of one: "outlines cross themselves and were repaired" becomes
/// "outline crosses itself and was repaired". What follows a colon or a semicolon stays.
std::string singular_of(const std::string& text);

/// One kind of oddity met while reading: how many, and the first few of them.
class Finding {
public:
    void add(const std::string& example, std::size_t most_kept = first_few)
    {
        ++count_;
        if (examples_.size() < most_kept)
            examples_.push_back(example);
    }
    std::int64_t count() const { return count_; }
    const std::vector<std::string>& examples() const { return examples_; }

    /// Adds "N TEXT" to the warnings, unless nothing was found. TEXT is written for many.
    void report(Warnings& warnings, const std::string& key, const std::string& text) const
    {
        if (count_ > 0)
            warnings.push_back({key,
                                grouped(count_) + " " + (count_ == 1 ? singular_of(text) : text),
                                count_, examples_});
    }

private:
    std::int64_t count_ = 0;
    std::vector<std::string> examples_;
};

} // namespace fuelring
