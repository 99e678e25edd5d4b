# SPDX-License-Identifier: Apache-2.0
"""Runs pytest on a folder, or says what is missing."""

import importlib.util
import sys

for module, package in (("pytest", "python3-pytest"), ("osgeo", "python3-gdal"), ("numpy", "python3-numpy")):
    if importlib.util.find_spec(module) is None:
        print(f"SKIPPED: {package} is not installed")
        sys.exit(0)

import pytest  # noqa: E402

sys.exit(pytest.main(["-q", "-p", "no:cacheprovider", *sys.argv[1:]]))
