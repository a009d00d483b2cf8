"""Small faults to plant in a module, one at a time: an operator, a comparison, a number or a condition changed.

Not changed: docstrings, annotations, texts, the format specifications of f-strings, and keywords that only ask for a
check (`strict`) or say how an array is stored (`dtype`).
"""

import ast
from collections.abc import Iterator
from dataclasses import dataclass

OPERATORS: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
    ast.Pow: ast.Mult,
    ast.MatMult: ast.Mult,
    ast.BitAnd: ast.BitOr,
    ast.BitOr: ast.BitAnd,
}
COMPARISONS: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.Gt),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.Lt),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
}
UNTOUCHED_KEYWORDS = frozenset({"strict", "dtype", "frozen", "copy"})


@dataclass(frozen=True)
class Mutant:
    """One fault: the how-manieth place of a module is changed, in the how-manieth way.

    Attributes
    ----------
    module : str
        Dotted name.
    place, way : int
        From 0, as `places` counts them.
    line : int
        Of the source, from 1.
    function : int
        Line of the outermost function around it, decorators included; 0 outside functions.
    words : str
        The code before and after.
    """

    module: str
    place: int
    way: int
    line: int
    function: int
    words: str


def mutants(module: str, source: str) -> list[Mutant]:
    """Return every fault that can be planted in a module."""
    tree = ast.parse(source)
    spans = [(first_line(one), one.end_lineno or one.lineno) for one in outermost_functions(tree)]
    found = []
    for number, (node, whole) in enumerate(places(tree)):
        shown = node if hasattr(whole, "body") else whole
        before, line = ast.unparse(shown), node.lineno
        function = next((first for first, last in spans if first <= line <= last), 0)
        for way in range(count_of_ways(node)):
            restore = _change(node, way)
            found.append(Mutant(module, number, way, line, function, f"{before}  ->  {ast.unparse(shown)}"))
            restore()
    return found


def planted(mutant: Mutant, source: str) -> ast.Module:
    """Return a module's tree with one fault in it."""
    tree = ast.parse(source)
    node, _ = list(places(tree))[mutant.place]
    _change(node, mutant.way)
    return tree


Place = ast.BinOp | ast.Compare | ast.BoolOp | ast.UnaryOp | ast.Constant | ast.AugAssign


def places(tree: ast.Module) -> Iterator[tuple[Place, ast.AST]]:
    """Yield every node that can be changed, in the order of the tree, and the statement that it is in."""
    yield from _places(tree, tree)


def _places(node: ast.AST, whole: ast.AST) -> Iterator[tuple[Place, ast.AST]]:
    if _is_only_text(node):
        return
    if isinstance(node, Place) and count_of_ways(node):
        yield node, whole
    for name, value in ast.iter_fields(node):
        if name in ("annotation", "returns", "decorator_list", "format_spec"):
            continue
        for child in value if isinstance(value, list) else [value]:
            if (isinstance(child, ast.keyword) and child.arg in UNTOUCHED_KEYWORDS) or not isinstance(child, ast.AST):
                continue
            is_simple = isinstance(child, ast.stmt) and not hasattr(child, "body")
            is_condition = name in ("test", "iter") and isinstance(node, ast.stmt)
            yield from _places(child, child if is_simple or is_condition else whole)


def _is_only_text(node: ast.AST) -> bool:
    return isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant) and isinstance(node.value.value, str)


def count_of_ways(node: Place) -> int:
    """Return in how many ways a node can be changed."""
    match node:
        case ast.BinOp() | ast.AugAssign():
            return int(type(node.op) in OPERATORS)
        case ast.Compare():
            return len(COMPARISONS[type(node.ops[0])])
        case ast.BoolOp():
            return 1
        case ast.UnaryOp():
            return int(isinstance(node.op, ast.USub | ast.Not | ast.Invert))
        case _:
            return int(isinstance(node.value, bool | int | float))


def _change(node: Place, way: int) -> "Undo":
    """Change a node in place; return what undoes it."""
    match node:
        case ast.BinOp() | ast.AugAssign():
            return _set(node, "op", OPERATORS[type(node.op)]())
        case ast.Compare():
            return _set(node, "ops", [COMPARISONS[type(node.ops[0])][way](), *node.ops[1:]])
        case ast.BoolOp():
            return _set(node, "op", ast.Or() if isinstance(node.op, ast.And) else ast.And())
        case ast.UnaryOp():
            if isinstance(node.op, ast.USub):
                return _set(node, "op", ast.UAdd())
            return _set(node, "operand", ast.UnaryOp(type(node.op)(), node.operand))  # not not x, ~~x
        case _:
            return _set(node, "value", _other_value(node.value))


def _other_value(value: object) -> object:
    """Return another value: a truth turned round, a whole number one more, a fraction half as large again."""
    if isinstance(value, bool):
        return not value
    if isinstance(value, int):
        return value + 1
    assert isinstance(value, float)
    return value * 1.5 if value else 1.0


class Undo:
    """What gives a node's field its former value again."""

    def __init__(self, node: ast.AST, name: str) -> None:
        self._node, self._name, self._value = node, name, getattr(node, name)

    def __call__(self) -> None:
        setattr(self._node, self._name, self._value)


def _set(node: ast.AST, name: str, value: object) -> Undo:
    undo = Undo(node, name)
    setattr(node, name, value)
    ast.fix_missing_locations(node)
    return undo


def outermost_functions(tree: ast.Module) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    """Yield the outermost functions and methods of a module."""
    waiting: list[ast.AST] = [tree]
    while waiting:
        for child in ast.iter_child_nodes(waiting.pop()):
            if isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef):
                yield child
            elif isinstance(child, ast.ClassDef | ast.If):
                waiting.append(child)


def first_line(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Return the first line of a function, decorators included."""
    return min([function.lineno, *(one.lineno for one in function.decorator_list)])
