"""The rooms of the house: who may import whom, that all is described, no file too long."""

import ast
from pathlib import Path

import pytest

import scrapeview

HOUSE = Path(scrapeview.__file__).parent
FILES = sorted(HOUSE.rglob("*.py"))
GROUND = (
    "errors", "units", "flags", "columns", "settings", "provenance", "corrections", "targets",
    "flatness",
)  # fmt: skip
ORDER = {
    **dict.fromkeys(GROUND, 0),
    "photo": 1,
    "plane": 2,
    "film": 3,
    "bearing": 4,
    **dict.fromkeys(("confidence", "figures", "findings", "result"), 5),
    **dict.fromkeys(("reading", "json_values", "reading_json"), 6),
    "record": 7,
    "judge": 8,
    "charts": 9,
}
"""From left to right; a name that is not here lies at the edge (command line and the like)."""
EDGE = 10
MOST_LINES = 300


def room_of(path):
    return path.relative_to(HOUSE).with_suffix("").parts[0]


def imports_of(path):
    """Full dotted names of all modules a file imports, wherever in it."""
    names = []
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Import):
            names += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path.name} imports relatively"
            names += [node.module, *(f"{node.module}.{alias.name}" for alias in node.names)]
    return names


def rooms_imported(path):
    known = {room_of(file) for file in FILES}
    parts = [name.split(".") for name in imports_of(path) if name.startswith("scrapeview.")]
    return {part[1] for part in parts if part[1] in known}


def told(path):
    return str(path.relative_to(HOUSE))


def test_all_rooms_of_the_list_that_exist_are_found():
    assert {"photo", "plane", "film", "bearing", "simulate", "reading"} <= {
        room_of(file) for file in FILES
    }
    assert rooms_imported(HOUSE / "reading.py") >= {"photo", "plane", "film", "bearing", "result"}


@pytest.mark.parametrize("path", FILES, ids=told)
def test_a_room_imports_only_rooms_to_its_left(path):
    here = room_of(path)
    if here in ("simulate", "__init__"):
        return
    for room in rooms_imported(path) - {here, "simulate"}:
        assert ORDER.get(room, EDGE) <= ORDER.get(here, EDGE), f"{told(path)} imports {room}"


@pytest.mark.parametrize("path", FILES, ids=told)
def test_the_pipeline_never_imports_simulate(path):
    if room_of(path) not in ("simulate", "__main__"):
        assert "simulate" not in rooms_imported(path)


@pytest.mark.parametrize("path", FILES, ids=told)
def test_only_the_dashboard_knows_of_streamlit(path):
    if room_of(path) != "dashboard":
        assert not any(name.split(".")[0] == "streamlit" for name in imports_of(path))


@pytest.mark.parametrize("path", FILES, ids=told)
def test_film_and_bearing_open_no_files(path):
    if room_of(path) in ("film", "bearing"):
        assert not {"pathlib", "os", "io", "PIL"} & {n.split(".")[0] for n in imports_of(path)}
        called = [n.func for n in ast.walk(ast.parse(path.read_text())) if isinstance(n, ast.Call)]
        assert not any(isinstance(f, ast.Name) and f.id == "open" for f in called)


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


@pytest.mark.parametrize("path", FILES, ids=told)
def test_everything_public_is_described(path):
    tree = ast.parse(path.read_text())
    assert ast.get_docstring(tree), f"{told(path)} has no docstring"
    bare = [n for n, node in public_parts(tree) if not ast.get_docstring(node)]
    overloads = {n for n, node in public_parts(tree) if is_overload(node)}
    assert not set(bare) - overloads


@pytest.mark.parametrize("path", FILES, ids=told)
def test_no_file_grows_too_long(path):
    assert len(path.read_text().splitlines()) <= MOST_LINES


def test_nothing_is_called_utils():
    assert not [path for path in FILES if path.stem in ("utils", "helpers", "misc", "common")]


def test_what_is_offered_exists():
    assert all(hasattr(scrapeview, name) for name in scrapeview.__all__)
