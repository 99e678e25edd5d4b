# SPDX-License-Identifier: Apache-2.0
"""links.py: README, DEVELOPERS.md, the pages of the manual and the READMEs of folders have no dead link, anchor or
path, README stays short, and figures of speed, scale and sweeps stand only where a script wrote them.

links.py --control plants each fault in a copy, and fails where one is not found.
links.py --installed FOLDER looks at the links of the pages as they are installed."""
import pathlib
import re
import shutil
import sys
import tempfile

ROOT = pathlib.Path(__file__).resolve().parents[2]
LINES_OF_README = 160
MEASURED = re.compile(r"<!-- measured: (\w+) -->\n(.*?)<!-- end -->\n", re.S)
SOURCE = re.compile(r"^Written by `scripts/measure (\w+)` on \d{4}-\d\d-\d\d, commit [0-9a-f]{7,40}.*, on .+\.$", re.M)
# A time or a size that somebody measured, unless its paragraph sets it as a bound or a default.
FIGURE = re.compile(r"(?<![-\w.])\d[\d,.]* ?(?:cpu s|s|ms|minutes|kB|MB|MiB|GB|GiB)\b")
BOUND = re.compile(r"below|at most|less than|more than|or more|within|limit|planning default|The service may|takes about|refuse")


def anchor(heading):
    text = re.sub(r"[`*]|\[([^]]*)\]\([^)]*\)", lambda found: found.group(1) or "", heading.strip().lower())
    return re.sub(r"[^\w\- ]", "", text).replace(" ", "-")


def without_code(text):
    return re.sub(r"^```.*?^```$|^ {4}[^\n]*$", "", text, flags=re.S | re.M)


def anchors(path):
    return {anchor(line.lstrip("#")) for line in without_code(path.read_text(encoding="utf-8")).splitlines()
            if re.match(r"#+ ", line)}


def dead_links(page):
    for target in re.findall(r"\]\(([^)\s]+)\)", without_code(page.read_text(encoding="utf-8"))):
        if re.match(r"\w+:", target):
            continue
        name, _, part = target.partition("#")
        other = (page.parent / name).resolve() if name else page
        if not other.exists():
            yield f"{page}: {target} leads nowhere"
        elif part and part not in anchors(other):
            yield f"{page}: {target}: there is no such heading"


def names_of_files(root):
    return {path.name for folder in ("src", "include", "tests", "scripts", "config")
            for path in (root / folder).rglob("*.*")}


def dead_paths(root, page, names):
    """Places in the source that the page names: a file, a folder, or a file without its ending; from the root, or in a
    folder's README from there."""
    of_folder = page.name == "README.md" and page.parent != root
    bases = [page.parent, page.parent.parent, root / "src", root / "include", root] if of_folder else [root]
    text = page.read_text(encoding="utf-8")
    in_words = re.findall(r"(?<![\w/.*$-])(?:src|include|tests|scripts)/[\w./*-]*[\w*]", text)
    for code in [*in_words, *re.findall(r"`([^`\n]+)`", text)]:
        paths = [code] if code in in_words else []
        if page.parent != root / "src/manual":
            if re.fullmatch(r"\w+\.(?:cpp|hpp|py|js|cmake)", code) and "NAME" not in code and code not in names:
                yield f"{page}: there is no file {code}"
            if of_folder and re.fullmatch(r"[a-z_]+(?:/[a-z_]+)+(?:\.[a-z]+)?", code):
                paths = [code]
        for path in paths:
            there = any(list(base.glob(path.rstrip("/") + ending)) for ending in ("", ".*") for base in bases)
            if not there and not re.search("NAME|TARGET", path):
                yield f"{page}: there is no {path}"


def figures_without_source(page):
    text = page.read_text(encoding="utf-8")
    for name, block in MEASURED.findall(text):
        source = SOURCE.search(block)
        if block.strip() and (not source or source.group(1) != name):
            yield f"{page}: the block {name} does not say who measured it, when, of what commit and where"
    for paragraph in re.sub(r"`[^`]*`", "", without_code(MEASURED.sub("", text))).split("\n\n"):
        for figure in FIGURE.findall(paragraph):
            if not BOUND.search(paragraph):
                yield f"{page}: {figure!r} was measured by nobody: let scripts/measure write it"


def complaints(root):
    pages = [root / "README.md", root / "DEVELOPERS.md", *sorted((root / "src/manual").glob("*.md"))]
    assert len(pages) > 15, pages
    names = names_of_files(root)
    for page in pages:
        yield from figures_without_source(page)
    for page in [*pages, *sorted(page for folder in ("src", "tests") for page in (root / folder).rglob("README.md"))]:
        yield from dead_links(page)
        yield from dead_paths(root, page, names)
    lines = len((root / "README.md").read_text(encoding="utf-8").splitlines())
    if lines > LINES_OF_README:
        yield f"README.md has {lines} lines, more than {LINES_OF_README}"
    linked = set(re.findall(r"\(src/manual/([\w.]+)", (root / "README.md").read_text(encoding="utf-8")))
    for page in pages[2:]:
        if page.name not in linked:
            yield f"README.md leads nobody to {page.name}"


def control():
    right = len(list(complaints(ROOT)))
    faults = {
        "a link": ("README.md", "[x](src/manual/nothing.md)\n"),
        "an anchor": ("src/manual/report.md", "[x](outputs.md#no-such-heading)\n"),
        "a path": ("DEVELOPERS.md", "`src/run/nothing.cpp`\n"),
        "a file": ("DEVELOPERS.md", "`nothing.cpp`\n"),
        "a path in a folder's README": ("src/report/README.md", "`io/nothing`\n"),
        "a figure": ("src/manual/performance.md", "\n\nA run takes 0.8 s here.\n"),
        "a block without its source": ("src/manual/evidence.md", "<!-- measured: x -->\n12 faults\n<!-- end -->\n"),
        "a long README": ("README.md", "\n" * LINES_OF_README),
    }
    with tempfile.TemporaryDirectory() as folder:
        copy = pathlib.Path(folder) / "project"
        shutil.copytree(ROOT, copy, ignore=shutil.ignore_patterns("build", ".git", "out", ".out*"))
        for name, (page, text) in faults.items():
            path = copy / page
            before = path.read_bytes()
            path.write_bytes(before + text.encode())
            assert len(list(complaints(copy))) > right, f"{name} was not found"
            path.write_bytes(before)
    print(f"{len(faults)} faults found")


def of_installed(folder):
    pages = sorted(pathlib.Path(folder).glob("*.md"))
    assert len(pages) > 15, pages
    for page in pages:
        # The library's page comes with the other package.
        yield from (fault for fault in dead_links(page) if "../libfuelring-dev/" not in fault)


if sys.argv[1:] == ["--control"]:
    control()
else:
    found = list(of_installed(sys.argv[2]) if sys.argv[1:2] == ["--installed"] else complaints(ROOT))
    print("\n".join(found) or "no dead link, no figure without its source")
    sys.exit(1 if found else 0)
