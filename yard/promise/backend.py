"""The dispatch loaded compiled or plain: one source, the same to the bit (see yard.planning.backend)."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np

from yard.planning.backend import Backend, BackendMissing, default

__all__ = ["Backend", "BackendMissing", "compile_dispatch", "compiled_form", "default", "load", "sequence"]


def load(name: Backend) -> ModuleType:
    """The dispatch for this backend, loaded once. Raises BackendMissing."""
    if name == "numba" and importlib.util.find_spec("numba") is None:
        raise BackendMissing("numba is not installed; the 'python' backend simulates without it, more slowly")
    full = f"yard.promise.dispatch_{name}"
    if full not in sys.modules:
        path = Path(__file__).with_name("dispatch.py")
        spec = importlib.util.spec_from_file_location(full, path)
        if spec is None or spec.loader is None:
            raise BackendMissing(f"{path} cannot be loaded")
        module = importlib.util.module_from_spec(spec)
        sys.modules[full] = module
        try:
            spec.loader.exec_module(module)
        except BaseException:
            del sys.modules[full]
            raise
    return sys.modules[full]


def compile_dispatch() -> None:
    """Machine code for every process to come: ten seconds of CPU, once after an installation. Raises BackendMissing."""
    load("numba").simulate.compile(compiled_form())


def compiled_form() -> tuple[Any, ...]:
    """numba's types of what the dispatch's `simulate` is given: `sequence`s and a number."""
    from numba import int64

    words = int64[::1]
    return (words, words, int64, words, words, words, words, words)


def sequence(name: Backend, values: Any) -> Any:
    """A flat sequence of 64-bit integers as this backend wants it: an array, or a list."""
    array = np.ascontiguousarray(values, dtype=np.int64).ravel()
    return array.tolist() if name == "python" else array
