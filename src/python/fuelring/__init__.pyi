# SPDX-License-Identifier: Apache-2.0
from collections.abc import Callable, Mapping, Sequence
from os import PathLike
from pathlib import Path
from typing import Any

import numpy
import numpy.typing

__version__: str
caution: str

class Error(RuntimeError):
    what: str
    where: str
    remedy: str
    exit_code: int

class FuelClasses:
    def __init__(self, rows: Sequence[tuple[int, str, str, float]]) -> None: ...
    @staticmethod
    def read(csv: str | PathLike[str]) -> FuelClasses: ...
    def __len__(self) -> int: ...

_Classes = str | PathLike[str] | FuelClasses | Mapping[int, tuple[str, float]]

def rings(
    footprints: Any,
    raster: numpy.typing.NDArray[Any],
    transform: Any,
    classes: _Classes | None,
    *,
    outer_m: Sequence[float] = ...,
    weight: Sequence[float] = ...,
    nodata: float | None = ...,
    crs: Any = ...,
    unknown_codes: str = ...,
    jobs: int = ...,
    progress: Callable[[int, int], object] | None = ...,
    values: str = ...,
) -> Any: ...
def priority(
    footprints: Any,
    raster: numpy.typing.NDArray[Any],
    transform: Any,
    classes: _Classes | None,
    *,
    outer_m: Sequence[float] = ...,
    weight: Sequence[float] = ...,
    nodata: float | None = ...,
    crs: Any = ...,
    unknown_codes: str = ...,
    jobs: int = ...,
    progress: Callable[[int, int], object] | None = ...,
    values: str = ...,
) -> numpy.typing.NDArray[numpy.float32]: ...

class Run:
    folder: Path
    manifest: dict[str, Any]
    def __init__(self, folder: str | PathLike[str]) -> None: ...
    def table(self, name: str) -> dict[str, list[Any]]: ...
    @property
    def addresses(self) -> dict[str, list[Any]]: ...
    @property
    def neighbourhoods(self) -> dict[str, list[Any]]: ...
    @property
    def priority(self) -> Path: ...
    @property
    def layers(self) -> Path: ...

def open(folder: str | PathLike[str]) -> Run: ...
