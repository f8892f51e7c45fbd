"""Pasted tables of offers: read back as written, however they are separated, and refused row by row."""

import datetime as dt
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from onceapart.errors import Problem
from onceapart.workshop import MAX_MONEY, Offer, Seller, Workshop, check_workshop
from onceapart.workshop.offer_heads import HEADS, MEANINGS, meaning_of
from onceapart.workshop.offer_rows import Names
from onceapart.workshop.offers_in import offers_in, offers_out, with_offers
from onceapart.workshop.part_names import PartNames
from onceapart.workshop.pasted import MAX_PASTED, MAX_ROWS, amount_in, days_in, number_in

TODAY = dt.date(2026, 3, 2)
PARTS = (
    "wren/front/brake-disc",
    "wren/rear/brake-disc",
    "wren/front-left/cv-boot-kit",
    "wren/front/drop-link",
    "wren/brake-fluid",
)
SELLERS = (
    Seller(id="counter", name="Parts counter", delivery=0, days=0),
    Seller(id="post-a", name="By post, A & Son", delivery=850, free_from=9000, days=6),
)


def workshop(offers=(), currency="EUR"):
    return Workshop(
        name="Quay Lane",
        today=TODAY,
        currency=currency,
        hour_worth=0,
        sellers=SELLERS,
        shelf=dict.fromkeys(PARTS, 0),
        offers=tuple(offers),
    )


ids = st.from_regex(r"[a-z][a-z0-9]{0,6}(-[a-z0-9]{1,5}){0,2}", fullmatch=True)
titles = st.one_of(
    st.none(),
    st.text(st.characters(codec="utf-8", categories=("L", "N", "P", "Sc")), min_size=1, max_size=20).filter(
        lambda text: text == text.strip() and '"' not in text[:1]
    ),
)
one_offer = st.builds(
    Offer,
    id=ids,
    seller=st.sampled_from([one.id for one in SELLERS]),
    title=titles,
    parts=st.dictionaries(st.sampled_from(PARTS), st.integers(1, 40), min_size=1, max_size=3),
    price=st.integers(0, MAX_MONEY),
    limit=st.one_of(st.none(), st.integers(0, 900)),
    days=st.one_of(st.none(), st.integers(0, 60)),
    deposit=st.integers(0, 20_000),
)
several = st.lists(one_offer, min_size=1, max_size=6, unique_by=lambda one: one.id)


@given(several, st.sampled_from(["\t", ";", "|", ","]))
def test_what_is_written_is_read_back(offers, separator):
    found = offers_in(offers_out(offers, separator), workshop())
    assert not found.problems
    assert [row.problems for row in found.rows] == [()] * len(offers)
    assert [row.offer for row in found.rows] == offers
    assert {row.change for row in found.rows} == {"new"}


@given(several)
def test_pasted_again_nothing_changes(offers):
    there = workshop(offers)
    found = offers_in(offers_out(offers), there)
    assert [row.change for row in found.rows] == ["same"] * len(offers)
    assert with_offers(there, found.usable).offers == there.offers


@given(several, st.integers(0, 99_999))
def test_new_prices_change_offers_in_their_places(offers, price):
    there = workshop(offers)
    dearer = [one.model_copy(update={"price": price}) for one in offers]
    after = with_offers(there, offers_in(offers_out(dearer), there).usable)
    assert list(after.offers) == dearer
    assert not check_workshop(after)


@given(st.text(max_size=300), st.booleans())
def test_any_text_is_told_of_and_never_breaks(text, with_seller):
    found = offers_in(text, workshop(), seller="counter" if with_seller else None, today=TODAY)
    for row in found.rows:
        assert (row.offer is None) == bool(row.problems)
    after = with_offers(workshop(), found.usable)
    assert not check_workshop(after)


def written(amount, decimal, thousands, sign, before):
    whole, places = divmod(amount, 100)
    grouped = f"{whole:,}".replace(",", thousands)
    text = f"{grouped}{decimal}{places:02d}"
    return f"{sign}{text}" if before else f"{text} {sign}"


@given(
    st.integers(0, MAX_MONEY),
    st.sampled_from([(".", ","), (",", "."), (".", ""), (",", ""), (",", " "), (".", "'"), (",", "\u202f")]),
    st.sampled_from(["€", "EUR", "€ ", "eur", ""]),
    st.booleans(),
)
def test_amounts_are_read_as_they_are_written_here_and_there(amount, marks, sign, before):
    decimal, thousands = marks
    assert amount_in(written(amount, decimal, thousands, sign, before), "EUR") == amount


@given(st.decimals(0, 9_999_999, places=2, allow_nan=False))
def test_amounts_agree_with_decimal(value):
    assert amount_in(str(value), "EUR") == int(Decimal(value) * 100)


@pytest.mark.parametrize(
    ("text", "currency", "amount"),
    [
        ("12,-", "EUR", 1200),
        ("12.–", "CHF", 1200),
        ("Fr. 12.50", "CHF", 1250),
        ("$12", "USD", 1200),
        ("A$12", "AUD", None),
        ("£3", "GBP", 300),
        ("120 kr", "SEK", 12000),
        ("49,90 zł", "PLN", 4990),
    ],
)
def test_signs_of_money(text, currency, amount):
    if amount is None:
        with pytest.raises(ValueError, match="no amount"):
            amount_in(text, currency)
    else:
        assert amount_in(text, currency) == amount


@pytest.mark.parametrize(
    ("text", "match"),
    [
        ("$ 12.00", "USD"),
        ("12 GBP", "GBP"),
        ("1,234", "three places"),
        ("1.234", "three places"),
        ("12.345", "three places"),
        ("1234.567", "two places"),
        ("-4", "negative"),
        ("about 12", "no amount"),
        ("12.3.4", "no amount"),
        ("1,23,4", "no amount"),
        ("99999999999", "goes up to"),
        ("", "no amount"),
    ],
)
def test_amounts_that_are_none_or_not_clear_are_refused(text, match):
    with pytest.raises(ValueError, match=match) as caught:
        amount_in(text, "EUR")
    assert "; " in str(caught.value)


@pytest.mark.parametrize(
    ("text", "days"),
    [
        ("0", 0),
        ("in 3 days", 3),
        ("2 - 4 Tage", 4),
        ("1 week", 7),
        ("5 working days", 7),
        ("2026-03-09", 7),
        ("tomorrow", 1),
        ("next month", None),
        ("2026-02-30", None),
        ("2026-03-01", None),
        ("9999", None),
        ("4-2-1", None),
    ],
)
def test_days_to_arrive(text, days):
    if days is None:
        with pytest.raises(ValueError, match="; "):
            days_in(text, TODAY, 365)
    else:
        assert days_in(text, TODAY, 365) == days


@pytest.mark.parametrize("text", ["2.5", "two", "-1", "12345678901", ""])
def test_numbers_that_are_none_are_refused(text):
    with pytest.raises(ValueError, match="; "):
        number_in(text, 1000)


@pytest.mark.parametrize(("meaning", "head"), [(key, head) for key, heads in HEADS.items() for head in heads])
def test_every_head_is_known_however_it_is_spelled(meaning, head):
    assert meaning_of(head) == meaning
    assert meaning_of(f"  {head.upper()} (EUR):") == meaning


def test_a_german_table_with_semicolons_and_decimal_commas():
    text = (
        "Artikel;Stück;Händler;Preis (€);Lieferzeit;Pfand\n"
        "Brake disc front;2;By post, A & Son;1.062,00 €;2-4 Tage;\n"
        'wren/front-left/cv-boot-kit;1;counter;26,90;;"10,-"\n'
    )
    found = offers_in(text, workshop(), today=TODAY)
    assert [column.meaning for column in found.columns] == [
        "part", "pieces", "seller", "price", "days", "deposit",
    ]  # fmt: skip
    assert found.offers == (
        Offer(
            id="post-a-brake-disc", seller="post-a", parts={"wren/front/brake-disc": 2}, price=106200, days=4
        ),
        Offer(
            id="counter-cv-boot-kit",
            seller="counter",
            parts={"wren/front-left/cv-boot-kit": 1},
            price=2690,
            deposit=1000,
        ),
    )


def test_a_kit_and_pieces():
    text = "part\tprice\n2 x front brake discs + drop link (2) + brake fluid\t62.00\n"
    found = offers_in(text, workshop(), seller="counter")
    assert found.rows[0].problems == ()
    assert found.offers[0].parts == {
        "wren/front/brake-disc": 2,
        "wren/front/drop-link": 2,
        "wren/brake-fluid": 1,
    }


def rules(row):
    return [problem.rule for problem in row.problems]


def test_each_wrong_row_says_what_is_wrong_and_the_others_are_taken():
    text = (
        "part,seller,price,limit\n"
        "brake disc,counter,20.00,\n"
        "gearbox,counter,20.00,\n"
        "drop link,nobody,20.00,\n"
        "drop link,counter,dear,\n"
        "drop link,counter,,\n"
        ",counter,4.00,\n"
        "drop link,counter,14,90,\n"
        "drop link,counter,14.90,few\n"
        "drop link,counter,14.90,2\n"
        "Drop links,parts counter,15.90,\n"
    )
    found = offers_in(text, workshop())
    said = [rules(row) for row in found.rows]
    assert "may be wren/front/brake-disc, wren/rear/brake-disc" in said[0][0]
    assert said[1] == ["no part is called so"]
    assert said[2] == ["no seller is called so"]
    assert "no amount" in said[3][0]
    assert said[4] == ["the row has no price"]
    assert said[5] == ["the row names no part"]
    assert "one amount with a decimal comma, or two cells" in said[6][0]
    assert "no whole number" in said[7][0]
    assert said[8] == []
    assert "line 10 is of the same offer" in said[9][0]
    assert [row.line for row in found.usable] == [10]
    assert found.unknown_parts == ("brake disc", "gearbox")
    assert found.unknown_sellers == ("nobody",)


def test_a_row_with_more_cells_than_heads_is_not_taken():
    found = offers_in("part;price\ndrop link;4.00;2\ndrop link;5.00;;\n", workshop(), seller="counter")
    assert rules(found.rows[0]) == ["the row has more cells than the heads"]
    assert found.rows[1].offer is not None


def test_a_person_says_what_names_and_columns_mean():
    text = "20,00\tDisc, vented\tthe shop\n"
    names = Names(parts={"Disc, vented": "wren/rear/brake-disc"}, sellers={"the shop": "counter"})
    plain = offers_in(text, workshop())
    assert not plain.has_heads
    assert {problem.rule for problem in plain.problems} >= {
        "no column is taken for part",
        "no column is taken for price",
    }
    found = offers_in(text, workshop(), meanings=("price", "part", "seller"), names=names)
    assert found.problems == ()
    assert found.offers == (
        Offer(id="counter-brake-disc", seller="counter", parts={"wren/rear/brake-disc": 1}, price=2000),
    )
    left_out = Names(parts={"Disc, vented": ""}, sellers=names.sellers)
    found = offers_in(text, workshop(), meanings=("price", "part", "seller"), names=left_out)
    assert found.offers == ()


def test_a_column_taken_twice_and_a_seller_that_is_missing_are_said():
    found = offers_in("price\tprice\n1\t2\n", workshop(), meanings=("price", "price"))
    said = {problem.rule for problem in found.problems}
    assert "two columns are taken for price" in said
    assert "no column is taken for seller" in said


def test_a_price_list_pasted_later_changes_the_offers_it_names():
    there = workshop([Offer(id="c-disc", seller="counter", parts={"wren/front/brake-disc": 1}, price=3000)])
    found = offers_in("part\tprice\nwren/front/brake-disc\t27.50\n", there, seller="counter")
    (row,) = found.rows
    assert (row.change, row.before.id, row.offer.price) == ("changed", "c-disc", 2750)
    other = offers_in("part\tprice\nwren/front/brake-disc\t27.50\n", there, seller="post-a")
    assert other.rows[0].change == "new"


def test_new_offers_get_ids_of_their_own():
    there = workshop([Offer(id="counter-drop-link", seller="post-a", parts={"wren/brake-fluid": 1}, price=1)])
    found = offers_in("part\tprice\ndrop link\t2\n2 x drop link\t3\n", there, seller="counter")
    after = with_offers(there, found.usable)
    assert [one.id for one in after.offers] == [
        "counter-drop-link",
        "counter-drop-link-2",
        "counter-drop-link-3",
    ]


def test_too_much_at_once_is_refused():
    assert isinstance(offers_in("x" * (MAX_PASTED + 1), workshop()).problems[0], Problem)
    many = "part\tprice\n" + "drop link\t2\n" * (MAX_ROWS + 1)
    assert any("at most 2,000 rows" in one.rule for one in offers_in(many, workshop()).problems)
    assert offers_in("", workshop()).problems
    assert offers_in("part\tprice", workshop()).problems


def test_parts_are_found_by_their_words():
    names = PartNames(PARTS, {"wren/front-left/cv-boot-kit": "driveshaft gaiter of the Wren"})
    assert names.find("Front Brake Discs") == ("wren/front/brake-disc",)
    assert names.find("gaiter") == ("wren/front-left/cv-boot-kit",)
    assert names.find("wren/brake-fluid") == ("wren/brake-fluid",)
    assert set(names.find("brake disc")) == {"wren/front/brake-disc", "wren/rear/brake-disc"}
    assert names.find("???") == ()
    assert len(MEANINGS) == len(HEADS)
