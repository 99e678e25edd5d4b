# SPDX-License-Identifier: Apache-2.0
# Installs the project and builds the example of the library as it is installed.
include(${CMAKE_CURRENT_LIST_DIR}/example.cmake)
set(prefix ${WORK_DIR}/prefix)
set(build ${WORK_DIR}/build)
file(REMOVE_RECURSE ${prefix} ${build})
run(${CMAKE_COMMAND} --install ${BINARY_DIR} --prefix ${prefix})
build_example(${prefix}/share/doc/libfuelring-dev/examples ${build} ${prefix})
build_by_pkg_config(${prefix}/share/doc/libfuelring-dev/examples ${WORK_DIR}/by_pkg_config ${prefix})
run(${prefix}/bin/fuelring --version)
