"""Texts to XML and back. As `xml.sax.saxutils`, which loads a web client along with it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

_IN_ATTRIBUTES: Final = {"\n": "&#10;", "\r": "&#13;", "\t": "&#9;"}
"""What a reader of XML would turn into a space there."""


def escape(text: str) -> str:
    """A text as the content of an element.

    >>> escape("a < b & c")
    'a &lt; b &amp; c'
    """
    return text.replace("&", "&amp;").replace(">", "&gt;").replace("<", "&lt;")


def unescape(text: str, entities: Mapping[str, str]) -> str:
    """The text of an element's content; `entities` beside the three that always count.

    >>> unescape("&quot;a&quot; &lt; b", {"&quot;": '"'})
    '"a" < b'
    """
    text = text.replace("&lt;", "<").replace("&gt;", ">")
    for entity, sign in entities.items():
        text = text.replace(entity, sign)
    return text.replace("&amp;", "&")


def quoteattr(text: str) -> str:
    """A text as the value of an attribute, with its quotation marks.

    >>> print(quoteattr('a "b" & c'))
    'a "b" &amp; c'
    """
    text = escape(text)
    for sign, entity in _IN_ATTRIBUTES.items():
        text = text.replace(sign, entity)
    if '"' not in text:
        return f'"{text}"'
    return f"'{text}'" if "'" not in text else '"{}"'.format(text.replace('"', "&quot;"))
