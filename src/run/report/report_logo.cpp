// SPDX-License-Identifier: Apache-2.0
#include "base/small_file.hpp"
#include "report/print/document.hpp"
#include "run/report/report_parts.hpp"

#include <fuelring/error.hpp>

#include <nlohmann/json.hpp>

#include <stdexcept>

namespace fuelring {

std::string read_logo(const RunPicture& picture)
{
    constexpr std::size_t most_bytes = 4U << 20;
    const std::string path = picture.manifest.value(
        nlohmann::json::json_pointer{"/configuration/report/logo"}, std::string{});
    if (path.empty())
        return {};
    try {
        std::string png = small_file(path, most_bytes);
        const report::Logo is_png{png};
        return png;
    } catch (const std::runtime_error& e) {
        throw Error{Failure::input, std::string{"the logo cannot be read: "} + e.what(), path,
                    "see report.logo: it is a PNG file of at most 4 MiB"};
    }
}

} // namespace fuelring
