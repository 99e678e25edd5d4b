# SPDX-License-Identifier: Apache-2.0
# Writes OUT, a C++ file with the texts of files, with LF for every line's end, which is what
# an HTML parser makes of them and what the hashes in a page's policy are of.
#   cmake -DOUT=FILE -DTEXTS=name=file+file;name=file -P embed.cmake
# `name=file+file` joins files; each name becomes a std::string_view of fuelring::page.
set(code "// Made by embed.cmake.\n#include \"report/page/page_texts.hpp\"\n\nnamespace fuelring::page {\n")
foreach(entry IN LISTS TEXTS)
    string(REGEX MATCH "^([a-z_]+)=(.*)$" ignored "${entry}")
    set(name "${CMAKE_MATCH_1}")
    string(REPLACE "+" ";" files "${CMAKE_MATCH_2}")
    set(text "")
    foreach(path IN LISTS files)
        file(READ "${path}" part)
        string(REPLACE "\r\n" "\n" part "${part}")
        string(REPLACE "\r" "\n" part "${part}")
        string(APPEND text "${part}")
    endforeach()
    string(APPEND code "\nconst std::string_view ${name} = R\"embedded(${text})embedded\";\n")
endforeach()
string(APPEND code "\n} // namespace fuelring::page\n")
file(WRITE "${OUT}" "${code}")
