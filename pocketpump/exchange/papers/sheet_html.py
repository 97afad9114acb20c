"""The clinic sheet as one page for the browser and for print: nothing is loaded from elsewhere."""

from html import escape

from pocketpump.core.messages import Locale, text_in
from pocketpump.exchange.charts.description import Chart, Shifts
from pocketpump.exchange.charts.svg import chart_svg, shift_axis_svg, shifts_svg
from pocketpump.exchange.language.code_of import code_of
from pocketpump.exchange.papers.sheet_parts import BY_HAND, NOW, Section, Sheet, Table, sheet_in

_STYLE = """
:root { color: #14262e; background: #fff; font: 11pt/1.4 system-ui, sans-serif; }
body { max-width: 48rem; margin: 2rem auto; padding: 0 1rem; }
h1 { font-size: 1.6em; margin: 0; }
h2 { font-size: 1.15em; margin: 1.4em 0 .4em; border-bottom: 1px solid #0f4653; }
p { margin: .3em 0; }
dl { display: grid; grid-template-columns: max-content 1fr; gap: .15em 1.2em; margin: 0; }
dt { color: #38494f; }
dd { margin: 0; font-weight: 600; }
table { border-collapse: collapse; width: 100%; font-size: .92em; }
th, td { text-align: left; vertical-align: top; padding: .25em .7em .25em 0;
  border-bottom: 1px solid #dbd2c0; }
ul { list-style: "☐  "; padding-left: 1.6em; margin: .3em 0; }
li { padding-bottom: .5em; }
header p:last-child { color: #38494f; font-size: .85em; }
.hand { display: flex; gap: 1.2em; margin: .8em 0; }
.hand span { flex: 1; border-bottom: 1px solid #38494f; }
.hand span:first-child { flex: 2; }
.room { height: 1.6em; border-bottom: 1px solid #38494f; }
.wide { overflow-x: auto; }
.lead { font-size: 1.5em; font-weight: 700; margin: 0; }
.now .lead { font-size: 2.4em; }
.under { font-size: 1.15em; }
.key { color: #38494f; font-size: .85em; }
svg { max-width: 100%; height: auto; }
svg text { font-family: system-ui, sans-serif; }
.shifts th, .shifts td { border: 0; padding-top: .1em; }
.shifts tr:nth-child(2) { font-weight: 700; }
@media print {
  @page { margin: 15mm; }
  body { margin: 0; padding: 0; max-width: none; }
  :root { font-size: 10pt; }
  h2 { break-after: avoid; }
  tr, li { break-inside: avoid; }
}
"""


def sheet_html(sheet: Sheet, locale: Locale | None = None) -> bytes:
    """Return the sheet as a complete HTML page in UTF-8, in ``locale`` (None: English)."""
    sheet = sheet_in(sheet, locale)
    sections = "\n".join(_section(section) for section in sheet.sections)
    title = escape(sheet.title)
    person = f"<p><strong>{escape(sheet.person)}</strong></p>" if sheet.person else _by_hand(locale)
    return (
        "<!doctype html>\n"
        f'<html lang="{code_of(locale)}"><head><meta charset="utf-8"><title>{title}</title>'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<style>{_STYLE}</style></head>\n<body>\n"
        f"<header><h1>{title}</h1>{person}<p>{escape(sheet.made)}</p>"
        f"<p>{escape(sheet.caution)}</p></header>\n"
        f"{sections}\n</body></html>\n"
    ).encode()


def _by_hand(locale: Locale | None) -> str:
    told = (f"<span>{escape(text_in(label, locale))}</span>" for label in BY_HAND)
    return f'<p class="hand">{"".join(told)}</p>'


def _section(section: Section) -> str:
    parts = [f"<h2>{escape(section.title)}</h2>"]
    if section.lead:
        parts.append(f'<p class="lead">{_lines(section.lead)}</p>')
    parts += [f'<p class="under">{_lines(words)}</p>' for words in section.under]
    if isinstance(section.picture, Chart):
        parts.append(_chart(section.picture, is_small=section.name == NOW))
    elif isinstance(section.picture, Shifts):
        parts.append(f'<div class="wide">{_shifts(section.picture)}</div>')
    if section.facts:
        facts = "".join(f"<dt>{escape(n)}</dt><dd>{escape(v)}</dd>" for n, v in section.facts)
        parts.append(f"<dl>{facts}</dl>")
    if section.listed:
        points = "".join(f"<li>{_lines(line)}</li>" for line in section.lines)
        parts.append(f"<ul>{points}</ul>")
    else:
        parts += [f"<p>{_lines(line)}</p>" for line in section.lines]
        parts += ['<p class="room"></p>'] * section.room
    if section.table is not None:
        parts.append(f'<div class="wide">{_table(section.table)}</div>')
    kind = f' class="{section.name}"' if section.name else ""
    return f"<section{kind}>{''.join(parts)}</section>"


def _chart(chart: Chart, *, is_small: bool) -> str:
    height = 80 * len(chart.panels) + 20 if is_small else 110 * len(chart.panels) + 30
    key = f'<p class="key">{escape(chart.key)}</p>' if chart.key else ""
    return chart_svg(chart, 420 if is_small else 720, height) + key


def _shifts(shifts: Shifts) -> str:
    """Return a table: a row for each change, its pictures on the common axes with their words."""
    wide = 360 if len(shifts.axes) == 1 else 230
    axes = "".join(f"<th>{shift_axis_svg(shifts, n, wide)}</th>" for n in range(len(shifts.axes)))
    rows = "".join(_shift_row(shifts, number, wide) for number in range(len(shifts.rows)))
    told = "".join(
        f'<p class="key">({number}) {escape(caution)}</p>'
        for number, caution in enumerate(shifts.cautions, 1)
    )
    return f'<table class="shifts"><tr><td></td>{axes}</tr>{rows}</table>{told}'


def _shift_row(shifts: Shifts, number: int, wide: float) -> str:
    row = shifts.rows[number]
    counted = f"{row.counts} ({row.cautions})" if row.cautions else row.counts
    label = "<br>".join(escape(text) for text in (row.label, row.detail, counted) if text)
    if row.instead:
        cells = f'<td colspan="{len(shifts.axes)}">{escape(row.instead)}</td>'
    else:
        cells = "".join(
            f"<td>{shifts_svg(shifts, number, axis, wide, 26)}"
            f"<br>{escape(interval.words) if interval else ''}</td>"
            for axis, interval in enumerate(row.intervals)
        )
    note = f'<tr class="key"><td></td><td colspan="9">{escape(row.note)}</td></tr>'
    return f"<tr><td>{label}</td>{cells}</tr>{note if row.note else ''}"


def _table(table: Table) -> str:
    head = "".join(f'<th scope="col">{escape(name)}</th>' for name in table.header)
    rows = "".join(
        "<tr>" + "".join(f"<td>{_lines(cell)}</td>" for cell in row) + "</tr>" for row in table.rows
    )
    return f"<table><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>"


def _lines(text: str) -> str:
    return escape(text).replace("\n", "<br>")
