"""Whatever a file holds, reading it gives a document or mistakes, never a traceback."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stockwright.documents.codes import CODES
from stockwright.documents.load import read_document, read_job
from stockwright.documents.loaded import validate
from stockwright.documents.source import parse_yaml
from stockwright.mistakes import InputError

ROOT = Path(__file__).parents[2]
EXAMPLE = ROOT / "examples" / "stair-tread"
DOCUMENTS = {
    "recipe": (ROOT / "recipes" / "four-sides-square.yaml").read_text(encoding="utf-8"),
    "shop": (EXAMPLE / "shop.yaml").read_text(encoding="utf-8"),
    "board": (EXAMPLE / "board.yaml").read_text(encoding="utf-8"),
    "job": (EXAMPLE / "job.yaml").read_text(encoding="utf-8"),
}
SCRAPS = [
    "", " ", "\n", "  ", "\t", ":", ": ", "- ", "[", "]", "{", "}", ",", "#", "&a ", "*a", "!t ", "<<: ",
    "? ", "|", ">", "'", '"', "=", '"=1/0"', "no", "null", "~", "-", "-1 mm", "1e999 mm", "0 mm",
    "---\n", "...", "%", "@", "`", "\x00", "\x07", "\x85", "\u2028", "\ufeff", "é", "🙂",
    "999999999999999999999", "[[[[[[", "{a: {a: {a: ", "0x1F", "1_000", "face: A", "stockwright: shop/1",
    "kind: stop", "steps:", "tools: 3", "inputs: []", "{}", "[]",
]  # fmt: skip


def _fine(path: str, kind: str, text: str) -> None:
    tree = parse_yaml(path, text)
    loaded = validate(tree, kind)
    assert (loaded is None) == bool(tree.mistakes)
    lines = (
        text.count("\n")
        + text.count("\r")
        + text.count("\x85")
        + text.count("\u2028")
        + text.count("\u2029")
        + 1
    )
    for each in tree.mistakes:
        assert each.code in CODES
        assert each.message
        assert 1 <= each.line <= lines + 1
        assert each.column >= 1


@given(st.text(max_size=400), st.sampled_from(sorted(DOCUMENTS)))
def test_random_text_is_a_document_or_mistakes(text: str, kind: str) -> None:
    """Random characters come to mistakes with places."""
    _fine("f.yaml", kind, text)


@st.composite
def _mutated(draw: st.DrawFn) -> tuple[str, str]:
    kind = draw(st.sampled_from(sorted(DOCUMENTS)))
    text = DOCUMENTS[kind]
    for _ in range(draw(st.integers(1, 4))):
        start = draw(st.integers(0, len(text)))
        end = start + draw(st.integers(0, 12))
        text = text[:start] + draw(st.sampled_from(SCRAPS)) + text[end:]
    return kind, text


@settings(max_examples=300, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(_mutated())
def test_spoilt_documents_are_documents_or_mistakes(case: tuple[str, str]) -> None:
    """The shipped documents with a few characters lost or strange ones added come to mistakes with places."""
    kind, text = case
    _fine("f.yaml", kind, text)


_PLAIN = st.recursive(
    st.sampled_from(["no", "12 mm", "=a", "edge-1", "A", "recipe/1", "3", "", "=1 mm/0", "20 mm to 3 mm"]),
    lambda inner: st.one_of(
        st.lists(inner, max_size=4).map(lambda each: f"[{', '.join(each)}]"),
        st.dictionaries(
            st.sampled_from(
                ["face", "tool", "hold", "is", "from", "kind", "where", "rows", "along", "x", "to"]
            ),
            inner,
            max_size=4,
        ).map(lambda table: "{" + ", ".join(f"{key}: {value}" for key, value in table.items()) + "}"),
    ),
    max_leaves=12,
)
KEYS = (
    "name",
    "inputs",
    "tools",
    "holding",
    "steps",
    "machine",
    "hold-downs",
    "heights",
    "thickness",
    "edge-1",
)


@given(st.dictionaries(st.sampled_from(KEYS), _PLAIN, max_size=6), st.sampled_from(sorted(DOCUMENTS)))
def test_wrong_shapes_are_mistakes(table: dict[str, str], kind: str) -> None:
    """Well-formed YAML of any wrong shape comes to mistakes with places."""
    lines = [f"stockwright: {kind}/1", *(f"{key}: {value}" for key, value in table.items())]
    _fine("f.yaml", kind, "\n".join(lines))


@settings(
    max_examples=60,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(st.binary(max_size=300), st.sampled_from(["d.yaml", "d.csv"]))
def test_random_bytes_are_refused(tmp_path: Path, content: bytes, name: str) -> None:
    """Random bytes, as YAML or as CSV, are refused as input."""
    file = tmp_path / name
    file.write_bytes(content)
    with pytest.raises(InputError):
        read_document(file, "board")


@settings(
    max_examples=60,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(_mutated())
def test_a_job_with_one_spoilt_document_is_a_job_or_mistakes(tmp_path: Path, case: tuple[str, str]) -> None:
    """A job, one of whose documents is spoilt, is read or refused as input."""
    kind, text = case
    for name, whole in DOCUMENTS.items():
        spoilt = text if name == kind else whole
        content = (
            spoilt.replace("recipe: four-sides-square", "recipe: recipe.yaml", 1) if name == "job" else spoilt
        )
        (tmp_path / f"{name}.yaml").write_text(content, encoding="utf-8", newline="")
    codes: set[str] = set()
    try:
        read_job(tmp_path / "job.yaml")
    except InputError as error:
        codes = {each.code for each in error.mistakes} or {"an InputError without a mistake"}
    assert codes <= set(CODES)
