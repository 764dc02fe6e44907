"""What a file's first bytes give away: pages of the web and saved mails are text, but no plain text."""

import re

PRINTED = (b"%PDF", b"PK\3\4", b"\xd0\xcf\x11\xe0")
_OPENS = re.compile(rb"<(?:!doctype\s+html|html|table)\b", re.IGNORECASE)
_CLOSES = re.compile(rb"</(?:td|tr|table|p|div|body|html|li)>", re.IGNORECASE)
_FIELDS = re.compile(
    rb"(from|to|subject|date|message-id|mime-version|received|return-path|reply-to)\s*:", re.IGNORECASE
)
HEAD, FEWEST_FIELDS = 4096, 3


def is_web_page(content: bytes) -> bool:
    """Whether the content is HTML, whatever the file is called."""
    if content.startswith(PRINTED) or is_mail(content):
        return False
    plain = content.replace(b"\0", b"")  # UTF-16
    return bool(_OPENS.search(plain[:HEAD])) and bool(_CLOSES.search(plain))


def is_mail(content: bytes) -> bool:
    """Whether the content begins with the fields of a mail and nothing else."""
    head = content[:HEAD].lstrip().replace(b"\r\n", b"\n").split(b"\n\n")[0]
    lines = [line for line in head.split(b"\n") if line[:1] not in (b" ", b"\t")]
    fields = {found[1].lower() for line in lines if (found := _FIELDS.match(line))}
    return len(fields) >= FEWEST_FIELDS and all(b":" in line for line in lines)


def is_marked_up(content: bytes) -> bool:
    """Whether the content is a web page or a mail."""
    return is_mail(content) or is_web_page(content)
