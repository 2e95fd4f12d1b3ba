"""Display: assessment, display periods, install, planned days and turns, and how it ends."""

from lifecycle.records.models.display.assessment import Assessment
from lifecycle.records.models.display.ending import PassOn, TakeDown, Withdrawal
from lifecycle.records.models.display.install import InstallCheck
from lifecycle.records.models.display.periods import DisplayPeriod, TakeOver
from lifecycle.records.models.display.rotation import Appointment, AppointmentChange, TurnRecord

__all__ = [
    "Appointment",
    "AppointmentChange",
    "Assessment",
    "DisplayPeriod",
    "InstallCheck",
    "PassOn",
    "TakeDown",
    "TakeOver",
    "TurnRecord",
    "Withdrawal",
]
