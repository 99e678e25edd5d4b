// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <string>

namespace fuelring {

/// How long a server may keep a run waiting, for remote inputs: GDAL itself would wait for ever.
struct HttpDefault {
    const char* name;
    const char* value;
};
/// Planning defaults; the environment and GDAL's configuration files go before.
inline constexpr std::array<HttpDefault, 6> http_defaults{{{"GDAL_HTTP_CONNECTTIMEOUT", "10"},
                                                           {"GDAL_HTTP_TIMEOUT", "60"},
                                                           {"GDAL_HTTP_LOW_SPEED_TIME", "20"},
                                                           {"GDAL_HTTP_LOW_SPEED_LIMIT", "1"},
                                                           {"GDAL_HTTP_MAX_RETRY", "3"},
                                                           {"GDAL_HTTP_RETRY_DELAY", "0.5"}}};

/// Makes GDAL ready for a program of fuelring: called once by main, before any thread starts.
/// Drivers are registered; no `.aux.xml` is read or written beside an input; VRTs run no Python;
/// PROJ fetches nothing, and no driver does (admit_remote_inputs); servers are not waited for
/// without end (http_defaults); GDAL's messages stay quiet, since every failure becomes an Error
/// that carries them (CPL_DEBUG still prints its traces).
void set_up_gdal();

/// Whether GDAL may fetch from other machines, which a plain local file can ask it to do: a CRS
/// given as a URL, say. Called before inputs are opened, with run.remote_inputs.
void admit_remote_inputs(bool admit);

/// While it lives, nothing is fetched on this thread, and it is known what GDAL asked for: drivers
/// take a failed fetch lightly and guess a CRS, for one.
/// Requires: destroyed on the thread that made it.
class RefusedFetch {
public:
    RefusedFetch();
    ~RefusedFetch();
    RefusedFetch(const RefusedFetch&) = delete;
    RefusedFetch& operator=(const RefusedFetch&) = delete;

    const std::string& url() const { return url_; } ///< the last one; empty where there was none

private:
    std::string url_;
};

/// At most so many bytes of decoded raster blocks are kept (GDAL's own bound is a twentieth of the
/// machine's memory). GDAL_CACHEMAX in the environment goes before.
void bound_block_cache(std::size_t bytes);

/// True for what GDAL opens by other means than a plain local file: /vsi..., PG:..., URLs, XML.
bool is_connection_string(const std::string& path);

} // namespace fuelring
