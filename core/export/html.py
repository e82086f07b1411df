"""A paper as one HTML page that needs no other file; every text is escaped here."""

from __future__ import annotations

import base64
from html import escape

from core.export.paper import Column, Flow, Group, Paper, PaperSize, Picture, Row, Run, Runs

_NOWRAP = "w"
_RIGHT = "r"

_STYLE = """
:root { color-scheme: light; }
* { box-sizing: border-box; }
body { font-family: 'Liberation Serif', 'Times New Roman', Times, 'DejaVu Serif', serif; font-size: %(body)s;
  line-height: 1.35; color: #000; background: #fff; max-width: 54rem; margin: 2rem auto; padding: 0 1.25rem;
  font-variant-numeric: lining-nums tabular-nums; }
header { margin-bottom: 1.6em; }
h1 { font-size: 1.9em; font-weight: normal; line-height: 1.15; margin: 0 0 .25em; }
header p { margin: 0; font-style: italic; }
h2 { font-size: .92em; font-weight: normal; text-transform: uppercase; letter-spacing: .08em; margin: 0 0 .15em; }
section > p { margin: 0 0 .3em; font-style: italic; font-size: .92em; }
section { margin: 0 0 1.5em; }
.keep { break-inside: avoid; page-break-inside: avoid; }
.flow { column-gap: 2.2em; }
.c2 { columns: 2 15em; } .c3 { columns: 3 12.5em; } .c4 { columns: 4 10em; }
table { border-collapse: collapse; width: 100%%; }
tr { break-inside: avoid; page-break-inside: avoid; }
thead { display: table-header-group; }
th, td { text-align: left; vertical-align: top; padding: .04em .7em .04em 0; font-weight: normal;
  overflow-wrap: anywhere; }
th { font-style: italic; font-size: .92em; }
td:last-child, th:last-child { padding-right: 0; }
.w { white-space: nowrap; width: 1%%; overflow-wrap: normal; } .r { text-align: right; }
.ruled tr { border-bottom: .4pt solid #888; } .ruled th, .ruled td { padding-top: .2em; padding-bottom: .2em; }
.small { font-size: .88em; }
sup { line-height: 0; font-size: .7em; }
img { max-width: 100%%; }
@media (prefers-color-scheme: dark) { @media screen { body { color: #ece7dc; background: #24262a; } } }
@media print { @page { size: %(paper)s; margin: 17mm 18mm 18mm;
    @bottom-right { content: counter(page) " / " counter(pages); font: 9pt serif; } }
  body { margin: 0; padding: 0; max-width: none; }
  h2 { break-after: avoid; page-break-after: avoid; } }
""".strip()


def page_html(paper: Paper, size: PaperSize = PaperSize.A4) -> str:
    """The page, for the screen and for printing on that paper."""
    style = _STYLE % {"body": "15.5pt" if paper.large else "11pt", "paper": "A4" if size is PaperSize.A4 else "letter"}
    under = "".join(f"<p>{_lines(text)}</p>" for text in paper.under)
    flows = "\n".join(_flow(flow) for flow in paper.flows)
    return (
        f'<!doctype html>\n<html lang="{escape(paper.language)}">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(paper.title)}</title>\n<style>\n{style}\n</style>\n</head>\n<body>\n"
        f"<header><h1>{escape(paper.title)}</h1>{under}</header>\n<main>\n{flows}\n</main>\n</body>\n</html>\n"
    )


def _flow(flow: Flow) -> str:
    groups = "\n".join(_group(group) for group in flow.groups)
    columns = f" c{min(flow.columns, 4)}" if flow.columns > 1 else ""
    return f'<div class="flow{columns}">\n{groups}\n</div>'


def _group(group: Group) -> str:
    kept = len(group.rows) <= 40
    names = [name for name, is_so in (("keep", kept), ("small", group.small), ("ruled", group.ruled)) if is_so]
    heading = f"<h2>{escape(group.heading)}</h2>" if group.heading else ""
    note = f"<p>{_lines(group.note)}</p>" if group.note else ""
    head = f"<thead>{_row(group.head, group.columns, 'th')}</thead>" if group.head else ""
    rows = "\n".join(_row(row, group.columns, "td") for row in group.rows)
    table = f"<table>{head}<tbody>\n{rows}\n</tbody></table>" if rows else ""
    attribute = f' class="{" ".join(names)}"' if names else ""
    return f"<section{attribute}>{heading}{note}{table}</section>"


def _row(row: Row, columns: tuple[Column, ...], tag: str) -> str:
    if row.picture is not None:
        return f'<tr><td colspan="{len(columns)}">{_picture(row.picture)}</td></tr>'
    cells = []
    for cell, column in zip(row.cells, columns, strict=False):
        names = ([_NOWRAP] if not column.share else []) + ([_RIGHT] if column.right else [])
        attribute = f' class="{" ".join(names)}"' if names else ""
        cells.append(f"<{tag}{attribute}>{runs_html(cell)}</{tag}>")
    return f"<tr>{''.join(cells)}</tr>"


def _picture(picture: Picture) -> str:
    """As an image, not as part of the page: whatever an SVG holds, nothing of it can run here."""
    data = base64.b64encode(picture.svg.encode("utf-8")).decode("ascii")
    return (
        f'<img src="data:image/svg+xml;base64,{data}" alt="{escape(picture.words)}" '
        f'style="width:{picture.width:g}mm;height:auto">'
    )


def runs_html(runs: Runs) -> str:
    """Runs as HTML, escaped."""
    return "".join(_run(run) for run in runs)


def _run(run: Run) -> str:
    text = _lines(run.text)
    for tag, is_so in (("b", run.bold), ("i", run.italic), ("sup", run.raised)):
        text = f"<{tag}>{text}</{tag}>" if is_so and text else text
    return text


def _lines(text: str) -> str:
    return escape(text).replace("\n", "<br>")
