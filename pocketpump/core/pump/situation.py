"""Everything a forecast is computed from: the pump, its fills and settings, how people plan."""

from bisect import bisect_right
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from itertools import islice, product

from pocketpump.core.pump.clinic_days import ClinicDays
from pocketpump.core.pump.programme import Programme
from pocketpump.core.pump.same_refill import notes_by_refill
from pocketpump.core.pump.setting_changes import SettingChange, changes_among, delivers_less
from pocketpump.core.pump.timeline import Fill, Noted, Setting, in_order, minute_of
from pocketpump.core.units.instants import to_seconds

# Own default, to be replaced by the clinic's figure. Measured over 80 implants, the mean was
# +2.5 % a refill: Wesemann 2014, Reg Anesth Pain Med.
USUAL_TOLERANCE_PERCENT = 14.5
# 180 days: in-vivo stability study, Neuromodulation 2023 (abstract). The clinic's own wins.
USUAL_DRUG_AGE_LIMIT_DAYS = 180
# Leaflets of one children's hospital ask for 7-10 days (newer) or 3-5 days (older).
USUAL_MARGIN_DAYS = 7
# Half a mark of a 20 mL syringe (own default, no source; editable).
USUAL_READING_ERROR_ML = 0.5
# When to telephone before the refill-by date (own default, no source; editable).
USUAL_LEAD_DAYS = 14


# Refills noted twice are told until one note is removed, so there are few: four of two notes each.
_MOST_READINGS = 16


@dataclass(frozen=True, slots=True)
class Pump:
    """What stays the same about the pump between refills; volumes in mL.

    ``felt_low_ml`` is the volume at which this person has felt the pump run low before
    its alarm; ``reading_error_ml`` how far the filled volume may be off as read.
    """

    alarm_volume_ml: float
    reservoir_ml: float | None = None
    tolerance_percent: float = USUAL_TOLERANCE_PERCENT
    drug_age_limit_days: int = USUAL_DRUG_AGE_LIMIT_DAYS
    line_volume_ml: float | None = None
    felt_low_ml: float | None = None
    reading_error_ml: float = 0.0


@dataclass(frozen=True, slots=True)
class Printout:
    """An alarm date that the clinic printed, when it was handed out, and the id of its entry."""

    at: datetime
    alarm_on: date
    id: str = ""


@dataclass(frozen=True, slots=True)
class Habits:
    """How the person and the clinic plan: margin and lead in days, open days."""

    margin_days: int = USUAL_MARGIN_DAYS
    lead_days: int = USUAL_LEAD_DAYS
    clinic_days: ClinicDays = field(default_factory=ClinicDays)


@dataclass(frozen=True, slots=True)
class Situation:
    """Everything the forecast is computed from, besides the instant; put in order when it is made.

    ``fills`` and ``settings`` may be given in any order and are kept oldest first. Of several
    settings in one minute the last given counts, the others stand in ``noted_twice``. Of several
    notes of one refill (`pocketpump.core.pump.same_refill`) one counts, the last until `readings`
    takes others, and all of them stand in ``noted_twice``. What is dated after the instant asked
    about is set apart by `until` and stands in ``ahead``: it hides nothing and counts from its own
    instant on. ``planned`` are settings to be counted from their instant on although it is still to
    come, as somebody asked for; nothing in a record is.

    ``pumps_from`` are the instants from which another pump than before is in the body, in the
    order noted; ``pumps_before`` are the pumps in the body up to each of them, all like ``pump``
    where none is given. ``printouts`` are the clinic's, in any order.
    """

    pump: Pump
    fills: tuple[Fill, ...]
    settings: tuple[Setting, ...]
    habits: Habits = field(default_factory=Habits)
    printouts: tuple[Printout, ...] = ()
    planned: tuple[Setting, ...] = ()
    pumps_from: tuple[datetime, ...] = ()
    pumps_before: tuple[Pump, ...] = ()
    ahead: tuple[Fill | Setting, ...] = ()
    noted_twice: tuple[Fill | Setting, ...] = ()

    def __post_init__(self) -> None:
        refills = notes_by_refill(self.fills, self.pumps_from)
        settings = in_order(self.settings)
        known = {id(one) for one in (*self.noted_twice, *settings)}
        several = (note for notes in refills if len(notes) > 1 for note in notes)
        twice = (one for one in (*several, *self.settings) if id(one) not in known)
        object.__setattr__(self, "noted_twice", (*self.noted_twice, *twice))
        object.__setattr__(self, "fills", tuple(notes[-1] for notes in refills))
        object.__setattr__(self, "settings", settings)

    @property
    def refills_noted_twice(self) -> tuple[tuple[Fill, ...], ...]:
        """The notes of each refill that has several, both oldest first."""
        copies = [one for one in self.noted_twice if isinstance(one, Fill)]
        return notes_by_refill(copies, self.pumps_from)

    def notes_of(self, fill: Fill) -> tuple[Fill, ...]:
        """Return the notes of the refill that ``fill``, one of ``fills``, counts for."""
        return next((notes for notes in self.refills_noted_twice if fill in notes), (fill,))

    def readings(self) -> Iterator["Situation"]:
        """Yield what this says with one note of each refill, in the ways there are, up to 16.

        A reading has nothing of a note that it does not count: not its printed date, and not the
        dose set with it where the note that counts has one of its own.
        """
        twice = self.refills_noted_twice
        if not twice:
            yield self
            return
        # The notes of the newest refill vary first: most depends on them.
        for chosen in islice(product(*(notes[::-1] for notes in twice)), _MOST_READINGS):
            yield self._read_as(dict(zip(chosen, twice, strict=True)))

    def _read_as(self, chosen: Mapping[Fill, tuple[Fill, ...]]) -> "Situation":
        """Return this with the ``chosen`` notes counting, each for all the notes of its refill."""
        settings, unread = list(self.settings), set[int]()
        for fill, notes in chosen.items():
            own = minute_of(fill.at)
            others = {minute_of(note.at) for note in notes} - {own}
            unread |= others
            with_others = [one for one in settings if minute_of(one.at) in others]
            settings = [one for one in settings if minute_of(one.at) not in others]
            if not any(minute_of(one.at) == own for one in settings):
                # It was made at this very visit.
                settings += [replace(one, at=fill.at) for one in with_others]
        left_out = {note for notes in chosen.values() for note in notes}
        return replace(
            self,
            fills=(*(fill for fill in self.fills if fill not in left_out), *chosen),
            settings=tuple(settings),
            printouts=tuple(one for one in self.printouts if minute_of(one.at) not in unread),
        )

    @property
    def _printout(self) -> Printout | None:
        if not self.fills:
            return None
        filled = minute_of(self.fills[-1].at)
        known = [one for one in self.printouts if minute_of(one.at) >= filled]
        # Of two dates handed out at once the earlier one is the safe one.
        return max(
            known,
            key=lambda one: (minute_of(one.at), -one.alarm_on.toordinal()),
            default=None,
        )

    @property
    def printed_alarm_on(self) -> date | None:
        """The alarm date on the clinic's newest printout since the last fill; None without one."""
        return None if self._printout is None else self._printout.alarm_on

    @property
    def printed_at(self) -> datetime | None:
        """When that was handed out."""
        return None if self._printout is None else self._printout.at

    def is_printed_with(self, fill: Fill) -> bool:
        """Return whether the printed alarm date came with ``fill``, one of ``fills``."""
        return self.printed_at is not None and any(
            minute_of(note.at) == minute_of(self.printed_at) for note in self.notes_of(fill)
        )

    @property
    def refill_notes(self) -> tuple[Fill, ...]:
        """Every note of a refill as it was given, oldest first; make another situation of these."""
        return tuple(note for fill in self.fills for note in self.notes_of(fill))

    def until(self, now: datetime) -> "Situation":
        """Return what is known at ``now``: everything dated later is set apart in ``ahead``."""
        now_s = to_seconds(now)

        def begun(one: Fill | Setting) -> bool:
            return to_seconds(one.at) <= now_s

        # What counts of one minute stands last, but while it is still to come the other one does.
        coming = (*self.noted_twice, *self.settings, *self.ahead)
        settings = [one for one in coming if isinstance(one, Setting)]
        fills = [*self.refill_notes, *(one for one in self.ahead if isinstance(one, Fill))]
        return replace(
            self.with_pump_of(now),
            fills=tuple(filter(begun, fills)),
            settings=tuple(filter(begun, (*settings, *self.planned))),
            planned=tuple(one for one in self.planned if not begun(one)),
            noted_twice=(),
            ahead=(
                *(fill for fill in fills if not begun(fill)),
                *(setting for setting in settings if not begun(setting)),
            ),
            printouts=tuple(one for one in self.printouts if to_seconds(one.at) <= now_s),
        )

    def with_pump_of(self, at: datetime) -> "Situation":
        """Return this as of the pump that was in the body at ``at``, without those after it."""
        at_s = to_seconds(at)
        pumps = (*(self.pumps_before or (self.pump,) * len(self.pumps_from)), self.pump)
        begun = [
            (pump, since)
            for pump, since in zip(pumps, (None, *self.pumps_from), strict=True)
            if since is None or to_seconds(since) <= at_s
        ]
        return replace(
            self,
            pump=begun[-1][0],
            pumps_before=tuple(pump for pump, _ in begun[:-1]),
            pumps_from=tuple(since for _, since in begun if since is not None),
        )

    @property
    def settings_ahead(self) -> tuple[Setting, ...]:
        """The dose settings dated later than the instant asked about, oldest first."""
        return in_order(one for one in self.ahead if isinstance(one, Setting))

    def fill_at(self, at: datetime) -> Fill | None:
        """Return the fill that was in the pump at ``at``; None before the first."""
        return _last(self.fills, at)

    def setting_at(self, at: datetime) -> Setting | None:
        """Return the setting that ran at ``at``; None before the first."""
        return _last(self.settings, at)

    def programme_at(self, at: datetime) -> Programme | None:
        """Return the programme that ran at ``at``; None before the first setting."""
        setting = self.setting_at(at)
        return None if setting is None else setting.programme

    def running_since(self, at: datetime) -> Setting | None:
        """Return the first of the settings that, by the same clock, have run up to ``at``."""
        found = self.setting_at(at)
        for setting in reversed(self.settings):
            if found is None or to_seconds(setting.at) > to_seconds(at):
                continue
            if setting.programme != found.programme:
                break
            found = setting
        return found

    def programme_counted_at(self, at: datetime) -> Programme | None:
        """Return the programme that is counted with at ``at``; None only without any setting.

        Before the first setting that is the first one: a pump was filled to deliver something.
        """
        first = self.settings[0].programme if self.settings else None
        return self.programme_at(at) or first

    @property
    def lowered_since_printed(self) -> bool:
        """Whether less a day was ever set than ran when the clinic printed its alarm date.

        A lower dose after a higher one is none, while the pump runs as fast as when it was printed.
        """
        if self.printed_at is None:
            return False
        printed = minute_of(self.printed_at)
        before = [one for one in self.settings if minute_of(one.at) <= printed]
        since = [one for one in self.settings if minute_of(one.at) > printed]
        # Of settings that are all noted later, the first is what ran at the printing.
        running = before[-1] if before else next(iter(since), None)
        return running is not None and any(
            delivers_less(one.programme, running.programme) for one in since
        )

    @property
    def changed_since_printed(self) -> bool:
        """Whether the dose setting was changed since the clinic printed its alarm date."""
        if self.printed_at is None:
            return False
        printed = minute_of(self.printed_at)
        return any(minute_of(change.at) > printed for change in self.changes())

    def changes(self) -> tuple[SettingChange, ...]:
        """Return every change of the dose setting, oldest first; see `changes_among`."""
        return changes_among(self.settings)

    @property
    def pump_since(self) -> datetime | None:
        """The instant from which ``pump`` is in the body; None for ever since."""
        return max(self.pumps_from, key=to_seconds, default=None)


def _last(noted: tuple[Noted, ...], at: datetime) -> Noted | None:
    index = bisect_right(noted, to_seconds(at), key=lambda one: to_seconds(one.at))
    return noted[index - 1] if index else None
