"""What holds for the whole repository: imports one way, small files, no traces of where it was written."""

from __future__ import annotations

import ast
import re
import subprocess
from importlib import import_module
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
SOURCE = ROOT / "src" / "onceapart"
RANKS = {
    "workshop": 0,
    "trade": 1,
    "sums": 1,
    "demo": 1,
    "inspection": 2,
    "planning": 2,
    "bench": 3,
    "paper": 4,
    "site": 5,
    "cli": 6,
}
"""A room imports itself and rooms of a lower rank."""
SOLVERS = {"highspy", "ortools"}
MODULES = sorted(SOURCE.rglob("*.py"))


def name_of(path: Path) -> str:
    parts = path.relative_to(SOURCE.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def room_of(module: str) -> str:
    """Room of a module of ours; empty for those at the top, which any room may import."""
    parts = module.split(".")
    return parts[1] if len(parts) > 1 and (SOURCE / parts[1]).is_dir() else ""


def imports_of(path: Path) -> set[str]:
    """Every module that a file names in an import, wherever in the file."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative imports hide which room they reach"
            assert node.module is not None
            found |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
    return found


def files_of_the_repository() -> list[Path]:
    """All that is tracked or would be; in an unpacked archive, all that is there."""
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        check=False,
    )
    if listed.returncode:
        hidden = re.compile(r"^\.(?!ci|gitignore)|__pycache__|\.egg-info$")
        inside = (path.relative_to(ROOT) for path in ROOT.rglob("*"))
        return [ROOT / path for path in inside if not any(hidden.search(part) for part in path.parts)]
    return [ROOT / name for name in listed.stdout.decode().split("\0") if name]


def test_there_is_something_to_look_at() -> None:
    assert len(MODULES) > 50
    assert {room_of(name_of(path)) for path in MODULES} >= {"workshop", "trade", "sums", "planning", "cli"}
    assert len(files_of_the_repository()) > len(MODULES)


def test_every_room_has_its_place_in_the_order() -> None:
    rooms = {path.parent.name for path in SOURCE.glob("*/__init__.py")}
    assert rooms <= set(RANKS)


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_imports_point_one_way(path: Path) -> None:
    room = room_of(name_of(path))
    for module in imports_of(path):
        if not module.startswith("onceapart."):
            continue
        other = room_of(module)
        if other and other != room:
            assert room, f"{name_of(path)} stands above no room and imports {module}"
            assert RANKS[other] < RANKS[room], f"{name_of(path)} imports {module}"


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_solvers_and_django_keep_to_their_rooms(path: Path) -> None:
    name = name_of(path)
    for module in imports_of(path):
        if module.split(".")[0] in SOLVERS:
            assert name.startswith("onceapart.planning.solve"), f"{name} imports {module}"
        if module.split(".")[0] == "django":
            assert name.startswith("onceapart.site"), f"{name} imports {module}"


def test_files_of_code_stay_small() -> None:
    long = {
        str(path.relative_to(ROOT)): lines
        for path in files_of_the_repository()
        if path.suffix == ".py" and (lines := len(path.read_text(encoding="utf-8").splitlines())) > 700
    }
    assert not long


OFFERING = [path for path in MODULES if "__all__" in path.read_text("utf-8")]


@pytest.mark.parametrize("path", [one for one in OFFERING if "site" not in one.parts], ids=name_of)
def test_what_a_module_offers_is_there(path: Path) -> None:
    """Those of the site need Django set up; ``tests/site`` looks at them."""
    module = import_module(name_of(path))
    assert len(set(module.__all__)) == len(module.__all__)
    for name in module.__all__:
        assert hasattr(module, name), name


# Put together here, so that this file does not hold what it looks for.
TRACES = {
    "host of a package registry": [
        r"\b(?:[\w-]+\.)*py" + r"pi\.(?:org|io)\b",
        r"\bpython" + r"hosted\.org\b",
        r"\bregistry\.(?:npm" + r"js|yarn" + r"pkg)\b",
        r"\b(?:proxy|sum)\.go" + r"lang\.org\b",
        r"\bcrates" + r"\.io\b",
        r"--(?:extra-)?index" + r"-url\b",
    ],
    "path of the machine it was written on": [
        r"(?<![\w.])/wo" + r"rk/",
        r"(?<![\w.])/tm" + r"p/w/",
        r"(?<![\w.~])/ro" + r"ot/",
        r"(?<![\w.])/ho" + r"me/\w+/",
        r"\.\./sha" + r"red\b",
    ],
}


@pytest.mark.parametrize("what", TRACES)
def test_no_file_holds_a(what: str) -> None:
    found = []
    for path in files_of_the_repository():
        if not path.is_file():
            continue
        text = path.read_bytes().decode("utf-8", errors="replace")
        for pattern in TRACES[what]:
            found += [f"{path.relative_to(ROOT)}: {match.group()}" for match in re.finditer(pattern, text)]
    assert not found


def test_traces_would_be_found() -> None:
    hosts, paths = TRACES.values()
    assert any(re.search(pattern, "see https://py" + "pi.org/project/x") for pattern in hosts)
    assert any(re.search(pattern, "open('/wo" + "rk/main/x')") for pattern in paths)
    assert not any(re.search(pattern, "benchmarks/work/x and root/") for pattern in paths)
