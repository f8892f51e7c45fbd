"""Who comes in: everybody here, from elsewhere who knows the passphrase, and nobody by a trick."""

from __future__ import annotations

import itertools
import stat
import threading
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.hashers import PBKDF2PasswordHasher
from django.test import Client
from hypothesis import given
from hypothesis import strategies as st

from onceapart.site.server import passphrase
from onceapart.site.server.door import TICKET, local_path
from onceapart.site.server.easy_words import EASY_WORDS
from onceapart.site.server.passphrase import (
    PassphraseError,
    has_passphrase,
    is_right,
    made_passphrase,
    set_passphrase,
)
from onceapart.site.server.tries import FREE_TRIES, LONGEST_WAIT, MOST_PLACES, TRIES, Tries

PHONE = "192.168.1.30"
WORDS = "anchor maple kettle"
pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def quick_and_fresh(monkeypatch: pytest.MonkeyPatch) -> None:
    """The hash goes round once instead of a million times; what it is made of stays."""
    TRIES.forget()
    monkeypatch.setattr(PBKDF2PasswordHasher, "iterations", 1)


@pytest.fixture
def phone(settings: Any, demo_workshop: object) -> Client:
    settings.OPEN_TO_OTHERS = True
    set_passphrase(WORDS)
    return Client(REMOTE_ADDR=PHONE)


def come_in(client: Client, words: str = WORDS, to: str = "/changes/") -> Any:
    return client.post("/come-in/", {"passphrase": words, "to": to})


def test_this_machine_comes_in_without(demo_workshop: object, client: Client) -> None:
    assert client.get("/changes/").status_code == 200
    for address in ("::1", "127.0.0.99"):
        assert Client(REMOTE_ADDR=address).get("/changes/").status_code == 200


@pytest.mark.parametrize("address", [PHONE, "", "nonsense", "::ffff:127.0.0.1", "fe80::1", "localhost"])
def test_nobody_else_comes_while_it_is_not_open(demo_workshop: object, address: str) -> None:
    stranger = Client(REMOTE_ADDR=address)
    for path in ("/", "/changes/", "/come-in/"):
        assert stranger.get(path).status_code == 403
    assert come_in(stranger).status_code == 403


@pytest.mark.parametrize("header", ["X-Forwarded-For", "Forwarded", "X-Real-IP"])
def test_no_header_makes_a_stranger_one_from_here(phone: Client, header: str) -> None:
    for said in ("127.0.0.1", "for=127.0.0.1"):
        assert phone.get("/changes/", headers={header: said}).status_code == 302
        here = Client()
        assert here.get("/changes/", headers={header: said}).status_code == 302, "passed on from elsewhere"


def test_a_stranger_is_led_to_the_door_and_back(phone: Client) -> None:
    asked = phone.get("/changes/?before=3")
    assert (asked.status_code, asked["Location"]) == (302, "/come-in/?to=%2Fchanges%2F%3Fbefore%3D3")
    page = phone.get(asked["Location"])
    assert page.status_code == 200
    assert b"Weir Street" not in page.content, "the door says nothing of the workshop"
    came = come_in(phone, to="/changes/?before=3")
    assert (came.status_code, came["Location"]) == (302, "/changes/?before=3")
    assert phone.get("/changes/").status_code == 200
    assert phone.get("/come-in/")["Location"] == "/"
    assert phone.post("/go-out/").status_code == 302
    assert phone.get("/changes/").status_code == 302


@pytest.mark.parametrize("method", ["post", "put", "delete", "patch"])
def test_a_stranger_changes_nothing(phone: Client, method: str) -> None:
    for path in ("/", "/changes/", "/take-in/", "/go-out/", "/no-such-page/"):
        assert getattr(phone, method)(path).status_code == 403
    assert phone.get("/no-such-page/").status_code == 302, "a stranger is not told what there is"


def test_a_wrong_passphrase_keeps_the_way_and_says_so(phone: Client) -> None:
    for words in ("", "  ", "wrong words here", WORDS + "s"):
        answer = come_in(phone, words)
        assert answer.status_code == 422
        assert b'value="/changes/"' in answer.content
        assert not words.strip() or words.encode() not in answer.content
    assert phone.get("/changes/").status_code == 302


@pytest.mark.parametrize("words", ["  Anchor maple  KETTLE ", "ANCHOR\tmaple kettle"])
def test_capitals_and_spaces_do_not_matter(phone: Client, words: str) -> None:
    assert come_in(phone, words).status_code == 302


def test_a_new_passphrase_ends_what_came_in_by_the_old(phone: Client) -> None:
    come_in(phone)
    assert phone.get("/changes/").status_code == 200
    set_passphrase("quite other words")
    assert phone.get("/changes/").status_code == 302
    assert come_in(phone).status_code == 422
    set_passphrase(WORDS)  # the same words once more, with another salt
    assert phone.get("/changes/").status_code == 302


def test_a_session_from_before_is_not_gone_on_with(phone: Client) -> None:
    session = phone.session
    session["planted"] = "by somebody else"
    session.save()
    phone.cookies["onceapart_session"] = session.session_key
    come_in(phone)
    after = phone.cookies["onceapart_session"].value
    assert after != session.session_key
    assert "planted" not in phone.session
    thief = Client(REMOTE_ADDR="192.168.1.66")
    thief.cookies["onceapart_session"] = session.session_key
    assert thief.get("/changes/").status_code == 302


@pytest.mark.parametrize("ticket", [True, "", "yes", None, 1, ["x"]])
def test_no_other_ticket_is_good(phone: Client, ticket: object) -> None:
    session = phone.session
    session[TICKET] = ticket
    session.save()
    phone.cookies["onceapart_session"] = session.session_key
    assert phone.get("/changes/").status_code == 302


def test_without_a_passphrase_nobody_comes_in(settings: Any, demo_workshop: object) -> None:
    settings.OPEN_TO_OTHERS = True
    phone = Client(REMOTE_ADDR=PHONE)
    assert not has_passphrase()
    assert b"No passphrase is set" in phone.get("/come-in/").content
    for words in ("", "anything at all", "None"):
        assert come_in(phone, words).status_code == 422
    session = phone.session
    session[TICKET] = passphrase.ticket()
    session.save()
    assert phone.get("/changes/").status_code == 302


def test_cookies_keep_to_this_site(phone: Client) -> None:
    come_in(phone)
    cookie = phone.cookies["onceapart_session"]
    assert (cookie["httponly"], cookie["samesite"]) == (True, "Lax")
    page = phone.get("/come-in/", follow=True)
    assert page.status_code == 200
    assert phone.cookies["onceapart_csrf"]["samesite"] == "Strict"


def test_a_form_from_another_site_is_refused(demo_workshop: object) -> None:
    strict = Client(enforce_csrf_checks=True)
    for path in ("/go-out/", "/come-in/", "/take-in/"):
        answer = strict.post(path, {"passphrase": WORDS}, headers={"Origin": "http://else.example"})
        assert answer.status_code in (302, 403)
    assert strict.post("/go-out/").status_code == 403


def test_too_many_wrong_tries_have_to_wait(phone: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    clock = [1000.0]
    monkeypatch.setattr(TRIES, "_clock", lambda: clock[0])
    for _ in range(FREE_TRIES):
        assert come_in(phone, "wrong words").status_code == 422
    answer = come_in(phone)
    assert (answer.status_code, answer["Retry-After"]) == (429, "1")
    assert b"Wait 1 s" in answer.content
    assert come_in(Client(REMOTE_ADDR="192.168.1.31")).status_code == 302, "others need not wait"
    clock[0] += 1
    assert come_in(phone, "wrong words").status_code == 422
    clock[0] += 1
    assert come_in(phone).status_code == 429, "twice as long now"
    clock[0] += 1
    assert come_in(phone).status_code == 302
    assert TRIES.begin(PHONE) == 0, "a right try forgets the wrong ones"


def test_many_tries_at_once_are_no_way_round() -> None:
    tries, let_in, ready = Tries(lambda: 0.0), [], threading.Barrier(40)

    def knock() -> None:
        ready.wait()
        if tries.begin(PHONE) <= 0:
            let_in.append(1)

    threads = [threading.Thread(target=knock) for _ in range(40)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(let_in) == FREE_TRIES


def test_the_wait_grows_to_a_quarter_of_an_hour_and_the_list_does_not_grow_for_ever() -> None:
    clock = [0.0]
    tries = Tries(lambda: clock[0])
    waits = []
    for _ in range(30):
        while (wait := tries.begin(PHONE)) > 0:
            waits.append(wait)
            clock[0] += wait
    assert waits == sorted(waits)
    assert waits[-1] == LONGEST_WAIT
    for count in itertools.islice(itertools.count(), MOST_PLACES + 5):
        tries.begin(f"10.0.{count // 256}.{count % 256}")
    assert len(tries._wrong) == MOST_PLACES
    assert tries.begin(PHONE) == 0, "the oldest is forgotten first"


def test_one_network_counts_as_one_place() -> None:
    tries = Tries(lambda: 0.0)
    answers = [tries.begin(f"2001:db8:1:2::{at}") for at in range(FREE_TRIES + 1)]
    assert answers[-1] > 0
    assert tries.begin("2001:db8:1:3::1") == 0


def test_the_passphrase_is_kept_hashed_for_its_owner_alone(
    settings: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.undo()
    set_passphrase(WORDS)
    file = Path(settings.DATA) / "passphrase"
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert file.read_text().startswith("pbkdf2_sha256$")
    assert "anchor" not in file.read_text()
    assert is_right(WORDS)
    assert not is_right("anchor maple")


@pytest.mark.parametrize("words", ["", "short", "x" * 201, " a b c   d"])
def test_a_passphrase_that_is_too_short_or_long_is_refused(words: str) -> None:
    with pytest.raises(PassphraseError, match="8 to 200 letters"):
        set_passphrase(words)
    assert not has_passphrase()


def test_made_passphrases_are_of_enough_words() -> None:
    assert len(set(EASY_WORDS)) == 256
    made = {made_passphrase() for _ in range(50)}
    assert len(made) == 50
    for words in made:
        assert len(words.split()) == 5
        set_passphrase(words)


@given(st.text(max_size=40) | st.from_regex(r"[/\\]{1,3}[a-z.:@\\/]{0,20}", fullmatch=True))
def test_the_way_back_never_leaves_this_site(to: str) -> None:
    found = local_path(to)
    assert found.startswith("/")
    assert not found.startswith(("//", "/\\"))
    assert found.isprintable()


@pytest.mark.parametrize(
    "to",
    [
        "https://else.example/",
        "//else.example",
        "/\\else.example",
        "javascript:alert(1)",
        "\t//else.example",
        "http:/x",
    ],
)
def test_from_the_door_nobody_is_sent_elsewhere(phone: Client, to: str) -> None:
    assert come_in(phone, to=to)["Location"] == "/"
