"""What is not needed is not read, and can be had afterwards all the same."""

from __future__ import annotations

import sys
import warnings

import pytest

from planner.ui.import_block import without


@pytest.fixture
def optional(tmp_path, monkeypatch):
    """A module on the path, and one that does without it where it is missing, with a warning."""
    (tmp_path / "optional_part.py").write_text("there = True\n", encoding="utf-8")
    (tmp_path / "tolerant_part.py").write_text(
        "import warnings\n"
        "try:\n    from optional_part import there\n"
        "except ImportError:\n    there = False\n    warnings.warn('something is missing')\n",
        encoding="utf-8",
    )
    monkeypatch.syspath_prepend(str(tmp_path))
    yield
    for name in ("optional_part", "tolerant_part"):
        sys.modules.pop(name, None)


@pytest.mark.usefixtures("optional")
def test_that_a_library_takes_the_part_for_missing_without_a_word_and_others_can_have_it():
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        with without("optional_part"):
            import tolerant_part
    assert not tolerant_part.there
    import optional_part

    assert optional_part.there


@pytest.mark.usefixtures("optional")
def test_that_what_is_loaded_already_stays():
    import optional_part

    with without("optional_part"):
        import tolerant_part
    assert tolerant_part.there
    assert sys.modules["optional_part"] is optional_part


@pytest.mark.usefixtures("optional")
def test_that_the_part_can_be_had_after_a_failure():
    with pytest.raises(ZeroDivisionError), without("optional_part"):
        _ = 1 / 0
    import optional_part

    assert optional_part.there
