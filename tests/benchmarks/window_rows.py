"""How fast the window is: an edit, the view moved, the start, its memory, and how long it ever lets a key wait.

References: the drawing library's own full draw of the same figure; the same with few readings; a bare window with one plot.
"""

from __future__ import annotations

import itertools
import os
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from time import perf_counter, sleep

import msgspec
import numpy as np
from matplotlib.backends.backend_agg import RendererAgg
from PySide6.QtCore import QObject, QSettings, QTimer
from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QApplication

from planner.app import Dresser, build
from planner.document.batch import Batch, HydrometerReading
from planner.document.codec import decode
from planner.evaluation.outcome import evaluate
from planner.reference.catalogue import catalogue
from planner.reference.shipped import samples
from planner.ui import theme
from planner.ui.curve.canvas import CurveCanvas
from planner.ui.curve.plot_data import Points, scene_of
from planner.ui.display import Display
from planner.ui.settings import Settings
from planner.ui.shell.window import Window
from tests import screen
from tests.benchmarks.measuring import Row, paired, timed

SAMPLE, FERMENTING = "quince-planned", "blackcurrant-half-way"
IDLE = 60
"""Seconds for which a resting window is watched."""


def application() -> QApplication:
    """The one application, off the screen."""
    screen.choose()
    made = QApplication.instance()
    return made if isinstance(made, QApplication) else QApplication([])


@contextmanager
def opened(sample: str) -> Iterator[Window]:
    """The whole window with a sample, drawn and at rest."""
    program = application()
    with tempfile.TemporaryDirectory() as folder:
        ini = QSettings(f"{folder}/settings.ini", QSettings.Format.IniFormat)
        window = build(Settings(ini), Path(folder) / "copies")
        dresser = Dresser(program, window)
        window.documents.open_sample(samples() / f"{sample}.meadbatch")
        window.show()
        dresser.dress()
        come_to_rest(window)
        yield window
        window.store.mark_saved()
        window.close()
        window.deleteLater()
        program.processEvents()


def come_to_rest(window: Window) -> None:
    """Let the window finish what it is at."""
    for _ in range(20_000):
        application().processEvents()
        if window.curve.canvas is not None and not window.recalculator.is_busy:
            return
        sleep(0.0005)
    raise TimeoutError("The window did not come to rest.")


def full_draw(canvas: CurveCanvas) -> Callable[[], None]:
    """The library's own draw of the whole figure, on a sheet of its own."""
    sheet = RendererAgg(*canvas.get_width_height(physical=True), canvas.figure.dpi)  # type: ignore[no-untyped-call]

    def draw() -> None:
        sheet.clear()  # type: ignore[no-untyped-call]
        canvas.figure.draw(sheet)

    return draw


def sweeter(batch: Batch, more: float) -> Batch:
    """The batch with so much more honey. [kg]"""
    first, *others = batch.recipe.honeys
    honeys = (msgspec.structs.replace(first, mass=first.mass + more), *others)
    return msgspec.structs.replace(batch, recipe=msgspec.structs.replace(batch.recipe, honeys=honeys))


def last_painted(canvas: CurveCanvas) -> list[float]:
    """When a canvas was painted last, kept up to date. [s]"""
    painted, paint = [0.0], canvas.paintEvent

    def note(event: QPaintEvent) -> None:
        paint(event)
        painted[0] = perf_counter()

    canvas.paintEvent = note  # type: ignore[method-assign]
    return painted


def edit_curve(rounds: int = 61) -> Row:
    """Honey turned up and down by 50 g: from the edit to the painted curve; the side panes follow."""
    with opened(SAMPLE) as window:
        canvas, batch = window.curve.build_canvas(), window.store.batch
        painted = last_painted(canvas)
        draw, ratios = full_draw(canvas), []
        for turn in range(rounds + 3):
            edited = sweeter(batch, 0.05 * (abs((turn + 10) % 40 - 20) - 10) + 0.01)
            drawn = canvas.draws

            began = perf_counter()
            window.store.edit(edited, "honey")
            while canvas.draws == drawn:
                application().processEvents()
            ours = painted[0] - began
            come_to_rest(window)
            ratios.append(ours / timed(draw))
    return Row("edit_curve", "an edit, to the new curve painted", "a full draw of the same figure",
               tuple(ratios[3:]), 0.6, 1.0)  # fmt: skip


def with_readings(count: int) -> CurveCanvas:
    """A canvas with so many readings of a hydrometer about the expected curve."""
    program = application()
    theme.apply(program, False)
    batch = decode((samples() / f"{SAMPLE}.meadbatch").read_bytes())
    plain = scene_of(evaluate(batch, catalogue(), 40), str)
    assert plain.curve is not None
    days = np.linspace(0.0, float(plain.curve.days[-1]), count)
    noise = 0.002 * np.random.default_rng(7).standard_normal(count)
    gravity = np.interp(days, plain.curve.days, plain.curve.gravity) + noise
    points = Points(
        np.arange(count), days, gravity, np.full(count, "hydrometer"), np.zeros(count, dtype=bool),
        gravity - 0.001, gravity + 0.001,
    )  # fmt: skip
    canvas = CurveCanvas(Display(), theme.LIGHT)
    canvas.resize(640, 420)
    canvas.show_scene(msgspec.structs.replace(plain, points=points))
    canvas.show()
    canvas.draw()
    return canvas


def pan_zoom() -> Row:
    """Twelve notches closer, twelve moves, and back: each drawn."""
    many, few = with_readings(100_000), with_readings(100)

    def journey(canvas: CurveCanvas) -> Callable[[], None]:
        def go() -> None:
            canvas.reset_zoom()
            canvas.draw()
            for _ in range(6):
                canvas.zoom(1.25)
                canvas.draw()
            for _ in range(6):
                canvas.pan(0.1, 0.0)
                canvas.draw()

        return go

    ratios = paired(journey(many), journey(few))
    for canvas in (many, few):
        canvas.close()
        canvas.deleteLater()
    return Row("pan_zoom", "pan and zoom with 100,000 readings", "the same with 100", ratios, 1.5)


# --- whole processes

_BARE = """
import os, sys
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication, QMainWindow
application = QApplication([])
application.setStyle("Fusion")
from matplotlib.backends.backend_qtagg import FigureCanvasQTAgg
from matplotlib.figure import Figure
class Canvas(FigureCanvasQTAgg):
    def paintEvent(self, event):
        super().paintEvent(event)
        QTimer.singleShot(0, done)
def done():
    if AT_REST:
        print(open("/proc/self/status").read().partition("VmRSS:")[2].split()[0])
    sys.stdout.flush()
    os._exit(0)
canvas = Canvas(Figure())
canvas.figure.add_subplot().plot([0.0, 1.0, 2.0], [1.0, 3.0, 2.0])
window = QMainWindow()
window.setCentralWidget(canvas)
window.resize(1280, 800)
window.show()
application.exec()
"""

_WHOLE = """
import os, sys
from planner.__main__ import program
from planner.starting import parse
app = program()
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication
build = app.build
def built(*given):
    window = build(*given)
    def look(is_busy):
        if not is_busy and window.opening.is_finished and window.outcome is not None and window.outcome.with_band:
            QTimer.singleShot(0, window, done)
    window.recalculator.busy.connect(look)
    return window
def done():
    QApplication.processEvents()  # what the last pane has still to paint
    sys.stdout.flush()
    os._exit(0)
app.build = built
sys.exit(app.main(parse(["--sample", SAMPLE])))
"""

_IDLE = """
import os, sys, time
from planner.__main__ import program
from planner.starting import parse
app = program()
from PySide6.QtCore import QTimer
build = app.build
def built(*given):
    window = build(*given)
    QTimer.singleShot(30_000, window, begin)  # by then all is told, also on a busy machine
    return window
def begin():
    used = time.process_time()
    QTimer.singleShot(SECONDS * 1000, lambda: done(time.process_time() - used))
def done(used):
    print(used)
    sys.stdout.flush()
    os._exit(0)
app.build = built
sys.exit(app.main(parse(["--sample", SAMPLE])))
"""

_OURS = """
import os, sys
from planner.__main__ import program
from planner.starting import parse
app = program()
from PySide6.QtCore import QTimer
from planner.ui.curve import pane
build = pane.CurvePane.build_canvas
def done(canvas):
    if AT_REST:
        print(open("/proc/self/status").read().partition("VmRSS:")[2].split()[0])
    sys.stdout.flush()
    os._exit(0)
def build_watched(self):
    fresh = self.canvas is None
    canvas = build(self)
    if fresh:
        paint = canvas.paintEvent
        def painted(event):
            paint(event)
            if not canvas.scene.is_empty:
                QTimer.singleShot(2000 if AT_REST else 0, canvas, lambda: done(canvas))
        canvas.paintEvent = painted
    return canvas
pane.CurvePane.build_canvas = build_watched
sys.exit(app.main(parse(["--sample", SAMPLE])))
"""


def process(program: str, folder: str, at_rest: bool = False, sample: str = SAMPLE) -> str:
    """Run a program of its own to its end; what it printed. Its bytecode is kept, as that of an installed program is."""
    environment = os.environ | {
        "QT_QPA_PLATFORM": screen.PLATFORM,
        "PYTHONPATH": os.pathsep.join(path for path in sys.path if path),
        "PYTHONPYCACHEPREFIX": f"{folder}/bytecode",
        "XDG_DATA_HOME": tempfile.mkdtemp(dir=folder),
        "XDG_CONFIG_HOME": f"{folder}/config",
        "MPLCONFIGDIR": f"{folder}/matplotlib",
    }
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    head = f"AT_REST = {at_rest}\nSAMPLE = {sample!r}\nSECONDS = {IDLE}\n"
    done = subprocess.run([sys.executable, "-c", head + program], capture_output=True, text=True, env=environment,
                          check=True, timeout=120 + IDLE)  # fmt: skip
    return done.stdout


def cold_start() -> Row:
    """From nothing to the first painted curve; the two processes alternate."""
    with tempfile.TemporaryDirectory() as folder:
        ratios = paired(lambda: process(_OURS, folder), lambda: process(_BARE, folder), rounds=9, warm_up=2)
    return Row("cold_start", "start to the first painted curve of a sample", "start of a bare window with one plot",
               ratios, 1.25)  # fmt: skip


def whole() -> Row:
    """From nothing to all panes with the whole answer to a log; the two processes alternate."""
    with tempfile.TemporaryDirectory() as folder:
        ratios = paired(lambda: process(_WHOLE, folder, sample=FERMENTING), lambda: process(_BARE, folder),
                        rounds=9, warm_up=2)  # fmt: skip
    return Row("whole", "start to all panes filled and the whole answer to a log", "start of a bare window with one plot",
               ratios, 1.6)  # fmt: skip


def idle(times: int = 3) -> Row:
    """What the window uses while nobody touches it, counted for ten minutes."""
    with tempfile.TemporaryDirectory() as folder:
        used = [float(process(_IDLE, folder, sample=FERMENTING)) * 600.0 / IDLE for _ in range(times)]
    what = f"CPU of a window that rests, in ten minutes ({IDLE} s counted)"
    return Row("idle", what, "0.05 s", tuple(seconds / 0.05 for seconds in used), 1.0)


def memory() -> Row:
    """Resident memory, two seconds after the curve is painted."""
    with tempfile.TemporaryDirectory() as folder:
        ratios = [
            float(process(_OURS, folder, at_rest=True)) / float(process(_BARE, folder, at_rest=True)) for _ in range(4)
        ][1:]
    return Row("memory", "resident memory with a batch open", "that of a bare window with one plot", tuple(ratios), 1.3)


# --- the event loop


class Pulse(QObject):
    """Notes the longest time between two turns of the event loop. [s]"""

    def __init__(self) -> None:
        super().__init__()
        self.longest = 0.0
        self._last = perf_counter()
        self._timer = QTimer(self)
        self._timer.timeout.connect(self._beat)

    def start(self) -> None:
        """Begin to count."""
        self.longest, self._last = 0.0, perf_counter()
        self._timer.start(1)

    def _beat(self) -> None:
        now = perf_counter()
        self.longest, self._last = max(self.longest, now - self._last), now


def sixty_readings(window: Window) -> Iterator[Batch]:
    """The batch of the window with a log of sixty readings along its curve, each time a little other ones."""
    outcome, batch = window.outcome, window.store.batch
    assert outcome is not None
    assert outcome.curve is not None
    days = np.linspace(0.0, 20.0, 60)
    level = np.interp(days, outcome.curve.days, outcome.curve.gravity)
    for turn in itertools.count():
        readings = tuple(
            HydrometerReading(gravity=round(float(g) + 1e-4 * (turn % 7), 4), day=float(d), temperature=293.15)
            for d, g in zip(days, level, strict=True)
        )
        yield msgspec.structs.replace(batch, log=msgspec.structs.replace(batch.log, readings=readings))


def other_honey(window: Window) -> Iterator[Batch]:
    """The batch of the window with sixty readings, each time with 50 g of honey more or less."""
    batch = next(sixty_readings(window))
    for turn in itertools.count():
        yield sweeter(batch, 0.05 * (abs((turn + 10) % 40 - 20) - 10) + 0.01)


def _answered(edits: Callable[[Window], Iterator[Batch]], rounds: int = 21) -> tuple[float, ...]:
    """From each edit to the whole answer painted in all panes, by full draws."""
    with opened(FERMENTING) as window:
        draw, ratios = full_draw(window.curve.build_canvas()), []
        for edited in itertools.islice(edits(window), rounds + 3):

            def to_answer(edited: Batch = edited) -> None:
                window.store.edit(edited, "edit")
                come_to_rest(window)
                application().processEvents()  # what the last pane has still to paint

            ratios.append(timed(to_answer) / timed(draw))
    return tuple(ratios[3:])


def answer() -> Row:
    """Honey edited with sixty readings in the log."""
    what = "an edit of the recipe with 60 readings, to the whole answer painted"
    return Row("answer", what, "a full draw of the same figure", _answered(other_honey), 6.0, 10.0)


def answer_log() -> Row:
    """All of a log of sixty readings edited."""
    what = "an edit of a log of 60 readings, to the whole answer painted"
    return Row("answer_log", what, "a full draw of the same figure", _answered(sixty_readings), 6.0)


def condition_blocked(rounds: int = 15) -> Row:
    """A log of 60 readings weighed after each of some edits: the longest wait of the event loop, by 50 ms."""
    longest = []
    with opened(FERMENTING) as window:
        for edited in itertools.islice(sixty_readings(window), rounds + 2):
            pulse = Pulse()
            pulse.start()
            QTimer.singleShot(0, window, lambda edited=edited: window.store.edit(edited, "log"))
            application().processEvents()
            come_to_rest(window)
            longest.append(pulse.longest / 0.050)
    return Row("condition_blocked", "longest wait while 60 readings are weighed", "50 ms", tuple(longest[2:]), 1.0)


ROWS = {
    "edit_curve": edit_curve,
    "answer": answer,
    "answer_log": answer_log,
    "whole": whole,
    "idle": idle,
    "condition_blocked": condition_blocked,
    "cold_start": cold_start,
    "memory": memory,
    "pan_zoom": pan_zoom,
}


def rows() -> Iterator[Row]:
    """Each row of the window, measured as it is asked for."""
    for measure in ROWS.values():
        yield measure()
