"""How each result is worked out: the method in a sentence, its sources, and what is assumed, by key of the result."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

import msgspec


class Method(msgspec.Struct, frozen=True):
    """The way to a result.

    Attributes
    ----------
    sentence : str
        What is done.
    sources : tuple of str
        Keys of sources of the formulas and constants.
    rows : tuple of (str, str)
        Rows of the shelf that enter, as the part of the batch that names them, and the name of what is used of a row.
    components : tuple of str
        Substances whose constants enter.
    assumptions : tuple of str
        Those that matter most.
    """

    sentence: str
    sources: tuple[str, ...]
    rows: tuple[tuple[str, str], ...] = ()
    components: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()


DENSITY = ("oiml-r22", "icumsa-sps4", "oiv-as2-03b", "crc-2021")
FERMENTED = ("scanes-1998", "gomes-2013", "memory", "estimate")
PACE = ("zenteno-2010", "coleman-2007", "salvado-2011", "rosso-1993", "rosso-1995", "pigeau-2007", "estimate")
_YIELDS = "Yeast makes 45 to 48.5 % of the mass of its sugar into alcohol, 2 to 3.6 % into glycerol."
_FLESH = "What fruit and honey hold varies from lot to lot; the range is that of the tables."
_DISSOLVED = "Each dissolved substance takes room of its own, which changes with strength as that of sucrose does."
_STOP = "Yeast stops within the range of its alcohol tolerance, or when fermentable sugar runs out."
_WARM = "The must is within {1 K} to {1.5 K} of the temperature planned."
_COMPLETE = "All that is entered is in the must; nothing is lost before pitching."
_SUGARS = ("glucose", "fructose", "sucrose", "maltose")
_ACIDS = ("malic", "citric", "tartaric", "quinic", "gluconic", "lactic", "succinic", "acetic")
_RECIPE = (("fruits", "composition"), ("honeys", "composition"))

_MUST = {
    "volume": Method(
        "Juice, honey and water are added by mass. The density of the mixture at {20 °C} gives their volume.",
        DENSITY, (("fruits", "yield"), ("honeys", "composition")), (),
        ("Juice per fruit lies between plain pressing and pressing with enzyme, by what is done to the fruit.", _COMPLETE),
    ),
    "mass": Method(
        "Juice that the press gives, honey and water, added up.", ("estimate",), (("fruits", "yield"),), (), (_COMPLETE,)
    ),
    "gravity": Method(
        "The density of all substances of juice, honey and water together, over that of water at {20 °C}.",
        DENSITY, _RECIPE, (), (_FLESH, _DISSOLVED),
    ),
    "first": Method(
        "The gravity of honey, water, and as much juice as has run out of whole fruit at pitching.",
        (*DENSITY, "maldonado-2022", "estimate"), _RECIPE, (),
        ("Thawed fruit has given 30 to 85 % of its juice by then, fresh fruit 5 to 60 %.", _FLESH),
    ),
    "brix": Method(
        "The strength of a solution of sucrose that has the gravity of the must.",
        ("icumsa-sps4",), _RECIPE, (), ("Other substances than sugar are counted as if they were sugar.",),
    ),
    "sugar": Method(
        "Glucose, fructose and what yeast splits into them, from juice and honey, as hexose per volume.",
        ("chemical-formula", *DENSITY), _RECIPE, (), (_FLESH,),
    ),
    "sugar_in_all": Method(
        "Sugar of the must and of all that is added while it works, per volume at pitching.",
        ("chemical-formula", *DENSITY), _RECIPE, (), (_FLESH,),
    ),
    "acid": Method(
        "The acids of juice and honey, each by the alkali it takes to pH 8.2. They are told as tartaric acid.",
        ("chemical-formula",), (("fruits", "acid"), ("honeys", "composition")), (), (_FLESH,),
    ),
    "nitrogen": Method(
        "Nitrogen that yeast can use, per volume of juice and per mass of honey, without feeds.",
        ("estimate",), (("fruits", "nitrogen"), ("honeys", "nitrogen")), (),
        ("Ripeness, soil and year change it two- to threefold; only a measurement tells.",),
    ),
    "ph": Method(
        "The charges of the acids and salts of fruit and honey balanced, each part beginning from its own pH.",
        ("davies-1962", "white-1962", "chemical-formula", "memory", "estimate"), (("fruits", "ph"),), (),
        ("Fruit varies, and honey buffers little: only a measurement tells.",),
    ),
    "juice": Method(
        "The mass of fruit without stones and stems times what the press gives, as a volume at {20 °C}.",
        DENSITY, (("fruits", "yield"),), (),
        ("Freezing brings half of what enzyme brings; a fifth of the gain comes only with a week's cold soak.",),
    ),
}  # fmt: skip

_FINISH = {
    "gravity": Method(
        "The must after yeast has worked, balanced to the gram: what it takes, makes, leaves and sends off as gas.",
        (*DENSITY, *FERMENTED), (*_RECIPE, ("yeast", "traits")), (), (_STOP, _YIELDS, _FLESH),
    ),
    "dry_gravity": Method(
        "The gravity that is left once yeast has taken all fermentable sugar.", (*DENSITY, *FERMENTED), _RECIPE, (), (_YIELDS, _FLESH)
    ),
    "alcohol": Method(
        "Sugar that yeast takes times what it makes of it, over the volume that is left: a balance of masses.",
        (*FERMENTED, *DENSITY), (*_RECIPE, ("yeast", "traits")), (), (_YIELDS, _STOP),
    ),
    "sugar": Method(
        "What is left of the sugar when yeast stops.",
        (*PACE, *FERMENTED), (*_RECIPE, ("yeast", "traits"), ("feeds", "nitrogen")), (), (_STOP,),
    ),
    "acid": Method(
        "The acids of the must and those that yeast makes, as so much tartaric acid.",
        ("chemical-formula", *FERMENTED), (("fruits", "acid"),), ("succinic", "acetic"),
        ("Bacteria do not change the acids; a malolactic fermentation would lower them.",),
    ),
    "volume": Method(
        "The mass that is left after the gas has gone, over its density at {20 °C}.",
        (*DENSITY, *FERMENTED), _RECIPE, (), ("Lees and racking losses are not counted here.",),
    ),
    "day": Method(
        "Growth, uptake of sugar and decline of the yeast are followed day by day until gravity stops.",
        PACE, (*_RECIPE, ("yeast", "traits"), ("feeds", "nitrogen")), (),
        (_WARM, "The lag of the yeast is known within a factor of two.",
         "The published models were fitted to musts of 180 to 300 g/L of sugar from {11 °C} to {35 °C}."),
    ),
}  # fmt: skip

_PART = "What the gravity of the finished mead rises by when this is put into it, after what stands above."
_BUDGET = {
    "alcohol": Method(
        "The gravity of water and alcohol alone, by the tables of alcohol.", ("oiml-r22",), (), ("ethanol",), (_YIELDS,)
    ),
    "sorbitol": Method(
        _PART, DENSITY, (("fruits", "composition"),), ("sorbitol",), ("Yeast leaves all of it.",)
    ),
    "acids": Method(_PART, DENSITY, (("fruits", "acid"),), _ACIDS, ("Yeast leaves the acids of the fruit.",)),
    "honey's higher sugars": Method(
        _PART, (*DENSITY, "white-1962", "yoon-2003"), (("honeys", "composition"),), ("higher_sugars",),
        ("Yeast takes only as much of them as the tables of honey say.",),
    ),
    "glycerol made by the yeast": Method(_PART, (*DENSITY, "scanes-1998", "gomes-2013"), (), ("glycerol",), (_YIELDS,)),
    "minerals, pectin and the like": Method(
        _PART, (*DENSITY, "estimate"), _RECIPE, ("other",),
        ("Half of the pectin stays dissolved with enzyme, a fifth without; minerals are 0.5 % of the flesh.",),
    ),
    "sugar the yeast leaves": Method(_PART, DENSITY, (("yeast", "traits"),), _SUGARS, (_STOP,)),
}  # fmt: skip

NOT_MEASURED = ("Until you enter a gravity of the finished mead, this is where the log stopped or is forecast to stop. Without a log it is the expected finish.")  # fmt: skip
_UNCOUNTED = "Acid, cold and gas make it taste less sweet; that is not counted."
_TASTERS = "Tasters differ by a quarter and more on substitutes for sugar."
_SWEET = ("moskowitz-1970", "pickering-kvas-2016", "estimate")
_THICK = ("crc-2021", "bingham-1917", "migliori-2007", "masuelli-2013", "danner-2019", "yanniotis-2007")
_RULE = "Measured wines lie 0 to 10 % below the rule, which is lowered by 5 %."
_MADE = (*_RECIPE, ("yeast", "traits"))
_STAND = {
    "volume": Method("The volume that was measured, else the expected one, less what was taken out, at {20 °C}.",
                     DENSITY, _RECIPE, (), (NOT_MEASURED,)),
    "gravity": Method("The gravity that was measured; else that of the log, or of all substances of the mead together.",
                      DENSITY, _MADE, (), (NOT_MEASURED, _DISSOLVED)),
    "alcohol": Method("The alcohol by the log: a balance of masses between the starting gravity and the present or forecast one. Without a log, that of the expected finish.",
                      (*FERMENTED, *DENSITY, "cutaia-2009"), _MADE, (), (NOT_MEASURED, _YIELDS)),
    "fermentable": Method("Fermentable sugar, as hexose: what the gravity and the log leave room for.",
                          ("chemical-formula", *DENSITY), _MADE, _SUGARS,
                          (NOT_MEASURED, "A sugar test in the log settles it.")),
    "extract": Method("All that is dissolved, per volume.", DENSITY, _RECIPE, (), (NOT_MEASURED,)),
    "acid": Method("The acids of the must and those that yeast makes, each by the alkali it takes to pH 8.2. They are "
                   "told as tartaric acid.",
                   ("chemical-formula", *FERMENTED), (("fruits", "acid"), ("honeys", "composition")), ("succinic", "acetic"),
                   (NOT_MEASURED, "An entered titration takes the place of what is expected.")),
    "sweetness": Method("Each substance's concentration times how sweet it is beside sucrose, added up.",
                        _SWEET, _RECIPE, (*_SUGARS, "glycerol", "sorbitol"), (_UNCOUNTED,)),
    "viscosity": Method("Viscosity of alcohol and water, times what each solute adds, as calibrated to measured wines.",
                        _THICK, _RECIPE, (), (_RULE,)),
    "ph": Method("The measured pH, or else the last one of the log. Without either, the charges of fruit, honey and salts are "
                 "balanced with the acids that yeast makes. The nitrogen that yeast takes counts, too.",
                 ("davies-1962", "white-1962", "chemical-formula", "memory", "estimate"), (("fruits", "ph"),), (),
                 ("Fruit varies, and honey buffers little: only a measurement tells.",)),
}  # fmt: skip

_WITH = (("additions", "composition"),)
_AFTER = "The mead before its additions (a page of its own tells of it), with these stirred in by mass. "
_MEAD = {
    "volume": Method(_AFTER + "Their volume together at {20 °C}.", DENSITY, _WITH, (),
                     (NOT_MEASURED, "Volumes shrink on mixing; that is counted.")),
    "gravity": Method(_AFTER + "The density of all substances, over that of water at {20 °C}.",
                      DENSITY, _WITH, (), (NOT_MEASURED, _DISSOLVED)),
    "alcohol": Method(_AFTER + "The alcohol of both over the volume they have together.",
                      (*FERMENTED, *DENSITY), _WITH, (), (NOT_MEASURED, _YIELDS)),
    "fermentable": Method(_AFTER + "Fermentable sugar, as hexose.",
                          ("chemical-formula", *DENSITY), _WITH, _SUGARS,
                          (NOT_MEASURED, "A sugar test in the log settles it.")),
    "extract": Method(_AFTER + "All that is dissolved, per volume.", DENSITY, _WITH, (), (NOT_MEASURED,)),
    "acid": Method(_AFTER + "Every acid by the alkali it takes to pH 8.2, told as tartaric acid. Carbonates take acid away.",
                   ("chemical-formula", "handbook-enology-2"), (("fruits", "acid"), *_WITH), (),
                   (NOT_MEASURED, "An entered titration takes the place of what is expected.")),
    "sweetness": Method("Each substance's concentration times how sweet it is beside sucrose, added up.",
                        _SWEET, _WITH, (*_SUGARS, "glycerol", "sorbitol", "erythritol"), (_UNCOUNTED, _TASTERS)),
    "viscosity": Method("Viscosity of alcohol and water, times what each solute adds, as calibrated to measured wines.",
                        _THICK, _WITH, (), (_RULE, "How much maltodextrin thickens is known from its kin only.")),
    "ph": Method("The charges of the mead's acids and minerals and of its additions balanced, beginning from the pH before them.",
                 ("davies-1962", "chemical-formula", "estimate"), _WITH, (),
                 ("The buffering of the mead is that of its acids as expected.",)),
}  # fmt: skip

_ADDED = "What it changes, stirred in after the additions that stand above it."
_ADDITION = {
    key: Method(_ADDED, _MEAD[key].sources, (("additions", "composition"),), (), _MEAD[key].assumptions[-1:])
    for key in ("volume", "gravity", "alcohol", "sweetness", "viscosity", "acid", "fermentable")
}
_ADDITION["teaspoons"] = Method(
    "Mass over that of a level US teaspoon.", ("eisenman-manual",), (("additions", "composition"),), (),
    ("A spoon is rough: grain, moisture and hand change it by a quarter.",),
)  # fmt: skip

_BALANCE = "Sugar and alcohol follow from the gravity by the balance of this batch's own must."
_LOG = {
    "hydrometer": Method("The gravity read is corrected to {20 °C} by how glass and must expand.",
                         ("iso-1768", *DENSITY), _RECIPE, (),
                         (_BALANCE, "Read at the surface, free of gas; a reading without temperature counts as {20 °C}.")),
    "sensor": Method("The gravity it shows is corrected to {20 °C} by how the must expands.",
                     DENSITY, _RECIPE, (), (_BALANCE, "Yeast and bubbles cling to a floating sensor: ±0.003.")),
    "refractometer": Method("What a refractometer would show is worked out along the ferment, by specific refraction, "
                            "and read backwards.",
                            ("icumsa-sps3", "oiv-as2-02", "iapws-r9-97", "crc-2021"), _RECIPE, (),
                            (_BALANCE, "Before pitching, °Brix counts as the sugar of the must.")),
    "weight": Method("Weight lost is gas, which tells how much sugar was taken.",
                     ("chemical-formula", *FERMENTED), _RECIPE, (),
                     (_BALANCE, "Nothing else was taken from or put into the vessel.")),
    "sugar": Method("Sugar as tested; gravity and alcohol are those of this must with so much left.",
                    ("estimate", *DENSITY), _RECIPE, (), ("Strips are good to 1.5 g/L or 15 %.",)),
}  # fmt: skip

_READ = {
    "alcohol": Method("The sugar between the starting gravity and this one, and what yeast makes of it. It is a balance of masses on "
                      "what this must is made of.",
                      (*FERMENTED, *DENSITY, "cutaia-2009", "common-practice"), _RECIPE, (),
                      (_YIELDS, "Each gravity counts as ±0.001; a start that was not measured, as the recipe's range.",
                       "Rules of thumb count all extract as sugar. One is 131.25 × the drop in gravity (common practice, no source). The others are 16.83 g/L for 1 % vol, and the brewers' attenuation.")),
    "pair": Method("A hydrometer sees alcohol as lighter than water; a refractometer sees it as sugar. Only one stage of this "
                   "must shows both readings, by density and specific refraction.",
                   ("crc-2021", "icumsa-sps3", "oiv-as2-02", *DENSITY, *FERMENTED), _RECIPE, ("ethanol",),
                   ("Gravity ±0.001 and ±0.1 °Brix together leave about ±0.5 % vol.",
                    "It needs no starting gravity. The program says whether the two starts agree.")),
    "plan": Method("Gravity at {20 °C} less that of the expected curve on the same day.", (*PACE, *DENSITY), _RECIPE, (),
                   ("The curve is that of the recipe, started from the measured gravity.",)),
}  # fmt: skip

_GLASS = "Glasses and batch are mixed by mass; their properties follow from what is in them, as before and after."
_CURVE = {
    "forecast": Method(
        "Many musts like this one are followed, each weighted by how well it explains every reading of the log. What they go on to do is the forecast.",
        (*PACE, *DENSITY, *FERMENTED, "estimate"), (*_RECIPE, ("yeast", "traits"), ("feeds", "nitrogen")), (),
        ("A reading counts with its uncertainty, and may be a slip.", "Temperature goes on as planned, or as last measured."),
    ),
    "gravity": Method("The ferment of many musts like this one, day by day. The bands hold half and nine in ten of them.",
                      (*PACE, *DENSITY, *FERMENTED), (*_RECIPE, ("yeast", "traits"), ("feeds", "nitrogen")), (),
                      (_WARM, "The log weighs them as soon as it holds readings.")),
}  # fmt: skip

_STILL = {
    "risk": Method(
        "Sugar that yeast or bacteria could take, weighed against the alcohol, the acid and what keeps the mead stable.",
        ("cetie-1", "codex-gsfa", "waterhouse-2016", "davis-sorbic", "estimate"),
        (("yeast", "traits"), ("additions", "composition")), (),
        ("Without a test, sugar that is left counts as fermentable. A clear mead may still ferment.",),
    ),
    "ways": Method(
        "Each way to stability, judged by the sugar, alcohol and acid of this mead, with what it would take.",
        ("codex-gsfa", "waterhouse-2016", "oiv-as323-04c", "davis-sorbic", "del-vecchio-1951", "cfr-27-24-246", "eu-2019-934",
         "estimate"), (("yeast", "traits"), ("additions", "composition")), (),
        ("Where pH was not measured, that of fruit meads is taken.", "Laws differ: follow those where you live."),
    ),
    "pressure": Method(
        "Gas from sugar that ferments in the closed bottle, dissolved by temperature and alcohol, and what that presses.",
        ("weiss-1974", "eu-2676-90", "eu-1308-2013", "cetie-1"), (("additions", "composition"),), (),
        ("All sugar that yeast can reach before alcohol stops it ferments in the bottle.",
         "Laws name pressures at {20 °C}. In a warm room the pressure is higher."),
    ),
}  # fmt: skip

_PLAN = {
    "proposal": Method(
        "What this yeast needs for the sugar, less what must and feeds bring. Portions end once a third of the sugar is used.",
        ("taillandier-2007", "must-nitrogen-mean", "cfr-27-24-246", "oiv-code", "common-practice", "estimate"),
        (("fruits", "nitrogen"), ("honeys", "nitrogen"), ("yeast", "traits")), (),
        ("Nitrogen is taken up in the first third of a ferment. All of a blend counts as ammonium towards the limit.",),
    ),
    "warmth": Method(
        "The heat of fermentation against what a still vessel, as wide as high, passes to the air of its room.",
        ("zenteno-2010", "memory", "estimate"), (("yeast", "traits"),), (),
        ("Fermenting gives 100 kJ for each mole of hexose; 2 to 8 % of it leaves with the gas. The wall passes 5 to 10 W/(m²·K).",),
    ),
    "feeding": Method(
        "Nitrogen of the feeds by their labels and tables, per volume of the must, beside what this yeast needs.",
        ("must-nitrogen-mean", "common-practice", "estimate"), (("feeds", "nitrogen"), ("fruits", "nitrogen"), ("yeast", "traits")),
        (), ("After a third of the sugar, or above 9 % vol, yeast takes up little nitrogen.",),
    ),
    "pitch": Method(
        "Dry yeast per volume of the must, as packets usually have it. The row of the shelf says what the yeast can do.",
        ("common-practice", "taillandier-2007"), (("yeast", "traits"),), (),
        ("Packets differ: follow their own dose first.",),
    ),
    "bottles": Method(
        "Volume of the must with room for foam, less what stays with the lees and at each racking. The rest is divided into bottles.",
        ("common-practice", *DENSITY), (("fruits", "yield"),), (),
        ("Losses are those entered; a fifth to a quarter of the vessel stays free for foam.",),
    ),
    "cost": Method("Prices that you entered times what the recipe takes, by bottle of the volume that is left.",
                   ("common-practice",), (), (), ("What has no price costs nothing here.",)),
    "wish": Method(
        "The recipe is solved for what is left open, by the same formulas that show the must and its finish.",
        (*DENSITY, *FERMENTED), (*_RECIPE, ("yeast", "traits")), (), (_STOP, _YIELDS, _FLESH),
    ),
    "routes": Method(
        "Each way to finish is a recipe of its own, worked out to the finished mead and compared.",
        (*DENSITY, *FERMENTED, *PACE), (*_RECIPE, ("yeast", "traits")), (), (_STOP, _FLESH),
    ),
    "schedule": Method(
        "Ferment and feeds follow the expected curve, or the log's forecast; racking, waiting and bottling follow usual intervals.",
        (*PACE, "common-practice"), (("yeast", "traits"), ("feeds", "nitrogen")), (), (_WARM,),
    ),
}  # fmt: skip

_VERDICT = {
    "kind": Method(
        "Every reading of the log is weighed against many musts like this one. The verdict is the share of them that still ferments, has stalled, or has finished.",
        (*PACE, *DENSITY, "estimate"), (*_RECIPE, ("yeast", "traits"), ("feeds", "nitrogen")), (),
        ("Gravity alone cannot always tell sugar from other extract; a sugar test can.",
         "In ferments simulated by a different model, intervals of 80 % held seven to nine times in ten."),
    ),
}  # fmt: skip

_WORTH = {
    "measuring": Method(
        "Each possible must or ferment has what a measurement would find, and what will come. A regression tells how much the one explains of the other.",
        ("estimate", "memory"), _RECIPE, (),
        ("What is left of a range is the square root of what stays unexplained. The instrument's own doubt is counted.",
         "A measurement counts alone: two together may tell more."),
    ),
}  # fmt: skip

_DOSE = {
    "found": Method(
        "The smallest masses that reach the targets, found by searching on the same properties that are shown before and after.",
        _MEAD["sweetness"].sources + _MEAD["viscosity"].sources, (("additions", "composition"),), (),
        ("Tasters differ: try it in glasses before the batch.",),
    ),
    "trial": Method(_GLASS, DENSITY, (("additions", "composition"),), (),
                    ("Syringes are read to half a millilitre (estimate); what the scores say is stated with its doubt.",)),
    "steps": Method("The dose less what the log says was stirred in, in parts.", ("common-practice",),
                    (("additions", "composition"),), (), ("Sweetness and body settle over days; taste before the next part.",)),
    "earlier": Method("The doses of the earlier batch, scaled by volume, and how both meads differ before them.",
                      DENSITY, (("additions", "composition"),), (), ("The other batch is taken as its file says.",)),
    "map": Method("Sweetness as sucrose against titratable acid as tartaric, before and after; lines join equal balance.",
                  (*_MEAD["sweetness"].sources, *_MEAD["acid"].sources), (("additions", "composition"),), (),
                  ("Words on the map describe; no law or style is meant.",)),
}  # fmt: skip

METHODS: Mapping[str, Method] = MappingProxyType(
    {
        f"{block}.{key}": method
        for block, methods in (
            ("must", _MUST), ("finish", _FINISH), ("budget", _BUDGET), ("stand", _STAND), ("mead", _MEAD), ("addition", _ADDITION),
            ("log", _LOG), ("read", _READ), ("curve", _CURVE), ("still", _STILL), ("plan", _PLAN), ("verdict", _VERDICT), ("worth", _WORTH), ("dose", _DOSE),
        )
        for key, method in methods.items()
    }
)  # fmt: skip
"""Every result by its key, such as "must.volume" or "budget.sorbitol"."""
