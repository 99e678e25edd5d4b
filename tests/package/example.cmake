# SPDX-License-Identifier: Apache-2.0
function(run)
    execute_process(COMMAND ${ARGN} RESULT_VARIABLE code OUTPUT_VARIABLE output)
    if(NOT code EQUAL 0)
        message(FATAL_ERROR "failed (${code}): ${ARGN}\n${output}")
    endif()
    set(output "${output}" PARENT_SCOPE)
endfunction()

# Builds the example against the library that is installed in `prefix`, and holds what it prints
# against figures by hand.
function(build_example example build prefix)
    run(${CMAKE_COMMAND} -S ${example} -B ${build} -DCMAKE_PREFIX_PATH=${prefix}
        -DCMAKE_CXX_COMPILER=${COMPILER} -DCMAKE_BUILD_TYPE=Release
        "-DCMAKE_CXX_FLAGS=${CXX_FLAGS} -Wall -Wextra -Werror")
    run(${CMAKE_COMMAND} --build ${build})
    run(${build}/ring_fractions)
    message(STATUS "${output}")
    # The forest begins at the east wall: in the first ring 8 x 1.5 m and two quarter discs of 1.5 m,
    # 15.534292 m2 of P r + pi r^2 = 40 x 1.5 + 7.068583 = 67.068583 m2.
    # The barn: 120 m of outer wall and a courtyard of 10 x 10 m, of which 10 x 10 - 7 x 7 = 51 m2 lie
    # within 1.5 m of a wall: 180 + 7.068583 + 51 = 238.068583 m2. Conifers begin 42 m from it, within
    # the last ring. Its courtyard is all in the first two rings: 120 x 8.5 + pi (100 - 2.25) + 49 =
    # 1376.090682 m2.
    foreach(words IN ITEMS
            "to   1.5 m:     67.069 m2, of it     67.069 m2 mapped, conifers 0.231618"
            "nearest conifer at 0.000 m"
            "to   1.5 m:    238.069 m2, of it    238.069 m2 mapped, conifers 0.000000"
            "to  10.0 m:   1376.091 m2, of it   1376.091 m2 mapped, conifers 0.000000"
            "nearest conifer at 42.000 m")
        string(FIND "${output}" "${words}" at)
        if(at EQUAL -1)
            message(FATAL_ERROR "the example does not print: ${words}")
        endif()
    endforeach()
endfunction()
