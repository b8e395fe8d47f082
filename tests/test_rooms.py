"""The one direction: a room imports only rooms above it, never a driver, never report."""

import ast
from pathlib import Path

import leeward

SOURCE = Path(leeward.__file__).parent
ROOMS = ("board", "parts", "bench", "heat", "shields", "review")
DRIVERS = ("job", "survey", "calibrate")
FOUNDATION = ("errors", "known", "constants", "chance", "data")
ALLOWED = {
    **{room: {*FOUNDATION, *ROOMS[: i + 1]} for i, room in enumerate(ROOMS)},
    **{driver: {*FOUNDATION, *ROOMS, *DRIVERS} for driver in DRIVERS},
    **{name: {*FOUNDATION} for name in FOUNDATION},
    "report": {*FOUNDATION, *ROOMS, *DRIVERS, "report"},
    "cli": {*FOUNDATION, *ROOMS, *DRIVERS, "report", "cli"},
    "__main__": {"cli"},
    "__init__": set(),
}


def top_of(path: Path) -> str:
    """Return the room, driver or foundation that a source file belongs to."""
    return path.relative_to(SOURCE).parts[0].removesuffix(".py")


def imports(path: Path) -> set[str]:
    """Return the rooms that a source file imports, wherever in the file it does."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
        if isinstance(node, ast.ImportFrom):
            own = node.module == "leeward"
            names = [f"leeward.{alias.name}" for alias in node.names] if own else [node.module or ""]
        found |= {name.split(".")[1] for name in names if name.startswith("leeward.")}
    return found - {"__version__"}


def test_every_room_imports_only_what_stands_above_it() -> None:
    """No source file imports a room below its own, a driver from a room, or report from anything but cli."""
    wrong = {
        f"{path.relative_to(SOURCE)} imports {name}"
        for path in SOURCE.rglob("*.py")
        for name in imports(path) - ALLOWED[top_of(path)]
    }
    assert not wrong


def test_the_rule_sees_the_rooms() -> None:
    """The reader of imports finds the imports that are known to be there."""
    assert imports(SOURCE / "job.py") >= {"bench", "board", "heat", "parts", "review"}
