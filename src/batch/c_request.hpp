// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/batch.hpp>
#include <fuelring/error.hpp>
#include <fuelring/fuelring.h>

#include <cstddef>
#include <optional>
#include <span>
#include <stop_token>
#include <string>
#include <vector>

struct fuelring_classes {
    std::optional<fuelring::FuelClassTable> table{};
    double full_share = 0; ///< of shares, which need no table
};

namespace fuelring::batch {

[[noreturn]] inline void refuse(const std::string& what, const char* where, const char* remedy = "")
{
    throw Error{Failure::usage, what, where, remedy};
}

/// Footprints of C as the batch call takes them; they refer to what the caller holds.
class CFootprints {
public:
    /// Throws: Error{usage} naming the member that does not do.
    explicit CFootprints(const fuelring_footprints& from);
    const FootprintsView& view() const { return view_; }
    std::size_t size() const { return size_; }

private:
    void take_wkb(const fuelring_footprints& from);
    void take_layout(const fuelring_footprints& from);

    std::vector<std::span<const std::byte>> spans_;
    FootprintsView view_{WkbView{}};
    std::size_t size_ = 0;
};

/// A request of C, looked at and turned into what the batch call takes.
class CRequest {
public:
    /// Throws: Error{usage} naming the member that does not do; Error{input} for a grid that cannot
    /// be measured on.
    explicit CRequest(const fuelring_request* asked);
    CRequest(const CRequest&) = delete;
    CRequest& operator=(const CRequest&) = delete;

    const FootprintsView& footprints() const { return footprints_.view(); }
    std::size_t features() const { return footprints_.size(); }
    const RasterView& raster() const { return raster_; }
    const RingPlan& plan() const { return plan_; }
    const BatchOptions& options() const { return options_; }
    const FuelClassTable& classes() const
    {
        return request_.classes->table ? *request_.classes->table : no_classes_;
    }

private:
    fuelring_request request_;
    CFootprints footprints_;
    RasterView raster_;
    RingPlan plan_;
    FuelClassTable no_classes_{std::vector<FuelClass>{}};
    std::stop_source stop_;
    BatchOptions options_;
};

} // namespace fuelring::batch
