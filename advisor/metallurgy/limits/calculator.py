"""``limits``: measured air, lead in blood or a leach test against named limits, as examples of law."""

from __future__ import annotations

from advisor.errors import InputError
from advisor.metallurgy.air.exposure import agent_table, limit_table, limits_for, one_ppm_mg_m3, room_air
from advisor.metallurgy.common.document import Remark, Result, ResultLine
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.inputs import Input, Inputs
from advisor.metallurgy.common.rows import Notes
from advisor.metallurgy.common.tables import Tables
from advisor.metallurgy.computation import Computation
from advisor.metallurgy.limits.air import FINDINGS, Sample, average_of_8_h, judged
from advisor.metallurgy.limits.blood import BloodFinding, BloodRule, blood_finding
from advisor.metallurgy.limits.leach import LeachLimit
from advisor.units import Range
from advisor.words import tr

_MIN_IN_H = 60.0
_MG_M3 = 1e-9
"""1 mg/m3 in g/ml, the inside unit."""
_MG_L = 1e-6
_UG_DL = 1e-8
_PPM = 1e-6
_AVERAGED = "osha-1910-1000, paragraph (d)(1)(i)"


def limits_inputs(tables: Tables) -> tuple[Input, ...]:
    """The inputs of the comparison."""
    return (
        Input(
            "agent", tr("what was measured in the air"), "choice", "agent=lead", options=tuple(tables.once(agent_table))
        ),
        Input(
            "air",
            tr("with agent: each sample with its value (mg_m3, or ppm of a gas) and its time, in one shift"),
            "holdings",
            "air.fire.mg_m3=0.12 air.fire.time=2h",
            units={"mg_m3": "mg/m3", "ppm": "ml/m3", "time": "h"},
        ),
        Input("shift", tr("hours worked"), "amount", "shift=10h", unit="h", otherwise=Range.exact(8 * _MIN_IN_H)),
        Input(
            "blood_lead",
            tr("tests of one person, the oldest first"),
            "amounts",
            "blood_lead.march=48 blood_lead.june=55",
            unit="ug/dl",
        ),
        Input("removed", tr("whether this person was taken from lead work"), "yes_no", "removed=yes"),
        Input(
            "leach",
            tr("leach test (TCLP) of waste, mg/l in the extract"),
            "amounts",
            "leach.lead=6.2",
            unit="mg/l",
            options=tables.names("leach_limits", "element"),
        ),
    )


def calculate_limits(tables: Tables, inputs: Inputs) -> tuple[Result, ...]:
    """What was measured, against each named limit.

    Raises:
        InputError: If nothing was measured or the inputs do not fit.
    """
    results: list[Result] = []
    if inputs.has("agent") != inputs.has("air"):
        raise InputError(
            tr("measured air needs both: agent=lead and, for example, air.fire.mg_m3=0.12 air.fire.time=2h")
        )
    if inputs.has("air"):
        results.append(_air(tables, inputs))
    if inputs.has("blood_lead"):
        results.append(_blood(tables, inputs))
    if inputs.has("leach"):
        results.append(_leach(tables, inputs))
    if not results:
        raise InputError(tr("give measured air, lead in blood or a leach test; see  advisor limits"))
    return tuple(results)


COMPUTATION = Computation("limits", tr("Measured, against named limits"), limits_inputs, calculate_limits)


def _warning(tables: Tables, key: str) -> Remark:
    note = tables.notes[key]
    return Remark(kind="warning", text=note.said(), source=note.source)


def _samples(tables: Tables, inputs: Inputs) -> list[Sample]:
    agent = tables.once(agent_table)[inputs.word("agent")]
    samples = []
    for name, given in inputs.amounts("air").items():
        if "time" not in given or ("mg_m3" in given) == ("ppm" in given):
            raise InputError(tr("the sample '{name}' needs its time and one of mg_m3 and ppm", name=name))
        if "ppm" in given and agent.form != "gas":
            raise InputError(tr("{agent} is smoke and dust; give it in mg_m3", agent=agent.title))
        value = (
            given["mg_m3"].high / _MG_M3
            if "mg_m3" in given
            else given["ppm"].high / _PPM * one_ppm_mg_m3(agent, tables.once(room_air))
        )
        samples.append(Sample(value, given["time"].likely / _MIN_IN_H))
    return samples


def _air(tables: Tables, inputs: Inputs) -> Result:
    agent, samples = tables.once(agent_table)[inputs.word("agent")], _samples(tables, inputs)
    shift_h = inputs.amount("shift").likely / _MIN_IN_H
    one_ppm = one_ppm_mg_m3(agent, tables.once(room_air)) if agent.form == "gas" else None
    lines, over, deadly = [], 0, False
    for limit in sorted(limits_for(agent, tables.once(limit_table)), key=lambda one: (one.kind == "danger", one.mg_m3)):
        value, finding = judged(limit, samples, shift_h)
        over += finding == "over"
        deadly = deadly or (limit.kind == "danger" and finding == "over")
        figures = _air_figures(value, limit.mg_m3, one_ppm, limit.source)
        lines.append(ResultLine(limit.in_a_line(), figures, FINDINGS[finding], limit.source))
    average = average_of_8_h(samples, shift_h)
    how = tr(
        "each value x its hours, what was not measured of {shift_h:g} h as the worst value, over 8 h", shift_h=shift_h
    )
    figure = Figure("average_8_h_mg_m3", tr("average of 8 h"), Range.exact(average), "mg/m3", how, _AVERAGED)
    key = "air_deadly" if deadly else "air_over_limits" if over else "air_within_limits"
    words = tables.notes[key].said(agent=agent.title, over=str(over), limits=str(len(lines)))
    said = (Remark(kind="verdict", text=words), _warning(tables, "limits_are_examples"))
    columns: tuple[str, ...] = (tr("limit, mg/m3"), tr("measured, mg/m3"), tr("times, limit"))
    if one_ppm is not None:
        columns = (tr("limit, ppm"), tr("measured, ppm"), tr("measured, mg/m3"), tr("times, limit"))
    return Result(tr("Air: {agent}", agent=agent.title), (figure,), said, columns, tuple(lines), stop=deadly)


def _air_figures(value: float, limit: float, one_ppm: float | None, source: str) -> tuple[Figure, ...]:
    """The cells of one limit: limit, value and times."""
    measured = Figure(
        "measured_mg_m3", tr("measured"), Range.exact(value), "mg/m3", tr("as the limit averages it"), source
    )
    times = Figure(
        "times_limit", tr("times the limit"), Range.exact(value / limit), "", f"{value:.3g} / {limit:.3g}", source
    )
    if one_ppm is None:
        return (Figure("limit_mg_m3", tr("limit"), Range.exact(limit), "mg/m3", tr("as set"), source), measured, times)
    how = tr("1 ppm is {one_ppm:.3g} mg/m3", one_ppm=one_ppm)
    return (
        Figure("limit_ppm", tr("limit"), Range.exact(limit / one_ppm), "ppm", how, source),
        Figure("measured_ppm", tr("measured"), Range.exact(value / one_ppm), "ppm", how, source),
        measured,
        times,
    )


def _blood(tables: Tables, inputs: Inputs) -> Result:
    rules = BloodRule.by_rule(tables.rows("blood_lead_limits"))
    tests = [amount.high / _UG_DL for amount in inputs.amounts("blood_lead").values()]
    found = blood_finding(tests, rules, removed=inputs.yes("removed"))
    figures = [
        Figure(
            "blood_lead_last_ug_dl",
            tr("last test"),
            Range.exact(found.last),
            "ug/dl",
            tr("as given"),
            rules["one"].source,
        )
    ]
    if found.mean is not None:
        how = tr("mean of the last {tests:g} tests", tests=rules["mean"].tests)
        mean = Range.exact(found.mean)
        figures.append(Figure("blood_lead_mean_ug_dl", how, mean, "ug/dl", how, rules["mean"].source))
    lines = tuple(
        ResultLine(
            rule.says,
            (Figure("limit_ug_dl", tr("level"), Range.exact(rule.value), "ug/dl", rule.says, rule.source),),
            f"{rule.body} ({rule.year})",
            rule.source,
        )
        for rule in rules.values()
    )
    words = _blood_words(found, rules, tables.notes)
    said = (Remark(kind="verdict", text=words), _warning(tables, "blood_is_for_a_doctor"))
    stop = found.leave or found.may_return is False
    return Result(tr("Lead in blood"), tuple(figures), said, (tr("level, ug/dl"),), lines, stop=stop)


def _blood_words(found: BloodFinding, rules: dict[str, BloodRule], notes: Notes) -> str:
    if found.confirm:
        key = "blood_confirm"
    elif found.leave:
        key = "blood_leave"
    elif found.may_return is None:
        key = "blood_stay"
    else:
        key = "blood_may_return" if found.may_return else "blood_not_back"
    one, back = rules["one"], rules["return_two"]
    return notes[key].said(body=one.body, one=f"{one.value:g}", back=f"{back.value:g}")


def _leach(tables: Tables, inputs: Inputs) -> Result:
    limits, lines, over = LeachLimit.from_rows(tables.rows("leach_limits")), [], []
    for element, amount in inputs.amounts("leach").items():
        limit, found = limits[element], amount.high / _MG_L
        hazardous = limit.is_hazardous(found)
        over += [limit] if hazardous else []
        figures = tuple(
            Figure(name, title, Range.exact(value), "mg/l", how, limit.source)
            for name, title, value, how in (
                ("limit_mg_l", tr("limit"), limit.value, tr("as set; equal or above is hazardous")),
                ("leached_mg_l", tr("leached"), found, tr("as given")),
            )
        )
        word = tr("hazardous, {code}", code=limit.code) if hazardous else FINDINGS["below"]
        lines.append(ResultLine(limit.title, figures, word, limit.source))
    names = ", ".join(limit.title for limit in over)
    words = tables.notes["leach_hazardous" if over else "leach_below_limits"].said(elements=names)
    said = (Remark(kind="verdict", text=words), _warning(tables, "limits_are_examples"))
    return Result(tr("Leach test of waste"), (), said, (tr("limit, mg/l"), tr("leached, mg/l")), tuple(lines))
