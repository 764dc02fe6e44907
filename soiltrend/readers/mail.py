"""A saved e-mail (.eml) → its text as a page; what hangs on it is named and not read."""

import email.policy
from email.message import EmailMessage
from email.parser import BytesParser

from soiltrend.readers import hypertext, plain
from soiltrend.readers.decoding import decode
from soiltrend.readers.document import Page
from soiltrend.readers.signs import is_mail

NAME = "mail"
EXPLAINED = "saved e-mail (.eml)"


def recognises(content: bytes, name: str) -> bool:
    """Whether the file begins with the fields of a mail."""
    return is_mail(content)


def read(content: bytes, source: str) -> tuple[tuple[Page, ...], tuple[str, ...]]:
    """Return the mail's text, its subject and date before it; an older mail quoted in it is not read."""
    message = BytesParser(_class=EmailMessage, policy=email.policy.default).parsebytes(content)
    body = message.get_body(("plain", "html"))
    attached = [part.get_filename() or "a file" for part in message.iter_attachments()]
    said = tuple(
        f"The mail carries {name}, which was not read; save it and add it by itself." for name in attached
    )
    if body is None:
        return (), said
    text = decode(bytes(body.get_payload(decode=True) or b""), source)
    if body.get_content_subtype() == "html":
        pages, more = hypertext.page_of(text)
        return pages, (*said, *more)
    head = [f"Subject: {message.get('subject', '')}", f"Date reported: {message.get('date', '')}", ""]
    pages, more = plain.read("\n".join([*head, text]).encode(), source)
    return pages, (*said, *more)
