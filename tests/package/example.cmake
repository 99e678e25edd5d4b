# SPDX-License-Identifier: Apache-2.0
function(run)
    execute_process(COMMAND ${ARGN} RESULT_VARIABLE code OUTPUT_VARIABLE output)
    if(NOT code EQUAL 0)
        message(FATAL_ERROR "failed (${code}): ${ARGN}\n${output}")
    endif()
    set(output "${output}" PARENT_SCOPE)
endfunction()

# Runs a program, which prints these words.
function(prints program)
    run(${program})
    message(STATUS "${output}")
    foreach(words IN LISTS ARGN)
        string(FIND "${output}" "${words}" at)
        if(at EQUAL -1)
            message(FATAL_ERROR "${program} does not print: ${words}")
        endif()
    endforeach()
endfunction()

# One building: of the land within 30 m, 10 x 20 + 900 acos(1/3) - 10 sqrt(800) = 1025.0208 m2 lie beyond the
# forest's edge, 10 m off the wall, within 100 m 10 x 90 + 10000 acos(0.1) - 10 sqrt(9900) = 14611.3018 m2.
# The rings are 40 x 20 + 800 pi = 3313.2741 and 40 x 70 + 9100 pi = 31388.4931 m2:
# 20 x 0.309368 + 10 x (14611.3018 - 1025.0208) / 31388.4931 = 10.5158 per cent.
set(one_structure "exposure 10.5158, nearest conifer at 10.000 m")

# Builds the example against the library that is installed in `prefix`, and holds what it prints
# against figures by hand.
function(build_example example build prefix)
    run(${CMAKE_COMMAND} -S ${example} -B ${build} -DCMAKE_PREFIX_PATH=${prefix}
        -DCMAKE_CXX_COMPILER=${COMPILER} -DCMAKE_BUILD_TYPE=Release
        "-DCMAKE_CXX_FLAGS=${CXX_FLAGS} -Wall -Wextra -Werror")
    run(${CMAKE_COMMAND} --build ${build})
    # The forest begins at the east wall: in the first ring 8 x 1.5 m and two quarter discs of 1.5 m,
    # 15.534292 m2 of P r + pi r^2 = 40 x 1.5 + 7.068583 = 67.068583 m2.
    # The barn: 120 m of outer wall and a courtyard of 10 x 10 m, of which 10 x 10 - 7 x 7 = 51 m2 lie
    # within 1.5 m of a wall: 180 + 7.068583 + 51 = 238.068583 m2. Conifers begin 42 m from it, within
    # the last ring. Its courtyard is all in the first two rings: 120 x 8.5 + pi (100 - 2.25) + 49 =
    # 1376.090682 m2.
    prints(${build}/ring_fractions
           "to   1.5 m:     67.069 m2, of it     67.069 m2 mapped, conifers 0.231618"
           "nearest conifer at 0.000 m"
           "to   1.5 m:    238.069 m2, of it    238.069 m2 mapped, conifers 0.000000"
           "to  10.0 m:   1376.091 m2, of it   1376.091 m2 mapped, conifers 0.000000"
           "nearest conifer at 42.000 m")
    prints(${build}/one_structure "${one_structure}")
endfunction()

# The same without CMake, by pkg-config and the compiler. `program`: what is made.
function(build_by_pkg_config example program prefix)
    find_program(PKG_CONFIG pkg-config REQUIRED)
    file(GLOB_RECURSE found ${prefix}/lib/*fuelring.pc)
    cmake_path(GET found PARENT_PATH folder)
    set(ENV{PKG_CONFIG_PATH} ${folder})
    run(${PKG_CONFIG} --cflags --libs fuelring)
    separate_arguments(flags UNIX_COMMAND "${CXX_FLAGS} ${output}")
    run(${PKG_CONFIG} --variable=libdir fuelring)
    string(STRIP "${output}" libdir)
    run(${COMPILER} -std=c++20 -Wall -Wextra -Werror ${example}/one_structure.cpp -o ${program} ${flags}
        -Wl,-rpath,${libdir})
    prints(${program} "${one_structure}")
endfunction()
