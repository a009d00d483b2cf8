"""The rules of the house that a program can check: parameters, regular expressions, code that was written twice."""

import ast
import io
import keyword
import tokenize
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from itertools import combinations

from tests.test_architecture import nodes_of, package_sources, tree_of

MOST_PARAMETERS = 6
READERS_OF_FILES = ("cli", "hull.text", "hull.positions", "hull.offsets", "hull.measured", "hull.lengths")
"""Where text that people wrote is read: only there may regular expressions be used."""

BLOCK = 6
"""Lines of code that make a block."""

THIN = 3
"""Words and signs that a line must have to count: one argument of a call on its own line does not."""

MOST_PAIRS = 4
"""Pairs of modules that may share a block: alike but for names and values."""

FOR_TESTS = {"numerics.arcs.arc_line", "render.pdf.writing.write_pdf"}
"""One-line forms of what the program does by many at once: only the tests use them."""


def is_among(module: str, places: tuple[str, ...] | frozenset[str]) -> bool:
    """Return whether a module is one of the places, lies in one, or begins with its name and an underscore."""
    return any(module == place or module.startswith((f"{place}.", f"{place}_")) for place in places)


def long_signatures(module: str, source: str) -> list[str]:
    """Return the functions of a module that take more than six parameters (`self` and `cls` do not count)."""
    found = []
    for node in nodes_of(source):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            taken = node.args
            names = [one.arg for one in (*taken.posonlyargs, *taken.args, *taken.kwonlyargs)]
            names += [one.arg for one in (taken.vararg, taken.kwarg) if one is not None]
            if len([name for name in names if name not in ("self", "cls")]) > MOST_PARAMETERS:
                found.append(f"{module}.{node.name}")
    return found


def imports_re(source: str) -> bool:
    """Return whether a module imports `re`, anywhere in it."""
    return any(
        "re" in [alias.name for alias in node.names] if isinstance(node, ast.Import) else node.module == "re"
        for node in nodes_of(source)
        if isinstance(node, ast.Import | ast.ImportFrom)
    )


def code_lines(source: str) -> dict[int, str]:
    """Return by its number each line that does something, with every name, text and number replaced.

    Left out: docstrings and comments, imports, fields of classes, headings of functions, and lines of hardly a word.
    """
    doing = set()
    for node in nodes_of(source):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            body = [one for one in node.body if not _is_text(one)]
            doing |= {line for one in body for line in range(one.lineno, (one.end_lineno or one.lineno) + 1)}
    shapes: dict[int, list[str]] = defaultdict(list)
    for token in tokenize.generate_tokens(io.StringIO(source).readline):
        if token.type in (tokenize.NAME, tokenize.NUMBER, tokenize.STRING, tokenize.OP):
            shapes[token.start[0]].append(_shape(token))
    return {
        number: " ".join(shape)
        for number, shape in sorted(shapes.items())
        if number in doing and len(shape) >= THIN and shape[0] not in ("import", "from", "def")
    }


def _is_text(node: ast.stmt) -> bool:
    return isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant) and isinstance(node.value.value, str)


def _shape(token: tokenize.TokenInfo) -> str:
    if token.type == tokenize.NAME:
        return token.string if keyword.iskeyword(token.string) else "name"
    return {tokenize.NUMBER: "0", tokenize.STRING: "text"}.get(token.type, token.string)


def blocks(source: str) -> Iterator[tuple[int, str]]:
    """Yield the first line of every block of code, and what it says."""
    lines = list(code_lines(source).items())
    for place in range(len(lines) - BLOCK + 1):
        yield lines[place][0], "\n".join(line for _, line in lines[place : place + BLOCK])


def shared_blocks(sources: Mapping[str, str]) -> dict[tuple[str, str], tuple[int, int]]:
    """Return the pairs of modules that share a block of code, and its first line in either."""
    places: dict[str, dict[str, int]] = defaultdict(dict)
    for module, source in sources.items():
        for line, block in blocks(source):
            places[block].setdefault(module, line)
    return {
        (first, second): (modules[first], modules[second])
        for modules in places.values()
        for first, second in combinations(sorted(modules), 2)
    }


def test_no_function_takes_more_than_six_parameters() -> None:
    found = {
        name
        for module, source in package_sources().items()
        if not is_among(module, ("cli",))
        for name in long_signatures(module, source)
    }
    assert found == set()


def test_regular_expressions_are_for_what_people_wrote() -> None:
    found = {module for module, source in package_sources().items() if imports_re(source)}
    assert {module for module in found if not is_among(module, READERS_OF_FILES)} == set()


def test_little_code_is_written_twice() -> None:
    found = shared_blocks(package_sources())
    assert len(found) <= MOST_PAIRS, [f"{a}:{found[a, b][0]} ~ {b}:{found[a, b][1]}" for a, b in sorted(found)]


SIX = "def f(a, b):\n" + "\n".join(f"    {name} = a.b({number}, b)" for number, name in enumerate("uvwxyz")) + "\n"


def test_what_breaks_a_rule_is_found() -> None:
    assert long_signatures("m", "def f(a, b, c, *, d, e, f): ...") == []
    assert long_signatures("m", "class A:\n    def f(self, a, b, c, d, e, *f, **g): ...") == ["m.f"]
    assert imports_re("def f():\n    from re import match")
    assert imports_re("import sys, re")
    assert not imports_re("import reportlab\nfrom templates_gen.hull import re_read")


def test_code_that_is_alike_but_for_names_and_values_is_found() -> None:
    other = SIX.replace("a.b", "c.d").replace("5, b", "6, e")
    assert shared_blocks({"one": SIX, "two": f"import os\n\n{other}"}) == {("one", "two"): (2, 4)}
    assert shared_blocks({"one": SIX, "two": other.replace("z = c", "return c")}) == {}
    assert shared_blocks({"one": SIX, "two": other.replace("    x = ", "    # a remark\n    x = ")}) != {}


def test_headings_fields_and_docstrings_are_no_code() -> None:
    source = (
        'class A:\n    a: int = 0\n    def f(self,\n        a: int):\n        """Text."""\n        return a + 1\n'
    )
    assert list(code_lines(source)) == [6]


def uses(sources: Iterable[str]) -> Counter[str]:
    """Return how often each name is read, as a variable or as an attribute."""
    nodes = (node for source in sources for node in nodes_of(source))
    return Counter(
        node.id if isinstance(node, ast.Name) else node.attr
        for node in nodes
        if isinstance(node, ast.Name | ast.Attribute) and isinstance(node.ctx, ast.Load)
    )


def definitions(source: str) -> Iterator[str]:
    """Yield the names of a module's functions, classes, constants, and of the fields of its classes."""
    for node in tree_of(source).body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            yield node.name
        if isinstance(node, ast.Assign):
            yield from (target.id for target in node.targets if isinstance(target, ast.Name))
        for part in node.body if isinstance(node, ast.ClassDef) else ():
            if isinstance(part, ast.AnnAssign) and isinstance(part.target, ast.Name):
                yield part.target.id


def test_nothing_is_defined_that_the_program_does_not_use() -> None:
    sources = package_sources()
    used = uses(sources.values())
    unused = {
        f"{module}.{name}"
        for module, source in sources.items()
        for name in definitions(source)
        if not used[name] and not name.startswith("__")
    }
    assert unused == FOR_TESTS


def test_what_is_not_used_is_noticed() -> None:
    source = "LEFT = 1\nclass Box:\n    wide: int\n    high: int\ndef area(box):\n    return box.wide\n"
    used = uses([source, "area(Box)"])
    assert [name for name in definitions(source) if not used[name]] == ["LEFT", "high"]
