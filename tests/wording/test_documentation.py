"""Documentation that a test reads: every public function states its units, its examples run, nothing heavy is loaded."""

from __future__ import annotations

import doctest
import importlib
import inspect
import pkgutil
import re
import subprocess
import sys

import pytest

import planner.document
import planner.model
import planner.reference

ROOMS = (planner.model, planner.reference, planner.document)
UNIT = re.compile(r"\[[^\]]+\]")
QUANTITY = re.compile(r"\b(Any|float|Array|Span|Sequence)\b")


def modules():
    """Every module of the three rooms."""
    for room in ROOMS:
        for found in pkgutil.iter_modules(room.__path__):
            yield importlib.import_module(f"{room.__name__}.{found.name}")


def functions():
    """Public functions, and public methods and properties of the classes of science and document."""
    for module in modules():
        for name, thing in vars(module).items():
            if name.startswith("_") or getattr(thing, "__module__", None) != module.__name__:
                continue
            if inspect.isfunction(thing):
                yield f"{module.__name__}.{name}", thing
            elif inspect.isclass(thing) and not module.__name__.startswith("planner.reference"):
                for inner, method in vars(thing).items():
                    function = method.fget if isinstance(method, property) else getattr(method, "__func__", method)
                    if not inner.startswith("_") and inspect.isfunction(function):
                        yield f"{module.__name__}.{name}.{inner}", function


FUNCTIONS = dict(functions())


def quantities(function):
    """Parameters that are numbers or hold them: those of which a reader asks in what unit."""
    return [
        name
        for name, parameter in inspect.signature(function).parameters.items()
        if QUANTITY.search(str(parameter.annotation)) and parameter.kind is not parameter.VAR_KEYWORD
    ]


@pytest.mark.parametrize("name", FUNCTIONS)
def test_that_a_public_function_says_what_it_is_for(name):
    assert inspect.getdoc(FUNCTIONS[name]), f"{name} has no docstring"


@pytest.mark.parametrize("name", [name for name, function in FUNCTIONS.items() if quantities(function)])
def test_that_a_public_function_states_the_unit_of_each_parameter(name):
    function = FUNCTIONS[name]
    text = inspect.getdoc(function) or ""
    if "Parameters\n---" not in text:
        assert UNIT.search(text), f"{name} states no [unit]"
        return
    for parameter in quantities(function):
        entry = re.search(rf"^(?:\w+, )*{parameter}(?:, \w+)*(?: : .*)?\n((?:    .*\n?)+)", text, re.M)
        assert entry, f"{name}: {parameter} is not described"
        assert UNIT.search(entry[1]), f"{name}: {parameter} states no [unit]"


@pytest.mark.parametrize(
    "name",
    [
        name
        for name, function in FUNCTIONS.items()
        if re.search(r"\b(float|Array|Span)\b", str(inspect.signature(function).return_annotation))
    ],
)
def test_that_a_public_function_states_the_unit_of_what_it_returns(name):
    text = inspect.getdoc(FUNCTIONS[name]) or ""
    told = text.split("Returns\n", 1)[1] if "Returns\n" in text else text.split("\n\nParameters", 1)[0]
    assert UNIT.search(told), f"{name} does not say in what [unit] it answers"


@pytest.mark.parametrize("module", list(modules()), ids=lambda module: module.__name__)
def test_that_the_examples_in_the_docstrings_are_true(module):
    failed, _tried = doctest.testmod(module)
    assert failed == 0


def test_that_there_are_examples_to_be_true():
    finder = doctest.DocTestFinder(exclude_empty=True)
    assert sum(len(found.examples) for module in modules() for found in finder.find(module)) >= 8


def test_that_science_shelf_and_document_load_nothing_heavy():
    names = [module.__name__ for module in modules()]
    code = (
        f"import importlib, sys; [importlib.import_module(name) for name in {names!r}];"
        "print(sorted({'PySide6', 'matplotlib', 'pint', 'scipy', 'numpy'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "['numpy']"
