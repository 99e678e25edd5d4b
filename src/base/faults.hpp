// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/error.hpp>

#include <algorithm>
#include <set>
#include <string>
#include <utility>
#include <vector>

namespace fuelring {

/// Several faults of one configuration and its inputs, to be told together. The Error that it is
/// is the first of them; its kind is usage where all are, else input.
class Faults : public Error {
public:
    /// Requires: at least one.
    explicit Faults(std::vector<Error> all)
        : Error{kind_of(all), all.front().what(), all.front().where(), all.front().remedy()},
          all_{std::move(all)}
    {}
    /// In the order in which they were met; never empty.
    const std::vector<Error>& all() const { return all_; }

private:
    static Failure kind_of(const std::vector<Error>& all)
    {
        const bool usage = std::all_of(all.begin(), all.end(),
                                       [](const Error& e) { return e.kind() == Failure::usage; });
        return usage ? Failure::usage : Failure::input;
    }

    std::vector<Error> all_;
};

/// What is wrong with inputs that are read one after the other: each is tried, so that one run
/// tells all.
/// For one thread.
///
///     FaultList faults;
///     faults.attempt([&] { classes = read_classes(source); });
///     faults.attempt([&] { homes = read_homes(source); });
///     faults.raise();
class FaultList {
public:
    /// Runs a step; false where it met a fault of configuration or inputs, which is then listed.
    /// Anything else that it throws goes on.
    template <typename Step>
    bool attempt(Step&& step)
    {
        try {
            step();
            return true;
        } catch (const Faults& several) {
            for (const Error& fault : several.all())
                add(fault);
        } catch (const Error& fault) {
            if (fault.kind() != Failure::usage && fault.kind() != Failure::input)
                throw;
            add(fault);
        }
        return false;
    }

    /// What is listed already stays listed once.
    /// Two faults are the same where their whole messages are, place and remedy among them.
    void add(const Error& fault)
    {
        if (messages_.insert(fault.message()).second)
            faults_.push_back(fault);
    }

    bool empty() const { return faults_.empty(); }

    /// Throws: the Error that is listed, or Faults where there are several.
    /// Nothing where none is listed.
    void raise() const
    {
        if (faults_.size() == 1)
            throw faults_.front();
        if (!faults_.empty())
            throw Faults{faults_};
    }

private:
    std::vector<Error> faults_;
    std::set<std::string> messages_; ///< of faults_
};

} // namespace fuelring
