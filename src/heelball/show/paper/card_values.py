"""What stands on a fit card, as values: for the paper, and for the page that shows the same words."""

from __future__ import annotations

from datetime import date as Date

from attrs import frozen

from heelball.show.paper.measures import MeasureRow
from heelball.show.plate import Plate


@frozen
class Section:
    """Sentences under a heading."""

    title: str
    texts: tuple[str, ...]


@frozen
class Order:
    """What to order, or that nothing serves, and why.

    Parameters
    ----------
    heading
        What to order from which last.
    rows
        Why, each with what it is: the doubtful place first, the trade rule's answer next.
    others
        Other lasts, a line each.
    """

    heading: str
    rows: tuple[tuple[str, str], ...]
    others: tuple[str, ...] = ()


@frozen
class PlaceRow:
    """Where each foot and the boot stand to each other at one place."""

    place: str
    left: str
    right: str


@frozen
class FitCard:
    """Everything on one card.

    Parameters
    ----------
    whose
        The name, where one is given, and the code.
    made
        When and by whom.
    day
        The day on the card.
    urgent
        What stands above everything else.
    before
        Who to see and what to ask before anything is ordered; None where there is nothing.
    feet, feet_notes
        Each measure of both feet, and what is to be said of them.
    order, places, places_note
        What to order and how it stands; None and empty where no boot is chosen.
    mind
        Cautions; None where there are none.
    at_home
        The steps of trying on at home; None where nothing is ordered.
    send_back
        When the pair goes back; None where nothing is ordered.
    be_seen
        When to see a clinician.
    standing
        That it is not medical advice.
    plate, plate_note
        The drawing at 1 : 2, and what is to be said of it or of why there is none.
    """

    whose: str
    made: str
    day: Date
    urgent: tuple[str, ...]
    before: Section | None
    feet: tuple[MeasureRow, ...]
    feet_notes: tuple[str, ...]
    order: Order | None
    places: tuple[PlaceRow, ...]
    places_note: str
    mind: Section | None
    at_home: Section | None
    send_back: Section | None
    be_seen: Section
    standing: str
    plate: Plate | None
    plate_note: str
