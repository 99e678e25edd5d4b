# SPDX-License-Identifier: Apache-2.0
# Configures the project as other systems would: with packages that say they are newer (version files
# refuse more than they must) or too old, and on a system that is not Linux. Nothing is compiled.
file(REMOVE_RECURSE ${WORK_DIR})

# A copy of an installed package that says it is of another version.
function(copy_package folder version)
    cmake_path(GET folder FILENAME name)
    set(copy ${WORK_DIR}/${name}-${version})
    file(GLOB scripts ${folder}/*.cmake)
    foreach(script ${scripts})
        file(READ ${script} text)
        # Paths stay those of the installed one.
        string(REPLACE "\${CMAKE_CURRENT_LIST_FILE}" "${script}" text "${text}")
        string(REPLACE "\${CMAKE_CURRENT_LIST_DIR}" "${folder}" text "${text}")
        if(script MATCHES "Version\\.cmake$")
            string(REGEX MATCH "set ?\\(PACKAGE_VERSION \"([0-9.]+)\"" found "${text}")
            string(REPLACE "\"${CMAKE_MATCH_1}\"" "\"${version}\"" text "${text}")
        endif()
        cmake_path(GET script FILENAME file)
        file(WRITE ${copy}/${file} "${text}")
    endforeach()
    set(copy ${copy} PARENT_SCOPE)
endfunction()

# Configures with options; succeeds where `says` is empty, else fails with these words.
function(configure says)
    execute_process(COMMAND ${CMAKE_COMMAND} -G Ninja -S ${SOURCE_DIR} -B ${WORK_DIR}/build --fresh
                            -DFUELRING_TESTS=OFF ${ARGN}
                    RESULT_VARIABLE code OUTPUT_VARIABLE output ERROR_VARIABLE errors)
    string(REGEX REPLACE "[ \n]+" " " errors "${errors}")
    string(FIND "${errors}" "${says}" at)
    if((says STREQUAL "" AND NOT code EQUAL 0) OR (NOT says STREQUAL "" AND (code EQUAL 0 OR at EQUAL -1)))
        message(FATAL_ERROR "${ARGN}: ended with ${code}, expected: '${says}'\n${output}\n${errors}")
    endif()
    message(STATUS "as expected: ${ARGN}")
endfunction()

copy_package(${GDAL_DIR} 3.10.0)
set(newer -DGDAL_DIR=${copy})
copy_package(${Eigen3_DIR} 5.0.0)
list(APPEND newer -DEigen3_DIR=${copy})
copy_package(${GEOS_DIR} 4.1.0)
configure("" ${newer} -DGEOS_DIR=${copy})
copy_package(${GDAL_DIR} 3.5.9)
configure("GDAL 3.5.9 in ${copy} is too old: fuelring needs 3.6 or newer" -DGDAL_DIR=${copy})
configure("fuelring builds on Linux only, not on FreeBSD" -DCMAKE_SYSTEM_NAME=FreeBSD)

# A cross build has no program to run that writes the manual pages: it takes ready ones.
configure("a cross build cannot run what writes the manual pages" -DCMAKE_SYSTEM_NAME=Linux)
file(MAKE_DIRECTORY ${WORK_DIR}/pages/man1 ${WORK_DIR}/pages/man5 ${WORK_DIR}/pages/completions)
configure("" -DCMAKE_SYSTEM_NAME=Linux -DFUELRING_MANUAL_PAGES=${WORK_DIR}/pages)
