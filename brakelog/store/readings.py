"""Reading sets: evidence, corrected only by a set that stands in for another."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime
from operator import itemgetter
from typing import Any, NamedTuple

from sqlalchemy import exists, select

from brakelog.errors import Conflict, InvalidInput, NotFound
from brakelog.record.reading import ReadingSet
from brakelog.store.faults import translated
from brakelog.store.nouns import field_names, noun_maker
from brakelog.store.repeats import Repeats, every_repeat, newest_repeats
from brakelog.store.seals import Pattern, form_of
from brakelog.store.tables import corrections, gauges, reading_sets
from brakelog.store.visits import Visits, visit_ids_of

_COLUMNS = tuple(reading_sets.c[name] for name in field_names(ReadingSet))
_reading_set = noun_maker(ReadingSet)
"""Makes one of a row that was read by ``_COLUMNS``."""


class SetLike(NamedTuple):
    """A new reading set that says the same as another one but for what stands here."""

    like: ReadingSet
    id: str
    visit_id: str
    values_nm: tuple[int | None, ...]
    typed: tuple[str, ...]


_VARYING = SetLike._fields[1:]


class Readings(Visits):
    """The readings of the visits."""

    def reading_sets_of_vehicle(self, vehicle_id: str) -> list[ReadingSet]:
        """Return the sets that hold now, of the visits that stand, in order of entry."""
        return self.reading_sets_of_vehicles([vehicle_id])

    def reading_sets_of_vehicles(self, vehicle_ids: Sequence[str]) -> list[ReadingSet]:
        """Return the same of some vehicles, at most as many as one statement can name."""
        with self.reading():
            standing = self._standing_visits(vehicle_ids)
            found = self._current_sets(reading_sets.c.visit_id.in_(visit_ids_of(vehicle_ids)))
        return [one for one in found if one.visit_id in standing]

    def reading_sets_of_visit(self, visit_id: str) -> list[ReadingSet]:
        """Return the sets of a visit that hold now, in order of entry; none of a void visit."""
        with self.reading():
            if any(row.kind == "void visit" for row in self._corrections_of(visit_id)):
                return []
            return self._current_sets(reading_sets.c.visit_id == visit_id)

    def reading_set(self, id: str) -> ReadingSet:
        """Return a set, whether it still holds or not.

        Raises
        ------
        NotFound
            Where there is none.
        """
        row = self._first(select(*_COLUMNS).where(reading_sets.c.id == id))
        if row is None:
            raise NotFound(f"no reading set has the id {id}", hint="brakelog amend list VEHICLE")
        return _reading_set(row)

    def repeats_of_gauge(
        self, gauge_id: str, *, until: datetime | None = None, most: int | None = None
    ) -> list[tuple[datetime, tuple[int, int]]]:
        """Return the first points that a gauge read twice, with their times, oldest first.

        Parameters
        ----------
        gauge_id : str
            Any revision of the gauge; the readings of all of them count.
        until, most : datetime and int, optional
            Only those up to a time, and of them the newest: so many at least, where there are,
            so that little is read however long the gauge has been in use.

        Returns
        -------
        list of tuple
            When recorded, and the first and the second reading of point 1. [nm]
        """
        with self.reading(), translated():
            revisions = self._revisions_of(gauge_id)
            if most is None:
                every = (each for id in revisions for each in every_repeat(self, id))
                return sorted(each for each in every if until is None or each[0] <= until)
            return sorted(
                each
                for id in revisions
                for each in newest_repeats(self, id, until=until, most=most)
            )

    def every_repeat_of_gauge(self, gauge_id: str) -> Repeats:
        """Return all of them, in little room."""
        with self.reading(), translated():
            revisions = self._revisions_of(gauge_id)
            return Repeats(each for id in revisions for each in every_repeat(self, id))

    def _revisions_of(self, gauge_id: str) -> list[str]:
        # Gauges are few, and no index can lead past a revision of one.
        keys = {row.id: row.key for row in self._all(select(gauges.c.id, gauges.c.key))}
        return [id for id, key in keys.items() if key == keys.get(gauge_id)]

    def full_set_id(self, text: str) -> str:
        """Return the id that a text is the beginning of; see ``_full_id``."""
        return self._full_id(reading_sets.c.id, text, "reading set")

    def add_reading_sets(self, new: Sequence[ReadingSet | SetLike]) -> None:
        """Put readings on file: all of them or none.

        Raises
        ------
        NotFound
            Where a visit is not on file.
        Conflict
            Where a visit is void, a gauge is not on file, or a set claims to correct another.
        InvalidInput
            Where a value has no text, or a text no value.
        """
        wholes = {id(each): each for each in map(_whole, new)}
        if any(each.corrects is not None for each in wholes.values()):
            raise Conflict("a set that corrects another is an amendment", hint="brakelog amend")
        with self.writing():
            self._need_live_visits(one.visit_id for one in new)
            self._append(reading_sets, self._sealed_sets(new))

    def _sealed_sets(self, new: Sequence[ReadingSet | SetLike]) -> Iterator[tuple[list[Any], str]]:
        """Yield the values and the seal of each; what many say alike is made ready once."""
        form, stamp = form_of(reading_sets, self._dialect), self._stamp()
        patterns: dict[int, Pattern] = {}
        for one in new:
            if len(one.values_nm) != len(one.typed):
                raise InvalidInput(
                    f"{len(one.values_nm)} values with {len(one.typed)} texts: "
                    "each value has its text"
                )
            if isinstance(one, ReadingSet):
                yield form.sealed_values({**_row(one), **stamp})
                continue
            like = one.like
            pattern = patterns.get(id(like))
            if pattern is None:
                row = {**_row(like), **stamp}
                pattern = patterns[id(like)] = Pattern(form, row, _VARYING)
            yield pattern.sealed_values(one[1:])

    def amend_set(self, old_id: str, new: ReadingSet, reason: str) -> None:
        """Put a set in the place of another, which is kept.

        Raises
        ------
        NotFound
            Where the old set is not on file.
        Conflict
            Where the old set does not hold any more, or belongs to another visit.
        InvalidInput
            Where the reason is empty.
        """
        with self.writing():
            old = self._need_current_set(old_id)
            if new.visit_id != old.visit_id:
                raise Conflict(
                    "an amendment stays in its visit", hint="void the set and enter it again there"
                )
            if new.corrects not in (None, old_id):
                raise Conflict("the amendment names another set as the one it corrects")
            self._append(reading_sets, self._sealed_sets([replace(new, corrects=old_id)]))
            self._correct("amend", old_id, reason, replacement_id=new.id)

    def void_set(self, id: str, reason: str) -> None:
        """Take a set out of the history; it is kept.

        Raises
        ------
        NotFound
            Where there is none.
        Conflict
            Where it does not hold any more.
        InvalidInput
            Where the reason is empty.
        """
        with self.writing():
            self._need_current_set(id)
            self._correct("void set", id, reason)

    def set_history(self, id: str) -> list[tuple[ReadingSet, str | None]]:
        """Return every version of a set, oldest first.

        Parameters
        ----------
        id : str
            Any of the versions.

        Returns
        -------
        list of tuple of ReadingSet and str or None
            Each with the reason why it was amended or voided; None where it holds.

        Raises
        ------
        NotFound
            Where there is none.
        """
        with self.reading():
            one = self.reading_set(id)
            while one.corrects is not None:
                one = self.reading_set(one.corrects)
            versions: list[tuple[ReadingSet, str | None]] = []
            while True:
                corrected = self._corrections_of(one.id)
                versions.append((one, corrected[0].reason if corrected else None))
                if not corrected or corrected[0].replacement_id is None:
                    return versions
                one = self.reading_set(corrected[0].replacement_id)

    def _current_sets(self, where: Any) -> list[ReadingSet]:
        """Return the sets that hold now, each at the place of the one that was entered first."""
        is_gone = exists().where(corrections.c.target_id == reading_sets.c.id)
        query = select(reading_sets.c.row, is_gone, *_COLUMNS).where(where)
        rows: list[Any] = sorted(self._all(query), key=itemgetter(0))
        if any(row[1] for row in rows):
            place: dict[str, int] = {}
            for row in rows:
                place[row.id] = place.get(row.corrects or "", row.row)
            rows.sort(key=lambda row: place[row.id])
        return [_reading_set(values) for _, gone, *values in rows if not gone]

    def _need_current_set(self, id: str) -> ReadingSet:
        one = self.reading_set(id)
        self._need_live_visits([one.visit_id])
        for correction in self._corrections_of(id):
            if correction.kind == "amend":
                raise Conflict(
                    "that set has been amended already",
                    hint=f"amend the newest: {self.set_history(id)[-1][0].id}",
                )
            raise Conflict("that set is void", hint="enter the readings again")
        return one


def _whole(one: ReadingSet | SetLike) -> ReadingSet:
    return one if isinstance(one, ReadingSet) else one.like


def _row(one: ReadingSet) -> dict[str, Any]:
    return {
        "id": one.id,
        "visit_id": one.visit_id,
        "corner": one.corner,
        "quantity": one.quantity,
        "stage": one.stage,
        "values_nm": one.values_nm,
        "typed": one.typed,
        "unit": one.unit,
        "datum": one.datum,
        "again_nm": one.again_nm,
        "again_typed": one.again_typed,
        "gauge_id": one.gauge_id,
        "tips": one.tips,
        "person_id": one.person_id,
        "temperature_dc": one.temperature_dc,
        "zero_error_nm": one.zero_error_nm,
        "radius_nm": one.radius_nm,
        "fasteners_fitted": one.fasteners_fitted,
        "fasteners_of": one.fasteners_of,
        "bearing_checked": one.bearing_checked,
        "returned_to_start": one.returned_to_start,
        "rotor_index": one.rotor_index,
        "lip": one.lip,
        "in_groove": one.in_groove,
        "corrects": one.corrects,
    }
