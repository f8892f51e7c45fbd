"""Offers and sellers: put in, changed, taken out, and pasted from a spreadsheet."""

import pytest
from jobs_cases import fields
from test_jobs import text_of

from onceapart.site.store.versions import Ref, change, current, undo, with_entry
from onceapart.workshop import Offer

pytestmark = pytest.mark.django_db
ADD = "/parts/add-offer/"


def offer(name):
    return next((one for one in current().workshop.offers if one.id == name), None)


def seller(name):
    return next((one for one in current().workshop.sellers if one.id == name), None)


def test_an_offer_in_a_few_taps(client, demo_workshop):
    page = client.get(f"{ADD}?part=pickle/front/brake-disc&seller=sallow").content.decode()
    sent = fields(page)
    assert sent["part_1"] == ["Brake disc, front (Pickle, the green hatchback)"]
    assert client.post(ADD, {**sent, "price": "12,50"}).status_code == 302
    assert offer("sallow-brake-disc") == Offer(
        id="sallow-brake-disc", seller="sallow", parts={"pickle/front/brake-disc": 1}, price=1250
    )
    assert client.post(ADD, {**sent, "price": "11"}).status_code == 302
    assert offer("sallow-brake-disc-2").price == 1100


def test_a_kit_with_all_there_is_to_say(client, demo_workshop):
    sent = fields(client.get(ADD).content.decode())
    typed = {
        "seller": "ostrel",
        "price": "60",
        "part_1": "front brake disc",
        "pieces_1": "2",
        "part_2": "pickle/front/brake-pad-set",
        "part_3": "duchess/horn",
        "limit": "3",
        "days": "5",
        "deposit": "10",
        "title": "Discs, pads, and a horn",
    }
    answer = client.post(ADD, {**sent, **typed, "more": "yes"})
    assert answer.url == f"{ADD}?seller=ostrel"
    made = current().workshop.offers[-1]
    assert made.parts == {"pickle/front/brake-disc": 2, "pickle/front/brake-pad-set": 1, "duchess/horn": 1}
    assert (made.limit, made.days, made.deposit, made.title) == (3, 5, 1000, "Discs, pads, and a horn")


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"part_1": ""}, "there is no part in it"),
        ({"part_1": "gearbox"}, "no part is called so"),
        ({"part_1": "brake"}, "it may be one of several"),
        ({"pieces_1": "0"}, "pieces are a whole number from 1"),
        ({"pieces_1": "half"}, "pieces are a whole number from 1"),
        ({"part_1": "", "pieces_1": "2"}, "there are pieces of no part"),
        ({"price": ""}, "may not be left empty"),
        ({"price": "cheap"}, "money is a decimal number"),
        ({"seller": "nobody"}, "no seller with this id"),
        ({"seller": ""}, "may not be left empty"),
        ({"days": "1.5"}, "whole numbers"),
    ],
)
def test_what_is_wrong_with_an_offer_is_said_and_what_was_typed_stays(client, demo_workshop, typed, words):
    sent = fields(client.get(f"{ADD}?part=pickle/brake-fluid&seller=sallow").content.decode())
    sent = {**sent, "price": "7.77", "title": "The blue one", **typed}
    answer = client.post(ADD, sent)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert words in text_of(page)
    assert "The blue one" in page
    assert sent["price"] in page
    assert current().number == 1


def test_an_offer_is_changed_taken_out_and_put_back(client, demo_workshop, noon):
    url = "/parts/offers/brimbeck-disc-kit/"
    sent = fields(client.get(url).content.decode())
    assert client.post(url, sent).status_code == 302
    assert current().number == 1  # saved as it is
    assert client.post(url, {**sent, "price": "59.90", "limit": "2"}).status_code == 302
    assert (offer("brimbeck-disc-kit").price, offer("brimbeck-disc-kit").limit) == (5990, 2)
    sent = fields(client.get(url).content.decode(), containing='name="out"')
    assert client.post(url, {**sent, "out": "yes"}).status_code == 302
    assert offer("brimbeck-disc-kit") is None
    undo(current().number, at=noon)
    assert offer("brimbeck-disc-kit").price == 5990
    assert client.get("/parts/offers/nothing/").status_code == 404


def test_an_offer_somebody_else_changed_is_not_written_over(client, demo_workshop, noon):
    url = "/parts/offers/brimbeck-disc/"
    sent = fields(client.get(url).content.decode())
    other = offer("brimbeck-disc").model_copy(update={"price": 1})
    change("1", lambda w: with_entry(w, "offers", other, Ref("offers", "brimbeck-disc")), at=noon, who="Mo")
    answer = client.post(url, {**sent, "price": "3"})
    assert answer.status_code == 422
    assert "changed meanwhile by Mo" in answer.content.decode()
    assert offer("brimbeck-disc").price == 1


def test_offers_are_found_by_words_and_seller_and_shown_by_the_hundred(client, demo_workshop, noon):
    page = client.get("/parts/offers/?q=drop+links").content.decode()
    assert "Pair of drop links" in page
    assert "Caliper" not in page
    page = client.get("/parts/offers/?seller=sallow").content.decode()
    assert "3 offers" in page
    many = tuple(Offer(id=f"x-{n}", seller="sallow", parts={"p/q": 1}, price=n) for n in range(250))
    change("many", lambda w: w.model_copy(update={"offers": many}), at=noon)
    page = client.get("/parts/offers/?page=2").content.decode()
    assert page.count('href="/parts/offers/x-') == 100
    assert "?page=3" in page
    assert client.get("/parts/offers/?page=none&seller=nobody").status_code == 200


def test_a_seller_is_put_in_changed_and_taken_out_with_its_offers(client, demo_workshop):
    typed = {"name": "Café Räder & Sons", "delivery": "4,50", "free_from": "50", "days": "3"}
    assert client.post("/parts/sellers/", typed).status_code == 302
    made = current().workshop.sellers[-1]
    assert (made.name, made.delivery, made.free_from, made.days) == ("Café Räder & Sons", 450, 5000, 3)
    url = f"/parts/sellers/{made.id}/"
    sent = fields(client.get(url).content.decode())
    assert client.post(url, {**sent, "free_from": "", "days": "4"}).status_code == 302
    assert (seller(made.id).free_from, seller(made.id).days) == (None, 4)
    url = "/parts/sellers/ostrel/"
    page = client.get(url).content.decode()
    assert "Its 8 offers go out with it" in text_of(page)
    sent = fields(page, containing='name="out"')
    client.post(url, {**sent, "out": "yes"})
    assert seller("ostrel") is None
    assert all(one.seller != "ostrel" for one in current().workshop.offers)


@pytest.mark.parametrize("typed", [{"name": ""}, {"delivery": "-1"}, {"days": ""}, {"free_from": "lots"}])
def test_a_seller_that_can_not_be_is_refused(client, demo_workshop, typed):
    sent = {"name": "Somebody", "delivery": "1", "days": "1", **typed}
    answer = client.post("/parts/sellers/", sent)
    assert answer.status_code == 422
    assert current().number == 1


LIST = (
    "Part\tSeller\tPrice\tDays\n"
    "pickle/front/brake-disc\tBrimbeck Brakes\t24,90\t\n"
    "brake fluid\tbrimbeck\t8.60\t\n"
    "front drop link\tSallow Yard used parts\t€ 4.00\t2-3 days\n"
    "brake disc vented\tostrel\t12.00\t\n"
)


def test_a_pasted_list_is_shown_first_and_put_in_only_when_it_is_confirmed(client, demo_workshop):
    answer = client.post("/parts/paste/", {"text": LIST, "look": "yes"})
    page = answer.content.decode()
    said = text_of(page)
    assert answer.status_code == 200
    assert "1 new offer , 1 changed, 1 as they are, 1 row that can't be used" in said
    assert "changes brimbeck-disc, 25.50 before" in said
    assert "no part is called so" in said
    assert current().number == 1
    sent = fields(page)
    answer = client.post("/parts/paste/", {**sent, "save": "yes"})
    assert answer.status_code == 302
    assert current().number == 2
    assert offer("brimbeck-disc").price == 2490
    assert offer("sallow-drop-link") == Offer(
        id="sallow-drop-link", seller="sallow", parts={"pickle/front/drop-link": 1}, price=400, days=3
    )
    assert "2 pasted offers put in" in client.get("/parts/offers/").content.decode()


def test_a_person_says_what_names_and_columns_are(client, demo_workshop):
    text = "Sache;Kosten;Wer\nScheibe vorn;20,00;Herr Brim\n"
    page = client.post("/parts/paste/", {"text": text, "look": "yes"}).content.decode()
    sent = fields(page)
    assert {"column_0", "column_1", "column_2"} <= set(sent)
    sent = {**sent, "column_0": "part", "column_1": "price", "column_2": "seller"}
    page = client.post("/parts/paste/", {**sent, "look": "yes"}).content.decode()
    sent = fields(page)
    assert sent["name_0"] == ["Scheibe vorn"]
    sent = {**sent, "part_0": "pickle/front/brake-disc", "seller_0": "brimbeck"}
    page = client.post("/parts/paste/", {**sent, "look": "yes"}).content.decode()
    assert "changes brimbeck-disc" in page
    assert client.post("/parts/paste/", {**fields(page), "save": "yes"}).status_code == 302
    assert offer("brimbeck-disc").price == 2000


@pytest.mark.parametrize(
    "text", ["", "part\tprice\n", "hello", "part;price\ngearbox;12\n", "\x00", "\t\t\n;;"]
)
def test_a_list_nothing_can_be_made_of_is_refused_and_kept(client, demo_workshop, text):
    answer = client.post("/parts/paste/", {"text": text, "seller": "ostrel", "save": "yes"})
    assert answer.status_code == 422
    assert text.strip("\x00\n\t; ") in answer.content.decode()
    assert current().number == 1


def test_a_pasted_list_does_not_write_over_what_somebody_else_changed(client, demo_workshop, noon):
    sent = fields(client.post("/parts/paste/", {"text": LIST, "look": "yes"}).content.decode())
    other = offer("brimbeck-disc").model_copy(update={"price": 1})
    change("1", lambda w: with_entry(w, "offers", other, Ref("offers", "brimbeck-disc")), at=noon, who="Mo")
    answer = client.post("/parts/paste/", {**sent, "save": "yes"})
    assert answer.status_code == 422
    assert "changed meanwhile by Mo" in answer.content.decode()
    assert offer("brimbeck-disc").price == 1


def test_sent_twice_a_list_is_put_in_once(client, demo_workshop):
    sent = fields(client.post("/parts/paste/", {"text": LIST, "look": "yes"}).content.decode())
    client.post("/parts/paste/", {**sent, "save": "yes"})
    count = len(current().workshop.offers)
    client.post("/parts/paste/", {**sent, "save": "yes"})
    assert len(current().workshop.offers) == count
