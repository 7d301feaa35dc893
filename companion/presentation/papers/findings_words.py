"""Findings as lines of text, for a terminal: the clinic's answers, each number with its days."""

from companion.care.catalogue import Catalogue
from companion.care.clocks import that_count
from companion.care.records import Diary
from companion.evidence.figures import Findings
from companion.presentation.clinic.answers import knee_of
from companion.presentation.clinic.behind import behind_answer
from companion.presentation.clinic.trial import trial_view
from companion.presentation.clinic.usual_words import usual_answer
from companion.presentation.language.phrases import parted, phrase
from companion.presentation.language.unsigned_words import unsigned_for_clinic
from companion.presentation.papers.summary import visit_summary


def findings_words(diary: Diary, findings: Findings, catalogue: Catalogue) -> tuple[str, ...]:
    """The lines: who, then each question with its rows and notes, then what is usual and what
    stands behind the verdicts, and the tape trial where there was one."""
    summary = visit_summary(diary, [findings], catalogue)
    lines = [summary.running_head, summary.running_days]
    if summary.plan_mark is not None:
        lines.append(summary.plan_mark)
    behind = behind_answer((knee_of(findings, that_count(diary)),))
    for answer in (*summary.answers, usual_answer(findings), behind):
        lines += ["", answer.question]
        for row in answer.rows:
            cells = parted(cell.words for cell in row.cells)
            lines.append(phrase("  {label}: {cells}", label=row.label, cells=cells))
        lines += [f"  {note}" for note in answer.notes]
    trial = trial_view(findings)
    if trial is not None:
        lines += ["", phrase("Tape trial"), f"  {trial.sentence}", f"  {trial.limits}"]
        lines += [f"  {said}" for said in trial.pairs_said]
        for part in trial.parts:
            lines += [phrase("  {heading}", heading=part.question)]
            lines += [f"    {row.label}: {row.cells[0].words}" for row in part.rows]
    note = unsigned_for_clinic(catalogue)
    return (*lines, *(("", note) if note else ()))
