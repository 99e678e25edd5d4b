# SPDX-License-Identifier: Apache-2.0
# Builds and installs the library alone, shared, where nothing but GEOS, fmt and Eigen is to be had, and
# the example against it. It shows what the public headers promise and hides the rest.
include(${CMAKE_CURRENT_LIST_DIR}/example.cmake)
set(prefix ${WORK_DIR}/prefix)
file(REMOVE_RECURSE ${WORK_DIR})
set(missing)
foreach(name IN ITEMS GDAL TBB nlohmann_json tomlplusplus CLI11 OpenSSL SQLite3 PkgConfig doctest)
    list(APPEND missing -DCMAKE_DISABLE_FIND_PACKAGE_${name}=ON)
endforeach()
run(${CMAKE_COMMAND} -G Ninja -S ${SOURCE_DIR} -B ${WORK_DIR}/build -DFUELRING_PROGRAM=OFF
    -DBUILD_SHARED_LIBS=ON -DFUELRING_UNITY=ON -DCMAKE_CXX_FLAGS=-O0 -DCMAKE_CXX_COMPILER=${COMPILER}
    -DCMAKE_INSTALL_LIBDIR=lib ${missing})
run(${CMAKE_COMMAND} --build ${WORK_DIR}/build --target fuelring)
run(${CMAKE_COMMAND} --install ${WORK_DIR}/build --prefix ${prefix})
build_example(${SOURCE_DIR}/src/manual/example ${WORK_DIR}/example ${prefix})
build_by_pkg_config(${SOURCE_DIR}/src/manual/example ${WORK_DIR}/by_pkg_config ${prefix})

# It needs GEOS, fmt and what every C++ program needs; headers of others are in none of its own.
run(sh -c "readelf --dynamic --wide ${prefix}/lib/libfuelring.so | sed -n 's/.*(NEEDED).*[[]lib\\([^.]*\\)[.].*/\\1/p'")
string(STRIP "${output}" needed)
string(REGEX REPLACE "[ \n]+" ";" needed "${needed}")
list(REMOVE_ITEM needed geos_c fmt stdc++ m gcc_s c)
if(needed)
    message(FATAL_ERROR "the library alone needs ${needed}, too")
endif()
execute_process(COMMAND grep -rhE "^#include <(gdal|ogr|cpl|geos|fmt|Eigen|nlohmann|tbb)" ${prefix}/include
                OUTPUT_VARIABLE foreign)
if(foreign)
    message(FATAL_ERROR "public headers include: ${foreign}")
endif()

# What the last release showed is still there; the control is a symbol that no library has.
set(symbols ${SOURCE_DIR}/tests/package/symbols)
set(kept ${SOURCE_DIR}/config/package/symbols)
run(${symbols} check ${prefix}/lib/libfuelring.so ${kept})
message(STATUS "${output}")
file(READ ${kept} text)
file(WRITE ${WORK_DIR}/more "${text}fuelring::gone(int)\n")
execute_process(COMMAND ${symbols} check ${prefix}/lib/libfuelring.so ${WORK_DIR}/more
                RESULT_VARIABLE code OUTPUT_QUIET ERROR_QUIET)
if(code EQUAL 0)
    message(FATAL_ERROR "a symbol that is gone is overlooked")
endif()

run(nm --dynamic --defined-only --demangle ${prefix}/lib/libfuelring.so)
foreach(name IN ITEMS "fuelring::ring_outlines(" "fuelring::repaired(" "fuelring::SurfaceTile::add("
                      "fuelring::FuelClassTable::read(" "typeinfo for fuelring::Error"
                      "fuelring::map_scale_at(" "fuelring::measure_all(" "fuelring_measure")
    string(FIND "${output}" "${name}" at)
    if(at EQUAL -1)
        message(FATAL_ERROR "the shared library does not show ${name}")
    endif()
endforeach()
foreach(name IN ITEMS "fuelring::coverage::" "fuelring::geos_union" "fuelring::CsvReader"
                      "fuelring::outline_of_valid" "fuelring::IncrementalUnion")
    string(FIND "${output}" "${name}" at)
    if(NOT at EQUAL -1)
        message(FATAL_ERROR "the shared library shows ${name}, which is its own")
    endif()
endforeach()
