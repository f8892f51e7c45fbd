"""What is in a page: links, forms with what a browser would send, and what it loads."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser

TYPED = frozenset({"text", "textarea", "search", "date", "number", "password", "email", "url", "tel"})


@dataclass
class FormField:
    name: str
    kind: str
    values: list[str] = field(default_factory=list)
    """As it stands: what a browser sends."""
    offered: list[str] = field(default_factory=list)
    """All that can be chosen."""


@dataclass
class FormShown:
    action: str
    method: str
    fields: dict[str, FormField] = field(default_factory=dict)

    def sent(self) -> dict[str, list[str]]:
        """As a browser sends it, untouched."""
        return {one.name: list(one.values) for one in self.fields.values() if one.kind != "file"}


class PageRead(HTMLParser):
    """A page, read.

    Attributes
    ----------
    links, loaded : list of str
        Addresses that it leads to, and those that it loads: scripts, styles, pictures.
    forms : list of FormShown
    headings : int
        How many first headings.
    inline : list of str
        Scripts, styles and handlers written into the page.
    """

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.links: list[str] = []
        self.loaded: list[str] = []
        self.forms: list[FormShown] = []
        self.headings = 0
        self.inline: list[str] = []
        self._form: FormShown | None = None
        self._area: FormField | None = None
        self._select: FormField | None = None
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        got = {name: value or "" for name, value in attrs}
        self.inline += [f"{tag} {name}" for name in got if name == "style" or name.startswith("on")]
        if tag == "style" or (tag == "script" and "src" not in got):
            self.inline.append(tag)
        if tag == "h1":
            self.headings += 1
        elif tag == "a" and "href" in got:
            self.links.append(got["href"])
        elif tag == "link" and "href" in got:
            self.loaded.append(got["href"])
        elif tag in ("script", "img", "iframe", "source", "object", "embed", "video", "audio"):
            self.loaded += [got[name] for name in ("src", "data", "srcset") if name in got]
        elif tag == "form":
            self._form = FormShown(got.get("action", ""), got.get("method", "get").lower())
            self.forms.append(self._form)
        elif self._form is not None:
            self._in_form(tag, got)

    def _in_form(self, tag: str, got: dict[str, str]) -> None:
        name, kind = got.get("name", ""), got.get("type", "text") if tag == "input" else tag
        if tag == "option" and self._select is not None:
            value = got.get("value", "")
            self._select.offered.append(value)
            if "selected" in got or not self._select.values:
                self._select.values = [value]
            return
        if tag not in ("input", "textarea", "select", "button") or not name or self._form is None:
            return
        one = self._form.fields.setdefault(name, FormField(name, kind))
        value = got.get("value", "")
        if tag == "textarea":
            one.values, self._area = [""], one
        elif tag == "select":
            self._select = one
        elif tag == "button" or kind in ("radio", "checkbox"):
            one.offered.append(value)
            if "checked" in got:
                one.values.append(value)
        else:
            one.values.append(value)

    def handle_data(self, data: str) -> None:
        if self._area is not None:
            self._area.values[0] += data

    def handle_endtag(self, tag: str) -> None:
        if tag == "textarea" and self._area is not None:
            # The line break right after the tag is not part of it.
            self._area.values[0] = self._area.values[0].removeprefix("\r").removeprefix("\n")
            self._area = None
        elif tag == "select":
            self._select = None
        elif tag == "form":
            self._form = None
