"""Settings come back with their types, in another process too, and bad ones have their defaults."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from PySide6.QtCore import QLocale, QSettings

from planner.document.batch import Price, Prices
from planner.ui.settings import MOST_RECENT, Appearance, Settings
from planner.units import GravityScale, System


def open_at(path, locale="de_DE"):
    return Settings(QSettings(str(path), QSettings.Format.IniFormat), QLocale(locale))


@pytest.fixture
def ini(tmp_path):
    return tmp_path / "settings.ini"


def test_that_no_settings_can_be_made_without_a_store():
    with pytest.raises(TypeError):
        Settings()


def test_that_the_first_start_has_defaults(ini):
    settings = open_at(ini)
    assert settings.system == System.METRIC
    assert settings.gravity_scale == GravityScale.SG
    assert settings.appearance == Appearance.SYSTEM
    assert settings.recent_files == ()
    assert settings.window_geometry == b""
    assert settings.folded_panes == frozenset()
    assert settings.last_folder == Path.home()


def test_that_the_country_decides_the_units_until_the_person_does(ini):
    settings = open_at(ini, "en_US")
    assert settings.system == System.US
    settings.system = System.METRIC
    assert open_at(ini, "en_US").system == System.METRIC


def test_that_settings_read_the_same_in_another_process(ini, tmp_path):
    batch = tmp_path / "Brombeer, süß; ½.batch"
    batch.touch()
    settings = open_at(ini)
    settings.system = System.US
    settings.gravity_scale = GravityScale.BRIX
    settings.appearance = Appearance.DARK
    settings.window_geometry = bytes(range(256))
    settings.window_state = b"state"
    settings.folded_panes = {"recipe"}  # a single one: an INI file would give it back as a bare text
    settings.remember_file(batch)
    settings.write()
    code = (
        "import sys; from PySide6.QtCore import QLocale, QSettings; from planner.ui.settings import Settings\n"
        "s = Settings(QSettings(sys.argv[1], QSettings.Format.IniFormat), QLocale('de_DE'))\n"
        "print(ascii([s.system.name, s.gravity_scale.name, s.appearance.name, s.window_geometry == bytes(range(256)),"
        " s.window_state, sorted(s.folded_panes), [p.name for p in s.recent_files], str(s.last_folder)]))\n"
    )
    ran = subprocess.run([sys.executable, "-c", code, str(ini)], check=True, capture_output=True, text=True)
    expected = ["US", "BRIX", "DARK", True, b"state", ["recipe"], [batch.name], str(tmp_path)]
    assert ran.stdout.strip() == ascii(expected)


def test_that_recent_files_are_the_newest_that_still_exist(ini, tmp_path):
    settings = open_at(ini)
    paths = [tmp_path / f"{n}.batch" for n in range(MOST_RECENT + 2)]
    for path in paths:
        path.touch()
        settings.remember_file(path)
    assert settings.recent_files == tuple(reversed(paths[2:]))
    settings.remember_file(paths[5])
    assert settings.recent_files[:2] == (paths[5], paths[-1])
    assert len(settings.recent_files) == MOST_RECENT
    paths[5].unlink()
    assert paths[5] not in settings.recent_files
    settings.forget_file(paths[7])
    assert paths[7] not in settings.recent_files


def test_that_a_folder_that_is_gone_is_not_opened_again(ini, tmp_path):
    (tmp_path / "stick").mkdir()
    settings = open_at(ini)
    settings.remember_file(tmp_path / "stick" / "a.batch")
    assert settings.last_folder == tmp_path / "stick"
    (tmp_path / "stick").rmdir()
    assert settings.last_folder == Path.home()


@pytest.mark.parametrize("rubbish", ["cubits", "", "[1, 2]", "{}", '"text"', "@ByteArray(x)", "a, b", "@Invalid()"])
def test_that_rubbish_in_the_store_is_the_default(ini, rubbish):
    names = ["reading/system", "reading/gravity_scale", "window/appearance", "files/recent", "window/folded"]
    names += ["window/geometry", "files/folder"]
    sections: dict[str, list[str]] = {}
    for name in names:
        section, key = name.split("/")
        sections.setdefault(section, []).append(f"{key}={rubbish}")
    ini.write_text("\n".join(line for name, lines in sections.items() for line in [f"[{name}]", *lines]))
    settings = open_at(ini)
    assert settings.system == System.METRIC
    assert settings.gravity_scale == GravityScale.SG
    assert settings.appearance == Appearance.SYSTEM
    assert settings.recent_files == ()
    assert settings.folded_panes == frozenset()
    assert isinstance(settings.window_geometry, bytes)
    assert settings.last_folder == Path.home()


def test_that_the_display_follows_the_settings(ini):
    settings = open_at(ini)
    settings.gravity_scale = GravityScale.BRIX
    assert settings.display.gravity_scale == GravityScale.BRIX
    assert settings.display.locale == QLocale("de_DE")


def test_that_prices_are_kept_and_bad_ones_are_none(ini):
    prices = Prices(currency="kr", bottle=4.0, lines=(Price(key="blossom", per_kg=120.0),))
    settings = open_at(ini)
    assert settings.prices == Prices()
    settings.prices = prices
    settings.write()
    assert open_at(ini).prices == prices
    QSettings(str(ini), QSettings.Format.IniFormat).setValue("cost/prices", '{"bottle_price": "much"}')
    assert open_at(ini).prices == Prices()
