# SPDX-License-Identifier: Apache-2.0
# The Debian packages, which CPack makes (scripts/package) from what `cmake --install` installs:
#   fuelring         the program, tables, manual, sample community, units of systemd
#   libfuelring-dev  the library with its headers: component `development`
#   python3-fuelring the package of Python, where it is built: component `python`
if(FUELRING_DISTRIBUTION)
    return()
endif()
set(package ${PROJECT_SOURCE_DIR}/config/package)
set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_NAME fuelring)
set(CPACK_PACKAGE_CONTACT "fuelring authors <fuelring@lists.invalid>")
set(CPACK_PACKAGING_INSTALL_PREFIX /usr)
set(CPACK_PACKAGE_DIRECTORY ${PROJECT_BINARY_DIR}/package)
set(CPACK_PACKAGE_DESCRIPTION_SUMMARY "conifers around every building of a community")
set(CPACK_STRIP_FILES ON)
set(CPACK_DEB_COMPONENT_INSTALL ON)
set(CPACK_COMPONENTS_ALL program development)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEBIAN_PACKAGE_RELEASE 1)

set(CPACK_DEBIAN_PROGRAM_PACKAGE_NAME fuelring)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SECTION science)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SHLIBDEPS ON)
# What no library says: datums and names of PROJ, letters of every script for the sheets.
set(CPACK_DEBIAN_PROGRAM_PACKAGE_DEPENDS "proj-data, fonts-noto-core")
set(CPACK_DEBIAN_PROGRAM_DESCRIPTION
"Reads building footprints and a raster of vegetation or fuel classes, and
computes for every building the exact share of conifers in the rings from its
wall out to 1.5 m, 10 m, 30 m and 100 m. It writes a table with a row for
every address, layers for desktop GIS and a raster of priorities, and from
those a ranking of neighbourhoods, a treatment plan, an account of what
changed, a page, and a sheet for every address.

It counts conifers only. It is not a probability of ignition, and a low figure
does not mean a home is safe.")
set(CPACK_DEBIAN_PROGRAM_PACKAGE_CONTROL_EXTRA
    "${package}/postinst;${package}/prerm;${package}/postrm")
set(CPACK_DEBIAN_PROGRAM_PACKAGE_CONTROL_STRICT_PERMISSION ON)

set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_NAME libfuelring-dev)
set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_SECTION libdevel)
set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_DEPENDS "libgeos-dev, libfmt-dev")
set(CPACK_DEBIAN_DEVELOPMENT_DESCRIPTION
"The library of C++ behind fuelring: footprints and a window of fuel classes in
memory go in, the exact shares of conifers within distances of the walls come
out. Headers, a static library and a package of CMake.")
set(packages fuelring libfuelring-dev)
if(FUELRING_PYTHON)
    list(APPEND packages python3-fuelring)
    list(APPEND CPACK_COMPONENTS_ALL python)
    set(CPACK_DEBIAN_PYTHON_PACKAGE_NAME python3-fuelring)
    set(CPACK_DEBIAN_PYTHON_PACKAGE_SECTION python)
    set(CPACK_DEBIAN_PYTHON_PACKAGE_SHLIBDEPS ON)
    math(EXPR next "${Python3_VERSION_MINOR} + 1")
    set(CPACK_DEBIAN_PYTHON_PACKAGE_DEPENDS
        "python3 (>= 3.${Python3_VERSION_MINOR}), python3 (<< 3.${next}), python3-numpy, proj-data")
    set(CPACK_DEBIAN_PYTHON_PACKAGE_SUGGESTS "python3-pandas, python3-geopandas, python3-rasterio")
    set(CPACK_DEBIAN_PYTHON_DESCRIPTION
"The computing part of fuelring for Python: footprints and an array of fuel
classes in memory go in, a table of the exact shares of conifers around every
building and an array of priorities come out. It opens folders of runs, too.")
endif()
include(CPack)

# Debian wants these of every package, the changelogs compressed.
function(compressed from name)
    file(MAKE_DIRECTORY ${documents})
    execute_process(COMMAND gzip -9nc ${from} OUTPUT_FILE ${documents}/${name}
                    COMMAND_ERROR_IS_FATAL ANY)
    set_property(DIRECTORY APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS ${from})
endfunction()
compressed(${PROJECT_SOURCE_DIR}/CHANGELOG.md changelog.gz)
compressed(${package}/changelog changelog.Debian.gz)
foreach(name IN LISTS packages)
    set(component program)
    if(name STREQUAL "libfuelring-dev")
        set(component development)
    elseif(name STREQUAL "python3-fuelring")
        set(component python)
    endif()
    install(FILES ${package}/copyright ${PROJECT_SOURCE_DIR}/LICENSE ${documents}/changelog.gz ${documents}/changelog.Debian.gz
            DESTINATION ${CMAKE_INSTALL_DATADIR}/doc/${name} COMPONENT ${component})
    if(EXISTS ${package}/lintian/${name})
        install(FILES ${package}/lintian/${name}
                DESTINATION ${CMAKE_INSTALL_DATADIR}/lintian/overrides COMPONENT ${component})
    endif()
endforeach()
