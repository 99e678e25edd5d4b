// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/gdal/handles.hpp"

#include <fuelring/error.hpp>

#include <cpl_error.h>
#include <unistd.h>

#include <cstdio>
#include <string>

namespace fuelring {

/// GDAL's last message of this thread, or `otherwise`. CPLErrorReset goes before the call that may
/// fail: GDAL keeps the message of an earlier one.
inline std::string gdal_reason(const std::string& otherwise = "GDAL gives no reason")
{
    const std::string reason = CPLGetLastErrorMsg();
    return reason.empty() ? otherwise : reason;
}

/// For every handler of GDAL's messages: after a fatal one (its small allocations have no other way
/// to fail) GDAL calls abort(). The process ends here instead, as a killed run does: the last
/// outputs stand, and the next run clears away what was staged. Allocates nothing.
inline void end_if_fatal(CPLErr kind, const char* text) noexcept
{
    if (kind != CE_Fatal)
        return;
    std::fprintf(stderr, "fuelring: error: out of memory; lower run.tile_cells or --jobs (%s)\n",
                 text);
    _exit(static_cast<int>(Failure::output));
}

/// Collects what GDAL reports on this thread while it lives; nothing reaches stderr.
/// GDAL 3.6 lets writes fail in returns that say success, so the writers look here as well.
/// The handler is the thread's own: a worker makes its own.
/// Requires: destroyed on the thread that made it, the last made first.
class GdalErrors {
public:
    GdalErrors() { CPLPushErrorHandlerEx(&GdalErrors::note, this); }
    ~GdalErrors() { CPLPopErrorHandler(); }
    GdalErrors(const GdalErrors&) = delete;
    GdalErrors& operator=(const GdalErrors&) = delete;

    /// Of CE_Failure and worse; warnings do not count.
    int failures() const noexcept { return failures_; }
    /// The first failure's text, or "no reason given".
    std::string reason() const { return first_.empty() ? "no reason given" : first_; }

private:
    static void CPL_STDCALL note(CPLErr kind, CPLErrorNum, const char* text) noexcept
    {
        end_if_fatal(kind, text);
        auto* self = static_cast<GdalErrors*>(CPLGetErrorHandlerUserData());
        if (kind < CE_Failure)
            return;
        ++self->failures_;
        try {
            if (self->first_.empty())
                self->first_ = text;
        } catch (...) { // out of memory: the count is what matters
        }
    }

    int failures_ = 0;
    std::string first_;
};

} // namespace fuelring
