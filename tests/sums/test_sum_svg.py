"""Drawings: well-formed, escaped, the same each time, one ink."""

from xml.etree import ElementTree

from onceapart.sums.svg import Drawing


def _picture():
    drawing = Drawing(100, 50, "A <bolt>", 'with "words" & more')
    hatch = drawing.hatch("steel")
    drawing.rect(1, 2, 3.14159, 4, hatch=hatch)
    drawing.line((0, 0), (1, -0.0001), dash="4 2")
    drawing.dimension((0, 10), (50, 10), "50 mm <")
    drawing.circle((5, 5), 2)
    return drawing.render()


def test_the_picture_is_well_formed_and_titled():
    root = ElementTree.fromstring(_picture())
    assert root.find("{http://www.w3.org/2000/svg}title").text == "A <bolt>"
    assert root.get("viewBox") == "0 0 100 50"


def test_there_is_one_ink_so_that_it_reads_on_light_and_dark():
    root = ElementTree.fromstring(_picture())
    inks = {
        element.get(key)
        for element in root.iter()
        for key in ("stroke", "fill")
        if element.get(key) is not None
    }
    assert inks == {"currentColor", "none", "url(#steel)"}


def test_the_same_picture_has_the_same_bytes():
    assert _picture() == _picture()
