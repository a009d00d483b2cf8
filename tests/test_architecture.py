"""Who may import whom, what is loaded early, how long a module may be, and that all that is public is explained."""

import ast
import subprocess
import sys
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PACKAGE = ROOT / "templates_gen"
LONGEST_MODULE = 500
HEAVY = {"numpy", "scipy", "reportlab", "ezdxf", "pydantic", "shapely"}
LIGHT_MODULES = ("__init__", "__main__", "errors", *sorted(f"cli.{path.stem}" for path in PACKAGE.glob("cli/*.py")))
# everything that runs before a command is known

EVERYONE = {"errors", "units", "notation", "about", "words"}
ANYTHING = {"*"}
# A row for each layer, named by the beginning of its modules' names: the layers of our own and the outside libraries
# that it may import. Itself, EVERYONE and the standard library go without saying. The longest name that fits counts.
TABLE: dict[str, set[str]] = {
    "errors": set(),
    "units": set(),
    "notation": {"units"},
    "about": set(),
    "words": {"about"},
    "numerics": {"numpy", "scipy"},
    "hull": {"numerics", "numpy", "pydantic", "pydantic_core", "python_calamine", "defusedxml"},
    "fairness": {"numerics", "hull", "numpy"},
    "geometry": {"numerics", "hull", "numpy", "scipy"},
    "drawing": {"numerics", "numpy"},
    "templates": {"geometry", "drawing", "hull", "numerics", "stock", "numpy", "shapely"},
    "report": {"geometry", "fairness", "hull", "numerics", "numpy", "shapely"},
    "paper": {"drawing", "numpy", "shapely"},
    "stock": {"drawing", "geometry", "hull", "numerics", "report", "numpy", "shapely"},
    "render": set(),
    "render.pdf": {"drawing", "paper", "numpy", "reportlab"},
    "render.dxf": {"drawing", "numerics", "numpy", "shapely", "ezdxf"},
    "shop": {"geometry", "drawing", "hull", "stock", "templates", "numpy"},
    "book": {
        "geometry",
        "drawing",
        "hull",
        "paper",
        "report",
        "shop",
        "stock",
        "templates",
        "render.pdf",
        "numpy",
        "reportlab",
    },
    "look": {"geometry", "hull", "numerics", "report", "shop", "stock", "templates", "numpy"},
    "output": {"__version__"},
    "progress": set(),
    "checking": {"geometry", "hull", "render.pdf", "report", "templates"},
    "sheets": {
        "drawing",
        "geometry",
        "hull",
        "output",
        "paper",
        "render.dxf",
        "render.pdf",
        "report",
        "stock",
        "templates",
    },
    "at_boat": {"checking", "geometry", "hull", "output", "report", "sheets", "stock", "templates", "numpy"},
    "pipeline": ANYTHING,
    "cli": ANYTHING,
    "__main__": {"cli"},
    "__init__": set(),
}


@cache
def package_sources() -> dict[str, str]:
    """Return the source of every module of the package, by its dotted name without the package's own."""
    names = {path: ".".join(path.relative_to(PACKAGE).with_suffix("").parts) for path in PACKAGE.rglob("*.py")}
    return {name: path.read_text(encoding="utf-8") for path, name in names.items()}


tree_of = cache(ast.parse)
"""The syntax tree of a source; several rules look at each."""


@cache
def nodes_of(source: str) -> tuple[ast.AST, ...]:
    """Return every node of a source's syntax tree; several rules look at each."""
    return tuple(ast.walk(tree_of(source)))


def layer_of(name: str) -> str | None:
    """Return the row of the table that a module falls under: "render.dxf.layout" under "render.dxf"."""
    fits = [row for row in TABLE if name == row or name.startswith((f"{row}.", f"{row}_"))]
    return max(fits, key=len, default=None)


def imported(module: str, node: ast.AST) -> Iterator[str]:
    """Yield the dotted names that one statement of a module imports, our own without the package's name."""
    names: list[str] = []
    if isinstance(node, ast.Import):
        names = [alias.name for alias in node.names]
    elif isinstance(node, ast.ImportFrom):
        parts = ["templates_gen", *module.split(".")][: -node.level] if node.level else []
        base = ".".join([*parts, *([node.module] if node.module else [])])
        # "from templates_gen import errors" names a module, "from templates_gen.errors import Fault" does not
        names = [f"{base}.{alias.name}" for alias in node.names] if base == "templates_gen" else [base]
    yield from (name.removeprefix("templates_gen.") for name in names)


def breaches(sources: Mapping[str, str]) -> list[str]:
    """Return every import that the table does not allow, and every module that it does not know."""
    found = []
    for module, source in sorted(sources.items()):
        layer = layer_of(module)
        if layer is None:
            found.append(f"{module} is in no layer of the table")
            continue
        allowed = TABLE[layer] | EVERYONE | {layer} | sys.stdlib_module_names
        for node in nodes_of(source):
            for name in imported(module, node):
                top = name.split(".")[0]
                target = layer_of(name) or top
                if TABLE[layer] != ANYTHING and target not in allowed:
                    found.append(f"{module} imports {name}")
    return found


def early_imports(module: str, source: str) -> set[str]:
    """Return the top names of what a module imports as soon as it is loaded itself."""
    found: set[str] = set()
    waiting: list[ast.AST] = [tree_of(source)]
    while waiting:
        node = waiting.pop()
        found.update(name.split(".")[0] for name in imported(module, node))
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test):
            waiting.extend(node.orelse)
        elif not isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda):
            waiting.extend(ast.iter_child_nodes(node))
    return found


def unexplained(module: str, source: str) -> list[str]:
    """Return the module, public classes, functions and methods that have no docstring."""
    tree = tree_of(source)
    found = [] if ast.get_docstring(tree) else [module]
    waiting: list[tuple[str, ast.AST]] = [(module, node) for node in tree.body]
    while waiting:
        place, node = waiting.pop()
        if isinstance(node, ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef) and not node.name.startswith("_"):
            name = f"{place}.{node.name}"
            if not ast.get_docstring(node):
                found.append(name)
            if isinstance(node, ast.ClassDef):
                waiting.extend((name, child) for child in node.body)
    return found


def test_no_layer_imports_one_that_it_may_not_know() -> None:
    assert breaches(package_sources()) == []


@pytest.mark.parametrize(
    ("module", "source", "complaint"),
    [
        ("numerics.curves", "from templates_gen.hull.model import Hull", "numerics.curves imports hull.model"),
        ("numerics.curves", "def f():\n    import reportlab.pdfgen", "numerics.curves imports reportlab.pdfgen"),
        ("drawing.piece", "from ..geometry.shell import Shell", "drawing.piece imports geometry.shell"),
        ("paper.sheet", "from templates_gen import cli", "paper.sheet imports cli"),
        (
            "render.dxf.layout",
            "from templates_gen.paper.grid import Grid",
            "render.dxf.layout imports paper.grid",
        ),
        ("render.pdf.page", "import ezdxf", "render.pdf.page imports ezdxf"),
        ("render.pdf.page", "from ..dxf import writing", "render.pdf.page imports render.dxf"),
        ("novelty", "", "novelty is in no layer of the table"),
    ],
)
def test_the_table_finds_an_import_that_is_not_allowed(module: str, source: str, complaint: str) -> None:
    assert breaches({module: source}) == [complaint]


def test_every_row_of_the_table_that_has_modules_is_about_modules_that_exist() -> None:
    known = {layer_of(module) for module in package_sources()}
    assert {"numerics", "hull", "geometry", "drawing", "paper", "render.pdf", "render.dxf", "output"} <= known


def test_nothing_heavy_is_imported_before_a_command_is_known() -> None:
    sources = package_sources()
    for module in LIGHT_MODULES:
        assert not early_imports(module, sources[module]) & HEAVY


def test_an_early_import_is_found_wherever_it_hides() -> None:
    assert early_imports("cli", "try:\n    import numpy.linalg\nexcept ImportError:\n    pass") == {"numpy"}
    assert early_imports("cli", "class A:\n    from scipy import optimize") == {"scipy"}
    assert early_imports("cli", "def f():\n    import numpy") == set()
    assert early_imports("cli", "if TYPE_CHECKING:\n    import numpy\nelse:\n    import ezdxf") == {"ezdxf"}


def test_help_loads_nothing_heavy() -> None:
    command = [sys.executable, "-X", "importtime", "-m", "templates_gen", "--help"]
    run = subprocess.run(command, capture_output=True, text=True, check=True, cwd=ROOT)
    loaded = {line.rpartition("|")[2].strip().split(".")[0] for line in run.stderr.splitlines()}
    assert "typer" in loaded
    assert not loaded & HEAVY


def test_no_module_is_longer_than_a_person_reads_at_one_sitting() -> None:
    for path in [*PACKAGE.rglob("*.py"), *(ROOT / "tests").rglob("*.py")]:
        assert len(path.read_text(encoding="utf-8").splitlines()) <= LONGEST_MODULE, path


def test_everything_public_has_a_docstring() -> None:
    assert [name for module, source in package_sources().items() for name in unexplained(module, source)] == []


def test_a_missing_docstring_is_found() -> None:
    source = '"""A module."""\nclass A:\n    """A."""\n    def f(self): ...\n    def _g(self): ...\ndef h(): ...'
    assert sorted(unexplained("m", source)) == ["m.A.f", "m.h"]
    assert unexplained("m", "x = 1") == ["m"]
