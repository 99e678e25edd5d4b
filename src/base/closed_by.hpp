// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace fuelring {

/// Deleter of a C handle: std::unique_ptr<T, ClosedBy<close>> gives it back by the function of its
/// library. Stateless, so that the pointer is as small as the handle. What `close` returns is lost:
/// whoever writes looks for failures before.
///
///     using FilePtr = std::unique_ptr<std::FILE, ClosedBy<std::fclose>>;
template <auto close>
struct ClosedBy {
    template <typename T>
    void operator()(T* handle) const noexcept
    {
        close(handle);
    }
};

} // namespace fuelring
