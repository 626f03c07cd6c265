"""Which tests call which function, so that a change in one is tried against those alone, the quickest first.

What the modules call while they are imported, what a cached function calls, and what stands in no function at all may
be felt by any test: then all are tried.
"""

import ast
import sys
import time
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from types import FrameType

import pytest

Function = tuple[str, int]
"""The file below the checkout and the line a function begins at, that of its first decorator."""


class CallersSeen:
    """A plugin that writes down which functions of the program each test calls, and how long it takes."""

    def __init__(self, root: Path) -> None:
        self._root = f"{root}/shopbook/"
        self._length = len(str(root)) + 1
        self._called: set[Function] = set()
        self.is_looking = True
        self.imported: set[Function] = set()
        self.callers: dict[Function, set[str]] = defaultdict(set)
        self.seconds: dict[str, float] = {}

    @pytest.hookimpl(wrapper=True)
    def pytest_collection(self) -> Iterator[None]:
        found = yield from self._traced()
        self.imported |= self._called
        return found

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        if not self.is_looking:
            return (yield)
        began = time.process_time()
        found = yield from self._traced()
        self.seconds[item.nodeid] = time.process_time() - began
        for each in self._called:
            self.callers[each].add(item.nodeid)
        return found

    def _traced(self) -> Iterator[None]:
        self._called = set()
        sys.settrace(self._see)
        try:
            return (yield)
        finally:
            sys.settrace(None)

    def _see(self, frame: FrameType, event: str, argument: object) -> None:
        code = frame.f_code
        if code.co_filename.startswith(self._root):
            self._called.add((code.co_filename[self._length :], code.co_firstlineno))

    def tests_of(self, function: Function | None) -> list[str] | None:
        """The tests that call a function, the quickest first; None where any test may feel it."""
        if function is None or function in self.imported:
            return None
        return sorted(self.callers.get(function, ()), key=lambda each: self.seconds[each])


def function_of(path: str, source: str, line: int) -> Function | None:
    """The outermost function whose body a line stands in; None for none, and for one that keeps its answers."""
    for node in _functions(ast.parse(source)):
        if node.body[0].lineno <= line <= (node.end_lineno or 0):
            first = min([node.lineno, *(each.lineno for each in node.decorator_list)])
            keeps = any("cache" in ast.unparse(each) for each in node.decorator_list)
            return None if keeps else (path, first)
    return None


def _functions(tree: ast.AST) -> Iterator[ast.FunctionDef]:
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, ast.FunctionDef):
            yield node
        elif isinstance(node, ast.ClassDef):
            yield from _functions(node)
