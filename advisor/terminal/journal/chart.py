"""The control chart on a terminal: one line for each batch, in plain letters, 80 columns."""

from __future__ import annotations

from advisor.journal.balance_document import Chart, Point
from advisor.present.text.page import Page
from advisor.terminal.output import screen
from advisor.words import tr

MOST_LINES = 40
MOST_REASONS = 10
_WIDTH = 46


def print_chart(chart: Chart) -> None:
    """Gold not accounted for, batch by batch."""
    page = Page(screen())
    page.say(tr("Gold not accounted for, in per cent of the gold that went in"), style="bold")
    if not chart.points:
        page.say(tr("No batch can be balanced yet."))
    else:
        for line in chart_lines(chart):
            page.verbatim(line)
        _print_reading(page, chart)
    for reason in chart.left_out[-MOST_REASONS:]:
        page.say(tr("Not on the chart: {reason}", reason=reason), mark="- ")
    if len(chart.left_out) > MOST_REASONS:
        page.say(tr("and {count} more that cannot be balanced", count=len(chart.left_out) - MOST_REASONS), mark="- ")


def chart_lines(chart: Chart) -> list[str]:
    """The chart as lines of at most 79 letters."""
    shown = chart.points[-MOST_LINES:]
    marks = {"|": chart.low, ":": chart.mean, "I": chart.high}
    values = [point.unaccounted_percent for point in shown] + [mark for mark in marks.values() if mark is not None]
    least, most = min(values), max(values)
    reach = (most - least) or 1.0

    def column(value: float) -> int:
        return round((value - least) / reach * (_WIDTH - 1))

    fixed = {column(mark): sign for sign, mark in marks.items() if mark is not None}
    return [_line(point, column(point.unaccounted_percent), fixed) for point in shown]


def _line(point: Point, place: int, fixed: dict[int, str]) -> str:
    field = [fixed.get(column, " ") for column in range(_WIDTH)]
    field[place] = "X" if point.beyond or point.signal else "*"
    signs = "!" * point.beyond + "s" * point.signal + "r" * point.run
    eye = "e" if point.estimated else " "
    return f"{point.batch:>5} {point.day} {point.unaccounted_percent:>6.1f}{eye} {''.join(field)} {signs}".rstrip()


def _print_reading(page: Page, chart: Chart) -> None:
    page.gap()
    if chart.low is not None and chart.high is not None and chart.mean is not None:
        page.say(
            tr(
                "|  lower limit {chart_low:.1f}    :  mean {mean:.1f}    I  upper limit {chart_high:.1f}",
                chart_low=chart.low,
                mean=chart.mean,
                chart_high=chart.high,
            )
        )
    if len(chart.points) > MOST_LINES:
        page.say(
            tr(
                "The last {most_lines} of {count} batches are shown; all of them count.",
                most_lines=MOST_LINES,
                count=len(chart.points),
            )
        )
    if any(point.estimated for point in chart.points):
        page.say(tr("e  gold in was estimated by eye: a point far out may be an error of the eye."))
    disturbed = any(point.beyond or point.signal for point in chart.points)
    page.say(chart.verdict, style="reverse bold" if disturbed else "bold")
    if chart.together:
        page.say(tr("All together: {together}", together=chart.together))
    for reason in chart.not_in_limits[-MOST_REASONS:]:
        page.say(tr("Mean and limits are without {reason}", reason=reason), mark="- ")
    page.say(tr("Source of the limits: {source}.", source=chart.source))
