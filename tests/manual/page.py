# SPDX-License-Identifier: Apache-2.0
"""A page of the manual: its commands, run exactly as they are printed, and its tables."""
import os
import pathlib
import re
import shutil
import subprocess

PAGES = pathlib.Path(__file__).resolve().parents[2] / "src" / "manual"


class Page:
    def __init__(self, name):
        self.text = (PAGES / name).read_text(encoding="utf-8")
        self.blocks = re.findall(r"^```sh\n(.*?)^```$", self.text, flags=re.S | re.M)

    def run(self, build, scratch):
        """All blocks, one after the other in one shell, with the installed program; the output of each."""
        shutil.rmtree(scratch, ignore_errors=True)
        os.makedirs(scratch)
        prefix = os.path.join(scratch, "prefix")
        subprocess.run(["cmake", "--install", build, "--prefix", prefix, "--component", "program"],
                       check=True, stdout=subprocess.DEVNULL)
        folder = os.path.join(scratch, "home")
        os.makedirs(folder)
        mark = "--- next block ---"
        script = "set -euo pipefail\n" + f"echo '{mark}'\n".join(self.blocks)
        environment = dict(os.environ, PATH=f"{prefix}/bin:{os.environ['PATH']}", HOME=folder)
        done = subprocess.run(["bash", "-c", script], cwd=folder, env=environment, text=True,
                              stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        assert done.returncode == 0, f"ends with {done.returncode}:\n{done.stdout}\n{done.stderr}"
        self.errors = done.stderr
        return folder, done.stdout.split(mark + "\n")

    def table(self, first_heading):
        """Rows of the table that begins with this heading, as dictionaries of texts."""
        lines = iter(self.text.splitlines())
        heading = next(line for line in lines if line.startswith(f"| {first_heading} |"))
        names = [name.strip() for name in heading.strip("|").split("|")]
        next(lines)
        rows = []
        for line in lines:
            if not line.startswith("|"):
                break
            rows.append(dict(zip(names, (cell.strip() for cell in line.strip("|").split("|")))))
        return rows

    def sums(self):
        """Every 'A = B = C' of the text in which all sides are arithmetic with x for times."""
        found = []
        for line in self.text.splitlines():
            for chain in re.findall(r"[0-9(][-0-9.,x+/() ]*(?: = [0-9(][-0-9.x+/() ]*[0-9)])+", line):
                sides = [side.strip().replace("x", "*") for side in chain.split(" = ")]
                found.append((chain, [(eval(side, {"__builtins__": {}}), decimals(side)) for side in sides]))
        return found


def decimals(side):
    """Of its last number."""
    return len(side.rpartition(".")[2]) if "." in side else 0


def without_tools(*names):
    """The first of the programs that is not there."""
    return next((name for name in names if shutil.which(name) is None), None)
