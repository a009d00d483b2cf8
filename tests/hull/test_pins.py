"""Pinned marks and the rubbing strip, as the hull file gives them: read, and refused when they cannot be meant."""

from collections.abc import Callable
from pathlib import Path

import pytest

from templates_gen.errors import Fault
from templates_gen.hull.reader import read_hull

LANDS = '[lands]\nby = "even"\n'


def lands(sound: str, more: str) -> str:
    """The sound file lined off by the program, with more lines in [lands]; its first line is 45, the next 47 on."""
    return sound.split("[lands]")[0].replace("strakes = 2", "strakes = 4") + LANDS + more


def test_pins_and_strip_are_read(sound: str, written: Callable[[str], Path]) -> None:
    more = 'rubbing_strip = 12.5\n[lands.pins]\n"3" = {2 = 310.0}\nfore = {1 = 200, "3" = 400.0}\n'
    hull = read_hull(written(lands(sound, more)))
    assert hull.lands.rubbing_strip == 12.5
    assert hull.lands.pins == {"3": {2: 310.0}, "fore": {1: 200.0, 3: 400.0}}


def test_pins_may_stand_in_line(sound: str, written: Callable[[str], Path]) -> None:
    assert read_hull(written(lands(sound, "pins.2.3 = 400.0\n"))).lands.pins == {"2": {3: 400.0}}


# girths: station 1 about 480, 2 about 700; the stem from 60 up to 600; the transom's true shape about 430
FAULTS = {
    "an unknown station": ("pins.9 = {1 = 100.0}\n", "lands.pins.9", "there is no station called 9"),
    "a land that is none": ("pins.1 = {x = 100.0}\n", "lands.pins.1.x", "there is no land x to pin"),
    "land nought": ("pins.1 = {0 = 100.0}\n", "lands.pins.1.0", "there is no land 0 to pin"),
    "the sheer": ("pins.1 = {4 = 100.0}\n", "lands.pins.1.4", "the sheer is not a land"),
    "past the sheer": ("pins.1 = {1 = 2000.0}\n", "lands.pins.1.1", "pinned off the planking"),
    "below the rabbet": ("pins.aft = {1 = -1.0}\n", "lands.pins.aft.1", "pinned off the planking"),
    "above the stem head": ("pins.fore = {3 = 601.0}\n", "lands.pins.fore.3", "pinned off the planking"),
    "crossed": ("pins.2 = {1 = 300.0, 2 = 300.0}\n", "lands.pins.2.2", "lands cross"),
    "no length": ('pins.2 = {1 = "a"}\n', "lands.pins.2.1", "text where a number is wanted"),
    "no table": ("pins = [1, 2]\n", "lands.pins", "must be marks that stay"),
    "no table of a place": ("pins.2 = 310.0\n", "lands.pins.2", "must be marks that stay"),
    "a strip below nought": ("rubbing_strip = -1.0\n", "lands.rubbing_strip", "must not be less than 0"),
    "a strip as wide as a strake": ("rubbing_strip = 200.0\n", "lands.rubbing_strip", "hides a whole strake"),
}


@pytest.mark.parametrize("name", FAULTS)
def test_what_cannot_be_meant_is_refused_with_its_place(
    name: str, sound: str, faults_of: Callable[[str], tuple[Fault, ...]]
) -> None:
    more, key, text = FAULTS[name]
    (fault,) = faults_of(lands(sound, more))
    assert fault.key == key
    assert text in fault.text
    assert fault.line == 46


def test_pins_closer_than_the_laps_between_them_are_refused_as_pins(
    sound: str, faults_of: Callable[[str], tuple[Fault, ...]]
) -> None:
    (fault,) = faults_of(lands(sound, "pins.2 = {1 = 150.0, 3 = 155.0}\n"))
    assert fault.key == "lands.pins.2.3"
    assert "lands 1 and 3 are pinned only 5 mm apart" in fault.text
    assert "move one of the pins" in fault.text


def test_many_places_are_for_rows(sound: str, faults_of: Callable[[str], tuple[Fault, ...]]) -> None:
    texts = [
        fault.text for fault in faults_of(lands(sound, "".join(f"pins.x{i} = {{1 = 1.0}}\n" for i in range(17))))
    ]
    assert any("has 17 places" in text for text in texts)


def test_pins_together_with_rows_are_refused(sound: str, faults_of: Callable[[str], tuple[Fault, ...]]) -> None:
    (fault,) = faults_of(sound.replace('by = "girth"\n', 'by = "girth"\npins.1 = {1 = 200.0}\n'))
    assert fault.key == "lands.pins"
    assert "already gives every mark" in fault.text
