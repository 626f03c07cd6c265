"""Changes tried inside one run of an area's tests: read in once, run once to see who calls what, then a child a change.

A child puts the changed code into the living function, so that nothing is read in again. What stands outside of any
function, or in a module whose answers are kept, cannot be tried so.
"""

import gc
import os
import resource
from collections.abc import Callable, Iterator, Sequence
from types import CodeType, FunctionType
from typing import Any

import pytest
from hypothesis import settings

from tests.bench.callers import CallersSeen, Function
from tests.bench.mutations import Spot, changed_tree

FEW_EXAMPLES = 5
"""Of each property, when it is only asked what it calls."""

NOT_FOUND = 3
"""A child's answer where the function does not live: then the change is tried from the file."""

_SETTINGS = "_hypothesis_internal_use_settings"


class TriedInside:
    """A plugin that, instead of running the tests, tries each spot with the tests that call its function."""

    def __init__(self, seen: CallersSeen, spots: Sequence[tuple[Spot, str, Function]], longest: int) -> None:
        self._seen, self._spots, self._longest = seen, spots, longest
        self.keep: Callable[[Spot, str], None] = lambda spot, result: None

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        self._look(session)
        if session.testsfailed:
            raise SystemExit("These tests fail before anything is changed.")
        self._seen.is_looking = False
        by_name = {item.nodeid: item for item in session.items}
        for spot, source, function in self._spots:
            chosen = self._seen.tests_of(function)
            items = session.items if chosen is None else [by_name[each] for each in chosen]
            self.keep(spot, self._try(session, spot, source, function, items))
        return True

    def _look(self, session: pytest.Session) -> None:
        properties = [item.obj for item in session.items if hasattr(getattr(item, "obj", None), _SETTINGS)]
        kept = [(each, getattr(each, _SETTINGS)) for each in properties]
        for each, before in kept:
            setattr(each, _SETTINGS, settings(before, max_examples=FEW_EXAMPLES))
        _run(session, session.items)
        for each, before in kept:
            setattr(each, _SETTINGS, before)

    def _try(
        self, session: pytest.Session, spot: Spot, source: str, function: Function, items: list[pytest.Item]
    ) -> str:
        if not items:
            return "survived"
        child = os.fork()
        if not child:
            resource.setrlimit(resource.RLIMIT_CPU, (self._longest, self._longest + 1))
            put_in(spot, source, function)
            _run(session, items)
            os._exit(min(1, session.testsfailed))
        _, status = os.waitpid(child, 0)
        if os.WIFSIGNALED(status):
            return "endless"
        if os.WEXITSTATUS(status) == NOT_FOUND:
            return ""
        return "survived" if os.WEXITSTATUS(status) == 0 else "killed"


def _run(session: pytest.Session, items: Sequence[pytest.Item]) -> None:
    for item, following in zip(items, [*items[1:], None], strict=True):
        item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
        if session.testsfailed:
            return


def put_in(spot: Spot, source: str, function: Function) -> None:
    """Put the changed code into the function that lives, wherever it is held."""
    path, line = function
    changed = next(code for code in _codes(compile(changed_tree(source, spot), path, "exec")) if _is_at(code, line))
    living = [each for each in gc.get_objects() if isinstance(each, FunctionType) and _is_of(each.__code__, path, line)]
    found = [each for each in living if each.__code__.co_name == changed.co_name]
    if not found:
        os._exit(NOT_FOUND)
    for each in found:
        each.__code__ = changed


def _is_of(code: CodeType, path: str, line: int) -> bool:
    return code.co_firstlineno == line and code.co_filename.endswith(f"/{path}")


def _is_at(code: CodeType, line: int) -> bool:
    return code.co_firstlineno == line and code.co_name != "<module>" and bool(code.co_flags & 0x2)


def _codes(code: CodeType) -> Iterator[CodeType]:
    held: list[Any] = [each for each in code.co_consts if isinstance(each, CodeType)]
    for each in held:
        yield each
        yield from _codes(each)
