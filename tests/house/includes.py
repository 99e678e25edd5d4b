#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Fails where a source includes a room that does not stand on a lower floor, and where a folder
outgrows 25 files. The floors are the lines of the lists rooms_of_... in src/CMakeLists.txt.

includes.py PROJECT            judges the sources
includes.py PROJECT --control  plants an arrow upwards, a room without a floor and a crowded folder
                               in copies of the sources, and fails where one is not found"""

import pathlib
import re
import shutil
import sys
import tempfile

FILES_OF_A_FOLDER = 25
NOT_ROOMS = {".", "manual", "manual/example"}


def floors(src):
    """Room -> floor, counted from the ground."""
    text = (src / "CMakeLists.txt").read_text()
    lists = re.findall(r"set\(rooms_of_\w+\n(.*?)\)", text, re.S)
    lines = [line.split() for some in lists for line in some.splitlines()]
    return {room: floor for floor, line in enumerate(lines) for room in line}


def complaints(src):
    floor = floors(src)
    assert len(floor) > 30, "the lists of rooms in src/CMakeLists.txt were not understood"
    for folder in sorted({path.parent for path in src.rglob("*") if path.is_file()}):
        files = [path for path in folder.iterdir() if path.is_file()]
        if len(files) > FILES_OF_A_FOLDER:
            yield f"{folder}: {len(files)} files, more than {FILES_OF_A_FOLDER}"
    for path in sorted(src.rglob("*.[ch]pp")):
        room = str(path.parent.relative_to(src))
        if room in NOT_ROOMS or room.startswith("manual/"):
            continue
        if room not in floor:
            yield f"{path}: {room} stands on no floor: name it in src/CMakeLists.txt"
            continue
        for included in re.findall(r'^#include "([^"]+)"', path.read_text(), re.M):
            other = str(pathlib.PurePath(included).parent)
            if other != room and floor.get(other, len(floor)) >= floor[room]:
                yield f"{path}: includes {included}, which is not on a lower floor"


def control(src):
    def arrow(copy):
        path = next((copy / "base").glob("*.cpp"))
        path.write_text('#include "run/map.hpp"\n' + path.read_text())

    def sideways(copy):
        path = next((copy / "io/vector").glob("*.cpp"))
        path.write_text('#include "io/raster/fuel_raster.hpp"\n' + path.read_text())

    def unknown_room(copy):
        (copy / "attic").mkdir()
        (copy / "attic/box.cpp").write_text("int box;\n")

    def crowd(copy):
        for number in range(FILES_OF_A_FOLDER + 1):
            (copy / f"base/crowd_{number}.txt").write_text("")

    for fault in (arrow, sideways, unknown_room, crowd):
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
