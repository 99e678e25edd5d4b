// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/error.hpp>

#include <functional>
#include <memory>
#include <string>

namespace fuelring {

/// How long a database may keep a run waiting for the next row: GDAL_HTTP_TIMEOUT of GDAL's
/// options (http_defaults), which is that of every other server.
/// Seconds, at least 1.
double server_patience_s();

/// While one of these lives, calls of GDAL may wait for a database. Its client has no bound of its
/// own for a server that goes silent, nor can such a call be broken off; so where no progress is
/// told for `server_patience_s`, the process is ended, as it is after a signal (SignalWatch): what
/// it had staged is cleared away by the next run. Does nothing for paths that name no database.
/// It starts a thread of its own, and only for a database. progress() may be called from any
/// thread.
class ServerWait {
public:
    /// `key`: the table of the configuration that names the database, such as inputs.structures.
    ServerWait(const std::string& path, const std::string& key);
    ~ServerWait();
    ServerWait(const ServerWait&) = delete;
    ServerWait& operator=(const ServerWait&) = delete;

    void progress(); ///< something came

    /// What says the error and ends the process; called from another thread. Set once, before any
    /// of these lives.
    static void end_by(std::function<void(const Error&)> end);

private:
    class Watch;
    std::unique_ptr<Watch> watch_;
};

} // namespace fuelring
