# SPDX-License-Identifier: Apache-2.0
"""library.py BUILD_FOLDER SCRATCH: every line of code that library.md shows is one of the example, which the test
`package` builds and runs; and every public header has its line."""
import re

from page import PAGES, Page


def squeezed(code):
    return re.sub(r"\s+", "", code)


page = Page("library.md")
example = "".join(squeezed((PAGES / "example" / name).read_text(encoding="utf-8"))
                  for name in ("main.cpp", "one_structure.cpp"))
lists = squeezed((PAGES / "example" / "CMakeLists.txt").read_text(encoding="utf-8"))
blocks = re.findall(r"^```(cpp|cmake)\n(.*?)^```$", page.text, flags=re.S | re.M)
assert len(blocks) >= 5, len(blocks)
for kind, block in blocks:
    for piece in block.split("\n\n"):
        assert squeezed(piece) in (example if kind == "cpp" else lists), f"not in the example:\n{piece}"
include = PAGES.parents[1] / "include" / "fuelring"
headers = {str(path.relative_to(include)) for path in include.rglob("*.hpp")} | {"version.hpp"}
missing = {name for name in headers if f"`{name}`" not in page.text}
assert not missing, f"library.md says nothing of {missing}"
print(f"{len(blocks)} blocks, {len(headers)} headers")
