"""Needs against offers, the shelf, and how pieces are counted."""

import datetime as dt
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jobs_cases import TODAY, choose_plan, fields, large_text, seconds_of
from test_jobs import text_of

from onceapart.bench.entries import Arrived, Ordered, SnagOpened, Ticked
from onceapart.bench.state import fold
from onceapart.site.pages.jobs.looking import Looking
from onceapart.site.pages.parts.matrix import letters, matrix_of
from onceapart.site.pages.parts.stock import Counted
from onceapart.site.pages.shared import Now
from onceapart.site.store.record import DatabaseRecord
from onceapart.site.store.versions import change, current, take_in
from onceapart.workshop import Job, Offer, Seller, Workshop

pytestmark = pytest.mark.django_db
NOON = dt.datetime(2026, 3, 5, 12, tzinfo=dt.UTC)


def row_of(page, part):
    """The row of the matrix of a part."""
    return next(row for row in re.findall(r"<tr role=\"row\">.*?</tr>", page, re.S) if f"?q={part}" in row)


def test_the_matrix_has_each_part_that_is_short_with_every_seller_that_has_it(client, demo_workshop):
    page = client.get("/parts/").content.decode()
    row = text_of(row_of(page, "pickle/front/brake-disc"))
    for said in (
        "Mill Lane counter 39.50 Thu 5 Mar",
        "Fennick &amp; Daughter 27.50 Sat 7 Mar",
        "19.50 least Fri 20 Mar",
    ):
        assert said in row
    assert "2 pieces" in row
    look = Looking(Now.of(current()))
    needs = look.counted.needs
    matrix = matrix_of(look.counted, look.names, {}, needs.values())
    assert {row.need.part for row in matrix.rows} == {part for part, need in needs.items() if need.short}
    for row in matrix.rows:
        shown = {price.offer for cell in row.cells for price in cell.prices}
        single = {one.offer.id for one in look.counted.sold[row.need.part] if not one.is_kit}
        assert shown == single
        least = min(
            (
                one.each
                for one in look.counted.sold[row.need.part]
                if not one.is_kit and not look.counted.is_too_late(one, row.need)
            ),
            default=None,
        )
        if least is not None:
            assert [price.each for cell in row.cells for price in cell.prices if price.is_least] == [least]


def test_prices_are_by_the_piece_with_limit_and_deposit(client, demo_workshop):
    page = client.get("/parts/").content.decode()
    assert "11.90 23.80 for 2 Wed 11 Mar" in text_of(row_of(page, "pickle/front/drop-link"))
    assert "16.00 least Sun 8 Mar, only 1" in text_of(row_of(page, "pickle/window-regulator"))
    assert "132.00 Thu 5 Mar, and 40.00 deposit" in text_of(row_of(page, "duchess/rear-right/brake-caliper"))


def test_a_kit_has_one_letter_at_each_of_its_parts_and_says_what_is_in_it(client, demo_workshop):
    page = client.get("/parts/").content.decode()
    said = text_of(page)
    kit = re.search(r'id="kit-([A-Z])">.*?Shoes, fittings and both cylinders', page, re.S)
    letter = re.findall(r'id="kit-([A-Z])"', page[: kit.end()])[-1]
    for part in (
        "pickle/rear/brake-shoe-set",
        "pickle/rear/shoe-fitting-kit",
        "pickle/rear-right/wheel-cylinder",
    ):
        assert f"in kit {letter}" in text_of(row_of(page, part))
    assert "and what nothing needs: Wheel cylinder, rear left" in said
    assert "one by one by then" in said


def test_what_the_plan_buys_is_marked_in_shape_and_word(client, demo_workshop, noon):
    assert "buy " not in text_of(client.get("/parts/").content.decode()).replace("the plan buys", "")
    choose_plan(noon, {"fennick-drum-kit": 1, "farway-disc": 2})
    page = client.get("/parts/").content.decode()
    disc = row_of(page, "pickle/front/brake-disc")
    assert "buy 2 19.50" in text_of(disc)
    assert disc.count("is-chosen") == 1
    assert "buy 1 in kit" in text_of(row_of(page, "pickle/rear/brake-shoe-set"))
    assert "A thick frame and the word “buy”" in page


def test_what_nobody_sells_is_named_first_with_a_way_to_add_an_offer(client, demo_workshop, noon):
    offers = tuple(one for one in current().workshop.offers if "pickle/front/brake-disc" not in one.parts)
    change("none", lambda w: w.model_copy(update={"offers": offers}), at=noon)
    page = client.get("/parts/").content.decode()
    assert "Nobody sells these" in page
    assert page.index("Nobody sells these") < page.index("parts to get")
    assert "/parts/add-offer/?part=pickle/front/brake-disc" in page
    assert "for Discs with pads, front" in text_of(page)
    assert "nobody sells it" in client.get("/jobs/").content.decode()


def test_too_few_for_sale_is_told_with_how_many(client, demo_workshop, noon):
    def few(workshop):
        kept = [one for one in workshop.offers if "pickle/front/brake-disc" not in one.parts]
        one = Offer(id="one", seller="sallow", parts={"pickle/front/brake-disc": 1}, price=100, limit=1)
        return workshop.model_copy(update={"offers": (*kept, one)})

    change("few", few, at=noon)
    assert "only 1 can be bought" in client.get("/parts/").content.decode()


def test_of_one_car_alone(client, demo_workshop):
    page = client.get("/parts/?car=duchess").content.decode()
    assert "Damper, rear" in page
    assert "Brake disc" not in page
    assert client.get("/parts/?car=nobody").status_code == 404


def test_ordered_come_wrong_and_used_pieces_are_counted():
    offer = Offer(id="o", seller="s", parts={"c/disc": 1, "c/pads": 1}, price=10)
    workshop = Workshop(
        name="W",
        currency="EUR",
        hour_worth=0,
        shelf={"c/disc": 1},
        sellers=(Seller(id="s", name="S", delivery=0, days=2),),
        offers=(offer,),
        jobs=(
            Job(id="a", car="c", need="safety", minutes=1, parts={"c/disc": 2, "c/pads": 1}),
            Job(id="b", car="c", need="wish", minutes=1, parts={"c/disc": 1}),
        ),
    )
    entries = [
        Ordered(
            number=1,
            time=NOON,
            offer="o",
            seller="s",
            units=2,
            parts={"c/disc": 2, "c/pads": 2},
            price=20,
            arrives=TODAY,
        ),
        Arrived(number=2, time=NOON, part="c/disc", pieces=1, offer="o"),
        Arrived(number=3, time=NOON, part="c/disc", pieces=1, offer="o", state="wrong", words="too thin"),
    ]
    counted = Counted(workshop, fold(entries, {}), TODAY)
    disc, pads = counted.needs["c/disc"], counted.needs["c/pads"]
    assert (disc.need, disc.hand, disc.ordered, disc.short) == (3, 2, 0, 1)
    assert (pads.need, pads.hand, pads.ordered, pads.short) == (1, 0, 2, 0)
    assert pads.comes == TODAY
    assert counted.short_for({"a": None, "b": None}) == {"a": ("c/pads",), "b": ("c/disc",)}
    done = Counted(workshop, fold([*entries, Ticked(number=4, time=NOON, car="c", step="do:b")], {}), TODAY)
    assert (done.needs["c/disc"].need, done.needs["c/disc"].hand) == (2, 1)
    spoilt = SnagOpened(
        number=4, time=NOON, car="c", snag="bad part", words="cracked", dangerous=False, part="c/disc"
    )
    assert Counted(workshop, fold([*entries, spoilt], {}), TODAY).hand.get("c/disc", 0) in (1, 2)


@given(
    st.lists(st.tuples(st.integers(1, 6), st.integers(0, 4), st.booleans()), min_size=1, max_size=6),
    st.integers(0, 12),
)
def test_pieces_in_hand_are_given_out_once(jobs, hand):
    workshop = Workshop(
        name="W",
        currency="EUR",
        hour_worth=0,
        shelf={"p": hand},
        jobs=tuple(
            Job(id=f"j{n}", car="c", need="safety" if must else "wish", minutes=1, parts={"p": pieces})
            for n, (pieces, _, must) in enumerate(jobs)
        ),
    )
    counted = Counted(workshop, fold([], {}), TODAY)
    days = {f"j{n}": TODAY + dt.timedelta(days=day) for n, (_, day, _) in enumerate(jobs)}
    short = counted.short_for(days)
    served = sum(pieces for n, (pieces, _, _) in enumerate(jobs) if not short[f"j{n}"])
    assert served <= hand
    if sum(pieces for pieces, _, _ in jobs) <= hand:
        assert not any(short.values())
    else:
        assert any(short.values())
    need = counted.needs["p"]
    assert need.short == max(0, need.need - hand)


def test_letters_are_those_of_a_spreadsheets_columns():
    assert [letters(at) for at in (0, 25, 26, 701, 702)] == ["A", "Z", "AA", "ZZ", "AAA"]


def test_the_shelf_is_counted_anew_and_added_to(client, demo_workshop):
    page = client.get("/parts/shelf/").content.decode()
    sent = fields(page)
    answer = client.post(
        "/parts/shelf/",
        {
            **sent,
            "pieces_pickle/front/drop-link": "2",
            "new_part": "Brake disc, front (Pickle, the green hatchback)",
            "new_pieces": "1",
        },
    )
    assert answer.status_code == 302
    assert current().workshop.shelf == {"pickle/front/drop-link": 2, "pickle/front/brake-disc": 1}
    sent = fields(client.get("/parts/shelf/").content.decode())
    client.post("/parts/shelf/", {**sent, "pieces_pickle/front/drop-link": "0"})
    assert current().workshop.shelf == {"pickle/front/brake-disc": 1}


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"pieces_pickle/front/drop-link": "two"}, "whole number"),
        ({"new_part": "gearbox"}, "no part is called so"),
        ({"new_part": "brake"}, "one of several"),
        ({"new_part": "brake fluid", "new_pieces": "-1"}, "whole number"),
    ],
)
def test_a_count_that_is_none_is_refused_and_kept(client, demo_workshop, typed, words):
    sent = fields(client.get("/parts/shelf/").content.decode())
    answer = client.post("/parts/shelf/", {**sent, **typed})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert words in page
    assert all(value in page for value in typed.values())
    assert current().number == 1


def test_two_people_counting_do_not_write_over_one_another(client, demo_workshop, noon):
    sent = fields(client.get("/parts/shelf/").content.decode())
    change("5", lambda w: w.model_copy(update={"shelf": {"pickle/front/drop-link": 5}}), at=noon)
    answer = client.post("/parts/shelf/", {**sent, "pieces_pickle/front/drop-link": "2"})
    assert answer.status_code == 422
    assert "changed meanwhile" in answer.content.decode()
    assert current().workshop.shelf == {"pickle/front/drop-link": 5}


def test_what_came_and_is_no_good_is_said(client, demo_workshop, noon):
    bad = Arrived(time=noon, part="pickle/front/brake-disc", pieces=1, state="bad", words="rusty in its box")
    DatabaseRecord().append(bad)
    page = client.get("/parts/").content.decode()
    assert "no good" in page
    assert "rusty in its box" in page


QUERIES = {
    "/parts/": 3,
    "/parts/?car=all": 3,
    "/parts/offers/": 2,
    "/parts/add-offer/": 1,
    "/parts/sellers/": 1,
    "/parts/shelf/": 2,
    "/orders/": 4,
}


def test_pages_of_a_large_workshop_ask_the_database_little_and_take_little_time(
    client, db, noon, django_assert_max_num_queries
):
    take_in(large_text(), at=noon)
    choose_plan(noon)
    for url, queries in QUERIES.items():
        client.get(url)
        with django_assert_max_num_queries(queries):
            assert seconds_of(client, url) < 0.2, url


def test_of_a_large_workshop_one_car_at_a_time_is_shown(client, db, noon):
    take_in(large_text(), at=noon)
    page = client.get("/parts/").content.decode()
    assert "car-0/small-part-0-0" in page
    assert "car-1/small-part-0-0" not in page
    assert "car-1/small-part-0-0" in client.get("/parts/?car=all").content.decode()
