"""The two backends of the engine: compiled by numba, or plain Python on lists. The same plan from both, to the bit.

`engine.py` is one source loaded under two names: `engine_python` and `engine_numba`.  It asks this module for the few
things in which the two differ: `jit`, three functions on words, and (for the driver) how a sequence is made.
"""

from __future__ import annotations

import importlib.util
import os
import sys
import tempfile
import threading
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any, Literal, NamedTuple, TypeVar

from yard.speech import _

Backend = Literal["numba", "python"]
F = TypeVar("F", bound=Callable[..., Any])
ENVIRONMENT = "YARD_PLANNING_BACKEND"


_loading = threading.RLock()


class BackendMissing(RuntimeError):
    """A backend was asked for by name and cannot be had."""


class Tools(NamedTuple):
    """entry: decorator of what the driver calls, with sequences.  jit: decorator of all else, which gets `words` of
    them: the bare memory, so that reading a word costs no count of references and no look at a negative index.
    low, high: lowest and highest set bit of a word above zero.  count: set bits of a word."""

    entry: Callable[[F], F]
    jit: Callable[[F], F]
    words: Callable[[Any], Any]
    low: Callable[[int], int]
    high: Callable[[int], int]
    count: Callable[[int], int]


def default() -> Backend:
    """The backend named by the environment, else numba where it can be imported."""
    named = os.environ.get(ENVIRONMENT, "")
    if named in ("numba", "python"):
        return "numba" if named == "numba" else "python"
    return "numba" if importlib.util.find_spec("numba") is not None else "python"


def load(name: Backend) -> ModuleType:
    """The engine for this backend, loaded once. Raises BackendMissing."""
    if name == "numba" and importlib.util.find_spec("numba") is None:
        raise BackendMissing(_("numba is not installed; the 'python' backend plans without it, more slowly"))
    full = f"yard.planning.engine_{name}"
    with _loading:
        return _load(full)


def _load(full: str) -> ModuleType:
    if full not in sys.modules:
        path = Path(__file__).with_name("engine.py")
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


def sequence(name: Backend, values: list[int]) -> Any:
    """A flat sequence of 64-bit integers as this backend wants it."""
    if name == "python":
        return list(values)
    import numpy

    return numpy.array(values, dtype=numpy.int64)


def tools(module_name: str) -> Tools:
    """What `engine.py` needs, by the name under which it is being loaded."""
    return _numba_tools() if module_name.endswith("_numba") else _python_tools()


def _python_tools() -> Tools:
    return Tools(
        entry=lambda function: function,
        jit=lambda function: function,
        words=lambda sequence: sequence,
        low=lambda word: (word & -word).bit_length() - 1,
        high=lambda word: word.bit_length() - 1,
        count=lambda word: word.bit_count(),
    )


def _numba_tools() -> Tools:
    _make_cache_writable()
    from llvmlite import ir  # type: ignore[import-untyped]  # it has no types
    from numba import config, extending, njit, types

    intrinsic: Callable[[Any], Any] = extending.intrinsic
    config.LOOP_VECTORIZE = config.SLP_VECTORIZE = (
        0  # nothing here is a vector: 90,000 -> 98,000 rounds/s on season M 1
    )

    def no(builder: Any) -> Any:
        del builder
        return ir.Constant(ir.IntType(1), 0)

    @intrinsic
    def low(context: Any, word: Any) -> Any:
        def build(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
            return builder.cttz(arguments[0], no(builder))

        return types.int64(types.int64), build

    @intrinsic
    def high(context: Any, word: Any) -> Any:
        def build(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
            return builder.sub(ir.Constant(ir.IntType(64), 63), builder.ctlz(arguments[0], no(builder)))

        return types.int64(types.int64), build

    @intrinsic
    def count(context: Any, word: Any) -> Any:
        def build(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
            return builder.ctpop(arguments[0])

        return types.int64(types.int64), build

    @intrinsic
    def words(context: Any, sequence: Any) -> Any:
        def build(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
            return context.make_array(sequence)(context, builder, arguments[0]).data

        return types.CPointer(types.int64)(sequence), build

    # An inner function is never called from Python: without the wrappers for that, compiling takes less time.
    bare = njit(cache=True, nogil=True, no_cpython_wrapper=True, no_cfunc_wrapper=True)

    def inner(function: Any) -> Any:
        dispatcher = bare(function)
        template = dispatcher.get_call_template

        def one_template(arguments: Any, keywords: Any) -> Any:
            """numba would compile a function again for each constant that it is called with."""
            return template(tuple(types.unliteral(argument) for argument in arguments), keywords)

        dispatcher.get_call_template = one_template
        return dispatcher

    return Tools(entry=njit(cache=True, nogil=True), jit=inner, words=words, low=low, high=high, count=count)


def _make_cache_writable() -> None:
    """numba keeps compiled code beside the source, else in the user's cache folder; where neither can be written to,
    compile into a temporary folder rather than fail."""
    if os.environ.get("NUMBA_CACHE_DIR"):
        return
    beside = Path(__file__).parent
    home = Path.home()
    if os.access(beside, os.W_OK) or os.access(home, os.W_OK):
        return
    os.environ["NUMBA_CACHE_DIR"] = str(Path(tempfile.gettempdir()) / f"yard-numba-{os.getuid()}")
