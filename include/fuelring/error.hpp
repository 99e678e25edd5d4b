// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/export.hpp>

#include <stdexcept>
#include <string>

namespace fuelring {

/// What kind of thing failed. The value is the exit code of the program (src/manual/messages.md).
enum class Failure {
    usage = 2,         ///< command line or configuration
    input = 3,         ///< input data: files, layers, features, cells
    output = 4,        ///< an output could not be written; earlier outputs are untouched
    locked = 5,        ///< another run holds the output folder
    gate = 6,          ///< stopped by the input check; earlier outputs are untouched
    out_of_time = 7,   ///< longer than run.minutes; earlier outputs are untouched
    interrupted = 130, ///< SIGINT; earlier outputs are untouched
    terminated = 143,  ///< SIGTERM; earlier outputs are untouched
};

/// The one exception of fuelring that a user sees: what failed, where, and what to do about it.
/// Laws of the code that are broken by a programmer are std::logic_error instead.
class FUELRING_EXPORT Error : public std::runtime_error {
public:
    /// `what`: one sentence without a full stop, with the library's own reason where there is one.
    /// `where`: file, layer, feature or key; may be empty. `remedy`: what to do; may be empty.
    Error(Failure kind, const std::string& what, std::string where = {}, std::string remedy = {})
        : std::runtime_error(what), kind_(kind), where_(std::move(where)),
          remedy_(std::move(remedy))
    {}

    Failure kind() const noexcept { return kind_; }
    /// The value of its kind.
    int exit_code() const noexcept { return static_cast<int>(kind_); }
    /// Empty where there is nothing to name.
    const std::string& where() const noexcept { return where_; }
    /// Empty where there is nothing to advise.
    const std::string& remedy() const noexcept { return remedy_; }

    /// "WHERE: WHAT; REMEDY" on one line, with the parts that are there.
    std::string message() const
    {
        std::string text = where_.empty() ? std::string{what()} : where_ + ": " + what();
        if (!remedy_.empty())
            text += "; " + remedy_;
        return text;
    }

private:
    Failure kind_;
    std::string where_;
    std::string remedy_;
};

} // namespace fuelring
