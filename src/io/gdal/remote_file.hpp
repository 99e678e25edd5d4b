// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>

namespace fuelring {

/// What a server says of a file, to see whether it changed; empty texts where it does not say.
struct RemoteFacts {
    std::uint64_t size = 0;
    std::string etag;
    std::string modified; ///< as the server writes it

    /// False where equal facts prove nothing: a file of the same size may hold other bytes.
    bool tell_changes() const { return !etag.empty() || !modified.empty(); }
    bool operator==(const RemoteFacts&) const = default;
};

/// How a configured input that is no plain local file is looked at.
struct RemoteState {
    enum class Kind {
        database, ///< no file: a database, a service, XML; changes cannot be seen
        absent,   ///< the server did not answer, or has no such file
        file,
    } kind = Kind::database;
    RemoteFacts facts{}; ///< of a file

    bool operator==(const RemoteState&) const = default;
};

/// Asks the server again, whatever GDAL remembers of the file.
/// Source: RFC 9110, 8.8 (validators).
/// Costs a request to the server. A path without /vsi or a URL of http, https or ftp is a database.
/// Throws nothing.
RemoteState remote_state(const std::string& path);

} // namespace fuelring
