"""The page of one month for the owner, with the control chart as a picture: one HTML file that stands by itself."""

from __future__ import annotations

from xml.sax.saxutils import escape

from advisor.advice.documents.common import Span
from advisor.advice.documents.ledger import ChartPoint, MonthPage
from advisor.present.pages.html import environment
from advisor.units.measures import as_known, format_number, give_or_take
from advisor.words import tr

MOST_POINTS = 60
_WIDE, _HIGH, _LEFT, _FOOT = 660.0, 240.0, 44.0, 34.0


def month_html(page: MonthPage) -> str:
    """The whole page as an HTML document."""
    template = environment().get_template("month.html.j2")
    return template.render(page=page, chart=chart_svg(page), known=_known, spanned=_spanned, grams=_grams)


def _known(value: float | None, error: float | None, unit: str) -> str:
    return "" if value is None else f"{as_known(value, error or 0.0)} {unit}".strip()


def _spanned(amount: Span | None) -> str:
    """An amount as far as it is known, with its error."""
    if amount is None:
        return tr("not known")
    return give_or_take(amount.likely, max(amount.high - amount.likely, amount.likely - amount.low), "g")


def _grams(value: float | None) -> str:
    return "" if value is None else format_number(value, 4)


def chart_svg(page: MonthPage) -> str:
    """Gold not accounted for, batch by batch, with mean and limits: an ``svg`` element, black on white."""
    points = page.points[-MOST_POINTS:]
    limits = [(page.high, tr("upper limit"), True), (page.mean, tr("mean"), False), (page.low, tr("lower limit"), True)]
    lines = [(value, words, dashed) for value, words, dashed in limits if value is not None]
    values = [0.0, *(point.percent for point in points), *(value for value, _, _ in lines)]
    least, most = min(values), max(values)
    reach = (most - least) or 1.0

    def down(percent: float) -> float:
        return 14 + (most - percent) / reach * (_HIGH - _FOOT - 28)

    step = (_WIDE - _LEFT - 90) / max(1, len(points) - 1)
    places = [(_LEFT + 12 + step * place, down(point.percent)) for place, point in enumerate(points)]
    path = " ".join(f"{x:.1f},{y:.1f}" for x, y in places)
    title = tr("Gold not accounted for, {month}", month=page.month)
    axis = tr("batch; per cent of the gold that went in; square: a signal")
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDE:g} {_HIGH:g}" width="100%" role="img"'
        ' aria-labelledby="month-chart-title month-chart-desc" font-family="Arial, sans-serif" font-size="11">',
        f'<title id="month-chart-title">{escape(title)}</title>',
        f'<desc id="month-chart-desc">{escape(page.verdict)}</desc>',
        f'<rect x="0" y="0" width="{_WIDE:g}" height="{_HIGH:g}" fill="#fff"/>',
        *(_line(down(value), f"{words} {value:.1f} %", dashed=dashed) for value, words, dashed in lines),
        _line(down(0.0), "0 %", dashed=False) if page.mean is None else "",
        f'<polyline points="{path}" fill="none" stroke="#000" stroke-width="0.8"/>',
        *(_mark(point, x, y) for point, (x, y) in zip(points, places, strict=True)),
        f'<text x="{_LEFT:g}" y="{_HIGH - 6:g}">{escape(axis)}</text>',
        "</svg>",
    ]
    return "\n".join(part for part in parts if part)


def _line(y: float, words: str, *, dashed: bool) -> str:
    dashes = ' stroke-dasharray="5 3"' if dashed else ""
    right = _WIDE - 92
    return (
        f'<path d="M{_LEFT:g} {y:.1f}H{right:g}" stroke="#000" stroke-width="0.6"{dashes}/>'
        f'<text x="{right + 3:g}" y="{y + 4:.1f}">{escape(words)}</text>'
    )


def _mark(point: ChartPoint, x: float, y: float) -> str:
    fill = "#000" if point.in_month else "#fff"
    shape = (
        f'<rect x="{x - 5:.1f}" y="{y - 5:.1f}" width="10" height="10" fill="{fill}" stroke="#000"/>'
        if point.signal
        else f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3.5" fill="{fill}" stroke="#000"/>'
    )
    number = f'<text x="{x:.1f}" y="{_HIGH - _FOOT + 8:g}" text-anchor="middle">{point.batch}</text>'
    title = tr("batch {batch}, {day}: {percent:.1f} %", batch=point.batch, day=point.day, percent=point.percent)
    return f"<g><title>{escape(title)}</title>{shape}{number}</g>"
