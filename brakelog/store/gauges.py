"""Gauges: a changed gauge is a new row, and readings keep pointing at the row that held then."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

from sqlalchemy import Row, select

from brakelog.errors import Conflict, NotFound, clip
from brakelog.record.gauge import Gauge
from brakelog.store.names import name_key, need_name, not_found
from brakelog.store.nouns import need_texts
from brakelog.store.tables import gauges
from brakelog.store.transaction import Transactions


class Gauges(Transactions):
    """The instruments of the shop. The id of a gauge is that of the revision."""

    def gauges(self) -> list[Gauge]:
        """Return every gauge as it stands now, by tag."""
        # What is damaged may be no text; who judges by it refuses it then.
        return [_gauge(row) for row in sorted(self._standing(), key=lambda row: str(row.tag_key))]

    def gauge(self, tag: str) -> Gauge:
        """Return the gauge with a tag as it stands now; case does not count.

        Raises
        ------
        NotFound
            With the tags that come close.
        """
        with self.reading():
            key = name_key(tag)
            row = next((each for each in self._standing() if each.tag_key == key), None)
            if row is None:
                known = [gauge.tag for gauge in self.gauges()]
                raise not_found("gauge", tag, known, command="brakelog gauge list")
        return _gauge(row)

    def gauge_by_id(self, id: str) -> Gauge:
        """Return a gauge as it stood in the revision with that id.

        Raises
        ------
        NotFound
            Where there is none.
        """
        return _gauge(self._revision_row(id))

    def gauges_by_ids(self, ids: Iterable[str]) -> dict[str, Gauge]:
        """Return the revisions by their ids; ids that are not on file are left out."""
        wanted = set(ids)
        if not wanted:
            return {}
        return {row.id: _gauge(row) for row in self._revisions() if row.id in wanted}

    def add_gauge(self, gauge: Gauge) -> None:
        """Put a gauge on file.

        Raises
        ------
        Conflict
            Where the tag is taken.
        """
        with self.writing():
            self._need_free_tag(gauge, key=gauge.id)
            self._record(gauges, [_row(gauge, key=gauge.id)])

    def change_gauge(self, gauge: Gauge) -> Gauge:
        """Make the gauge read like this from now on.

        Parameters
        ----------
        gauge : Gauge
            With the id of any of its revisions.

        Returns
        -------
        Gauge
            The new revision, with its own id.

        Raises
        ------
        NotFound
            Where there is no such gauge.
        Conflict
            Where the tag is taken.
        """
        with self.writing():
            key = self._revision_row(gauge.id).key
            self._need_free_tag(gauge, key=key)
            changed = replace(gauge, id=self.new_id())
            self._record(gauges, [_row(changed, key=key)])
        return changed

    def _revision_row(self, id: str) -> Row[Any]:
        row = next((each for each in self._revisions() if each.id == id), None)
        if row is None:
            raise NotFound(f"no gauge has the id {id}")
        return row

    def _revisions(self) -> Sequence[Row[Any]]:
        """Return every row, oldest first: there are few, and no index can lead past one of them."""
        return self._all(select(gauges).order_by(gauges.c.row))

    def _standing(self) -> Iterable[Row[Any]]:
        return {row.key: row for row in self._revisions()}.values()

    def _need_free_tag(self, gauge: Gauge, *, key: str) -> None:
        tag = need_name(gauge.tag, "tag")
        if any(each.tag_key == tag and each.key != key for each in self._standing()):
            raise Conflict(
                f"a gauge tagged {clip(gauge.tag)!r} is on file already", hint="choose another tag"
            )


def _row(gauge: Gauge, *, key: str) -> dict[str, Any]:
    return {
        "id": gauge.id,
        "key": key,
        "tag": gauge.tag,
        "tag_key": name_key(gauge.tag),
        "kind": gauge.kind,
        "unit": gauge.unit,
        "resolution_nm": gauge.resolution_nm,
        "resolution_text": gauge.resolution_text,
        "used_for": gauge.used_for,
        "tips": gauge.tips,
        "error_limit_nm": gauge.error_limit_nm,
        "checked_on": gauge.checked_on,
        "check_every_months": gauge.check_every_months,
        "note": gauge.note,
    }


def _gauge(row: Row[Any]) -> Gauge:
    need_texts(row)
    return Gauge(
        id=row.id,
        tag=row.tag,
        kind=row.kind,
        unit=row.unit,
        resolution_nm=row.resolution_nm,
        resolution_text=row.resolution_text,
        used_for=row.used_for,
        tips=row.tips,
        error_limit_nm=row.error_limit_nm,
        checked_on=row.checked_on,
        check_every_months=row.check_every_months,
        note=row.note,
    )
