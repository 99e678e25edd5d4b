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

run(nm --dynamic --defined-only --demangle ${prefix}/lib/libfuelring.so)
foreach(name IN ITEMS "fuelring::ring_outlines(" "fuelring::repaired(" "fuelring::SurfaceTile::add("
                      "fuelring::FuelClassTable::read(" "typeinfo for fuelring::Error"
                      "fuelring_measure")
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
