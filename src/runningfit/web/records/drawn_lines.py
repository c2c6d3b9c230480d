"""Lines of the records room: acts of the history, jobs, and what is due."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from runningfit.web import drawn
from runningfit.web.addresses import address
from runningfit.workshop.build.all_jobs import DueLine, JobLine
from runningfit.workshop.records.queries import Act


def act_lines(acts: Iterable[Act], *, of_shop: bool) -> str:
    """Draw acts: when, who, what, why; each with its job where those of the whole shop are shown."""
    return "".join(_act_line(act, of_shop) for act in acts)


def _act_line(act: Act, of_shop: bool) -> str:
    who = '<span class="soft">name not said</span>' if act.who == "not said" else escape(act.who)
    back = ' <span class="stamp open">taken back</span>' if act.taken_back else ""
    job = f'<div class="why">{escape(act.job_name)}</div>' if of_shop and act.job_name else ""
    return (
        f'<tr><td class="num">{drawn.moment(act.at)}</td><td>{who}</td>\n'
        f'<td><a class="tapline" href="{address("record", act.pk)}">{escape(act.summary)}</a>'
        f"{back}{job}</td>\n"
        f"<td>{escape(act.why)}</td></tr>\n"
    )


def job_lines(lines: Iterable[JobLine]) -> str:
    """Draw the open jobs, each with what is short, out and waiting for a person."""
    return "".join(_job_line(line) for line in lines)


def _job_line(line: JobLine) -> str:
    job, standing = line.job, line.standing
    engine = ""
    if line.engine is not None:
        wanted = f" · wanted by {drawn.day(job.wanted_by)}" if job.wanted_by else ""
        engine = f'<div class="why">{escape(line.engine.name)}{wanted}</div>'
    short = out = ""
    if standing.short:
        places = f"in {standing.short_places} place{drawn.plural(standing.short_places)}"
        short = (
            f'<a href="{address("plan", job.pk)}"><span class="num">{standing.short}</span> short</a> '
            f'<span class="soft">{places}</span>'
        )
    if standing.lost:
        to_money = address("how_much", job.pk)
        short += f' <a href="{to_money}"><span class="num">{standing.lost}</span> lost</a>'
    if standing.outside:
        to_send = address("send", job.pk)
        out = f'<a href="{to_send}?show=out"><span class="num">{standing.outside}</span> out</a>'
    waiting = "".join(
        f'<div><a href="{address(wait.page, job.pk)}">{escape(wait.said)}</a></div>' for wait in line.waiting
    )
    return (
        f'<tr>\n<th scope="row"><a class="tapline" href="{address("job", job.pk)}">{escape(job.name)}</a>'
        f"{engine}</th>\n<td>{short}</td>\n<td>{out}</td>\n<td>{waiting}</td>\n</tr>"
    )


def due_lines(lines: Iterable[DueLine]) -> str:
    """Draw what shall come back or arrive, and when."""
    return "".join(_due_line(line) for line in lines)


def _due_line(line: DueLine) -> str:
    mark = ' class="mark"' if line.overdue else ""
    due = '<span class="soft">no day said</span>'
    if line.due_on is not None:
        overdue = ' <span class="stamp bad">overdue</span>' if line.overdue else ""
        due = f'<span class="num">{drawn.day(line.due_on)}</span>{overdue}'
    to = "/"
    if line.consignment is not None:
        to = address("consignment", line.consignment.number)
    elif line.to_buy is not None:
        to = address("bought", line.to_buy.job_id, line.to_buy.pk)
    jobs = ", ".join(escape(job.name) for job in line.jobs)
    said = f'<a href="{to}">{escape(line.said)}</a>'
    return f"<tr{mark}>\n<td>{due}</td>\n<td>{said}</td>\n<td>{jobs}</td></tr>\n"
