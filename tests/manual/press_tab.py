# SPDX-License-Identifier: Apache-2.0
"""press_tab.py SCRIPT FOLDER: types into a bash with a terminal, and reads what the tab key made."""
import os
import pty
import select
import sys
import time

script, folder = sys.argv[1:]
CASES = [
    ("fuelring ma", "fuelring map "),
    ("fuelring map --fu", "fuelring map --full "),
    ("fuelring map --log=js", "fuelring map --log=json "),
    ("fuelring map my", "fuelring map my\\ town.toml "),
    ("fuelring report o", "fuelring report out\\ folder/"),
    ("fuelring change a b --out o", "fuelring change a b --out out\\ folder/"),
]


def read_until(shell, wanted, seconds=10):
    text = ""
    end = time.monotonic() + seconds
    while wanted not in text and time.monotonic() < end:
        if select.select([shell], [], [], 0.1)[0]:
            text += os.read(shell, 4096).decode(errors="replace")
    return text


pid, shell = pty.fork()
if pid == 0:
    os.chdir(folder)
    os.environ.update(TERM="dumb", PS1="", INPUTRC="/dev/null")
    os.execvp("bash", ["bash", "--norc", "--noprofile", "-i"])
os.write(shell, f"PS1=; source '{script}'; echo rea''dy\n".encode())
assert "ready" in read_until(shell, "ready\r\n"), "bash did not start"
for typed, wanted in CASES:
    os.write(shell, typed.encode() + b"\t")
    seen = read_until(shell, wanted)
    assert wanted in seen, f"{typed!r} became {seen!r} instead of {wanted!r}"
    os.write(shell, b"\x15")  # the line goes
    read_until(shell, "\x00", 0.2)
os.write(shell, b"exit\n")
os.waitpid(pid, 0)
