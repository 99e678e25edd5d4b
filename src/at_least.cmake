# SPDX-License-Identifier: Apache-2.0
# find_at_least(NAME VERSION ...): find_package of this version or any newer one. Version files of
# packages may accept less: GDAL's takes a request for 3.6 to mean 3.6.x, Eigen's one for 3.4 to mean
# 3.x, though we use nothing that newer ones changed.
macro(find_at_least name version)
    find_package(${name} REQUIRED ${ARGN})
    if(${name}_VERSION VERSION_LESS ${version})
        message(FATAL_ERROR "${name} ${${name}_VERSION} in ${${name}_DIR} is too old: fuelring needs "
                            "${version} or newer (another one: -D${name}_DIR=FOLDER)")
    endif()
endmacro()
