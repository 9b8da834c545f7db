"""Start-up loads no more than is needed, and no stage imports a later one."""

from __future__ import annotations

import ast
import json
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest

import stockwright
from example_jobs import STAIR_TREAD
from source_trees import tree_of

PACKAGE = Path(stockwright.__file__).parent
HEAVY = ("highspy", "jinja2", "numpy", "pydantic", "scipy", "shapely", "typer", "typst", "yaml")
# A fresh interpreter says which of them a call has loaded, once the call has had its say.
SCRIPT = """
import atexit, json, sys
heavy = json.loads(sys.argv.pop(1))
atexit.register(lambda: print("loaded", json.dumps([name for name in heavy if name in sys.modules])))
sys.argv[0] = "stockwright"
from stockwright.entry import main
main()
"""

THREADS = """
import atexit, os, sys
def say():
    import numpy
    print(len(os.listdir("/proc/self/task")))
atexit.register(say)
sys.argv[:] = ["stockwright", "--help"]
from stockwright.entry import main
main()
"""

# Two fields at once, as the proof has them, then one after the other.
FAULTS = """
import resource
import numpy
from stockwright.memory import keep_freed
keep_freed()
made = [numpy.ones(1_000_000) for _ in range(2)]
del made
before = resource.getrusage(resource.RUSAGE_SELF).ru_minflt
for _ in range(20):
    numpy.ones(1_000_000)
print(resource.getrusage(resource.RUSAGE_SELF).ru_minflt - before)
"""


def _loaded(*words: str, of: tuple[str, ...] = HEAVY) -> list[str]:
    call = [sys.executable, "-c", SCRIPT, json.dumps(of), *words]
    done = subprocess.run(call, capture_output=True, text=True, check=True, timeout=60)
    *said, last = done.stdout.splitlines()
    assert said
    loaded: list[str] = json.loads(last.removeprefix("loaded "))
    return loaded


def test_the_version_comes_before_any_library() -> None:
    """`--version` answers without loading a single library that is not Python's own."""
    assert _loaded("--version") == []


@pytest.mark.parametrize("words", [("--help",), ("make", "--help"), ("recipes", "--help")])
def test_help_loads_the_command_line_only(words: tuple[str, ...]) -> None:
    """Help needs typer and what typer itself needs, none of the libraries that the stages use."""
    assert set(_loaded(*words)) <= {"typer", "pydantic"}


def test_listing_posts_loads_no_geometry() -> None:
    """`posts list` loads no library for geometry, documents or pages: a post is text."""
    assert set(_loaded("posts", "list")) <= {"typer", "pydantic"}


def test_a_document_is_judged_without_geometry(tmp_path: Path) -> None:
    """A schema needs pydantic and the reader of YAML; solver, geometry and templates stay unloaded."""
    assert set(_loaded("schema", "board")) <= {"typer", "pydantic", "yaml"}


def test_a_check_loads_nothing_for_pages_and_proof() -> None:
    """`check` loads no templates, no setter of pages, no proof, and not numpy's masked arrays, 20 ms."""
    beyond = ("jinja2", "typst", "numpy.ma", "stockwright.proving", "stockwright.packet.sheet")
    assert _loaded("check", str(STAIR_TREAD), of=beyond) == []


def test_a_packet_is_made_without_masked_arrays(tmp_path: Path) -> None:
    """`make` masks nothing, so it does not load what numpy has for that either."""
    out = str(tmp_path / "out")
    beyond = ("numpy.ma", "scipy")
    assert _loaded("make", str(STAIR_TREAD), "--out", out, of=(*beyond, "typst")) == ["typst"]


@pytest.mark.skipif(sys.platform != "linux", reason="threads are counted where Linux lists them")
def test_a_call_keeps_no_second_processor_busy() -> None:
    """In a call, the library of matrices starts no thread that waits for work."""
    done = subprocess.run(
        [sys.executable, "-c", THREADS], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout.splitlines()[-1] == "1"


@pytest.mark.skipif(sys.platform != "linux", reason="what it sets is a setting of one C library")
def test_large_arrays_take_memory_that_was_freed_before() -> None:
    """Arrays made and dropped one after the other cost no page faults, once as much was freed."""
    done = subprocess.run([sys.executable, "-c", FAULTS], capture_output=True, text=True, check=True)
    assert int(done.stdout) < 20  # else hundreds: each array is asked of the system anew


# What each room of the pipeline may import of the others: what stands before it, never what comes after.
TYPES = {
    *("forces", "traces", "findings", "mistakes", "units"),
    *("machine", "hold_downs", "tooling", "job"),
}
MAY_IMPORT = {
    "forces": {"tooling", "board"},
    "documents": {"mistakes", "units", "board"},
    "board": {"units", "mistakes"},
    "bind": {*TYPES, "documents", "board", "posting"},
    "planning": {*TYPES, "board"},
    "motion": TYPES,
    "cutting": {*TYPES, "board", "planning", "motion"},
    # What a cut board tells of its machine; of documents it knows the readings only.
    "budget": {*TYPES, "documents", "board", "planning"},
    "checking": {*TYPES, "budget", "board", "planning", "motion", "cutting"},
    "posting": {"findings", "mistakes", "units", "motion", "documents"},
    "proving": set(),  # and `packet.model`, below: facts, and nothing that the planner believed
    # It starts from a packet as it lies on the disk, and reads programs as the proof does.
    "recutting": {*TYPES, "board", "motion", "posting", "proving", "packet", "playback", "calls"},
    # A picture of what the texts do: facts and texts, and the model of time.
    "playback": {"hold_downs", "motion", "proving", "packet"},
    "packet": {*TYPES, "budget", "board", "planning", "motion", "cutting", "posting", "proving"},
    # What a post's author runs: a post against what reads it back.
    "conformance": {*TYPES, "motion", "posting", "proving"},
    # A flow of its own: a dialect and a shop to programs that try a controller, and answers to a profile.
    "trying": {*TYPES, "documents", "bind", "motion", "posting", "proving", "packet"},
    # Whether a shop can run a recipe: the stages of a job, on a board made up for it.
    "fitting": {
        *TYPES,
        *("documents", "bind", "budget", "planning", "motion", "posting", "packet", "run", "calls"),
    },
    # Recipes on their way between shops: documents, packed as packets are delivered.
    "sharing": {"mistakes", "units", "documents", "calls", "packet"},
    # Documents begun by answering questions: text, and the reader that judges it.
    "starting": {"mistakes", "units", "documents", "posting", "calls"},
    # The flow of `run`, board by board, and one packet of them all.
    "batching": {
        *(*TYPES, "board", "planning", "checking", "packet", "proving", "posting", "run", "calls"),
        *("progress", "memory"),
    },
    # A flow of its own beside `run`, from the documents to a packet.
    "probing": {
        *TYPES,
        *("documents", "bind", "board", "planning", "motion", "cutting", "posting", "proving", "packet"),
        *("run", "calls"),
    },
    # What the user calls and is told: it comes last, and calls whatever it tells of.
    "calls": {
        *TYPES,
        *("documents", "bind", "board", "planning", "motion", "posting", "proving", "packet", "budget"),
        *("run", "progress", "memory", "words"),
        *("conformance", "fitting", "sharing", "starting", "trying"),
    },
    # Pages of all names: of rules, reasons, codes, traits and words.
    "explaining": {"mistakes", "documents", "checking", "proving", "words"},
}


@cache
def _imports(file: Path) -> frozenset[str]:
    """Return every module that a file imports, within functions and for types only included."""
    found: set[str] = set()
    for node in ast.walk(tree_of(file)):
        if isinstance(node, ast.Import):
            found |= {name.name for name in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{file.name}: imports are absolute here"
            assert node.module is not None
            # A name may itself be a module, as in `from stockwright.packet import model`.
            found |= {node.module, *(f"{node.module}.{name.name}" for name in node.names)}
    return frozenset(found)


def _files(room: str) -> list[Path]:
    return sorted((PACKAGE / room).rglob("*.py"))


def _rooms_of(imports: frozenset[str]) -> set[str]:
    """Return the rooms and modules of `stockwright` that these imports reach."""
    names = {path.stem for path in PACKAGE.iterdir() if path.suffix == ".py" or path.is_dir()}
    reached = {each.split(".")[1] for each in imports if each.startswith("stockwright.")}
    return (reached & names) - {"frozen"}  # how a value is made knows nothing


@pytest.mark.parametrize("room", sorted(MAY_IMPORT))
def test_no_stage_reaches_forward(room: str) -> None:
    """No file of a room imports a stage that comes after it."""
    files = _files(room)
    assert files
    too_far = {
        f"{room}/{file.name}": beyond
        for file in files
        if (beyond := _rooms_of(_imports(file)) - MAY_IMPORT[room] - {room})
        and not (room == "proving" and beyond == {"packet"})
    }
    assert too_far == {}


def test_the_proof_knows_facts_only() -> None:
    """Of all of stockwright the proof imports its own room, the packet's model and how values are frozen."""
    for file in _files("proving"):
        ours = {each for each in _imports(file) if each.split(".")[0].startswith("stockwright")}
        assert {
            each
            for each in ours
            if not each.startswith(("stockwright.proving", "stockwright.packet.model", "stockwright.frozen"))
            and each != "stockwright.packet"
        } == set(), file.name


def test_every_room_is_judged() -> None:
    """The table above speaks of every folder of the package that holds code."""
    rooms = {path.name for path in PACKAGE.iterdir() if path.is_dir() and any(path.glob("*.py"))}
    assert rooms == set(MAY_IMPORT)


def test_stockwright_never_imports_the_shipped_posts() -> None:
    """Shipped posts are found as a stranger's are: by entry point alone."""
    for file in sorted(PACKAGE.rglob("*.py")):
        assert not {each for each in _imports(file) if each.startswith("stockwright_posts")}, file.name


def test_nothing_prints() -> None:
    """No stage prints: what it has to say is a value that it returns or raises."""
    for file in sorted(PACKAGE.rglob("*.py")):
        names = {
            node.func.id
            for node in ast.walk(tree_of(file))
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
        }
        assert "print" not in names, file.name
