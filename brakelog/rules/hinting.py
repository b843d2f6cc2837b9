"""What every family of wear patterns needs: parts by place, findings, how a hint is made."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from brakelog.record.corner import Corner
from brakelog.record.finding import Finding, FindingKind
from brakelog.record.quantity import Part
from brakelog.rules.casefile import CaseFile
from brakelog.rules.flag import Flag, FlagKind
from brakelog.rules.hint import Hint, Lead, Pattern
from brakelog.rules.verdict import PartVerdict
from brakelog.rules.worked import corners_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """The judged vehicle as the patterns look at it."""

    file: CaseFile
    parts: tuple[PartVerdict, ...]
    flags: tuple[Flag, ...]

    @property
    def axles(self) -> tuple[int, ...]:
        """The axles from the front."""
        return tuple(range(1, len(self.file.vehicle.brakes) + 1))

    def at(self, corner: Corner, part: Part) -> PartVerdict | None:
        """Return one part at one corner; None where the axle has no such part."""
        return next((p for p in self.parts if p.corner == corner and p.part is part), None)

    def pair(self, axle: int, part: Part) -> tuple[PartVerdict, PartVerdict] | None:
        """Return one kind of part at both sides of an axle; None where it has no such part."""
        left, right = (self.at(corner, part) for corner in corners_of(axle))
        return None if left is None or right is None else (left, right)

    def flagged(self, kind: FlagKind, axle: int, part: Part) -> tuple[Flag, ...]:
        """Return the flags of one kind on one kind of part of an axle."""
        return tuple(
            each
            for each in self.flags
            if each.kind is kind and each.axle == axle and each.part is part
        )

    def trait(self, axle: int, name: str) -> str | None:
        """Return what is known of the variant."""
        return self.file.traits.get((axle, name))

    def found(self, corners: Iterable[Corner], kinds: Iterable[FindingKind]) -> list[Finding]:
        """Return what was seen at these corners in the visit, whatever became of it since."""
        places, wanted = set(corners), set(kinds)
        return [
            each
            for each in self.file.findings
            if each.corner in places and each.kind in wanted and not each.put_right
        ]

    def was_put_right(self, corners: Iterable[Corner], kinds: Iterable[FindingKind]) -> bool:
        """Whether somebody said in this visit that such a finding was put right."""
        places, wanted = set(corners), set(kinds)
        return any(
            each.put_right and each.corner in places and each.kind in wanted
            for each in self.file.findings
        )


def hint(
    scene: Scene,
    pattern: Pattern,
    axle: int | None,
    corners: tuple[Corner, ...],
    evidence: Iterable[str],
    leads: Iterable[Lead],
    *,
    needs_repair: bool = True,
) -> Hint:
    """Return a hint; a cause that a finding points to comes first.

    Parameters
    ----------
    scene : Scene
        The judged vehicle.
    pattern : Pattern
        The pattern that was seen.
    axle : int or None
        Its axle; None for the whole vehicle.
    corners : tuple of Corner
        The wheels to look at first.
    evidence : iterable of str
        What shows it.
    leads : iterable of Lead
        Probable causes with their checks, the likeliest first.
    needs_repair : bool
        False where the pattern says nothing against the brake, as for hard use.
    """
    given = tuple(leads)
    kinds = {kind for lead in given for kind in lead.found_as}
    found = scene.found(corners, kinds)
    seen = {each.kind for each in found}
    ordered = sorted(given, key=lambda lead: seen.isdisjoint(lead.found_as))
    return Hint(
        pattern=pattern,
        axle=axle,
        corners=corners,
        evidence=(*evidence, *(f"{each.corner}: {each.words}" for each in found)),
        leads=tuple(ordered),
        is_borne_out=bool(found),
        cause_open=needs_repair and not scene.was_put_right(corners, kinds),
    )
