"""One sentence in a browser, for when there is no office page to show."""

from __future__ import annotations

from html import escape

_PAGE = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title} · Rowend</title>
<style>body {{ max-width: 34em; margin: 3em auto; padding: 0 1em; font: 18px/1.5 system-ui, sans-serif; }}</style>
</head>
<body>
<h1>{title}</h1>
<p>{sentence}</p>
</body>
</html>
"""


def plain_page(title: str, sentence: str) -> str:
    """A page with a heading and a sentence, whatever characters they hold."""
    return _PAGE.format(title=escape(title), sentence=escape(sentence))
