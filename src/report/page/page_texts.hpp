// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string_view>

/// Scripts and styles of the page, embedded when fuelring is built (embed.cmake).
namespace fuelring::page {

extern const std::string_view leaflet_script; ///< Leaflet, as Debian packages it
extern const std::string_view leaflet_style;
extern const std::string_view leaflet_licence; ///< a paragraph a line
extern const std::string_view script;          ///< our own, assets/*.js
extern const std::string_view style;           ///< assets/page.css

} // namespace fuelring::page
