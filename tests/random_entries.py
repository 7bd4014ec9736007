"""Any log, with runs of gravities as columns among readings that were typed."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st

from planner.document.batch import (
    AcidityReading,
    Event,
    HydrometerReading,
    RefractometerReading,
    SensorReading,
    SugarReading,
    TitrationReading,
    VolumeReading,
    WarmthReading,
    WeightReading,
    What,
)
from planner.document.columnar_log import Entries, Run

gravities = st.floats(0.7, 1.6)
days = st.floats(-365.0, 3660.0)
kelvins = st.floats(263.15, 333.15)
minutes = st.integers(0, 10**6)


@st.composite
def runs(draw) -> Run:
    """Gravities with any of the columns that an import may give."""
    count = draw(st.integers(1, 6))

    def column(values, dtype=float):
        return np.array(draw(st.lists(values, min_size=count, max_size=count)), dtype)

    columns = {"gravity": column(gravities)}
    if draw(st.booleans()):
        columns["day"] = column(days)
    else:
        texts = (np.datetime64("2026-01-01T00:00:00") + column(minutes, "m8[m]")).astype("S19")
        columns["at"] = np.char.add(texts, draw(st.sampled_from([b"Z", b"+00:00", b"-03:30"])))
    if draw(st.booleans()):
        columns["temperature"] = column(kelvins)
    if draw(st.booleans()):
        columns["excluded"] = column(st.booleans(), bool)
    kind = draw(st.sampled_from([HydrometerReading, SensorReading]))
    more = draw(st.sampled_from([{}, {"instrument": "spindle"}, {"note": "as is", "doubt": 0.0}]))
    return Run(kind(gravity=1.0, **more), columns)


typed = st.lists(
    st.sampled_from([
        HydrometerReading(gravity=1.05, day=1.0), SugarReading(sugar=3.0), Event(what=What.RACKING, day=2.0, note="lees"),
        SensorReading(gravity=1.05, at="2026-03-01T10:00+01:00", temperature=290.0),
    ]), max_size=3,
).map(tuple)  # fmt: skip
logs = st.lists(st.one_of(runs(), typed), max_size=4).map(lambda pieces: Entries(*pieces))


@st.composite
def _alike(draw) -> tuple:
    """Readings of one kind that tell the same fields, one by one."""
    kind, field, values = draw(st.sampled_from([
        (HydrometerReading, "gravity", gravities), (RefractometerReading, "brix", st.floats(-2.0, 80.0)),
        (WeightReading, "lost", st.floats(0.0, 90.0)), (SugarReading, "sugar", st.floats(0.0, 300.0)),
        (AcidityReading, "ph", st.floats(2.0, 5.0)), (TitrationReading, "acid", st.floats(0.0, 50.0)), (VolumeReading, "volume", st.floats(0.001, 0.1)), (WarmthReading, "temperature", kelvins),
    ]))  # fmt: skip
    steady = {"day": draw(days)} if draw(st.booleans()) else {}
    told = draw(st.lists(values, min_size=1, max_size=9))
    moments = draw(st.sampled_from(["2026-03-01T10:{:02}Z", "2026-03-01T10:{:02}:30-02:00", "at {} past"]))
    timed = draw(st.booleans())
    return tuple(
        kind(**{field: value}, **steady, **({"at": moments.format(minute)} if timed else {}), excluded=value > 1.1)
        for minute, value in enumerate(told)
    )


alike = _alike()
