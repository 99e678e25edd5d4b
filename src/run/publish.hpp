// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <nlohmann/json_fwd.hpp>

#include <filesystem>
#include <functional>
#include <memory>
#include <string>
#include <vector>

namespace fuelring {

/// Publishes a set of files as the folder `out`, whole or not at all. The promises and the steps
/// are numbered at the top of publish.cpp.
class Publication {
public:
    /// Probes the place, takes the lock, repairs what an earlier run left, makes the staging
    /// folder. Throws: Error{output} or Error{locked}.
    explicit Publication(const std::filesystem::path& out);
    ~Publication(); ///< without commit(): staging goes away, `out` is as before

    const std::filesystem::path& staging() const;
    /// What repair found and did, one line each; for the log and run.json.
    const std::vector<std::string>& notes() const;

    /// Seals the set: `manifest` gets generation, run id, files (name, size, sha256), carried,
    /// notes and is written as run.json, last; then fsync, exchange, fsync, old set removed.
    /// `files` are the names made by this run; what else lies in `out` and is named by no
    /// manifest is a user's and carried over. `cancelled` is asked once, just before the exchange;
    /// it returns the signal number that asked to stop, or 0. Throws: Error{output} or
    /// Error{interrupted/terminated}; `out` is then as before.
    void commit(nlohmann::json manifest, const std::vector<std::string>& files,
                const std::function<int()>& cancelled);

private:
    struct Impl;
    std::unique_ptr<Impl> impl_;
};

} // namespace fuelring
