"""How a last runs, drawn."""

from __future__ import annotations

from xml.etree import ElementTree

from heelball.show.run_plan import NAMES, run_plan

RUNS = [(3.0, 1.2), (-2.0, 1.0), (0.1, 2.0), (12.0, 3.0), (0.0, 2.5)]


def test_the_drawing_says_every_place_with_its_doubt() -> None:
    drawing = ElementTree.fromstring(run_plan("N7 <&>", RUNS))
    said = " ".join(drawing.itertext())
    assert "How N7 <&> runs beside its labels" in said
    assert all(name in said for name in NAMES.values())
    assert "3 mm long in the ball, ± 1.2" in said
    assert "12 mm roomy round the ball, ± 3.0" in said


def test_it_stays_on_its_sheet_however_far_a_last_runs() -> None:
    for runs in (RUNS, [(60.0, 9.0)] * 5, [(0.0, 0.1)] * 5):
        drawing = ElementTree.fromstring(run_plan("N7", runs))
        _, _, across, down = map(float, drawing.get("viewBox", "").split())
        for one in drawing.iter():
            for name, most in (("x1", across), ("x2", across), ("x", across), ("y1", down), ("y2", down)):
                if one.get(name) is not None:
                    assert 0 <= float(one.get(name, "")) <= most, (one.tag, one.attrib)
