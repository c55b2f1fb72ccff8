"""How a last runs, in words: which way it is off, by how much, and how sure that is."""

from __future__ import annotations

from fractions import Fraction

from heelball.foot.prior import offset_prior
from heelball.last.beside_labels import BesideLabels, beside_labels
from heelball.last.description import Figure, describe
from heelball.last.values import Advice, Label, Last, MeasuredPair
from heelball.show.gauge_words import difference_text, gauge_texts
from heelball.show.how_it_runs import in_one_line, place_by_place

LABELS = tuple(Label(Fraction(size), width) for size in range(8, 13) for width in ("B", "D"))
AHEAD = {"ball": Figure(4.2, 1.8), "length": Figure(-2.0, 1.3), "breadth": Figure(0.3, 3.0)}
AHEAD |= {"girth": Figure(-3.0, 3.5), "heel": Figure(1.5, 2.5)}


def test_each_place_says_which_way_it_is_off():
    runs = BesideLabels(LABELS[0], AHEAD, told=True)
    assert in_one_line(runs) == "Bends 4.2 mm ahead of its labels (±1.8 mm); 2 mm short (±1.3 mm)."
    assert place_by_place(runs) == [
        ("bends 4.2 mm ahead of its labels", "±1.8 mm"),
        ("2 mm short", "±1.3 mm"),
        ("as wide across as labelled", "±3 mm"),
        ("3 mm close round the ball", "±3.5 mm"),
        ("1.5 mm wide at the heel", "±2.5 mm"),
    ]
    assert (
        in_one_line(runs, "in") == "Bends 0.17 in ahead of its labels (±0.07 in); 0.08 in short (±0.05 in)."
    )


def test_a_last_that_nothing_is_known_of_is_not_said_to_be_as_labelled():
    last = Last("N7", "Northmoor", "us-men", LABELS)
    assert in_one_line(beside_labels(last, "unstated", offset_prior())).startswith("Only its labels speak")


def test_a_run_is_what_evidence_moves_a_label_by():
    last = Last("N7", "Northmoor", "us-men", LABELS)
    advised = Last("N7", "Northmoor", "us-men", LABELS, advice=(Advice("ball", Fraction(-1)),))
    measured = Last(
        "N7", "Northmoor", "us-men", LABELS, measured=(MeasuredPair(Fraction(10), "D", flex_line=190.0),)
    )
    for known in (advised, measured):
        runs = beside_labels(known, "unstated", offset_prior())
        before, after = (
            next(one for one in describe(which, "unstated", offset_prior()).labels if one.label == runs.label)
            for which in (last, known)
        )
        for measure, figure in runs.by.items():
            assert figure.mean == after.built_for[measure].mean - before.built_for[measure].mean
            assert figure.sd == after.built_for[measure].sd
    assert beside_labels(advised, "unstated", offset_prior()).by["ball"].mean > 4
    assert beside_labels(measured, "unstated", offset_prior()).by["ball"].mean < -4


def test_rulers_on_the_gauge_are_told_slide_by_slide():
    before = {"ball": Figure(0.0, 3.0), "length": Figure(0.0, 1.0), "breadth": Figure(0.0, 1.0)}
    known = {"ball": Figure(-1.71, 0.49), "length": Figure(0.0, 1.0), "breadth": Figure(0.1, 0.45)}
    assert gauge_texts(known, before) == [
        "A ball size denotes 1.7 mm less than is reckoned, ±0.5 mm.",
        "A length size has not been measured: it may denote ±1 mm other than reckoned.",
        "A width letter denotes what is reckoned, ±0.5 mm.",
    ]
    assert (difference_text(1.8), difference_text(-1.8), difference_text(0.1)) == (
        "1.8 mm more than reckoned",
        "1.8 mm less than reckoned",
        "as reckoned",
    )
