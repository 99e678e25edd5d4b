# SPDX-License-Identifier: Apache-2.0
include(CMakeFindDependencyMacro)
find_dependency(GEOS)
find_dependency(fmt)
include(${CMAKE_CURRENT_LIST_DIR}/fuelring-targets.cmake)
