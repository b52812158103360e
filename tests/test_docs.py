"""The pages say what the code does: commands, options, columns, files and names exist."""

import ast
import re
import shlex
import sys
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from typer.testing import CliRunner

import scrapeview
from scrapeview.cli import app
from scrapeview.columns import COLUMNS
from scrapeview.findings import FINDING_CODES
from scrapeview.flags import FLAG_NAMES
from scrapeview.photo.checks import CHECK_CODES
from scrapeview.photo.patches import PATCH_CODES

ROOT = Path(__file__).parents[1]
DOCS = ROOT / "docs"
PAGES = [
    *(ROOT / name for name in ("README.md", "DEVELOPERS.md", "CHANGELOG.md")),
    *(page for page in sorted(DOCS.glob("*.md")) if page.name != "tutorial_template.md"),
]
README = (ROOT / "README.md").read_text(encoding="utf-8")
sys.path.insert(0, str(DOCS))

import make_reference  # noqa: E402
from tutorial_steps import Tutorial  # noqa: E402


def text_of(name: str) -> str:
    return (DOCS / name).read_text(encoding="utf-8")


def blocks_of(language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```", README, flags=re.M | re.S)


def help_of(*command: str) -> str:
    result = CliRunner().invoke(app, [*command, "--help"], env={"COLUMNS": "200"})
    assert result.exit_code == 0
    return result.output


def command_names() -> list[str]:
    listed = help_of().split("Commands")[1]
    return re.findall(r"^\W*([a-z][a-z-]*)\s", listed, flags=re.M)


def options_of(command: str) -> set[str]:
    return set(re.findall(r"--[a-z][a-z-]*", help_of(command)))


@pytest.mark.parametrize(
    ("name", "made"),
    [
        ("columns.md", make_reference.columns_page),
        ("commands.md", make_reference.commands_page),
    ],
)
def test_generated_pages_are_up_to_date(name, made):
    assert text_of(name) == made(), "run: python docs/make_reference.py"


def test_every_column_flag_check_and_setting_is_described():
    names = [column.name for column in COLUMNS] + list(FLAG_NAMES)
    names += [check.code for check in (*CHECK_CODES, *PATCH_CODES, *FINDING_CODES)]
    names += list(scrapeview.Settings().as_dict())
    page = text_of("columns.md")
    assert len(names) > 40
    assert [name for name in names if f"`{name}`" not in page] == []


def test_every_public_field_of_a_reading_is_described():
    page = text_of("columns.md")
    fields = list(scrapeview.Reading.__dataclass_fields__)
    assert [name for name in fields if f"`{name}`" not in page] == []


def test_every_command_and_option_is_described():
    page = text_of("commands.md")
    assert {"read", "demo", "columns"} <= set(command_names())
    for command in command_names():
        assert f"`scrapeview {command}`" in page
        missing = {o for o in options_of(command) - {"--help"} if not re.search(rf"{o}\b", page)}
        assert missing == set()


def readme_calls() -> list[list[str]]:
    lines = [line for block in blocks_of("sh") for line in block.splitlines()]
    calls = [part.strip() for line in lines for part in line.split("&&")]
    return [shlex.split(c)[1:] for c in calls if re.match(r"(\.venv/bin/)?scrapeview ", c)]


def test_commands_of_the_readme_exist():
    calls = readme_calls()
    assert ["demo"] in calls
    assert len([call for call in calls if call[0] == "read"]) >= 2
    for command, *arguments in calls:
        assert command in command_names()
        named = {a for a in arguments if a.startswith("--")}
        assert named <= options_of(command)


def test_the_readme_s_read_commands_are_understood_up_to_the_missing_file(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for call in readme_calls():
        if call[0] == "read":
            result = CliRunner().invoke(app, call)
            assert result.exit_code == 2
            files = [word for word in call if word.endswith((".jpg", ".png", ".json"))]
            assert any(f"no file '{file}'" in result.output for file in files), result.output


@pytest.mark.parametrize(("marker", "does"), [("demo", "scrapeview demo"), ("tests", "pytest")])
def test_the_readme_has_one_command_a_marker_that_sets_everything_up(marker, does):
    found = re.findall(
        rf"^<!-- command: {marker} -->\n```sh\n(.*?)\n```", README, flags=re.M | re.S
    )
    assert len(found) == 1
    assert found[0].startswith("python3 -m venv .venv && .venv/bin/pip install -c constraints.txt")
    assert found[0].endswith(does)


def test_names_in_the_readme_s_python_exist():
    tree = ast.parse("\n".join(blocks_of("python")))
    uses = {
        (node.value.id, node.attr)
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name)
    }
    homes = {"scrapeview": scrapeview, "r": scrapeview.Reading}
    fields = set(scrapeview.Reading.__dataclass_fields__)
    seen = [(of, name) for of, name in uses if of in homes]
    assert len(seen) >= 8
    missing = [
        (of, name)
        for of, name in seen
        if not hasattr(homes[of], name) and not (of == "r" and name in fields)
    ]
    assert missing == []


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_linked_files_exist(page):
    links = re.findall(r"\]\(([^)#]+)\)", page.read_text(encoding="utf-8"))
    local = [link for link in links if "://" not in link]
    assert [link for link in local if not (page.parent / link).exists()] == []


def test_modules_named_for_developers_exist():
    page = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    named = re.findall(r"`((?:\w+/)*\w+\.(?:py|md))`", page)
    assert len(named) > 20
    places = (ROOT, ROOT / "scrapeview", DOCS)
    assert [name for name in named if not any((p / name).exists() for p in places)] == []


def test_every_package_that_is_needed_is_pinned_inside_its_range():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    needed = [*project["dependencies"], *project["optional-dependencies"]["dev"]]
    lines = (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines()
    pins = dict(line.split("==") for line in lines if line and not line.startswith("#"))
    pinned = {plain(name): version for name, version in pins.items()}
    for requirement in map(Requirement, needed):
        assert pinned[plain(requirement.name)] in requirement.specifier


def plain(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


def test_the_changelog_names_this_version():
    changes = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
    assert f"## {scrapeview.__version__}" in changes


def test_pictures_are_small():
    pictures = sorted((DOCS / "images").glob("*"))
    assert len(pictures) >= 5
    assert [p.name for p in pictures if p.stat().st_size > 600_000] == []


def test_the_tutorial_s_steps_mend_what_the_plain_threshold_gets_wrong():
    tutorial = Tutorial()
    naive, *_, mended = tutorial.rows
    assert abs(naive.points_error_percent) > 20
    assert abs(mended.points_error_percent) < 3
    assert mended.f1 > 0.97
    assert naive.f1 < 0.6
    assert mended.points == len(tutorial.reading.points)
    page = text_of("tutorial.md")
    assert [row.step for row in tutorial.rows if f"| {row.step} |" not in page] == []
