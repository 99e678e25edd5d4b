#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Fails where a source includes a room that does not stand on a lower floor or that its own room does
not link, where a folder outgrows 25 files, and where two headers define the same type, since most rooms
share one namespace. The floors are the lines of the lists rooms_of_... in src/CMakeLists.txt.

includes.py PROJECT            judges the sources
includes.py PROJECT --control  plants an arrow upwards, one sideways, one without a link, a room without a
                               floor, a crowded folder and a type defined twice in copies of the sources,
                               and fails where one is not found"""

import pathlib
import re
import shutil
import sys
import tempfile

FILES_OF_A_FOLDER = 25
NOT_ROOMS = {".", "manual/example"}


def floors(src):
    """Room -> floor, counted from the ground."""
    text = (src / "CMakeLists.txt").read_text()
    lists = re.findall(r"set\(rooms_of_\w+\n(.*?)\)", text, re.S)
    lines = [line.split() for some in lists for line in some.splitlines()]
    return {room: floor for floor, line in enumerate(lines) for room in line}


def linked(src):
    """Target -> the targets that its CMakeLists.txt names."""
    rooms = (re.search(r"fuelring_layer\((\w+)(.*?)\)", path.read_text(), re.S)
             for path in src.rglob("CMakeLists.txt"))
    return {room[1]: set(re.findall(r"fuelring_(\w+)", room[2])) for room in rooms if room}


def reached(target, links):
    seen, next_ones = set(), [target]
    while next_ones:
        one = next_ones.pop()
        if one not in seen:
            seen.add(one)
            next_ones += links.get(one, ())
    return seen


def complaints(src):
    floor = floors(src)
    links = linked(src)
    assert len(floor) > 30, "the lists of rooms in src/CMakeLists.txt were not understood"
    for folder in sorted({path.parent for path in src.rglob("*") if path.is_file()}):
        files = [path for path in folder.iterdir() if path.is_file()]
        if len(files) > FILES_OF_A_FOLDER:
            yield f"{folder}: {len(files)} files, more than {FILES_OF_A_FOLDER}"
    for path in sorted(src.rglob("*.[ch]pp")):
        room = str(path.parent.relative_to(src))
        if room in NOT_ROOMS:
            continue
        if room not in floor:
            yield f"{path}: {room} stands on no floor: name it in src/CMakeLists.txt"
            continue
        for included in re.findall(r'^#include "([^"]+)"', path.read_text(), re.M):
            other = str(pathlib.PurePath(included).parent)
            if other != room and floor.get(other, len(floor)) >= floor[room]:
                yield f"{path}: includes {included}, which is not on a lower floor"
            elif other.replace("/", "_") not in reached(room.replace("/", "_"), links):
                yield f"{path}: includes {included}, which its room does not link"
    places = {}
    for path in sorted(src.rglob("*.hpp")):
        text = path.read_text()
        space = (re.findall(r"^namespace ([\w:]+)", text, re.M) or [""])[0]
        for name in re.findall(r"^(?:struct|class|enum class|enum|using) (\w+) [^;{]*[{;]", text, re.M):
            places.setdefault(f"{space}::{name}", []).append(str(path))
    for name, paths in sorted(places.items()):
        if len(paths) > 1:
            yield f"{name}: defined in {' and '.join(paths)}"



def control(src):
    def arrow(copy):
        path = next((copy / "base").glob("*.cpp"))
        path.write_text('#include "run/map.hpp"\n' + path.read_text())

    def sideways(copy):
        path = next((copy / "io/vector").glob("*.cpp"))
        path.write_text('#include "io/raster/fuel_raster.hpp"\n' + path.read_text())

    def unlinked(copy):
        path = copy / "run/config/CMakeLists.txt"
        path.write_text(path.read_text().replace("fuelring_base_program", ""))

    def unknown_room(copy):
        (copy / "attic").mkdir()
        (copy / "attic/box.cpp").write_text("int box;\n")

    def crowd(copy):
        for number in range(FILES_OF_A_FOLDER + 1):
            (copy / f"base/crowd_{number}.txt").write_text("")

    def same_name(copy):
        (copy / "base/twin.hpp").write_text("namespace fuelring {\nstruct Inputs {\n};\n}\n")

    for fault in (arrow, sideways, unlinked, unknown_room, crowd, same_name):
        with tempfile.TemporaryDirectory() as folder:
            copy = pathlib.Path(folder) / "src"
            shutil.copytree(src, copy)
            fault(copy)
            if not list(complaints(copy)):
                yield f"not found: {fault.__name__}"


def main():
    src = pathlib.Path(sys.argv[1]) / "src"
    found = list(control(src) if "--control" in sys.argv else complaints(src))
    print("\n".join(found) if found else "the house stands")
    return 1 if found else 0


sys.exit(main())
