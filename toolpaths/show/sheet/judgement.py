"""What the judging found, what was accepted and why, and what nobody judged."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from toolpaths.judging.job_report import JobReport
from toolpaths.proving.proof import Proof
from toolpaths.show.lengths import Lengths
from toolpaths.show.markup import Markup, tag
from toolpaths.show.sheet.page_parts import section


def judgement(
    report: JobReport, proofs: Mapping[str, Proof], planned: Mapping[str, Sequence[str]], lengths: Lengths
) -> Markup:
    """The result with its margins, and what is proved of each side.

    planned : what planning noted of each side, by its name
    """
    found = [tag("li", str(each)) for each in report.findings]
    accepted = [tag("li", str(each)) for each in report.accepted]
    in_mm = lengths.units != "mm" and (found or accepted)
    noted = [tag("li", f"{name}: {lengths.in_words(note)}") for name, notes in planned.items() for note in notes]
    notes = [tag("li", f"{name}: {lengths.in_words(note)}") for name, one in report.sides for note in one.notes]
    # A sentence for all sides of which it is true, as the first page has room for little.
    proved: dict[str, list[str]] = {}
    for name, proof in proofs.items():
        for line in lengths.in_words(str(proof)).split("\n"):
            proved.setdefault(line, []).append(name)
    unknown = list(dict.fromkeys(what for _, one in report.sides for what in one.not_judged))
    return section(
        "What was found when the programs were tried in a simulation",
        tag(
            "p",
            tag("strong", "Nothing found against the job." if report.ok else f"{len(found)} findings, read them:"),
            " Places are from X0 Y0 and Z0 of the program named." if found or accepted or notes else None,
            " What is found is said in mm, as it was judged." if in_mm else None,
        ),
        tag("ul", found) if found else None,
        [tag("p", "Accepted, and why:"), tag("ul", accepted)] if accepted else None,
        tag("ul", notes) if notes else None,
        [tag("p", "Noted when the work was planned:"), tag("ul", noted)] if noted else None,
        tag("p", f"Not looked at: {', '.join(unknown)}.") if unknown else None,
        [tag("p", f"{', '.join(names)}: ", tag("strong", line)) for line, names in proved.items()],
        class_="judgement",
    )
