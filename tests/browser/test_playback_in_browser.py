"""The playback as a browser runs it: it plays, by keys and by touch, and the wood it shows is the proof's.

Asked for by name only (`make sheet`): it needs a Chromium on the path, and fails without one.
"""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
import shapely

from chromium import asked, load
from example_jobs import EXAMPLES, STAIR_TREAD
from small_packet import small_packet, small_texts
from stockwright.playback import playback
from stockwright.proving import prove
from stockwright.proving.readers import READERS
from stockwright.run import Made, Request, make

if TYPE_CHECKING:
    from pathlib import Path

    from stockwright.proving.seen import Seen

# mm: places and heights on the page are rounded to a hundredth, each half of it, and a board leans a little
# over the proof's cell.
WITHIN = 0.03
RIM = 0.1  # mm, in plan

# Every element's words against what lies behind them, as WCAG 2.1 reckons it (1.4.3, relative luminance).
CONTRAST = """
const light = (c) => { const [r, g, b] = c.match(/[\\d.]+/g).map(Number).map((v) => v / 255)
  .map((v) => v <= 0.03928 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
  return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
const behind = (e) => { for (; e; e = e.parentElement) { const c = getComputedStyle(e).backgroundColor;
  if (!/, 0\\)$/.test(c)) return c; } return 'rgb(255, 255, 255)'; };
let least = 99;
for (const e of document.querySelectorAll('body *')) {
  const words = [...e.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim());
  if (!words || !e.getClientRects().length) continue;
  const [a, b] = [light(getComputedStyle(e).color), light(behind(e))].sort((x, y) => y - x);
  least = Math.min(least, (a + 0.05) / (b + 0.05));
}
"""
LAID_OUT = """
const all = (what) => [...document.querySelectorAll(what)];
const beyond = (box) => box.right > innerWidth + 1 || box.left < -1;
const out = all('body *').filter((e) => !e.closest('#lines') && e.getClientRects().length
  && beyond(e.getBoundingClientRect())).map((e) => e.id);
const reached = all('button, input, select, #above, #lines');
const nameless = reached.filter((e) => !(e.getAttribute('aria-label') || e.getAttribute('aria-labelledby')
  || e.textContent.trim() || e.labels?.length)).map((e) => e.id);
const unreached = reached.filter((e) => e.tabIndex < 0).map((e) => e.id);
const small = all('button, select').filter((e) => e.offsetHeight < 38).map((e) => e.id);
const footer = document.getElementById('controls').offsetHeight;
"""
KEY = """
const key = (name, more = {}, to = document.body) =>
  to.dispatchEvent(new KeyboardEvent('keydown', {key: name, bubbles: true, cancelable: true, ...more}));
const now = () => { const s = window.shownNow(); return [s.setup, s.step]; };
"""


@cache
def made() -> Made:
    """Make the main example once."""
    return make(Request(STAIR_TREAD))


def stair() -> str:
    """Return its page."""
    return made().files["playback.html"].decode()


@pytest.mark.parametrize("width", [390, 1280])
def test_the_page_fits_and_is_reached_by_keys(tmp_path: Path, width: int) -> None:
    """Nothing sticks out sideways, everything that acts is reached by keys, has a name and takes a thumb."""
    script = f"""{LAID_OUT} {CONTRAST}
      const [wide, window] = [document.documentElement.scrollWidth, innerWidth];
      scrollTo(0, document.documentElement.scrollHeight);
      const named = ['play', 'controls', 'above', 'section'].map((e) => document.getElementById(e));
      const [play, edge, ...views] = named;
      play.click(); play.click();
      const end = edge.getBoundingClientRect().top;
      const seen = views.map((e) => e.getBoundingClientRect()).some((e) => e.top >= 0 && e.bottom <= end);
      return {{wide, window, out, nameless, small, footer, least, unreached, seen}};"""
    seen = asked(tmp_path, stair(), script, width)
    assert seen["window"] == width
    assert seen["wide"] <= width
    assert seen["out"] == seen["nameless"] == seen["small"] == seen["unreached"] == []
    assert seen["least"] >= 4.5
    assert seen["footer"] <= 200
    assert seen["seen"]  # what is played, wherever the page was


def test_the_page_runs_under_its_own_policy(tmp_path: Path) -> None:
    """As delivered, the page's one script runs, nothing is refused or logged, and nothing plays yet."""
    printed, logged = load(tmp_path, stair(), "--dump-dom")
    assert "CONSOLE" not in logged
    assert '<span id="now">0:00</span>' in printed
    assert ">Play</button>" in printed


@pytest.mark.parametrize("name", sorted({"stool-rails/job", "stair-tread/bed"}))
def test_other_jobs_open_and_come_to_their_end(tmp_path: Path, name: str) -> None:
    """Several boards at once, and a bed that is skimmed, play to the end as well."""
    job = make(Request(EXAMPLES / f"{name}.yaml"))
    seen = asked(
        tmp_path, job.files["playback.html"].decode(), "return window.shownNow();", fragment="#at=end"
    )
    assert seen["setup"] == len(job.packet.setups) - 1
    assert len(seen["woods"]) >= 1
    for wood in seen["woods"]:
        assert np.array(wood["top"]).max() > np.array(wood["bottom"]).min()


def test_keys_step_by_move_pass_and_setup(tmp_path: Path) -> None:
    """Right and left a move, with shift a pass, down and up with shift a setup; space plays and pauses."""
    script = f"""{KEY} const seen = [now()];
      for (const [name, shiftKey] of [['ArrowRight', false], ['ArrowRight', false], ['ArrowLeft', false],
        ['ArrowRight', true], ['ArrowRight', true], ['ArrowLeft', true],
        ['ArrowDown', true], ['ArrowDown', true], ['ArrowUp', true]]) {{
        key(name, {{shiftKey}}); seen.push(now()); }}
      const play = document.getElementById('play');
      key(' '); const playing = play.textContent; key(' ');
      return {{seen, playing, paused: play.textContent}};"""
    seen = asked(tmp_path, stair(), script)
    steps = seen["seen"]
    assert steps[:4] == [[0, 0], [0, 1], [0, 2], [0, 1]]
    assert steps[4] == [0, 2]
    assert steps[5][1] > 3
    assert steps[6] == steps[4]
    assert steps[7:] == [[1, 0], [2, 0], [1, 0]]
    assert (seen["playing"], seen["paused"]) == ("Pause", "Play")


def test_playing_comes_to_the_end_of_the_setup_and_waits(tmp_path: Path) -> None:
    """At its fastest the page plays a setup through, stops, and says that the next is clamped by hand."""
    page = playback(small_packet(), small_texts())
    # Pictures come by a timer, so that they come at an even pace however busy the machine is.
    even = (
        "<script>requestAnimationFrame = (f) => setTimeout(() => f(performance.now()), 20);</script></head>"
    )
    start = """<script>addEventListener('load', () => { document.getElementById('speed').value = '200';
      document.getElementById('play').click(); });</script></body>"""
    opened = page.replace('<meta http-equiv="Content-Security-Policy"', '<meta name="policy"')
    opened = opened.replace("</head>", even).replace("</body>", start)
    printed, logged = load(tmp_path, opened, "--dump-dom", "--virtual-time-budget=20000")
    assert "CONSOLE" not in logged
    assert "End of setup 1." in printed
    assert "clamped by hand" in printed
    assert ">Play</button>" in printed


def test_a_line_is_shown_and_gone_to(tmp_path: Path) -> None:
    """Touching a line takes the cutter to where the line begins, and that line is the one marked."""
    file = "1b-face-a.ngc"
    script = """
      const row = [...document.querySelectorAll('.line')].find((e) => e.textContent.startsWith('35'));
      row.click();
      return {tip: window.shownNow().tip, said: row.textContent};"""
    seen = asked(tmp_path, stair(), script, fragment=f"#file={file}&line=33")
    text = made().files[f"programs/{file}"].decode()
    read = READERS["rs274-ngc"](text).moves
    row = int(np.searchsorted(read.line, 35))
    assert seen["said"] == "35" + text.splitlines()[34]
    assert seen["tip"] == pytest.approx(read.start[row].tolist(), abs=0.006)


def test_two_fingers_bring_the_view_closer(tmp_path: Path) -> None:
    """Two fingers moved apart on the view from above bring it as much closer; before, they turn the page."""
    script = """
      const view = document.getElementById('above');
      view.setPointerCapture = () => {};  // no real finger is there to be captured
      const box = view.getBoundingClientRect();
      const touch = (type, id, x) => view.dispatchEvent(new PointerEvent(type,
        {pointerId: id, clientX: box.left + x, clientY: box.top + 100, bubbles: true}));
      const before = view.style.touchAction;
      touch('pointerdown', 1, 150); touch('pointerdown', 2, 200);
      touch('pointermove', 2, 300); touch('pointerup', 1, 150); touch('pointerup', 2, 300);
      const closer = window.shownNow().zoom;
      document.getElementById('all').click();
      return {before, closer, all: window.shownNow().zoom};"""
    seen = asked(tmp_path, stair(), script)
    assert seen["before"] == "pan-y"
    assert seen["closer"] == pytest.approx(3.0)
    assert seen["all"] == 1


def test_what_stands_on_the_page_stands_in_the_packet(tmp_path: Path) -> None:
    """Hold-downs are drawn where packet.json has them; each thing is listed once, by the sheet's number."""
    for index, setup in enumerate(made().packet.setups):
        script = """return {solids: window.shownNow().solids,
          named: [...document.querySelectorAll('#standing li')].map((e) => [e.value, e.textContent])};"""
        seen = asked(tmp_path, stair(), script, fragment=f"#setup={setup.index}")
        assert len(seen["solids"]) == len(setup.solids)
        for shown, solid in zip(seen["solids"], setup.solids, strict=True):
            assert np.abs(np.array(shown) - np.array(solid.outline)).max() <= 0.006
        things = list(dict.fromkeys(re.sub(" (arm|body)$", "", solid.name) for solid in setup.solids))
        for number, ((shown, text), thing) in enumerate(zip(seen["named"], things, strict=True), 1):
            assert shown == number
            assert text.startswith(f"{thing}, ")
        assert index == setup.index - 1


def _cells(wood: dict[str, Any]) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Return x, y of the cells' middles and their lower and upper heights, board frame, (n,)."""
    i, j = np.meshgrid(np.arange(wood["nx"]), np.arange(wood["ny"]))
    x, y = wood["x0"] + (i + 0.5) * wood["cell"], wood["y0"] + (j + 0.5) * wood["cell"]
    return x.ravel(), y.ravel(), np.array(wood["bottom"]), np.array(wood["top"])


def _compared(seen: Seen, matrix: np.ndarray, wood: dict[str, Any]) -> tuple[int, int, float]:
    """Compare one board with the proof's at the end of a setup.

    Returns how many cells were compared, how many stand or are gone against the proof, and how far, mm, the
    worst height lies outside what the proof allows.
    """
    x, y, bottom, top = _cells(wood)
    upper = top if matrix[2, 2] > 0 else bottom
    there = top - bottom > 0.005
    height = np.where(there, upper, (top + bottom) / 2)
    work = np.stack([x, y, height, np.ones_like(x)]).T @ matrix.T
    grid = work @ np.linalg.inv(seen.to_work).T
    column = np.searchsorted(seen.x, grid[:, 0]) - 1
    row = np.searchsorted(seen.y, grid[:, 1]) - 1
    on = (column >= 0) & (row >= 0) & (column < seen.high.shape[1]) & (row < seen.high.shape[0])
    column, row, there, z = column[on], row[on], there[on], work[on, 2]
    high, low = seen.high[row, column], seen.low[row, column]
    # In plan the proof's outline decides to a hair; a block at the rim holds some of both.
    inner, outer = seen.after.buffer(-RIM), seen.after.buffer(RIM)
    spot = work[on, 0], work[on, 1]
    around = shapely.contains_xy(inner, *spot)
    against = int((there & ~shapely.contains_xy(outer, *spot)).sum() + (~there & around).sum())
    around = around & np.isfinite(high) & np.isfinite(low)
    both = there & around
    out = np.maximum(z - high, low - z)[both]
    return int(both.sum()), against, float(out.max(initial=0.0))


def test_the_wood_on_the_page_is_the_proofs_after_every_setup(tmp_path: Path) -> None:
    """Played to each setup's end, every cell's height lies between what may stand and what surely does.

    None stands where the proof says nothing may, none is gone where the proof says wood stands.
    """
    packet = made().packet
    texts = {p.file: made().files[p.file].decode() for s in packet.setups for p in s.programs}
    boards: list[Seen] = []
    prove(packet, texts, boards.append)
    assert len(boards) == len(packet.setups)
    for setup, seen in zip(packet.setups, boards, strict=True):
        shown = asked(tmp_path, stair(), "return window.shownNow();", fragment=f"#setup={setup.index}&at=end")
        compared, against, out = _compared(seen, np.array(setup.lies[0].matrix), shown["woods"][0])
        assert compared > 20_000
        assert against == 0
        assert out <= WITHIN


def test_going_back_puts_the_wood_back(tmp_path: Path) -> None:
    """Having been at the end, the wood amid the first setup is what it was when that was played first."""
    script = f"""{KEY} const sum = () => window.shownNow().woods.map((w) => w.top.reduce((a, b) => a + b, 0)
        - w.bottom.reduce((a, b) => a + b, 0));
      const to = (step) => {{ while (now()[1] < step) key('ArrowRight'); }};
      to(40); const first = [now(), sum()];
      for (let k = 0; k < 3; k++) key('ArrowDown', {{shiftKey: true}});
      to(30); key('ArrowLeft'); const there = sum();
      for (let k = 0; k < 4; k++) key('ArrowUp', {{shiftKey: true}});
      for (let k = 0; k < 4; k++) key('ArrowUp', {{shiftKey: true}});
      const begin = [now(), sum()];
      to(40); const again = [now(), sum()];
      return {{first, there, begin, again}};"""
    seen = asked(tmp_path, stair(), script)
    assert seen["begin"][0] == [0, 0]
    assert seen["first"] == seen["again"]
    assert seen["there"][0] < seen["first"][1][0] < seen["begin"][1][0]
