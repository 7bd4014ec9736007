"""A batch as the user decided and measured it: frozen values, nothing that can be worked out.

Numbers are SI, with the unit in the file's key; days since pitching are in days, a unit accepted for use with the SI.
Limits in the types exclude only the impossible; what is merely unwise is a finding.
"""

# Annotations are not postponed here: the reader of files asks for all of them, and has to compile each that is a text.
from collections.abc import Iterable, Iterator, Sequence
from enum import StrEnum
from itertools import groupby
from typing import TYPE_CHECKING, Annotated, Any, Literal, cast

import msgspec

from planner.document.columnar_log import Entries, Piece, Run, column_of
from planner.document.learnt import Learning
from planner.document.run_columns import KEYS, Columns
from planner.document.tasting import BlindTest, Tasting
from planner.document.values import (
    Concentration,
    Day,
    Fraction,
    Gravity,
    Key,
    Mass,
    Moment,
    Temperature,
    Text,
    Value,
    Volume,
    named,
    quantity,
)
from planner.reference.own import OwnIngredients


class FruitLine(Value, frozen=True, kw_only=True):
    """One fruit of the recipe."""

    key: Key
    mass: Mass = named("mass_kg")
    stoned: bool = False
    """Weighed without stones, stems and cores."""
    as_juice: bool = False
    """The mass is of juice, not of fruit."""
    press_yield: Fraction | None = named("press_yield_fraction", None)
    """Measured mass of juice per mass of fruit without stones; None for the table's."""
    juice_gravity: Gravity | None = named("juice_gravity_sg20", None)
    """Measured gravity of the juice; None for the table's composition."""


class HoneyLine(Value, frozen=True, kw_only=True):
    """One honey of the recipe, by weight."""

    key: Key
    mass: Mass = named("mass_kg")
    moisture: Fraction | None = named("moisture_fraction", None)
    """Measured water content; None for the table's."""


class Preparation(Value, frozen=True, kw_only=True):
    """What is done to the fruit before pressing."""

    frozen: bool = True
    enzyme: bool = True
    soak: Annotated[float, quantity("d", "Cold soak", ge=0.0, le=60.0)] = named("cold_soak_d", 7.0)
    whole: bool = False
    """Fermented on the fruit, which is pressed later, instead of pressed first."""
    on_fruit: Annotated[float, quantity("d", "Days on the fruit", ge=0.0, le=60.0)] = named("on_fruit_d", 7.0)
    press: Volume | None = named("press_basket_m3", None)
    """Room in the basket of the press; None where nothing is to be said about loads."""


class TemperatureStep(Value, frozen=True, kw_only=True):
    """From a day on, the must is kept at a temperature, or stands in a room that has it."""

    day: Annotated[float, quantity("d", "From day", ge=0.0, le=3660.0)] = named("from_day_d")
    temperature: Temperature = named("temperature_k")


class Feed(Value, frozen=True, kw_only=True):
    """A dose of nutrient, given on a day or when a share of the sugar is used."""

    key: Key
    mass: Mass = named("mass_kg")
    day: Day | None = named("day_d", None)
    sugar_used: Fraction | None = named("sugar_used_fraction", None)


class StepFeed(Value, frozen=True, kw_only=True):
    """Honey, juice or sugar that is added while the must works: on a day, at a gravity, or when a share of the sugar that it
    had so far is used."""

    key: Key
    """Of a honey, of a fruit, which is then juice, or of an additive."""
    mass: Mass = named("mass_kg")
    day: Day | None = named("day_d", None)
    gravity: Gravity | None = named("at_gravity_sg20", None)
    sugar_used: Fraction | None = named("sugar_used_fraction", None)


class Yeast(Value, frozen=True, kw_only=True):
    """The yeast and how much of it is pitched, dry."""

    key: Key
    pitch: Mass = named("mass_kg")


class HouseRules(Value, frozen=True, kw_only=True):
    """What those who will drink it do not want. Whatever offers an ingredient or a route obeys, and says so."""

    no_sulphite: bool = False
    no_sorbate: bool = False
    natural_only: bool = False
    """Only what is found in nature and made without synthesis."""
    no_added_acid: bool = False
    no_allergens: bool = False
    """No lactose, nor anything else that a label must warn of; sulphite is one."""
    no_heat: bool = False
    alcohol_ceiling: Fraction | None = named("alcohol_ceiling_fraction", None)


class Wish(Value, frozen=True, kw_only=True):
    """What is wanted of the batch, and which amounts of the recipe may be worked out to get it."""

    left_open: tuple[Literal["fruit", "juice", "honey", "water"], ...] = ()
    volume: Volume | None = named("volume_m3", None)
    """Of the must."""
    gravity: Gravity | None = named("starting_gravity_sg20", None)
    alcohol: Fraction | None = named("alcohol_fraction", None)
    """Of the finished mead, by volume."""
    finish: Gravity | None = named("finishing_gravity_sg20", None)
    acid: Concentration | None = named("acid_as_tartaric_kg_per_m3", None)
    """Titratable, of the finished mead."""
    sweetness: Concentration | None = named("sweetness_as_sucrose_kg_per_m3", None)
    body: Annotated[float, quantity("Pa s", "Viscosity at 20 °C", ge=0.0, le=1.0)] | None = named(
        "viscosity_pa_s", None
    )


class Losses(Value, frozen=True, kw_only=True):
    """Shares that stay behind on the way from the must to the bottle; measured ones are worth more than these."""

    lees: Fraction = named("first_racking_fraction", 0.06)
    racking: Fraction = named("later_racking_fraction", 0.015)
    rackings: Annotated[int, msgspec.Meta(title="Rackings", ge=1, le=10)] = named("rackings_count", 2)
    bottling: Fraction = named("bottling_fraction", 0.01)


class Price(Value, frozen=True, kw_only=True):
    """What a kilogram of something costs this user: a fruit, honey, yeast, nutrient or additive, by its key."""

    key: Key
    per_kg: Annotated[float, quantity("currency/kg", "Price per kg", ge=0.0, le=1e6)] = named("per_kg_price")


class Prices(Value, frozen=True, kw_only=True):
    """What things cost this user; it stays in the file."""

    currency: Annotated[str, msgspec.Meta(max_length=8)] = ""
    lines: tuple[Price, ...] = ()
    bottle: Annotated[float, quantity("currency", "Bottle and closure", ge=0.0, le=1e6)] = named("bottle_price", 0.0)


class Recipe(Value, frozen=True, kw_only=True):
    """What goes into the fermenter and what is done to it."""

    yeast: Yeast
    fruits: tuple[FruitLine, ...] = ()
    honeys: tuple[HoneyLine, ...] = ()
    water: Mass = named("water_kg", 0.0)
    preparation: Preparation = Preparation()
    temperatures: tuple[TemperatureStep, ...] = (TemperatureStep(day=0.0, temperature=291.15),)
    in_room: bool = False
    """The temperatures are those of the room, in which the must warms itself; otherwise the must is kept at them."""
    feeds: tuple[Feed, ...] = ()
    step_feeds: tuple[StepFeed, ...] = ()
    vessel: Volume | None = named("vessel_m3", None)
    pitch_planned: Moment | None = named("pitching_planned_at", None)
    """When the yeast is to be pitched; the log says when it was."""
    calendar: Annotated[str, msgspec.Meta(max_length=80)] = ""
    """What the batch is called in calendars, whatever its name becomes; given at the first export."""
    losses: Losses = Losses()
    bottles: tuple[Volume, ...] = named("bottle_sizes_m3", (0.75e-3,))
    rules: HouseRules = HouseRules()
    wish: Wish = Wish()
    prices: Prices = Prices()


Name = Annotated[str, msgspec.Meta(max_length=80)]


class Reading(Value, tag_field="kind", frozen=True, kw_only=True):
    """One entry of the log: at a moment with its offset from UTC, or so many days after pitching.

    A `doubt`, where a kind has one, is the half width of its 90 % interval; None for what is usual.
    """

    at: Moment | None = named("at", None)
    day: Day | None = named("days_since_pitch_d", None)
    temperature: Temperature | None = named("temperature_k", None)
    note: Text = ""
    excluded: bool = False
    instrument: Name = ""
    """Which of several instruments, in the user's words."""


class HydrometerReading(Reading, tag="hydrometer", frozen=True, kw_only=True):
    """A gravity as read off the stem, not yet corrected."""

    gravity: Gravity = named("indicated_gravity")
    doubt: Annotated[float, quantity("1", "Doubt", ge=0.0, le=0.5)] | None = named("doubt_gravity", None)
    known: Gravity | None = named("known_gravity_sg20", None)
    """Of the liquid, where it was not the batch's: the instrument was checked, in water or in what somebody knows."""


class SensorReading(Reading, tag="floating_sensor", frozen=True, kw_only=True):
    """A gravity as told by a sensor that floats in the must, not yet corrected."""

    gravity: Gravity = named("indicated_gravity")
    doubt: Annotated[float, quantity("1", "Doubt", ge=0.0, le=0.5)] | None = named("doubt_gravity", None)
    known: Gravity | None = named("known_gravity_sg20", None)
    """Of the liquid, where it was not the batch's: the instrument was checked, in water or in what somebody knows."""


class RefractometerReading(Reading, tag="refractometer", frozen=True, kw_only=True):
    """°Brix as a refractometer shows them, alcohol and all."""

    brix: Annotated[float, quantity("g/(100 g)", "°Brix", ge=-2.0, le=80.0)] = named("indicated_brix")
    doubt: Annotated[float, quantity("g/(100 g)", "Doubt", ge=0.0, le=50.0)] | None = named("doubt_brix", None)


class WeightReading(Reading, tag="weight", frozen=True, kw_only=True):
    """What the vessel has lost in weight since pitching."""

    lost: Mass = named("lost_kg")
    doubt: Mass | None = named("doubt_kg", None)


class SugarReading(Reading, tag="sugar", frozen=True, kw_only=True):
    """Fermentable sugar left, by strip or assay."""

    sugar: Concentration = named("sugar_kg_per_m3")
    below: bool = False
    """Less than that: the test shows no more than its lowest mark."""
    doubt: Concentration | None = named("doubt_kg_per_m3", None)


class AcidityReading(Reading, tag="ph", frozen=True, kw_only=True):
    """A pH."""

    ph: Annotated[float, quantity("1", "pH", ge=0.0, le=14.0)] = named("ph")
    doubt: Annotated[float, quantity("1", "Doubt", ge=0.0, le=7.0)] | None = named("doubt_ph", None)


class TitrationReading(Reading, tag="titration", frozen=True, kw_only=True):
    """Titratable acid, counted as tartaric."""

    acid: Annotated[float, quantity("kg/m3", "Titratable acid as tartaric", ge=0.0, le=50.0)] = named(
        "titratable_acid_kg_per_m3_tartaric"
    )
    doubt: Annotated[float, quantity("kg/m3", "Doubt", ge=0.0, le=50.0)] | None = named("doubt_kg_per_m3", None)


class WarmthReading(Reading, tag="temperature", frozen=True, kw_only=True):
    """The temperature of the must, and nothing else."""

    temperature: Temperature = named("temperature_k")


class VolumeReading(Reading, tag="volume", frozen=True, kw_only=True):
    """Volume of the must or mead, without fruit; it counts from its time on."""

    volume: Volume = named("volume_m3")


class TasteReading(Reading, tag="taste", frozen=True, kw_only=True):
    """What a sample tasted like, in the note."""


class What(StrEnum):
    """What was done to the batch."""

    PITCH = "pitch"
    FEED = "feed"
    ADDED = "added"
    RACKING = "racking"
    STIRRING = "stirring"
    TEMPERATURE = "temperature"
    STABILISED = "stabilised"
    DOSE = "dose"
    BOTTLED = "bottled"
    NOTE = "note"


class Event(Reading, tag="event", frozen=True, kw_only=True):
    """Something done to the batch; a change of temperature says to which, a feed, an addition or a dose how much of what,
    bottling into how many bottles of which size, racking how much came off the lees."""

    what: What
    key: Key | None = None
    """The nutrient of a feed, the honey, fruit or sugar of what was added while it worked, or the additive of a dose."""
    mass: Mass | None = named("mass_kg", None)
    bottles: Annotated[int, msgspec.Meta(title="Bottles", ge=1, le=100_000)] | None = named("bottles_count", None)
    size: Volume | None = named("bottle_size_m3", None)
    """Of each of the bottles."""
    volume: Volume | None = named("volume_left_m3", None)
    """Of what came off the lees, where it was measured when it was racked."""


Entry = (
    HydrometerReading
    | SensorReading
    | RefractometerReading
    | WeightReading
    | SugarReading
    | AcidityReading
    | TitrationReading
    | WarmthReading
    | VolumeReading
    | TasteReading
    | Event
)
"""Whatever may stand in a log."""


class RunInFile(Value, tag_field="kind", tag="run", frozen=True, kw_only=True):
    """A long run of like readings as it stands in a file: the first whole, and then what differs in those after it."""

    first: Entry
    then: Columns

    def __post_init__(self) -> None:
        columns = self.then.checked()
        for name in columns:
            if getattr(self.first, name, None) is None:
                raise ValueError(f"a column of a run holds {KEYS[name]}, which its first reading lacks")

    def piece(self) -> Piece[Entry]:
        """The readings: as a run, or one by one where their moments are not alike."""
        whole = {name: (getattr(self.first, name), *values) for name, values in self.then.given().items()}
        columns = {name: column_of(name, values) for name, values in whole.items()}
        if not any(column is None for column in columns.values()):
            return Run(self.first, cast("dict[str, Any]", columns))
        rows = zip(*whole.values(), strict=True)
        return tuple([msgspec.structs.replace(self.first, **dict(zip(whole, row, strict=True))) for row in rows])


def _pieces(stored: Iterable[Entry | RunInFile]) -> Iterator[Piece[Entry]]:
    for is_run, some in groupby(stored, lambda one: isinstance(one, RunInFile)):
        if is_run:
            yield from (run.piece() for run in cast("Iterator[RunInFile]", some))
        else:
            yield tuple(cast("Iterator[Entry]", some))


if TYPE_CHECKING:
    Stored = Entry
else:  # only while a file is read
    Stored = Entry | RunInFile


class Hydrometer(Value, frozen=True, kw_only=True):
    """The instrument: the temperature it is made for."""

    calibration: Temperature = named("calibration_k", 293.15)


class Refractometer(Value, frozen=True, kw_only=True):
    """The instrument: whether it corrects for the temperature of the drop by itself, as most do."""

    compensated: bool = True


class Log(Value, frozen=True, kw_only=True):
    """What was measured and done, in the order it was entered."""

    pitched_at: Moment | None = None
    hydrometer: Hydrometer = Hydrometer()
    refractometer: Refractometer = Refractometer()
    readings: Sequence[Stored] = ()
    """Always `Entries`, whatever they were given as."""

    def __post_init__(self) -> None:
        if not isinstance(self.readings, Entries):
            msgspec.structs.force_setattr(self, "readings", Entries(*_pieces(self.readings)).gathered())

    @property
    def entries(self) -> Entries[Entry]:
        """The readings, as what they are."""
        return cast("Entries[Entry]", self.readings)


class Share(Value, frozen=True, kw_only=True):
    """How much of a liquid one of its components makes up."""

    component: Key
    share: Fraction = named("mass_fraction")


class OtherMead(Value, frozen=True, kw_only=True):
    """Another mead to blend with, as it was when it was chosen: later changes to its own batch do not reach it."""

    name: Annotated[str, msgspec.Meta(min_length=1, max_length=200)]
    composition: tuple[Share, ...]


class Addition(Value, frozen=True, kw_only=True):
    """So much of an ingredient added to the finished mead."""

    key: Key
    mass: Mass = named("mass_kg")
    alcohol: Fraction | None = named("label_alcohol_volume_fraction", None)
    """Strength on the label of a spirit or extract; None for the table's."""
    sugar: Concentration | None = named("label_sugar_kg_per_m3", None)
    """Sugar that a liquid holds by its label; None for the table's."""
    blend: OtherMead | None = None
    """What is blended in, where the ingredient is another mead."""


class TrialPart(Value, frozen=True, kw_only=True):
    """One ingredient of a trial, and its full dose per volume of the mead without it."""

    key: Key
    dose: Concentration = named("full_dose_kg_per_m3")


class Glass(Value, frozen=True, kw_only=True):
    """A glass of a trial: how many full doses it holds, and what the taster thought of it."""

    strength: Annotated[float, quantity("1", "Full doses", ge=0.0, le=10.0)] = named("full_doses")
    score: Annotated[float, quantity("1", "Score out of ten", ge=0.0, le=10.0)] | None = named("score_out_of_10", None)
    rank: Annotated[int, msgspec.Meta(ge=1, le=20, title="Rank, 1 the best")] | None = None


class Trial(Value, frozen=True, kw_only=True):
    """Some glasses of the mead with rising doses, tasted side by side."""

    parts: tuple[TrialPart, ...]
    glasses: tuple[Glass, ...]
    glass: Volume = named("glass_m3", 1e-4)
    counted: bool = named("drunk_counted", False)
    """What it took from the mead is among what was taken out."""
    at: Moment | None = None
    note: Text = ""


class Adjustment(Value, frozen=True, kw_only=True):
    """The finished mead as measured, where it was, and what is added to it."""

    volume: Volume | None = named("volume_m3", None)
    gravity: Gravity | None = named("gravity_sg20", None)
    alcohol: Annotated[float, quantity("1", "Alcohol by volume", ge=0.0, le=0.25)] | None = named(
        "alcohol_volume_fraction", None
    )
    acid: Annotated[float, quantity("kg/m3", "Titratable acid as tartaric", ge=0.0, le=50.0)] | None = named(
        "titratable_acid_kg_per_m3_tartaric", None
    )
    ph: Annotated[float, quantity("1", "pH", ge=2.0, le=7.0)] | None = named("ph", None)
    drunk: Annotated[float, quantity("m3", "Taken out to taste", ge=0.0, le=1e3)] = named("taken_out_m3", 0.0)
    """Volume taken out for trials and tasting since the volume was known, and not poured back."""
    vessel: Volume | None = named("vessel_m3", None)
    """What the mead stands in while it is adjusted."""
    additions: tuple[Addition, ...] = ()
    """What is to be added in all. What of that was really stirred in stands in the log, step by step."""
    trials: tuple[Trial, ...] = ()
    stabilised: bool = False
    """Yeast and bacteria are kept from working by now: by sulphite with sorbate, or by heat."""
    stabilising: Literal["", "salts", "heat"] = named("stabilising_planned", "")
    """What is planned for that, by a route that was taken; it keeps nothing until it is done."""
    serving_temperature: Temperature = named("serving_temperature_k", 285.15)


class Batch(Value, frozen=True, kw_only=True):
    """One batch from the fruit to the bottle."""

    name: Annotated[str, msgspec.Meta(min_length=1, max_length=200)]
    recipe: Recipe
    log: Log = Log()
    adjustment: Adjustment = Adjustment()
    tastings: tuple[Tasting, ...] = ()
    tests: tuple[BlindTest, ...] = named("blind_tests", ())
    notes: Text = ""
    own: OwnIngredients = OwnIngredients()
    """The person's own ingredients that this batch uses."""
    learning: Learning = Learning()
    """What earlier batches taught."""


def new_batch() -> Batch:
    """An empty batch, ready to be filled: a name, a yeast and its usual pitch, and nothing else."""
    return Batch(name="New batch", recipe=Recipe(yeast=Yeast(key="all-rounder", pitch=0.005)))
