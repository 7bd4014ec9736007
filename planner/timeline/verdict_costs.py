"""What a wrong verdict costs: the one table by which probabilities become a verdict.

`python -m tests.benchmarks.retune` tries other figures on the populations that it names, and prints what they would change.
"""

from __future__ import annotations

import msgspec


class Costs(msgspec.Struct, frozen=True):
    """Prices in sugar tests, and how much a reading and the cold are trusted. [-]

    Only the proportions count. What is said is what costs least on average, by how likely it is that the ferment moves, has
    stopped sweet, or is done. Estimates all, by the reason beside each, settled on simulated ferments.

    Attributes
    ----------
    burst : float
        To call finished what holds more than 10 g/L. A bottle may burst; only the caution to test it first stands between.
    unfinished : float
        To call finished what is not done, but nearly dry. It goes on in the vessel, or keeps a few grams.
    restart : float
        To call stalled what moves or has little sugar. A batch is restarted for nothing: a starter, a day's work, strange yeast.
    unnoticed : float
        To leave a stall unnamed for one more reading. Yeast that rests dies, and harm comes to a sweet must.
    idle : float
        To leave a mead unnamed that is done, for one more reading. It waits on its lees, and its maker for it.
    premature : float
        To send for a test what still moves. It is to be made again, and the next one is believed less.
    retracted : float
        To take back what was called stalled or finished. A maker who is told now this, now that, believes neither.
    one_reading : float
        How much of what the reading before told still counts, where bare readings do not bear the new one out.
    wakes : float
        Share of what stands still in the cold that goes on by itself when it is warmed.
    """

    burst: float = 12.0
    unfinished: float = 6.0
    restart: float = 8.0
    unnoticed: float = 3.5
    idle: float = 4.0
    premature: float = 2.0
    retracted: float = 1.0
    one_reading: float = 0.1
    wakes: float = 0.2


COSTS = Costs()
"""Those that the program counts with."""
