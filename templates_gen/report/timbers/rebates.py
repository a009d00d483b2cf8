"""What a builder should know of the rebates: too deep for their timber, off its wood, or in need of an apron."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

from templates_gen.about import ENDS, About, EndName
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.rebate_places import apron_step, apron_wanted, is_deep_enough, seat_with_apron
from templates_gen.geometry.rebates import Rebate
from templates_gen.hull.model import Hull, Stem
from templates_gen.report.cures import of_siding, of_wood_inside, whole
from templates_gen.report.finding import Finding
from templates_gen.report.places import end_place, nearest_station
from templates_gen.report.timbers.room import rounded_up
from templates_gen.units import format_angle
from templates_gen.words import at_place, timber


@dataclass(frozen=True)
class _Timber:
    """A keel, a stem or a sternpost: its end (None: the keel), its rebates, and the wood inside its rabbet line."""

    hull: Hull
    end: EndName | None
    rebates: tuple[Rebate, ...]
    wood_inside: float | None

    @property
    def key(self) -> str:
        """Return its table of the hull file."""
        return self.end or "keel"

    @property
    def name(self) -> str:
        """Return "keel", "stem" or "sternpost"."""
        return timber(self.end)

    def half_siding(self, rebate: Rebate) -> float:
        """Return half its thickness at one of its rebates, mm."""
        if self.end is None:
            siding = self.hull.keel.siding
            return siding / 2 if siding is not None else float(rebate.point[1])
        member = self.hull.end(self.end)
        assert isinstance(member, Stem)
        return member.siding / 2

    def web(self, rebate: Rebate) -> float:
        """Return the wood between this rebate and that of the other side, mm; negative where they meet."""
        return 2.0 * (self.half_siding(rebate) - rebate.depth)

    def where(self, rebate: Rebate) -> About:
        """Return what a finding about one of its rebates is about."""
        if self.end is not None:
            return About("rebate", rebate.strake, end=self.end, place=end_place(self.hull, self.end))
        return About("rebate", place=nearest_station(self.hull, float(rebate.point[0])))

    def words(self, rebate: Rebate) -> str:
        """Return the place of one of its rebates: "at strake 3", "at station 2", with its height on a stem."""
        place = self.where(rebate).place
        if self.end is None:
            return at_place(place) if place is not None else f"at strake {rebate.strake}"
        height = self.hull.notation.spoken_length(float(rebate.point[2]))
        return f"at strake {rebate.strake}, at {height} height"

    def others(self, rebates: list[Rebate], worst: Rebate) -> str:
        """Return the other places of one fault: the strakes' numbers, or the stations' names."""
        if self.end is None:
            places = dict.fromkeys(self.where(rebate).place for rebate in rebates)
            names = [place.station for place in places if place is not None and place != self.where(worst).place]
            return f" (also at stations {', '.join(names)})" if names else ""
        strakes = sorted({rebate.strake for rebate in rebates} - {worst.strake})
        return f" (also at strakes {', '.join(str(k) for k in strakes)})" if strakes else ""


def rebate_findings(boat: Boat) -> Iterator[Finding]:
    """Yield, for each timber, rebates that meet those of the other side, run off the wood or need an apron."""
    for wood in _timbers(boat):
        yield from _meeting(wood)
        yield from _thin_web(wood)
        yield from _off_the_wood(wood)
    yield from _apron_findings(boat)


def _timbers(boat: Boat) -> Iterator[_Timber]:
    """Yield the timbers that have rebates."""
    hull = boat.hull
    if hull.keel.joint == "rebate":
        yield _Timber(hull, None, tuple(r for r in boat.rebates if r.on == "keel"), hull.keel.wood_inside)
    for end in ENDS:
        stem = hull.end(end)
        if isinstance(stem, Stem):
            yield _Timber(hull, end, tuple(r for r in boat.rebates if r.on == end), stem.wood_inside)


def _meeting(wood: _Timber) -> Iterator[Finding]:
    """An error where the rebates of both sides meet inside the timber."""
    rebates = [rebate for rebate in wood.rebates if wood.web(rebate) <= 0.0]
    if not rebates:
        return
    worst = min(rebates, key=wood.web)
    depth, half = (
        wood.hull.notation.spoken_depth(worst.depth),
        wood.hull.notation.spoken_depth(wood.half_siding(worst)),
    )
    text = (
        f"the port and starboard rebates meet inside the {wood.name} "
        f"{wood.words(worst)}{wood.others(rebates, worst)}: each is {depth} deep, the planking at "
        f"{format_angle(worst.angle)}, and half the siding is {half}"
    )
    proposed = partial(of_siding, wood.hull, wood.key, worst.depth)
    yield Finding("error", "rebate", text, wood.where(worst), worst.depth, f"less than {half}", (wood.key, "siding"),
                  proposed=proposed, otherwise="use a greater siding or thinner planking")  # fmt: skip


def _thin_web(wood: _Timber) -> Iterator[Finding]:
    """A warning where little wood is left between the rebates: under a third of the siding and under a plank.

    Common practice: a third of the siding, or one plank thickness, is left.
    """
    thickness = wood.hull.planking.thickness

    def wanted(rebate: Rebate) -> float:
        return min(2.0 * wood.half_siding(rebate) / 3.0, thickness[rebate.strake - 1])

    rebates = [rebate for rebate in wood.rebates if 0.0 < wood.web(rebate) < wanted(rebate)]
    if not rebates or any(wood.web(rebate) <= 0.0 for rebate in wood.rebates):
        return
    worst = min(rebates, key=wood.web)
    web, least = wood.hull.notation.spoken_depth(wood.web(worst)), wood.hull.notation.spoken_depth(wanted(worst))
    siding = whole(2.0 * worst.depth + thickness[worst.strake - 1], wood.hull, up=True)
    text = (
        f"only {web} of the {wood.name} is left between the port and starboard rebates {wood.words(worst)}"
        f"{wood.others(rebates, worst)}; at least {least} is usual. A siding of "
        f"{wood.hull.notation.spoken_length(siding)} leaves one plank thickness"
    )
    yield Finding("warning", "rebate", text, wood.where(worst), wood.web(worst), f"at least {least}",
                  (wood.key, "siding"))  # fmt: skip


def _off_the_wood(wood: _Timber) -> Iterator[Finding]:
    """An error where the bearding line lies past the wood of the timber."""
    inside, notation = wood.wood_inside, wood.hull.notation
    rebates = [rebate for rebate in wood.rebates if inside is not None and rebate.bearding > inside]
    if not rebates or inside is None:
        return
    worst = max(rebates, key=lambda rebate: rebate.bearding)
    bearding, room = notation.spoken_length(worst.bearding), notation.spoken_length(inside)
    text = (
        f"the {wood.name}'s rebate runs off the wood {wood.words(worst)}{wood.others(rebates, worst)}: its bearding "
        f"line lies {bearding} inside the rabbet line, and the wood ends at {room}"
    )
    proposed = partial(of_wood_inside, wood.hull, wood.key, worst.bearding)
    key = (wood.key, "wood_inside")
    yield Finding("error", "rebate", text, wood.where(worst), worst.bearding, f"at most {room}", key,
                  proposed=proposed, otherwise="add an apron behind the timber, or use a wider one")  # fmt: skip


def _apron_findings(boat: Boat) -> Iterator[Finding]:
    """Seats under twice the thickness: one warning for each timber, naming the strakes."""
    thickness = boat.hull.planking.thickness
    for wood in _timbers(boat):
        if wood.end is None:
            seats = [r for r in wood.rebates if r.seat > 0.0 and not is_deep_enough(r, thickness[r.strake - 1])]
            yield from _shallow_keel(wood, seats)
            continue
        stem = boat.hull.end(wood.end)
        assert isinstance(stem, Stem)
        step = apron_step(stem)
        narrow = [r for r in wood.rebates if not is_deep_enough(r, thickness[r.strake - 1], step)]
        yield from _narrow_apron(wood, stem, narrow)


def _shallow_keel(wood: _Timber, narrow: list[Rebate]) -> Iterator[Finding]:
    if not narrow:
        return
    worst = min(narrow, key=lambda r: r.seat)
    least = wood.hull.notation.spoken_depth(2.0 * wood.hull.planking.thickness[worst.strake - 1])
    text = (
        f"the keel's rebate has a seat of only {wood.hull.notation.spoken_depth(worst.seat)} {wood.words(worst)}"
        f"{wood.others(narrow, worst)}; twice the thickness, {least}, is wanted. Fit a hog inside the keel to carry "
        "the garboard"
    )
    yield Finding("warning", "rebate", text, wood.where(worst), worst.seat, f"at least {least}", ("keel",))


def _narrow_apron(wood: _Timber, stem: Stem, narrow: list[Rebate]) -> Iterator[Finding]:
    """How wide an apron the worst of some narrow seats needs: a deeper one of the stem's width adds nothing."""
    if not narrow or wood.end is None:
        return
    thickness, notation = wood.hull.planking.thickness, wood.hull.notation
    wanted = [apron_wanted(r, thickness[r.strake - 1]) for r in narrow]
    most, worst = max(wanted), narrow[wanted.index(max(wanted))]
    seat = seat_with_apron(worst.angle, worst.seat, apron_step(stem))
    least = wood.hull.notation.spoken_depth(2.0 * thickness[worst.strake - 1])
    width = notation.spoken_length(rounded_up(stem.siding + 2.0 * most, wood.hull.units))
    given = f", with its apron of {notation.spoken_length(stem.apron)}," if stem.apron is not None else ""
    text = (
        f"the {wood.name}'s seat{given} is only {wood.hull.notation.spoken_depth(seat)} at strake {worst.strake}"
        f"{wood.others(narrow, worst)}; twice the thickness, {least}, is wanted. It needs an apron at least {width} "
        "wide; a deeper apron adds nothing"
    )
    key = (wood.end, "apron") if stem.apron is not None else (wood.end,)
    yield Finding("warning", "rebate", text, wood.where(worst), seat, f"at least {least}", key)
