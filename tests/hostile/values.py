"""What nobody types and somebody sends: single values, bytes and bodies that no page of ours makes.

Free of Django. Nothing here holds a word of the tests' garden, so that such a word in an answer
can only have come out of the garden.
"""

from __future__ import annotations

import json
from random import Random
from urllib.parse import quote

Pairs = list[tuple[str, str]]

NUMBERS = (
    "0", "-1", "7", "007", "+5", " 7 ", "1_000", "1'000", "1,5", "1e3", "1e999", "nan", "-inf",
    "0x10", "½", "²", "٣", "१२", "７", "3.0", "2147483647", "2147483648", "4294967296",
    "9223372036854775807", "9223372036854775808", "-9223372036854775809", "18446744073709551616",
    "1" + "0" * 30, "9" * 400, "1" * 5000,
)  # fmt: skip
DAYS = (
    "0000-00-00", "0001-01-01", "1899-12-31", "2024-02-30", "2023-02-29", "9999-12-31",
    "10000-01-01", "2024-W01-1", "20240601", "01.06.2024", "0001-01-01T00:00:00+23:59",
    "9999-12-31T23:59:59-23:59", "2024-06-01T12:00:00Z", "2024-06-01T25:00:00Z",
    "2026-03-29T02:30:00+01:00", "2024-06-01T12:00:00+99:99",
)  # fmt: skip
TEXTS = (
    "", " ", ".", "..", "../../../../etc/passwd", "..\\..\\boot.ini", "/", "//evil.example/", "%",
    "%00", "%ff", "\0", "a\0b", "\ud800", "a\udfff", "\ufeff", "\u202eתולש", "\u200b", "\u2028",
    "e\u0301" * 30, "İ", "ß", "ﷺ", "🌸" * 40, "👩\u200d🌾", "x" * 5000, "=1+1", "+1", "@SUM(A1)",
    "\t=1", "=HYPERLINK(\"http://evil.example\")", "<script>alert(1)</script>", "\"><svg onload=x>",
    "javascript:alert(1)", "' OR 1=1 --", "'; DROP TABLE garden_plant; --", "{{ 7|add:7 }}",
    "{% debug %}", "${7*7}", "%s%s%n", "\r\nSet-Cookie: a=b", "null", "true", "on", "[]", "{}",
    "{\"a\": 1}", "None", "NaN", "undefined", "a,b;c|d", "\\", "\"", "'", "&amp;", "?", "#", "*",
    "00000000-0000-0000-0000-000000000000", "ffffffff-ffff-ffff-ffff-ffffffffffff",
    "12345678-1234-1234-1234-1234567890ab", "{12345678-1234-1234-1234-1234567890ab}",
)  # fmt: skip
TYPES = (
    "application/x-www-form-urlencoded", "application/x-www-form-urlencoded; charset=utf-7",
    "application/x-www-form-urlencoded; charset=rot13", "multipart/form-data",
    "multipart/form-data; boundary=", "multipart/form-data; boundary=" + "b" * 300,
    "multipart/form-data; boundary=b\u00e9", "multipart/form-data; boundary=b; charset=rot13",
    "multipart/mixed; boundary=b", "application/json", "application/json; charset=utf-16",
    "text/plain; charset=nonsense", "text/plain; charset=rot13", "text/plain; charset=base64",
    "a/b; Charset = idna", "a/b; charset*=x''undefined",
    "text/xml", "image/jpeg", "nonsense", "", ";;;", "a/b; c*=utf-8''%ff",
)  # fmt: skip
HOSTS = (
    "evil.example", "localhost:99999", "", "testserver:80", "127.0.0.1", "[::1]", "[::1",
    "testserver.", "testserver@evil.example", "a" * 300, "169.254.169.254", "\u00e9.example",
)  # fmt: skip
COOKIES = (
    "haftbook=nonsense", "haftbook=" + "a" * 32, "haftbook=", "haftbook", "=;=;=", "haftbook=\"",
    "haftbook=" + "x" * 5000, "csrftoken=short", "csrftoken=" + "a" * 64, "; ; ;", "a=\xff\xfe",
    "haftbook=../../etc/passwd", "__Host-haftbook=a", "$Version=1; haftbook=a",
    "sessionid=" + "a" * 32, "messages=nonsense", ", ".join(f"c{n}={n}" for n in range(300)),
)  # fmt: skip
HEADERS: dict[str, tuple[str, ...]] = {
    "Haftbook-Entry": (*TEXTS[-4:], "nonsense", "", "é"),
    "Haftbook-Clock": (*DAYS, "", "nonsense"),
    "Haftbook-Skew": (*NUMBERS, "", "nonsense"),
    "Haftbook-Page": ("1", "", "0"),
    "HX-Request": ("true", "false", ""),
    "HX-Boosted": ("true",),
    "HX-History-Restore-Request": ("true",),
    "HX-Current-URL": ("http://evil.example/", "nonsense", "http://[::1", "//", "%ff"),
    "HX-Current-URL-URI-AutoEncoded": ("true", ""),
    "HX-Target": ("main", "<script>", ""),
    "HX-Prompt": ("%ff", "a"),
    "HX-Trigger": ("a",),
    "Accept": ("text/html", "application/json", "nonsense;q=x", ""),
    "Accept-Language": ("de;q=nonsense", "x" * 600, "*"),
    "If-Modified-Since": ("nonsense", "Mon, 01 Jan 0001 00:00:00 GMT", "Sat, 99 Jan 99999 GMT"),
    "If-None-Match": ("*", '"', 'W/"nonsense"'),
    "Range": ("bytes=0-", "bytes=99999999999999999999-", "bytes=a-b", "bytes=-0"),
    "Content-Length": ("-1", "0", "nonsense", "99999999999999999999", "70000000", "1"),
    "Content-Encoding": ("gzip", "nonsense"),
    "Transfer-Encoding": ("chunked",),
    "X-Forwarded-For": ("127.0.0.1", "nonsense"),
    "X-Forwarded-Host": ("evil.example",),
    "X-Forwarded-Proto": ("https",),
    "X-HTTP-Method-Override": ("DELETE",),
    "X-CSRFToken": ("nonsense", "a" * 64, ""),
    "Origin": ("null", "http://evil.example", "http://testserver", "http://["),
    "Referer": ("http://evil.example/", "http://[", "nonsense"),
    "User-Agent": ("", "\u00ff" * 300, "Mozilla/5.0 (iPhone)"),
    "Authorization": ("Basic nonsense", "Bearer a"),
}


def value(chance: Random) -> str:
    """A number, a day or a text that means trouble, or any signs at all."""
    kind = chance.randrange(6)
    if kind < 4:
        return chance.choice(chance.choice((NUMBERS, DAYS, TEXTS, TEXTS)))
    if kind == 4:
        return str(
            chance.randrange(-(10 ** chance.randrange(1, 40)), 10 ** chance.randrange(1, 40))
        )
    planes = (0x7F, 0x7FF, 0xFFFF, 0x10FFFF)
    return "".join(
        chr(chance.randrange(chance.choice(planes) + 1)) for _ in range(chance.randrange(1, 12))
    )


def escaped(text: str) -> str:
    """Percent-encoded, lone surrogates and all."""
    return quote(text.encode("utf-8", "surrogatepass"), safe="")


def urlencoded(pairs: Pairs) -> bytes:
    return "&".join(f"{escaped(name)}={escaped(value)}" for name, value in pairs).encode()


def multipart(pairs: Pairs, file: tuple[str, str, bytes] | None = None) -> bytes:
    """A form with boundary 'b', and a file as (field, file name, bytes) where one is sent."""
    parts = [
        f'--b\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{value}\r\n'.encode(
            "utf-8", "surrogatepass"
        )
        for name, value in pairs
    ]
    if file:
        field, name, data = file
        head = f'--b\r\nContent-Disposition: form-data; name="{field}"; filename="{name}"\r\n'
        head += "Content-Type: image/jpeg\r\n\r\n"
        parts.append(head.encode("utf-8", "surrogatepass") + data + b"\r\n")
    return b"".join(parts) + b"--b--\r\n"


def damaged(body: bytes, at: int, how: int) -> bytes:
    """A body cut off, with a byte turned, or without its line ends."""
    at %= len(body) or 1
    if how == 0:
        return body[:at]
    if how == 1:
        return body[:at] + bytes([(body[at] ^ 0xFF) if body else 0]) + body[at + 1 :]
    return body.replace(b"\r\n", b"\n")


FILES = (
    b"", b"\xff\xd8\xff", b"GIF89a" + b"\0" * 20, b"\x89PNG\r\n\x1a\n" + b"\xff" * 40,
    b"RIFF\xff\xff\xff\xffWEBPVP8 ", b"<svg xmlns='http://www.w3.org/2000/svg' onload='x'/>",
    b"\0\0\0\x18ftypheic\0\0\0\0mif1heic", b"name,number\n=1+1,\n", b"II*\0" + b"\xff" * 20,
    b"%PDF-1.7", b"PK\x03\x04",
)  # fmt: skip
RAW = (
    b"", b"\0", b"\xff" * 50, b"[" * 5000, b'{"a":' * 2000, b"a" * 3000, b"&" * 3000, b"=" * 500,
    json.dumps({"name": ["x"] * 50, "take": {"a": 1}}).encode(), b"a=1&" * 2500, b"a=%ff%fe&b=%",
    b"--b\r\nContent-Disposition: form-data\r\n\r\nx\r\n--b--", b"--b\r\n" * 400,
    b'--b\r\nContent-Disposition: form-data; name="a"\r\nContent-Transfer-Encoding: base64\r\n\r\n'
    b"A===B\r\n--b--\r\n",
    b'--b\r\nContent-Disposition: form-data; name="a"; filename*=nonsense\'\'%ff\r\n\r\nx\r\n'
    b"--b--\r\n",
    b'--b\r\nContent-Disposition: form-data; name="a"\r\n'
    + b"X: " + b"y" * 3000 + b"\r\n\r\nx\r\n--b--\r\n",
)  # fmt: skip
