"""What a process of tests makes once instead of in every test, because it is the same each time: the code of a
template, the builder of an address, the text of a statement.

Nothing of a book or an app is kept from one test to the next.
"""

from collections.abc import Callable
from types import CodeType

from flask import Flask
from jinja2.bccache import Bucket, BytecodeCache
from sqlalchemy import Connection, Engine, event
from sqlalchemy.dialects.sqlite.pysqlite import SQLiteDialect_pysqlite
from sqlalchemy.util import LRUCache
from werkzeug.routing import Rule


class _Compiled(BytecodeCache):
    """The code of each template, found by its name and the checksum of its text: a template that was changed is
    compiled again."""

    def __init__(self) -> None:
        self.kept: dict[tuple[str, str], CodeType] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        bucket.code = self.kept.get((bucket.key, bucket.checksum))

    def dump_bytecode(self, bucket: Bucket) -> None:
        assert bucket.code is not None
        self.kept[bucket.key, bucket.checksum] = bucket.code


def compile_templates_once() -> None:
    """Every app that is made reads the code of its templates from one place."""
    Flask.jinja_options = {"bytecode_cache": _Compiled()}


def build_addresses_once() -> None:
    """What builds an address out of a rule depends on the rule's words alone; it is given the rule of each app anew."""
    compiled, kept = Rule._compile_builder, {}

    def builder(rule: Rule, append_unknown: bool = True) -> Callable[..., tuple[str, str]]:
        if rule.defaults:
            return compiled(rule, append_unknown)
        key = rule.rule, tuple(rule._trace), append_unknown
        if key not in kept:
            kept[key] = compiled(rule, append_unknown)
        return kept[key]

    Rule._compile_builder = builder  # type: ignore[method-assign]


def compile_statements_once() -> None:
    """SQLite's dialects are all alike: a statement put into text for one book is not put again for the next.

    It is found by the same key by which a running program finds it for the next request.
    """
    texts = LRUCache(4000)

    @event.listens_for(Engine, "engine_connect")
    def share(connection: Connection) -> None:
        if type(connection.dialect) is SQLiteDialect_pysqlite and connection.engine._compiled_cache is not None:
            connection.engine._compiled_cache = texts

    SQLiteDialect_pysqlite.__eq__ = lambda one, other: type(one) is type(other)  # type: ignore[method-assign]
    SQLiteDialect_pysqlite.__hash__ = lambda one: hash(type(one))  # type: ignore[method-assign]
