"""Corners for the tests: two of a usual shape, and many of any shape that could be built."""

from hypothesis import strategies as st

from onceapart.sums.raising.linkage import DoubleWishbone, Strut

WISHBONE = DoubleWishbone(
    lower_pivot=330 + 205j,
    lower_joint=650 + 190j,
    upper_pivot=400 + 430j,
    upper_joint=615 + 445j,
    foot=700 + 0j,
    camber_deg=-0.5,
)
STRUT = Strut(
    lower_pivot=330 + 210j,
    lower_joint=670 + 190j,
    top=560 + 780j,
    axis_point=622 + 400j,
    foot=715 + 0j,
    camber_deg=-0.4,
)


def _around(value, spread):
    return st.floats(value - spread, value + spread)


def points(out, up, spread):
    """Points around one, by so much either way."""
    return st.builds(complex, _around(out, spread), _around(up, spread))


wishbones = st.builds(
    DoubleWishbone,
    lower_pivot=points(330, 205, 40),
    lower_joint=points(650, 190, 30),
    upper_pivot=points(390, 430, 25),
    upper_joint=points(615, 450, 20),
    foot=st.floats(680, 760).map(complex),
    camber_deg=st.floats(-2, 2),
)
struts = st.builds(
    Strut,
    lower_pivot=points(330, 210, 40),
    lower_joint=points(670, 190, 30),
    top=points(560, 780, 40),
    axis_point=points(622, 400, 15),
    foot=st.floats(690, 760).map(complex),
    camber_deg=st.floats(-2, 2),
)
corners = st.one_of(wishbones, struts)
travels = st.floats(-80, 80)
