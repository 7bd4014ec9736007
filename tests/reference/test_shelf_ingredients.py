"""Honey, additives, yeasts, nutrients and cautions: parts that fit together, figures that others printed."""

from __future__ import annotations

import pytest

from planner.model.acidity import CARBONATES
from planner.model.components import COMPONENTS
from planner.model.constants import HEXOSE_PER_DISACCHARIDE
from planner.model.span import Span
from planner.reference.catalogue import DEFAULT_HONEY, catalogue
from planner.reference.ingredients import read_additives, read_cautions, read_honeys
from planner.reference.shipped import resources
from planner.reference.status import Status
from planner.reference.tables import TableError

SHELF = catalogue()
honeys = pytest.mark.parametrize("honey", SHELF.honeys.values(), ids=lambda row: row.key)
additives = pytest.mark.parametrize("additive", SHELF.additives.values(), ids=lambda row: row.key)
yeasts = pytest.mark.parametrize("yeast", SHELF.yeasts.values(), ids=lambda row: row.key)
nutrients = pytest.mark.parametrize("nutrient", SHELF.nutrients.values(), ids=lambda row: row.key)
cautions = pytest.mark.parametrize("caution", SHELF.cautions.values(), ids=lambda row: row.key)


def hexose(additive) -> float:
    """Hexose that yeast can take, per mass as sold. [kg/kg]"""
    return sum(share * COMPONENTS[key].hexose for key, share in additive.composition)


# Honey


@honeys
def test_that_the_parts_of_a_honey_add_up_to_it(honey):
    sugars = honey.fructose + honey.glucose + honey.sucrose + honey.disaccharides + honey.higher_sugars
    rest = honey.acid + honey.ash_protein + honey.undetermined
    assert honey.moisture.typical + sugars + rest == pytest.approx(1.0, abs=1e-9)
    assert honey.undetermined >= 0.0


@honeys
def test_that_what_ferments_lies_between_the_simple_sugars_and_all_sugars(honey):
    simple = honey.fructose + honey.glucose + HEXOSE_PER_DISACCHARIDE * honey.sucrose
    every = simple + HEXOSE_PER_DISACCHARIDE * (honey.disaccharides + honey.higher_sugars)
    assert simple < honey.fermentable.low < honey.fermentable.typical < honey.fermentable.high < every


@honeys
def test_that_honey_keeps_to_the_law(honey):
    # Directive 2001/110/EC, Annex II: moisture at most 20 %, fructose and glucose at least 60 (45) g/100 g.
    assert honey.moisture.high <= 0.20
    assert honey.fructose + honey.glucose >= (0.45 if honey.key == "dark" else 0.60)
    assert honey.sucrose <= 0.05
    assert honey.moisture.low < honey.moisture.typical < honey.moisture.high


def test_that_the_honey_to_plan_with_is_the_average_of_490():
    honey = SHELF.honey(DEFAULT_HONEY)  # White 1962, means in g/100 g
    assert honey.moisture.typical == 0.172
    assert honey.fructose == 0.3819
    assert honey.glucose == 0.3128
    assert honey.higher_sugars == 0.015
    assert honey.fermentable == Span(0.742, 0.76, 0.778)


# Means of kinds of honey in the survey of White 1962 [g/100 g], recalled: moisture, fructose, glucose.
@pytest.mark.parametrize(
    ("key", "printed"),
    [("clover", (17.7, 37.95, 30.97)), ("orange-blossom", (16.5, 39.08, 32.01)), ("linden", (17.4, 37.88, 31.59)),
     ("tupelo", (18.2, 43.27, 25.95)), ("buckwheat", (18.3, 35.28, 29.46))],
)  # fmt: skip
def test_that_kinds_of_honey_are_those_of_the_survey(key, printed):
    honey = SHELF.honey(key)
    assert [100.0 * part for part in (honey.moisture.typical, honey.fructose, honey.glucose)] == pytest.approx(printed)
    assert honey.status is Status.MEMORY


def test_that_darker_honey_feeds_yeast_better():
    # Steinkraus & Morse 1966: dark honeys ferment more easily than light ones.
    nitrogen = [SHELF.honey(key).nitrogen.typical for key in ("light-blossom", "blossom", "dark")]
    assert nitrogen == pytest.approx([30e-6, 70e-6, 150e-6])


def test_that_a_honey_with_more_parts_than_the_whole_is_refused(tmp_path):
    text = (resources() / "tables" / "honeys.csv").read_text(encoding="utf-8").replace(",38.19,", ",58.19,", 1)
    (tmp_path / "honeys.csv").write_text(text, encoding="utf-8")
    with pytest.raises(TableError, match=r"honeys.csv, row 2 \(light-blossom\).*comes to more than 100 %"):
        read_honeys(tmp_path / "honeys.csv", SHELF.sources, SHELF.cautions)


# Additives


@additives
def test_that_the_composition_of_an_additive_adds_up_to_one(additive):
    assert sum(share for _, share in additive.composition) == pytest.approx(1.0, abs=1e-4)
    assert all(share > 0.0 for _, share in additive.composition)
    assert len({key for key, _ in additive.composition}) == len(additive.composition)


@additives
def test_that_liquids_have_a_density_and_powders_a_spoon(additive):
    assert additive.liquid == (additive.density is not None)
    # A US teaspoon is 4.92892 mL (231 cubic inches to the gallon); 0.4 to 1.5 kg/L covers powders and syrups.
    assert additive.teaspoon is not None
    assert 0.4 <= additive.teaspoon / 4.92892e-6 / 1000.0 <= 1.5


@additives
def test_that_a_spoon_of_a_liquid_weighs_what_its_density_says(additive):
    if additive.density is not None:
        assert additive.teaspoon == pytest.approx(additive.density * 4.92892e-6, rel=0.02)


@additives
def test_that_what_yeast_can_take_calls_for_the_caution_about_bottles(additive):
    assert ("refermentation" in additive.cautions) == (hexose(additive) > 0.0)


@additives
def test_that_the_three_groups_hold_what_they_promise(additive):
    main = max(additive.composition, key=lambda part: part[1])[0]
    assert (additive.group == "acid") == (COMPONENTS[main].acid_equivalents > 0.0)
    if additive.group == "sweetener":
        assert sum(share * COMPONENTS[key].sweetness.typical for key, share in additive.composition) > 0.15
    if additive.group == "body":
        assert additive.key == "glycerol" or main.startswith("maltodextrin")


def test_that_honey_stirred_in_brings_the_sugar_that_the_literature_gives():
    # 0.76 g of hexose per g: F, G, sucrose, 45 to 86 % of the disaccharides (Yoon 2003, Kruzik 2022).
    assert hexose(SHELF.additive("honey")) == pytest.approx(0.76, abs=5e-4)


def test_that_honey_stirred_in_is_the_honey_of_the_average():
    honey, parts = SHELF.honey(DEFAULT_HONEY), dict(SHELF.additive("honey").composition)
    assert parts["water"] == honey.moisture.typical
    assert parts["fructose"] == honey.fructose
    assert parts["maltose"] + parts["higher_sugars"] == pytest.approx(honey.disaccharides + honey.higher_sugars)
    assert parts["other"] == pytest.approx(honey.ash_protein + honey.undetermined, abs=1e-4)


@pytest.mark.parametrize(
    ("key", "dextrose_equivalent", "one", "two", "three", "component"),
    [
        # US patent 4 298 400, end points DE 5 and DE 20 of enzyme-made products; DP3 estimated; % of solids
        ("maltodextrin-5", 5, 0.2, 1.3, 1.5, "maltodextrin_low"),
        ("maltodextrin-10", 10, 0.5, 3.4, 4.3, "maltodextrin_medium"),
        ("maltodextrin-18", 18, 0.9 + 0.6 * 0.5, 5.5 + 0.6 * 2.1, 6.5 + 0.6 * 2.5, "maltodextrin_high"),
    ],
)
def test_that_maltodextrin_is_made_of_its_chains(key, dextrose_equivalent, one, two, three, component):
    parts, solids = dict(SHELF.additive(key).composition), 0.945  # moisture 5.5 %, specification sheets
    assert parts["water"] == 0.055
    assert parts["glucose"] == pytest.approx(one / 100 * solids, abs=5e-6)
    assert parts["maltose"] == pytest.approx((two + three / 2) / 100 * solids, abs=5e-6)
    assert parts[component] == pytest.approx(1.0 - sum(v for k, v in parts.items() if k != component), abs=1e-9)
    # Dextrose equivalent counts reducing ends: the sugars alone must stay below it.
    assert one + 0.526 * two + 0.357 * three < dextrose_equivalent


def test_that_lactose_is_declared_as_milk():
    lactose = SHELF.additive("lactose")
    assert lactose.allergen == "milk"
    assert "lactose-milk" in lactose.cautions
    assert dict(lactose.composition)["lactose"] == pytest.approx(342.30 / 360.31, abs=1e-4)  # molar masses
    assert hexose(lactose) == 0.0  # Yoon, Mukerjea & Robyt 2003: not fermented


def test_that_dextrose_brings_its_crystal_water():
    assert dict(SHELF.additive("dextrose").composition)["glucose"] == pytest.approx(180.16 / 198.17, abs=1e-4)


def test_that_erythritol_knows_how_much_the_cold_will_hold():
    erythritol = SHELF.additive("erythritol")
    # van 't Hoff through 20 °C (35 to 37 %) and 80 °C (75 %): 24 to 26.5 % at 4 °C
    assert 0.24 <= erythritol.solubility_cold <= 0.265
    assert erythritol.cold_ceilings == ((0.12, 110.0), (0.14, 97.0), (0.16, 84.0), (0.18, 74.0))
    assert {"erythritol-intake", "polyol-laxative"} <= set(erythritol.cautions)


def test_that_cold_sugar_solutions_agree_with_the_handbook():
    # Mohos 2010, appendix 2: 64.18 % at 0 °C, 64.9 % at 5 °C
    assert 0.6418 < SHELF.additive("sugar").solubility_cold < 0.649


def test_that_polyols_made_by_hydrogenation_are_not_called_natural():
    unnatural = {key for key, additive in SHELF.additives.items() if not additive.natural}
    made = {"potassium-bicarbonate", "potassium-carbonate", "potassium-metabisulphite", "potassium-sorbate"}
    assert unnatural == {"xylitol", "sorbitol", "malic-acid"} | made
    assert "xylitol-dogs" in SHELF.additive("xylitol").cautions


@pytest.mark.parametrize(
    ("table", "old", "new", "problem"),
    [
        ("compositions.csv", "lactose,lactose,95.0", "lactose,lactose,85.0", r"row 10 \(lactose\).*90.000%, not to"),
        ("compositions.csv", "lactose,lactose", "lactose,milkiness", "column component: 'milkiness' is not known"),
        ("compositions.csv", "lactose,water", "laktose,water", "column additive: 'laktose' is not known"),
        ("additives.csv", "sugar,Sugar (sucrose),sweetener", "sugar,Sugar,spice", "column group: 'spice'"),
        ("additives.csv", "body,verified,yes,1261", "body,verified,yes,", r"column density\[kg/m3\]: is empty"),
        ("cold_ceilings.csv", ",12,110,", ",12,lots,", r"column ceiling\[g/L\]: 'lots' is not a number"),
    ],
)
def test_that_a_damaged_additive_is_refused(tmp_path, table, old, new, problem):
    for name in ("additives.csv", "compositions.csv", "cold_ceilings.csv"):
        text = (resources() / "tables" / name).read_text(encoding="utf-8")
        assert name != table or old in text
        (tmp_path / name).write_text(text.replace(old, new) if name == table else text, encoding="utf-8")
    with pytest.raises(TableError, match=problem):
        read_additives(tmp_path, SHELF.sources, SHELF.cautions)


# Yeasts and nutrients


@yeasts
def test_that_a_yeast_has_sensible_limits(yeast):
    assert 0.05 < yeast.tolerance.low < yeast.tolerance.typical < yeast.tolerance.high < 0.20
    assert 278.15 < yeast.t_low < yeast.t_best < yeast.t_high < 308.15
    assert 0.7 <= yeast.vigour.low < yeast.vigour.typical < yeast.vigour.high <= 2.0
    assert yeast.demand in (0.62e-3, 0.75e-3, 0.91e-3)  # Taillandier 2007: 0.62 to 0.91 mg N per g of sugar
    assert yeast.status is Status.ESTIMATE
    assert "co2-room" in yeast.cautions


def test_that_a_yeast_wakes_and_eats_as_wine_yeasts_do():
    for yeast in SHELF.yeasts.values():
        assert 0.5 <= yeast.lag <= 2.0  # 6 to 12 h at 20 to 25 °C, common practice: a factor of two
        assert yeast.maltose == 1.0  # common practice, no source: wine and ale yeasts take maltose
    assert SHELF.yeast("cool-clean").lag > SHELF.yeast("all-rounder").lag > SHELF.yeast("dry-finisher").lag


def test_that_six_kinds_of_yeast_are_told_apart_by_their_traits():
    assert len(SHELF.yeasts) == 6
    assert len({(yeast.tolerance, yeast.t_best, yeast.demand) for yeast in SHELF.yeasts.values()}) == 6
    assert SHELF.yeast("all-rounder").vigour.typical == 1.0


@nutrients
def test_that_a_nutrient_brings_nitrogen_or_is_a_carbonate_and_speaks_of_the_law(nutrient):
    assert nutrient.is_food == (nutrient.key not in CARBONATES)
    least = 0.0 if nutrient.is_food else -1.0
    assert least < nutrient.nitrogen.low <= nutrient.nitrogen.typical <= nutrient.nitrogen.high < 0.25
    assert nutrient.ceiling_note


def test_that_ammonium_phosphate_holds_the_nitrogen_of_its_formula():
    # (NH4)2HPO4 with the standard atomic weights N 14.007, H 1.008, P 30.974, O 15.999
    formula = 2 * 14.007 / (2 * 14.007 + 9 * 1.008 + 30.974 + 4 * 15.999)
    nutrient = SHELF.nutrient("diammonium-phosphate")
    assert nutrient.nitrogen.is_exact
    assert nutrient.nitrogen.typical == pytest.approx(formula, abs=5e-4)
    assert nutrient.ceiling == 0.96  # 27 CFR 24.246, 2015: 8 lb per 1000 US gallons
    assert nutrient.ceiling == pytest.approx(8 * 0.45359237 / (1000 * 0.003785411784), abs=0.005)
    assert [row.key for row in SHELF.nutrients.values() if row.organic] == ["yeast-autolysate"]


def test_that_ammonium_sulphate_holds_the_nitrogen_of_its_formula():
    formula = 2 * 14.007 / (2 * 14.007 + 8 * 1.008 + 32.06 + 4 * 15.999)  # standard atomic weights
    nutrient = SHELF.nutrient("ammonium-sulphate")
    assert nutrient.nitrogen.typical == pytest.approx(formula, abs=5e-4)
    assert nutrient.ceiling == 0.3  # OIV code of oenological practices, annex of limits


def test_that_every_kind_of_ingredient_is_on_the_shelf():
    assert len(SHELF.fruits) >= 30
    groups = {row.group for row in SHELF.additives.values()}
    assert groups == {"sweetener", "body", "acid", "deacidifier", "enzyme", "tannin", "flavour", "liquid", "stabiliser"}
    assert len(SHELF.honeys) >= 5


# Cautions


@cautions
def test_that_every_caution_is_called_by_a_row(caution):
    rows = [*SHELF.fruits.values(), *SHELF.honeys.values(), *SHELF.additives.values(), *SHELF.yeasts.values()]
    assert any(caution.key in row.cautions for row in rows) or caution.key == "heated-bottles"  # of what is done


@cautions
def test_that_every_caution_is_plain_and_says_whom_to_ask(caution):
    assert 40 < len(caution.text) < 500
    assert "\n" not in caution.text
    assert "  " not in caution.text
    deference = ("doctor", "vet", "local", "poison centre", "Workplace limits")
    assert any(word in caution.text for word in deference)
    assert caution.title


def test_that_a_caution_without_a_known_source_is_refused(tmp_path):
    path = tmp_path / "cautions.csv"
    path.write_text("key,title,source,text\nfire,Fire,hearsay,Hot.\n", encoding="utf-8")
    with pytest.raises(TableError, match=r"cautions\.csv, row 2 \(fire\), column source: 'hearsay' is not the key"):
        read_cautions(path, {"estimate"})
