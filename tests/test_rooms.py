"""The rooms of the house: who may import whom, that all is described, no file too long."""

import ast
from functools import cache
from pathlib import Path

import scrapeview

HOUSE = Path(scrapeview.__file__).parent
FILES = sorted(HOUSE.rglob("*.py"))
GROUND = (
    "errors", "units", "flags", "columns", "settings", "provenance", "corrections", "targets",
    "flatness", "placements",
)  # fmt: skip
ORDER = {
    **dict.fromkeys(GROUND, 0),
    "photo": 1,
    "plane": 2,
    "film": 3,
    "bearing": 4,
    **dict.fromkeys(("confidence", "figures", "findings", "result"), 5),
    **dict.fromkeys(("reading", "joining", "json_values", "reading_json"), 6),
    "record": 7,
    "judge": 8,
    "charts": 9,
}
"""From left to right; a name that is not here lies at the edge (command line and the like)."""
EDGE = 10
MOST_LINES = 300


def room_of(path):
    return path.relative_to(HOUSE).with_suffix("").parts[0]


@cache
def tree_of(path):
    return ast.parse(path.read_text())


@cache
def imports_of(path):
    """Full dotted names of all modules a file imports, wherever in it."""
    names = []
    for node in ast.walk(tree_of(path)):
        if isinstance(node, ast.Import):
            names += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{told(path)} imports relatively"
            names += [node.module, *(f"{node.module}.{alias.name}" for alias in node.names)]
    return names


ROOMS = {room_of(file) for file in FILES}


def rooms_imported(path):
    parts = [name.split(".") for name in imports_of(path) if name.startswith("scrapeview.")]
    return {part[1] for part in parts if part[1] in ROOMS}


def told(path):
    return str(path.relative_to(HOUSE))


def test_all_rooms_of_the_list_that_exist_are_found():
    assert {"photo", "plane", "film", "bearing", "simulate", "reading"} <= {
        room_of(file) for file in FILES
    }
    assert rooms_imported(HOUSE / "reading.py") >= {"photo", "plane", "film", "bearing", "result"}


def test_a_room_imports_only_rooms_to_its_left():
    wrong = [
        f"{told(path)} imports {room}"
        for path in FILES
        if (here := room_of(path)) not in ("simulate", "__init__")
        for room in rooms_imported(path) - {here, "simulate"}
        if ORDER.get(room, EDGE) > ORDER.get(here, EDGE)
    ]
    assert wrong == []


def test_the_pipeline_never_imports_simulate():
    pipeline = [path for path in FILES if room_of(path) not in ("simulate", "__main__")]
    assert [told(path) for path in pipeline if "simulate" in rooms_imported(path)] == []


def test_only_the_dashboard_knows_of_streamlit():
    others = [path for path in FILES if room_of(path) != "dashboard"]
    assert [told(path) for path in others if "streamlit" in libraries_of(path)] == []


def test_film_and_bearing_open_no_files():
    kept_pure = [path for path in FILES if room_of(path) in ("film", "bearing")]
    files = {"pathlib", "os", "io", "PIL"}
    assert [told(path) for path in kept_pure if files & libraries_of(path)] == []
    assert [told(path) for path in kept_pure if "open" in functions_called(path)] == []


def libraries_of(path):
    return {name.split(".")[0] for name in imports_of(path)}


def functions_called(path):
    called = [node.func for node in ast.walk(tree_of(path)) if isinstance(node, ast.Call)]
    return {function.id for function in called if isinstance(function, ast.Name)}


def public_parts(tree):
    """Public functions, classes and methods, with their names."""
    for node in tree.body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
            yield node.name, node
            if isinstance(node, ast.ClassDef):
                yield from (
                    (f"{node.name}.{part.name}", part)
                    for part in node.body
                    if isinstance(part, ast.FunctionDef) and not part.name.startswith("_")
                )


def is_overload(node):
    return any(isinstance(d, ast.Name) and d.id == "overload" for d in node.decorator_list)


def test_everything_public_is_described():
    assert [told(path) for path in FILES if not ast.get_docstring(tree_of(path))] == []
    bare = [
        f"{name} of {told(path)}" for path in FILES for name in sorted(undescribed(tree_of(path)))
    ]
    assert bare == []


def undescribed(tree):
    """Names of public parts without a docstring; of an overloaded one, one docstring will do."""
    parts = list(public_parts(tree))
    overloads = {name for name, node in parts if is_overload(node)}
    return {name for name, node in parts if not ast.get_docstring(node)} - overloads


def test_no_file_grows_too_long():
    long = [told(path) for path in FILES if len(path.read_text().splitlines()) > MOST_LINES]
    assert long == []


def test_nothing_is_called_utils():
    assert not [path for path in FILES if path.stem in ("utils", "helpers", "misc", "common")]


def test_what_is_offered_exists():
    assert all(hasattr(scrapeview, name) for name in scrapeview.__all__)
