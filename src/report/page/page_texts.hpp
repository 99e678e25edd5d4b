// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string_view>

/// Scripts and styles of the page, embedded when fuelring is built (embed.cmake).
namespace fuelring::page {

extern const std::string_view leaflet_script; ///< Leaflet, as Debian packages it
extern const std::string_view leaflet_style;
extern const std::string_view script; ///< our own, src/report/page/*.js
extern const std::string_view style;  ///< src/report/page/page.css

} // namespace fuelring::page
