# SPDX-License-Identifier: Apache-2.0
"""report.html in a real browser: page_test.py FUELRING SOURCE_FOLDER [TEST...]"""
import shutil
import sys
import unittest

try:
    import websocket  # noqa: F401
except ImportError:
    print("SKIPPED: no module websocket (Debian's python3-websocket)")
    sys.exit(0)
if shutil.which("chromium") is None:
    print("SKIPPED: no chromium")
    sys.exit(0)

from areas import AreasTest  # noqa: E402, F401
from figures import CutTownTest, FiguresTest  # noqa: E402, F401
from large_town import LargeTownTest  # noqa: E402, F401
from looks import AccessibilityTest, LooksTest  # noqa: E402, F401
from tool import ToolTest  # noqa: E402, F401

unittest.main(argv=sys.argv[:1] + sys.argv[3:], verbosity=1)
