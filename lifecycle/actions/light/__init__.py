"""Every write about light: readings, light events, climate by hand, entries of the account."""

from lifecycle.actions.light.charging import charge_light, correct_entry, enter_past_light
from lifecycle.actions.light.climate import read_climate
from lifecycle.actions.light.events import report_light_event
from lifecycle.actions.light.instruments import (
    InstrumentDetails,
    add_instrument,
    change_instrument,
)
from lifecycle.actions.light.readings import correct_reading, take_reading

__all__ = [
    "InstrumentDetails",
    "add_instrument",
    "change_instrument",
    "charge_light",
    "correct_entry",
    "correct_reading",
    "enter_past_light",
    "read_climate",
    "report_light_event",
    "take_reading",
]
